//! Record: the way of one tap. Request in, rules asked, signed, one commit, what changed out.

use std::collections::{BTreeMap, BTreeSet};

use uuid::Uuid;

use super::drafts::{Draft, Drafts};
use super::projection::Projection;
use super::shelf::Shelf;
use super::{Change, DeskError, Recorded, Request};
use crate::course::{AgeKnown, EntryId, LedgerId, PersonDetails, StudentId};
use crate::entry::{Body, DetailsDigest, Entry, Facts as _, Hand, Refusal, Sort, Writer, write};
use crate::paper::Go;
use crate::standing::Touched;
use crate::store::Commit;
use crate::view::KnownFacts;

/// What one request wrote into one ledger, waiting for the commit.
#[derive(Debug, Default)]
struct Pending {
    changes: Vec<([u8; 32], Vec<u8>)>,
    touched: Touched,
}

/// What becomes of entries that every rule allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Finish {
    /// They are committed.
    Commit,
    /// They are dropped: it was only asked whether they would be allowed.
    AskOnly,
}

impl Shelf {
    /// Records a request: all of its entries or none.
    pub(super) fn record(
        &mut self,
        request: Request,
    ) -> Result<(Recorded, Vec<Change>), DeskError> {
        let drafts = self.drafts(request)?;
        self.write_down(drafts)
    }

    /// Records several requests: all of their entries or none. Each is drafted as things stand
    /// before the first, so none may rest on another.
    pub(super) fn record_all(
        &mut self,
        requests: Vec<Request>,
    ) -> Result<(Recorded, Vec<Change>), DeskError> {
        let mut all = Drafts::none();
        for request in requests {
            all = all.then(self.drafts(request)?);
        }
        self.write_down(all)
    }

    /// Asks every rule that [`Shelf::record_all`] would ask of these requests, and records
    /// nothing: what was touched is opened again from the disk.
    pub(super) fn would_record(&mut self, requests: Vec<Request>) -> Result<(), DeskError> {
        let mut all = Drafts::none();
        for request in requests {
            all = all.then(self.drafts(request)?);
        }
        let mut touched = BTreeSet::new();
        let asked = self.try_write_down(all, Finish::AskOnly, &mut touched, &mut |_, _| Go::On);
        for ledger in &touched {
            self.close(ledger)?;
        }
        asked.map(|_| ())
    }

    /// Writes entries down: rules, signature, ledger, meaning, then one commit. Memory runs
    /// ahead of the disk only while the desk's lock is held; when anything fails, what was
    /// touched is closed and opened again from the disk.
    pub(super) fn write_down(
        &mut self,
        drafts: Drafts,
    ) -> Result<(Recorded, Vec<Change>), DeskError> {
        self.write_down_watched(drafts, &mut |_, _| Go::On)
    }

    /// The same, with a word after each entry: how many are made of how many. Stopped, none is
    /// recorded.
    pub(super) fn write_down_watched(
        &mut self,
        drafts: Drafts,
        watch: &mut dyn FnMut(usize, usize) -> Go,
    ) -> Result<(Recorded, Vec<Change>), DeskError> {
        let mut touched = BTreeSet::new();
        let done = self.try_write_down(drafts, Finish::Commit, &mut touched, watch);
        if done.is_err() {
            for ledger in &touched {
                self.close(ledger)?;
            }
        }
        done
    }

    fn try_write_down(
        &mut self,
        drafts: Drafts,
        finish: Finish,
        begun: &mut BTreeSet<LedgerId>,
        watch: &mut dyn FnMut(usize, usize) -> Go,
    ) -> Result<(Recorded, Vec<Change>), DeskError> {
        let of = drafts.list.len();
        let mut recorded = Recorded {
            entries: Vec::new(),
            made: drafts.made,
        };
        let mut pending: BTreeMap<LedgerId, Pending> = BTreeMap::new();
        let mut details = None;
        let mut forgotten = Vec::new();
        let mut written = Vec::new();
        for draft in drafts.list {
            let mut draft = draft;
            if draft.takes_digest {
                put_digest(&mut draft.body, details);
            }
            if let Body::PersonForgotten(body) = &draft.body {
                forgotten.push(LedgerId::Person(body.student));
            } else if let Body::CourseDropped(body) = &draft.body {
                forgotten.push(LedgerId::Course(body.course));
            }
            if draft.follows {
                let kind = draft.body.kind();
                let alike = written.iter().filter(|(one, _)| *one == kind);
                draft.after.extend(alike.map(|(_, entry)| *entry));
            }
            let kind = draft.body.kind();
            let ledger = draft.ledger;
            if matches!(draft.body, Body::CourseOpened(_)) && !self.holds(&ledger)? {
                begun.insert(ledger);
            }
            let signer = self.ask_rules(&draft)?;
            begun.insert(ledger);
            let (entry, payload, change) = self.seal(draft, signer)?;
            details = Some(DetailsDigest::of(entry, &payload));
            let touched = self.take_line(&ledger, entry)?;
            let waiting = pending.entry(ledger).or_default();
            waiting.changes.push(change);
            waiting.touched.cells.extend(touched.cells);
            waiting.touched.wider |= touched.wider;
            recorded.entries.push((ledger, entry));
            written.push((kind, entry));
            if watch(recorded.entries.len(), of) == Go::Stop {
                return Err(DeskError::Stopped);
            }
        }
        if finish == Finish::AskOnly {
            return Ok((recorded, Vec::new()));
        }
        self.commit(&pending)?;
        if !forgotten.is_empty() {
            for ledger in forgotten {
                self.forget(&ledger)?;
            }
            self.let_files_go()?;
        }
        let changes = pending
            .into_iter()
            .map(|(ledger, waiting)| Change {
                ledger,
                cells: waiting.touched.cells.into_iter().collect(),
                wider: waiting.touched.wider,
                from_elsewhere: false,
            })
            .collect();
        Ok((recorded, changes))
    }

    /// Whether this device may issue a certificate like this one.
    pub(super) fn may_issue(&self, role: crate::course::Role) -> Result<(), DeskError> {
        self.authority()?.may_write(Sort::certificate(role))?;
        Ok(())
    }

    /// Asks the rules whether this may be written now, and who signs it.
    pub(super) fn ask_rules(&mut self, draft: &Draft) -> Result<(Hand, Writer), DeskError> {
        if let LedgerId::Course(id) = &draft.ledger {
            // A course that begins is not there yet: its first entry makes it.
            if matches!(draft.body, Body::CourseOpened(_)) {
                self.ledger(&draft.ledger)?;
            }
            self.course_or_begun(id)?;
        }
        let (shop, book) = self.shop()?;
        let course = match &draft.ledger {
            LedgerId::Course(id) => self.courses.get(id).map(|open| &open.standing),
            LedgerId::Shop(_) | LedgerId::Person(_) => None,
        };
        let people = &self.people;
        let age = |student: &StudentId| {
            let details = people.get(student).and_then(|one| one.details.as_ref());
            details.map_or(AgeKnown::Nothing, PersonDetails::age)
        };
        let today = self.today();
        let facts = KnownFacts {
            ledger: &draft.ledger,
            shop: &shop.standing,
            book,
            course,
            today,
            own: Some(self.device.key.public()),
            age: &age,
        };
        let signer = self
            .authority()?
            .may_record(&facts, &draft.ledger, &draft.body, today)?;
        if let Body::Attempt(_) = &draft.body {
            // What was on screen must be marks of this cell: `after` decides what counts.
            for id in &draft.after {
                if facts.entry(id).is_none() {
                    return Err(Refusal::Unknown { what: "entry" }.into());
                }
            }
            if draft.after.len() > MOST_SEEN {
                return Err(Refusal::OutOfBounds {
                    field: "marks of one cell",
                    value: i64::try_from(draft.after.len()).unwrap_or(i64::MAX),
                    least: 0,
                    most: 1_000,
                }
                .into());
            }
        }
        Ok(signer)
    }

    fn course_or_begun(&mut self, id: &crate::course::CourseId) -> Result<(), DeskError> {
        if self.courses.contains_key(id) {
            Ok(())
        } else {
            self.course(id).map(|_| ())
        }
    }

    /// Signs a draft and adds it to its ledger in memory.
    #[expect(clippy::type_complexity, reason = "named where it is taken apart")]
    fn seal(
        &mut self,
        draft: Draft,
        (hand, writer): (Hand, Writer),
    ) -> Result<(EntryId, Vec<u8>, ([u8; 32], Vec<u8>)), DeskError> {
        let Draft {
            ledger,
            body,
            after,
            ..
        } = draft;
        let entry = Entry {
            // Known only once it is sealed: it is a digest of what is sealed.
            id: EntryId::new(Uuid::nil()),
            at: self.stamps.now(),
            by: writer.staff,
            after,
            body,
        };
        let signing = {
            let root = self
                .device
                .root
                .as_ref()
                .filter(|_| matches!(hand, Hand::Root));
            root.unwrap_or(&self.device.key).public()
        };
        let prev = self.ledger(&ledger)?.last_of(&signing).pop();
        let payload = write(&entry)?;
        let root = self
            .device
            .root
            .as_ref()
            .filter(|_| matches!(hand, Hand::Root));
        let (id, sealed) = root
            .unwrap_or(&self.device.key)
            .seal(&ledger, prev, &payload);
        let added = self.ledger(&ledger)?.add(&sealed)?;
        Ok((id, payload, (added.hash, added.change)))
    }

    fn commit(&mut self, pending: &BTreeMap<LedgerId, Pending>) -> Result<(), DeskError> {
        let projections: BTreeMap<&LedgerId, Projection> = pending
            .iter()
            .map(|(ledger, waiting)| (ledger, self.projection(ledger, &waiting.touched)))
            .collect();
        let mut commits: Vec<(LedgerId, Commit<'_>)> = pending
            .iter()
            .filter_map(|(ledger, waiting)| {
                let commit = Commit {
                    changes: &waiting.changes,
                    ..projections.get(ledger)?.commit()
                };
                Some((*ledger, commit))
            })
            .collect();
        self.put(&mut commits)
    }
}

/// The most marks a cell's `after` may list.
const MOST_SEEN: usize = 1_000;

fn put_digest(body: &mut Body, details: Option<DetailsDigest>) {
    let Some(digest) = details else { return };
    if let Body::Enrolment(enrolment) = body {
        enrolment.details = digest
    } else if let Body::Amendment(amendment) = body {
        amendment.details = digest
    }
}
