//! How a body floats, holding a normal breath.
//!
//! Sources: density of the body without its lung gas from the share of fat, Siri, W. E., in
//! Techniques for Measuring Body Composition, National Academy of Sciences, 1961, p. 223
//! (fat % = 495 / density - 450). Gas in the lungs at the end of a normal breath out, Quanjer, P. H.
//! et al., Eur. Respir. J. 6, Suppl. 16, 1993, p. 5 (men 2.34 H + 0.009 A - 1.09, women
//! 2.24 H + 0.001 A - 1.00, litres; residual 0.6 and 0.5; for 18 to 70 years, men of 155 to 195 cm
//! and women of 145 to 180 cm, those under 25 taken as 25; from memory). Children lie outside it
//! and are refused: nobody's lungs are guessed. Neither fat nor sex is asked: the middle of both is
//! used and the range carries what was not asked.

use crate::calc::outside::{OutsideTable, Quantity, counted, within};
use crate::calc::spread::Spread;
use crate::calc::suit::BodySize;
use crate::calc::unit::Centimetres;

/// Years that the source covers.
const AGES: [u32; 2] = [18, 70];
/// Heights that the source covers, of women and of men together.
const HEIGHTS: [Centimetres; 2] = [Centimetres(145.0), Centimetres(195.0)];
const YOUNGEST: u32 = 25; // years: whoever is younger is taken to be so old

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
///
/// # Errors
/// A height or an age that the source does not cover.
pub(super) fn lungs(body: &BodySize, age: u32, water: f64) -> Result<Spread<f64>, OutsideTable> {
    let years = f64::from(counted(Quantity::Age, age, AGES[0], AGES[1])?.max(YOUNGEST));
    let metres = within(Quantity::BodyHeight, body.height, HEIGHTS[0], HEIGHTS[1])? / 100.0;
    // The middle of men and women.
    let men = 2.34 * metres + 0.009 * years - 1.09;
    let women = 2.24 * metres + 0.001 * years - 1.00;
    let litres = f64::midpoint(men, women) + HALF_A_BREATH;
    let per_litre = water / 1e3;
    Ok(Spread {
        low: (litres - LUNG_SPREAD).max(0.5) * per_litre,
        likely: litres * per_litre,
        high: (litres + LUNG_SPREAD) * per_litre,
    })
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
        let floats = |water| tissue(&body, water).likely + lungs(&body, 30, water).unwrap().likely;
        assert!(
            floats(1025.0) > 0.5 && floats(1025.0) < 3.0,
            "{}",
            floats(1025.0)
        );
        assert!(floats(997.0).abs() < 1.0, "{}", floats(997.0));
    }

    #[test]
    fn what_is_left_after_a_breath_out_is_the_published_middle() {
        // Worked by hand at 1.70 m and 40 years: men 3.978 + 0.360 - 1.090 = 3.248 L, women
        // 3.808 + 0.040 - 1.000 = 2.848 L; the middle 3.048 L and a quarter litre of breath.
        let body = BodySize {
            height: Centimetres(170.0),
            mass: Kilograms(70.0),
        };
        let litres = lungs(&body, 40, 1_000.0).unwrap().likely;
        assert!((litres - 3.298).abs() < 1e-9, "{litres}");
    }

    #[test]
    fn a_child_is_refused_with_the_range_of_the_source() {
        let of = |height, age| {
            let body = BodySize {
                height: Centimetres(height),
                mass: Kilograms(40.0),
            };
            lungs(&body, age, 1_000.0).unwrap_err()
        };
        let young = of(150.0, 12);
        assert_eq!(
            (young.what, young.lowest.value, young.highest.value),
            (Quantity::Age, 18.0, 70.0)
        );
        let small = of(130.0, 30);
        assert_eq!(
            (small.what, small.lowest.value, small.highest.value),
            (Quantity::BodyHeight, 145.0, 195.0)
        );
    }
}
