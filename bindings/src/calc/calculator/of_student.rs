//! Of a student: the calculator of the lead, with what is known of the student in it.

use tallywater_core::course::{SessionId, StudentId, WaterKind as Kind};
use tallywater_core::view;

use super::parts::cylinder_like;
use super::sheet::Sheet;
use super::{Calculator, CalculatorForm, FieldGiven, FieldKey, FieldValue, OptionKey, worked_out};
use crate::cross::{Asked as _, mirror};
use crate::{Fault, Figure, StudentName, Tallywater, WaterKind, WeightRow};

mirror! {
    /// What is known before a student's next check in the water.
    shown record Weighting = view::WeightingView {
        student: StudentName,
        last: Option<WeightRow>,
        water: Option<WaterKind>,
        temperature: Option<Figure>,
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
