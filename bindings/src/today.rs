//! Today: the first screen.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{Day, SessionCard, StudentName};

mirror! {
    /// The first screen.
    shown record TodayView = view::TodayView {
        day: Day,
        sessions: Vec<SessionCard>,
        next: Option<SessionCard>,
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

    /// Where a course stands.
    shown enum CourseStage = view::CourseStage {
        Running,
        Ahead,
        Closed,
        HandedOver,
    }
}
