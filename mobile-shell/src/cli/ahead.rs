//! What `tallywater next --ahead` answers: how many more sessions, the chance by a day, and what
//! one thing more would change.

use serde_json::{Value, json};
use tallywater_bindings::{DaySpan, Expectation, OutlookView, WhatIf, WhatIfRow};

use super::catalogue::tr;
use super::next::lacks;
use super::turn::Turn;
use super::words;

/// Says what to expect; whether there was anything to say.
pub(super) fn answer(turn: &Turn, view: &OutlookView) -> bool {
    if let Some(lacking) = &view.lacking {
        turn.warn(format!("tallywater: {}", lacks(lacking)));
        return false;
    }
    let ids = || {
        view.rows
            .iter()
            .map(|row| row.name.student.to_string())
            .collect()
    };
    turn.answer("ahead", &value(view), ids, || lines(view));
    true
}

fn end(end: &Expectation) -> Value {
    json!({
        "middle": end.middle, "half": [end.half_from, end.half_to],
        "four_in_five": [end.most_from, end.most_to], "by_then_percent": end.by_then,
        "half_days": span(end.half_days.as_ref()),
        "four_in_five_days": span(end.most_days.as_ref()),
    })
}

fn value(view: &OutlookView) -> Value {
    let what_if = view.what_if.iter().map(|row| {
        let (word, without) = match &row.what {
            WhatIf::Session => ("session", None),
            WhatIf::Assistant => ("assistant", None),
            WhatIf::Without(name) => ("without", Some(words::student(name))),
        };
        json!({
            "what": word, "without": without, "class": end(&row.class),
            "planned": row.class.planned, "within_planned_percent": row.class.within_planned,
        })
    });
    let students = view
        .rows
        .iter()
        .map(|row| json!({ "student": words::student(&row.name), "sessions": end(&row.end) }));
    json!({
        "class": end(&view.class), "students": students.collect::<Vec<_>>(),
        "tries": view.tries, "tries_elsewhere": view.elsewhere, "planned": view.class.planned,
        "free_slots": view.class.slots, "within_planned_percent": view.class.within_planned,
        "prior": [view.prior_met, view.prior_of], "by": view.by.as_ref().map(|day| &day.date),
        "planned_until_then": view.until_then, "what_if": what_if.collect::<Vec<_>>(),
    })
}

fn lines(view: &OutlookView) -> Vec<String> {
    let mut lines = vec![tr!(
        "More sessions: four in five ways, and half of all ways"
    )];
    let whole = tr!("The whole class");
    let class = (whole.as_str(), &view.class);
    let rows = view
        .rows
        .iter()
        .map(|row| (row.name.short.as_str(), &row.end));
    for (who, end) in std::iter::once(class).chain(rows) {
        let then = end.by_then.map(|percent| format!("   {percent:>3} %"));
        lines.push(format!(
            "  {who:<18} {:>3} - {:<3}   {:>3} - {:<3}{}",
            end.most_from,
            end.most_to,
            end.half_from,
            end.half_to,
            then.unwrap_or_default()
        ));
        if let Some(days) = &end.most_days {
            lines.push(tr!(
                "  as days, four in five ways: {from} to {to}",
                from = days.from.date,
                to = days.to.date
            ));
        }
    }
    if let Some(day) = &view.by {
        lines.push(tr!(
            "Per cent: ended by {day}, within the sessions planned until then: {count}",
            day = day.date,
            count = view.until_then
        ));
    }
    if !view.what_if.is_empty() {
        lines.push(tr!("What would change it, for the whole class"));
    }
    lines.extend(view.what_if.iter().map(what_if_said));
    lines.push(tr!(
        "Assessed tries of this course: {count}",
        count = view.tries
    ));
    lines.push(tr!(
        "Assessed tries of other courses on this device: {count}",
        count = view.elsewhere
    ));
    lines.push(tr!(
        "Before any try: {met} in {of}",
        met = view.prior_met,
        of = view.prior_of
    ));
    lines.push(tr!(
        "Sessions that are planned: {count}",
        count = view.class.planned
    ));
    if view.class.slots > 0 {
        lines.push(tr!(
            "Free slots of the school: {count}",
            count = view.class.slots
        ));
    }
    lines.push(tr!(
        "Of 100 ways, ended within them: {count}",
        count = view.class.within_planned
    ));
    lines.push(tr!(
        "A span for planning, not a promise, and not for students’ eyes."
    ));
    lines
}

/// One thing more, and what the class may then expect.
fn what_if_said(row: &WhatIfRow) -> String {
    let what = match &row.what {
        WhatIf::Session => tr!("one session more"),
        WhatIf::Assistant => tr!("one assistant more"),
        WhatIf::Without(name) => tr!("without {name}", name = name.short),
    };
    let end = &row.class;
    let says = match end.by_then {
        Some(percent) => tr!(
            "{from} to {to} more sessions; of 100 ways, ended by then: {count}",
            from = end.most_from,
            to = end.most_to,
            count = percent
        ),
        None => tr!(
            "{from} to {to} more sessions; of 100 ways, ended within {planned} sessions: {count}",
            from = end.most_from,
            to = end.most_to,
            planned = end.planned,
            count = end.within_planned
        ),
    };
    format!("  {what}: {says}")
}

/// Two days, where both are known.
fn span(days: Option<&DaySpan>) -> Value {
    days.map_or(Value::Null, |days| json!([days.from.date, days.to.date]))
}
