//! The list of courses.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{CourseStage, Day, Leave, StaffName};

mirror! {
    /// The courses of a shop.
    shown record CourseListView = view::CourseListView {
        rows: Vec<CourseRow>,
        ahead: u32,
        running: u32,
        ended: u32,
        may_open: Leave,
    }

    /// A course in the list.
    shown record CourseRow = view::CourseRow {
        course: String,
        title: String,
        starts: Day,
        stage: CourseStage,
        staff: Vec<StaffName>,
        own: bool,
    }
}
