//! Words around a session: summary and list to chase, its sheet, activity, slate, briefing,
//! emergency and debrief.

macro_rules! session_words {
    ([$next:ident $($then:ident)*] $($before:tt)*) => {
        $next! { [$($then)*] $($before)*
            // Class summary.
            summary_title: "Class summary";
            summary_subject: "Students by skills, as they stand";
            number: "No.";
            name: "Name";
            still_missing: "Missing";

            // Forms and checks to chase.
            chase_title: "Missing forms and checks";
            chase_subject: "What is still to be brought or done, and before what";
            chase_nothing: "Nothing is missing.";
            chase_before: "Needed";
            before_open_water: "Before open water";
            before_completion: "Before completion";
            reached_at: "Telephone or e-mail";
            chase_caution: "Personal: for whoever asks after these, and for nobody else. That a form was seen is no medical opinion; local law and a licensed physician come first.";

            // Session sheet.
            sheet_title: "Session sheet";
            sheet_subject: "One session: who, where, what, and what is still missing before water";
            depth_planned: "maximum depth planned";
            visibility: "visibility";
            moving: "current or surf";
            ratio: "Supervision";
            ratio_line: "students {students} · instructors {instructors} · assistants {assistants}";
            ratio_ceiling: "ceiling {n} before reductions for the day's conditions";
            ratio_over: "OVER THE CEILING of {n}";
            ratio_unconfirmed: "no confirmed rule: there is no ratio to go by";
            before_water: "Before water";
            clear: "nothing missing";
            emergency_contact: "In an emergency call";
            no_contact: "no contact held";
            run_list: "Run list";
            stations: "Stations";
            buddies: "Buddies: {names}";
            together: "together";
            in_pairs: "in pairs";
            one_by_one: "one by one";
            unjudged: "all, not assessed";
            turns_kept: "turns kept for second tries: {n}";
            from: "From";
            who_needs: "Still needed by";
            everyone: "everyone";
            nobody: "nobody";
            time_in: ["time"] "In";
            time_out: ["time"] "Out";
            caution_plan: "A planning aid. It records and calculates; it clears nobody. Local law, the training organisation's standards, the equipment maker's instructions and a licensed physician come first. If it and your judgement differ, take the more cautious.";

            // Staff activity.
            activity_title: "Staff activity";
            activity_subject: "Dives, ascents and time under water of each member of staff";
            day: "Day";
            under_water: "Under water";
            ascents_limit: "{n} a day";
            over_limit: "over the school's limit";
            limit_unconfirmed: "no confirmed limit of the school";
            ascents_unknown: "{n} dives without a count";
            activity_caution: "Repeated ascents raise the load of bubbles and the risk to the lungs; no universal limit exists. This list counts what was logged here, and knows nothing of other dives.";
            from_to: "{from} to {to}";
            house_limit: "School's limit";
            exposure: "Table group";
            beyond_limit: "beyond the limit";
            not_on_table: "not on the table";
            exposure_note: "Table group: US Navy Diving Manual, revision 7, air, every dive's whole time taken for bottom time, at the greatest altitude that a plan of the day names. A planning aid; the diver's own computer and tables come first.";

            // Slate.
            slate_title: "Slate";
            slate_subject: "A session on waterproof paper";
            slate_key: "tick met · ring nearly · cross not yet · dash sat out";
            slate_done: "black: already met · bar: not asked";
            slate_back: "Cues";
            slate_ceiling: "at most {n} in good conditions";
            slate_unconfirmed: "NO CONFIRMED RATIO";
            remarks: "Remarks";
            slate_of: "{n}/{of}";
            emergency: "EMERGENCY: fill in before the session";
            emergency_number: "Number";
            nearest_chamber: "Nearest chamber";
            oxygen_where: "Oxygen is";
            assembly: "Assembly point";
            address: "Address to give";
            emergency_caution: "Suspected bubble or lung injury: oxygen by someone trained, keep lying down, call, even if it passes. Local procedures come first.";

            // Briefing.
            briefing_title: "Briefing cards";
            briefing_subject: "What to say and what to watch, skill by skill";
            shows: "Must show";
            cues: "Say";
            slips: "If you see";
            caution: "Caution";
            ways: "Techniques";

            // What is done in an emergency, and after a session.
            alarm_lost: "Lost buddy";
            alarm_lost_1: "Look for no longer than one minute: turn once, look up, look for bubbles.";
            alarm_lost_2: "Come up at a normal rate, and look for bubbles on the way.";
            alarm_lost_3: "At the surface look, call and whistle. Keep the others together and out of the water.";
            alarm_lost_4: "Not up within a few minutes: mark the place and the time, call the emergency number.";
            alarm_lost_5: "Send nobody down alone. Only people trained and equipped for it search under water.";
            alarm_panic: "Panic at the surface";
            alarm_panic_1: "Keep your distance. Hold out something that floats, or come from behind.";
            alarm_panic_2: "Make them float: inflate the BCD, or drop the weights.";
            alarm_panic_3: "Speak calmly, say what you do, signal for help.";
            alarm_panic_4: "Grabbed: go down, swim away, come back from behind.";
            alarm_panic_5: "Bring them out, look for injuries, end the dive.";
            alarm_unresponsive: "Unresponsive diver";
            alarm_unresponsive_1: "Bring them up at once, the regulator held in, the head back.";
            alarm_unresponsive_2: "Make both float, face up. Shout for help; somebody calls the emergency number.";
            alarm_unresponsive_3: "Tow them out. Rescue breaths on the way only if trained for it.";
            alarm_unresponsive_4: "Not breathing normally: five breaths first, then 30 compressions and 2 breaths, with oxygen. Fetch a defibrillator.";
            alarm_unresponsive_5: "Go on until help takes over. Leave computer and kit as they are; note the times.";
            alarm_injury: "Suspected bubble or lung injury";
            alarm_injury_1: "Every sign after a dive counts, also one that passes: pain, tingling, weakness, dizziness, cough, blood, odd behaviour.";
            alarm_injury_2: "Lay them flat and keep them lying. Oxygen, as close to 100 % as there is, by someone trained.";
            alarm_injury_3: "Call the emergency number, then the chamber or the diving doctor as the plan says.";
            alarm_injury_4: "Water to drink only if wide awake and not sick. Keep them warm, not hot.";
            alarm_injury_5: "Note the dives, depths, times, gas, and when the signs began. Watch the buddy as well. No diving, no flying, no altitude.";
            alarm_oxygen: "Giving oxygen";
            alarm_oxygen_1: "Only somebody trained gives it. No flame, no smoking, no oil or grease; fresh air.";
            alarm_oxygen_2: "Open the valve slowly and read the pressure.";
            alarm_oxygen_3: "Say what you do, put the mask on tight, set the flow as trained.";
            alarm_oxygen_4: "Note when it began and at which pressure. Stay with them and watch the breathing.";
            alarm_oxygen_5: "Do not stop because it gets better. Hand over with the times in writing.";
            alarm_recall: "Recall";
            alarm_recall_1: "Give the agreed signal, and give it again.";
            alarm_recall_2: "Everybody comes up at a normal rate with their buddy and goes to the assembly point.";
            alarm_recall_3: "Count heads against the list, aloud, twice.";
            alarm_recall_4: "Nobody goes back in before the count is right and the instructor says so.";
            alarm_recall_5: "Somebody is missing: the card for a lost buddy.";
            alarm_practice: "Common practice, no published source.";
            alarm_breaths: "Five breaths first, then 30 to 2: guidelines of the European Resuscitation Council (2021) on drowning, from memory. The rest is common practice, no published source.";
            alarm_bubbles: "Oxygen to everybody suspected of it, lying flat: published first-aid consensus for diving injuries, from memory, without an edition at hand. The rest is common practice, no published source.";
            alarm_first: "Local emergency procedures, local law and your own training come first. Do only what you are trained for.";
            alarm_cards: "Action cards";
            alarm_source: "Source: {what}";
            emergency_plan: "Emergency plan";
            numbers_to_call: "Numbers to call";
            first_aid_is: "First-aid kit is";
            nearest_hospital: "Nearest hospital";
            who_does_what: "Who does what";
            emergency_confirmed: "Confirmed by {who}, {when}";
            site_no_plan: "NO EMERGENCY PLAN OF THIS SITE";
            site_not_confirmed: "EMERGENCY PLAN CONFIRMED BY NOBODY";
            site_too_old: "EMERGENCY PLAN LAST CONFIRMED ON {when}, asked for every {n} months";
            daylight: "Daylight";
            light_line: "twilight from {dawn} · sunrise {rise} · sunset {set} · twilight until {dusk}";
            site_access: "Access";
            site_entry: "Entry and exit";
            site_hazards: "Hazards";
            site_tides: "Tides";
            emergency_head: "EMERGENCY";
            debrief_title: "Debrief";
            debrief_met: "Met today";
            debrief_fault: "One fault";
            debrief_fix: "What mends it";
            debrief_next: "What comes next";
            debrief_practise: "To practise";
            debrief_proposed: "proposed from the marks, not changed yet";
            debrief_kept: "kept by {who}, {when}";
        }
    };
}
pub(super) use session_words;
