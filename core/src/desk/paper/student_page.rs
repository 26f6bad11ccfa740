//! The student's page, with what the student dived in every course of this device.

use super::PaperError;
use crate::calc::unit::Metres;
use crate::course::{CourseId, StudentId, WaterKind};
use crate::desk::{Desk, DeskError};
use crate::paper::{Press, StudentPage};
use crate::view::{ExposureView, FlyFrom, NextDive, Units, WhoName};

/// What one student takes home, on paper and as a file.
#[derive(Clone)]
pub struct TakeHome {
    /// The sheet, as PDF.
    pub pdf: Vec<u8>,
    /// The same as one HTML file that needs nothing else.
    pub html: String,
    /// The student's dives as UDDF, for the log that goes on after the course.
    pub uddf: Vec<u8>,
}

/// Written by hand so that no name can reach a log through `{:?}`.
impl std::fmt::Debug for TakeHome {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("TakeHome(..)")
    }
}

impl Desk {
    /// A student's page to take home, in the language and the units of the press.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course, or the student is not
    /// in it; [`PaperError::Pdf`], [`PaperError::Data`].
    pub fn student_page(
        &self,
        course: &CourseId,
        student: &StudentId,
        press: &Press,
    ) -> Result<TakeHome, PaperError> {
        let papers = self.papers_of(course, student)?;
        papers.in_course(student)?;
        let fly_from = self.fly_from(course, student)?;
        let source = papers.source();
        let page = StudentPage::of(&source, *student, fly_from);
        let outline = source.course.outline();
        Ok(TakeHome {
            pdf: press.student_page(&page, outline)?,
            html: page.html(outline, press.language, press.units),
            uddf: page.dive_log()?,
        })
    }

    /// From when a student may fly, by the clock, after the dives that this device knows of.
    fn fly_from(
        &self,
        course: &CourseId,
        student: &StudentId,
    ) -> Result<Option<FlyFrom>, DeskError> {
        let now = self.now();
        // The wait rests on what was dived; which dive would come next is not looked at.
        let Some(next) = NextDive::at_sea_level(now, Metres(10.0), WaterKind::Salt) else {
            return Ok(None);
        };
        let back = NextDive::FAR_BACK;
        let seen =
            |name: &WhoName| matches!(name, WhoName::Student(one) if one.student == *student);
        self.look_beside(
            course,
            Units::default(),
            now,
            back,
            |course, others, reader| {
                let view = ExposureView::of(course, others, reader, &next);
                let mut rows = view.people.into_iter();
                rows.find(|row| seen(&row.who)).and_then(|row| row.fly_from)
            },
        )
    }
}
