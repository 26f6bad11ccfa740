//! Suits: how they float.

use tallywater_core::calc;

use crate::calc::reckon::{Given as _, Told as _, outside, reckon};
use crate::cross::Asked as _;
use crate::{Caution, Fault, FigureSpread, Units, WaterAt};

reckon! {
    /// How a suit is cut.
    word SuitKind = calc::suit::SuitKind {
        None,
        Shorty,
        OnePiece,
        TwoPiece,
        DryMembrane,
    }

    /// How much use a suit has seen.
    word SuitAge = calc::suit::SuitAge {
        New,
        Worn,
    }

    /// A suit as figures.
    given record Suit = calc::suit::Suit {
        kind: SuitKind,
        thickness: f64,
        age: SuitAge,
    }

    /// A body as far as a suit and a lung ask for it.
    given record BodySize = calc::suit::BodySize {
        height: f64,
        mass: f64,
    }

    /// How a suit floats. Positive floats.
    told record SuitBuoyancy = calc::suit::SuitBuoyancy {
        surface: FigureSpread,
        at_depth: FigureSpread,
        kept: FigureSpread,
        caution: Caution,
    }
}

/// How a suit floats at the surface and at a depth.
#[uniffi::export]
pub fn suit_buoyancy(
    units: Units,
    suit: Suit,
    body: BodySize,
    at: WaterAt,
    depth: f64,
) -> Result<SuitBuoyancy, Fault> {
    let units = units.asked()?;
    let (_, column) = at.column(units)?;
    let floats = calc::suit::suit_buoyancy(
        &suit.given(units),
        &body.given(units),
        column,
        depth.given(units),
    );
    Ok(floats.map_err(outside(units))?.told(units))
}
