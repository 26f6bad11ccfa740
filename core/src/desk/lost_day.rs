//! Lost day: what a person asks for who accepts one as it was shown. Where its sessions go is
//! [`crate::view`]'s to say.

use super::Request;
use crate::course::{CourseId, SessionId};
use crate::view::{HeldAnew, LostDayView};

impl LostDayView {
    /// What it asks for as it was shown, to be recorded together: all of it, or nothing. A session
    /// moves where a slot is found, and what shares its water moves with it; it is planned anew
    /// where it can be held together with another course's, and cancelled where neither is.
    pub fn requests(&self, course: CourseId, why: &str) -> Vec<Request> {
        let mut requests = Vec::new();
        for row in &self.rows {
            let session = row.session;
            requests.push(match (&row.after, &row.together) {
                (Some(after), _) => moved(course, session, after, why),
                (None, Some(together)) => Request::PlanSession {
                    course,
                    session: Some(session),
                    plan: together.plan.clone(),
                },
                (None, None) => Request::CancelSession {
                    course,
                    session,
                    why: why.to_owned(),
                },
            });
            let along = row.along.iter();
            requests.extend(along.map(|one| moved(one.course, one.session, &one.after, why)));
        }
        requests
    }
}

fn moved(course: CourseId, session: SessionId, after: &HeldAnew, why: &str) -> Request {
    Request::MoveSession {
        course,
        session,
        starts: after.starts.at,
        site: after.site.clone(),
        why: why.to_owned(),
    }
}
