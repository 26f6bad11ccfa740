//! Shared: make-ups that two courses of the school could hold in one slot.

use tallywater_core::view;

use crate::cross::{Shown as _, mirror};
use crate::{Fault, Leave, Moment, NotShared, SessionPlan, StaffName, StudentName, Tallywater};

mirror! {
    /// The make-ups that a course could share with others of this device.
    shown record SharedView = view::SharedView {
        course: String,
        rows: Vec<SharedRow>,
        others: Vec<NotShared>,
        free: u32,
        may_plan: Leave,
    }

    /// One slot for students of two courses.
    shown record SharedRow = view::SharedRow {
        starts: Moment,
        ends: Moment,
        site: String,
        price: Option<String>,
        staff: Vec<StaffName>,
        students: u32,
        ceiling: Option<u32>,
        minutes: u32,
        sides: Vec<SharedSide>,
    }

    /// One course's part of it.
    shown record SharedSide = view::SharedSide {
        course: String,
        course_title: String,
        makes_up: bool,
        students: Vec<StudentName>,
        skills: Vec<String>,
        kept_out: Vec<StudentName>,
        plan: SessionPlan,
    }
}

#[uniffi::export]
impl Tallywater {
    /// Make-ups of a course that students of another course of this device need as well, each
    /// in one free slot for both: never later, for fewer or of less than a slot for each would
    /// be. Nothing is planned before it is asked for: a
    /// [`Request::PlanSession`](crate::Request::PlanSession) of each side's plan, recorded
    /// together.
    pub fn shared_make_ups(&self, course: String) -> Result<SharedView, Fault> {
        Ok(self.look_among(&course, view::SharedView::of)?.shown())
    }
}
