//! The course board: students by skills.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{
    BoardColumn, BoardCounts, BoardGroup, CellView, Columns, Leave, Outcome, StudentName, TeamOf,
};

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
}
