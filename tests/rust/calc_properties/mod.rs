//! What must hold of the calculations whatever is typed in.
//!
//! Deeper is never longer, more gas used never leaves more, metric and imperial print the same,
//! rounding is on the safe side, and nonsense is refused with its bounds. Published values are in
//! `published_values`.

mod gas;
mod judging;
mod no_stop;
mod nonsense;
mod unit;
mod water;

use proptest::test_runner::{Config, FileFailurePersistence};
use tallywater_core::calc::unit::{Bar, KilogramsPerCubicMetre};
use tallywater_core::calc::water::{SEA_LEVEL, WaterColumn};

const SEA: WaterColumn = WaterColumn {
    density: KilogramsPerCubicMetre(1025.0),
    surface: SEA_LEVEL,
};

fn any_column() -> impl proptest::strategy::Strategy<Value = WaterColumn> {
    use proptest::strategy::Strategy;
    (990.0..1032.0, 0.6..1.05).prop_map(|(density, surface)| WaterColumn {
        density: KilogramsPerCubicMetre(density),
        surface: Bar(surface),
    })
}

/// A few hundred cases each; what ever failed is kept and tried first.
fn cases() -> Config {
    Config {
        cases: 400,
        failure_persistence: Some(Box::new(FileFailurePersistence::Direct(
            "rust/regressions/calc.txt",
        ))),
        ..Config::default()
    }
}
