//! Recovery: the shop's root key on paper, and back from it on a new computer.

use tallywater_core::trust::{self, BadSheet};

use crate::cross::Shown as _;
use crate::{Fault, Tallywater};

#[uniffi::export]
impl Tallywater {
    /// The lines of the recovery sheet: whoever has them can act as the shop. `None` where
    /// the shop's key is not on this device.
    pub fn recovery_lines(&self) -> Option<Vec<String>> {
        let seed = self.desk.recovery_seed()?;
        Some(trust::recovery_lines(&seed).to_vec())
    }

    /// Restores the shop on a new computer from its recovery sheet, as it was typed, for
    /// this person. What the shop had comes from any paired device's copy.
    pub fn restore_shop(&self, sheet: String, person: String) -> Result<String, Fault> {
        let seed = trust::read_recovery(&sheet).map_err(|bad| match bad {
            BadSheet::Length { found } => Fault::rule("sheet_length")
                .of("sheet")
                .value(found)
                .bounds(Some("63".into()), Some("63".into())),
            BadSheet::Line { line } => Fault::rule("sheet_line").of("sheet").value(line),
            BadSheet::Whole => Fault::rule("sheet_lines_mixed").of("sheet"),
        })?;
        Ok(self.desk.restore_shop(&seed, &person)?.shown())
    }
}
