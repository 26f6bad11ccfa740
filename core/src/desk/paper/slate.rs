//! A marked slate, typed in: each mark says that it came from a slate, and when it was seen.
//!
//! A slate is marked away from any device, and typed in when much may have come since. So it
//! answers what stood on it: a printed slate is kept as it was printed, under the short number
//! at its head. A slate without one answers what this device held when the marks were made.
//! Either way it is a try and settles nothing: marks that differ go on differing.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::PaperError;
use crate::course::{CourseId, EntryId, LedgerId, SessionId, SkillId, StudentId};
use crate::desk::shelf::Shelf;
use crate::desk::{Again, Desk, DeskError, InWater, MarkTap, Recorded, Request};
use crate::entry::{Mark, Origin, Refusal, Who};
use crate::paper::{Language, PrintedSlate, Slate, SlateNumber, SlateStudent};
use crate::standing::CourseStanding;

/// One box of a marked slate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SlateMark {
    /// The row.
    pub student: StudentId,
    /// The column.
    pub skill: SkillId,
    /// What stands in it.
    pub mark: Mark,
}

/// The first two boxes of a row: one dive's times.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SlateTimes {
    /// The row.
    pub student: StudentId,
    /// When they went in.
    pub down: DateTime<FixedOffset>,
    /// When they came out.
    pub up: Option<DateTime<FixedOffset>>,
}

/// What was written beside a row, or under all of them.
#[derive(Clone, PartialEq, Eq)]
pub struct SlateRemark {
    /// The row; none for a remark about the session.
    pub student: Option<StudentId>,
    /// The remark.
    pub text: String,
}

/// A marked sheet: one dive of a session.
#[derive(Clone, PartialEq, Eq)]
pub struct SlateSheet {
    /// The number at its head, where it has one.
    pub number: Option<SlateNumber>,
    /// When the marks were made.
    pub seen: DateTime<FixedOffset>,
    /// The marked boxes.
    pub marks: Vec<SlateMark>,
    /// Times in and out that were written on it.
    pub times: Vec<SlateTimes>,
    /// Remarks.
    pub remarks: Vec<SlateRemark>,
}

/// Which marks each box had behind it.
type Behind = BTreeMap<StudentId, BTreeMap<SkillId, BTreeSet<EntryId>>>;

/// A slate as it was printed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Frozen {
    printed: DateTime<FixedOffset>,
    behind: Behind,
}

/// Under which word the slates of a session are kept.
fn head(session: SessionId) -> String {
    format!("slate.{session}.")
}

impl Desk {
    /// The slate of a session: the form into which the marked sheet is typed, and which sheets
    /// of it were printed here.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] for a course or session that is not here.
    pub fn slate(
        &self,
        course: &CourseId,
        session: SessionId,
        language: Language,
    ) -> Result<Slate, DeskError> {
        let papers = self.papers_of_sessions(course)?;
        let mut slate =
            Slate::of(&papers.source(), session, language).ok_or_else(|| DeskError::NotFound {
                what: "session",
                id: session.to_string(),
            })?;
        let kept = self.shelf().frozen(session)?;
        slate.printed = kept
            .into_iter()
            .map(|(number, frozen)| PrintedSlate {
                number,
                at: frozen.printed,
            })
            .collect();
        slate.printed.sort_by_key(|one| std::cmp::Reverse(one.at));
        Ok(slate)
    }

    /// The slate of a session, to be printed: kept as it stands, under a short number that is
    /// printed on it. Printed again before anything has come, it has the same number.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] for a course or session that is not here.
    pub fn slate_to_print(
        &self,
        course: &CourseId,
        session: SessionId,
        language: Language,
    ) -> Result<Slate, DeskError> {
        let mut slate = self.slate(course, session, language)?;
        let behind = self.with_course(course, |standing| {
            let mut behind = Behind::new();
            for SlateStudent { student, .. } in &slate.students {
                let of = behind.entry(*student).or_default();
                for column in &slate.skills {
                    let key = (*student, column.skill.clone());
                    let seen = standing.cells().get(&key).map(|cell| cell.seen.clone());
                    let seen = seen.unwrap_or_default().into_iter().collect();
                    of.insert(key.1, seen);
                }
            }
            behind
        })?;
        slate.number = Some(self.shelf().freeze(session, behind)?);
        Ok(slate)
    }

    /// Records a marked slate: every box, or none. `seen` is when the marks were made;
    /// `number` is the one at the head of the sheet, where it has one.
    ///
    /// # Errors
    /// [`Refusal::Twice`] if a box is there twice, [`Refusal::Unknown`] for a slate that was
    /// not printed here, and whatever forbids one of the marks.
    pub fn type_slate(
        &self,
        course: CourseId,
        session: SessionId,
        number: Option<SlateNumber>,
        seen: DateTime<FixedOffset>,
        marks: Vec<SlateMark>,
    ) -> Result<Recorded, PaperError> {
        self.type_sheet(
            course,
            session,
            SlateSheet {
                number,
                seen,
                marks,
                times: Vec::new(),
                remarks: Vec::new(),
            },
        )
    }

    /// Records a marked sheet with its times and remarks: all of it, or nothing. Its times are
    /// one dive: what was counted at the same time is put right by them, other dives stay.
    ///
    /// # Errors
    /// As [`Desk::type_slate`], and whatever forbids a time or a remark.
    pub fn type_sheet(
        &self,
        course: CourseId,
        session: SessionId,
        sheet: SlateSheet,
    ) -> Result<Recorded, PaperError> {
        let SlateSheet {
            number,
            seen,
            marks,
            times,
            remarks,
        } = sheet;
        let boxes: BTreeSet<_> = marks
            .iter()
            .map(|mark| (mark.student, mark.skill.clone()))
            .collect();
        if boxes.len() != marks.len() {
            // The second would not have seen the first: two views of one person.
            return Err(Refusal::Twice { what: "mark" }.into());
        }
        let frozen = match number {
            None => None,
            Some(number) => {
                let mut kept = self.shelf().frozen(session)?;
                let found = kept.remove(&number);
                Some(found.ok_or(Refusal::Unknown { what: "slate" })?)
            }
        };
        let mut taps = Vec::with_capacity(marks.len() + times.len() + remarks.len());
        for SlateTimes { student, down, up } in times {
            let who = Who::Student(student);
            let counted =
                self.with_course(&course, |standing| standing.times_in_water(&session, &who))?;
            let typed = InWater { down, up };
            taps.push(Request::SetTimes {
                course,
                session,
                who,
                dives: beside(counted, typed),
            });
        }
        for SlateMark {
            student,
            skill,
            mark,
        } in marks
        {
            let key = (student, skill);
            let printed = frozen
                .as_ref()
                .and_then(|frozen| frozen.behind.get(&key.0)?.get(&key.1));
            let behind = match printed {
                Some(printed) => printed.clone(),
                None => self.here_by(&course, &key, seen)?,
            };
            let answers = self.with_course(&course, |standing| answers(standing, &key, &behind))?;
            let on = self.on_screen(&course, key.0, &key.1)?.seeing(answers);
            taps.push(Request::Mark(MarkTap {
                on,
                mark,
                method: None,
                measured: Vec::new(),
                slips: Vec::new(),
                note: None,
                despite: None,
                session: Some(session),
                origin: Origin::Slate { seen },
                again: Again::AnotherTry,
            }));
        }
        for SlateRemark { student, text } in remarks {
            taps.push(Request::Note {
                course,
                student,
                skill: None,
                session: Some(session),
                entry: None,
                text,
            });
        }
        Ok(self.record_all(taps)?)
    }

    /// The marks of a cell that were here at a time, by this device's clock alone.
    fn here_by(
        &self,
        course: &CourseId,
        key: &(StudentId, SkillId),
        by: DateTime<FixedOffset>,
    ) -> Result<BTreeSet<EntryId>, DeskError> {
        let own = self.own_key();
        let (own, others): (Vec<_>, Vec<_>) = self.with_course(course, |standing| {
            standing
                .cell_entries(key)
                .map(|one| (one.entry.id, one.entry.at, one.device == own))
                .partition(|(_, _, own)| *own)
        })?;
        let mut here: BTreeSet<EntryId> = own
            .into_iter()
            .filter(|(_, at, _)| *at <= by)
            .map(|(id, ..)| id)
            .collect();
        let shelf = self.shelf();
        for (id, ..) in others {
            let arrived = shelf.store.arrived(&LedgerId::Course(*course), &id)?;
            if arrived.is_some_and(|at| at <= by) {
                here.insert(id);
            }
        }
        Ok(here)
    }
}

/// The dives that were counted and are not the one that is typed, and that one.
fn beside(
    counted: Vec<(DateTime<FixedOffset>, Option<DateTime<FixedOffset>>)>,
    typed: InWater,
) -> Vec<InWater> {
    let mut dives: Vec<InWater> = counted
        .into_iter()
        .map(|(down, up)| InWater { down, up })
        .filter(|dive| {
            dive.up.is_some_and(|up| up < typed.down) || typed.up.is_some_and(|up| up < dive.down)
        })
        .chain([typed])
        .collect();
    dives.sort_unstable_by_key(|dive| dive.down);
    dives
}

/// What a mark on paper answers: what stood behind its box and still stands, but for marks
/// that differed.
fn answers(
    standing: &CourseStanding,
    key: &(StudentId, SkillId),
    behind: &BTreeSet<EntryId>,
) -> Vec<EntryId> {
    let differing = standing.differing(key, behind);
    let cell = standing.cells().get(key);
    let standing = cell.into_iter().flat_map(|cell| cell.seen.iter().copied());
    standing
        .filter(|id| behind.contains(id) && !differing.contains(id))
        .collect()
}

impl Shelf {
    /// The slates of a session that were printed here.
    fn frozen(&self, session: SessionId) -> Result<BTreeMap<SlateNumber, Frozen>, DeskError> {
        let head = head(session);
        let kept = self.store.settings_under(&head)?;
        Ok(kept
            .into_iter()
            .filter_map(|(key, bytes)| {
                let number = key.strip_prefix(&head)?.parse().ok()?;
                // One that cannot be read is as one that was not printed here.
                Some((number, serde_json::from_slice(&bytes).ok()?))
            })
            .collect())
    }

    fn freeze(&mut self, session: SessionId, behind: Behind) -> Result<SlateNumber, DeskError> {
        let kept = self.frozen(session)?;
        if let Some((number, _)) = kept.iter().find(|(_, one)| one.behind == behind) {
            return Ok(*number);
        }
        let number = loop {
            let number = SlateNumber::drawn(&self.stamps.secret()?);
            if !kept.contains_key(&number) {
                break number;
            }
        };
        let frozen = Frozen {
            printed: self.stamps.now(),
            behind,
        };
        let bytes = serde_json::to_vec(&frozen).map_err(|_| Refusal::Unknown { what: "slate" })?;
        self.store
            .put_setting(&format!("{}{number}", head(session)), &bytes)?;
        Ok(number)
    }
}
