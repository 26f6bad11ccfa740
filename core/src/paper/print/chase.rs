//! The list to chase: forms and checks that are missing, student by student.

use std::collections::BTreeSet;

use super::{BODY, Press, SMALL, furniture, heads};
use crate::course::{Setting, StudentId};
use crate::paper::pdf::{Cell, Column, Flow, Mark, PdfError, Room, Row, Table, Turn};
use crate::paper::source::Source;
use crate::paper::words::Words;
use crate::plan::{Gap, Going, Missing, before_completion, before_session};
use crate::view::Units;

/// Something to bring or to do, and before what.
struct ToChase {
    student: StudentId,
    says: String,
    before: &'static str,
}

impl Press {
    /// Forms and checks of a course that are missing, refused or out of date, of everyone who
    /// is still in it; with how each person can be reached, for that is what the list is for.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn chase_list(&self, source: &Source<'_>) -> Result<Vec<u8>, PdfError> {
        let words = self.words();
        let lines = to_chase(source, words, self.units);
        self.print(|set| {
            let mut flow = Flow::new(set, self.sheet, Turn::Upright, Room::OFFICE);
            super::top(&mut flow, words.chase_title, &super::heading_of(source));
            if lines.is_empty() {
                flow.paragraph(&[(words.chase_nothing, BODY)]);
            } else {
                table(&mut flow, source, words, &lines);
            }
            super::close(&mut flow, words, words.chase_caution);
            let about = super::about(source, words, words.chase_title, words.chase_subject);
            flow.finish(&about, Some(&furniture(source, words, words.chase_title)))
        })
    }
}

/// What is missing, in order of name, the nearest gate first.
fn to_chase(source: &Source<'_>, words: &'static Words, units: Units) -> Vec<ToChase> {
    let today = source.today();
    let course = source.course;
    let mut lines = Vec::new();
    for (student, _) in source.roster(&course.students(), words) {
        if course.completion(&student).is_some() {
            continue;
        }
        let age = source.age(&student);
        let into = |setting| Going::somewhere(setting, today);
        let gates = [
            (
                words.before_water,
                before_session(source.shop, course, &student, &into(Setting::Confined), age),
            ),
            (
                words.before_open_water,
                before_session(source.shop, course, &student, &into(Setting::Open), age),
            ),
            (
                words.before_completion,
                before_completion(course, &student, today, age),
            ),
        ];
        let mut said = BTreeSet::new();
        for (before, gaps) in gates {
            for gap in gaps.into_iter().filter(is_a_form) {
                if said.insert(gap.clone()) {
                    lines.push(ToChase {
                        student,
                        says: words.gap(&gap, course.outline(), units),
                        before,
                    });
                }
            }
        }
    }
    lines
}

/// Whether it is something a person brings or does before a gate.
const fn is_a_form(gap: &Gap) -> bool {
    match gap.what {
        Missing::Age | Missing::Clearance(_) | Missing::NotCleared(..) | Missing::Expired(..) => {
            true
        }
        Missing::Policy
        | Missing::RuleUnconfirmed(_)
        | Missing::Outline
        | Missing::TooYoung { .. }
        | Missing::TooDeepForAge { .. }
        | Missing::Forbidden(_)
        | Missing::SkillNotThere(_)
        | Missing::Skill { .. }
        | Missing::SlippedSince(_)
        | Missing::Dives { .. }
        | Missing::Kit { .. } => false,
    }
}

fn table(flow: &mut Flow<'_>, source: &Source<'_>, words: &'static Words, lines: &[ToChase]) {
    let mut last = None;
    let rows = lines
        .iter()
        .map(|line| {
            let first = last.replace(line.student) != Some(line.student);
            let (name, reach) = if first {
                let name = source.student_name(&line.student, words);
                let details = source.names.details(&line.student);
                let reach = details.and_then(|details| details.contact);
                (
                    super::legible(flow.set(), &name, &line.student),
                    reach.unwrap_or_else(|| words.no_contact.to_owned()),
                )
            } else {
                ("\u{a0}".to_owned(), "\u{a0}".to_owned())
            };
            Row::of(vec![
                Cell::new(name, BODY.semi()),
                Cell::new(line.says.clone(), BODY).marked(Mark::Box),
                Cell::new(line.before, SMALL),
                Cell::new(reach, SMALL),
            ])
        })
        .collect();
    flow.table(&Table {
        columns: vec![
            Column::left(27.0),
            Column::left(33.0),
            Column::left(16.0),
            Column::left(24.0),
        ],
        head: heads(&[
            words.name,
            words.still_missing,
            words.chase_before,
            words.reached_at,
        ]),
        rows,
    });
}
