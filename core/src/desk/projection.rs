//! Projection: what the store keeps beside a ledger's changes, so that lists and meetings
//! need not open it. Written in the transaction of the change, and built again at will.

use std::collections::BTreeSet;

use super::DeskError;
use super::shelf::{OpenCourse, Shelf};
use crate::course::{CourseId, LedgerId, SkillId, StudentId};
use crate::entry::Body;
use crate::ledger::Ledger;
use crate::standing::{Cell, CellState, CourseStanding, Touched};
use crate::store::{CellRow, Commit, FoundBy, Stands, SummaryRow};

/// The rows that go with a commit of one ledger.
#[derive(Debug, Default)]
pub(super) struct Projection {
    cells: Vec<CellRow>,
    /// Whether these are all the cells.
    whole: bool,
    summary: Option<SummaryRow>,
    stands: Option<Stands>,
    found_by: Option<FoundBy>,
}

impl Projection {
    /// A commit of these rows, and of no change yet.
    pub(super) fn commit(&self) -> Commit<'_> {
        Commit {
            cells: &self.cells,
            replace_cells: self.whole,
            summary: self.summary.as_ref(),
            stands: self.stands.as_ref(),
            found_by: self.found_by.as_ref(),
            ..Commit::default()
        }
    }
}

/// Where a ledger stands.
pub(super) fn stands(ledger: &Ledger) -> Stands {
    Stands {
        entries: u32::try_from(ledger.lines().len()).unwrap_or(u32::MAX),
        heads: ledger.heads(),
    }
}

impl Shelf {
    /// The rows that a commit of this open ledger carries.
    pub(super) fn projection(&self, id: &LedgerId, touched: &Touched) -> Projection {
        let Some(ledger) = self.open(id) else {
            return Projection::default();
        };
        let mut projection = Projection {
            whole: touched.wider,
            stands: Some(stands(ledger)),
            ..Projection::default()
        };
        if let LedgerId::Course(course) = id
            && let Some(open) = self.courses.get(course)
        {
            projection.cells = cells(&open.standing, (!touched.wider).then_some(touched));
            projection.summary = summary(course, &open.standing);
            projection.found_by = touched.wider.then(|| self.found_by(open));
        }
        projection
    }

    /// Puts commits into the store, and with them what other devices have said they hold. Where the shop's now says otherwise who may write, what
    /// is known of courses that are not open is asked of them again.
    pub(super) fn put(&mut self, commits: &mut [(LedgerId, Commit<'_>)]) -> Result<(), DeskError> {
        for (ledger, commit) in commits.iter_mut() {
            commit.rereads = self.rereads && matches!(ledger, LedgerId::Shop(_));
        }
        self.store.commit_with(commits, &self.said)?;
        self.said.clear();
        if commits.iter().any(|(_, commit)| commit.rereads) {
            self.rereads = false;
            self.placed = false;
        }
        Ok(())
    }
}

impl Shelf {
    /// What a course is found by.
    pub(super) fn found_by(&self, open: &OpenCourse) -> FoundBy {
        let entries = open.ledger.lines().values().filter_map(|line| line.entry());
        let days: BTreeSet<_> = entries
            .filter_map(|entry| {
                if let Body::DiveLogged(dive) = &entry.body {
                    Some(dive.log.down.naive_utc().date())
                } else if let Body::OwnDive(dive) = &entry.body {
                    Some(dive.log.down.naive_utc().date())
                } else {
                    None
                }
            })
            .collect();
        FoundBy {
            students: open.standing.students(),
            dived: days.into_iter().collect(),
            files: self.named_files(open),
        }
    }
}

/// The rows of these cells, or of all.
fn cells(standing: &CourseStanding, touched: Option<&Touched>) -> Vec<CellRow> {
    let all = standing.cells();
    let row = |(key, cell): (&(StudentId, SkillId), &Cell)| CellRow {
        student: key.0,
        skill: key.1.clone(),
        state: cell.state.word().to_owned(),
        detail: format!("{{\"met\":{},\"of\":{}}}", cell.met, cell.of),
    };
    match touched {
        None => all.iter().map(row).collect(),
        Some(touched) => touched
            .cells
            .iter()
            .filter_map(|key| all.get_key_value(key))
            .map(row)
            .collect(),
    }
}

/// The line of a course in the list of courses; none before it was opened.
fn summary(course: &CourseId, standing: &CourseStanding) -> Option<SummaryRow> {
    let opened = standing.opened()?;
    let students = standing.students();
    // Every tap asks this of every cell: looked up, not searched for.
    let enrolled: BTreeSet<&StudentId> = students.iter().collect();
    let skills = standing.outline().into_iter().flat_map(|one| &one.skills);
    let required: BTreeSet<&SkillId> = skills
        .filter(|skill| skill.required)
        .map(|skill| &skill.id)
        .collect();
    let open = standing
        .cells()
        .iter()
        .filter(|(_, cell)| !matches!(cell.state, CellState::Met | CellState::Exempt))
        .filter(|((student, skill), _)| enrolled.contains(student) && required.contains(skill))
        .count();
    let completed = students
        .iter()
        .filter(|id| standing.completion(id).is_some())
        .count();
    Some(SummaryRow {
        ledger: LedgerId::Course(*course),
        title: opened.title.clone(),
        starts: opened.starts,
        students: u32::try_from(students.len()).unwrap_or(u32::MAX),
        open: u32::try_from(open).unwrap_or(u32::MAX),
        detail: match standing.kit_out().len() {
            0 => format!("{{\"ended\":{completed}}}"),
            out => format!("{{\"ended\":{completed},\"{KIT_OUT}\":{out}}}"),
        },
    })
}

/// How many pieces of the school's kit are out in a course, in the detail of its summary.
const KIT_OUT: &str = "kit_out";

/// Whether a piece of the school's kit was out in a course when its summary was last written.
pub(super) fn has_kit_out(row: &SummaryRow) -> bool {
    let detail: serde_json::Value = serde_json::from_str(&row.detail).unwrap_or_default();
    detail.get(KIT_OUT).is_some()
}
