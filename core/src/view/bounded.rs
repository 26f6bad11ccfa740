//! Bounded: a figure that cannot be taken, with the least and the most of it, in the unit that a
//! person types it in.

use super::{FigureKind as Kind, MeasureCard, MeasureKind, Side, Units};
use crate::course::Measure;
use crate::entry::{Measured, within};

/// A figure and its bounds, as they are shown.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Bounded {
    /// What was given, where it is known.
    pub value: Option<String>,
    /// The lowest that can be typed and is kept.
    pub least: Option<String>,
    /// The highest.
    pub most: Option<String>,
    /// The symbol of their unit, or what is counted; empty for a bare number and for a time on a
    /// stopwatch.
    pub unit: String,
}

/// How a person reads the figures of a field.
enum Of {
    /// As they are typed.
    Typed(Kind),
    /// In thousandths, as gas is mixed.
    Permille,
    /// A person's height.
    Millimetres,
    /// A place on earth, from ten thousandths of a degree.
    Degrees,
    /// How many.
    Plain,
}

/// How this field's figures are read. A test holds a table of every field with its unit.
fn of(field: &str) -> Of {
    match field {
        "depth" | "deepest" | "average depth" | "profile depth" | "depth off" => {
            Of::Typed(Kind::Depth)
        }
        "height" => Of::Typed(Kind::Altitude),
        "temperature" => Of::Typed(Kind::Temperature),
        "visibility" | "distance" => Of::Typed(Kind::Way),
        "start pressure" | "end pressure" | "pressure" => Of::Typed(Kind::Pressure),
        "lead" | "body weight" => Of::Typed(Kind::Lead),
        "cylinder" => Of::Typed(Kind::Cylinder),
        "dive time" | "time" => Of::Typed(Kind::Seconds),
        "minutes" => Of::Typed(Kind::Minutes),
        "rate" => Of::Typed(Kind::Rate),
        "oxygen" => Of::Permille,
        "body height" => Of::Millimetres,
        "latitude" | "longitude" => Of::Degrees,
        _ => Of::Plain,
    }
}

impl Bounded {
    /// A figure of an entry beyond the bounds of its field, all in base units.
    pub fn of_field(field: &str, value: i64, bounds: [i64; 2], units: Units) -> Self {
        let plain = |unit: &str| Self::said(&value, bounds, unit);
        match of(field) {
            Of::Typed(kind) => Self {
                value: Some(shown(kind, value, units)),
                ..Self::between(kind, bounds, units)
            },
            Of::Permille => plain("‰"),
            Of::Millimetres => plain("mm"),
            Of::Degrees => Self::said(&degrees(value), bounds.map(degrees), "°"),
            Of::Plain => plain(""),
        }
    }

    /// *Met* on a figure that reaches no part of what is asked: the figure, and the bound of the
    /// part that it answers.
    pub fn below(measured: Measured, asked: &Measure, units: Units) -> Self {
        let card = MeasureCard::of(asked, units);
        let given = MeasureCard::of(&with_bound(asked, measured.base()), units).bound;
        let bound = Some(card.bound.text);
        let (least, most) = match card.side {
            Side::AtLeast => (bound, None),
            Side::AtMost => (None, bound),
        };
        let symbol = card.bound.unit.symbol();
        Self {
            value: Some(given.text),
            least,
            most,
            unit: card.of.unwrap_or_else(|| symbol.to_owned()),
        }
    }

    /// The widest bounds of a kind, for a figure that the field it was typed for cannot hold.
    pub fn beyond(kind: Kind, units: Units) -> Self {
        Self::between(kind, widest(kind), units)
    }

    /// The same of a figure that was measured for a skill.
    pub fn beyond_measure(kind: MeasureKind, units: Units) -> Self {
        let (kind, sample) = match kind {
            MeasureKind::Count => (Kind::Count, Measured::Count(0)),
            MeasureKind::Hold | MeasureKind::Within => (Kind::Seconds, Measured::Seconds(0)),
            MeasureKind::Distance | MeasureKind::Miss => (Kind::Way, Measured::Decimetres(0)),
            MeasureKind::DepthBand => (Kind::Depth, Measured::Centimetres(0)),
            MeasureKind::AscentRate => (Kind::Rate, Measured::CmPerMinute(0)),
            MeasureKind::Reading => (Kind::Count, Measured::Reading(0)),
        };
        let (_, most) = sample.most();
        Self::between(kind, [0, i64::from(most)], units)
    }

    /// The bounds of a position: degrees north and degrees east.
    pub fn of_the_map() -> Self {
        Self {
            value: None,
            least: Some("-90 -180".to_owned()),
            most: Some("90 180".to_owned()),
            unit: "°".to_owned(),
        }
    }

    /// Bounds in base units in the reader's: the outermost figures that can be typed and are
    /// kept.
    pub fn between(kind: Kind, [least, most]: [i64; 2], units: Units) -> Self {
        let kept = |base: i64| {
            let text = kind.show(base, units).text;
            let read = kind.read(&text, units);
            let inside = read.is_ok_and(|read| (least..=most).contains(&read));
            inside.then_some(text)
        };
        Self {
            value: None,
            least: (least..=most).find_map(kept),
            most: (least..=most).rev().find_map(kept),
            unit: kind.unit(units).symbol().to_owned(),
        }
    }

    fn said(value: &impl ToString, [least, most]: [impl ToString; 2], unit: &str) -> Self {
        Self {
            value: Some(value.to_string()),
            least: Some(least.to_string()),
            most: Some(most.to_string()),
            unit: unit.to_owned(),
        }
    }
}

/// A figure as it is shown; seconds that no stopwatch shows, as a number.
fn shown(kind: Kind, base: i64, units: Units) -> String {
    if kind == Kind::Seconds && u32::try_from(base).is_err() {
        base.to_string()
    } else {
        kind.show(base, units).text
    }
}

fn degrees(e4: i64) -> String {
    let whole = i32::try_from(e4).unwrap_or(i32::MAX);
    (f64::from(whole) / 10_000.0).to_string()
}

/// The widest bounds of a kind, in its base unit.
const fn widest(kind: Kind) -> [i64; 2] {
    match kind {
        Kind::Depth => within::DEPTH,
        Kind::Way => within::VISIBILITY,
        Kind::WayMetres | Kind::Count => [0, 10_000],
        Kind::Altitude => within::ALTITUDE,
        Kind::Pressure => within::PRESSURE,
        Kind::Lead => within::LEAD,
        Kind::Cylinder => within::CAPACITY,
        Kind::Temperature => within::TEMPERATURE,
        Kind::Rate => [0, 12_000],
        Kind::Seconds => within::DIVE_TIME,
        Kind::Minutes => within::MINUTES,
        Kind::Percent => [0, 100],
    }
}

/// The same part of a requirement with another figure in it.
fn with_bound(asked: &Measure, base: u32) -> Measure {
    match asked {
        Measure::Count { at_least: _, of } => Measure::Count {
            at_least: base,
            of: of.clone(),
        },
        Measure::Hold { seconds: _ } => Measure::Hold { seconds: base },
        Measure::Within { seconds: _ } => Measure::Within { seconds: base },
        Measure::Distance { decimetres: _ } => Measure::Distance { decimetres: base },
        Measure::DepthBand { plus_minus_cm: _ } => Measure::DepthBand {
            plus_minus_cm: base,
        },
        Measure::AscentRate { cm_per_minute: _ } => Measure::AscentRate {
            cm_per_minute: base,
        },
        Measure::Miss { decimetres: _ } => Measure::Miss { decimetres: base },
        Measure::Reading { at_most: _, unit } => Measure::Reading {
            at_most: base,
            unit: unit.clone(),
        },
    }
}
