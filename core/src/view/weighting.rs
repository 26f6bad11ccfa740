//! Weighting: where a student's next check in the water begins: from the last figure that
//! was checked and held, as soon as there is one, and from an estimate before.

use super::gas::column;
use super::{Reader, WeightRow};
use crate::calc::OutsideTable;
use crate::calc::cylinder::{CylinderSize, Mix, starter_sizes};
use crate::calc::lead::{LeadQuestion, LeadStart, OwnCheck, lead_start};
use crate::calc::unit::{Celsius, GaugeBar, Kilograms, Litres};
use crate::course::{StudentId, WeightCheck, WeightVerdict};
use crate::entry::{Body, Kind};
use crate::standing::{Counted, CourseStanding};

/// Suit, jacket, regulator and fins together, dry: a guess is enough for what it is used for.
const KIT: Kilograms = Kilograms(8.0);
/// Closer than this is the same cylinder, said in round litres.
const SAME_CYLINDER: f64 = 0.5; // L

/// Where the next check begins.
#[derive(Debug, Clone, PartialEq)]
pub struct WeightingView {
    /// The last check that held; `None` where none has, and then the start is an estimate.
    pub last: Option<WeightRow>,
    /// Where to begin: never an answer.
    pub start: LeadStart,
}

impl WeightingView {
    /// For the dive to come, as asked. The suit is taken to be the one of the check and the
    /// cylinder of the check to be of the metal that is asked of: both are recorded in words,
    /// and stand in [`WeightingView::last`] for a person to compare.
    ///
    /// # Errors
    /// Any part of the question or of the check outside its bounds.
    pub fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        student: &StudentId,
        question: &LeadQuestion,
    ) -> Result<Self, OutsideTable> {
        let last = last_held(course, student);
        let own = last.and_then(|(_, check)| own_check(check, question));
        Ok(Self {
            start: lead_start(question, own.as_ref())?,
            last: own
                .and(last)
                .and_then(|(one, _)| WeightRow::of(course, reader, one)),
        })
    }
}

/// The newest check of a student that held; one that was too heavy or too light is none.
fn last_held<'a>(
    course: &'a CourseStanding,
    student: &StudentId,
) -> Option<(&'a Counted, &'a WeightCheck)> {
    course
        .of_kind(Kind::WeightChecked)
        .filter_map(|one| {
            if let Body::WeightChecked(checked) = &one.entry.body {
                (checked.student == *student).then_some((one, &checked.check))
            } else {
                None
            }
        })
        .filter(|(_, check)| check.verdict == WeightVerdict::Right)
        .max_by_key(|(one, _)| (one.entry.at, one.entry.id))
}

fn own_check(check: &WeightCheck, question: &LeadQuestion) -> Option<OwnCheck> {
    // Nobody notes the temperature of a check: that of the dive to come is as good.
    let temperature: Celsius = question.temperature;
    Some(OwnCheck {
        lead: Kilograms(f64::from(check.lead_g) / 1_000.0),
        water: column(check.water, temperature)?.density,
        cylinder: worn(
            Litres(f64::from(check.capacity_dl) / 10.0),
            &question.cylinder,
        ),
        mix: Mix::Air,
        pressure: GaugeBar(f64::from(check.pressure_mbar) / 1_000.0),
        temperature,
        suit: question.suit,
        kit_mass: KIT,
    })
}

/// The cylinder of the check: the asked one where it is as big, else the nearest in size
/// among those to begin with.
fn worn(capacity: Litres, asked: &CylinderSize) -> CylinderSize {
    let apart = |size: &CylinderSize| (size.capacity.0 - capacity.0).abs();
    if apart(asked) < SAME_CYLINDER {
        return *asked;
    }
    starter_sizes()
        .into_iter()
        .filter(|size| size.metal == asked.metal)
        .min_by(|one, other| apart(one).total_cmp(&apart(other)))
        .unwrap_or(*asked)
}
