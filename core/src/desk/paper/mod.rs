//! Paper: what papers and files are made from, taken out of the desk's lock; and what comes
//! in as a file, through the one door.
//!
//! A course is read under the lock and printed outside it: no paper, however long, keeps a
//! tap waiting.

mod agenda;
mod bundle;
mod carry;
mod dives;
mod error;
mod kept;
mod kit;
mod roster;
mod slate;
mod student_page;

pub use agenda::{AgendaRead, AwayRead, AwaysRead, ReadIs, SlotRead, SlotsRead};
pub use bundle::{
    BundleSeen, BundleTaken, ReferredStudent, Whose, bundle_fingerprint, verify_file,
};
pub use dives::{DiveSeen, DivesTaken, LogSeen};
pub use error::PaperError;
pub use kept::TextRead;
pub use kit::KitListTaken;
pub use roster::RosterTaken;
pub use slate::{SlateMark, SlateRemark, SlateSheet, SlateTimes};
pub use student_page::TakeHome;

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

use super::shelf::OpenCourse;
use super::{Desk, DeskError};
use crate::course::{CourseId, SessionId, StudentId};
use crate::ledger::Ledger;
use crate::paper::{
    Activity, Claim, Counting, Go, JobStep, Press, Proofs, Record, Source, Verification,
};
use crate::standing::{CourseStanding, ShopStanding};
use crate::trust::TrustBook;
use crate::view::{Alongside, People, Units};

/// A course as it stood at one moment, outside the desk's lock.
#[derive(Debug)]
pub struct Papers {
    course: CourseStanding,
    ledger: Ledger,
    shop: ShopStanding,
    trust: TrustBook,
    people: People,
    now: DateTime<FixedOffset>,
    proofs: Proofs,
    /// Whom other courses bring into the water of its sessions, where that was asked.
    water: Option<BTreeMap<SessionId, Alongside>>,
}

impl Papers {
    /// What every paper and file about the course is made from.
    pub fn source(&self) -> Source<'_> {
        Source {
            course: &self.course,
            ledger: &self.ledger,
            shop: &self.shop,
            trust: &self.trust,
            names: &self.people,
            proofs: &self.proofs,
            now: self.now,
            water: self.water.as_ref(),
        }
    }

    /// A student's record.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if the student is not in the course.
    pub fn record(&self, student: &StudentId) -> Result<Record, DeskError> {
        self.in_course(student)?;
        Ok(Record::of(&self.source(), *student))
    }

    /// Whether the student is in the course.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if not.
    pub fn in_course(&self, student: &StudentId) -> Result<(), DeskError> {
        if self.course.has_student(student) {
            Ok(())
        } else {
            Err(DeskError::NotFound {
                what: "student",
                id: student.to_string(),
            })
        }
    }
}

impl Desk {
    /// A course as it stands, to be printed or written to a file outside the lock.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course.
    pub fn papers(&self, id: &CourseId) -> Result<Papers, DeskError> {
        self.papers_with(id, CourseStanding::students)
    }

    /// The same with the details of one student alone: what is printed of one person does not
    /// wait for those of thousands.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course.
    pub fn papers_of(&self, id: &CourseId, student: &StudentId) -> Result<Papers, DeskError> {
        self.papers_with(id, |_| vec![*student])
    }

    /// The same without anybody's details.
    fn papers_of_nobody(&self, id: &CourseId) -> Result<Papers, DeskError> {
        self.papers_with(id, |_| Vec::new())
    }

    fn papers_with(
        &self,
        id: &CourseId,
        who: impl FnOnce(&CourseStanding) -> Vec<StudentId>,
    ) -> Result<Papers, DeskError> {
        let mut shelf = self.shelf();
        // A course that nobody works on is not left open: a year of them would fill the memory.
        let OpenCourse { ledger, standing } = shelf.course_copy(id)?;
        let mut people = shelf.people([])?;
        for student in who(&standing) {
            if let Some(details) = shelf.details_of(&student)? {
                people.students.insert(student, details);
            }
        }
        let (shop, book) = shelf.shop()?;
        Ok(Papers {
            course: standing,
            ledger,
            shop: shop.standing.clone(),
            trust: book.clone(),
            people,
            now: shelf.stamps.now(),
            proofs: Proofs::default(),
            water: None,
        })
    }

    /// The same with whom the other running courses of this device bring into the water of its
    /// sessions: for what is printed of a session.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course.
    pub fn papers_of_sessions(&self, id: &CourseId) -> Result<Papers, DeskError> {
        let mut papers = self.papers(id)?;
        let units = Units::default();
        let water = self.look_among(id, units, |course, _, reader| {
            Alongside::of_course(course, reader)
        })?;
        papers.water = Some(water);
        Ok(papers)
    }

    /// Every course this device holds, in order of id: for what is about the whole shop.
    ///
    /// # Errors
    /// [`DeskError::Store`].
    pub fn courses_here(&self) -> Result<Vec<CourseId>, DeskError> {
        self.shelf().courses_here()
    }

    /// What staff did under water in these courses together, and one of the courses as it
    /// stands: a paper takes the shop's name and its moment from there. `None` without a
    /// course.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold one of them.
    pub fn staff_activity(
        &self,
        courses: &[CourseId],
    ) -> Result<Option<(Papers, Activity)>, DeskError> {
        let mut counting = Counting::default();
        let mut last = None;
        for course in courses {
            let papers = self.papers(course)?;
            counting.take(&papers.source());
            last = Some(papers);
        }
        Ok(last.map(|papers| (papers, counting.activity())))
    }

    /// Every student's record of these courses as one job: course by course, each record handed
    /// out as soon as it is printed. Answers how many were printed.
    ///
    /// # Errors
    /// [`PaperError`] of the first that cannot be printed; what was handed out stays.
    pub fn print_records(
        &self,
        courses: &[CourseId],
        press: &Press,
        each: &mut dyn FnMut(&Papers, JobStep) -> Go,
    ) -> Result<usize, PaperError> {
        let mut of = 0;
        for course in courses {
            of += self.papers(course)?.course.students().len();
        }
        let mut done = 0;
        for course in courses {
            let papers = self.papers(course)?;
            let outline = papers.course.outline();
            for student in papers.course.students() {
                let record = Record::of(&papers.source(), student);
                let pdf = press.record(&record, outline, papers.now)?;
                done += 1;
                let step = JobStep {
                    student,
                    pdf,
                    done,
                    of: of.max(done),
                };
                if each(&papers, step) == Go::Stop {
                    return Ok(done);
                }
            }
        }
        Ok(done)
    }

    /// Works a course out anew from its entries as this device holds them, and holds a printed
    /// fingerprint against them.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course.
    pub fn verify_course(
        &self,
        course: &CourseId,
        printed: Option<Claim>,
    ) -> Result<Verification, DeskError> {
        let mut papers = self.papers(course)?;
        // From the bytes, and not as the store remembers it.
        papers.ledger.recheck()?;
        Ok(crate::paper::verify_course(&papers.source(), printed))
    }
}
