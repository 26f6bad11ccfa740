//! Person: a student's details. They live in the person's own ledger and nowhere else;
//! a course knows the student by id and by a digest of these details.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::clean_line;

/// What is known of a student: the least that serves.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PersonDetails {
    /// As the person writes it, in any script.
    pub name: String,
    /// Short form for a board and for calling out; the whole name when absent.
    #[serde(default)]
    pub called: Option<String>,
    /// Only where the course needs a minor's rules.
    #[serde(default)]
    pub born: Option<NaiveDate>,
    /// Telephone or e-mail.
    #[serde(default)]
    pub contact: Option<String>,
    /// Whom to call.
    #[serde(default)]
    pub emergency: Option<EmergencyContact>,
}

impl PersonDetails {
    /// As they are kept: composed, and without what cannot be seen.
    #[must_use]
    pub fn cleaned(self) -> Self {
        let maybe = |text: Option<String>| text.as_deref().map(clean_line);
        Self {
            name: clean_line(&self.name),
            called: maybe(self.called),
            born: self.born,
            contact: maybe(self.contact),
            emergency: self.emergency.map(|whom| EmergencyContact {
                name: clean_line(&whom.name),
                reach: clean_line(&whom.reach),
            }),
        }
    }
}

/// Whom to call in an emergency.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
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
    fn a_name_does_not_reach_a_debug_text() {
        let details = PersonDetails {
            name: "Ottilie Brandvoll".into(),
            called: None,
            born: None,
            contact: None,
            emergency: None,
        };
        assert!(!format!("{details:?}").contains("Ottilie"));
    }
}
