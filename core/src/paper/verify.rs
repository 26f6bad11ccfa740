//! Verify: a printed record held against a course file.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

use super::bundle::OpenBundle;
use super::record::{Part, Record};
use super::source::Source;
use crate::course::{LedgerId, PersonDetails, StudentId};
use crate::entry::Body;
use crate::ledger::{Fingerprint, Ledger, Likeness, State};
use crate::standing::Tally;
use crate::trust::Doubt;

/// What checking a course file gave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Verification {
    /// The fingerprint of the whole course, worked out anew.
    pub fingerprint: Fingerprint,
    /// The state of the course that it is of.
    pub state: State,
    /// Entries in it.
    pub entries: usize,
    /// How the printed fingerprint compares, if one was given.
    pub printed: Option<Printed>,
    /// Every student's record, part by part.
    pub records: Vec<RecordCheck>,
    /// Entries of a newer version.
    pub newer: usize,
    /// Entries that count for nothing, by reason.
    pub unverified: BTreeMap<Doubt, usize>,
    /// Things in the change log that no honest device writes.
    pub irregular: usize,
}

/// What was printed, and is held against the entries.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Claim {
    /// The fingerprint, either of the two.
    pub fingerprint: Fingerprint,
    /// The ledger's state that was printed beside it, if it was given.
    pub state: Option<State>,
}

impl From<Fingerprint> for Claim {
    fn from(fingerprint: Fingerprint) -> Self {
        Self {
            fingerprint,
            state: None,
        }
    }
}

impl Claim {
    fn compare(&self, ledger: &Ledger) -> Likeness {
        match (self.fingerprint.compare(ledger), &self.state) {
            (Likeness::Other, Some(state)) => self.fingerprint.compare_at(state, ledger),
            (likeness, _) => likeness,
        }
    }
}

/// What a printed fingerprint is of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Printed {
    /// Of exactly this course.
    Same,
    /// Of this course as it was; so many entries have come since.
    Before {
        /// Entries then.
        entries: usize,
        /// Entries since.
        since: usize,
    },
    /// Of exactly the entries that this student's record rests on.
    Record(StudentId),
    /// Of something else.
    Other,
}

impl Printed {
    /// Whether what was printed stands in this file, unchanged.
    pub const fn holds(&self) -> bool {
        match self {
            Self::Same | Self::Before { .. } | Self::Record(_) => true,
            Self::Other => false,
        }
    }
}

/// One student's record as the file gives it, to be held against a printed one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordCheck {
    /// Who.
    pub student: StudentId,
    /// Whether an instructor has completed it, and nothing is open.
    pub completed: bool,
    /// Entries it rests on.
    pub entries: usize,
    /// Of those.
    pub own: Fingerprint,
    /// Part by part.
    pub parts: Vec<(Part, usize, Fingerprint)>,
}

/// Works everything out anew from a course file.
pub fn verify(
    bundle: &OpenBundle,
    printed: Option<Claim>,
    now: DateTime<FixedOffset>,
) -> Verification {
    let standing = bundle.standing();
    let names = details(bundle);
    let source = Source {
        course: &standing.course,
        ledger: &bundle.course,
        shop: &standing.shop,
        trust: &standing.trust,
        names: &names,
        now,
    };
    verify_course(&source, printed)
}

/// Works everything out anew from a course as a device holds it.
pub fn verify_course(source: &Source<'_>, printed: Option<Claim>) -> Verification {
    let records: Vec<RecordCheck> = source
        .course
        .students()
        .into_iter()
        .map(|student| {
            let record = Record::of(source, student);
            RecordCheck {
                student,
                completed: record.is_completed(),
                entries: record.proof.own_entries,
                own: record.proof.own,
                parts: record.proof.parts,
            }
        })
        .collect();
    let printed = printed.map(|printed| {
        let own = |record: &&RecordCheck| record.own == printed.fingerprint;
        let of_record = records.iter().find(own);
        match (printed.compare(source.ledger), of_record) {
            (Likeness::Same, _) => Printed::Same,
            (_, Some(record)) => Printed::Record(record.student),
            (Likeness::Before { entries, since }, None) => Printed::Before {
                entries,
                since: since.len(),
            },
            (Likeness::Other, None) => Printed::Other,
        }
    });
    let tally: &Tally = source.course.tally();
    let mut unverified = BTreeMap::new();
    for doubt in tally.unverified().values() {
        *unverified.entry(*doubt).or_insert(0) += 1;
    }
    Verification {
        fingerprint: Fingerprint::of(source.ledger),
        state: State::of(source.ledger),
        entries: source.ledger.lines().len(),
        printed,
        records,
        newer: tally.newer().len(),
        unverified,
        irregular: source.ledger.irregular().len(),
    }
}

/// The details that came with a bundle and are those the course knows: by their digest, so
/// that nobody can put another name to a record.
pub(crate) fn details(bundle: &OpenBundle) -> BTreeMap<StudentId, PersonDetails> {
    let standing = bundle.standing();
    let mut found = BTreeMap::new();
    for person in &bundle.people {
        let LedgerId::Person(student) = *person.id() else {
            continue;
        };
        let Some(digest) = standing.course.details(&student) else {
            continue;
        };
        let Some(bytes) = person.bytes_of(&digest.entry) else {
            continue;
        };
        let Ok(envelope) = crate::entry::Envelope::open(&bytes) else {
            continue;
        };
        let entry = person.lines().get(&digest.entry);
        if let Some(entry) = entry.and_then(|line| line.entry())
            && let Body::Details(details) = &entry.body
            && crate::entry::DetailsDigest::of(digest.entry, envelope.payload) == digest
        {
            found.insert(student, details.details.clone());
        }
    }
    found
}
