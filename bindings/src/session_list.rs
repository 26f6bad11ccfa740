//! The sessions of a course, and the card of one.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{Leave, Limit, Moment, Setting, StaffName};

mirror! {
    /// The sessions of a course.
    shown record SessionListView = view::SessionListView {
        course: String,
        rows: Vec<SessionCard>,
        next: Option<String>,
        may_plan: Leave,
    }

    /// A session in a few words.
    shown record SessionCard = view::SessionCard {
        course: String,
        course_title: String,
        session: String,
        title: String,
        setting: Setting,
        site: String,
        starts: Moment,
        ends: Moment,
        minutes: u16,
        state: SessionState,
        cancelled: Option<String>,
        changes: u32,
        students: u32,
        with_gaps: u32,
        staff: Vec<StaffName>,
        skills: u32,
        in_water: u32,
        staff_in_water: u32,
        ratio: Option<RatioView>,
        depth_limit: Limit,
    }

    /// How a session stands at this moment.
    shown enum SessionState = view::SessionState {
        Ahead,
        Running,
        Over,
        Cancelled,
    }

    /// Students against the ceiling.
    shown record RatioView = view::RatioView {
        students: u32,
        instructors: u32,
        assistants: u32,
        ceiling: Option<u32>,
        limit: Limit,
        rule: Option<String>,
        reasons: Vec<RatioReason>,
        consider: Vec<Consider>,
    }

    /// A part of the sum behind a ceiling.
    shown enum RatioReason = view::RatioReason {
        Instructors { count: u32, each: u8 },
        Assistants { count: u32, each: u8 },
        Cap(most: u8),
        CapEach(most: u8),
        Young { under: u8, each: u8 },
        NoInstructor,
        OtherCourses(count: u32),
    }

    /// What a ceiling should be lowered for; how far, no policy can say.
    shown enum Consider = view::Consider {
        MovingWater,
        Minors(count: u32),
        AgeUnknown(count: u32),
        Alone,
        VisibilityUnknown,
    }
}
