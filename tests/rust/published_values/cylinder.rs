//! Compressed air and nitrox, and how a cylinder floats.

use tallywater_core::calc::cylinder::{
    Mix, buoyancy_range, compressibility, contents, gas_density, starter_sizes,
};
use tallywater_core::calc::unit::{
    Bar, Celsius, CubicFeet, GaugeBar, GaugePsi, KilogramsPerCubicMetre, Litres, Percent, Pounds,
};

use super::{Check, hold, lines, number, published};

pub(super) const AIR: &str = include_str!("../../../fixtures/published/air_coolprop.csv");
pub(super) const NITROX: &str = include_str!("../../../fixtures/published/nitrox_coolprop.csv");

/// Relative error that the file head of `real_gas` states against the equation for air.
const AIR_ERROR: f64 = 0.0005;
/// And against the mixture model, which stands 0.13 % from the equation for air.
const NITROX_ERROR: f64 = 0.0018;

pub(super) fn checks() -> Vec<Check> {
    [air(), nitrox(), handbook(), aluminium()]
        .into_iter()
        .flatten()
        .collect()
}

fn air() -> Vec<Check> {
    let source = "Lemmon et al. 2000 by CoolProp 8.0.0, fixtures/published/air_coolprop.csv";
    lines(AIR)
        .flat_map(|cells| {
            let (t, p, z, rho) = (number(cells[0]), number(cells[1]), number(cells[2]), number(cells[3]));
            let given = format!("air, {t} C, {p} bar");
            [
                published! { source: source, given: given, ours: compressibility(Mix::Air, Bar(p), Celsius(t)).unwrap().0, expect: z, within: z * AIR_ERROR },
                published! { source: source, given: given, ours: gas_density(Mix::Air, Bar(p), Celsius(t)).unwrap().0, expect: rho, within: rho * AIR_ERROR },
            ]
        })
        .collect()
}

fn nitrox() -> Vec<Check> {
    let source = "Kunz and Wagner 2012 by CoolProp 8.0.0, fixtures/published/nitrox_coolprop.csv";
    lines(NITROX)
        .map(|cells| {
            let (x, t, p, rho) = (number(cells[0]), number(cells[1]), number(cells[2]), number(cells[4]));
            let mix = if x < 0.21 { Mix::Air } else { Mix::Nitrox(Percent(x * 100.0)) };
            published! { source: source, given: format!("{x} oxygen, {t} C, {p} bar"),
                ours: gas_density(mix, Bar(p), Celsius(t)).unwrap().0, expect: rho, within: rho * NITROX_ERROR }
        })
        .collect()
}

fn handbook() -> Vec<Check> {
    // An older equation, printed to four places; 0.0015 is what lies between the two.
    let source = "Perry's Chemical Engineers' Handbook, 6th edition, 1984, table 3-162, air at 300 K (from memory)";
    [(1.0, 0.9999), (5.0, 0.9987), (10.0, 0.9974), (20.0, 0.9950), (40.0, 0.9917), (60.0, 0.9901), (80.0, 0.9903), (100.0, 0.9930), (150.0, 1.0074), (200.0, 1.0326), (250.0, 1.0669), (300.0, 1.1089)]
        .into_iter()
        .map(|(bar, z)| {
            published! { source: source, given: format!("Z at {bar} bar"),
                ours: compressibility(Mix::Air, Bar(bar), Celsius(26.85)).unwrap().0, expect: z, within: 0.0015 }
        })
        .collect()
}

fn aluminium() -> Vec<Check> {
    let source = "printed specification of an 11.1 L, 3000 psi aluminium cylinder, as makers give it (from memory)";
    let size = starter_sizes()[0];
    assert_eq!(
        (size.capacity, size.working_pressure),
        (Litres(11.1), GaugeBar(207.0))
    );
    let sea = KilogramsPerCubicMetre(1025.0);
    let floats = buoyancy_range(&size, GaugeBar(50.0), Celsius(20.0), Mix::Air, sea).unwrap();
    let pounds = |kilograms| Pounds::from(kilograms).0;
    let full = contents(
        size.capacity,
        GaugePsi(3000.0).into(),
        Celsius(20.0),
        Mix::Air,
    )
    .unwrap();
    vec![
        // Valve and empty mass differ by a few hundred grams between makers.
        published! { source: source, given: "buoyancy empty, lb", ours: pounds(floats.empty), expect: 4.4, within: 0.5 },
        published! { source: source, given: "buoyancy full, lb", ours: pounds(floats.full), expect: -1.4, within: 0.5 },
        // The gas itself does not depend on the maker.
        published! { source: source, given: "empty less full, lb", ours: pounds(floats.empty) - pounds(floats.full), expect: 5.8, within: 0.1 },
        published! { source: source, given: "true capacity, ft3", ours: CubicFeet::from(full.real).0, expect: 77.4, within: 0.8 },
    ]
}

#[test]
fn gases_and_cylinders_are_the_published_ones() {
    hold(&checks());
}

#[test]
fn the_fit_is_as_good_as_its_file_says() {
    let worst = air()
        .iter()
        .map(|check| ((check.ours - check.expect) / check.expect).abs())
        .fold(0.0, f64::max);
    assert!(worst < AIR_ERROR, "{worst}");
    // And no better than it would be without the term that it has: an ideal gas is far outside.
    let ideal = lines(AIR)
        .map(|cells| (number(cells[2]) - 1.0).abs())
        .fold(0.0, f64::max);
    assert!(ideal > 0.1, "{ideal}");
}
