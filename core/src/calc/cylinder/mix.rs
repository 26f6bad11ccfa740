//! What is breathed: air, or air with more oxygen.

use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::unit::{Percent, Share};

/// A breathing gas.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mix {
    /// Air.
    Air,
    /// Air enriched with oxygen, 21 to 40 % of it.
    Nitrox(Percent),
}

/// Oxygen in dry air, as the reference equation for air has it (Lemmon et al. 2000, p. 334).
pub(crate) const AIR_OXYGEN: f64 = 0.2096;

impl Mix {
    /// The share of oxygen.
    ///
    /// # Errors
    /// Nitrox outside 21 to 40 % oxygen.
    ///
    /// ```
    /// use tallywater_core::calc::{cylinder::Mix, unit::{Percent, Share}};
    /// assert_eq!(Mix::Nitrox(Percent(32.0)).oxygen()?, Share(0.32));
    /// assert!(Mix::Nitrox(Percent(50.0)).oxygen().is_err());
    /// # Ok::<(), tallywater_core::calc::OutsideTable>(())
    /// ```
    pub fn oxygen(self) -> Result<Share, OutsideTable> {
        match self {
            Self::Air => Ok(Share(AIR_OXYGEN)),
            Self::Nitrox(percent) => {
                within(Quantity::OxygenShare, percent, Percent(21.0), Percent(40.0))?;
                Ok(Share::from(percent))
            }
        }
    }
}
