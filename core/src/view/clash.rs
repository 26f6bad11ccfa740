//! Clash: what else is planned at the hours of a session, in any course of this device.

use std::collections::BTreeSet;

use super::session_list::ends;
use super::{Moment, Reader, StaffName};
use crate::course::{CourseId, SessionId, SessionPlan};
use crate::standing::CourseStanding;

/// Another session whose hours overlap.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Clash {
    /// Of which course.
    pub course: CourseId,
    /// The course's title.
    pub course_title: String,
    /// Which.
    pub session: SessionId,
    /// What it is called.
    pub title: String,
    /// Where, in words.
    pub site: String,
    /// When it starts.
    pub starts: Moment,
    /// When it ends, as planned.
    pub ends: Moment,
    /// Staff planned in both: nobody is in two waters at once.
    pub staff: Vec<StaffName>,
    /// How many students are planned in both.
    pub students: u32,
}

impl Clash {
    /// The sessions of these courses that overlap with a plan, in order of their start; those
    /// that were cancelled do not, and neither does the session that is being planned. One
    /// that begins when another ends does not overlap.
    pub fn all_of(
        plan: &SessionPlan,
        own: Option<SessionId>,
        courses: &[&CourseStanding],
        reader: &Reader<'_>,
    ) -> Vec<Self> {
        let mut clashes = Vec::new();
        for course in courses {
            for (id, now) in course.sessions() {
                let other = &now.plan;
                let apart = other.starts >= ends(plan) || plan.starts >= ends(other);
                if apart || now.cancelled.is_some() || own == Some(*id) {
                    continue;
                }
                let staff: BTreeSet<_> = plan.staff.iter().collect();
                let both = plan
                    .students
                    .iter()
                    .filter(|id| other.students.contains(id));
                clashes.push(Self {
                    course: *course.id(),
                    course_title: course.title(),
                    session: *id,
                    title: other.title.clone(),
                    site: other.site.clone(),
                    starts: reader.when(other.starts),
                    ends: reader.when(ends(other)),
                    staff: other
                        .staff
                        .iter()
                        .filter(|id| staff.contains(id))
                        .map(|id| reader.staff(id))
                        .collect(),
                    students: super::reader::count(both.count()),
                });
            }
        }
        clashes.sort_by_key(|one| (one.starts.at, one.session));
        clashes
    }
}
