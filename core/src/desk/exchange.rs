//! Exchange: ledgers in and out, for the link and for files.

use std::collections::BTreeMap;

use super::projection::stands;
use super::shelf::Shelf;
use super::{Change, Desk, DeskError};
use crate::course::LedgerId;
use crate::entry::{DeviceKey, Refusal};
use crate::ledger::{Heads, Ledger, Lent, Taken};
use crate::link::TakeStep;
use crate::standing::Touched;
use crate::store::Stands;
use crate::sync::{Position, SyncError};

/// What a step brought into a ledger.
pub(super) struct Brought {
    /// How many entries were new.
    pub(super) new: usize,
    /// Where the ledger stands now.
    pub(super) position: Position,
    /// What to tell.
    pub(super) changes: Vec<Change>,
}

/// What a step brought; the outer error is the desk's, the inner one the step's own.
pub(super) type BroughtOrNot = Result<Result<Brought, SyncError>, DeskError>;

/// Where a ledger stands.
fn position_of(ledger: &Ledger) -> Position {
    let Stands { entries, heads } = stands(ledger);
    Position {
        ledger: *ledger.id(),
        entries,
        heads,
    }
}

impl Shelf {
    fn not_forgotten(&self, id: &LedgerId) -> Result<(), DeskError> {
        if !self.is_forgotten(id)? {
            return Ok(());
        }
        let what = match id {
            LedgerId::Course(_) => "course",
            LedgerId::Person(_) | LedgerId::Shop(_) => "person",
        };
        Err(Refusal::Closed { what }.into())
    }

    /// Lets a step bring something into a ledger, from a file or over the link: the one door
    /// for what comes from elsewhere. A ledger that was not here begins with it; if the step
    /// fails or brings nothing, it is not left lying about. The outer error is the desk's,
    /// the inner one the step's own.
    pub(super) fn bring<E>(
        &mut self,
        id: &LedgerId,
        step: impl FnOnce(&Ledger) -> Result<Option<Taken>, E>,
    ) -> Result<Result<Brought, E>, DeskError> {
        self.not_forgotten(id)?;
        let held = self.holds(id)?;
        let stepped = step(self.ledger(id)?);
        if let Ok(Some(taken)) = stepped {
            let new = taken.entries.len();
            let changes = self.take(taken)?;
            let position = self.position(id)?;
            return Ok(Ok(Brought {
                new,
                position,
                changes,
            }));
        }
        let position = self.position(id)?;
        if !held {
            self.close(id)?;
        }
        Ok(stepped.map(|_| Brought {
            new: 0,
            position,
            changes: Vec::new(),
        }))
    }

    /// The same over the link: what a device may bring in a day is bounded. The step has the
    /// ledger itself; where it did not leave it as it was and nothing is taken, it is opened
    /// again from the store.
    pub(super) fn bring_from(
        &mut self,
        from: Option<DeviceKey>,
        id: &LedgerId,
        step: TakeStep<'_>,
    ) -> Result<Result<Brought, SyncError>, DeskError> {
        let held = self.holds(id)?;
        let lent = self.lend(from, id, step)?;
        let done = match lent {
            Ok(taken) => self.bring(id, |_| Ok(taken)),
            Err(error) => Ok(Err(error)),
        };
        if done.is_err() || (!held && matches!(done, Ok(Err(_)))) {
            self.close(id)?;
        }
        done
    }

    /// The same for several ledgers, each named once and the shop's only by itself, in one
    /// transaction. Where it fails nothing was taken of any.
    pub(super) fn bring_all_from(
        &mut self,
        from: Option<DeviceKey>,
        steps: Vec<(LedgerId, TakeStep<'_>)>,
    ) -> Result<Vec<BroughtOrNot>, DeskError> {
        let (mut each, mut all) = (Vec::new(), Vec::new());
        for (id, step) in steps {
            let done = match self.lend(from, &id, step) {
                Ok(Ok(Some(taken))) => {
                    each.push((id, Err(taken.entries.len())));
                    all.push(taken);
                    continue;
                }
                // As one that brings nothing is left by itself.
                Ok(Ok(None)) => self.bring(&id, |_| Ok(None)),
                Ok(Err(error)) => Ok(Err(error)),
                Err(error) => Err(error),
            };
            each.push((id, Ok(done)));
        }
        let ids: Vec<LedgerId> = all.iter().map(|taken| *taken.ledger().id()).collect();
        let mut touched: BTreeMap<_, _> = ids.into_iter().zip(self.absorb_all(all)?).collect();
        if touched.keys().any(|id| matches!(id, LedgerId::Shop(_))) {
            self.forget_all_due()?;
        }
        let mut brought = Vec::new();
        for (id, done) in each {
            brought.push(match done {
                Ok(done) => done,
                Err(new) => self.position(&id).map(|position| {
                    let touched = touched.remove(&id).unwrap_or_default();
                    Ok(Brought {
                        new,
                        position,
                        changes: told(id, touched).into_iter().collect(),
                    })
                }),
            });
        }
        Ok(brought)
    }

    /// Lends a ledger to a step and looks at what it took. Where something was taken, an empty
    /// one stands in for the ledger until it is adopted; else it is as it was.
    fn lend(
        &mut self,
        from: Option<DeviceKey>,
        id: &LedgerId,
        step: TakeStep<'_>,
    ) -> Result<Result<Option<Taken>, SyncError>, DeskError> {
        self.not_forgotten(id)?;
        let held = self.holds(id)?;
        let ledger = self.ledger(id)?;
        let nothing = ledger.stand_in();
        let mut lent = Lent::new(std::mem::replace(ledger, nothing));
        let stepped = step(&mut lent);
        let done = self.after_lending(from, id, lent.left(), stepped);
        // What stands in for the ledger must not be taken for it.
        if done.is_err() || (!held && matches!(done, Ok(Err(_)))) {
            self.close(id)?;
        }
        done
    }

    fn after_lending(
        &mut self,
        from: Option<DeviceKey>,
        id: &LedgerId,
        left: Option<Ledger>,
        stepped: Result<Option<Taken>, SyncError>,
    ) -> Result<Result<Option<Taken>, SyncError>, DeskError> {
        let lost = left.is_none();
        if let Some(ledger) = left {
            *self.ledger(id)? = ledger;
        }
        let bounded = self.within_bounds(from, stepped)?;
        if lost && !matches!(bounded, Ok(Some(_))) {
            self.close(id)?;
        }
        Ok(bounded)
    }

    /// What a step took, unless it is more than the device may bring today.
    fn within_bounds(
        &mut self,
        from: Option<DeviceKey>,
        stepped: Result<Option<Taken>, SyncError>,
    ) -> Result<Result<Option<Taken>, SyncError>, DeskError> {
        if let Ok(Some(taken)) = &stepped
            && !self.within_quota(from, taken)?
        {
            return Ok(Err(SyncError::TooMuch));
        }
        Ok(stepped)
    }

    /// Where a ledger stands.
    pub(super) fn position(&mut self, id: &LedgerId) -> Result<Position, DeskError> {
        Ok(position_of(self.ledger(id)?))
    }

    /// Takes changes from elsewhere into a ledger, whatever it is, and follows up: the
    /// shop's ledger may say that someone is to be forgotten.
    pub(super) fn take(&mut self, taken: Taken) -> Result<Vec<Change>, DeskError> {
        let ledger = *taken.ledger().id();
        let touched = self.absorb(taken)?;
        if matches!(ledger, LedgerId::Shop(_)) {
            self.forget_all_due()?;
        }
        Ok(told(ledger, touched).into_iter().collect())
    }

    /// Takes a course and the details of people in it from a file: all of it, or nothing.
    /// Someone who was forgotten since the file was made stays forgotten. Answers how many
    /// entries were new, and what to tell.
    pub(super) fn bring_together(
        &mut self,
        ledgers: &[(LedgerId, Vec<u8>)],
    ) -> Result<(usize, Vec<Change>), DeskError> {
        let mut begun = Vec::new();
        let done = self.try_bring_together(ledgers, &mut begun);
        // What was begun in memory and is not in the store is not left lying about.
        for id in begun {
            if !self.holds(&id)? {
                self.close(&id)?;
            }
        }
        done
    }

    fn try_bring_together(
        &mut self,
        ledgers: &[(LedgerId, Vec<u8>)],
        begun: &mut Vec<LedgerId>,
    ) -> Result<(usize, Vec<Change>), DeskError> {
        let mut all = Vec::new();
        for (id, bytes) in ledgers {
            if self.is_forgotten(id)? {
                if matches!(id, LedgerId::Person(_)) {
                    continue;
                }
                return Err(Refusal::Closed { what: "course" }.into());
            }
            if !self.holds(id)? {
                begun.push(*id);
            }
            all.push(self.ledger(id)?.take_or_carry(bytes)?);
        }
        let new = all.iter().map(|taken| taken.entries.len()).sum();
        let ids: Vec<LedgerId> = all.iter().map(|taken| *taken.ledger().id()).collect();
        let touched = self.absorb_all(all)?;
        let changes = ids.into_iter().zip(touched);
        Ok((
            new,
            changes
                .filter_map(|(id, touched)| told(id, touched))
                .collect(),
        ))
    }
}

/// What there is to tell of what came in.
fn told(ledger: LedgerId, touched: Touched) -> Option<Change> {
    (touched != Touched::default()).then(|| Change {
        ledger,
        cells: touched.cells.into_iter().collect(),
        wider: touched.wider,
        from_elsewhere: true,
    })
}

impl Shelf {
    /// See [`Desk::may_have`].
    pub(super) fn may_have(
        &mut self,
        staff: &crate::course::StaffId,
        ledger: &LedgerId,
    ) -> Result<bool, DeskError> {
        let (shop, _) = self.shop()?;
        match ledger {
            LedgerId::Shop(id) => Ok(*id == self.device.shop_id()?),
            LedgerId::Course(course) => {
                let listed = shop.standing.course(course);
                Ok(listed.is_some_and(|listed| listed.staff.contains(staff)))
            }
            LedgerId::Person(student) => {
                for course in self.courses_of(student)? {
                    if self.may_have(staff, &course)? {
                        return Ok(true);
                    }
                }
                Ok(false)
            }
        }
    }
}

impl Desk {
    /// Every ledger this device holds.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn ledgers(&self) -> Result<Vec<LedgerId>, DeskError> {
        Ok(self.shelf().store.ledgers()?)
    }

    /// Whether a member of staff may have a ledger: the shop's everyone; a course's those
    /// who work on it; a person's those who work on a course of theirs. The shop itself has
    /// everything and is not asked here.
    ///
    /// # Errors
    /// [`DeskError::NotStarted`].
    pub fn may_have(
        &self,
        staff: &crate::course::StaffId,
        ledger: &LedgerId,
    ) -> Result<bool, DeskError> {
        self.shelf().may_have(staff, ledger)
    }

    /// The heads of a ledger as this device holds it.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if it holds none of that id.
    pub fn heads(&self, ledger: &LedgerId) -> Result<Heads, DeskError> {
        self.with_ledger(ledger, |ledger| Ok(ledger.heads()))
    }

    /// How many entries of a ledger this device holds.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if it holds none of that id.
    pub fn entries(&self, ledger: &LedgerId) -> Result<usize, DeskError> {
        self.with_ledger(ledger, |ledger| Ok(ledger.lines().len()))
    }

    /// A ledger as bytes, whole.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if it holds none of that id.
    pub fn save_ledger(&self, ledger: &LedgerId) -> Result<Vec<u8>, DeskError> {
        self.with_ledger(ledger, |ledger| Ok(ledger.save()?))
    }

    /// Merges a ledger's bytes into what this device holds: nothing is overwritten.
    ///
    /// # Errors
    /// [`DeskError`]; nothing has changed then.
    pub fn merge(&self, ledger: &LedgerId, bytes: &[u8]) -> Result<(), DeskError> {
        self.take_into(ledger, |ledger| Ok(ledger.take_or_carry(bytes)?))
    }

    /// Asks something of a ledger that this device holds.
    pub(crate) fn with_ledger<T>(
        &self,
        id: &LedgerId,
        ask: impl FnOnce(&Ledger) -> Result<T, DeskError>,
    ) -> Result<T, DeskError> {
        ask(self.shelf().held_ledger(id)?)
    }

    /// Lets a step take something into a ledger, which begins if it is not there, stores it
    /// and tells the listeners.
    pub(crate) fn take_into(
        &self,
        id: &LedgerId,
        step: impl FnOnce(&Ledger) -> Result<Taken, DeskError>,
    ) -> Result<(), DeskError> {
        let brought = self.shelf().bring(id, |ledger| step(ledger).map(Some))??;
        self.tell(&brought.changes);
        Ok(())
    }
}
