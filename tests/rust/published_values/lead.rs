//! From fresh water to the sea, and the equations under the estimate.

use tallywater_core::calc::cylinder::{Mix, gas_density, starter_sizes};
use tallywater_core::calc::lead::{LeadCause, LeadQuestion, OwnCheck, TYPICAL_KIT, lead_start};
use tallywater_core::calc::suit::{BodySize, Suit, SuitAge, SuitKind, suit_buoyancy};
use tallywater_core::calc::unit::{
    Bar, Celsius, Centimetres, GaugeBar, Kilograms, KilogramsPerCubicMetre, Metres, Millimetres,
};
use tallywater_core::calc::water::WaterColumn;

use super::water::GSW_DENSITY;
use super::{Check, hold, lines, number, published};

const BODY: BodySize = BodySize {
    height: Centimetres(175.0),
    mass: Kilograms(75.0),
};

pub(super) fn checks() -> Vec<Check> {
    [fresh_to_sea(), skin(), foam()]
        .into_iter()
        .flatten()
        .collect()
}

fn gsw(salinity: f64, celsius: f64) -> f64 {
    lines(GSW_DENSITY)
        .find(|cells| {
            (number(cells[0]) - salinity).abs() < 1e-9 && (number(cells[1]) - celsius).abs() < 1e-9
        })
        .map(|cells| number(cells[2]))
        .expect("the reference file has that water")
}

/// Lift that other water adds, with everything in the water from the reference library's density.
fn fresh_to_sea() -> Vec<Check> {
    let source =
        "Archimedes with TEOS-10 densities by gsw 3.6.23, fixtures/published/density_gsw.csv";
    let suit = Suit {
        kind: SuitKind::OnePiece,
        thickness: Millimetres(5.0),
        age: SuitAge::Worn,
    };
    let cylinder = starter_sizes()[9];
    [(35.0, 15.0), (38.0, 22.0), (40.0, 28.0), (7.0, 8.0)]
        .into_iter()
        .map(|(salinity, celsius)| {
            let (fresh, sea) = (gsw(0.0, celsius), gsw(salinity, celsius));
            let check = OwnCheck {
                lead: Kilograms(5.0),
                water: KilogramsPerCubicMetre(fresh),
                cylinder,
                mix: Mix::Air,
                pressure: GaugeBar(50.0),
                temperature: Celsius(celsius),
                suit,
                kit_mass: Kilograms(8.0),
            };
            let next = LeadQuestion {
                body: BODY,
                age: 30,
                suit,
                column: WaterColumn::at_sea_level(KilogramsPerCubicMetre(sea)),
                cylinder,
                mix: Mix::Air,
                reserve: GaugeBar(50.0),
                temperature: Celsius(celsius),
                kit: TYPICAL_KIT,
            };
            let start = lead_start(&next, Some(&check)).unwrap();
            let sum = |wanted: &[LeadCause]| -> f64 {
                start
                    .reasons
                    .iter()
                    .filter(|reason| wanted.contains(&reason.cause))
                    .map(|reason| reason.lift.likely.0)
                    .sum()
            };
            let gas = gas_density(Mix::Air, Bar(51.01325), Celsius(celsius))
                .unwrap()
                .0
                * cylinder.capacity.0
                / 1e3;
            let everything = 75.0 + 8.0 + 5.0 + cylinder.empty_mass.0 + cylinder.valve_mass.0 + gas;
            // The lead that is already worn pulls a little less in the denser water.
            let lead_loss = 5.0 * (sea - fresh) / 11_340.0;
            published! { source: source, given: format!("fresh to S {salinity}, {celsius} C"),
            ours: sum(&[LeadCause::OtherWater, LeadCause::OtherCylinder]),
            expect: everything * (sea / fresh - 1.0) - lead_loss, within: 0.002 }
        })
        .collect()
}

fn skin() -> Vec<Check> {
    // A new 7 mm suit of 0.85 cover at 825 kg/m3 net lift, over the published area.
    let source =
        "Du Bois and Du Bois, Arch. Intern. Med. 17, 1916, p. 863: 70 kg and 170 cm have 1.81 m2";
    let body = BodySize {
        height: Centimetres(170.0),
        mass: Kilograms(70.0),
    };
    let suit = Suit {
        kind: SuitKind::OnePiece,
        thickness: Millimetres(7.0),
        age: SuitAge::New,
    };
    let sea = WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0));
    let ceiling = suit_buoyancy(&suit, &body, sea, Metres(0.0))
        .unwrap()
        .surface
        .high
        .0;
    vec![
        published! { source: source, given: "70 kg, 170 cm", ours: ceiling / (0.85 * 0.007 * 825.0), expect: 1.81, within: 0.005 },
    ]
}

fn foam() -> Vec<Check> {
    let source = "Boyle's law as the bound of loss: half at 10 m of sea water, a third at 20 m, common practice, no published source";
    let suit = Suit {
        kind: SuitKind::OnePiece,
        thickness: Millimetres(7.0),
        age: SuitAge::New,
    };
    let sea = WaterColumn::at_sea_level(KilogramsPerCubicMetre(1025.0));
    [(10.0, 0.5), (20.0, 0.333)]
        .into_iter()
        .map(|(metres, share)| {
            published! { source: source, given: format!("share of a suit's lift left at {metres} m"),
                ours: suit_buoyancy(&suit, &BODY, sea, Metres(metres)).unwrap().kept.likely.0, expect: share, within: 0.06 }
        })
        .collect()
}

#[test]
fn lead_between_waters_is_what_the_densities_say() {
    hold(&checks());
}
