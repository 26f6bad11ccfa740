//! One cell of the board: a student and a skill.

use std::sync::Arc;

use tallywater_core::view;

use crate::cross::mirror;
use crate::{CellState, Mark, OnScreen};

mirror! {
    /// One student and one skill.
    shown record CellView = view::CellView {
        student: String,
        skill: String,
        state: CellState,
        last: Option<Mark>,
        met: u8,
        of: u8,
        tries: u16,
        slipped_since: bool,
        sat_out: bool,
        waiting: u32,
        done: bool,
        on: Arc<OnScreen>,
    }
}
