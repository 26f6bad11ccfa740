//! A list of kit: looked at first, then described in one transaction, all of it or nothing.

use super::PaperError;
use crate::desk::Desk;
use crate::desk::drafts::Drafts;
use crate::paper::data::{Tabular, kit_csv};
use crate::paper::kit_list::{KitListPreview, KitThere, read_kit_list};
use crate::paper::roster::Hints;

/// What became of a list of kit.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct KitListTaken {
    /// New pieces.
    pub added: usize,
    /// Pieces that were described anew.
    pub renewed: usize,
    /// Left out, since their numbers are in use: the lines of the file.
    pub left_out: Vec<u64>,
}

impl Desk {
    /// A list of kit as it would be taken: every bad row with its reason, every piece whose
    /// number is in use already. Nothing is recorded.
    ///
    /// # Errors
    /// [`PaperError::KitList`] when the file as a whole cannot be one.
    pub fn look_at_kit_list(
        &self,
        bytes: &[u8],
        hints: Hints<'_>,
    ) -> Result<KitListPreview, PaperError> {
        let shop = { self.shelf().shop()?.0.standing.clone() };
        Ok(read_kit_list(bytes, hints, &shop)?)
    }

    /// Describes every piece of a list of kit.
    ///
    /// # Errors
    /// [`PaperError::KitList`] while any row is bad, and the rule that forbids one of them;
    /// nothing is recorded then.
    pub fn take_kit_list(
        &self,
        bytes: &[u8],
        hints: Hints<'_>,
        there: KitThere,
    ) -> Result<KitListTaken, PaperError> {
        let accepted = self.look_at_kit_list(bytes, hints)?.accept(there)?;
        let mut taken = KitListTaken {
            left_out: accepted.left_out,
            ..KitListTaken::default()
        };
        let changes = {
            let mut shelf = self.shelf();
            let mut drafts = Drafts::none();
            for (piece, details) in accepted.pieces {
                match piece {
                    None => taken.added += 1,
                    Some(_) => taken.renewed += 1,
                }
                drafts = drafts.then(shelf.kit_set_drafts(piece, details)?);
            }
            shelf.write_down(drafts)?.1
        };
        self.tell(&changes);
        Ok(taken)
    }

    /// The school's kit as a table.
    ///
    /// # Errors
    /// [`PaperError::Data`], and [`PaperError::Desk`] before the device has a shop.
    pub fn kit_table(&self) -> Result<Tabular, PaperError> {
        let (shop, today) = {
            let shelf = self.shelf();
            let shop = shelf.shop()?.0.standing.clone();
            (shop, shelf.today())
        };
        Ok(kit_csv(&shop, today)?)
    }
}
