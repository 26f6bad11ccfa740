//! At hand: the course and session that one works on now. While anybody is in the water of a
//! session it is that one, whatever else is planned or was looked at.

use super::session_list::{SessionCard, SessionState};
use super::{Moment, Reader, TodayView};
use crate::course::{CourseId, SessionId};
use crate::standing::CourseStanding;

/// A session by name and time, whatever screen is about it.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SessionName {
    /// What it is called.
    pub title: String,
    /// When it starts.
    pub starts: Moment,
}

impl SessionName {
    /// Of a session; `None` when none of its plans stands.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, id: &SessionId) -> Option<Self> {
        let plan = &course.sessions().get(id)?.plan;
        Some(Self {
            title: plan.title.clone(),
            starts: reader.when(plan.starts),
        })
    }
}

/// What one works on now.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct AtHand {
    /// The course.
    pub course: CourseId,
    /// Its title.
    pub course_title: String,
    /// Its session, if it has one today.
    pub session: Option<SessionId>,
    /// What the session is called.
    pub title: Option<String>,
    /// When it starts.
    pub starts: Option<Moment>,
    /// In its water now, staff too.
    pub in_water: u32,
}

impl AtHand {
    /// The session with people in the water; else the one that runs, else the first of today
    /// that is not over or cancelled, else the course that comes first; `None` without any
    /// course.
    pub fn of(today: &TodayView) -> Option<Self> {
        let first = |is: fn(&SessionCard) -> bool| today.sessions.iter().find(|one| is(one));
        // Of several with people in them the one that began last: there one counts now.
        let wet = today.sessions.iter().rev().find(|one| one.in_water > 0);
        let session = wet
            .or_else(|| first(|one| one.state == SessionState::Running))
            .or_else(|| first(|one| one.state == SessionState::Ahead));
        match session {
            Some(one) => Some(Self {
                course: one.course,
                course_title: one.course_title.clone(),
                session: Some(one.session),
                title: Some(one.title.clone()),
                starts: Some(one.starts),
                in_water: one.in_water,
            }),
            None => today.courses.first().map(|one| Self {
                course: one.course,
                course_title: one.title.clone(),
                session: None,
                title: None,
                starts: None,
                in_water: 0,
            }),
        }
    }
}
