//! Forms: the forms and checks of a whole class in one table.

use super::reader::count;
use super::student::{ClearanceRow, ClearanceState};
use super::{Leave, Reader, StudentName};
use crate::course::{ClearanceKind, CourseId};
use crate::entry::Sort;
use crate::standing::CourseStanding;

/// The forms and checks of everyone who is still in a course.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct FormsView {
    /// Of which course.
    pub course: CourseId,
    /// Its title.
    pub title: String,
    /// What is asked of anybody, or was recorded of anybody, in the order it is asked for.
    pub columns: Vec<ClearanceKind>,
    /// In order of name.
    pub rows: Vec<FormsRow>,
    /// How many are missing, refused or out of date.
    pub missing: u32,
    /// Whether the reader may record a form.
    pub may_clear: Leave,
}

/// The forms and checks of one student.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct FormsRow {
    /// Whose.
    pub name: StudentName,
    /// How many are missing, refused or out of date.
    pub missing: u32,
    /// One for each column, in their order.
    pub cells: Vec<ClearanceRow>,
}

impl FormsView {
    /// The table as it stands today.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>) -> Self {
        let names = reader.people.roster(&course.students()).into_iter();
        let staying = names.filter(|name| super::board::ended(course, &name.student).is_none());
        let mut rows: Vec<FormsRow> = staying
            .map(|name| FormsRow::of(course, reader, name))
            .collect();
        let columns: Vec<ClearanceKind> = ClearanceKind::ALL
            .into_iter()
            .filter(|kind| {
                let mut cells = rows.iter().flat_map(|row| &row.cells);
                cells.any(|cell| cell.what == *kind && cell.is_of_use())
            })
            .collect();
        for row in &mut rows {
            row.cells.retain(|cell| columns.contains(&cell.what));
        }
        Self {
            course: *course.id(),
            title: course.title(),
            missing: rows.iter().map(|row| row.missing).sum(),
            columns,
            rows,
            may_clear: reader.may_write(Sort::clearance(ClearanceKind::Health)),
        }
    }
}

impl FormsRow {
    fn of(course: &CourseStanding, reader: &Reader<'_>, name: StudentName) -> Self {
        let cells: Vec<ClearanceRow> = ClearanceKind::ALL
            .into_iter()
            .map(|what| ClearanceRow::of(course, reader, &name.student, what))
            .collect();
        Self {
            missing: count(cells.iter().filter(|cell| cell.is_missing()).count()),
            cells,
            name,
        }
    }
}

impl ClearanceRow {
    /// Whether somebody has to bring it, do it again, or see a physician first.
    pub const fn is_missing(&self) -> bool {
        match self.state {
            ClearanceState::Missing
            | ClearanceState::Expired
            | ClearanceState::Referred
            | ClearanceState::NotCleared => true,
            ClearanceState::NotAsked | ClearanceState::Cleared => false,
        }
    }

    /// Whether it is asked for or was recorded.
    const fn is_of_use(&self) -> bool {
        !matches!(self.state, ClearanceState::NotAsked)
    }
}
