//! Words of the student's page.

macro_rules! page_words {
    ([$next:ident $($then:ident)*] $($before:tt)*) => {
        $next! { [$($then)*] $($before)*
            page_title: "Your course so far";
            page_subject: "What one student takes home: met, open, what comes next, own dives";
            page_met: "Met";
            page_none_met: "Nothing is marked as met yet.";
            page_next: "Next session";
            page_no_next: "No session is planned for you yet.";
            page_bring: "To bring";
            page_settle: "To be settled before it";
            page_dives: "Your dives";
            page_no_dives: "No dive of yours is logged yet.";
            page_logged: "logged by {who}";
            page_own_dives: "Own dives, not of the course";
            page_own_note: "From your own dive log. Nobody of the course saw them, and they count for nothing in it.";
            page_own_taken: "taken in by {who} on {when}";
            page_fly: "Do not fly before {when}";
            page_fly_longer: "Do not fly until well after {when}";
            page_fly_note: "By the shortest time published, from the dives that the school knows of. Dives elsewhere are not in it. Your dive computer, an airline or a physician may ask for longer.";
            chart_profile: "Depth over time";
            chart_gas: "Cylinder pressure over time at depth";
            chart_no_stop: "No-stop time over the clock";
            chart_tries: "Met by the first try, the second, the third, and in the end";
            chart_way: "Skills met, day by day";
            chart_caution: "A picture of the figures, and no permission to dive. The figures and their cautions count.";
            line_depth: "Depth";
            line_too_fast: "Up too fast";
            line_stop: "Safety stop";
            line_pressure: "Cylinder pressure";
            line_turn: "Turn pressure";
            line_reserve: "Reserve";
            line_no_stop: "No-stop time left";
            line_no_limit: "longer, or no limit";
            line_met: "Skills met";
            line_required: "Skills required";
            fact_fastest: "fastest 30 s on the way up";
            fact_allowed: "held against";
            fact_stopped: "at the stop";
            fact_fill: "filled to";
            fact_until_turn: "until the turn";
            fact_until_ascent: "until the ascent";
            fact_left_first: "no-stop time at first";
            fact_left_last: "no-stop time in the end";
            fact_free_first: "at first no limit at";
            fact_free_last: "in the end no limit at";
            fact_drawn_to: "longer, or no limit, is drawn as";
            bar_shares: "{first}, {second}, {third}, {all}";
            bar_too_few: "too few have tried it to say";
            bar_minutes: "{planned} min planned, {taken} min taken; the middle line takes {percent} % of its plan ({low} to {high})";
            page_check: "How to check this page";
            page_check_how: "Made on a device of the school on {when}, from entries that were signed when they were written. Only your own data is on this page. The school works the digits below out anew from its course file and says whether they are the same, also years later.";
        }
    };
}
pub(super) use page_words;
