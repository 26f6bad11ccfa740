//! Amount: what a calculation answers, as a figure in the reader's units. The calculations
//! round the safe way themselves; here a figure is only cut to what a gauge or a person
//! can tell apart.

use super::{Figure, UnitOfMeasure, Units};
use crate::calc::unit::{
    Amount, Bar, Celsius, Centimetres, CubicFeet, CubicFeetPerMinute, Fahrenheit, Feet,
    FeetPerMinute, GaugeBar, GaugePsi, Inches, Kilograms, KilogramsPerCubicMetre, Litres,
    LitresPerMinute, Metres, MetresPerMinute, Pounds, PoundsPerCubicFoot, Psi, Unit as Is,
};

/// How many decimals a figure shows at most, and whether noughts stay.
enum Cut {
    /// To the next ten: no pressure gauge in psi is read finer.
    Tens,
    Whole,
    /// One, where it is not nought.
    IfAny,
    One,
    Two,
}

impl Figure {
    /// An amount, in these units.
    pub fn of(amount: Amount, units: Units) -> Self {
        let v = amount.value;
        let (value, unit, cut) = match units {
            Units::Metric => metric(v, amount.unit),
            Units::Imperial => imperial(v, amount.unit),
        };
        Self {
            text: cut.text(value),
            unit,
        }
    }
}

/// As the calculations have it, in the system they work in.
fn metric(v: f64, unit: Is) -> (f64, UnitOfMeasure, Cut) {
    match unit {
        Is::Bar => (v, UnitOfMeasure::Bar, Cut::Two),
        Is::GaugeBar => (v, UnitOfMeasure::Bar, Cut::IfAny),
        Is::Psi => (v, UnitOfMeasure::Psi, Cut::One),
        Is::GaugePsi => (v, UnitOfMeasure::Psi, Cut::Tens),
        Is::Millibar => (v, UnitOfMeasure::Millibar, Cut::Whole),
        Is::Celsius => (v, UnitOfMeasure::Celsius, Cut::IfAny),
        Is::Fahrenheit => (v, UnitOfMeasure::Fahrenheit, Cut::IfAny),
        Is::Centimetre => (v, UnitOfMeasure::Centimetre, Cut::IfAny),
        Is::Inch => (v, UnitOfMeasure::Inch, Cut::IfAny),
        Is::Millimetre => (v, UnitOfMeasure::Millimetre, Cut::IfAny),
        Is::Metre | Is::MetreSeaWater => (v, UnitOfMeasure::Metre, Cut::IfAny),
        Is::Foot => (v, UnitOfMeasure::Foot, Cut::IfAny),
        Is::FootSeaWater => (v, UnitOfMeasure::FootSeaWater, Cut::Whole),
        Is::Kilogram => (v, UnitOfMeasure::Kilogram, Cut::One),
        Is::Pound => (v, UnitOfMeasure::Pound, Cut::One),
        Is::KilogramPerCubicMetre => (v, UnitOfMeasure::KilogramCubicMetre, Cut::One),
        Is::PoundPerCubicFoot => (v, UnitOfMeasure::PoundCubicFoot, Cut::Two),
        Is::Litre if v.abs() >= 100.0 => (v, UnitOfMeasure::Litre, Cut::Whole),
        Is::Litre => (v, UnitOfMeasure::Litre, Cut::IfAny),
        Is::CubicFoot => (v, UnitOfMeasure::CubicFoot, Cut::One),
        Is::LitrePerMinute => (v, UnitOfMeasure::LitreMinute, Cut::IfAny),
        Is::CubicFootPerMinute => (v, UnitOfMeasure::CubicFootMinute, Cut::Two),
        Is::MetrePerMinute => (v, UnitOfMeasure::MetreMinute, Cut::One),
        Is::FootPerMinute => (v, UnitOfMeasure::FootMinute, Cut::Whole),
        Is::Minute => (v, UnitOfMeasure::Minute, Cut::IfAny),
        Is::Second => (v, UnitOfMeasure::Second, Cut::Whole),
        Is::Percent => (v, UnitOfMeasure::Percent, Cut::IfAny),
        Is::Share => (v * 100.0, UnitOfMeasure::Percent, Cut::IfAny),
        Is::Count => (v, UnitOfMeasure::One, Cut::Whole),
        Is::Coefficient => (v, UnitOfMeasure::One, Cut::Two),
        Is::PracticalSalinity => (v, UnitOfMeasure::One, Cut::IfAny),
    }
}

/// What is shown otherwise in the other system; the rest is as in [`metric`].
fn imperial(v: f64, unit: Is) -> (f64, UnitOfMeasure, Cut) {
    let (v, unit) = match unit {
        Is::Bar => (Psi::from(Bar(v)).0, Is::Psi),
        Is::GaugeBar => (GaugePsi::from(GaugeBar(v)).0, Is::GaugePsi),
        Is::Celsius => (Fahrenheit::from(Celsius(v)).0, Is::Fahrenheit),
        Is::Centimetre => (Inches::from(Centimetres(v)).0, Is::Inch),
        Is::Metre | Is::MetreSeaWater => (Feet::from(Metres(v)).0, Is::Foot),
        Is::Kilogram => (Pounds::from(Kilograms(v)).0, Is::Pound),
        Is::KilogramPerCubicMetre => (
            PoundsPerCubicFoot::from(KilogramsPerCubicMetre(v)).0,
            Is::PoundPerCubicFoot,
        ),
        Is::Litre => (CubicFeet::from(Litres(v)).0, Is::CubicFoot),
        Is::LitrePerMinute => (
            CubicFeetPerMinute::from(LitresPerMinute(v)).0,
            Is::CubicFootPerMinute,
        ),
        Is::MetrePerMinute => (FeetPerMinute::from(MetresPerMinute(v)).0, Is::FootPerMinute),
        Is::Psi
        | Is::GaugePsi
        | Is::Millibar
        | Is::Fahrenheit
        | Is::Inch
        | Is::Millimetre
        | Is::Foot
        | Is::FootSeaWater
        | Is::Pound
        | Is::PoundPerCubicFoot
        | Is::CubicFoot
        | Is::CubicFootPerMinute
        | Is::FootPerMinute
        | Is::Minute
        | Is::Second
        | Is::Percent
        | Is::Share
        | Is::Count
        | Is::Coefficient
        | Is::PracticalSalinity => (v, unit),
    };
    metric(v, unit)
}

impl Cut {
    fn text(self, value: f64) -> String {
        // Adding zero turns a negative zero into a plain one.
        let to = |value: f64, step: f64| (value * step).round() / step + 0.0;
        match self {
            Self::Tens => format!("{:.0}", to(value, 0.1)),
            Self::Whole => format!("{:.0}", to(value, 1.0)),
            Self::One => format!("{:.1}", to(value, 10.0)),
            Self::Two => format!("{:.2}", to(value, 100.0)),
            Self::IfAny => {
                let text = format!("{:.1}", to(value, 10.0));
                text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::unit::Measured;

    fn shown(of: impl Measured, units: Units) -> String {
        Figure::of(of.amount(), units).to_string()
    }

    #[test]
    fn an_amount_is_shown_in_either_system() {
        // NIST Special Publication 811 (2008), appendix B: 0.3048 m, 0.45359237 kg,
        // 6894.757 Pa, 28.31685 L.
        let cases = [
            (shown(Metres(18.288), Units::Imperial), "60 ft"),
            (shown(Metres(18.0), Units::Metric), "18 m"),
            (shown(GaugeBar(200.0), Units::Metric), "200 bar"),
            (shown(GaugeBar(200.0), Units::Imperial), "2900 psi"),
            (shown(Kilograms(-1.24), Units::Metric), "-1.2 kg"),
            (shown(Kilograms(-0.01), Units::Metric), "0.0 kg"),
            (shown(Kilograms(4.5), Units::Imperial), "9.9 lb"),
            (shown(Litres(2265.0), Units::Imperial), "80.0 ft³"),
            (
                shown(LitresPerMinute(20.0), Units::Imperial),
                "0.71 ft³/min",
            ),
            (
                shown(crate::calc::unit::Share(0.997), Units::Metric),
                "99.7 %",
            ),
        ];
        for (found, expected) in cases {
            assert_eq!(found, expected);
        }
    }
}
