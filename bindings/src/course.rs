//! A course as a whole, the forms of its class, and what else is planned at an hour.

use tallywater_core::course::{self, SessionId};
use tallywater_core::view;

use crate::cross::{Asked as _, Shown as _, mirror};
use crate::{
    ClearanceKind, ClearanceRow, CourseRow, CourseStage, Day, Fault, Leave, Moment, Role,
    SessionPlan, StaffName, StudentName, Tallywater,
};

mirror! {
    /// A course as a whole: what its settings show.
    shown record CourseView = view::CourseView {
        course: String,
        title: String,
        starts: Option<Day>,
        place: Option<String>,
        stage: Option<CourseStage>,
        students: u32,
        open: u32,
        staff: Vec<CourseStaff>,
        may_change: Leave,
    }

    /// A member of staff beside a course.
    shown record CourseStaff = view::CourseStaff {
        name: StaffName,
        assigned: Option<Role>,
        teaches: Option<Role>,
        own: bool,
    }

    /// The forms and checks of everyone who is still in a course.
    shown record FormsView = view::FormsView {
        course: String,
        title: String,
        columns: Vec<ClearanceKind>,
        rows: Vec<FormsRow>,
        missing: u32,
        may_clear: Leave,
    }

    /// The forms and checks of one student, one for each column.
    shown record FormsRow = view::FormsRow {
        name: StudentName,
        missing: u32,
        cells: Vec<ClearanceRow>,
    }

    /// Another session whose hours overlap.
    shown record Clash = view::Clash {
        course: String,
        course_title: String,
        session: String,
        title: String,
        site: String,
        starts: Moment,
        ends: Moment,
        staff: Vec<StaffName>,
        students: u32,
    }
}

#[uniffi::export]
impl Tallywater {
    /// A course as a whole.
    pub fn course(&self, course: String) -> Result<CourseView, Fault> {
        self.see(&course, view::CourseView::of)
    }

    /// The forms and checks of a class.
    pub fn forms(&self, course: String) -> Result<FormsView, Fault> {
        self.see(&course, view::FormsView::of)
    }

    /// What else is planned at the hours of a session, in any running course of this device.
    /// A session that is planned anew is named, so that it does not clash with itself.
    pub fn clashes(&self, session: Option<String>, plan: SessionPlan) -> Result<Vec<Clash>, Fault> {
        let session: Option<SessionId> = session.asked()?;
        let plan: course::SessionPlan = plan.asked()?;
        let found = self.desk.clashes(self.core_units(), session, &plan)?;
        Ok(found.shown())
    }

    /// The courses whose outline a new one can begin with: those that this device holds, in
    /// the order of the list of courses.
    pub fn courses_held(&self) -> Result<Vec<CourseRow>, Fault> {
        let here: Vec<String> = self.desk.courses_here()?.shown();
        let mut rows = self.course_list(None)?.rows;
        rows.retain(|row| here.contains(&row.course));
        Ok(rows)
    }
}
