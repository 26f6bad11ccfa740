//! How a suit floats, and how much of that is left at depth.
//!
//! Sources: body surface, Du Bois, D. and Du Bois, E. F., Arch. Intern. Med. 17, 1916, p. 863.
//! Foam of gas in rubber under pressure, in the manner of Bardy, E., Mollendorf, J. and
//! Pendergast, D., J. Phys. D 38, 2005, p. 3832 (from memory: the shape, not the values). Foam
//! density, coverage and the loss of a worn suit are estimates of our own: real suits mostly
//! float less than this, which is why the answer is a range and why the check in the water decides.

use crate::calc::caution::Caution;
use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::spread::Spread;
use crate::calc::unit::{Centimetres, Kilograms, Metres, Millimetres, Share};
use crate::calc::water::WaterColumn;

/// How a suit is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum SuitKind {
    /// No suit, or one without foam.
    None,
    /// Foam neoprene to elbows and knees.
    Shorty,
    /// Foam neoprene from neck to ankles, one layer.
    OnePiece,
    /// Trousers with bib and a jacket over them: two layers on the trunk.
    TwoPiece,
    /// A dry suit of cloth; the thickness is the undergarment's loft.
    DryMembrane,
}

/// How much use a suit has seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum SuitAge {
    /// Hardly dived.
    New,
    /// A school suit: crushed, it floats a third to a half less.
    Worn,
}

/// A suit as figures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suit {
    /// How it is cut.
    pub kind: SuitKind,
    /// Thickness of the foam, 0.5 to 10 mm; of a dry suit the undergarment's loft, 1 to 25 mm.
    /// Not looked at where there is no suit.
    pub thickness: Millimetres,
    /// How much use it has seen.
    pub age: SuitAge,
}

/// A body as far as a suit and a lung ask for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BodySize {
    /// 90 to 230 cm.
    pub height: Centimetres,
    /// 20 to 200 kg, dry and without kit.
    pub mass: Kilograms,
}

/// How a suit floats. Positive floats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SuitBuoyancy {
    /// At the surface.
    pub surface: Spread<Kilograms>,
    /// At the depth that was asked.
    pub at_depth: Spread<Kilograms>,
    /// The share of the surface figure that is left at depth.
    pub kept: Spread<Share>,
    /// What to say beside it.
    pub caution: Caution,
}

const FOAM: f64 = 200.0; // kg/m3, new foam at the surface; own estimate
const UNDERGARMENT_GAS: f64 = 0.9; // share of the loft that is gas; own estimate
/// Share of the foam's volume that is gas: likely 0.75, and what it might be. Own estimate; 0.83
/// gives the half thickness at 15 m that is often told.
const GAS_SHARE: Spread<f64> = Spread {
    low: 0.85,
    likely: 0.75,
    high: 0.65,
};

impl SuitKind {
    /// Layers of foam times covered share of the skin; own estimate.
    fn layers(self) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Shorty => 0.55,
            Self::OnePiece | Self::DryMembrane => 0.85,
            Self::TwoPiece => 1.35,
        }
    }
}

impl SuitAge {
    /// The share of the computed ceiling to expect; own estimate.
    fn floats(self) -> Spread<f64> {
        match self {
            Self::New => Spread {
                low: 0.7,
                likely: 0.85,
                high: 1.0,
            },
            Self::Worn => Spread {
                low: 0.4,
                likely: 0.6,
                high: 0.8,
            },
        }
    }
}

impl BodySize {
    /// The same body when it lies within the bounds.
    ///
    /// # Errors
    /// A height outside 90 to 230 cm or a mass outside 20 to 200 kg.
    ///
    /// ```
    /// use tallywater_core::calc::{suit::BodySize, unit::{Centimetres, Kilograms}};
    /// assert!(BodySize { height: Centimetres(17.5), mass: Kilograms(75.0) }.checked().is_err());
    /// ```
    pub fn checked(&self) -> Result<Self, OutsideTable> {
        within(
            Quantity::BodyHeight,
            self.height,
            Centimetres(90.0),
            Centimetres(230.0),
        )?;
        within(
            Quantity::BodyMass,
            self.mass,
            Kilograms(20.0),
            Kilograms(200.0),
        )?;
        Ok(*self)
    }

    /// m2, by Du Bois and Du Bois.
    fn skin(&self) -> f64 {
        0.007_184 * self.mass.0.powf(0.425) * self.height.0.powf(0.725)
    }
}

/// How a suit floats on this body at the surface and at a depth.
///
/// A dry suit keeps what it has, because gas is let in on the way down; without that gas it
/// squeezes and floats less.
///
/// # Errors
/// A body or a thickness outside its bounds, a depth outside 0 to 60 m, or a column that is no
/// water under air.
///
/// ```
/// use tallywater_core::calc::suit::{BodySize, Suit, SuitAge, SuitKind, suit_buoyancy};
/// use tallywater_core::calc::{unit::*, water::WaterColumn};
/// let suit = Suit { kind: SuitKind::OnePiece, thickness: Millimetres(7.0), age: SuitAge::New };
/// let body = BodySize { height: Centimetres(175.0), mass: Kilograms(75.0) };
/// let sea = WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0));
/// let floats = suit_buoyancy(&suit, &body, sea, Metres(10.0))?;
/// assert!((floats.surface.high.0 - 9.3).abs() < 0.1);
/// assert!((floats.kept.likely.0 - 0.53).abs() < 0.01);
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn suit_buoyancy(
    suit: &Suit,
    body: &BodySize,
    column: WaterColumn,
    depth: Metres,
) -> Result<SuitBuoyancy, OutsideTable> {
    within(Quantity::Depth, depth, Metres(0.0), Metres(60.0))?;
    let ratio = column.checked_surface()? / column.pressure_at(depth)?.0;
    let ceiling = ceiling(suit, body, column.density.0)?;
    let floats = suit.age.floats();
    let kept = kept(suit.kind, column.density.0, ratio);
    let surface = Spread {
        low: ceiling * floats.low,
        likely: ceiling * floats.likely,
        high: ceiling * floats.high,
    };
    Ok(SuitBuoyancy {
        surface: Spread {
            low: Kilograms(surface.low),
            likely: Kilograms(surface.likely),
            high: Kilograms(surface.high),
        },
        at_depth: Spread {
            low: Kilograms(surface.low * kept.low),
            likely: Kilograms(surface.likely * kept.likely),
            high: Kilograms(surface.high * kept.high),
        },
        kept: Spread {
            low: Share(kept.low),
            likely: Share(kept.likely),
            high: Share(kept.high),
        },
        caution: Caution::CheckInWater,
    })
}

/// Kilograms that a new suit could float at the surface.
fn ceiling(suit: &Suit, body: &BodySize, water: f64) -> Result<f64, OutsideTable> {
    let skin = body.checked()?.skin();
    let (thinnest, thickest) = match suit.kind {
        SuitKind::None => return Ok(0.0),
        SuitKind::Shorty | SuitKind::OnePiece | SuitKind::TwoPiece => (0.5, 10.0),
        SuitKind::DryMembrane => (1.0, 25.0),
    };
    let millimetres = within(
        Quantity::SuitThickness,
        suit.thickness,
        Millimetres(thinnest),
        Millimetres(thickest),
    )?;
    let volume = skin * suit.kind.layers() * millimetres / 1e3; // m3
    Ok(match suit.kind {
        SuitKind::None | SuitKind::Shorty | SuitKind::OnePiece | SuitKind::TwoPiece => {
            volume * (water - FOAM)
        }
        SuitKind::DryMembrane => volume * UNDERGARMENT_GAS * water,
    })
}

/// The share of a suit's lift that is left when the gas in it has `ratio` of its surface volume.
fn kept(kind: SuitKind, water: f64, ratio: f64) -> Spread<f64> {
    let of = |gas: f64| ((1.0 - gas + gas * ratio) * water - FOAM) / (water - FOAM);
    match kind {
        SuitKind::None | SuitKind::DryMembrane => Spread {
            low: 1.0,
            likely: 1.0,
            high: 1.0,
        },
        SuitKind::Shorty | SuitKind::OnePiece | SuitKind::TwoPiece => Spread {
            low: of(GAS_SHARE.low),
            likely: of(GAS_SHARE.likely),
            high: of(GAS_SHARE.high),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::unit::KilogramsPerCubicMetre;

    const SEA: WaterColumn = WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0));
    const BODY: BodySize = BodySize {
        height: Centimetres(175.0),
        mass: Kilograms(75.0),
    };

    fn wearing(
        kind: SuitKind,
        millimetres: f64,
        metres: f64,
    ) -> Result<SuitBuoyancy, OutsideTable> {
        let suit = Suit {
            kind,
            thickness: Millimetres(millimetres),
            age: SuitAge::New,
        };
        suit_buoyancy(&suit, &BODY, SEA, Metres(metres))
    }

    #[test]
    fn skin_is_the_published_area() {
        // Du Bois and Du Bois 1916: 70 kg, 170 cm is 1.81 m2.
        let body = BodySize {
            height: Centimetres(170.0),
            mass: Kilograms(70.0),
        };
        assert!((body.skin() - 1.81).abs() < 0.005, "{}", body.skin());
    }

    #[test]
    fn foam_floats_less_the_deeper_it_goes_and_a_dry_suit_does_not() {
        let foam = |metres| {
            wearing(SuitKind::OnePiece, 5.0, metres)
                .unwrap()
                .at_depth
                .likely
        };
        assert!(foam(0.0) > foam(5.0) && foam(5.0) > foam(10.0) && foam(10.0) > foam(40.0));
        let dry = |metres| {
            wearing(SuitKind::DryMembrane, 10.0, metres)
                .unwrap()
                .at_depth
                .likely
        };
        assert_eq!(dry(0.0), dry(30.0));
    }

    #[test]
    fn two_layers_float_more_than_one_and_none_does_not_float() {
        let at = |kind| wearing(kind, 5.0, 0.0).unwrap().surface.likely;
        assert!(
            at(SuitKind::TwoPiece) > at(SuitKind::OnePiece)
                && at(SuitKind::OnePiece) > at(SuitKind::Shorty)
        );
        assert_eq!(at(SuitKind::None), Kilograms(0.0));
    }

    #[test]
    fn a_suit_of_seven_centimetres_is_refused() {
        assert_eq!(
            wearing(SuitKind::OnePiece, 70.0, 0.0).unwrap_err().what,
            Quantity::SuitThickness
        );
        assert_eq!(
            wearing(SuitKind::OnePiece, f64::NAN, 0.0).unwrap_err().what,
            Quantity::SuitThickness
        );
        assert_eq!(
            wearing(SuitKind::OnePiece, 7.0, 61.0).unwrap_err().what,
            Quantity::Depth
        );
    }
}
