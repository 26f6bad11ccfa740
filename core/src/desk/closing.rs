//! Closing: which ledgers stay open, and where all of them stand without opening them. A shop
//! has thousands of courses; what is open takes memory, what is stored does not.

use chrono::{DateTime, FixedOffset};

use super::DeskError;
use super::projection::stands;
use super::shelf::Shelf;
use crate::course::{CourseId, LedgerId, StudentId};
use crate::ledger::Ledger;
use crate::store::Stands;
use crate::sync::Position;

/// The most courses that stay open: those of the first screen, and a few that were looked at.
const MOST_OPEN: usize = 48;
/// The most people whose ledgers stay open beside those of the open courses.
const MOST_PEOPLE: usize = 1_000;

impl Shelf {
    /// The ledger, if it is open.
    pub(super) fn open(&self, id: &LedgerId) -> Option<&Ledger> {
        match id {
            LedgerId::Shop(_) => {
                let shop = self.shop.as_ref()?;
                (shop.ledger.id() == id).then_some(&shop.ledger)
            }
            LedgerId::Course(course) => self.courses.get(course).map(|open| &open.ledger),
            LedgerId::Person(student) => self.people.get(student).map(|open| &open.ledger),
        }
    }

    /// Notes that a course is being used: it is the last to be closed.
    pub(super) fn use_course(&mut self, id: CourseId) {
        if self.used.last() != Some(&id) {
            self.used.retain(|one| *one != id);
            self.used.push(id);
        }
    }

    /// Closes the courses that have not been used for longest, and people of no open
    /// course, when there are too many. Whatever is closed is in the store.
    pub(super) fn close_unused(&mut self) {
        let too_many = self.courses.len().saturating_sub(MOST_OPEN);
        // Those of the open courses may be more than that, and stay: asked again at every
        // question, a course of thousands would answer none.
        let most_people = MOST_PEOPLE.saturating_add(self.kept_people);
        if too_many == 0 && self.people.len() <= most_people {
            return;
        }
        let open: Vec<CourseId> = self.courses.keys().copied().collect();
        let never_used = open.iter().filter(|id| !self.used.contains(id));
        let leaving: Vec<CourseId> = never_used
            .chain(&self.used)
            .filter(|id| self.courses.contains_key(id))
            .take(too_many)
            .copied()
            .collect();
        self.courses.retain(|id, _| !leaving.contains(id));
        let courses = &self.courses;
        self.used.retain(|id| courses.contains_key(id));
        self.people
            .retain(|id, _| courses.values().any(|open| open.standing.has_student(id)));
        self.kept_people = self.people.len();
    }

    /// Where every ledger stands, in order of id.
    pub(super) fn positions(&mut self) -> Result<Vec<Position>, DeskError> {
        let mut positions = Vec::new();
        for (ledger, known) in self.store.positions()? {
            let Stands { entries, heads } = match known {
                Some(known) => known,
                None => self.place(&ledger)?,
            };
            positions.push(Position {
                ledger,
                entries,
                heads,
            });
        }
        self.placed = true;
        Ok(positions)
    }

    /// Where a ledger stands, opened only where the store does not say; `None` if it is not here.
    pub(super) fn stands(&mut self, id: &LedgerId) -> Result<Option<Position>, DeskError> {
        if let Some(Stands { entries, heads }) = self.store.stands(id)? {
            let ledger = *id;
            return Ok(Some(Position {
                ledger,
                entries,
                heads,
            }));
        }
        if self.holds(id)? {
            self.position(id).map(Some)
        } else {
            Ok(None)
        }
    }

    /// The courses a student is enrolled in, open or not.
    pub(super) fn courses_of(&mut self, student: &StudentId) -> Result<Vec<LedgerId>, DeskError> {
        if !self.placed {
            self.positions()?;
        }
        Ok(self.store.courses_of(student)?)
    }

    /// The courses here in which a dive was logged that began between two moments, and a few
    /// of the same days.
    pub(super) fn courses_dived(
        &mut self,
        from: DateTime<FixedOffset>,
        until: DateTime<FixedOffset>,
    ) -> Result<Vec<CourseId>, DeskError> {
        if !self.placed {
            self.positions()?;
        }
        let day = |at: DateTime<FixedOffset>| at.naive_utc().date();
        let found = self.store.courses_dived(day(from), day(until))?;
        Ok(found
            .into_iter()
            .filter_map(|ledger| match ledger {
                LedgerId::Course(course) => Some(course),
                LedgerId::Shop(_) | LedgerId::Person(_) => None,
            })
            .collect())
    }

    fn write_found_by(&mut self, id: &LedgerId, stands: &Stands) -> Result<(), DeskError> {
        let found_by = match id {
            LedgerId::Course(course) => self.courses.get(course).map(|open| self.found_by(open)),
            LedgerId::Shop(_) | LedgerId::Person(_) => None,
        };
        Ok(self.store.put_position(id, stands, found_by.as_ref())?)
    }

    /// Writes down anew which files a course names: whom they show may have been forgotten.
    pub(super) fn name_files_anew(&mut self, id: &LedgerId) -> Result<(), DeskError> {
        self.place(id).map(|_| ())
    }

    /// Asks a ledger where it stands and writes it down: an older version did not.
    /// A desk that only looks cannot, and says so: a day that it missed would show somebody as
    /// fresh.
    fn place(&mut self, id: &LedgerId) -> Result<Stands, DeskError> {
        if self.store.only_read() {
            let during = "write down where a ledger stands";
            return Err(crate::store::StoreError::Locked { during }.into());
        }
        let was_open = self.open(id).is_some();
        let found = stands(self.ledger(id)?);
        self.write_found_by(id, &found)?;
        if !was_open {
            self.close(id)?;
            self.close_unused();
        }
        Ok(found)
    }
}
