//! Of a student: the calculator of the weight, with what is known of the student in it.

use tallywater_core::calc::unit::{Centimetres, Kilograms};
use tallywater_core::course::{BodyMeasures, CourseId, SessionId, StudentId, WaterKind as Kind};
use tallywater_core::desk;
use tallywater_core::view;

use super::parts::{cylinder_like, suit_like};
use super::sheet::Sheet;
use super::{Calculator, CalculatorForm, FieldGiven, FieldKey, FieldValue, OptionKey, worked_out};
use crate::calc::reckon::Given as _;
use crate::cross::{Asked as _, mirror};
use crate::{Fault, Figure, Receipt, StudentName, Tallywater, WaterKind, WeightRow};

mirror! {
    /// What is known before a student's next check in the water.
    shown record Weighting = view::WeightingView {
        student: StudentName,
        last: Option<WeightRow>,
        water: Option<WaterKind>,
        temperature: Option<Figure>,
        age: Option<u32>,
        height: Option<Figure>,
        mass: Option<Figure>,
    }
}

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
        let filled = filled(&known)?;
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
        let units = self.core_units();
        let (id, asked): (CourseId, StudentId) = (course.asked()?, student.clone().asked()?);
        let read = |field: &str, text: &str| {
            view::read_number(text, 1).ok_or_else(|| Fault::rule("not_a_number").of(field))
        };
        let height: Centimetres = read("body_height", &height)?.given(units);
        let mass: Kilograms = read("body_mass", &mass)?.given(units);
        let [shortest, tallest, lightest, heaviest] = [90.0, 230.0, 20.0, 200.0];
        let body = BodyMeasures {
            height_mm: whole(
                "body_height",
                height.0 * 10.0,
                [shortest * 10.0, tallest * 10.0],
            )?,
            weight_g: whole("body_mass", mass.0 * 1e3, [lightest * 1e3, heaviest * 1e3])?,
        };
        let known = self.desk.look(&id, units, |_, reader| {
            reader.people.students.get(&asked).cloned()
        })?;
        let mut details = known.ok_or_else(|| Fault::not_found("student", &student))?;
        details.body = Some(body);
        let recorded = self.desk.record(desk::Request::Amend {
            course: id,
            student: asked,
            details,
        })?;
        Ok(self.receipt(recorded))
    }
}

/// The whole number nearest to a figure within its bounds.
fn whole<T: TryFrom<u32>>(field: &str, figure: f64, [least, most]: [f64; 2]) -> Result<T, Fault> {
    let refused = || Fault::rule("out_of_bounds").of(field);
    if !(least - 0.5..=most + 0.5).contains(&figure) {
        return Err(refused());
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between the bounds, which are positive and small"
    )]
    let number = figure.round() as u32;
    T::try_from(number).map_err(|_| refused())
}

/// The fields that are known; of those a form does not ask nothing comes.
fn filled(known: &Weighting) -> Result<Vec<FieldGiven>, Fault> {
    let mut filled = Vec::new();
    let mut fill = |key, value| filled.push(FieldGiven { key, value });
    let typed = |figure: &Figure| FieldValue::Text {
        text: figure.text.clone(),
    };
    if let Some(last) = &known.last {
        fill(FieldKey::CheckedLead, typed(&last.lead));
        fill(FieldKey::CheckedPressure, typed(&last.pressure));
        fill(FieldKey::CheckedWater, water(&last.water)?);
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
    if let Some(kind) = &known.water {
        fill(FieldKey::Water, water(kind)?);
    }
    if let Some(temperature) = &known.temperature {
        fill(FieldKey::Temperature, typed(temperature));
        // Nobody notes how cold a check was: that of the water to come is as good.
        fill(FieldKey::CheckedTemperature, typed(temperature));
    }
    Ok(filled)
}

fn water(kind: &WaterKind) -> Result<FieldValue, Fault> {
    let option = match kind.clone().asked()? {
        Kind::Fresh => OptionKey::Fresh,
        Kind::Brackish => OptionKey::Brackish,
        Kind::Salt => OptionKey::OpenSea,
    };
    Ok(FieldValue::Choice { option })
}
