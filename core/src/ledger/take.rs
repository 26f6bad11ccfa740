//! Taking: changes from elsewhere, applied to a clone, so that nothing has happened until
//! the store has committed.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use automerge::{Automerge, AutomergeError, Change};

use super::adds::{A_ROW, Add, adds_of, adds_of_all};
use super::ahead::Ahead;
use super::chain::Chains;
use super::chunk::changes_in;
use super::follow::{Followed, follow, is_worth};
use super::guard::guarded;
use super::irregular::{Irregular, entries_in};
use super::layout::has;
use super::{Ledger, LedgerError, ready};
use crate::course::EntryId;
use crate::entry::content_id;
use crate::hands;
use crate::trust::{Checks, Line};

/// Changes from elsewhere, applied to a clone: nothing has happened to the ledger until
/// [`Ledger::adopt`] takes it, after the store has committed.
#[derive(Debug)]
pub struct Taken {
    next: Ledger,
    /// The changes that are new here, each with its hash, in an order that can be applied.
    pub changes: Vec<([u8; 32], Vec<u8>)>,
    /// The entries that are new here.
    pub entries: Vec<EntryId>,
    /// How long each of them is, in bytes, in the same order.
    pub(crate) lengths: Vec<usize>,
    /// Entries among them whose signature does not hold.
    pub unsigned: Vec<EntryId>,
}

impl Taken {
    /// The ledger as it will be.
    pub const fn ledger(&self) -> &Ledger {
        &self.next
    }

    /// More entries, without those that are there: two devices may have carried one over.
    fn put_all(&mut self, adds: Vec<Add>) {
        for Add { id, length, line } in adds {
            if self.next.lines.contains_key(&id) {
                continue;
            }
            if !line.signed {
                self.unsigned.push(id);
            }
            self.next.put_line(id, line);
            self.entries.push(id);
            self.lengths.push(length);
        }
    }
}

/// A change that is new here, and what it adds.
struct Found {
    hash: [u8; 32],
    bytes: Vec<u8>,
    adds: Result<Vec<Add>, Irregular>,
}

impl Found {
    fn of(change: &Change, adds: Result<Vec<Add>, Irregular>) -> Self {
        Self {
            hash: change.hash().0,
            bytes: change.raw_bytes().to_vec(),
            adds,
        }
    }
}

/// A ledger that a step may look at, or take whole.
#[derive(Debug)]
pub struct Lent(Option<Ledger>);

impl Lent {
    /// This ledger.
    pub const fn new(ledger: Ledger) -> Self {
        Self(Some(ledger))
    }

    /// A look at it.
    ///
    /// # Errors
    /// [`LedgerError::Engine`] once it was taken.
    pub fn look(&self) -> Result<&Ledger, LedgerError> {
        self.0.as_ref().ok_or_else(taken_already)
    }

    /// Takes it.
    ///
    /// # Errors
    /// [`LedgerError::Engine`] once it was taken.
    pub fn take(&mut self) -> Result<Ledger, LedgerError> {
        self.0.take().ok_or_else(taken_already)
    }

    /// What is left: nothing where it was taken.
    pub fn left(self) -> Option<Ledger> {
        self.0
    }
}

fn taken_already() -> LedgerError {
    LedgerError::Engine {
        during: "look at a ledger",
        detail: "it was taken already".into(),
    }
}

impl Ledger {
    /// Applies changes from elsewhere to a clone. What hangs on a change that is not here is
    /// left out.
    ///
    /// # Errors
    /// [`LedgerError`]; the ledger is as it was.
    pub fn take(&self, changes: Vec<Change>) -> Result<Taken, LedgerError> {
        let (changes, _) = ready(changes, |hash| self.has(hash));
        self.take_ready(changes)
    }

    /// Applies the bytes of changes or of whole saved documents, joined end to end, to a
    /// clone: all of them, or none if one is broken.
    ///
    /// # Errors
    /// [`LedgerError`]; the ledger is as it was.
    pub fn take_bytes(&self, bytes: &[u8]) -> Result<Taken, LedgerError> {
        self.take(guarded("read changes", || changes_in(bytes))?)
    }

    /// Takes entries by themselves, from a device whose history does not go with ours, and
    /// wraps each in a change of our own. What is here already is passed over.
    ///
    /// # Errors
    /// [`LedgerError`]; the ledger is as it was.
    pub fn take_entries(&self, sealed: &[&[u8]]) -> Result<Taken, LedgerError> {
        let mut taken = Taken {
            next: self.clone(),
            changes: Vec::new(),
            entries: Vec::new(),
            lengths: Vec::new(),
            unsigned: Vec::new(),
        };
        let mut new = BTreeSet::new();
        let row = sealed
            .iter()
            .map(|bytes| (content_id(&self.id, bytes), *bytes));
        let row: Vec<_> = row
            .filter(|(id, _)| !self.lines.contains_key(id) && new.insert(*id))
            .collect();
        for ((id, bytes), line) in row.iter().zip(Line::check_all(&self.id, &row)) {
            if !line.signed {
                taken.unsigned.push(*id);
            }
            let added = taken.next.add_line(*id, bytes, line)?;
            taken.entries.push(*id);
            taken.lengths.push(bytes.len());
            taken.changes.push((added.hash, added.change));
        }
        Ok(taken)
    }

    /// Takes changes that can be applied in this order, on a clone, behind the guard. A change
    /// that does more than to add entries is refused with all that came with it.
    ///
    /// # Errors
    /// [`LedgerError`]; the ledger is as it was.
    pub(crate) fn take_ready(&self, changes: Vec<Change>) -> Result<Taken, LedgerError> {
        self.clone().take_whole(changes, Ahead::default())
    }

    /// The same on the ledger itself, which is gone where it fails: whoever gave it opens it
    /// again from the store. A copy of a large one costs more than a message brings. What was
    /// read ahead of these changes is not read again.
    ///
    /// # Errors
    /// [`LedgerError`].
    pub(crate) fn take_whole(
        self,
        changes: Vec<Change>,
        ahead: Ahead,
    ) -> Result<Taken, LedgerError> {
        let mut next = self;
        let mut ahead = ahead.within(&next.id);
        let found = guarded("take changes", || next.bring(changes, &mut ahead))?;
        let mut taken = Taken {
            next,
            changes: Vec::with_capacity(found.len()),
            entries: Vec::new(),
            lengths: Vec::new(),
            unsigned: Vec::new(),
        };
        for one in found {
            taken.put_all(one.adds.map_err(LedgerError::Irregular)?);
            taken.changes.push((one.hash, one.bytes));
        }
        Ok(taken)
    }

    /// Brings changes into the document; answers what each that is new adds. Runs the engine.
    fn bring(
        &mut self,
        changes: Vec<Change>,
        ahead: &mut Ahead,
    ) -> Result<Vec<Found>, AutomergeError> {
        let mut found: Vec<Found> = Vec::with_capacity(changes.len());
        let mut left = VecDeque::from(changes);
        if self.irregular.is_empty() && is_worth(left.len(), self.lines.len()) {
            self.bring_written(&mut left, ahead, &mut found)?;
        }
        if !left.is_empty() {
            self.bring_applied(left.into(), ahead, &mut found)?;
        }
        Ok(found)
    }

    /// Writes the changes that go on from here, as far as they do.
    fn bring_written(
        &mut self,
        left: &mut VecDeque<Change>,
        ahead: &mut Ahead,
        found: &mut Vec<Found>,
    ) -> Result<(), AutomergeError> {
        let (id, document, layout) = (&self.id, &mut self.document, &self.layout);
        let (mut written, mut checks) = (BTreeSet::new(), Checks::of(id));
        while let Some(change) = left.front() {
            let adds = entries_in(change, id, &layout.entries);
            let Ok([(entry, bytes)]) = adds.as_deref() else {
                break;
            };
            // What was carried over before stands there already.
            if self.lines.contains_key(entry) || !written.insert(*entry) {
                break;
            }
            let adds = match follow(document, layout, change, (entry, bytes))? {
                Followed::Not => break,
                Followed::Whole => match ahead.take(change) {
                    Some(adds) => adds,
                    None => Ok(vec![Add::check(&mut checks, *entry, bytes)]),
                },
                Followed::Other => Err(Irregular::Foreign),
            };
            found.push(Found::of(change, adds));
            left.pop_front();
        }
        Ok(())
    }

    /// Lets the engine apply changes, while the entries in them are read and checked.
    fn bring_applied(
        &mut self,
        mut changes: Vec<Change>,
        ahead: &mut Ahead,
        found: &mut Vec<Found>,
    ) -> Result<(), AutomergeError> {
        let (id, document, entries) = (&self.id, &mut self.document, &self.layout.entries);
        changes.retain(|change| !has(document, &change.hash()));
        let before = document.get_heads();
        let unread: Vec<&Change> = changes.iter().filter(|one| !ahead.has(one)).collect();
        let mut apply = || {
            document.apply_changes(changes.iter().cloned())?;
            Ok::<_, AutomergeError>(document.get_changes(&before))
        };
        let read = || adds_of_all(&unread, id, entries);
        let (applied, read) = if unread.len() < 2 * A_ROW {
            (apply(), read())
        } else {
            hands::beside(apply, read)
        };
        ahead.extend(read);
        for change in applied? {
            // The engine writes a change anew each time it is asked for it. One that does
            // not come out byte for byte as it came in could be stored or passed on under
            // another name only.
            let adds = if has(document, &change.hash()) {
                let adds = ahead.take(&change);
                adds.unwrap_or_else(|| adds_of(&change, &mut Checks::of(id), entries))
            } else {
                Err(Irregular::Foreign)
            };
            found.push(Found::of(&change, adds));
        }
        Ok(())
    }

    /// What stands in for this ledger while it is lent: of the same name, with nothing in it, not
    /// even its first change, and good for nothing but to adopt what was taken. A real empty one
    /// would be written by the engine for every message.
    pub(crate) fn stand_in(&self) -> Self {
        Self {
            id: self.id,
            document: Automerge::new(),
            layout: self.layout.clone(),
            lines: BTreeMap::new(),
            chains: Chains::default(),
            irregular: BTreeSet::new(),
        }
    }

    /// Becomes what was taken, once it is stored.
    pub fn adopt(&mut self, taken: Taken) {
        *self = taken.next;
    }
}
