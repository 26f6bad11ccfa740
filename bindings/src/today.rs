//! Today: the first screen.

use tallywater_core::view;

use crate::cross::{Shown as _, mirror};
use crate::{
    CellKey, Day, Fault, HistoryLine, Leave, Moment, SessionCard, StudentName, Tallywater,
};

mirror! {
    /// The first screen.
    shown record TodayView = view::TodayView {
        day: Day,
        sessions: Vec<SessionCard>,
        coming: Vec<SessionCard>,
        courses: Vec<CourseCard>,
        alerts: Vec<Alert>,
        unverified: u32,
        newer: u32,
    }

    /// A course in a few figures.
    shown record CourseCard = view::CourseCard {
        course: String,
        title: String,
        starts: Option<Day>,
        stage: Option<CourseStage>,
        students: u32,
        completed: u32,
        ready: u32,
        done: u32,
        of: u32,
        percent: u32,
        two_views: u32,
        waiting: u32,
        slipped: u32,
        next: Option<SessionCard>,
    }

    /// Something that waits for someone.
    shown record Alert = view::Alert {
        what: AlertKind,
        course: String,
        title: String,
        session: Option<String>,
        count: u32,
        students: Vec<StudentName>,
        cell: Option<CellKey>,
        devices: Vec<String>,
        own: bool,
    }

    /// What waits, the gravest first.
    shown enum AlertKind = view::AlertKind {
        StillInWater,
        OverRatio,
        PaperBeforeWater,
        TwoViews,
        SlippedSince,
        ToConfirm,
        RulesUnconfirmed,
        Unverified,
        Irregular,
        Newer,
    }

    /// What one works on now.
    shown record AtHand = view::AtHand {
        course: String,
        course_title: String,
        session: Option<String>,
        title: Option<String>,
        starts: Option<Moment>,
        in_water: u32,
    }

    /// A session by name and time.
    shown record SessionName = view::SessionName {
        title: String,
        starts: Moment,
    }

    /// What waits in a course.
    shown record ToConfirmView = view::ToConfirmView {
        course: String,
        title: String,
        rows: Vec<ToConfirmRow>,
        may_confirm: Leave,
    }

    /// One try that waits.
    shown record ToConfirmRow = view::ToConfirmRow {
        name: StudentName,
        skill: String,
        skill_name: String,
        line: HistoryLine,
    }

    /// Where a course stands.
    shown enum CourseStage = view::CourseStage {
        Running,
        Ahead,
        Closed,
        HandedOver,
    }
}

#[uniffi::export]
impl Tallywater {
    /// What one works on now: the session with people in the water, else the one that runs,
    /// else the first of today that is not over or cancelled, else the course that comes
    /// first; `None` without any course.
    pub fn at_hand(&self) -> Result<Option<AtHand>, Fault> {
        let today = self.desk.today(self.core_units())?;
        Ok(view::AtHand::of(&today).shown())
    }
}
