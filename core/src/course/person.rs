//! Person: a student's details. They live in the person's own ledger and nowhere else;
//! a course knows the student by id and by a digest of these details.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::{Sizes, clean_line};

/// What is known of a student: the least that serves.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PersonDetails {
    /// As the person writes it, in any script.
    pub name: String,
    /// Short form for a board and for calling out; the whole name when absent.
    #[serde(default)]
    pub called: Option<String>,
    /// The birth date, from which every rule about age is asked.
    #[serde(default)]
    pub born: Option<NaiveDate>,
    /// Where no birth date is kept: that a paper was seen which says that the person is of
    /// age.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub adult: Option<AdultSeen>,
    /// Telephone or e-mail.
    #[serde(default)]
    pub contact: Option<String>,
    /// Whom to call.
    #[serde(default)]
    pub emergency: Option<EmergencyContact>,
    /// Height and weight, once they were typed for a weight to begin with; absent, the entry is
    /// written as it was before they were kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub body: Option<BodyMeasures>,
    /// The sizes that the person wears, likewise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sizes: Option<Sizes>,
}

/// A person's height and weight, as they were typed.
#[derive(Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct BodyMeasures {
    /// Height, in millimetres.
    pub height_mm: u16,
    /// Weight without kit, in grams.
    pub weight_g: u32,
}

/// As for [`PersonDetails`].
impl std::fmt::Debug for BodyMeasures {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("BodyMeasures(..)")
    }
}

/// Somebody saw from a paper that a person is of age.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct AdultSeen {
    /// Who saw it, by name.
    pub by: String,
    /// On which day.
    pub on: NaiveDate,
}

/// What is known of a person's age.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AgeKnown {
    /// Neither a birth date nor that an identity was seen.
    Nothing,
    /// On this day somebody saw that the person is of age.
    Adult(NaiveDate),
    /// The birth date.
    Born(NaiveDate),
}

/// The age at which the law of most places calls a person grown: common practice, no
/// published source.
pub const OF_AGE: u8 = 18;

impl AgeKnown {
    /// Whether a person is under an age on a day; `None` where what is known does not say.
    ///
    /// A day before birth is under every age. Somebody seen to be of age was at least
    /// [`OF_AGE`] on the day it was seen, and nothing is known of the days before.
    pub fn under(self, age: u8, on: NaiveDate) -> Option<bool> {
        let at_least = match self {
            Self::Nothing => return None,
            Self::Born(born) => {
                return Some(age_on(born, on).is_none_or(|years| years < u32::from(age)));
            }
            Self::Adult(seen) => age_on(seen, on)?.saturating_add(u32::from(OF_AGE)),
        };
        (at_least >= u32::from(age)).then_some(false)
    }
}

impl PersonDetails {
    /// What is known of the age: the birth date before what somebody saw.
    pub fn age(&self) -> AgeKnown {
        match (self.born, &self.adult) {
            (Some(born), _) => AgeKnown::Born(born),
            (None, Some(seen)) => AgeKnown::Adult(seen.on),
            (None, None) => AgeKnown::Nothing,
        }
    }

    /// As they are kept: composed, and without what cannot be seen.
    #[must_use]
    pub fn cleaned(self) -> Self {
        let maybe = |text: Option<String>| text.as_deref().map(clean_line);
        Self {
            name: clean_line(&self.name),
            called: maybe(self.called),
            born: self.born,
            adult: self.adult.map(|seen| AdultSeen {
                by: clean_line(&seen.by),
                on: seen.on,
            }),
            contact: maybe(self.contact),
            emergency: self.emergency.map(|whom| EmergencyContact {
                name: clean_line(&whom.name),
                reach: clean_line(&whom.reach),
            }),
            body: self.body,
            sizes: self.sizes.map(Sizes::cleaned),
        }
    }
}

/// As for [`PersonDetails`].
impl std::fmt::Debug for AdultSeen {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("AdultSeen(..)")
    }
}

/// Whom to call in an emergency.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct EmergencyContact {
    /// The person's name.
    pub name: String,
    /// How to reach them.
    pub reach: String,
}

/// Written by hand so that a name cannot reach a log through `{:?}`.
impl std::fmt::Debug for PersonDetails {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("PersonDetails(..)")
    }
}

/// As for [`PersonDetails`].
impl std::fmt::Debug for EmergencyContact {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("EmergencyContact(..)")
    }
}

/// Years of age on a day; `None` if the day is before birth.
///
/// Someone born on 29 February turns a year older on 1 March of a common year: the later
/// day, so that a minor's rules never end early.
pub fn age_on(born: NaiveDate, day: NaiveDate) -> Option<u32> {
    use chrono::Datelike;
    let years = day.year().checked_sub(born.year())?;
    let turned = (day.month(), day.day()) >= (born.month(), born.day());
    u32::try_from(if turned { years } else { years - 1 }).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(y: i32, m: u32, d: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(y, m, d).unwrap()
    }

    #[test]
    fn age_turns_on_the_birthday_and_after_february_for_a_leap_day() {
        assert_eq!(age_on(day(2010, 6, 2), day(2026, 6, 1)), Some(15));
        assert_eq!(age_on(day(2010, 6, 2), day(2026, 6, 2)), Some(16));
        assert_eq!(age_on(day(2008, 2, 29), day(2026, 2, 28)), Some(17));
        assert_eq!(age_on(day(2008, 2, 29), day(2026, 3, 1)), Some(18));
        assert_eq!(age_on(day(2027, 1, 1), day(2026, 3, 1)), None);
    }

    #[test]
    fn what_is_known_of_an_age_answers_only_what_it_can() {
        let on = day(2026, 6, 2);
        assert_eq!(AgeKnown::Nothing.under(18, on), None);
        assert_eq!(AgeKnown::Born(day(2008, 6, 2)).under(18, on), Some(false));
        assert_eq!(AgeKnown::Born(day(2008, 6, 3)).under(18, on), Some(true));
        let adult = AgeKnown::Adult(day(2026, 6, 1));
        assert_eq!(adult.under(18, on), Some(false));
        assert_eq!(adult.under(21, on), None, "of age is not 21");
        assert_eq!(adult.under(21, day(2029, 6, 1)), Some(false));
        assert_eq!(adult.under(18, day(2026, 5, 31)), None, "not seen yet");
    }

    #[test]
    fn a_name_does_not_reach_a_debug_text() {
        let details = PersonDetails {
            name: "Ottilie Brandvoll".into(),
            called: None,
            born: None,
            adult: None,
            contact: None,
            emergency: None,
            body: None,
            sizes: None,
        };
        assert!(!format!("{details:?}").contains("Ottilie"));
    }
}
