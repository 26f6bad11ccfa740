//! Words of the season's sheet.

macro_rules! season_words {
    ([$next:ident $($then:ident)*] $($before:tt)*) => {
        $next! { [$($then)*] $($before)*
            season_title: "Season";
            season_subject: "What the marks of many courses say of the school's outline";
            season_rests: "Courses it rests on: {n}. Of fewer than {least} nothing is said; ranges are of 95 % confidence.";
            season_proposed: "Proposed for the outline";
            season_none_proposed: "Nothing is proposed.";
            season_no_outline: "The school has no outline.";
            season_other_minutes: "{name}: to show it {setup} min, not {setup_now}; a turn {turn} min, not {turn_now}";
            season_by_minutes: "{lines} lines; the middle one takes {percent} % of its plan ({low} to {high})";
            season_other_order: "{title}: {name} before {before}";
            season_by_order: "So it was run {turned} of {of} times ({low} to {high} %)";
            season_minutes: "Minutes planned and taken";
            season_timed: "Dark as far as the middle line surely takes, pale as far as it may; 100 % is the plan. A line is timed from the last mark before it to its own last mark: our own definition, no published source.";
            season_held: "Held when tried again on another day";
            season_share: "{held} of {of} ({low} to {high} %)";
            season_week: "within 7 days";
            season_month: "after 8 to 30 days";
            season_longer: "after more than 30 days";
            season_few: "Too few to say: {n}";
            season_nothing: "Nothing yet.";
            season_caution: "Nothing is changed by itself, and this sheet names nobody. Whose marks differ is looked at on a screen.";
        }
    };
}
pub(super) use season_words;
