//! Absorb: what came from elsewhere is read and stored with what it comes to, one ledger or
//! several together.

use super::DeskError;
use super::projection::Projection;
use super::shelf::Shelf;
use crate::course::{EntryId, LedgerId};
use crate::ledger::Taken;
use crate::standing::Touched;
use crate::store::{Arrived, Commit};

impl Shelf {
    /// Takes what came from elsewhere and stores it with what it comes to, in one
    /// transaction; answers what it touched. When storing fails, memory is as the disk is.
    ///
    /// What holds no change that could be applied is kept in memory: a change whose
    /// forerunner has not arrived waits in the document, and would not be sent again.
    pub(super) fn absorb(&mut self, taken: Taken) -> Result<Touched, DeskError> {
        let touched = self.absorb_all(vec![taken])?;
        Ok(touched.into_iter().next().unwrap_or_default())
    }

    /// The same for several ledgers, each at most once, in one transaction.
    pub(super) fn absorb_all(&mut self, all: Vec<Taken>) -> Result<Vec<Touched>, DeskError> {
        let ids: Vec<LedgerId> = all.iter().map(|taken| *taken.ledger().id()).collect();
        let done = self.try_absorb(all);
        if done.is_err() {
            for id in ids {
                self.close(&id)?;
            }
        }
        done
    }

    fn try_absorb(&mut self, all: Vec<Taken>) -> Result<Vec<Touched>, DeskError> {
        let mut absorbed = Vec::new();
        for taken in all {
            absorbed.push(self.read_in(taken)?);
        }
        let new = || absorbed.iter().filter(|one| !one.changes.is_empty());
        let projections: Vec<Projection> = new()
            .map(|one| self.projection(&one.id, &one.touched))
            .collect();
        let at = self.stamps.now();
        let mut commits: Vec<(LedgerId, Commit<'_>)> = new()
            .zip(&projections)
            .map(|(one, projection)| {
                let commit = Commit {
                    changes: &one.changes,
                    unsigned: &one.unsigned,
                    arrived: Some(Arrived {
                        at,
                        entries: &one.entries,
                    }),
                    ..projection.commit()
                };
                (one.id, commit)
            })
            .collect();
        if !commits.is_empty() {
            self.put(&mut commits)?;
        }
        Ok(absorbed.into_iter().map(|one| one.touched).collect())
    }

    /// Takes into memory what came from elsewhere, and reads what it comes to.
    fn read_in(&mut self, mut taken: Taken) -> Result<Absorbed, DeskError> {
        let id = *taken.ledger().id();
        let reread = self.brings_older(&taken);
        let mut absorbed = Absorbed {
            id,
            changes: std::mem::take(&mut taken.changes),
            unsigned: std::mem::take(&mut taken.unsigned),
            entries: std::mem::take(&mut taken.entries),
            touched: Touched::default(),
        };
        self.ledger(&id)?.adopt(taken);
        if absorbed.changes.is_empty() {
            return Ok(absorbed);
        }
        if reread || !matches!(id, LedgerId::Course(_)) {
            self.read_again(&id)?;
            absorbed.touched.wider = true;
        } else {
            absorbed.touched = self.take_lines(&id, &absorbed.entries)?;
        }
        Ok(absorbed)
    }
}

impl Shelf {
    /// Whether something of a device that was shut out is among it: what it wrote before may
    /// now count, since the entry that the shutting-out names has come.
    fn brings_older(&self, taken: &Taken) -> bool {
        let lines = taken.ledger().lines();
        self.book.as_ref().is_some_and(|book| {
            let mut keys = taken.entries.iter().filter_map(|id| lines.get(id)?.key);
            keys.any(|key| book.is_revoked(&key))
        })
    }
}

/// What came from elsewhere, in memory and not yet stored.
struct Absorbed {
    id: LedgerId,
    changes: Vec<([u8; 32], Vec<u8>)>,
    unsigned: Vec<EntryId>,
    entries: Vec<EntryId>,
    touched: Touched,
}
