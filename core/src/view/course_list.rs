//! Course list: every course of the shop, from the shop's ledger alone: none has to be
//! opened to be listed.

use super::people::folded;
use super::reader::count;
use super::{Day, Leave, Reader, StaffName};
use crate::course::CourseId;
use crate::entry::{CourseListed, CourseState, Kind};

/// The courses of a shop.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct CourseListView {
    /// Those worked on first, the latest start first; then the others likewise.
    pub rows: Vec<CourseRow>,
    /// Not begun.
    pub ahead: u32,
    /// Running.
    pub running: u32,
    /// Closed or handed over.
    pub ended: u32,
    /// Whether the reader may open a course.
    pub may_open: Leave,
}

/// A course in the list.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct CourseRow {
    /// Which.
    pub course: CourseId,
    /// Its title.
    pub title: String,
    /// First planned day.
    pub starts: Day,
    /// Where it stands.
    pub stage: CourseStage,
    /// Who may have its ledger besides the shop.
    pub staff: Vec<StaffName>,
    /// Whether the reader is one of them.
    pub own: bool,
}

/// Where a course stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum CourseStage {
    /// Worked on, from its first planned day.
    Running,
    /// Its first planned day is ahead.
    Ahead,
    /// Ended.
    Closed,
    /// Handed to another shop.
    HandedOver,
}

impl CourseListView {
    /// The courses of the shop; with `text`, those whose title or staff contain it.
    pub fn of(reader: &Reader<'_>, text: Option<&str>) -> Self {
        let wanted = text.map(|text| folded(text.trim()));
        let mut rows: Vec<CourseRow> = reader
            .shop
            .courses()
            .map(|listed| CourseRow::of(reader, listed))
            .filter(|row| wanted.as_ref().is_none_or(|text| row.contains(text)))
            .collect();
        rows.sort_by(|a, b| {
            let key = |row: &CourseRow| (row.stage > CourseStage::Ahead, row.course);
            let ((a_ended, a_id), (b_ended, b_id)) = (key(a), key(b));
            (a_ended, b.starts.date, a_id).cmp(&(b_ended, a.starts.date, b_id))
        });
        let at = |stage| count(rows.iter().filter(|row| row.stage == stage).count());
        Self {
            ahead: at(CourseStage::Ahead),
            running: at(CourseStage::Running),
            ended: at(CourseStage::Closed) + at(CourseStage::HandedOver),
            may_open: reader.may_write(Kind::CourseOpened),
            rows,
        }
    }
}

impl CourseStage {
    pub(super) fn of(listed: &CourseListed, reader: &Reader<'_>) -> Self {
        match listed.state {
            CourseState::Running if listed.starts > reader.today() => Self::Ahead,
            CourseState::Running => Self::Running,
            CourseState::Closed => Self::Closed,
            CourseState::HandedOver => Self::HandedOver,
        }
    }
}

impl CourseRow {
    fn of(reader: &Reader<'_>, listed: &CourseListed) -> Self {
        Self {
            course: listed.course,
            title: listed.title.clone(),
            starts: reader.day(listed.starts),
            stage: CourseStage::of(listed, reader),
            staff: listed.staff.iter().map(|id| reader.staff(id)).collect(),
            own: reader
                .writer()
                .is_some_and(|writer| listed.staff.contains(&writer.staff)),
        }
    }

    fn contains(&self, text: &str) -> bool {
        folded(&self.title).contains(text)
            || self
                .staff
                .iter()
                .any(|staff| folded(&staff.name).contains(text))
    }
}
