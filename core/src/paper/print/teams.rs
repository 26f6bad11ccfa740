//! Pairs and who watches whom, on a session's sheet; and what was raised in its water.

use super::{BODY, SMALL, heads};
use crate::course::SessionId;
use crate::entry::{AlarmEnd, AlarmEnded, Who};
use crate::paper::alarm::title_of;
use crate::paper::pdf::{Cell, Column, Flow, Row, Table};
use crate::paper::say::{clock, moment, signer_name};
use crate::paper::source::Source;
use crate::paper::teams::{TeamLines, pair_line};
use crate::paper::words::{Words, fill};
use crate::plan::{Beside, pair_ages};
use crate::standing::SessionNow;
use crate::view::fitting;

/// What was kept of the session's pairs and zones, loudly what breaks a rule, and what somebody
/// said otherwise; nothing where nobody kept any.
pub(super) fn teams(
    flow: &mut Flow<'_>,
    source: &Source<'_>,
    words: &'static Words,
    (session, now): (SessionId, &SessionNow),
) {
    let Some(said) = source.course.teams(&session) else {
        return;
    };
    let plan = &now.plan;
    let lines = TeamLines::of(source, plan, said.holds.teams, words);
    let roster = source.roster(&plan.students, words);
    flow.heading(2, words.teams);
    let signer = signer_name(&source.signer(said.holds.one));
    let when = moment(said.holds.one.entry.at);
    let kept = fill(words.debrief_kept, &[("who", &signer), ("when", &when)]);
    flow.paragraph(&[(&kept, SMALL.grey())]);
    flow.gap(2.0);
    let rows = lines.watched.iter().map(|line| {
        let who = line.staff.as_deref();
        let style = if who.is_some() {
            BODY.semi()
        } else {
            BODY.bold()
        };
        Row::of(vec![
            Cell::new(who.unwrap_or(words.nobody), style),
            Cell::new(line.pairs.join(", "), BODY),
        ])
    });
    flow.table(&Table {
        columns: vec![Column::left(28.0), Column::left(72.0)],
        head: heads(&[words.teams_watches, words.teams_pairs]),
        rows: rows.collect(),
    });
    flow.gap(3.0);
    if !lines.alone.is_empty() {
        let line = fill(words.teams_alone, &[("names", &lines.alone.join(", "))]);
        flow.paragraph(&[(&line, SMALL.bold())]);
    }
    for pair in &fitting(said.holds.teams, plan).pairs {
        let ages = pair_ages(source.course, plan, pair, |student| source.age(student));
        let Some(ages) = ages else { continue };
        let pattern = match ages.beside() {
            Beside::Nobody => words.teams_young,
            Beside::Perhaps => words.teams_young_unknown,
            Beside::Adult => continue,
        };
        let names = pair_line(source, &roster, pair);
        let line = fill(pattern, &[("names", &names)]);
        flow.paragraph(&[(&line, SMALL.bold())]);
    }
    for apart in &said.apart {
        let lines = TeamLines::of(source, plan, apart.teams, words).lines(words);
        let line = fill(
            words.teams_apart,
            &[
                ("who", &signer_name(&source.signer(apart.one))),
                ("when", &moment(apart.one.entry.at)),
                ("pairs", &lines.join("; ")),
            ],
        );
        flow.paragraph(&[(&line, SMALL.bold())]);
    }
}

/// What was raised in the session's water, with how it ended; nothing where nothing was.
pub(super) fn raised(
    flow: &mut Flow<'_>,
    source: &Source<'_>,
    words: &'static Words,
    session: SessionId,
) {
    let mut alarms: Vec<_> = source.course.alarms(&session).collect();
    if alarms.is_empty() {
        return;
    }
    alarms.sort_by_key(|(one, raised)| (raised.when, one.entry.id));
    flow.heading(2, words.raised_title);
    let rows = alarms.into_iter().map(|(one, raised)| {
        let mut said = vec![title_of(raised.what, words).to_owned()];
        if !raised.missing.is_empty() {
            let names = people(source, words, &raised.missing);
            said.push(fill(words.raised_missing, &[("names", &names)]));
        }
        if let Some(by) = &raised.reported_by {
            let who = people(source, words, std::slice::from_ref(by));
            said.push(fill(words.raised_by, &[("who", &who)]));
        }
        let end = source.course.alarm_end(&one.entry.id);
        let ended = match end {
            Some((_, ended)) => Cell::new(end_line(words, ended), SMALL),
            None if raised.what == crate::course::Alarm::LostBuddy => {
                Cell::new(words.raised_open, SMALL.bold())
            }
            None => Cell::new("", SMALL),
        };
        Row::of(vec![
            Cell::new(clock(raised.when), BODY.bold()),
            Cell::new(said.join(" · "), BODY),
            ended,
            Cell::new(signer_name(&source.signer(one)), SMALL),
        ])
    });
    flow.table(&Table {
        columns: vec![
            Column::left(10.0),
            Column::left(48.0),
            Column::left(22.0),
            Column::left(20.0),
        ],
        head: Vec::new(),
        rows: rows.collect(),
    });
}

/// How an alarm ended, with the time.
fn end_line(words: &Words, ended: &AlarmEnded) -> String {
    let how = end_of(words, ended.how);
    format!("{how} {}", clock(ended.when))
}

/// How an alarm ended, in a word.
pub(super) const fn end_of(words: &Words, how: AlarmEnd) -> &'static str {
    match how {
        AlarmEnd::Found => words.raised_found,
        AlarmEnd::TakenOver => words.raised_taken,
    }
}

/// People by name, students before staff.
pub(super) fn people(source: &Source<'_>, words: &Words, who: &[Who]) -> String {
    let named = |who: &Who| match who {
        Who::Student(id) => source.student_name(id, words),
        Who::Staff(id) => source.staff_name(id).unwrap_or_else(|| id.to_string()),
    };
    who.iter().map(named).collect::<Vec<_>>().join(", ")
}
