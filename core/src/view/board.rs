//! Board: every student by every skill, what is left and what waits for someone.
//!
//! Built once; after each entry [`BoardView::refresh`] draws just the touched cells anew,
//! and the result is what building it again would give.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::cell::CellView;
use super::reader::count;
use super::skill_card::MeasureKind;
use super::{Leave, Reader, StudentName, TeamOf};
use crate::course::{CourseId, Family, SessionId, Setting, Skill, SkillId, StudentId};
use crate::entry::{Body, Kind, Outcome, Passage, Who};
use crate::plan::{Going, before_session};
use crate::standing::{CellState, CourseStanding, Touched};

/// The board of a course.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoardView {
    /// Which course.
    pub course: CourseId,
    /// Its title; empty while none has arrived.
    pub title: String,
    /// The session it is looked at in, if one was named and is planned.
    pub session: Option<SessionId>,
    /// Its title.
    pub session_title: Option<String>,
    /// Which columns are shown.
    pub shows: Columns,
    /// Families in the order the outline first comes to them.
    pub groups: Vec<BoardGroup>,
    /// Skills, family by family, in outline order within each.
    pub columns: Vec<BoardColumn>,
    /// Students in order of name.
    pub rows: Vec<BoardRow>,
    /// Totals.
    pub counts: BoardCounts,
    /// Whether the reader may mark.
    pub may_mark: Leave,
    /// The day it was drawn on: what is due before water depends on it.
    pub today: NaiveDate,
}

/// Which columns a board shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Columns {
    /// Every skill of the outline.
    #[default]
    All,
    /// Those on the session's run list; all without a session.
    Session,
    /// Those that some student still needs.
    Left,
    /// Those in which a mark waits for an instructor, marks differ, or something slipped.
    Waiting,
}

/// A family over its columns.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct BoardGroup {
    /// Which.
    pub family: Family,
    /// The first of its columns, counted from 0.
    pub first: u32,
    /// How many.
    pub columns: u32,
}

/// A skill over its cells.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct BoardColumn {
    /// Which.
    pub skill: SkillId,
    /// Its place in the outline, from 1.
    pub number: u32,
    /// Its short name.
    pub name: String,
    /// Its family.
    pub family: Family,
    /// Whether it is the first shown of its family.
    pub first_of_family: bool,
    /// What its first measure is taken with.
    pub measure: Option<MeasureKind>,
    /// Whether a try can hurt.
    pub hazard: bool,
    /// Whether completion needs it.
    pub required: bool,
    /// Students who are done with it.
    pub done: u32,
    /// Of those who are still in the course or have completed it.
    pub of: u32,
}

/// A student beside their cells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoardRow {
    /// Who.
    pub name: StudentName,
    /// Required skills done, of the whole outline.
    pub done: u32,
    /// Required skills not done yet.
    pub left: u32,
    /// Required skills that are asked of this student.
    pub of: u32,
    /// Cells with two views.
    pub two_views: u32,
    /// Marks that wait for an instructor.
    pub waiting: u32,
    /// Cells that slipped since they were met.
    pub slipped: u32,
    /// How the student's course ended, if it has.
    pub ended: Option<Outcome>,
    /// Gaps before the session's water, or before confined water today.
    pub water_gaps: u32,
    /// In the water in the session, and not counted out.
    pub in_water: bool,
    /// What was kept of their team in the session.
    pub team: TeamOf,
    /// One a column, in the columns' order.
    pub cells: Vec<CellView>,
}

/// Totals of a board.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct BoardCounts {
    /// Required cells done, of all students who have not left.
    pub done: u32,
    /// Of so many.
    pub of: u32,
    /// Cells with two views.
    pub two_views: u32,
    /// Marks that wait for an instructor.
    pub waiting: u32,
    /// Cells that slipped since.
    pub slipped: u32,
    /// Entries from a newer version: kept, not understood here.
    pub newer: u32,
    /// Entries that count for nothing.
    pub unverified: u32,
    /// Things in the ledger that no honest device writes.
    pub irregular: u32,
}

/// What a refresh changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BoardChange {
    /// These rows, counted from 0, and the totals.
    Rows(BTreeSet<u32>),
    /// Everything was built again.
    Whole,
}

/// What a board is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct BoardOf {
    /// The session it is looked at in.
    pub session: Option<SessionId>,
    /// Which columns.
    pub shows: Columns,
    /// Irregular things in the ledger, as [`crate::ledger`] counts them.
    pub irregular: u32,
}

impl BoardView {
    /// The whole board.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, asked: BoardOf) -> Self {
        let columns = columns(course, asked);
        let wet = asked
            .session
            .map_or_else(BTreeSet::new, |id| in_water(course, &id));
        let kept = TeamOf::kept(course, asked.session.as_ref());
        let mut rows: Vec<BoardRow> = reader
            .people
            .roster(&course.students())
            .into_iter()
            .map(|name| BoardRow {
                team: TeamOf::of(reader, kept.as_ref(), &Who::Student(name.student)),
                ..BoardRow::of(course, reader, asked.session, &wet, &columns, name)
            })
            .collect();
        for row in &mut rows {
            row.sum_up(course);
        }
        let session = asked
            .session
            .filter(|id| course.sessions().contains_key(id));
        let mut board = Self {
            course: *course.id(),
            title: course.title(),
            session,
            session_title: session.and_then(|id| super::reader::session_title(course, &id)),
            shows: asked.shows,
            groups: groups(&columns),
            columns,
            rows,
            counts: BoardCounts::default(),
            may_mark: reader.may_write(Kind::Attempt),
            today: reader.today(),
        };
        board.sum_up(course, asked.irregular);
        board
    }

    /// Draws anew what an entry touched; the board is then what [`BoardView::of`] gives.
    ///
    /// Names are taken as they were: when a person's details arrive, build it again.
    pub fn refresh(
        &mut self,
        course: &CourseStanding,
        reader: &Reader<'_>,
        touched: &Touched,
        asked: BoardOf,
    ) -> BoardChange {
        let same = self.shows == asked.shows && self.today == reader.today();
        if touched.wider || !same || matches!(self.shows, Columns::Left | Columns::Waiting) {
            *self = Self::of(course, reader, asked);
            return BoardChange::Whole;
        }
        let students: BTreeSet<&StudentId> = touched.cells.iter().map(|(id, _)| id).collect();
        let mut changed = BTreeSet::new();
        for (place, row) in (0_u32..).zip(&mut self.rows) {
            if !students.contains(&row.name.student) {
                continue;
            }
            for cell in &mut row.cells {
                let key = (row.name.student, cell.skill.clone());
                if touched.cells.contains(&key)
                    && let Some(now) = CellView::of(course, reader, &key)
                {
                    *cell = now;
                }
            }
            row.sum_up(course);
            changed.insert(place);
        }
        self.sum_up(course, asked.irregular);
        BoardChange::Rows(changed)
    }

    fn sum_up(&mut self, course: &CourseStanding, irregular: u32) {
        let staying =
            |row: &&BoardRow| !matches!(row.ended, Some(Outcome::Left | Outcome::Referred));
        let of = count(self.rows.iter().filter(staying).count());
        for (place, column) in self.columns.iter_mut().enumerate() {
            column.of = of;
            let cells = self.rows.iter().filter(staying);
            let done = cells.filter(|row| row.cells.get(place).is_some_and(|cell| cell.done));
            column.done = count(done.count());
        }
        let tally = course.tally();
        let mut counts = BoardCounts {
            newer: count(tally.newer().len()),
            unverified: count(tally.unverified().len()),
            irregular,
            ..BoardCounts::default()
        };
        for row in &self.rows {
            if staying(&row) {
                counts.done += row.done;
                counts.of += row.of;
            }
            counts.two_views += row.two_views;
            counts.waiting += row.waiting;
            counts.slipped += row.slipped;
        }
        self.counts = counts;
    }
}

impl BoardRow {
    fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        session: Option<SessionId>,
        wet: &BTreeSet<Who>,
        columns: &[BoardColumn],
        name: StudentName,
    ) -> Self {
        let student = name.student;
        let cells = columns
            .iter()
            .filter_map(|column| CellView::of(course, reader, &(student, column.skill.clone())))
            .collect();
        Self {
            name,
            done: 0,
            left: 0,
            of: 0,
            two_views: 0,
            waiting: 0,
            slipped: 0,
            ended: ended(course, &student),
            water_gaps: water_gaps(course, reader, &student, session),
            in_water: wet.contains(&Who::Student(student)),
            team: TeamOf::default(),
            cells,
        }
    }

    /// Counts over the whole outline, not only over the columns shown: what is left is left
    /// whether it is in view or not.
    fn sum_up(&mut self, course: &CourseStanding) {
        let (mut done, mut of, mut two_views, mut waiting, mut slipped) = (0, 0, 0, 0, 0);
        let skills = course.outline().into_iter().flat_map(|one| &one.skills);
        for skill in skills {
            let key = (self.name.student, skill.id.clone());
            let Some(cell) = course.cells().get(&key) else {
                continue;
            };
            if skill.required && cell.state != CellState::Exempt {
                of += 1;
                done += u32::from(super::cell::is_done(cell));
            }
            two_views += u32::from(cell.state == CellState::TwoViews);
            slipped += u32::from(cell.slipped_since);
            waiting += count(cell.unconfirmed.len());
        }
        (self.done, self.of, self.left) = (done, of, of - done);
        (self.two_views, self.waiting, self.slipped) = (two_views, waiting, slipped);
    }
}

/// How a student's course ended, if it has.
pub(super) fn ended(course: &CourseStanding, student: &StudentId) -> Option<Outcome> {
    if let Body::Completion(completion) = &course.completion(student)?.entry.body {
        Some(completion.outcome)
    } else {
        None
    }
}

/// Who went in and was not counted out in a session.
pub(super) fn in_water(course: &CourseStanding, session: &SessionId) -> BTreeSet<Who> {
    course
        .headcount(session)
        .into_iter()
        .filter(
            |(_, one)| matches!(&one.entry.body, Body::Attendance(a) if a.passage == Passage::In),
        )
        .map(|(who, _)| who)
        .collect()
}

/// Gaps before a session's water; without one, before confined water today.
pub(super) fn water_gaps(
    course: &CourseStanding,
    reader: &Reader<'_>,
    student: &StudentId,
    session: Option<SessionId>,
) -> u32 {
    let plan = session.and_then(|id| Some(&course.sessions().get(&id)?.plan));
    let going = plan.map_or_else(
        || Going::somewhere(Setting::Confined, reader.today()),
        |plan| Going::of(plan, session),
    );
    let age = reader.age(student);
    count(before_session(reader.shop, course, student, &going, age).len())
}

fn columns(course: &CourseStanding, asked: BoardOf) -> Vec<BoardColumn> {
    let Some(outline) = course.spoken_outline() else {
        return Vec::new();
    };
    let run_list = asked
        .session
        .filter(|_| asked.shows == Columns::Session)
        .and_then(|id| Some(&course.sessions().get(&id)?.plan.run_list));
    let students = course.students();
    let is_left = |skill: &Skill| {
        students.iter().any(|student| {
            course
                .cells()
                .get(&(*student, skill.id.clone()))
                .is_some_and(|cell| !super::cell::is_done(cell))
        })
    };
    let waits = |skill: &Skill| {
        students.iter().any(|student| {
            let cell = course.cells().get(&(*student, skill.id.clone()));
            cell.is_some_and(|cell| {
                !cell.unconfirmed.is_empty()
                    || cell.slipped_since
                    || cell.state == CellState::TwoViews
            })
        })
    };
    let shown: Vec<(u32, &Skill)> = (1..)
        .zip(&outline.skills)
        .filter(|(_, skill)| run_list.is_none_or(|run| run.contains(&skill.id)))
        .filter(|(_, skill)| match asked.shows {
            Columns::All | Columns::Session => true,
            Columns::Left => is_left(skill),
            Columns::Waiting => waits(skill),
        })
        .collect();
    let mut families = Vec::new();
    for skill in &outline.skills {
        if !families.contains(&skill.family) {
            families.push(skill.family);
        }
    }
    let mut columns = Vec::with_capacity(shown.len());
    for family in families {
        let of_family = shown.iter().filter(|(_, skill)| skill.family == family);
        for (place, (number, skill)) in of_family.enumerate() {
            columns.push(BoardColumn {
                skill: skill.id.clone(),
                number: *number,
                name: skill.name.clone(),
                family,
                first_of_family: place == 0,
                measure: skill.requirement.measures.first().map(MeasureKind::of),
                hazard: skill.hazard,
                required: skill.required,
                done: 0,
                of: 0,
            });
        }
    }
    columns
}

fn groups(columns: &[BoardColumn]) -> Vec<BoardGroup> {
    let mut groups: Vec<BoardGroup> = Vec::new();
    for (place, column) in (0_u32..).zip(columns) {
        if let Some(last) = groups.last_mut()
            && last.family == column.family
        {
            last.columns += 1;
        } else {
            groups.push(BoardGroup {
                family: column.family,
                first: place,
                columns: 1,
            });
        }
    }
    groups
}
