//! Recording: a request in, a receipt out, and taking it back.

use tallywater_core::course::{EntryId, LedgerId};
use tallywater_core::desk;
use tallywater_core::entry::Kind;
use tallywater_core::view::{ActivityRow as CoreRow, Leave};

use crate::cross::{Asked as _, Shown as _, mirror};
use crate::{ActivityRow, Fault, Request, Tallywater};

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
    /// What one tap on "undo" would withdraw, in that order; nothing where that would not take
    /// back the whole of it, or is not this device's to do.
    pub undo: Vec<EntryRef>,
    /// How many people it is about.
    pub people: u32,
    /// What was recorded, to be worded; `None` for the shop's ledger and a person's own.
    pub told: Option<ActivityRow>,
}

#[uniffi::export]
impl Tallywater {
    /// Records what a person asks for: all of it or, with a fault, nothing.
    pub fn record(&self, request: Request) -> Result<Receipt, Fault> {
        let recorded = self.desk.record(request.asked()?)?;
        Ok(self.receipt(recorded))
    }

    /// Records several things that one tap or one command asked for: all of them or, with a
    /// fault, none. None may rest on another.
    pub fn record_all(&self, requests: Vec<Request>) -> Result<Receipt, Fault> {
        let recorded = self.desk.record_all(requests.asked()?)?;
        Ok(self.receipt(recorded))
    }

    /// Whether [`Tallywater::record_all`] would record these: the same rules are asked, and
    /// nothing is recorded.
    pub fn would_record(&self, requests: Vec<Request>) -> Result<(), Fault> {
        Ok(self.desk.would_record(requests.asked()?)?)
    }

    /// Takes back what was recorded, by withdrawing it, all of it or none: the record shows
    /// both. The receipt of that can be undone as well.
    pub fn undo(&self, receipt: Receipt) -> Result<Receipt, Fault> {
        if receipt.undo.is_empty() {
            return Err(Fault::rule("not_yours").what("entry"));
        }
        let taken: Vec<(LedgerId, EntryId)> = receipt.undo.asked()?;
        let withdraw = |(ledger, entry)| desk::Request::Withdraw {
            ledger,
            entry,
            why: None,
        };
        let recorded = self
            .desk
            .record_all(taken.into_iter().map(withdraw).collect())?;
        Ok(self.receipt(recorded))
    }
}

impl Tallywater {
    /// The receipt of what was recorded. It never fails: the entries are on the disk, and a
    /// fault here would say that they are not.
    pub(crate) fn receipt(&self, recorded: desk::Recorded) -> Receipt {
        let desk::Recorded { entries, made } = recorded;
        let mut rows: Vec<(LedgerId, CoreRow)> = Vec::new();
        for (ledger, entry) in &entries {
            if let LedgerId::Course(course) = ledger {
                let row = self.desk.look(course, self.core_units(), |course, reader| {
                    let one = course.tally().get(entry)?;
                    Some(CoreRow::of(course, reader, one))
                });
                rows.extend(row.ok().flatten().map(|row| (*ledger, row)));
            }
        }
        let mut people: Vec<_> = rows.iter().flat_map(|(_, row)| &row.who).collect();
        people.sort_by_key(|who| who.who());
        people.dedup_by_key(|who| who.who());
        Receipt {
            people: people.len().shown(),
            undo: undo(&entries, &rows).shown(),
            told: rows.into_iter().next_back().map(|(_, row)| row.shown()),
            entries: entries.shown(),
            made,
        }
    }
}

/// The entries whose withdrawal takes back the whole of a request, the last first. A new
/// student's details stay in their own ledger, where nothing refers to them any more.
fn undo(entries: &[(LedgerId, EntryId)], rows: &[(LedgerId, CoreRow)]) -> Vec<(LedgerId, EntryId)> {
    let enrolled = matches!(rows, [(_, row)] if row.kind == Kind::Enrolment);
    let whole = !rows.is_empty() && (enrolled || rows.len() == entries.len());
    if whole && rows.iter().all(|(_, row)| row.may_withdraw == Leave::Yes) {
        let back = rows.iter().rev();
        back.map(|(ledger, row)| (*ledger, row.entry)).collect()
    } else {
        Vec::new()
    }
}
