//! Course: what it is called, when and where it is held, who works on it.

use super::course_list::CourseStage;
use super::people::folded;
use super::reader::count;
use super::staff::teaches;
use super::{Day, Leave, Reader, StaffName};
use crate::course::{CourseId, Role};
use crate::entry::Kind;
use crate::standing::CourseStanding;

/// A course as a whole: what its settings show.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct CourseView {
    /// Which.
    pub course: CourseId,
    /// Its title.
    pub title: String,
    /// First planned day.
    pub starts: Option<Day>,
    /// Where it is usually held, if that was said.
    pub place: Option<String>,
    /// Where it stands, by the shop's list; `None` when the shop does not list it.
    pub stage: Option<CourseStage>,
    /// Students enrolled.
    pub students: u32,
    /// Of those, how many have neither completed nor left.
    pub open: u32,
    /// Who works on it, and whoever else is admitted to teach, in order of name.
    pub staff: Vec<CourseStaff>,
    /// Whether the reader may change title, day, place and staff, close it and open it again.
    pub may_change: Leave,
}

/// A member of staff beside a course.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct CourseStaff {
    /// Who.
    pub name: StaffName,
    /// As what they work on it; `None` when they do not.
    pub assigned: Option<Role>,
    /// As what a device of theirs lets them teach; `None` while none does.
    pub teaches: Option<Role>,
    /// Whether it is the reader.
    pub own: bool,
}

impl CourseView {
    /// A course as it stands.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>) -> Self {
        let assigned = course.staff();
        let known = reader.shop.staff();
        let mut ids: Vec<_> = assigned.keys().chain(known.keys()).copied().collect();
        ids.sort_unstable();
        ids.dedup();
        let mut staff: Vec<CourseStaff> = ids
            .into_iter()
            .map(|id| CourseStaff {
                assigned: assigned.get(&id).copied(),
                teaches: teaches(reader, &id),
                own: reader.writer().is_some_and(|writer| writer.staff == id),
                name: reader.staff(&id),
            })
            .filter(|one| one.assigned.is_some() || one.teaches.is_some())
            .collect();
        staff.sort_by_cached_key(|one| (folded(&one.name.name), one.name.staff));
        let students = course.students();
        let open = students
            .iter()
            .filter(|student| super::board::ended(course, student).is_none());
        let opened = course.opened();
        Self {
            course: *course.id(),
            title: course.title(),
            starts: opened.map(|opened| reader.day(opened.starts)),
            place: opened.and_then(|opened| opened.place.clone()),
            stage: reader
                .shop
                .course(course.id())
                .map(|listed| CourseStage::of(listed, reader)),
            open: count(open.count()),
            students: count(students.len()),
            staff,
            may_change: reader.may_write(Kind::CourseListed),
        }
    }
}
