//! Recording: a request in, a receipt out, and taking it back.

use tallywater_core::course::{EntryId, LedgerId};
use tallywater_core::desk;

use crate::cross::{Asked as _, Shown as _, mirror};
use crate::{ActivityRow, Fault, Kind, Request, Tallywater};

mirror! {
    /// An entry and the ledger it stands in.
    both tuple EntryRef = (LedgerId, EntryId) {
        ledger: String,
        entry: String,
    }
}

/// What was recorded: it is on the disk.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Receipt {
    /// The entries, in the order they were written.
    pub entries: Vec<EntryRef>,
    /// The id that was made for a new student, member of staff, course or session.
    pub made: Option<String>,
    /// The entries that one tap on "undo" would take back; none where that would not undo
    /// the whole of it, or is not this device's to do.
    pub undo: Vec<EntryRef>,
    /// How many people it is about.
    pub people: u32,
    /// What kind of thing was recorded last.
    pub kind: Option<Kind>,
    /// What was recorded, to be worded; `None` for the shop's ledger and a person's own.
    pub told: Option<ActivityRow>,
}

#[uniffi::export]
impl Tallywater {
    /// Records what a person asks for: all of it or, with a fault, nothing.
    pub fn record(&self, request: Request) -> Result<Receipt, Fault> {
        let recorded = self.desk.record(request.asked()?);
        let recorded = recorded.map_err(|error| self.refused(error))?;
        Ok(self.receipt(recorded))
    }

    /// Records several things that one tap or one command asked for: all of them or, with a
    /// fault, none. None may rest on another.
    pub fn record_all(&self, requests: Vec<Request>) -> Result<Receipt, Fault> {
        let recorded = self.desk.record_all(requests.asked()?);
        let recorded = recorded.map_err(|error| self.refused(error))?;
        Ok(self.receipt(recorded))
    }

    /// Whether [`Tallywater::record_all`] would record these: the same rules are asked, and
    /// nothing is recorded.
    pub fn would_record(&self, requests: Vec<Request>) -> Result<(), Fault> {
        let would = self.desk.would_record(requests.asked()?);
        would.map_err(|error| self.refused(error))
    }

    /// Takes back what was recorded, by withdrawing it or by giving a name back, all of it or
    /// none: the record shows both. The receipt of that can be undone as well.
    pub fn undo(&self, receipt: Receipt) -> Result<Receipt, Fault> {
        if receipt.undo.is_empty() {
            return Err(Fault::rule("not_yours").what("entry"));
        }
        let entries: Vec<(LedgerId, EntryId)> = receipt.undo.asked()?;
        let recorded = self.desk.take_back(&entries)?;
        Ok(self.receipt(recorded))
    }
}

impl Tallywater {
    /// The receipt of what was recorded. It never fails: the entries are on the disk, and a
    /// fault here would say that they are not.
    pub(crate) fn receipt(&self, recorded: desk::Recorded) -> Receipt {
        let desk::Recorded { entries, made } = recorded;
        let mut rows: Vec<(LedgerId, ActivityRow)> = Vec::new();
        for (ledger, entry) in &entries {
            if let LedgerId::Course(course) = ledger {
                let row = self.desk.look(course, self.units(), |course, reader| {
                    let one = course.tally().get(entry)?;
                    Some(ActivityRow::of(course, reader, one))
                });
                rows.extend(row.ok().flatten().map(|row| (*ledger, row)));
            }
        }
        let mut people: Vec<_> = rows.iter().flat_map(|(_, row)| &row.who).collect();
        people.sort_by_key(|who| who.who());
        people.dedup_by_key(|who| who.who());
        Receipt {
            people: people.len().shown(),
            undo: self.desk.may_take_back(&entries).shown(),
            kind: entries.last().and_then(|one| self.desk.kind_of(one)),
            told: rows.into_iter().next_back().map(|(_, row)| row),
            entries: entries.shown(),
            made,
        }
    }
}
