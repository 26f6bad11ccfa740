//! Ascents: how often each one of a session will come up, read off its run list before
//! anybody is in the water. An estimate, and the log's count takes its place.
//!
//! A skill whose requirement bounds an ascent rate is shown going up. Students show it one
//! after another, so whoever goes with them goes up once for each; instructors share that
//! among themselves, and everybody comes up once more at the end. How staff share students
//! in truth, nobody writes down: common practice, no published source.

use chrono::NaiveDate;

use super::need::still_needs;
use crate::course::{Measure, Role, SessionId, SessionPlan, Setting, Skill};
use crate::entry::{Body, Kind, Who};
use crate::standing::CourseStanding;

/// Whether a try of a skill goes up through the water.
pub fn goes_up(skill: &Skill) -> bool {
    let mut measures = skill.requirement.measures.iter();
    measures.any(|measure| matches!(measure, Measure::AscentRate { .. }))
}

/// How often somebody comes up in a session as it is planned; none on land and afloat.
pub fn ascents_planned(course: &CourseStanding, plan: &SessionPlan, who: &Who) -> u32 {
    if !matches!(plan.setting, Setting::Confined | Setting::Open) {
        return 0;
    }
    let skills = || {
        let run = plan.run_list.iter();
        run.filter_map(|id| course.outline()?.skill(id))
            .filter(|skill| goes_up(skill))
    };
    let during = match who {
        Who::Student(student) => skills()
            .filter(|skill| still_needs(course, student, skill))
            .count(),
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
                let going = |skill: &Skill| {
                    let students = plan.students.iter();
                    students
                        .filter(|student| still_needs(course, student, skill))
                        .count()
                        .div_ceil(instructors)
                };
                skills().map(going).sum()
            }
        }
    };
    u32::try_from(during).unwrap_or(u32::MAX).saturating_add(1)
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
