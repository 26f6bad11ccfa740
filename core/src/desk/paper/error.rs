//! PaperError: why a paper or file could not be made, or was not taken.

use crate::desk::DeskError;
use crate::entry::Refusal;
use crate::paper::PdfError;
use crate::paper::bundle::BundleError;
use crate::paper::data::{DataError, UddfError};
use crate::paper::kit_list::KitListFault;
use crate::paper::roster::RosterFault;

/// Why a paper or file could not be made, or was not taken. Nothing has been recorded then.
#[derive(Debug, thiserror::Error)]
pub enum PaperError {
    /// The desk could not, or a rule forbids it.
    #[error(transparent)]
    Desk(#[from] DeskError),
    /// It could not be printed.
    #[error(transparent)]
    Pdf(#[from] PdfError),
    /// It could not be written.
    #[error(transparent)]
    Data(#[from] DataError),
    /// The course file was refused.
    #[error(transparent)]
    Bundle(#[from] BundleError),
    /// The roster was refused.
    #[error(transparent)]
    Roster(#[from] RosterFault),
    /// The list of kit was refused.
    #[error(transparent)]
    KitList(#[from] KitListFault),
    /// The dive log was refused.
    #[error(transparent)]
    Uddf(#[from] UddfError),
}

impl From<Refusal> for PaperError {
    fn from(refusal: Refusal) -> Self {
        Self::Desk(refusal.into())
    }
}
