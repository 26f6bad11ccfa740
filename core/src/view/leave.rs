//! Leave: whether a reader may do something, and if not, why: a button is then shown grey
//! with its reason, not left to fail.

/// Whether the reader may.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Leave {
    /// It may.
    Yes,
    /// This device is not admitted to the shop: it may only read.
    NotAdmitted,
    /// The role does not do this.
    Role,
    /// There is nothing to do it to.
    NothingOpen,
    /// Gaps stand in the way, so many.
    Gaps(u32),
}

impl Leave {
    /// This leave, where there is something to do; otherwise [`Leave::NothingOpen`].
    pub(super) const fn where_open(self, open: bool) -> Self {
        match (self, open) {
            (Self::Yes, false) => Self::NothingOpen,
            (leave, _) => leave,
        }
    }

    /// Whether it is given.
    pub const fn given(self) -> bool {
        matches!(self, Self::Yes)
    }
}
