//! Beside: a session of another course in whose water a lost one could be held, where no free
//! slot suits it.

use chrono::NaiveDate;

use super::{HeldTogether, cannot_come};
use crate::course::{Role, SessionId, SessionPlan, Setting, StaffId, StudentId};
use crate::plan::{Going, Missing, Spacing, StaffMissing, StayingSession};
use crate::standing::CourseStanding;
use crate::view::Reader;
use crate::view::gaps::before_gaps;
use crate::view::shared::{minutes, within};
use crate::view::staff_gaps::staff_gaps;

/// What a lost session is held against that no free slot suits.
pub(super) struct Beside<'a, 'r> {
    pub(super) course: &'a CourseStanding,
    pub(super) courses: &'a [&'a CourseStanding],
    pub(super) reader: &'a Reader<'r>,
    pub(super) lost: &'a [SessionId],
    /// The day and the setting that are lost.
    pub(super) day: (NaiveDate, Setting),
    pub(super) spacing: Spacing,
}

impl Beside<'_, '_> {
    /// The earliest session of another course that is to come, on another day or in other water,
    /// as deep and as long as both need, to which every student can come, and whose staff may
    /// take both by every rule; it then stays among those of the course.
    pub(super) fn together(
        &self,
        lost: &SessionPlan,
        stay: &mut Vec<StayingSession>,
    ) -> Option<HeldTogether> {
        let mut found: Vec<(&CourseStanding, &SessionPlan)> = Vec::new();
        for other in self.courses.iter().copied() {
            if other.id() == self.course.id() {
                continue;
            }
            let held = other.sessions().values();
            let held = held.filter(|now| now.cancelled.is_none());
            found.extend(held.map(|now| (other, &now.plan)));
        }
        found.retain(|(_, plan)| {
            plan.setting == lost.setting
                && plan.starts > self.reader.now
                && (plan.starts.date_naive(), plan.setting) != self.day
        });
        found.sort_by_key(|(other, plan)| (plan.starts, *other.id()));
        let (other, beside, plan, fits) = found.into_iter().find_map(|(other, beside)| {
            let plan = self.beside(lost, beside, stay)?;
            let held = [(self.course, &plan), (other, beside)];
            let fits = within(self.reader, &held)?;
            let long = minutes(&held) <= u32::from(beside.minutes);
            long.then_some((other, beside, plan, fits))
        })?;
        stay.push(StayingSession {
            course: *self.course.id(),
            starts: plan.starts,
            setting: plan.setting,
            students: plan.students.iter().copied().collect(),
        });
        let reader = self.reader;
        Some(HeldTogether {
            course_title: other.title(),
            title: beside.title.clone(),
            starts: reader.when(plan.starts),
            ends: reader.when(plan.ends()),
            site: plan.site.clone(),
            staff: plan.staff.iter().map(|id| reader.staff(id)).collect(),
            students: fits.0,
            ceiling: fits.1,
            plan,
        })
    }

    /// A lost session as it would be held with another: where its staff are of this course as
    /// well and lack nothing, and its students can come and have no other dive too near.
    fn beside(
        &self,
        lost: &SessionPlan,
        other: &SessionPlan,
        stay: &[StayingSession],
    ) -> Option<SessionPlan> {
        let plan = SessionPlan {
            site: other.site.clone(),
            starts: other.starts,
            minutes: other.minutes,
            staff: other.staff.clone(),
            water: other.water.clone(),
            also: other.also.clone(),
            stations: Vec::new(),
            ..lost.clone()
        };
        let roles = self.course.staff();
        let leads = |id: &StaffId| roles.get(id) == Some(&Role::Instructor);
        let ours = |id: &StaffId| roles.get(id).is_some_and(|role| *role != Role::Shop);
        let clear = |id: &StaffId| {
            let gaps = staff_gaps(self.course, self.reader, &plan, id);
            let mut gaps = gaps.iter();
            gaps.all(|gap| matches!(gap.what, StaffMissing::RuleUnconfirmed(_)))
        };
        if !plan.staff.iter().any(leads) || !plan.staff.iter().all(|id| ours(id) && clear(id)) {
            return None;
        }
        let going = Going::of(&plan, None);
        let held = (plan.starts.date_naive(), plan.setting);
        let may = |student: &StudentId| {
            let gaps = before_gaps(self.course, self.reader, student, &going);
            let mut gaps = gaps.iter();
            let theirs = stay.iter().filter(|one| one.students.contains(student));
            let days = theirs.map(|one| (one.starts.date_naive(), one.setting));
            gaps.all(|gap| matches!(gap.what, Missing::RuleUnconfirmed(_)))
                && !other.students.contains(student)
                && self.spacing.allows(held, days)
        };
        let students = SessionPlan {
            staff: Vec::new(),
            ..plan.clone()
        };
        let then = (&students, students.starts);
        let absent = cannot_come(self.course, self.courses, self.reader, self.lost, then);
        (absent.is_empty() && plan.students.iter().all(may)).then_some(plan)
    }
}
