//! Weighting: what is known before a student's next check in the water: the last figure that
//! was checked and held, which beats any estimate, and the water to be dived in.

use super::figure::Of;
use super::{Figure, Reader, StudentName, WeightRow};
use crate::calc::unit::{Centimetres, Kilograms, Measured as _};
use crate::course::{AgeKnown, SessionId, StudentId, WaterKind, WeightVerdict, age_on};
use crate::entry::{Body, Kind};
use crate::standing::{Counted, CourseStanding};

/// What is known before a student's next check.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record), uniffi(name = "Weighting"))]
pub struct WeightingView {
    /// Whose.
    pub student: StudentName,
    /// The last check that held; `None` where none has, and an estimate must do.
    pub last: Option<WeightRow>,
    /// The water of the session that is asked of.
    pub water: Option<WaterKind>,
    /// How cold it is, as far as that was planned.
    pub temperature: Option<Figure>,
    /// Years of age today, where the birth date is known here.
    pub age: Option<u32>,
    /// Height, where it was typed and kept with the student.
    pub height: Option<Figure>,
    /// Weight without kit, likewise.
    pub mass: Option<Figure>,
}

impl WeightingView {
    /// Before a student's check in a session, if one is given; `None` for nobody of the course.
    pub fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        student: &StudentId,
        session: Option<&SessionId>,
    ) -> Option<Self> {
        if !course.has_student(student) {
            return None;
        }
        let plan = session.and_then(|id| Some(&course.sessions().get(id)?.plan));
        let cold = plan.and_then(|plan| plan.water.temperature_dc);
        let details = reader.people.students.get(student);
        let body = details.and_then(|details| details.body);
        let shown = |amount| Figure::of(amount, reader.units);
        Some(Self {
            student: reader.student(student),
            last: last_held(course, student).and_then(|one| WeightRow::of(course, reader, one)),
            water: plan.map(|plan| plan.water.kind),
            temperature: cold.map(|dc| Of::Temperature.show(dc, reader.units)),
            // Of somebody who was seen to be grown no number of years is known.
            age: match reader.age(student) {
                AgeKnown::Born(born) => age_on(born, reader.today()),
                AgeKnown::Nothing | AgeKnown::Adult(_) => None,
            },
            height: body.map(|body| shown(Centimetres(f64::from(body.height_mm) / 10.0).amount())),
            mass: body.map(|body| shown(Kilograms(f64::from(body.weight_g) / 1_000.0).amount())),
        })
    }
}

/// The newest check of a student that held; one that was too heavy or too light is none.
pub(super) fn last_held<'a>(
    course: &'a CourseStanding,
    student: &StudentId,
) -> Option<&'a Counted> {
    let held = |one: &&Counted| {
        if let Body::WeightChecked(checked) = &one.entry.body {
            checked.student == *student && checked.check.verdict == WeightVerdict::Right
        } else {
            false
        }
    };
    course
        .of_kind(Kind::WeightChecked)
        .filter(held)
        .max_by_key(|one| (one.entry.at, one.entry.id))
}
