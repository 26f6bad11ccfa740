//! Verify: a printed record held against a course file.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset};

use super::bundle::OpenBundle;
use super::proofs::{Grounds, Proofs, Whole};
use super::record::Record;
use super::source::Source;
use crate::course::{EntryId, LedgerId, PersonDetails, StudentId};
use crate::entry::{Body, Part};
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
    /// How many entries the course held in the state that was given; `None` when none was given,
    /// or the course was never in it as far as its entries are here.
    pub at_state: Option<usize>,
    /// Every student's record, part by part: as it stood in that state, else as it stands.
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
    /// A fingerprint, either of the two; without one a record is compared part by part.
    pub fingerprint: Option<Fingerprint>,
    /// The ledger's state that was printed beside it, if it was given.
    pub state: Option<State>,
}

impl From<Fingerprint> for Claim {
    fn from(fingerprint: Fingerprint) -> Self {
        Self {
            fingerprint: Some(fingerprint),
            state: None,
        }
    }
}

/// What a printed fingerprint is of.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
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
    /// Of exactly the entries that this student's record rests on, or rested on in the state
    /// that was printed.
    Record {
        /// Whose.
        student: StudentId,
        /// Entries it rested on then.
        entries: usize,
        /// Entries about the student since.
        since: usize,
    },
    /// Of something else.
    Other,
}

impl Printed {
    /// Whether what was printed stands in this file, unchanged.
    pub const fn holds(&self) -> bool {
        match self {
            Self::Same | Self::Before { .. } | Self::Record { .. } => true,
            Self::Other => false,
        }
    }
}

/// One student's record as the file gives it, to be held against a printed one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordCheck {
    /// Who.
    pub student: StudentId,
    /// Whether an instructor has completed it and nothing is open, as it stands now.
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
        proofs: &Proofs::default(),
        now,
        water: None,
    };
    verify_course(&source, printed)
}

/// Works everything out anew from a course as a device holds it.
pub fn verify_course(source: &Source<'_>, claim: Option<Claim>) -> Verification {
    let whole = source.proofs.of(source.ledger);
    let (fingerprint, state) = claim.map_or((None, None), |claim| (claim.fingerprint, claim.state));
    let moment = state.as_ref().and_then(|state| {
        let moments = state.moments(source.ledger).into_iter();
        let moments: Vec<Moment> = moments
            .map(|held| Moment::of(source.ledger, held))
            .collect();
        // Where the digits fit several changes, the fingerprint says which were meant.
        let meant = |moment: &Moment| fingerprint.is_some_and(|print| moment.has(&print));
        let place = moments.iter().position(meant).unwrap_or(0);
        moments.into_iter().nth(place)
    });
    // A state that is not here says nothing: then the fingerprint speaks alone.
    let known = state.as_ref().filter(|_| moment.is_some());
    let moment_now;
    let then = match &moment {
        Some(moment) => moment,
        None => {
            moment_now = Moment::now(whole, source.ledger);
            &moment_now
        }
    };
    let printed = fingerprint.map(|print| compare(&print, then, known, source));
    let records = then.records.iter().map(|(student, own)| RecordCheck {
        student: *student,
        completed: Record::would_be_completed(source, *student),
        entries: own.0,
        own: own.1,
        parts: then.grounds.parts(source.ledger, student),
    });
    let records = records.collect();
    let at_state = moment.as_ref().map(|moment| moment.entries);
    let tally: &Tally = source.course.tally();
    let mut unverified = BTreeMap::new();
    for doubt in tally.unverified().values() {
        *unverified.entry(*doubt).or_insert(0) += 1;
    }
    Verification {
        fingerprint: whole.fingerprint,
        state: whole.state.clone(),
        entries: source.ledger.lines().len(),
        printed,
        at_state,
        records,
        newer: tally.newer().len(),
        unverified,
        irregular: source.ledger.irregular().len(),
    }
}

/// Everybody's record at one moment of a course.
struct Moment {
    /// Entries that the course held.
    entries: usize,
    grounds: Grounds,
    records: BTreeMap<StudentId, (usize, Fingerprint)>,
}

impl Moment {
    fn of(ledger: &Ledger, held: BTreeSet<EntryId>) -> Self {
        let lines = ledger.lines().iter().filter(|(id, _)| held.contains(id));
        Self::with(ledger, held.len(), Grounds::of(lines))
    }

    fn now(whole: &Whole, ledger: &Ledger) -> Self {
        Self::with(ledger, ledger.lines().len(), whole.grounds.clone())
    }

    fn with(ledger: &Ledger, entries: usize, grounds: Grounds) -> Self {
        let records = grounds.students();
        Self {
            entries,
            records: records
                .map(|one| (one, grounds.own(ledger, &one)))
                .collect(),
            grounds,
        }
    }

    fn has(&self, print: &Fingerprint) -> bool {
        self.records.values().any(|(_, own)| own == print)
    }
}

/// What a printed fingerprint is of.
fn compare(
    print: &Fingerprint,
    then: &Moment,
    state: Option<&State>,
    source: &Source<'_>,
) -> Printed {
    let likeness = match state {
        Some(state) => print.compare_at(state, source.ledger),
        None => print.compare(source.ledger),
    };
    let mut records = then.records.iter();
    let record = records.find(|(_, (_, own))| own == print);
    match (likeness, record) {
        (Likeness::Same, _) => Printed::Same,
        (_, Some((student, (entries, _)))) => {
            let grounds = &source.proofs.of(source.ledger).grounds;
            let now = grounds.entries(student).len();
            Printed::Record {
                student: *student,
                entries: *entries,
                since: now.saturating_sub(*entries),
            }
        }
        (Likeness::Before { entries, since }, None) => Printed::Before {
            entries,
            since: since.len(),
        },
        (Likeness::Other, None) => Printed::Other,
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
