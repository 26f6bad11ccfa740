//! One water: who is in the same water at once with the same staff, whatever course they are in.
//!
//! Staff who watch over two courses watch over all of both: a ratio counts them once and their
//! students together. Known as far as the reader knows the courses of this device.

use std::collections::{BTreeMap, BTreeSet};

use super::Reader;
use super::ratio::{Consider, RatioOf, RatioReason, RatioView, ratio};
use super::reader::count;
use crate::course::{AgeKnown, Role, SessionId, SessionPlan, StaffId, StudentId, folded};
use crate::entry::Who;
use crate::standing::CourseStanding;

/// Students and staff of one water.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct OneWater {
    /// Each student once.
    students: Vec<StudentId>,
    /// Each member of staff once, as the course that is looked at has them, else as their own.
    roles: BTreeMap<StaffId, Role>,
    /// How many of the students are there with another course.
    of_others: u32,
}

impl OneWater {
    /// As a session is planned, with the sessions of other courses that share its water.
    pub(super) fn planned(
        course: &CourseStanding,
        reader: &Reader<'_>,
        plan: &SessionPlan,
    ) -> Self {
        let mut all = Self::default();
        all.take(course, &plan.students, &plan.staff);
        let own = all.students.len();
        for (other, _, beside) in shared_with(course, reader, plan) {
            all.take(other, &beside.students, &beside.staff);
        }
        all.of_others = count(all.students.len().saturating_sub(own));
        all
    }

    /// As sessions would be held together, the one that is looked at first.
    pub(super) fn of<'a>(
        plans: impl IntoIterator<Item = (&'a CourseStanding, &'a SessionPlan)>,
    ) -> Self {
        let mut all = Self::default();
        let mut own = None;
        for (course, plan) in plans {
            all.take(course, &plan.students, &plan.staff);
            own = own.or(Some(all.students.len()));
        }
        all.of_others = count(all.students.len().saturating_sub(own.unwrap_or(0)));
        all
    }

    /// As it is at this moment: of a session's own people those who are in, and who is in from
    /// the sessions that share its water.
    pub(super) fn now(
        course: &CourseStanding,
        reader: &Reader<'_>,
        plan: &SessionPlan,
        wet: &[Who],
    ) -> Self {
        let mut all = Self::default();
        all.take_wet(course, wet.iter().copied());
        let own = all.students.len();
        for (other, session, _) in shared_with(course, reader, plan) {
            all.take_wet(other, super::board::in_water(other, &session));
        }
        all.of_others = count(all.students.len().saturating_sub(own));
        all
    }

    /// How many assistants are among them.
    pub(super) fn assistants(&self) -> usize {
        self.in_role(Role::Assistant)
    }

    /// Each student once.
    pub(super) fn students(&self) -> &[StudentId] {
        &self.students
    }

    /// All of them against a course's policy; `None` on land.
    pub(super) fn ratio(
        &self,
        course: &CourseStanding,
        reader: &Reader<'_>,
        plan: &SessionPlan,
        consider: Vec<Consider>,
    ) -> Option<RatioView> {
        let ages: Vec<AgeKnown> = self.students.iter().map(|id| reader.age(id)).collect();
        let of = RatioOf {
            setting: plan.setting,
            on: plan.starts.date_naive(),
            students: &ages,
            instructors: self.in_role(Role::Instructor),
            assistants: self.assistants(),
        };
        let mut view = ratio(course, of, consider)?;
        if self.of_others > 0 {
            view.reasons.push(RatioReason::OtherCourses(self.of_others));
        }
        Some(view)
    }

    fn in_role(&self, wanted: Role) -> usize {
        let roles = self.roles.values();
        roles.filter(|role| **role == wanted).count()
    }

    fn take(&mut self, of: &CourseStanding, students: &[StudentId], staff: &[StaffId]) {
        for student in students {
            if !self.students.contains(student) {
                self.students.push(*student);
            }
        }
        let assigned = of.staff();
        for id in staff {
            if let Some(role) = assigned.get(id) {
                self.roles.entry(*id).or_insert(*role);
            }
        }
    }

    fn take_wet(&mut self, of: &CourseStanding, wet: impl IntoIterator<Item = Who>) {
        let (mut students, mut staff) = (Vec::new(), Vec::new());
        for who in wet {
            match who {
                Who::Student(id) => students.push(id),
                Who::Staff(id) => staff.push(id),
            }
        }
        self.take(of, &students, &staff);
    }
}

/// Whom other courses bring into a session's water, for a paper that has one course at hand.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Alongside {
    /// Their students, each by what is known of the age.
    pub ages: Vec<AgeKnown>,
    /// Instructors that the session has not itself.
    pub instructors: usize,
    /// The same of assistants.
    pub assistants: usize,
}

impl Alongside {
    /// Of each session of a course that shares its water.
    pub fn of_course(course: &CourseStanding, reader: &Reader<'_>) -> BTreeMap<SessionId, Self> {
        let sessions = course.sessions().iter();
        let shared = sessions.filter(|(_, now)| now.cancelled.is_none());
        let shared = shared.filter_map(|(id, now)| {
            let plan = &now.plan;
            let (own, all) = (
                OneWater::of([(course, plan)]),
                OneWater::planned(course, reader, plan),
            );
            let more = |role| all.in_role(role).saturating_sub(own.in_role(role));
            let others = all.students.iter().filter(|id| !own.students.contains(id));
            let beside = Self {
                ages: others.map(|id| reader.age(id)).collect(),
                instructors: more(Role::Instructor),
                assistants: more(Role::Assistant),
            };
            (beside != Self::default()).then_some((*id, beside))
        });
        shared.collect()
    }
}

/// The sessions of other courses that share a plan's water: at its place, at some of its hours
/// and with some of its staff, or with staff of one that does.
pub(super) fn shared_with<'a>(
    course: &CourseStanding,
    reader: &Reader<'a>,
    plan: &SessionPlan,
) -> Vec<(&'a CourseStanding, SessionId, &'a SessionPlan)> {
    if !plan.setting.is_wet() {
        return Vec::new();
    }
    let place = folded(&plan.site);
    let mut beside = Vec::new();
    for other in reader.courses.iter().copied() {
        if other.id() == course.id() {
            continue;
        }
        for (id, now) in other.sessions() {
            let held = &now.plan;
            let meets = held.meets(plan.starts, plan.ends());
            let here = held.setting.is_wet() && folded(&held.site) == place;
            if now.cancelled.is_none() && meets && here {
                beside.push((other, *id, held));
            }
        }
    }
    let mut staff: BTreeSet<StaffId> = plan.staff.iter().copied().collect();
    let mut shared = Vec::new();
    while let Some(at) = beside
        .iter()
        .position(|(.., held)| held.staff.iter().any(|id| staff.contains(id)))
    {
        let one = beside.remove(at);
        staff.extend(one.2.staff.iter().copied());
        shared.push(one);
    }
    shared
}
