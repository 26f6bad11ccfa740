//! What now: what is left of a session that is being held, filled anew from what was met in it.

use super::line_up::{Presence, presence};
use super::{LackingView, ProposalView, Reader, StationRow};
use crate::course::{SessionId, SessionPlan, SkillId, StudentId};
use crate::plan::tried_in;
use crate::standing::CourseStanding;

impl ProposalView {
    /// The best of what is left of a session that is being held. The plan is the session's, as
    /// it stands or is being changed: what is left of its minutes is filled, for those who did
    /// not stay away. Who missed today may go again, what was shown today is not briefed again,
    /// and what was met today counts once.
    ///
    /// The plan that is answered is the whole session's: what was tried stays on its run list,
    /// before what is worked out, and the stations begin from now.
    pub fn of_what_is_left(
        course: &CourseStanding,
        reader: &Reader<'_>,
        session: SessionId,
        plan: &SessionPlan,
        pinned: &[SkillId],
        left_out: &[SkillId],
    ) -> Self {
        let passed = passed(plan, reader);
        let here = |student: &StudentId| {
            !matches!(
                presence(course, student, Some(session)),
                Presence::Absent | Presence::Gone
            )
        };
        let left = SessionPlan {
            minutes: plan.minutes.saturating_sub(passed),
            students: plan.students.iter().copied().filter(here).collect(),
            ..plan.clone()
        };
        let held = course.sessions().get(&session);
        let held = held.is_some_and(|one| one.cancelled.is_none());
        let over = !held || (left.minutes == 0 && plan.minutes > 0);
        let mut view = if over {
            Self::empty(plan, Some(LackingView::Over))
        } else {
            Self::asked(course, reader, &left, Some(session), (pinned, left_out))
        };
        if view.lacking.is_some() {
            view.plan = plan.clone();
            return view;
        }
        let tried = tried_in(course, &session);
        let mut run_list: Vec<SkillId> = plan.run_list.clone();
        run_list.retain(|skill| tried.contains(skill) && !view.plan.run_list.contains(skill));
        run_list.append(&mut view.plan.run_list);
        let mut stations = std::mem::take(&mut view.plan.stations);
        for run in stations.iter_mut().flat_map(|station| &mut station.runs) {
            run.starts = run.starts.saturating_add(passed);
        }
        view.plan = SessionPlan {
            run_list,
            stations,
            ..plan.clone()
        };
        view.stations = StationRow::of_plan(course, reader, &view.plan);
        view
    }
}

/// Minutes of a session that are gone, the one that has begun among them; none before it starts.
fn passed(plan: &SessionPlan, reader: &Reader<'_>) -> u16 {
    let seconds = (reader.now - plan.starts).num_seconds().max(0);
    u16::try_from(seconds.saturating_add(59) / 60).unwrap_or(u16::MAX)
}
