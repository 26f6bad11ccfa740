//! Weighting: where a student's next check in the water begins: from the last figure that
//! was checked and held, as soon as there is one, and from an estimate before.

use super::gas::{bar, litres, water_density};
use super::{Reader, WeightRow};
use crate::calc::OutsideTable;
use crate::calc::cylinder::{CylinderSize, Metal, Mix, starter_sizes};
use crate::calc::lead::{LeadQuestion, LeadStart, OwnCheck, lead_start};
use crate::calc::suit::Suit;
use crate::calc::unit::{Celsius, Kilograms, Litres};
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
    /// Whether the suit of that check was taken to be the one that is asked of.
    pub same_suit: bool,
    /// Whether its cylinder was taken to be of the metal that is asked of.
    pub same_metal: bool,
}

/// What was worn at the last check, as a person reads it in the words of the record; what is
/// not said is taken to be as it is asked of now.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct WornThen {
    /// The suit.
    pub suit: Option<Suit>,
    /// What the cylinder was made of.
    pub metal: Option<Metal>,
}

impl WeightingView {
    /// For the dive to come, as asked. Suit and cylinder of the check are recorded in words,
    /// which stand in [`WeightingView::last`]: what they were a person says.
    ///
    /// # Errors
    /// Any part of the question or of the check outside its bounds.
    pub fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        student: &StudentId,
        question: &LeadQuestion,
        then: WornThen,
    ) -> Result<Self, OutsideTable> {
        let last = last_held(course, student);
        let own = last.and_then(|(_, check)| own_check(check, question, then));
        Ok(Self {
            start: lead_start(question, own.as_ref())?,
            same_suit: own.is_some() && then.suit.is_none(),
            same_metal: own.is_some() && then.metal.is_none(),
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

fn own_check(check: &WeightCheck, question: &LeadQuestion, then: WornThen) -> Option<OwnCheck> {
    // Nobody notes the temperature of a check: that of the dive to come is as good.
    let temperature: Celsius = question.temperature;
    Some(OwnCheck {
        lead: Kilograms(f64::from(check.lead_g) / 1_000.0),
        water: water_density(check.water, temperature)?,
        cylinder: worn(litres(check.capacity_dl), &question.cylinder, then.metal),
        mix: Mix::Air,
        pressure: bar(check.pressure_mbar),
        temperature,
        suit: then.suit.unwrap_or(question.suit),
        kit_mass: KIT,
    })
}

/// The cylinder of the check: the asked one where it is as big and of that metal, else the
/// nearest in size among those to begin with.
fn worn(capacity: Litres, asked: &CylinderSize, metal: Option<Metal>) -> CylinderSize {
    let metal = metal.unwrap_or(asked.metal);
    let apart = |size: &CylinderSize| (size.capacity.0 - capacity.0).abs();
    if apart(asked) < SAME_CYLINDER && metal == asked.metal {
        return *asked;
    }
    starter_sizes()
        .into_iter()
        .filter(|size| size.metal == metal)
        .min_by(|one, other| apart(one).total_cmp(&apart(other)))
        .unwrap_or(*asked)
}
