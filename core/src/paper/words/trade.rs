//! The trade's words: people and courses, settings, families, marks and states.

macro_rules! trade_words {
    ([$next:ident $($then:ident)*] $($before:tt)*) => {
        $next! { [$($then)*] $($before)*
            // The trade's words.
            student: "Student";
            students: "Students";
            instructor: "instructor";
            assistant: "assistant";
            shop: "dive centre";
            staff: "Staff";
            course: "Course";
            outline: "Outline";
            edition: "edition {n}";
            policy: "Rules";
            policy_confirmed: "{n} of {of} rules confirmed by a person";
            none_set: "none set";
            skill: "Skill";
            site: "Place";
            setting: "Setting";
            water: "Water";
            starts: "Begins";
            date: "Date";
            by: "By";
            minutes_short: "min";
            seconds_short: "s";

            // Settings and waters.
            classroom: "classroom";
            surface: "surface";
            confined: "confined water";
            open: "open water";
            fresh: "fresh water";
            brackish: "brackish water";
            salt: "salt water";

            // Families.
            watermanship: "Watermanship";
            equipment: "Equipment";
            entry_exit: "Entry and exit";
            at_surface: "At the surface";
            regulator: "Regulator";
            mask: "Mask";
            buoyancy: "Buoyancy";
            propulsion: "Propulsion";
            descent_ascent: "Descent and ascent";
            gas_emergency: "Gas emergencies";
            navigation: "Navigation";
            awareness: "Awareness";
            assist: "Helping a diver";

            // Marks and states.
            met: "met";
            nearly: "nearly";
            not_yet: "not yet";
            sat_out: "sat out";
            state_open: "not tried";
            state_trying: "tried";
            state_shown: "shown, not confirmed";
            state_met: "met";
            state_two_views: "marks differ";
            state_exempt: "not asked";
            slipped_since: "not held since";
            optional: "optional";
            of_needed: "{n} of {of}";
        }
    };
}
pub(super) use trade_words;
