//! Leave: whether a reader may do something, and if not, why: a button is then shown grey
//! with its reason, not left to fail.

use crate::entry::Refusal;

/// Whether the reader may.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
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
    Gaps(#[cfg_attr(feature = "border", uniffi(name = "count"))] u32),
}

impl Leave {
    /// What a screen says of a rule that forbids.
    pub(super) fn after(refusal: &Refusal) -> Self {
        use Refusal as R;
        match refusal {
            R::NotAdmitted => Self::NotAdmitted,
            R::Role { .. } | R::NotYours { .. } | R::WrongLedger { .. } => Self::Role,
            R::GapsOpen { count } => Self::Gaps(super::reader::count(*count)),
            R::TextEmpty { .. }
            | R::TextTooLong { .. }
            | R::OutOfBounds { .. }
            | R::DateOutOfBounds { .. }
            | R::EndsBeforeItBegins { .. }
            | R::StillToCome { .. }
            | R::Unknown { .. }
            | R::AlreadyEnrolled
            | R::NotMeasured { .. }
            | R::BelowRequirement { .. }
            | R::CountsNot { .. }
            | R::NothingOpen
            | R::LookedAtEarlier
            | R::Outline(_)
            | R::Policy(_)
            | R::Twice { .. }
            | R::Held { .. }
            | R::StillRunning
            | R::OtherDesk
            | R::MarkedAlready { .. }
            | R::Media(_)
            | R::PieceOut { .. }
            | R::PieceAsks { .. }
            | R::PieceNumber { .. }
            | R::Closed { .. } => Self::NothingOpen,
        }
    }

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
