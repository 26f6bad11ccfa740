//! The board as it is kept on screen: drawn once, then by row.

use std::sync::{Arc, Mutex, PoisonError};

use tallywater_core::course::{CourseId, LedgerId, SessionId};
use tallywater_core::desk::Desk;
use tallywater_core::standing::Touched;
use tallywater_core::view;

use crate::cross::{Asked as _, Shown as _};
use crate::{BoardColumn, BoardCounts, BoardRow, BoardView, Change, Columns, Fault, Tallywater};

/// A board on screen. Feed it the changes that the listener is told.
#[derive(uniffi::Object)]
pub struct Board {
    desk: Arc<Desk>,
    course: CourseId,
    session: Option<SessionId>,
    shows: Columns,
    units: view::Units,
    drawn: Mutex<view::BoardView>,
}

/// What a change comes to on a board.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum BoardUpdate {
    /// It was about something else.
    Nothing,
    /// These rows, with the figures above them.
    Rows {
        /// The rows that changed, each with its place.
        rows: Vec<PlacedRow>,
        /// The columns, for how many students are done.
        columns: Vec<BoardColumn>,
        /// The totals.
        counts: BoardCounts,
    },
    /// Draw it anew.
    Whole {
        /// The board.
        board: BoardView,
    },
}

/// A row and its place on the board.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct PlacedRow {
    /// Its place, counted from 0.
    pub place: u32,
    /// The row.
    pub row: BoardRow,
}

#[uniffi::export]
impl Tallywater {
    /// The board of a course, in a session where one is given.
    pub fn board(
        &self,
        course: String,
        session: Option<String>,
        shows: Columns,
    ) -> Result<BoardView, Fault> {
        Ok(self.keep_board(course, session, shows)?.view())
    }

    /// The same, kept, so that a change costs its own rows and no more.
    pub fn keep_board(
        &self,
        course: String,
        session: Option<String>,
        shows: Columns,
    ) -> Result<Arc<Board>, Fault> {
        let (course, session) = (course.asked()?, session.asked()?);
        let units = self.units();
        self.desk.with_course(&course, |_| ())?;
        let asked = view::BoardOf {
            session,
            shows,
            irregular: irregular(&self.desk, &course)?,
        };
        let drawn = self.desk.look(&course, units, |course, reader| {
            view::BoardView::of(course, reader, asked)
        })?;
        Ok(Arc::new(Board {
            desk: Arc::clone(&self.desk),
            course,
            session,
            shows,
            units,
            drawn: Mutex::new(drawn),
        }))
    }
}

#[uniffi::export]
impl Board {
    /// The board as it was last worked out.
    pub fn view(&self) -> BoardView {
        let drawn = self.drawn.lock().unwrap_or_else(PoisonError::into_inner);
        drawn.clone().shown()
    }

    /// Works a change in, and answers what to draw anew.
    pub fn take(&self, change: Change) -> Result<BoardUpdate, Fault> {
        let ledger: LedgerId = change.ledger.asked()?;
        // Names and rules come from the other ledgers.
        let wider = match ledger {
            LedgerId::Course(id) if id == self.course => change.wider,
            LedgerId::Course(_) => return Ok(BoardUpdate::Nothing),
            LedgerId::Shop(_) | LedgerId::Person(_) => true,
        };
        let touched = Touched {
            cells: change
                .cells
                .into_iter()
                .map(|one| (one.student, one.skill))
                .collect(),
            wider,
        };
        let asked = view::BoardOf {
            session: self.session,
            shows: self.shows,
            irregular: irregular(&self.desk, &self.course)?,
        };
        // Its own lock first, the desk's inside it: nobody takes them the other way round.
        let mut drawn = self.drawn.lock().unwrap_or_else(PoisonError::into_inner);
        let changed = self.desk.look(&self.course, self.units, |course, reader| {
            drawn.refresh(course, reader, &touched, asked)
        })?;
        Ok(match changed {
            view::BoardChange::Whole => BoardUpdate::Whole {
                board: drawn.clone().shown(),
            },
            view::BoardChange::Rows(places) => BoardUpdate::Rows {
                rows: places
                    .into_iter()
                    .filter_map(|place| {
                        let row = drawn.rows.get(usize::try_from(place).ok()?)?;
                        Some(PlacedRow {
                            place,
                            row: row.clone().shown(),
                        })
                    })
                    .collect(),
                columns: drawn.columns.clone(),
                counts: drawn.counts,
            },
        })
    }
}

fn irregular(desk: &Desk, course: &CourseId) -> Result<u32, Fault> {
    let mut found = desk.mishaps_of(&LedgerId::Course(*course))?;
    found.retain(|row| row.what.calls());
    Ok(found.len().shown())
}
