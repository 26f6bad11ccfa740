//! Bounds: a figure that a rule refused, with the least and the most of it, in the unit that a
//! person types it in.

use tallywater_core::course::{Measure, PolicyFault, SkillId};
use tallywater_core::entry::{Measured, within};
use tallywater_core::view::{FigureKind as Kind, MeasureCard, MeasureKind, Side, Units};

use crate::cross::Asked as _;
use crate::{Fault, FigureKind};

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

/// A figure of an entry beyond its bounds, all in base units.
pub(crate) fn refused(field: &str, value: i64, bounds: [i64; 2], units: Units) -> Fault {
    let fault = Fault::rule("out_of_bounds").of(field);
    let plain = |fault: Fault, unit: &str| {
        let [least, most] = bounds.map(|bound| Some(bound.to_string()));
        in_unit(fault.value(value).bounds(least, most), unit)
    };
    match of(field) {
        Of::Typed(kind) => between(fault.value(shown(kind, value, units)), kind, bounds, units),
        Of::Permille => plain(fault, "‰"),
        Of::Millimetres => plain(fault, "mm"),
        Of::Degrees => {
            let [least, most] = bounds.map(|bound| Some(degrees(bound)));
            in_unit(fault.value(degrees(value)).bounds(least, most), "°")
        }
        Of::Plain => plain(fault, ""),
    }
}

/// *Met* on a figure that reaches no part of what is asked: the figure, and the bound of the
/// part that it answers.
pub(crate) fn below(skill: &SkillId, measured: Measured, asked: &Measure, units: Units) -> Fault {
    let card = MeasureCard::of(asked, units);
    let given = MeasureCard::of(&with_bound(asked, measured.base()), units).bound;
    let bound = Some(card.bound.text);
    let (least, most) = match card.side {
        Side::AtLeast => (bound, None),
        Side::AtMost => (None, bound),
    };
    let fault = Fault::rule("below_requirement").of("measure").id(skill);
    let fault = fault.value(given.text).bounds(least, most);
    match card.of {
        Some(of) => fault.what(&of),
        None => in_unit(fault, card.bound.unit.symbol()),
    }
}

/// A figure that the field it was typed for cannot hold at all, with the widest bounds of its
/// kind.
pub(crate) fn beyond(kind: Kind, units: Units) -> Fault {
    between(Fault::rule("out_of_bounds"), kind, widest(kind), units)
}

/// The same of a figure that was measured for a skill.
pub(crate) fn beyond_measure(kind: MeasureKind, units: Units) -> Fault {
    let (kind, sample) = match kind {
        MeasureKind::Count => (Kind::Count, Measured::Count(0)),
        MeasureKind::Hold | MeasureKind::Within => (Kind::Seconds, Measured::Seconds(0)),
        MeasureKind::Distance | MeasureKind::Miss => (Kind::Way, Measured::Decimetres(0)),
        MeasureKind::DepthBand => (Kind::Depth, Measured::Centimetres(0)),
        MeasureKind::AscentRate => (Kind::Rate, Measured::CmPerMinute(0)),
        MeasureKind::Reading => (Kind::Count, Measured::Reading(0)),
    };
    let (_, most) = sample.most();
    let bounds = [0, i64::from(most)];
    between(Fault::rule("out_of_bounds"), kind, bounds, units)
}

/// A position on no map.
pub(crate) fn beyond_the_map() -> Fault {
    let fault = Fault::rule("out_of_bounds");
    fault
        .bounds(Some("-90 -180".to_owned()), Some("90 180".to_owned()))
        .what("°")
}

/// Rules with faults: how many, and of the first the rule and, for a figure, its bounds.
pub(crate) fn of_policy(faults: &[PolicyFault], units: Units) -> Fault {
    let fault = Fault::rule("policy").value(faults.len());
    match faults.first() {
        Some(PolicyFault::Figure {
            id,
            least,
            most,
            of_depth,
        }) => {
            let bounds = [i64::from(*least), i64::from(*most)];
            let fault = fault.id(id);
            if *of_depth {
                between(fault, Kind::Depth, bounds, units)
            } else {
                let [least, most] = bounds.map(|bound| Some(bound.to_string()));
                fault.bounds(least, most).what("fault")
            }
        }
        Some(
            PolicyFault::Twice { id }
            | PolicyFault::Clash { first: id, .. }
            | PolicyFault::NoSource { id }
            | PolicyFault::LongSource { id, .. }
            | PolicyFault::CapBelowOne { id, .. },
        ) => fault.what("fault").id(id),
        Some(PolicyFault::TooMany { .. } | PolicyFault::Edition | PolicyFault::Title { .. })
        | None => fault.what("fault"),
    }
}

impl Fault {
    /// A figure that the field it was typed for cannot hold: out of bounds, with the widest
    /// bounds of its kind in the unit that it is typed in.
    #[must_use]
    pub fn beyond(kind: FigureKind, units: crate::Units) -> Self {
        of_typed(kind, units).unwrap_or_else(|fault| fault)
    }
}

fn of_typed(kind: FigureKind, units: crate::Units) -> Result<Fault, Fault> {
    let (kind, units): (Kind, Units) = (kind.asked()?, units.asked()?);
    Ok(beyond(kind, units))
}

/// The bounds in the reader's unit: the outermost figures that can be typed and are kept.
fn between(fault: Fault, kind: Kind, [least, most]: [i64; 2], units: Units) -> Fault {
    let kept = |base: i64| {
        let text = kind.show(base, units).text;
        let read = kind.read(&text, units);
        let inside = read.is_ok_and(|read| (least..=most).contains(&read));
        inside.then_some(text)
    };
    let (from, to) = (
        (least..=most).find_map(kept),
        (least..=most).rev().find_map(kept),
    );
    in_unit(fault.bounds(from, to), kind.unit(units).symbol())
}

fn in_unit(fault: Fault, unit: &str) -> Fault {
    if unit.is_empty() {
        fault
    } else {
        fault.what(unit)
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
