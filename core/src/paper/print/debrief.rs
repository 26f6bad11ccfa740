//! The debriefs of a session on its sheet: one card a student, as it was kept or is proposed.

use super::SMALL;
use crate::course::SessionId;
use crate::entry::Body;
use crate::paper::pdf::{Cell, Column, Flow, Row, Table};
use crate::paper::say::{moment, signer_name};
use crate::paper::source::Source;
use crate::paper::words::{Words, fill};
use crate::plan::{debrief, debriefed};
use crate::standing::SessionNow;

/// One card a student, once the session has begun.
pub(super) fn debriefs(
    flow: &mut Flow<'_>,
    source: &Source<'_>,
    words: &'static Words,
    (session, now): (SessionId, &SessionNow),
) {
    if now.plan.starts > source.now || now.cancelled.is_some() {
        return;
    }
    let students = debriefed(source.course, &session);
    let mut cards = Vec::new();
    for (student, called) in source.roster(&students, words) {
        let kept = source.course.debrief(&session, &student);
        let said = kept.and_then(|one| {
            if let Body::Debrief(debrief) = &one.entry.body {
                Some(debrief.said.clone())
            } else {
                None
            }
        });
        let said = said.unwrap_or_else(|| debrief(source.course, &session, &student));
        if said.parts().iter().all(|(_, text)| text.is_empty()) {
            continue;
        }
        let state = kept.map_or_else(
            || words.debrief_proposed.to_owned(),
            |one| {
                let who = signer_name(&source.signer(one));
                let when = moment(one.entry.at);
                fill(words.debrief_kept, &[("who", &who), ("when", &when)])
            },
        );
        cards.push((student, called, said, state));
    }
    if cards.is_empty() {
        return;
    }
    flow.heading(2, words.debrief_title);
    for (student, called, said, state) in cards {
        let called = super::legible(flow.set(), &called, &student);
        flow.heading(3, &called);
        flow.paragraph(&[(&state, SMALL.grey())]);
        let parts = [
            (words.debrief_met, said.met),
            (words.debrief_fault, said.fault),
            (words.debrief_fix, said.fix),
            (words.debrief_next, said.next),
            (words.debrief_practise, said.practise),
        ];
        let rows = parts.into_iter().filter(|(_, text)| !text.is_empty());
        let rows = rows.map(|(label, text)| {
            Row::of(vec![
                Cell::new(label, SMALL.semi().grey()),
                Cell::new(text, SMALL),
            ])
        });
        flow.table(&Table {
            columns: vec![Column::left(22.0), Column::left(78.0)],
            head: Vec::new(),
            rows: rows.collect(),
        });
    }
}
