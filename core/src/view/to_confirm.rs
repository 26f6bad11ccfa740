//! To confirm: every mark of an assistant that waits for an instructor, each with whose it is,
//! of which skill, and what was seen: what a person confirms is what stands there.

use super::history::{HistoryLine, LineCounts, history};
use super::reader::skill_name;
use super::{Leave, Reader, StudentName};
use crate::course::{CourseId, SkillId};
use crate::entry::Kind;
use crate::standing::CourseStanding;

/// What waits in a course.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct ToConfirmView {
    /// Which course.
    pub course: CourseId,
    /// Its title.
    pub title: String,
    /// Student by student, skill by skill as on the board, the oldest try first.
    pub rows: Vec<ToConfirmRow>,
    /// Whether the reader may confirm them.
    pub may_confirm: Leave,
}

/// One try that waits.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct ToConfirmRow {
    /// Whose.
    pub name: StudentName,
    /// Of which skill.
    pub skill: SkillId,
    /// What it is called.
    pub skill_name: String,
    /// The try as the record shows it.
    pub line: HistoryLine,
}

impl ToConfirmView {
    /// Of a course.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>) -> Self {
        let skills = super::attempt_sheet::skills_in_board_order(course);
        let mut rows = Vec::new();
        for name in reader.people.roster(&course.students()) {
            for skill in &skills {
                let cell = course.cells().get(&(name.student, skill.clone()));
                if cell.is_none_or(|cell| cell.unconfirmed.is_empty()) {
                    continue;
                }
                let lines = history(course, reader, &name.student, skill);
                let waiting = lines
                    .into_iter()
                    .filter(|line| line.counts == LineCounts::Waits);
                rows.extend(waiting.map(|line| ToConfirmRow {
                    name: name.clone(),
                    skill: skill.clone(),
                    skill_name: skill_name(course, skill),
                    line,
                }));
            }
        }
        Self {
            course: *course.id(),
            title: course.title(),
            may_confirm: reader
                .may_write(Kind::Confirmation)
                .where_open(!rows.is_empty()),
            rows,
        }
    }
}
