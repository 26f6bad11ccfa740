//! What must hold of the calculations whatever is typed in.
//!
//! Deeper is never longer, more gas used never leaves more, metric and imperial print the same,
//! rounding is on the safe side, and nonsense is refused with its bounds. Published values are in
//! `published_values`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a broken expectation is a failed test"
)]

mod gas;
mod judging;
mod nonsense;
mod no_stop;
mod unit;
mod water;

use tallywater_core::calc::unit::{Bar, KilogramsPerCubicMetre};
use tallywater_core::calc::water::{SEA_LEVEL, WaterColumn};

const SEA: WaterColumn = WaterColumn { density: KilogramsPerCubicMetre(1025.0), surface: SEA_LEVEL };

fn any_column() -> impl proptest::strategy::Strategy<Value = WaterColumn> {
    use proptest::strategy::Strategy;
    (990.0..1032.0, 0.6..1.05).prop_map(|(density, surface)| WaterColumn {
        density: KilogramsPerCubicMetre(density),
        surface: Bar(surface),
    })
}
