//! Density, pressure under water and of the air.

use tallywater_core::calc::unit::{
    Bar, Celsius, Celsius68, FeetSeaWater, KilogramsPerCubicMetre, Metres, MetresSeaWater,
    PracticalSalinity,
};
use tallywater_core::calc::water::{
    SEA_LEVEL, Water, WaterColumn, density, eos80, surface_pressure,
};

use super::{Check, hold, lines, number, published};

pub(super) const GSW_DENSITY: &str = include_str!("../../../fixtures/published/density_gsw.csv");
pub(super) const GSW_PRESSURE: &str = include_str!("../../../fixtures/published/pressure_gsw.csv");

pub(super) fn checks() -> Vec<Check> {
    [
        printed(),
        open_sea(),
        pure_water(),
        teos10(),
        teos10_pressure(),
        atmosphere(),
        sea_water_units(),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn printed() -> Vec<Check> {
    let source = "Fofonoff and Millard, UNESCO Technical Papers in Marine Science 44, 1983, p. 19";
    let row = |s: f64, t: f64, expect: f64, within: f64| {
        published! { source: source, given: format!("S {s}, {t} C (IPTS-68)"),
        ours: eos80(PracticalSalinity(s), Celsius68(t)).unwrap().0, expect: expect, within: within }
    };
    vec![
        row(0.0, 5.0, 999.96675, 5e-6),
        row(0.0, 25.0, 997.04796, 5e-6),
        row(35.0, 5.0, 1027.67547, 5e-6),
        row(35.0, 25.0, 1023.34306, 5e-6),
        // The constant DR350 of its routine SVAN: the density at S 35, 0 C, less 1000.
        row(35.0, 0.0, 1028.106331, 5e-7),
    ]
}

fn open_sea() -> Vec<Check> {
    let source = "Millero and Poisson, Deep-Sea Research 28A, 1981, p. 625, densities at S 35 to three places (from memory)";
    [(0.0, 1028.106), (10.0, 1026.952), (15.0, 1025.973), (20.0, 1024.763), (25.0, 1023.343), (30.0, 1021.729)]
        .into_iter()
        .map(|(t, expect)| {
            published! { source: source, given: format!("S 35, {t} C (IPTS-68)"),
                ours: eos80(PracticalSalinity(35.0), Celsius68(t)).unwrap().0, expect: expect, within: 6e-4 }
        })
        .collect()
}

fn pure_water() -> Vec<Check> {
    // EOS-80 takes its water from Bigg 1967, this is the later standard: they differ by up to 0.003.
    let source = "Tanaka et al., Recommended table for the density of water, Metrologia 38, 2001, p. 301, table 1 (from memory)";
    [
        (4.0, 999.9749),
        (10.0, 999.7026),
        (15.0, 999.1026),
        (20.0, 998.2067),
        (25.0, 997.0470),
        (30.0, 995.6488),
        (40.0, 992.2152),
    ]
    .into_iter()
    .map(|(t, expect)| {
        published! { source: source, given: format!("pure water at {t} C"),
        ours: density(Water::Fresh, Celsius(t)).unwrap().0, expect: expect, within: 0.005 }
    })
    .collect()
}

fn teos10() -> Vec<Check> {
    // Two equations of state, each good to about 0.004 kg/m3, on two salinity scales. A hundredth
    // of a kilogram in a cubic metre is a gram on a diver.
    lines(GSW_DENSITY)
        .map(|cells| {
            let (s, t, expect) = (number(cells[0]), number(cells[1]), number(cells[2]));
            published! { source: "TEOS-10 by gsw 3.6.23, fixtures/published/density_gsw.csv", given: format!("S {s}, {t} C"),
                ours: density(Water::Salinity(PracticalSalinity(s)), Celsius(t)).unwrap().0, expect: expect, within: 0.01 }
        })
        .collect()
}

fn teos10_pressure() -> Vec<Check> {
    // Ours takes standard gravity; the Earth's differs by 0.27 % at the equator, and the ocean gets
    // denser by 0.05 % at 100 m. Both together stay below 0.4 %: 7 cm at 18 m.
    let ocean = WaterColumn::at_sea_level(eos80(PracticalSalinity(35.0), Celsius68(0.0)).unwrap());
    lines(GSW_PRESSURE)
        .map(|cells| {
            let (depth, latitude, decibar) = (number(cells[0]), number(cells[1]), number(cells[2]));
            let ours = ocean.pressure_at(Metres(depth)).unwrap().0 - SEA_LEVEL.0;
            published! { source: "TEOS-10 by gsw 3.6.23, fixtures/published/pressure_gsw.csv", given: format!("{depth} m at {latitude} degrees"),
                ours: ours, expect: decibar / 10.0, within: decibar / 10.0 * 0.004 }
        })
        .collect()
}

fn atmosphere() -> Vec<Check> {
    let source = "U.S. Standard Atmosphere 1976, NOAA-S/T 76-1562, table I, geopotential height (from memory)";
    [(0.0, 1013.25), (500.0, 954.61), (1000.0, 898.75), (2000.0, 794.95), (3000.0, 701.09), (5000.0, 540.20)]
        .into_iter()
        .map(|(metres, hectopascal)| {
            published! { source: source, given: format!("air at {metres} m"),
                ours: surface_pressure(Metres(metres)).unwrap().0 * 1e3, expect: hectopascal, within: 0.015 }
        })
        .collect()
}

fn sea_water_units() -> Vec<Check> {
    let source = "U.S. Navy Diving Manual, Revision 7, 2016, chapter 2: 33 fsw are one atmosphere; 1 fsw is 0.030643 bar (from memory)";
    let bar = |feet: f64| {
        MetresSeaWater::from(FeetSeaWater(feet))
            .absolute(Bar(0.0))
            .0
    };
    vec![
        // 33 is the round number of 33.066.
        published! { source: source, given: "33 fsw in atmospheres", ours: bar(33.0) / SEA_LEVEL.0, expect: 1.0, within: 0.0021 },
        published! { source: source, given: "1 fsw in bar", ours: bar(1.0), expect: 0.030643, within: 1e-9 },
        published! { source: "common practice: a bar for ten metres of sea water, no published source", given: "10 m of sea water in bar",
        ours: WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0)).pressure_at(Metres(10.0)).unwrap().0 - SEA_LEVEL.0,
        expect: 1.0, within: 0.006 },
    ]
}

#[test]
fn density_and_pressure_are_the_published_ones() {
    hold(&checks());
}
