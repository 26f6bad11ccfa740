//! Record: what a student's record says, complete or not, and a course's list of them.

use super::attempt_sheet::DemandView;
use super::cell::CellView;
use super::gaps::{GapRow, rows};
use super::history::{HistoryKind, HistoryLine, LineCounts, history};
use super::own_dive::OwnDiveRow;
use super::reader::count;
use super::student::{ClearanceRow, CompletionView, completion};
use super::water::{DiveRow, WaterView};
use super::{Day, Leave, Reader, StaffName, StudentName};
use crate::course::{ClearanceKind, CourseId, EntryId, Family, SkillId, StudentId};
use crate::entry::{Kind, Outcome};
use crate::plan::before_completion;
use crate::standing::CourseStanding;

/// One student's record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordView {
    /// Of which course.
    pub course: CourseId,
    /// Its title.
    pub title: String,
    /// The shop's name, if it is known here.
    pub shop: Option<String>,
    /// First planned day.
    pub starts: Option<Day>,
    /// The outline's title, edition and source.
    pub outline: Option<OutlineName>,
    /// Whose.
    pub name: StudentName,
    /// How it stands.
    pub state: RecordState,
    /// Papers and tests, those that were asked for or recorded.
    pub clearances: Vec<ClearanceRow>,
    /// Skills in outline order.
    pub items: Vec<RecordItem>,
    /// How many of them completion needs.
    pub required: u32,
    /// How many of those are done.
    pub done: u32,
    /// Dives, in order.
    pub dives: Vec<DiveRow>,
    /// The student's own dives, in order: beside the record, and none of it.
    pub own_dives: Vec<OwnDiveRow>,
    /// What is missing before completion.
    pub gaps: Vec<GapRow>,
    /// How the course ended, if it has.
    pub completion: Option<CompletionView>,
    /// Assistants' met marks that wait for an instructor: confirm all of these.
    pub waiting: Vec<HistoryLine>,
    /// What a completion written now would consider: every entry about the student that
    /// counts, by id.
    pub considered: Vec<EntryId>,
    /// Whether the reader may complete.
    pub may_complete: Leave,
    /// Whether the reader may refer the student or let them leave: gaps do not bar that.
    pub may_end: Leave,
    /// Whether the reader may confirm what waits.
    pub may_confirm: Leave,
}

/// What a course's outline is called.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct OutlineName {
    /// Its title.
    pub title: String,
    /// Its edition, from 1.
    pub edition: u32,
    /// Where it comes from.
    pub source: String,
}

/// How a student's record stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum RecordState {
    /// Gaps are open, so many.
    Open(#[cfg_attr(feature = "border", uniffi(name = "gaps"))] u32),
    /// Nothing is missing; an instructor may complete it.
    Ready,
    /// It ended.
    Ended(#[cfg_attr(feature = "border", uniffi(name = "outcome"))] Outcome),
}

/// A skill in a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordItem {
    /// Which.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// Its family.
    pub family: Family,
    /// What had to be shown, in words.
    pub says: String,
    /// Whether completion needs it.
    pub required: bool,
    /// How it stands.
    pub cell: CellView,
    /// How far each part of the demand is met.
    pub demand: DemandView,
    /// The lines that count, oldest first: tries, an instructor's word, an exemption.
    pub lines: Vec<HistoryLine>,
}

/// The records of a course.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct RecordsView {
    /// Of which course.
    pub course: CourseId,
    /// In order of name.
    pub rows: Vec<RecordRow>,
    /// How many have completed.
    pub completed: u32,
    /// How many are ready to be completed.
    pub ready: u32,
    /// Marks that wait for an instructor, in the whole course.
    pub waiting: Vec<EntryId>,
    /// Whether the reader may confirm them.
    pub may_confirm: Leave,
}

/// A student in the list of records.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct RecordRow {
    /// Who.
    pub name: StudentName,
    /// How the record stands.
    pub state: RecordState,
    /// When and by whom it was ended.
    pub ended: Option<EndedOn>,
    /// Entries that came or went since.
    pub changed_since: u32,
    /// Marks that wait for an instructor.
    pub waiting: u32,
}

/// When a course ended, and by whom.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct EndedOn {
    /// On which day.
    pub on: Day,
    /// Who wrote it.
    pub by: StaffName,
}

impl RecordView {
    /// A student's record today; `None` for one who is not in the course.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, student: &StudentId) -> Option<Self> {
        course.students().contains(student).then_some(())?;
        let skills = course.spoken_outline().into_iter();
        let skills = skills.flat_map(|one| &one.skills);
        let mut waiting = Vec::new();
        let items: Vec<RecordItem> = skills
            .filter_map(|skill| {
                let key = (*student, skill.id.clone());
                let lines = history(course, reader, student, &skill.id);
                waiting.extend(
                    lines
                        .iter()
                        .filter(|line| line.counts == LineCounts::Waits)
                        .cloned(),
                );
                Some(RecordItem {
                    skill: skill.id.clone(),
                    name: skill.name.clone(),
                    family: skill.family,
                    says: skill.requirement.says.clone(),
                    required: skill.required,
                    cell: CellView::of(course, reader, &key)?,
                    demand: DemandView::of(skill, &course.parts(&key)?),
                    lines: lines.into_iter().filter(counts_in_record).collect(),
                })
            })
            .collect();
        let gaps = before_completion(course, student, reader.today(), reader.age(student));
        let gaps = rows(course, reader, gaps);
        let completion = completion(course, reader, student);
        let instructor = reader.may_write(Kind::Completion);
        let open = instructor.where_open(completion.is_none());
        let opened = course.opened();
        Some(Self {
            course: *course.id(),
            title: course.title(),
            shop: reader.shop.name().map(str::to_owned),
            starts: opened.map(|opened| reader.day(opened.starts)),
            outline: course.outline().map(|one| OutlineName {
                title: one.title.clone(),
                edition: one.edition,
                source: one.source.clone(),
            }),
            name: reader.student(student),
            state: state(completion.as_ref(), gaps.len()),
            clearances: ClearanceKind::ALL
                .into_iter()
                .map(|what| ClearanceRow::of(course, reader, student, what))
                .filter(|row| row.entry.is_some() || row.needed_before.is_some())
                .collect(),
            required: count(items.iter().filter(|item| item.required).count()),
            done: count(
                items
                    .iter()
                    .filter(|item| item.required && item.cell.done)
                    .count(),
            ),
            items,
            dives: WaterView::of(course, reader, Some(student)).dives,
            own_dives: OwnDiveRow::all(course, reader, student),
            completion,
            may_confirm: instructor.where_open(!waiting.is_empty()),
            waiting,
            considered: course.considered(student),
            may_complete: match (open, gaps.len()) {
                (Leave::Yes, 0) => Leave::Yes,
                (Leave::Yes, some) => Leave::Gaps(count(some)),
                (leave, _) => leave,
            },
            may_end: open,
            gaps,
        })
    }
}

const fn counts_in_record(line: &HistoryLine) -> bool {
    matches!(line.counts, LineCounts::Counts | LineCounts::Waits)
        || (matches!(line.what, HistoryKind::Resolution)
            && !matches!(line.counts, LineCounts::Withdrawn))
}

fn state(completion: Option<&CompletionView>, gaps: usize) -> RecordState {
    match (completion, gaps) {
        (Some(completion), _) => RecordState::Ended(completion.outcome),
        (None, 0) => RecordState::Ready,
        (None, open) => RecordState::Open(count(open)),
    }
}

impl RecordsView {
    /// The records of a course's students.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>) -> Self {
        let mut waiting = Vec::new();
        let rows: Vec<RecordRow> = reader
            .people
            .roster(&course.students())
            .into_iter()
            .map(|name| {
                let student = name.student;
                let age = reader.age(&student);
                let gaps = before_completion(course, &student, reader.today(), age);
                let completion = completion(course, reader, &student);
                let own: Vec<EntryId> = course
                    .cells()
                    .iter()
                    .filter(|((of, _), _)| *of == student)
                    .flat_map(|(_, cell)| cell.unconfirmed.iter().copied())
                    .collect();
                waiting.extend(&own);
                RecordRow {
                    name,
                    state: state(completion.as_ref(), gaps.len()),
                    changed_since: completion.as_ref().map_or(0, |one| {
                        count(one.arrived_after.len() + one.gone_since.len())
                    }),
                    ended: completion.map(|one| EndedOn {
                        on: one.at.day,
                        by: one.by,
                    }),
                    waiting: count(own.len()),
                }
            })
            .collect();
        let is = |wanted: RecordState| count(rows.iter().filter(|row| row.state == wanted).count());
        Self {
            course: *course.id(),
            completed: is(RecordState::Ended(Outcome::Completed)),
            ready: is(RecordState::Ready),
            may_confirm: reader
                .may_write(Kind::Confirmation)
                .where_open(!waiting.is_empty()),
            waiting,
            rows,
        }
    }
}
