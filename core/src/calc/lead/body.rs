//! How a body floats, holding a normal breath.
//!
//! Sources: density of the body without its lung gas from the share of fat, Siri, W. E., in
//! Techniques for Measuring Body Composition, National Academy of Sciences, 1961, p. 223
//! (fat % = 495 / density - 450). Gas in the lungs at the end of a normal breath out, Quanjer, P. H.
//! et al., Eur. Respir. J. 6, Suppl. 16, 1993, p. 5 (men 2.34 H + 0.009 A - 1.09, women
//! 2.24 H + 0.001 A - 1.00, litres; residual 0.6 and 0.5; from memory). Neither fat, sex nor age is
//! asked of a student: the middle of both is used and the range carries what was not asked.

use crate::calc::spread::Spread;
use crate::calc::suit::BodySize;

/// Shares of fat, percent: a spare, a usual and a round body. Own choice.
const FAT: Spread<f64> = Spread {
    low: 10.0,
    likely: 20.0,
    high: 32.0,
};
const HALF_A_BREATH: f64 = 0.25; // L, half of a resting breath of 0.5 L
const LUNG_SPREAD: f64 = 0.6; // L, residual of the published equations

/// Kilograms that the body's own tissue floats in water of `water` kg/m3.
pub(super) fn tissue(body: &BodySize, water: f64) -> Spread<f64> {
    let floats = |fat: f64| {
        let density = 495.0 / (fat + 450.0); // kg/L, Siri turned round
        body.mass.0 * (water / 1e3 / density - 1.0)
    };
    Spread {
        low: floats(FAT.low),
        likely: floats(FAT.likely),
        high: floats(FAT.high),
    }
}

/// Kilograms that the gas of a normal, held half breath floats.
pub(super) fn lungs(body: &BodySize, water: f64) -> Spread<f64> {
    let metres = body.height.0 / 100.0;
    // The middle of men and women at 30 years.
    let out = f64::midpoint(2.34 * metres + 0.27 - 1.09, 2.24 * metres + 0.03 - 1.00);
    let litres = out + HALF_A_BREATH;
    let per_litre = water / 1e3;
    Spread {
        low: (litres - LUNG_SPREAD).max(0.5) * per_litre,
        likely: litres * per_litre,
        high: (litres + LUNG_SPREAD) * per_litre,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::unit::{Centimetres, Kilograms};

    #[test]
    fn a_usual_body_just_floats_in_the_sea_and_hardly_in_a_pool() {
        let body = BodySize {
            height: Centimetres(175.0),
            mass: Kilograms(75.0),
        };
        let floats = |water| tissue(&body, water).likely + lungs(&body, water).likely;
        assert!(
            floats(1025.0) > 0.5 && floats(1025.0) < 3.0,
            "{}",
            floats(1025.0)
        );
        assert!(floats(997.0).abs() < 1.0, "{}", floats(997.0));
    }
}
