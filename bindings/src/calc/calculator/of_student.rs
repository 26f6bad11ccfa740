//! Of a student: the calculator of the weight, with what is known of the student in it.

use tallywater_core::calc::unit::{Centimetres, Kilograms};
use tallywater_core::course::{BodyMeasures, CourseId, SessionId, StudentId};
use tallywater_core::desk;
use tallywater_core::entry::within;
use tallywater_core::view;

use super::parts::{cylinder_like, suit_like};
use super::sheet::{Scale, Sheet, Start};
use super::{Calculator, CalculatorForm, FieldGiven, FieldKey, FieldValue, OptionKey, worked_out};
use crate::calc::reckon::Given as _;
use crate::cross::Asked as _;
use crate::{Fault, Figure, Receipt, Tallywater, WaterKind, Weighting};

/// The lead calculator, filled in as far as the student's own record goes.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct LeadForm {
    /// What is known.
    pub known: Weighting,
    /// [`Calculator::LeadChange`] with the student's last check that held in it, and as soon
    /// as there is one nothing else; [`Calculator::LeadStart`] before.
    pub form: CalculatorForm,
}

#[uniffi::export]
impl Tallywater {
    /// Where a student's next check in the water begins: the form to fill in for it, in the
    /// water of a session where one is given. What the student wore at the last check is
    /// recorded in words: size and metal of its cylinder are the nearest to them, and a person
    /// looks at them.
    pub fn lead_form(
        &self,
        course: String,
        student: String,
        session: Option<String>,
    ) -> Result<LeadForm, Fault> {
        let (id, session): (StudentId, Option<SessionId>) =
            (student.clone().asked()?, session.asked()?);
        let known: Weighting = self.find(&course, ("student", &student), |course, reader| {
            view::WeightingView::of(course, reader, &id, session.as_ref())
        })?;
        let calculator = if known.last.is_some() {
            Calculator::LeadChange
        } else {
            Calculator::LeadStart
        };
        let filled = filled(&known);
        let mut sheet = Sheet::knowing(self.units(), &filled)?;
        worked_out(calculator, &mut sheet)?;
        Ok(LeadForm {
            form: CalculatorForm {
                calculator,
                fields: sheet.fields,
            },
            known,
        })
    }

    /// Keeps a student's height and weight, as they were typed, with the student's own details,
    /// where they are dropped when the person is forgotten. Whoever may change the details may.
    pub fn keep_body(
        &self,
        course: String,
        student: String,
        height: String,
        mass: String,
    ) -> Result<Receipt, Fault> {
        let units = self.units();
        let (id, asked): (CourseId, StudentId) = (course.asked()?, student.clone().asked()?);
        let body = body(self.units(), height, mass)?;
        let known = self.desk.look(&id, units, |_, reader| {
            reader.people.students.get(&asked).cloned()
        })?;
        let mut details = known.ok_or_else(|| Fault::not_found("student", &student))?;
        details.body = Some(body);
        let recorded = self.desk.record(desk::Request::Amend {
            course: id,
            student: asked,
            details,
        });
        Ok(self.receipt(recorded.map_err(|error| self.refused(error))?))
    }
}

/// Height and weight as they were typed, within what a person's details may hold. A form of two
/// fields is filled in, so that what is refused names its bounds as every calculator does.
fn body(units: crate::Units, height: String, mass: String) -> Result<BodyMeasures, Fault> {
    let given = [(FieldKey::BodyHeight, height), (FieldKey::BodyMass, mass)].map(|(key, text)| {
        let value = FieldValue::Text { text };
        FieldGiven { key, value }
    });
    let mut sheet = Sheet::new(units, Some(given.as_slice()))?;
    // Nothing is begun with: a field that is left empty is refused.
    let none = Start(0.0, 0.0);
    let bounds = metric(within::BODY_HEIGHT, 10.0);
    let height = sheet.typed(FieldKey::BodyHeight, Scale::Centimetres, bounds, none)?;
    let bounds = metric(within::BODY_WEIGHT, 1e3);
    let mass = sheet.typed(FieldKey::BodyMass, Scale::Kilograms, bounds, none)?;
    let (height, mass): (Centimetres, Kilograms) = (height.given(units), mass.given(units));
    Ok(BodyMeasures {
        // Within the bounds it fits; what did not would be refused when it is recorded.
        height_mm: u16::try_from(whole(height.0 * 10.0)).unwrap_or(u16::MAX),
        weight_g: whole(mass.0 * 1e3),
    })
}

/// Bounds in base units as ones in the unit of a calculation.
fn metric(bounds: [i64; 2], each: f64) -> [f64; 2] {
    bounds.map(|bound| f64::from(i32::try_from(bound).unwrap_or(i32::MAX)) / each)
}

/// The whole number nearest to a figure that is within its bounds.
fn whole(figure: f64) -> u32 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between bounds that are positive and small"
    )]
    let number = figure.round() as u32;
    number
}

/// The fields that are known; of those a form does not ask nothing comes.
fn filled(known: &Weighting) -> Vec<FieldGiven> {
    let mut filled = Vec::new();
    let mut fill = |key, value| filled.push(FieldGiven { key, value });
    let typed = |figure: &Figure| FieldValue::Text {
        text: figure.text.clone(),
    };
    if let Some(last) = &known.last {
        fill(FieldKey::CheckedLead, typed(&last.lead));
        fill(FieldKey::CheckedPressure, typed(&last.pressure));
        fill(FieldKey::CheckedWater, water(last.water));
        let worn = cylinder_like(&last.capacity.text, &last.cylinder);
        if let Some(option) = worn {
            fill(FieldKey::CheckedCylinder, FieldValue::Choice { option });
            fill(FieldKey::Cylinder, FieldValue::Choice { option });
        }
        if let Some((option, millimetres)) = suit_like(&last.suit) {
            fill(FieldKey::CheckedSuitKind, FieldValue::Choice { option });
            fill(FieldKey::SuitKind, FieldValue::Choice { option });
            if let Some(text) = millimetres {
                fill(
                    FieldKey::CheckedSuitThickness,
                    FieldValue::Text { text: text.clone() },
                );
                fill(FieldKey::SuitThickness, FieldValue::Text { text });
            }
        }
    }
    if let Some(age) = known.age {
        let text = age.to_string();
        fill(FieldKey::Age, FieldValue::Text { text });
    }
    for (key, figure) in [
        (FieldKey::BodyHeight, &known.height),
        (FieldKey::BodyMass, &known.mass),
    ] {
        if let Some(figure) = figure {
            fill(key, typed(figure));
        }
    }
    if let Some(kind) = known.water {
        fill(FieldKey::Water, water(kind));
    }
    if let Some(temperature) = &known.temperature {
        fill(FieldKey::Temperature, typed(temperature));
        // Nobody notes how cold a check was: that of the water to come is as good.
        fill(FieldKey::CheckedTemperature, typed(temperature));
    }
    filled
}

fn water(kind: WaterKind) -> FieldValue {
    let option = match kind {
        WaterKind::Fresh => OptionKey::Fresh,
        WaterKind::Brackish => OptionKey::Brackish,
        WaterKind::Salt => OptionKey::OpenSea,
    };
    FieldValue::Choice { option }
}
