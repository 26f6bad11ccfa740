//! Salinity at the surface of seas where people learn to dive.
//!
//! Source: the ranges are those of the surface climatology (Zweng, M. M. et al., World Ocean
//! Atlas 2018, volume 2: Salinity, NOAA Atlas NESDIS 82, 2019), written down from memory and
//! rounded: a starting point, to be replaced by a measured salinity wherever one is known.

use crate::calc::caution::Origin;
use crate::calc::unit::PracticalSalinity;

/// A sea with a salinity of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[expect(
    missing_docs,
    reason = "each name is the sea's and nothing is added by a sentence"
)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Sea {
    Adriatic,
    ArabianGulf,
    Baltic,
    BlackSea,
    CanaryIslands,
    Caribbean,
    CoralSea,
    GulfOfAqaba,
    GulfOfThailand,
    Hawaii,
    Kattegat,
    Maldives,
    MediterraneanEast,
    MediterraneanWest,
    NorthSea,
    PacificNorthwest,
    RedSea,
    SouthernCalifornia,
}

impl Sea {
    /// Every sea that is listed, in the order of the alphabet.
    pub const ALL: [Self; 18] = [
        Self::Adriatic,
        Self::ArabianGulf,
        Self::Baltic,
        Self::BlackSea,
        Self::CanaryIslands,
        Self::Caribbean,
        Self::CoralSea,
        Self::GulfOfAqaba,
        Self::GulfOfThailand,
        Self::Hawaii,
        Self::Kattegat,
        Self::Maldives,
        Self::MediterraneanEast,
        Self::MediterraneanWest,
        Self::NorthSea,
        Self::PacificNorthwest,
        Self::RedSea,
        Self::SouthernCalifornia,
    ];
}

/// What the surface of a sea usually holds, and how far it strays.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TypicalSalinity {
    /// The usual value.
    pub typical: PracticalSalinity,
    /// Near rivers, after rain, at the fresher end.
    pub lowest: PracticalSalinity,
    /// At the saltier end.
    pub highest: PracticalSalinity,
    /// Where the figures come from.
    pub origin: Origin,
}

/// The usual surface salinity of a sea.
///
/// ```
/// use tallywater_core::calc::{unit::PracticalSalinity, water::{Sea, typical_salinity}};
/// assert_eq!(typical_salinity(Sea::RedSea).typical, PracticalSalinity(40.0));
/// ```
#[must_use]
pub fn typical_salinity(sea: Sea) -> TypicalSalinity {
    let (typical, lowest, highest) = match sea {
        Sea::Adriatic => (38.0, 33.0, 38.7),
        Sea::ArabianGulf => (40.0, 37.0, 42.0),
        Sea::Baltic => (7.0, 3.0, 10.0),
        Sea::BlackSea => (18.0, 15.0, 18.5),
        Sea::CanaryIslands => (36.7, 36.3, 37.0),
        Sea::Caribbean => (35.8, 34.5, 36.5),
        Sea::CoralSea => (35.2, 34.0, 35.7),
        Sea::GulfOfAqaba => (40.6, 40.2, 41.0),
        Sea::GulfOfThailand => (32.3, 30.0, 33.5),
        Sea::Hawaii => (35.0, 34.4, 35.4),
        Sea::Kattegat => (22.0, 15.0, 30.0),
        Sea::Maldives => (34.7, 33.5, 36.0),
        Sea::MediterraneanEast => (39.0, 38.2, 39.5),
        Sea::MediterraneanWest => (37.8, 36.5, 38.5),
        Sea::NorthSea => (34.3, 31.0, 35.2),
        Sea::PacificNorthwest => (29.5, 25.0, 32.0),
        Sea::RedSea => (40.0, 37.0, 41.0),
        Sea::SouthernCalifornia => (33.5, 33.2, 33.8),
    };
    TypicalSalinity {
        typical: PracticalSalinity(typical),
        lowest: PracticalSalinity(lowest),
        highest: PracticalSalinity(highest),
        origin: Origin::FromMemory,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sea_lies_within_its_own_range_and_within_the_equation() {
        for sea in Sea::ALL {
            let salinity = typical_salinity(sea);
            assert!(
                salinity.lowest < salinity.typical && salinity.typical < salinity.highest,
                "{sea:?}"
            );
            assert!(
                salinity.lowest.0 >= 0.0 && salinity.highest.0 <= 42.0,
                "{sea:?}"
            );
        }
    }
}
