//! What stands before and after in a list, and the key of a cell.

use tallywater_core::course::{SkillId, StudentId};
use tallywater_core::view;

use crate::cross::{Shown, mirror};

mirror! {
    /// A cell: one student and one skill.
    both tuple CellKey = (StudentId, SkillId) {
        student: String,
        skill: String,
    }
}

/// What stands before and after in a list.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Neighbours {
    /// Before; `None` at the beginning.
    pub before: Option<String>,
    /// After; `None` at the end.
    pub after: Option<String>,
    /// The place itself, from 1; 0 when it is not in the list.
    pub place: u32,
    /// How long the list is.
    pub of: u32,
}

impl<T: Shown<String>> Shown<Neighbours> for view::Neighbours<T> {
    fn shown(self) -> Neighbours {
        let Self {
            before,
            after,
            place,
            of,
        } = self;
        Neighbours {
            before: before.shown(),
            after: after.shown(),
            place,
            of,
        }
    }
}
