//! Sheet: one calculator being filled in. A calculator asks its fields of the sheet one by
//! one and goes on with what it gets, so that the form and what is worked out from it are
//! one and the same list. A blank sheet answers with the values to begin with.

use tallywater_core::calc::unit::{
    Bar, Celsius, Centimetres, GaugeBar, Kilograms, LitresPerMinute, Metres, MetresPerMinute,
};
use tallywater_core::view;

use super::{CalculatorField, FieldGiven, FieldKey, FieldKind, FieldValue, OptionKey};
use crate::calc::reckon::Told as _;
use crate::{Fault, UnitOfMeasure, Units};

/// What is asked for, with the unit it is typed in: that of the typed functions.
#[derive(Debug, Clone, Copy)]
pub(super) enum Scale {
    Metres,
    Absolute,
    Gauge,
    Litres,
    Celsius,
    Kilograms,
    Centimetres,
    Millimetres,
    Breathing,
    Ascent,
    Minutes,
    Percent,
    Salinity,
    Count,
}

impl Scale {
    const fn unit(self, units: Units) -> UnitOfMeasure {
        use view::Units::{Imperial, Metric};
        match (self, units) {
            (Self::Metres, Metric) => UnitOfMeasure::Metre,
            (Self::Metres, Imperial) => UnitOfMeasure::Foot,
            (Self::Absolute | Self::Gauge, Metric) => UnitOfMeasure::Bar,
            (Self::Absolute | Self::Gauge, Imperial) => UnitOfMeasure::Psi,
            (Self::Litres, _) => UnitOfMeasure::Litre,
            (Self::Celsius, Metric) => UnitOfMeasure::Celsius,
            (Self::Celsius, Imperial) => UnitOfMeasure::Fahrenheit,
            (Self::Kilograms, Metric) => UnitOfMeasure::Kilogram,
            (Self::Kilograms, Imperial) => UnitOfMeasure::Pound,
            (Self::Centimetres, Metric) => UnitOfMeasure::Centimetre,
            (Self::Centimetres, Imperial) => UnitOfMeasure::Inch,
            (Self::Millimetres, _) => UnitOfMeasure::Millimetre,
            (Self::Breathing, Metric) => UnitOfMeasure::LitreMinute,
            (Self::Breathing, Imperial) => UnitOfMeasure::CubicFootMinute,
            (Self::Ascent, Metric) => UnitOfMeasure::MetreMinute,
            (Self::Ascent, Imperial) => UnitOfMeasure::FootMinute,
            (Self::Minutes, _) => UnitOfMeasure::Minute,
            (Self::Percent, _) => UnitOfMeasure::Percent,
            (Self::Salinity | Self::Count, _) => UnitOfMeasure::One,
        }
    }

    const fn decimals(self, units: Units) -> u32 {
        match (self, units) {
            (Self::Count, _) => 0,
            (Self::Absolute, Units::Metric) => 3,
            (Self::Breathing, Units::Imperial) => 2,
            _ => 1,
        }
    }

    /// A bound in the asked units, from its metric one.
    fn bound(self, metric: f64, units: Units) -> f64 {
        match self {
            Self::Metres => Metres(metric).told(units),
            Self::Absolute => Bar(metric).told(units),
            Self::Gauge => GaugeBar(metric).told(units),
            Self::Celsius => Celsius(metric).told(units),
            Self::Kilograms => Kilograms(metric).told(units),
            Self::Centimetres => Centimetres(metric).told(units),
            Self::Breathing => LitresPerMinute(metric).told(units),
            Self::Ascent => MetresPerMinute(metric).told(units),
            Self::Litres
            | Self::Millimetres
            | Self::Minutes
            | Self::Percent
            | Self::Salinity
            | Self::Count => metric,
        }
    }
}

/// What a figure begins with, in either system: each a round one of its own.
#[derive(Debug, Clone, Copy)]
pub(super) struct Start(pub(super) f64, pub(super) f64);

/// One calculator being filled in.
pub(super) struct Sheet<'a> {
    pub(super) units: Units,
    given: Option<&'a [FieldGiven]>,
    /// What is known already and stands in a blank form in place of what usually does.
    known: &'a [FieldGiven],
    pub(super) fields: Vec<CalculatorField>,
}

impl<'a> Sheet<'a> {
    /// Filled in with what was given, or blank.
    pub(super) fn new(units: Units, given: Option<&'a [FieldGiven]>) -> Result<Self, Fault> {
        Ok(Self {
            units,
            given,
            known: &[],
            fields: Vec::new(),
        })
    }

    /// A blank one in which `known` stands already, as it would be typed and chosen.
    pub(super) fn knowing(units: Units, known: &'a [FieldGiven]) -> Result<Self, Fault> {
        Ok(Self {
            known,
            ..Self::new(units, None)?
        })
    }

    /// A figure between two bounds, both included and metric, as a number of the asked units.
    pub(super) fn figure(
        &mut self,
        key: FieldKey,
        scale: Scale,
        bounds: [f64; 2],
        start: Start,
    ) -> Result<f64, Fault> {
        let start = match self.units {
            Units::Metric => start.0,
            Units::Imperial => start.1,
        };
        let typed = self.ask(key, scale, bounds, Some(start))?;
        Ok(typed.unwrap_or(start))
    }

    /// A figure that stands for nobody until it is typed: it begins empty, and empty it is
    /// refused. A blank sheet goes on with `instead`, which is never shown.
    pub(super) fn typed(
        &mut self,
        key: FieldKey,
        scale: Scale,
        bounds: [f64; 2],
        instead: Start,
    ) -> Result<f64, Fault> {
        let instead = match self.units {
            Units::Metric => instead.0,
            Units::Imperial => instead.1,
        };
        match self.ask(key, scale, bounds, None)? {
            Some(number) => Ok(number),
            None if self.given.is_none() => Ok(instead),
            None => Err(Fault::rule("type_first").of(key.word())),
        }
    }

    /// The same for how many.
    pub(super) fn typed_count(
        &mut self,
        key: FieldKey,
        [least, most]: [u32; 2],
        instead: u32,
    ) -> Result<u32, Fault> {
        let bounds = [f64::from(least), f64::from(most)];
        let instead = f64::from(instead);
        let number = self.typed(key, Scale::Count, bounds, Start(instead, instead))?;
        (least..=most)
            .find(|count| f64::from(*count) >= number)
            .ok_or_else(|| Fault::rule("not_a_number").of(key.word()))
    }

    /// A figure that may be left empty.
    pub(super) fn maybe(
        &mut self,
        key: FieldKey,
        scale: Scale,
        bounds: [f64; 2],
    ) -> Result<Option<f64>, Fault> {
        self.ask(key, scale, bounds, None)
    }

    /// What was typed; `None` on a blank sheet, and where it may be left empty and was.
    fn ask(
        &mut self,
        key: FieldKey,
        scale: Scale,
        [least, most]: [f64; 2],
        start: Option<f64>,
    ) -> Result<Option<f64>, Fault> {
        let decimals = scale.decimals(self.units);
        let lines = step(decimals);
        // Inwards, so that the bound as it is shown is one that can be typed.
        let least = (scale.bound(least, self.units) * lines - 1e-6).ceil() / lines;
        let most = (scale.bound(most, self.units) * lines + 1e-6).floor() / lines;
        let (least_text, most_text) = (text(least, decimals), text(most, decimals));
        let usual = start.map_or_else(String::new, |start| text(start, decimals));
        self.fields.push(CalculatorField {
            key,
            word: key.word().to_owned(),
            kind: FieldKind::Figure {
                unit: scale.unit(self.units),
                least: least_text.clone(),
                most: most_text.clone(),
                decimals,
                start: match self.known(key) {
                    Some(FieldValue::Text { text }) => text.clone(),
                    Some(FieldValue::Choice { .. }) | None => usual,
                },
            },
        });
        let Some(given) = self.given(key)? else {
            return Ok(None);
        };
        let unit = crate::unit_symbol(scale.unit(self.units))?;
        let refused = |rule| {
            let fault = Fault::rule(rule)
                .of(key.word())
                .bounds(Some(least_text.clone()), Some(most_text.clone()));
            if unit.is_empty() {
                fault
            } else {
                fault.what(&unit)
            }
        };
        let FieldValue::Text { text } = given else {
            return Err(refused("not_a_number"));
        };
        if start.is_none() && text.trim().is_empty() {
            return Ok(None);
        }
        let number = view::read_number(text, decimals).ok_or_else(|| refused("not_a_number"))?;
        if (least..=most).contains(&number) {
            Ok(Some(number))
        } else {
            Err(refused("out_of_bounds").value(text.trim()))
        }
    }

    fn known(&self, key: FieldKey) -> Option<&'a FieldValue> {
        let found = self.known.iter().find(|known| known.key == key);
        found.map(|known| &known.value)
    }

    /// A metric figure that is not asked for, as a number of the asked units.
    pub(super) fn number(&self, scale: Scale, metric: f64) -> f64 {
        scale.bound(metric, self.units)
    }

    /// How many, as a number.
    pub(super) fn count(
        &mut self,
        key: FieldKey,
        [least, most]: [u32; 2],
        start: u32,
    ) -> Result<u32, Fault> {
        let start = f64::from(start);
        let bounds = [f64::from(least), f64::from(most)];
        let number = self.figure(key, Scale::Count, bounds, Start(start, start))?;
        // Whole and within bounds that are counts.
        (least..=most)
            .find(|count| f64::from(*count) >= number)
            .ok_or_else(|| Fault::rule("not_a_number").of(key.word()))
    }

    /// One of a few.
    pub(super) fn choice<T: Clone>(
        &mut self,
        key: FieldKey,
        options: &[(OptionKey, T)],
        chosen: OptionKey,
    ) -> Result<T, Fault> {
        let place = |option| options.iter().position(|(offered, _)| *offered == option);
        let chosen = match self.known(key) {
            Some(FieldValue::Choice { option }) if place(*option).is_some() => *option,
            Some(FieldValue::Choice { .. } | FieldValue::Text { .. }) | None => chosen,
        };
        self.fields.push(CalculatorField {
            key,
            word: key.word().to_owned(),
            kind: FieldKind::Choice {
                options: options.iter().map(|(option, _)| *option).collect(),
                chosen: place(chosen)
                    .and_then(|place| u32::try_from(place).ok())
                    .unwrap_or(0),
            },
        });
        let refused = || Fault::rule("not_a_choice").of(key.word());
        let chosen = match self.given(key)? {
            None => chosen,
            Some(FieldValue::Choice { option }) => *option,
            Some(FieldValue::Text { text: _ }) => return Err(refused()),
        };
        let found = options.iter().find(|(offered, _)| *offered == chosen);
        found.map(|(_, value)| value.clone()).ok_or_else(refused)
    }

    /// `None` on a blank sheet; on a filled one every field is needed, once.
    fn given(&self, key: FieldKey) -> Result<Option<&'a FieldValue>, Fault> {
        let Some(given) = self.given else {
            return Ok(None);
        };
        let mut found = given.iter().filter(|field| field.key == key);
        match (found.next(), found.next()) {
            (Some(field), None) => Ok(Some(&field.value)),
            (None, _) => Err(Fault::rule("field_missing").of(key.word())),
            (Some(_), Some(_)) => Err(Fault::rule("field_twice").of(key.word())),
        }
    }

    /// Refuses what was given and nobody asked for.
    pub(super) fn all_asked(&self) -> Result<(), Fault> {
        let asked = |key| self.fields.iter().any(|field| field.key == key);
        let given = self.given.unwrap_or_default();
        match given.iter().find(|field| !asked(field.key)) {
            None => Ok(()),
            Some(field) => Err(Fault::rule("field_unknown").of(field.key.word())),
        }
    }
}

fn step(decimals: u32) -> f64 {
    (0..decimals).fold(1.0, |step, _| step * 10.0)
}

/// A bound or a start, without noughts that say nothing.
fn text(number: f64, decimals: u32) -> String {
    let places = usize::try_from(decimals).unwrap_or(0);
    // Adding zero turns a negative zero into a plain one.
    let text = format!("{:.places$}", number + 0.0);
    if places == 0 {
        return text;
    }
    let short = text.trim_end_matches('0').trim_end_matches('.');
    short.to_owned()
}
