//! Forget: what is deleted, and what a hold keeps from it. Nothing goes unless a person asked
//! for it, and the shop's ledger says what went.

use super::DeskError;
use super::drafts::Drafts;
use super::shelf::Shelf;
use crate::course::{CourseId, EntryId, LedgerId, StudentId};
use crate::entry::{CourseDropped, HoldOn, PersonForgotten, Refusal};

impl Shelf {
    /// A person's details are dropped, unless a hold speaks of a course they are in.
    pub(super) fn forget_drafts(
        &mut self,
        student: StudentId,
        why: String,
    ) -> Result<Drafts, DeskError> {
        for (course, entry) in self.held_courses()? {
            if self.is_in(&course, &student)? {
                return Err(Refusal::Held {
                    what: "person",
                    entry,
                }
                .into());
            }
        }
        let shop = self.device.shop_ledger()?;
        Ok(Drafts::one(
            shop,
            PersonForgotten { student, why },
            Vec::new(),
        ))
    }

    /// A course is dropped, and the details of everyone who is in no other: with the course
    /// gone nothing would ever list them again.
    pub(super) fn drop_drafts(
        &mut self,
        course: CourseId,
        why: String,
    ) -> Result<Drafts, DeskError> {
        let students = self.course(&course)?.standing.students();
        let today = self.today();
        let (shop, _) = self.shop()?;
        if shop.standing.is_dropped(&course) {
            return Err(Refusal::Closed { what: "course" }.into());
        }
        let holds = shop.standing.holds(today);
        let held = students
            .iter()
            .find_map(|student| holds.get(&HoldOn::Student(*student)));
        if let Some((entry, _)) = held {
            return Err(Refusal::Held {
                what: "course",
                entry: *entry,
            }
            .into());
        }
        let forgotten = shop.standing.forgotten();
        let ledger = self.device.shop_ledger()?;
        let mut drafts = Drafts::one(
            ledger,
            CourseDropped {
                course,
                why: why.clone(),
            },
            Vec::new(),
        );
        let others = self.courses_here()?;
        for student in students
            .iter()
            .filter(|student| !forgotten.contains(student))
        {
            let mut elsewhere = false;
            for other in others.iter().filter(|other| **other != course) {
                elsewhere |= self.is_in(other, student)?;
            }
            if !elsewhere {
                let forgotten = PersonForgotten {
                    student: *student,
                    why: why.clone(),
                };
                drafts = drafts.and(ledger, forgotten, Vec::new());
            }
        }
        Ok(drafts)
    }

    fn held_courses(&self) -> Result<Vec<(CourseId, EntryId)>, DeskError> {
        let holds = self.shop()?.0.standing.holds(self.today());
        Ok(holds
            .into_iter()
            .filter_map(|(on, (entry, _))| match on {
                HoldOn::Course(course) => Some((course, entry)),
                HoldOn::Student(_) => None,
            })
            .collect())
    }

    /// Every course this device holds.
    pub(super) fn courses_here(&self) -> Result<Vec<CourseId>, DeskError> {
        let ledgers = self.store.ledgers()?;
        Ok(ledgers
            .into_iter()
            .filter_map(|ledger| match ledger {
                LedgerId::Course(course) => Some(course),
                LedgerId::Shop(_) | LedgerId::Person(_) => None,
            })
            .collect())
    }

    fn is_in(&mut self, course: &CourseId, student: &StudentId) -> Result<bool, DeskError> {
        match self.course(course) {
            Ok(open) => Ok(open.standing.has_student(student)),
            Err(DeskError::NotFound { .. }) => Ok(false),
            Err(error) => Err(error),
        }
    }

    /// Drops a ledger from this device: a person's, or a course's.
    pub(super) fn forget(&mut self, ledger: &LedgerId) -> Result<(), DeskError> {
        match ledger {
            LedgerId::Person(student) => {
                self.people.remove(student);
            }
            LedgerId::Course(course) => {
                self.courses.remove(course);
            }
            // What says who may write is never dropped.
            LedgerId::Shop(_) => return Ok(()),
        }
        self.store.forget(ledger)?;
        self.said.retain(|(of, _), _| of != ledger);
        if matches!(ledger, LedgerId::Course(_)) {
            self.sweep_files()?;
        }
        // Backups from before have it still, and go with the next that is known to be good.
        let today = self.today().to_string();
        Ok(self
            .store
            .put_setting(super::care::ERASED, today.as_bytes())?)
    }

    /// Whether the shop's ledger says that a ledger is to be dropped.
    pub(super) fn is_forgotten(&self, ledger: &LedgerId) -> Result<bool, DeskError> {
        let standing = &self.shop()?.0.standing;
        Ok(match ledger {
            LedgerId::Person(student) => standing.is_forgotten(student),
            LedgerId::Course(course) => standing.is_dropped(course),
            LedgerId::Shop(_) => false,
        })
    }

    /// Drops whatever the shop's ledger says is to be dropped and is still here.
    pub(super) fn forget_all_due(&mut self) -> Result<(), DeskError> {
        let Some(shop) = &self.shop else {
            return Ok(());
        };
        let (people, courses) = (shop.standing.forgotten(), shop.standing.dropped());
        if people.is_empty() && courses.is_empty() {
            return Ok(());
        }
        for ledger in self.store.ledgers()? {
            let due = match &ledger {
                LedgerId::Person(student) => people.contains(student),
                LedgerId::Course(course) => courses.contains(course),
                LedgerId::Shop(_) => false,
            };
            if due {
                self.forget(&ledger)?;
            }
        }
        self.let_files_go()
    }
}
