//! Ascents: how often each one of a session will come up, read off its run list before
//! anybody is in the water. An estimate, and the log's count takes its place.
//!
//! The outline says of each skill what a turn of it costs in ascents; as many turns are taken
//! as those who still need it make, one by one, in pairs or together. Instructors share them
//! among themselves, and everybody comes up once more at the end, unless what all show
//! together is that. It is the planner's own count. How staff share students in truth, nobody
//! writes down: common practice, no published source.

use chrono::NaiveDate;

use super::need::still_needs;
use crate::course::{Measure, Role, RunForm, SessionId, SessionPlan, Setting, Skill};
use crate::entry::{Body, Kind, Who};
use crate::standing::CourseStanding;

/// Ascents that a turn of a skill costs. An outline from before this was said bounds the rate
/// of a skill that is shown going up.
pub fn ascents_a_turn(skill: &Skill) -> u32 {
    let mut measures = skill.requirement.measures.iter();
    if skill.run.is_unsaid() {
        measures
            .any(|measure| matches!(measure, Measure::AscentRate { .. }))
            .into()
    } else {
        skill.run.ascents.into()
    }
}

/// How often somebody comes up in a session as it is planned; none on land and afloat.
pub fn ascents_planned(course: &CourseStanding, plan: &SessionPlan, who: &Who) -> u32 {
    if !matches!(plan.setting, Setting::Confined | Setting::Open) {
        return 0;
    }
    let skills = || {
        let run = plan.run_list.iter();
        run.filter_map(|id| course.outline()?.skill(id))
            .filter(|skill| ascents_a_turn(skill) > 0)
    };
    let during = match who {
        Who::Student(student) => skills()
            .filter(|skill| still_needs(course, student, skill))
            .map(ascents_a_turn)
            .sum(),
        Who::Staff(staff) => {
            let roles = course.staff();
            if roles.get(staff) != Some(&Role::Instructor) {
                0
            } else {
                let instructors = plan
                    .staff
                    .iter()
                    .filter(|id| roles.get(id) == Some(&Role::Instructor));
                let instructors = instructors.count().max(1);
                let instructors = u32::try_from(instructors).unwrap_or(u32::MAX);
                let going = |skill: &Skill| {
                    let students = plan.students.iter();
                    let need = students.filter(|student| still_needs(course, student, skill));
                    let turns = u32::from(skill.turns(need.count()));
                    ascents_a_turn(skill)
                        .saturating_mul(turns)
                        .div_ceil(instructors)
                };
                skills().map(going).fold(0, u32::saturating_add)
            }
        }
    };
    let shown_together = skills().any(|skill| {
        let mut students = plan.students.iter();
        skill.run.form == RunForm::Together
            && students.any(|student| still_needs(course, student, skill))
    });
    let at_the_end = u32::from(!shown_together);
    during.saturating_add(at_the_end)
}

/// How often somebody comes up on the day of a plan: what was logged that day, each dive at
/// least once; what is planned before it that nobody has logged for them; and the plan.
pub fn ascents_of_day(
    course: &CourseStanding,
    plan: &SessionPlan,
    session: Option<SessionId>,
    who: &Who,
) -> u32 {
    let on = plan.starts.date_naive();
    let logged = logged_on(course, on, session, who);
    let sessions = course.sessions().iter();
    let undone = sessions
        .filter(|(id, now)| {
            Some(**id) != session
                && now.cancelled.is_none()
                && now.plan.starts.date_naive() == on
                && now.plan.starts < plan.starts
                && is_planned(&now.plan, who)
                && !is_logged(course, **id, who)
        })
        .map(|(_, now)| ascents_planned(course, &now.plan, who));
    logged
        .saturating_add(undone.fold(0, u32::saturating_add))
        .saturating_add(ascents_planned(course, plan, who))
}

fn is_planned(plan: &SessionPlan, who: &Who) -> bool {
    match who {
        Who::Student(id) => plan.students.contains(id),
        Who::Staff(id) => plan.staff.contains(id),
    }
}

fn is_logged(course: &CourseStanding, session: SessionId, who: &Who) -> bool {
    course.of_kind(Kind::DiveLogged).any(|one| {
        matches!(&one.entry.body, Body::DiveLogged(dive)
            if dive.who == *who && dive.session == Some(session))
    })
}

/// Ascents in the day's log; those of the session itself are what the plan estimates.
fn logged_on(course: &CourseStanding, on: NaiveDate, session: Option<SessionId>, who: &Who) -> u32 {
    let logged = course.of_kind(Kind::DiveLogged).filter_map(|one| {
        if let Body::DiveLogged(dive) = &one.entry.body {
            let other = dive.session.is_none() || dive.session != session;
            (dive.who == *who && other && dive.log.down.date_naive() == on)
                .then(|| u32::from(dive.log.ascents.unwrap_or(1)))
        } else {
            None
        }
    });
    logged.fold(0, u32::saturating_add)
}
