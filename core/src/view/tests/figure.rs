//! Figures in either system, and back from what is typed.

use crate::course::Measure;
use crate::entry::Measured;
use crate::view::figure::{Of, clock, read_clock};
use crate::view::{
    BadFigure, MeasureCard, MeasureKind, Side, TakenWith, UnitOfMeasure, Units, read_measure,
    unit_of,
};

fn both(of: Of, base: i64) -> (String, String) {
    (
        of.show(base, Units::Metric).to_string(),
        of.show(base, Units::Imperial).to_string(),
    )
}

/// Expected values worked out by hand from the factors of NIST Special Publication 811
/// (2008), appendix B: 1 ft = 0.3048 m, 1 lb = 453.59237 g, 1 psi = 6 894.757 Pa, and
/// t/°F = 1.8 t/°C + 32.
#[test]
fn figures_read_as_a_gauge_does() {
    let cases = [
        (Of::Depth, 1_800, "18.0 m", "59 ft"),
        (Of::Depth, 1_250, "12.5 m", "41 ft"),
        (Of::Depth, 1_829, "18.3 m", "60 ft"),
        (Of::Band, 50, "0.5 m", "1.6 ft"),
        (Of::Way, 2_000, "200 m", "656 ft"),
        (Of::Way, 255, "25.5 m", "84 ft"),
        (Of::Pressure, 200_000, "200 bar", "2900 psi"),
        (Of::Pressure, 206_843, "207 bar", "3000 psi"),
        (Of::Pressure, 50_000, "50 bar", "730 psi"),
        (Of::Lead, 6_350, "6.4 kg", "14.0 lb"),
        (Of::Lead, 0, "0.0 kg", "0.0 lb"),
        (Of::Cylinder, 120, "12 L", "12 L"),
        (Of::Cylinder, 111, "11.1 L", "80 ft³ (11.1 L)"),
        (Of::Temperature, 245, "24.5 °C", "76 °F"),
        (Of::Temperature, -10, "-1 °C", "30 °F"),
        (Of::Temperature, 0, "0 °C", "32 °F"),
        (Of::Rate, 900, "9.0 m/min", "30 ft/min"),
    ];
    for (of, base, metric, imperial) in cases {
        assert_eq!(
            both(of, base),
            (metric.to_owned(), imperial.to_owned()),
            "{of:?} {base}"
        );
    }
}

/// Worked out by hand: litres times bar over 1.01325 bar and 28.3168 L in a cubic foot. Sizes of
/// the list that are filled to several pressures have no one free volume, and sizes beside the
/// list none at all: they stay in litres.
#[test]
fn a_cylinder_is_called_by_its_free_volume_where_its_fill_is_known() {
    for (decilitres, called) in [
        (111, "80 ft³ (11.1 L)"),
        (90, "65 ft³ (9 L)"),
        (57, "41 ft³ (5.7 L)"),
        (70, "57 ft³ (7 L)"),
        (85, "69 ft³ (8.5 L)"),
        (100, "10 L"),
        (120, "12 L"),
        (150, "15 L"),
        (112, "11.2 L"),
        (-1, "-0.1 L"),
    ] {
        let shown = Of::Cylinder.show(decilitres, Units::Imperial);
        assert_eq!(shown.to_string(), called);
        assert_eq!(
            Of::Cylinder.read(&shown.text, Units::Imperial),
            Some(decilitres),
            "{called} is read as it is shown"
        );
    }
    for other in ["81 ft³ (11.1 L)", "80 ft³", "80 ft³ (L)", "80 ft³ (12 L)"] {
        assert_eq!(Of::Cylinder.read(other, Units::Imperial), None, "{other}");
    }
    let of_depth = Of::Depth.read("80 ft³ (11.1 L)", Units::Imperial);
    assert_eq!(of_depth, None);
}

#[test]
fn half_a_degree_below_nought_keeps_its_sign() {
    assert_eq!(both(Of::Temperature, -5).0, "-0.5 °C");
}

#[test]
fn what_is_typed_comes_back_to_the_base_unit() {
    let read = |of: Of, typed, units| of.read(typed, units);
    assert_eq!(read(Of::Depth, "12.5", Units::Metric), Some(1_250));
    assert_eq!(read(Of::Depth, "12,5", Units::Metric), Some(1_250));
    assert_eq!(read(Of::Depth, "60", Units::Imperial), Some(1_829));
    assert_eq!(read(Of::Pressure, "200", Units::Metric), Some(200_000));
    assert_eq!(read(Of::Pressure, "3000", Units::Imperial), Some(206_843));
    assert_eq!(read(Of::Temperature, "-1.5", Units::Metric), Some(-15));
    assert_eq!(read(Of::Temperature, "68", Units::Imperial), Some(200));
    assert_eq!(read(Of::Lead, "14", Units::Imperial), Some(6_350));
    for bad in [
        "", " ", "-", ".", "1.", ".5", "1.2.3", "1e3", "twelve", "1 2", "99999999", "0x1",
    ] {
        assert_eq!(read(Of::Depth, bad, Units::Metric), None, "{bad:?}");
    }
}

#[test]
fn what_is_shown_reads_back_as_what_is_shown() {
    for units in [Units::Metric, Units::Imperial] {
        for of in [
            Of::Depth,
            Of::Band,
            Of::Way,
            Of::Pressure,
            Of::Lead,
            Of::Cylinder,
            Of::Temperature,
            Of::Rate,
        ] {
            for base in [0, 1, 7, 99, 100, 1_234, 40_000, 350_000] {
                let shown = of.show(base, units);
                let back = of.read(&shown.text, units).unwrap();
                assert_eq!(of.show(back, units), shown, "{of:?} {base} {units:?}");
            }
        }
    }
}

#[test]
fn seconds_are_shown_as_a_stopwatch_shows_them() {
    for (seconds, text) in [
        (0, "0:00"),
        (45, "0:45"),
        (725, "12:05"),
        (3_725, "1:02:05"),
    ] {
        assert_eq!(clock(seconds).text, text);
        assert_eq!(read_clock(text), Some(seconds));
    }
    assert_eq!(read_clock("65"), Some(65));
    for bad in ["", ":", "1:", ":1", "1:60", "1:02:03:04", "-1", "1.5"] {
        assert_eq!(read_clock(bad), None, "{bad:?}");
    }
}

#[test]
fn each_measure_is_taken_with_its_own_thing_and_met_on_its_own_side() {
    use MeasureKind as Kind;
    let cases = [
        (
            Measure::Count {
                at_least: 3,
                of: "clears".into(),
            },
            Kind::Count,
            TakenWith::Counter,
            Side::AtLeast,
            "3",
        ),
        (
            Measure::Hold { seconds: 30 },
            Kind::Hold,
            TakenWith::Stopwatch,
            Side::AtLeast,
            "0:30",
        ),
        (
            Measure::Within { seconds: 90 },
            Kind::Within,
            TakenWith::Stopwatch,
            Side::AtMost,
            "1:30",
        ),
        (
            Measure::Distance { decimetres: 500 },
            Kind::Distance,
            TakenWith::Number,
            Side::AtLeast,
            "50 m",
        ),
        (
            Measure::DepthBand { plus_minus_cm: 50 },
            Kind::DepthBand,
            TakenWith::Number,
            Side::AtMost,
            "0.5 m",
        ),
        (
            Measure::AscentRate { cm_per_minute: 900 },
            Kind::AscentRate,
            TakenWith::Number,
            Side::AtMost,
            "9.0 m/min",
        ),
        (
            Measure::Miss { decimetres: 30 },
            Kind::Miss,
            TakenWith::Number,
            Side::AtMost,
            "3 m",
        ),
        (
            Measure::Reading {
                at_most: 20,
                unit: "degrees".into(),
            },
            Kind::Reading,
            TakenWith::Number,
            Side::AtMost,
            "20",
        ),
    ];
    for (measure, kind, with, side, bound) in cases {
        let card = MeasureCard::of(&measure, Units::Metric);
        assert_eq!((card.kind, card.taken_with, card.side), (kind, with, side));
        assert_eq!(card.bound.to_string(), bound);
    }
}

#[test]
fn a_typed_measure_becomes_the_figure_that_is_recorded() {
    let read = |kind, typed| read_measure(kind, typed, Units::Metric);
    assert_eq!(read(MeasureKind::Count, "3"), Ok(Measured::Count(3)));
    assert_eq!(read(MeasureKind::Hold, "1:05"), Ok(Measured::Seconds(65)));
    assert_eq!(
        read(MeasureKind::Distance, "50"),
        Ok(Measured::Decimetres(500))
    );
    assert_eq!(
        read(MeasureKind::DepthBand, "0,4"),
        Ok(Measured::Centimetres(40))
    );
    assert_eq!(
        read(MeasureKind::AscentRate, "9"),
        Ok(Measured::CmPerMinute(900))
    );
    assert_eq!(read(MeasureKind::Reading, "15"), Ok(Measured::Reading(15)));
    assert_eq!(
        read(MeasureKind::Count, "three"),
        Err(BadFigure::NotANumber)
    );
    assert_eq!(read(MeasureKind::Count, "-3"), Err(BadFigure::NotANumber));
    assert_eq!(
        read(MeasureKind::Count, "99999999999"),
        Err(BadFigure::OutOfBounds)
    );
    assert_eq!(
        read(MeasureKind::Distance, "-5"),
        Err(BadFigure::OutOfBounds)
    );
    assert_eq!(
        unit_of(MeasureKind::Hold, Units::Metric),
        UnitOfMeasure::Clock
    );
    assert_eq!(
        unit_of(MeasureKind::Miss, Units::Imperial),
        UnitOfMeasure::Foot
    );
}
