//! A course as a whole, the forms of its class, and what else is planned at an hour.

use tallywater_core::course::{self, SessionId};

use crate::cross::Asked as _;
use crate::{Clash, CourseRow, CourseView, Fault, FormsView, SessionPlan, Tallywater};

#[uniffi::export]
impl Tallywater {
    /// A course as a whole.
    pub fn course(&self, course: String) -> Result<CourseView, Fault> {
        self.see(&course, CourseView::of)
    }

    /// The forms and checks of a class.
    pub fn forms(&self, course: String) -> Result<FormsView, Fault> {
        self.see(&course, FormsView::of)
    }

    /// What else is planned at the hours of a session, in any running course of this device.
    /// A session that is planned anew is named, so that it does not clash with itself.
    pub fn clashes(&self, session: Option<String>, plan: SessionPlan) -> Result<Vec<Clash>, Fault> {
        let session: Option<SessionId> = session.asked()?;
        let plan: course::SessionPlan = plan.asked()?;
        let found = self.desk.clashes(self.units(), session, &plan)?;
        Ok(found)
    }

    /// The courses whose outline a new one can begin with: those that this device holds, in
    /// the order of the list of courses.
    pub fn courses_held(&self) -> Result<Vec<CourseRow>, Fault> {
        let here = self.desk.courses_here()?;
        let mut rows = self.course_list(None)?.rows;
        rows.retain(|row| here.contains(&row.course));
        Ok(rows)
    }
}
