//! Kit shown: pieces of the school's kit, who has them, and what a session's people need, to a
//! person and to a program.

use serde_json::{Value, json};
use tallywater_bindings::{
    KitFaultRow, KitIssueView, KitLine, KitName, KitOutRow, KitPersonRow, KitRow, KitWrong, Sizes,
    SizesView, WeightRow, WhoName,
};

use super::catalogue::{t, tr};
use super::turn::Turn;
use super::words::{self, KitFor, KitKind, KitStands};

/// What is wrong with a piece, as JSON has it.
pub(super) const fn wrong_word(wrong: &KitWrong) -> &'static str {
    match wrong {
        KitWrong::Faulty => "faulty",
        KitWrong::ServiceOverdue(..) => "service-overdue",
        KitWrong::TestOverdue(..) => "test-overdue",
        KitWrong::Retired => "retired",
    }
}

/// The day that has passed, where what is wrong is a day.
pub(super) fn until(wrong: &KitWrong) -> Option<String> {
    match wrong {
        KitWrong::ServiceOverdue(until) | KitWrong::TestOverdue(until) => Some(until.to_string()),
        KitWrong::Faulty | KitWrong::Retired => None,
    }
}

fn wrong_said(wrong: &KitWrong) -> String {
    match wrong {
        KitWrong::Faulty => t("Faulty").to_owned(),
        KitWrong::ServiceOverdue(until) => tr!("service was due on {day}", day = until),
        KitWrong::TestOverdue(until) => tr!("test was due on {day}", day = until),
        KitWrong::Retired => t("Retired").to_owned(),
    }
}

/// What is wrong with a piece that stands between somebody and the water, for a person.
pub(super) fn gap_said(piece: &KitName, wrong: &KitWrong) -> String {
    format!("{}: {}", name_said(piece), wrong_said(wrong))
}

/// The same as JSON.
pub(super) fn gap_json(piece: &KitName, wrong: &KitWrong) -> Value {
    json!({ "piece": name_json(piece), "wrong": wrong_word(wrong), "until": until(wrong) })
}

/// What a piece is called: its kind and number.
pub(super) fn called(kind: KitKind, number: &str) -> String {
    format!("{} {number}", kind.said())
}

/// A piece by its kind and number, with its size where it has one.
pub(super) fn name_said(name: &KitName) -> String {
    let called = called(KitKind::from(&name.kind), &name.number);
    sized(called, &name.size)
}

fn sized(called: String, size: &str) -> String {
    if size.is_empty() {
        called
    } else {
        format!("{called} ({size})")
    }
}

fn name_json(name: &KitName) -> Value {
    json!({
        "id": name.piece, "kind": KitKind::from(&name.kind).word(), "number": name.number,
        "size": name.size,
    })
}

fn wrongs(wrong: &[KitWrong]) -> Vec<&'static str> {
    wrong.iter().map(wrong_word).collect()
}

fn out_json(row: &KitOutRow) -> Value {
    json!({
        "entry": row.entry, "course": row.course, "session": row.session,
        "session_title": row.session_title, "piece": name_json(&row.piece),
        "student": student(&row.who), "staff": staff(&row.who), "since": row.since.at.to_rfc3339(),
        "by": words::staff(&row.by), "despite": row.despite, "wrong": wrongs(&row.wrong),
        "also": row.also,
    })
}

/// The student that it is, as JSON; null for a member of staff.
fn student(who: &WhoName) -> Value {
    match who {
        WhoName::Student(name) => words::student(name),
        WhoName::Staff(..) => Value::Null,
    }
}

/// The member of staff that it is, as JSON; null for a student.
fn staff(who: &WhoName) -> Value {
    match who {
        WhoName::Student(..) => Value::Null,
        WhoName::Staff(name) => words::staff(name),
    }
}

fn outs(rows: &[KitOutRow]) -> Vec<Value> {
    rows.iter().map(out_json).collect()
}

fn fault_json(row: &KitFaultRow) -> Value {
    json!({
        "entry": row.entry, "what": row.what, "at": row.when.at.to_rfc3339(), "by": words::staff(&row.by),
        "mended": row.mended.as_ref().map(|mended| json!({
            "entry": mended.entry, "how": mended.how, "at": mended.when.at.to_rfc3339(),
            "by": words::staff(&mended.by),
        })),
    })
}

/// A piece as JSON.
pub(super) fn piece_json(row: &KitRow) -> Value {
    let details = &row.details;
    json!({
        "id": row.piece, "kind": KitKind::from(&details.kind).word(), "number": details.number,
        "size": details.size, "serial": details.serial, "note": details.note,
        "serviced": details.serviced, "service_due": details.service_due,
        "test_due": details.test_due, "state": KitStands::from(&row.state).word(),
        "wrong": wrongs(&row.wrong), "same_number": row.same_number,
        "faults": row.faults.iter().map(fault_json).collect::<Vec<_>>(),
        "out": outs(&row.out),
        "retired": row.retired.as_ref().map(|it| json!({
            "entry": it.entry, "why": it.why, "on": it.on.date, "by": words::staff(&it.by),
        })),
    })
}

/// Who has a piece, since when, and for which session.
fn out_said(row: &KitOutRow) -> String {
    let (who, when) = (words::who_said(&row.who), words::moment(&row.since));
    match &row.session_title {
        Some(title) => tr!(
            "{who} since {when}, {title}",
            who = who,
            when = when,
            title = title
        ),
        None => tr!("{who} since {when}", who = who, when = when),
    }
}

/// A piece in a list, for a person.
pub(super) fn piece_line(row: &KitRow) -> String {
    let called = called(KitKind::from(&row.details.kind), &row.details.number);
    let called = sized(called, &row.details.size);
    let mut parts = vec![KitStands::from(&row.state).said().to_owned()];
    parts.extend(row.out.iter().map(out_said));
    for wrong in &row.wrong {
        let said = wrong_said(wrong);
        if !parts.contains(&said) {
            parts.push(said);
        }
    }
    if !row.same_number.is_empty() {
        parts.push(tr!("another piece in use has this number"));
    }
    format!("{}  {called:<24}  {}", row.piece, parts.join("; "))
}

/// A piece with everything about it, for a person.
pub(super) fn piece_lines(row: &KitRow) -> Vec<String> {
    let mut lines = vec![piece_line(row)];
    let details = &row.details;
    let day = |day: &Option<String>| day.clone().unwrap_or_default();
    for (label, text) in [
        (t("Serial number"), details.serial.clone()),
        (t("Last service"), day(&details.serviced)),
        (t("Service due"), day(&details.service_due)),
        (t("Test due"), day(&details.test_due)),
        (t("Note"), details.note.clone()),
    ] {
        if !text.is_empty() {
            lines.push(format!("  {label}: {text}"));
        }
    }
    lines.extend(row.faults.iter().flat_map(fault_lines));
    lines.extend(row.retired.iter().map(|it| {
        let said = tr!(
            "retired on {day} by {who}: {why}",
            day = it.on.date,
            who = it.by.name,
            why = it.why
        );
        format!("  {said}")
    }));
    lines
}

fn fault_lines(row: &KitFaultRow) -> Vec<String> {
    let when = words::moment(&row.when);
    let mut lines = vec![format!(
        "  {}  {when}  {}: {}",
        row.entry, row.by.name, row.what
    )];
    lines.extend(row.mended.iter().map(|mended| {
        let said = tr!(
            "mended {when} by {who}: {how}",
            when = words::moment(&mended.when),
            who = mended.by.name,
            how = mended.how
        );
        format!("    {said}")
    }));
    lines
}

/// How far this device knows what is free.
pub(super) fn elsewhere_said(elsewhere: u32) -> Option<String> {
    (elsewhere > 0).then(|| {
        tr!(
            "What is free is so as far as this device knows; running courses that are not on it: {count}",
            count = elsewhere
        )
    })
}

fn weight(row: Option<&WeightRow>) -> Value {
    row.map_or(Value::Null, |row| super::figure(&row.lead))
}

fn person_json(row: &KitPersonRow) -> Value {
    let lines = row.lines.iter().map(|line| {
        json!({
            "kind": KitKind::from(&line.kind).word(), "wanted": line.wanted,
            "state": KitFor::from(&line.state).word(), "issued": outs(&line.issued),
            "proposed": line.proposed.as_ref().map(name_json),
        })
    });
    json!({
        "student": student(&row.who), "staff": staff(&row.who),
        "weight": weight(row.weight.as_ref()), "missing": row.missing, "wrong": row.wrong, "lines": lines.collect::<Vec<_>>(),
    })
}

/// What each person of a session needs and has.
pub(super) fn session(seen: &KitIssueView, turn: &Turn) {
    let value = json!({
        "course": seen.course, "session": seen.session, "title": seen.title, "site": seen.site,
        "starts": seen.starts.at.to_rfc3339(), "missing": seen.missing, "wrong": seen.wrong,
        "not_here": seen.elsewhere,
        "people": seen.rows.iter().map(person_json).collect::<Vec<_>>(),
    });
    let lines = || seen.rows.iter().flat_map(|row| &row.lines);
    let ids = || {
        let issued = lines().flat_map(|line| &line.issued);
        issued.map(|row| row.entry.to_string()).collect()
    };
    turn.answer("session.kit", &value, ids, || {
        let starts = words::moment(&seen.starts);
        let mut said = vec![
            format!("{}, {}, {starts}", seen.title, seen.site),
            tr!(
                "missing: {missing}; issued and faulty or past its date: {wrong}",
                missing = seen.missing,
                wrong = seen.wrong
            ),
        ];
        said.extend(elsewhere_said(seen.elsewhere));
        said.extend(seen.rows.iter().flat_map(person_lines));
        said
    });
}

fn person_lines(row: &KitPersonRow) -> Vec<String> {
    let mut lines = vec![words::who_said(&row.who).to_owned()];
    if let Some(weight) = &row.weight {
        let lead = super::figure_said(&weight.lead);
        lines.push(format!("  {}: {lead}", t("Weights")));
    }
    let asked = row.lines.iter();
    let asked = asked.filter(|line| KitFor::from(&line.state) != KitFor::NotAsked);
    lines.extend(asked.map(|line| format!("  {}", line_said(line))));
    lines
}

fn line_said(line: &KitLine) -> String {
    let kind = sized(KitKind::from(&line.kind).said().to_owned(), &line.wanted);
    let state = KitFor::from(&line.state);
    let mut parts = vec![state.said().to_owned()];
    for row in &line.issued {
        let wrong: Vec<String> = row.wrong.iter().map(wrong_said).collect();
        let named = name_said(&row.piece);
        parts.push(if wrong.is_empty() {
            named
        } else {
            format!("{named}: {}", wrong.join(", "))
        });
    }
    parts.extend(line.proposed.iter().map(|name| {
        let named = name_said(name);
        tr!("proposed: {piece}", piece = named)
    }));
    format!("{kind:<24}  {}", parts.join("; "))
}

fn sizes_json(sizes: &Sizes) -> Value {
    let own = sizes.own.iter().map(|kind| KitKind::from(kind).word());
    json!({
        "suit": sizes.suit, "boots": sizes.boots, "fins": sizes.fins, "mask": sizes.mask,
        "bcd": sizes.bcd, "brings": own.collect::<Vec<_>>(),
    })
}

fn sizes_lines(sizes: &Sizes) -> Vec<String> {
    let mut lines = Vec::new();
    for (kind, size) in [
        (KitKind::Suit, &sizes.suit),
        (KitKind::Boots, &sizes.boots),
        (KitKind::Fins, &sizes.fins),
        (KitKind::Mask, &sizes.mask),
        (KitKind::Bcd, &sizes.bcd),
    ] {
        if !size.is_empty() {
            lines.push(format!("  {}: {size}", kind.said()));
        }
    }
    if !sizes.own.is_empty() {
        let own = sizes.own.iter().map(|kind| KitKind::from(kind).said());
        let own: Vec<&str> = own.collect();
        lines.push(format!("  {}: {}", t("Their own"), own.join(", ")));
    }
    lines
}

/// A student's sizes, and what the student has.
pub(super) fn sizes(seen: &SizesView, turn: &Turn) {
    let value = json!({
        "course": seen.course, "student": words::student(&seen.name),
        "sizes": seen.sizes.as_ref().map(sizes_json), "weight": weight(seen.weight.as_ref()),
        "out": outs(&seen.out),
    });
    let ids = || vec![seen.name.student.to_string()];
    turn.answer("student.sizes", &value, ids, || {
        let mut lines = vec![seen.name.name.clone()];
        match &seen.sizes {
            Some(sizes) => lines.extend(sizes_lines(sizes)),
            None => lines.push(format!("  {}", t("No sizes are known"))),
        }
        if let Some(weight) = &seen.weight {
            let lead = super::figure_said(&weight.lead);
            lines.push(format!("  {}: {lead}", t("Weights")));
        }
        let has = seen.out.iter();
        lines.extend(has.map(|row| format!("  {}: {}", name_said(&row.piece), out_said(row))));
        lines
    });
}
