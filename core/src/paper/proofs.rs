//! Proofs: what each student's record rests on, by the ledger's entries alone.
//!
//! Which entries these are follows from the entries that a ledger held and from nothing else: not
//! from the shop's book, so that shutting a device out later changes no record that was printed;
//! not from details, a date or an outline, so that forgetting, time and a new edition change none.
//! Entries that were withdrawn or do not count are among them, as they stood there.
//!
//! A kind of entry that comes later takes a part of its own and another domain tag: joined to a
//! part that exists, it would change every record printed before.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use crate::course::{EntryId, SessionId, StudentId};
use crate::entry::{Body, InRecord, Part};
use crate::ledger::{Fingerprint, Ledger, State};
use crate::trust::Line;

/// How far a chain of withdrawals of withdrawals is followed; only a forged ring gets here.
const DEEPEST_CHAIN: usize = 64;

/// What can be proved of one course, worked out when it is first asked for: once for a course,
/// however many of its records are printed.
#[derive(Debug, Default)]
pub struct Proofs(OnceLock<Whole>);

/// A course and everybody's record in it.
#[derive(Debug)]
pub(crate) struct Whole {
    /// Of every entry.
    pub(crate) fingerprint: Fingerprint,
    /// Which entries these were.
    pub(crate) state: State,
    /// What each record rests on.
    pub(crate) grounds: Grounds,
}

impl Proofs {
    /// Of this ledger. One value belongs to one ledger that does not change.
    pub(crate) fn of(&self, ledger: &Ledger) -> &Whole {
        self.0.get_or_init(|| Whole {
            fingerprint: Fingerprint::of(ledger),
            state: State::of(ledger),
            grounds: Grounds::of(ledger.lines()),
        })
    }
}

/// The entries that each student's record rests on, part by part.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Grounds(BTreeMap<StudentId, BTreeMap<Part, BTreeSet<EntryId>>>);

impl Grounds {
    /// Of these lines: all of a ledger's, or those that it held once.
    pub fn of<'l>(lines: impl IntoIterator<Item = (&'l EntryId, &'l Line)>) -> Self {
        let mut sorting = Sorting::default();
        for (id, line) in lines {
            if line.signed
                && let Some(entry) = line.entry()
            {
                sorting.take(*id, &entry.body);
            }
        }
        sorting.finish()
    }

    /// Everyone of whom anything is there, by id.
    pub fn students(&self) -> impl Iterator<Item = StudentId> {
        self.0.keys().copied()
    }

    /// Every entry that a student's record rests on.
    pub fn entries(&self, student: &StudentId) -> BTreeSet<EntryId> {
        let parts = self.0.get(student).into_iter().flat_map(BTreeMap::values);
        parts.flatten().copied().collect()
    }

    /// The parts of a student's record that an entry stands in.
    #[cfg(test)]
    pub(super) fn parts_of(&self, student: &StudentId, entry: &EntryId) -> Vec<Part> {
        let parts = self.0.get(student).into_iter().flatten();
        let with = parts.filter(|(_, entries)| entries.contains(entry));
        with.map(|(part, _)| *part).collect()
    }

    /// How many these are, and their fingerprint.
    pub fn own(&self, ledger: &Ledger, student: &StudentId) -> (usize, Fingerprint) {
        let entries = self.entries(student);
        let own = Fingerprint::of_record(ledger, student, None, &entries);
        (entries.len(), own)
    }

    /// The same, part by part, in the order in which they are printed.
    pub fn parts(&self, ledger: &Ledger, student: &StudentId) -> Vec<(Part, usize, Fingerprint)> {
        let parts = self.0.get(student).into_iter().flatten();
        parts
            .map(|(part, entries)| {
                let word = Some(part.word());
                let fingerprint = Fingerprint::of_record(ledger, student, word, entries);
                (*part, entries.len(), fingerprint)
            })
            .collect()
    }
}

/// Entries on their way into their parts. What names another entry waits until all are there:
/// it may stand before what it names.
#[derive(Default)]
struct Sorting {
    found: Grounds,
    /// Whose record an entry is in, under which part.
    owners: BTreeMap<EntryId, BTreeSet<(StudentId, Part)>>,
    /// What plans, moves or cancels each session.
    sessions: BTreeMap<SessionId, BTreeSet<EntryId>>,
    /// Who was planned for it, or seen in it.
    present: BTreeSet<(SessionId, StudentId)>,
    confirmations: Vec<(EntryId, Vec<EntryId>)>,
    withdrawals: BTreeMap<EntryId, EntryId>,
}

impl Sorting {
    fn take(&mut self, id: EntryId, body: &Body) {
        let about = body.about();
        match body.kind().in_record() {
            InRecord::Under(part) => {
                for student in about.students() {
                    self.own(student, part, id);
                }
            }
            InRecord::WithSession => {
                if let Some(session) = about.session {
                    self.sessions.entry(session).or_default().insert(id);
                }
            }
            InRecord::WithNamed => self.names(id, body),
            InRecord::No | InRecord::AsRemark | InRecord::AsIncident => {}
        }
        if let Body::Attendance(b) = body {
            let seen = about.students().map(|student| (b.session, student));
            self.present.extend(seen);
        } else if let Body::SessionPlanned(b) = body {
            let planned = b.plan.students.iter();
            self.present
                .extend(planned.map(|student| (b.session, *student)));
        }
    }

    /// What an entry names, to be looked for when all are there.
    fn names(&mut self, id: EntryId, body: &Body) {
        if let Body::Confirmation(b) = body {
            self.confirmations.push((id, b.attempts.clone()));
        } else if let Body::Withdrawal(b) = body {
            self.withdrawals.insert(id, b.entry);
        }
    }

    fn own(&mut self, student: StudentId, part: Part, id: EntryId) {
        let parts = self.found.0.entry(student).or_default();
        parts.entry(part).or_default().insert(id);
        self.owners.entry(id).or_default().insert((student, part));
    }

    /// Puts an entry wherever another one is.
    fn join(&mut self, id: EntryId, named: &EntryId) {
        for (student, part) in self.owners.get(named).cloned().unwrap_or_default() {
            self.own(student, part, id);
        }
    }

    fn finish(mut self) -> Grounds {
        for (session, student) in std::mem::take(&mut self.present) {
            for id in self.sessions.get(&session).cloned().unwrap_or_default() {
                self.own(student, Part::Sessions, id);
            }
        }
        for (id, attempts) in std::mem::take(&mut self.confirmations) {
            for attempt in &attempts {
                self.join(id, attempt);
            }
        }
        // A withdrawal belongs where what it is about in the end belongs.
        let withdrawals = std::mem::take(&mut self.withdrawals);
        for (id, named) in &withdrawals {
            let mut at = named;
            for _ in 0..DEEPEST_CHAIN {
                let Some(next) = withdrawals.get(at) else {
                    self.join(*id, at);
                    break;
                };
                at = next;
            }
        }
        self.found
    }
}
