//! Today: the first screen.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{Day, Fault, SessionCard, SessionState, StudentName, Tallywater};

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

/// The course and session that one would work on now.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct AtHand {
    /// The course.
    pub course: String,
    /// Its session, if it has one today.
    pub session: Option<String>,
}

#[uniffi::export]
impl Tallywater {
    /// What one would work on now: the session that runs, else the first of today that is
    /// not over or cancelled, else the course that comes first; `None` without any course.
    pub fn at_hand(&self) -> Result<Option<AtHand>, Fault> {
        let today = self.today()?;
        let in_state = |state| today.sessions.iter().find(|one| one.state == state);
        let session = in_state(SessionState::Running).or_else(|| in_state(SessionState::Ahead));
        let of_session = session.map(|one| AtHand {
            course: one.course.clone(),
            session: Some(one.session.clone()),
        });
        let first = today.courses.into_iter().next().map(|one| AtHand {
            course: one.course,
            session: None,
        });
        Ok(of_session.or(first))
    }
}
