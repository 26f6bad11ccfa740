//! Record: everything about one student's course, as a plain structure. Printing it is for
//! [`super::print`], checking it for [`super::verify()`]; here nothing is drawn.
//!
//! This file says what a record is; `gather` reads it from the entries, `water` the part of
//! it that happened in the water.

mod gather;
mod water;

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::source::{Signer, Source};
use crate::course::{
    AdultSeen, BlockId, ClearanceKind, EntryId, Family, LedgerId, Role, SessionId, Setting,
    SkillId, StudentId,
};
use crate::entry::{
    ClearanceResult, DeviceKey, KeptFile, Mark, Measured, MetElsewhere, Origin, Outcome, Part,
    Passage, RuleText,
};
use crate::ledger::{Fingerprint, State};
use crate::plan::Gap;
use crate::standing::CellState;

/// A student's training record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Record {
    /// Who it is about.
    pub student: StudentId,
    /// The name; `None` when the person was forgotten, or this device has no details.
    pub name: Option<String>,
    /// Whether the shop was told to forget the person.
    pub forgotten: bool,
    /// Birth date, where the course holds one.
    pub born: Option<NaiveDate>,
    /// Where no birth date is held: who saw that the person is of age.
    pub adult: Option<AdultSeen>,
    /// Where an earlier part was done.
    pub referred_from: Option<String>,
    /// The id that the other school knew the student by, where its course file was taken over.
    pub known_there_as: Option<StudentId>,
    /// The shop's name.
    pub shop: Option<String>,
    /// The course's title.
    pub course: Option<String>,
    /// Its first planned day.
    pub starts: Option<NaiveDate>,
    /// The outline followed.
    pub outline: Option<OutlineLine>,
    /// The policy in force.
    pub policy: Option<PolicyLine>,
    /// Staff assigned, by name.
    pub staff: Vec<(String, Role)>,
    /// How it stands.
    pub state: RecordState,
    /// What is missing: as of the day the course ended for the student, else of printing.
    pub gaps: Vec<Gap>,
    /// Papers and tests.
    pub papers: Vec<PaperLine>,
    /// Every skill of the outline.
    pub skills: Vec<SkillLine>,
    /// Sessions, by time.
    pub sessions: Vec<SessionLine>,
    /// Dives, by time.
    pub dives: Vec<DiveLine>,
    /// Weight checks, by time.
    pub weights: Vec<WeightLine>,
    /// Photographs and sounds that are kept of the student, and of the sessions they were in.
    pub kept: Vec<KeptLine>,
    /// Remarks that are kept and not printed.
    pub remarks: usize,
    /// Incident reports that name the student; kept apart and not printed.
    pub incidents: usize,
    /// The proof.
    pub proof: Proof,
}

/// Which outline.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutlineLine {
    /// Its title.
    pub title: String,
    /// Its edition.
    pub edition: u32,
    /// Who answers for it.
    pub source: String,
}

/// Which policy, and how much of it a person has confirmed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PolicyLine {
    /// Its title.
    pub title: String,
    /// Its edition.
    pub edition: u32,
    /// Rules confirmed.
    pub confirmed: usize,
    /// Of so many.
    pub rules: usize,
    /// The texts that they were checked against, each with how many rules, who and when.
    pub texts: Vec<TextLine>,
}

/// A text that rules were checked against.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct TextLine {
    /// Which.
    pub read: RuleText,
    /// Who read it, by name where it is known.
    pub by: String,
    /// How many rules were confirmed by it.
    pub rules: usize,
}

/// How a record stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RecordState {
    /// The course goes on.
    Open,
    /// It ended, by an instructor's statement.
    Ended {
        /// How.
        outcome: Outcome,
        /// Who said so.
        by: Signer,
        /// When.
        at: DateTime<FixedOffset>,
        /// Over how many entries.
        considered: usize,
        /// Whether they are still all that is known about the student.
        still_all: bool,
    },
}

/// One paper or test.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaperLine {
    /// Which.
    pub what: ClearanceKind,
    /// What it said.
    pub result: ClearanceResult,
    /// Metres, minutes or per cent.
    pub figure: Option<u32>,
    /// Who saw it.
    pub by: Signer,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// The last day it counts.
    pub until: Option<NaiveDate>,
}

/// One skill.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SkillLine {
    /// Which.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// Its family.
    pub family: Family,
    /// What must be shown.
    pub requirement: String,
    /// Whether completion needs it.
    pub required: bool,
    /// How it stands.
    pub state: CellState,
    /// Met and standing.
    pub met: u8,
    /// Of so many.
    pub of: u8,
    /// Met, and a later try was not.
    pub slipped_since: bool,
    /// Every word on it, in the order of writing.
    pub lines: Vec<MarkLine>,
}

/// One word on a skill.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MarkLine {
    /// The entry.
    pub entry: EntryId,
    /// What it is.
    pub what: MarkWhat,
    /// Who wrote it.
    pub by: Signer,
    /// When it was written.
    pub at: DateTime<FixedOffset>,
    /// The instructor who confirmed it, if it had to be.
    pub confirmed: Option<(Signer, DateTime<FixedOffset>)>,
    /// Who withdrew it, when and why.
    pub withdrawn: Option<(Signer, DateTime<FixedOffset>, Option<String>)>,
    /// Whether it is one of two views that nobody has settled.
    pub one_of_two: bool,
}

/// What a word on a skill is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MarkWhat {
    /// A try, judged.
    Attempt {
        /// What was seen.
        mark: Mark,
        /// In which way, by name.
        method: Option<String>,
        /// Figures taken, each with the unit the outline gives a reading.
        measured: Vec<(Measured, Option<String>)>,
        /// Faults seen, in words.
        slips: Vec<String>,
        /// Session and place.
        place: Option<Place>,
        /// How it came in, and when it was seen where that is not when it was written.
        origin: Origin,
        /// A remark.
        note: Option<String>,
        /// Why it counts as met although a figure is below what is asked.
        despite: Option<String>,
    },
    /// An instructor's word on two views or a slip since.
    Resolution {
        /// How it stands from there.
        mark: Mark,
        /// Why.
        why: String,
    },
    /// Not asked of this student.
    Exemption {
        /// Why; empty where it was met elsewhere and nothing more was said.
        why: String,
        /// Where it was met, when another school's course is continued here.
        elsewhere: Option<MetElsewhere>,
    },
}

/// A session, as a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Which.
    pub session: SessionId,
    /// Its title.
    pub title: String,
    /// Where it was held.
    pub site: String,
    /// In what setting.
    pub setting: Setting,
}

/// One session of a student.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SessionLine {
    /// Where.
    pub place: Place,
    /// Block of the outline.
    pub block: Option<BlockId>,
    /// When it began by plan.
    pub starts: DateTime<FixedOffset>,
    /// Minutes planned.
    pub minutes: u16,
    /// Why it was not held.
    pub cancelled: Option<String>,
    /// Times in and out of the water, in order.
    pub passages: Vec<Passed>,
    /// Minutes in the water, where every way in has its way out.
    pub water_minutes: Option<i64>,
    /// Skills that an instructor set aside for it, each time with why, who and when.
    pub set_aside: Vec<SetAside>,
}

/// A time in or out of the water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Passed {
    /// Which way.
    pub passage: Passage,
    /// The time that was meant.
    pub when: DateTime<FixedOffset>,
    /// When it was written, where that was afterwards.
    pub written: Option<DateTime<FixedOffset>>,
}

/// Skills that were asked for before a session, and that an instructor set aside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetAside {
    /// Their names, in the outline's order.
    pub skills: Vec<String>,
    /// Why.
    pub why: String,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Who.
    pub by: Signer,
}

/// One dive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DiveLine {
    /// The entry.
    pub entry: EntryId,
    /// In which session.
    pub place: Option<Place>,
    /// Where, in words, of one that belongs to no session.
    pub site: Option<String>,
    /// Its number among the dives of the course; `None` for one that is none of them.
    pub number: Option<usize>,
    /// The dive.
    pub log: crate::course::DiveLog,
    /// Who logged it.
    pub by: Signer,
}

impl DiveLine {
    /// Where it was, as far as anybody said.
    pub fn at(&self) -> Option<String> {
        let held = self.place.as_ref().map(|place| place.site.clone());
        held.or_else(|| self.site.clone())
    }
}

/// One weight check.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WeightLine {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// The check.
    pub check: crate::course::WeightCheck,
    /// Who saw it.
    pub by: Signer,
}

/// A photograph or a sound that is kept beside the record. Nothing in it rests on one: it is
/// checked by its own digest, and that it was named by the fingerprint of the whole course.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptLine {
    /// The entry.
    pub entry: EntryId,
    /// Its bytes: digest, length, kind.
    pub file: KeptFile,
    /// Of which session.
    pub place: Option<Place>,
    /// The number of the slate that it shows.
    pub slate: Option<String>,
    /// When it was kept.
    pub at: DateTime<FixedOffset>,
    /// Who kept it.
    pub by: Signer,
    /// Of one that is of this student alone: what a person said of it, or heard in it, and who.
    /// What is said of a whole session may name others.
    pub text: Option<(String, Signer)>,
}

/// What makes the record checkable.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proof {
    /// The course's ledger.
    pub ledger: LedgerId,
    /// How many entries it holds.
    pub entries: usize,
    /// Of all of them.
    pub fingerprint: Fingerprint,
    /// Which they were, so that they are told from what comes later.
    pub state: State,
    /// How many of them are about this student; the record rests on these.
    pub own_entries: usize,
    /// Of those alone, and of the student.
    pub own: Fingerprint,
    /// The same, part by part, so that a difference can be found.
    pub parts: Vec<(Part, usize, Fingerprint)>,
    /// Every device that signed for this record.
    pub devices: Vec<(Option<DeviceKey>, Signer)>,
    /// Entries of a newer version, kept and not read.
    pub newer: usize,
    /// Entries that count for nothing.
    pub unverified: usize,
    /// Things in the change log that no honest device writes.
    pub irregular: usize,
}

impl Record {
    /// The record of one student, as it stands.
    pub fn of(source: &Source<'_>, student: StudentId) -> Self {
        gather::gather(source, student)
    }

    /// Whether a student's record is completed, without putting the whole of it together.
    pub(crate) fn would_be_completed(source: &Source<'_>, student: StudentId) -> bool {
        gather::is_completed(source, student)
    }

    /// Whether an instructor has completed it, and nothing has opened a gap since.
    pub fn is_completed(&self) -> bool {
        self.gaps.is_empty()
            && matches!(
                self.state,
                RecordState::Ended {
                    outcome: Outcome::Completed,
                    ..
                }
            )
    }
}
