//! The course board: students by skills.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{CellView, Family, Leave, MeasureKind, Outcome, StudentName, TeamOf};

mirror! {
    /// The board of a course.
    shown record BoardView = view::BoardView {
        course: String,
        title: String,
        session: Option<String>,
        session_title: Option<String>,
        shows: Columns,
        groups: Vec<BoardGroup>,
        columns: Vec<BoardColumn>,
        rows: Vec<BoardRow>,
        counts: BoardCounts,
        may_mark: Leave,
        today: String,
    }

    /// Which columns a board shows.
    both enum Columns = view::Columns {
        All,
        Session,
        Left,
        Waiting,
    }

    /// A family over its columns.
    shown record BoardGroup = view::BoardGroup {
        family: Family,
        first: u32,
        columns: u32,
    }

    /// A skill over its cells.
    shown record BoardColumn = view::BoardColumn {
        skill: String,
        number: u32,
        name: String,
        family: Family,
        first_of_family: bool,
        measure: Option<MeasureKind>,
        hazard: bool,
        required: bool,
        done: u32,
        of: u32,
    }

    /// A student beside their cells.
    shown record BoardRow = view::BoardRow {
        name: StudentName,
        done: u32,
        left: u32,
        of: u32,
        two_views: u32,
        waiting: u32,
        slipped: u32,
        ended: Option<Outcome>,
        water_gaps: u32,
        in_water: bool,
        team: TeamOf,
        cells: Vec<CellView>,
    }

    /// Totals of a board.
    shown record BoardCounts = view::BoardCounts {
        done: u32,
        of: u32,
        two_views: u32,
        waiting: u32,
        slipped: u32,
        newer: u32,
        unverified: u32,
        irregular: u32,
    }
}
