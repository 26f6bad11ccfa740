//! From the water and cylinder of the last check to those of the next dive.
//!
//! Source: Archimedes, exactly. A diver who was neutral in water of density d1 has the volume
//! m / d1, so other water changes the lift by m (d2 / d1 - 1), m being everything in the water:
//! body, kit, cylinder and lead. That is 2.7 % from fresh to open sea and 0.5 % from fresh to the
//! Baltic: one rule of thumb for both would over-weight a Baltic class.

use super::checked_lead;
use super::estimate::LeadQuestion;
use super::pull;
use super::start::{LeadCause, LeadReason};
use crate::calc::cylinder::{CylinderSize, Mix, buoyancy};
use crate::calc::outside::{OutsideTable, Quantity, within};
use crate::calc::spread::Spread;
use crate::calc::suit::Suit;
use crate::calc::unit::{Celsius, GaugeBar, Kilograms, KilogramsPerCubicMetre};

/// A student's own figure, as it was checked in the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnCheck {
    /// The lead with which the check was passed, 0 to 40 kg.
    pub lead: Kilograms,
    /// Density of the water it was passed in.
    pub water: KilogramsPerCubicMetre,
    /// The cylinder that was worn.
    pub cylinder: CylinderSize,
    /// What was in it.
    pub mix: Mix,
    /// What its gauge read at the check.
    pub pressure: GaugeBar,
    /// Temperature of the water.
    pub temperature: Celsius,
    /// The suit that was worn.
    pub suit: Suit,
    /// Dry mass of suit, jacket, regulator and fins together, 0 to 40 kg; a guess will do, since
    /// only 3 % of it counts.
    pub kit_mass: Kilograms,
}

/// How finely a check by eye-line and breath finds the figure, kg. Common practice, no published
/// source: a pocket weight is half a kilogram and a breath carries as much.
const CHECK_SPREAD: f64 = 0.5;

/// What lifts the diver on the next dive, part by part.
pub(super) fn changed(
    check: &OwnCheck,
    next: &LeadQuestion,
) -> Result<Vec<LeadReason>, OutsideTable> {
    let lead = checked_lead(check.lead)?;
    let kit = within(
        Quantity::KitMass,
        check.kit_mass,
        Kilograms(0.0),
        Kilograms(40.0),
    )?;
    let mass = next.body.checked()?.mass.0 + kit;
    let (then, now) = (check.water.0, next.column.density.0);

    let worn = buoyancy(
        &check.cylinder,
        check.pressure,
        check.temperature,
        check.mix,
        check.water,
    )?
    .0;
    let held = lead * pull(then);
    // Neutral at the check: what diver and kit float is what lead and cylinder hold down.
    let diver_then = held - worn;
    let diver_now = (mass + diver_then) * now / then - mass;

    let suit_then = next.suit_at_surface(&check.suit)?;
    let suit_now = next.suit_at_surface(&next.suit)?;
    let suit = if check.suit == next.suit {
        exactly(0.0)
    } else {
        difference(suit_now, suit_then)
    };

    Ok(vec![
        LeadReason::new(
            LeadCause::CheckedFigure,
            Spread {
                low: held - CHECK_SPREAD,
                likely: held,
                high: held + CHECK_SPREAD,
            },
        ),
        LeadReason::new(LeadCause::OtherWater, exactly(diver_now - diver_then)),
        LeadReason::new(
            LeadCause::OtherCylinder,
            exactly(next.cylinder_at_reserve()? - worn),
        ),
        LeadReason::new(LeadCause::OtherSuit, suit),
    ])
}

fn exactly(value: f64) -> Spread<f64> {
    Spread {
        low: value,
        likely: value,
        high: value,
    }
}

/// Two figures of the same body and method err alike, so the ends are taken end by end.
fn difference(now: Spread<f64>, then: Spread<f64>) -> Spread<f64> {
    let (low, likely, high) = (
        now.low - then.low,
        now.likely - then.likely,
        now.high - then.high,
    );
    Spread {
        low: low.min(likely).min(high),
        likely,
        high: high.max(likely).max(low),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::cylinder::{Metal, starter_sizes};
    use crate::calc::lead::{LeadNote, LeadSource, TYPICAL_KIT, lead_start};
    use crate::calc::suit::{BodySize, SuitAge, SuitKind};
    use crate::calc::unit::{Centimetres, Millimetres};
    use crate::calc::water::WaterColumn;

    fn size(metal: Metal, litres: f64) -> CylinderSize {
        *starter_sizes()
            .iter()
            .find(|size| size.metal == metal && (size.capacity.0 - litres).abs() < 0.01)
            .unwrap()
    }

    fn case(water_then: f64, water_now: f64) -> (OwnCheck, LeadQuestion) {
        let suit = Suit {
            kind: SuitKind::OnePiece,
            thickness: Millimetres(5.0),
            age: SuitAge::Worn,
        };
        let cylinder = size(Metal::Steel, 12.0);
        let check = OwnCheck {
            lead: Kilograms(6.0),
            water: KilogramsPerCubicMetre(water_then),
            cylinder,
            mix: Mix::Air,
            pressure: GaugeBar(50.0),
            temperature: Celsius(15.0),
            suit,
            kit_mass: Kilograms(8.0),
        };
        let next = LeadQuestion {
            body: BodySize {
                height: Centimetres(175.0),
                mass: Kilograms(75.0),
            },
            age: 30,
            suit,
            column: WaterColumn::at_sea_level(KilogramsPerCubicMetre(water_now)),
            cylinder,
            mix: Mix::Air,
            reserve: GaugeBar(50.0),
            temperature: Celsius(15.0),
            kit: TYPICAL_KIT,
        };
        (check, next)
    }

    #[test]
    fn the_same_dive_again_needs_the_same_lead() {
        let (check, next) = case(1025.0, 1025.0);
        let start = lead_start(&next, Some(&check)).unwrap();
        assert_eq!(
            (start.source, start.lead.likely),
            (LeadSource::OwnCheck, Kilograms(6.0))
        );
    }

    #[test]
    fn from_pool_to_sea_is_the_exact_share_of_everything_in_the_water() {
        let (check, next) = case(1000.0, 1026.9);
        let parts = changed(&check, &next).unwrap();
        let lift: f64 = parts.iter().map(|part| part.lift.likely.0).sum();
        let lead = lift / pull(1026.9);
        // Everything: 75 + 8 + 6 kg, the cylinder 12.8 + 0.75 kg and 12 L of air at 50 bar.
        let gas = 12.0 * 51.013_25 * 28.965_46 / (8.314_462_618 * 288.15 * 0.9855) / 10.0;
        let everything: f64 = 75.0 + 8.0 + 6.0 + 12.8 + 0.75 + gas;
        let exact = 6.0 + everything * 0.0269 / pull(1026.9);
        assert!((lead - exact).abs() < 0.01, "{lead} is not {exact}");
    }

    #[test]
    fn back_again_is_where_it_began() {
        let (check, next) = case(1000.0, 1025.0);
        let there = changed(&check, &next)
            .unwrap()
            .iter()
            .map(|part| part.lift.likely.0)
            .sum::<f64>()
            / pull(1025.0);
        let (mut back, next) = case(1025.0, 1000.0);
        back.lead = Kilograms(there);
        let here = changed(&back, &next)
            .unwrap()
            .iter()
            .map(|part| part.lift.likely.0)
            .sum::<f64>()
            / pull(1000.0);
        assert!((here - 6.0).abs() < 1e-9, "{here}");
    }

    #[test]
    fn a_check_on_a_full_cylinder_is_corrected_for_its_gas() {
        let (mut check, next) = case(1025.0, 1025.0);
        check.pressure = GaugeBar(200.0);
        let start = lead_start(&next, Some(&check)).unwrap();
        // About 2.1 kg of air lie between 200 and 50 bar in 12 L.
        assert!(
            start.lead.likely >= Kilograms(8.0) && start.lead.likely <= Kilograms(8.5),
            "{:?}",
            start.lead
        );
    }

    /// The commonest change of all, recomputed from the skin, the foam and the lead's own
    /// displacement; that an adult needs some 8 kg more is common practice, no published source.
    #[test]
    fn from_a_pool_shorty_to_a_two_piece_is_some_eight_kilograms_more() {
        let (mut check, mut next) = case(1025.0, 1025.0);
        check.suit.kind = SuitKind::Shorty;
        check.suit.thickness = Millimetres(3.0);
        next.suit.kind = SuitKind::TwoPiece;
        next.suit.thickness = Millimetres(7.0);
        let skin = 0.007_184 * 75.0_f64.powf(0.425) * 175.0_f64.powf(0.725);
        let foam = |layers: f64, metres: f64| skin * metres * layers * (1025.0 - 200.0) * 0.6;
        let lift = foam(1.35, 0.007) - foam(0.55, 0.003);
        let by_hand = lift / (1.0 - 1025.0 / 11_340.0);
        assert!((7.5..8.5).contains(&by_hand), "{by_hand}");
        let start = lead_start(&next, Some(&check)).unwrap();
        let more = start.lead.likely.0 - 6.0;
        assert!((more - by_hand).abs() <= 0.5, "{more} is not {by_hand}");
        let parts = changed(&check, &next).unwrap();
        let exact: f64 = parts.iter().map(|part| part.lift.likely.0).sum();
        let exact = exact / pull(1025.0) - 6.0;
        assert!((exact - by_hand).abs() < 0.02, "{exact} is not {by_hand}");
    }

    #[test]
    fn a_heavier_cylinder_takes_lead_away() {
        let (check, mut next) = case(1025.0, 1025.0);
        next.cylinder = size(Metal::Aluminium, 11.1);
        let lighter = lead_start(&next, Some(&check)).unwrap().lead.likely;
        assert!(lighter > Kilograms(6.0), "aluminium floats: {lighter}");
    }

    #[test]
    fn a_diver_who_sinks_without_lead_is_told_so() {
        let (mut check, mut next) = case(1025.0, 1000.0);
        check.lead = Kilograms(0.0);
        next.cylinder = size(Metal::Steel, 15.0);
        let start = lead_start(&next, Some(&check)).unwrap();
        assert_eq!(start.lead.likely, Kilograms(0.0));
        assert!(
            matches!(start.notes.first(), Some(LeadNote::SinksWithoutLead { by }) if by.0 > 0.0)
        );
    }

    #[test]
    fn nonsense_is_refused() {
        let (mut check, next) = case(1025.0, 1025.0);
        check.lead = Kilograms(f64::NAN);
        assert_eq!(
            lead_start(&next, Some(&check)).unwrap_err().what,
            Quantity::Lead
        );
    }
}
