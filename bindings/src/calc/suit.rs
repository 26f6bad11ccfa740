//! Suits: how they float.

use tallywater_core::calc;

use crate::calc::reckon::{Given as _, Told as _, outside, reckon};
use crate::{Caution, Fault, FigureSpread, SuitAge, SuitKind, Units, WaterAt};

reckon! {
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
    let (_, column) = at.column(units)?;
    let floats = calc::suit::suit_buoyancy(
        &suit.given(units),
        &body.given(units),
        column,
        depth.given(units),
    );
    Ok(floats.map_err(outside(units))?.told(units))
}
