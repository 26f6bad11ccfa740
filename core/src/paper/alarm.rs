//! Alarm cards: what is done when something goes wrong in the water, in short steps. They are
//! for people who were trained for it: local procedures come first, and every card says so.

use super::words::{Language, Words};
use crate::course::Alarm;

/// One card.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct AlarmCard {
    /// For what.
    pub what: Alarm,
    /// Its head.
    pub title: String,
    /// What is done, in order.
    pub steps: Vec<String>,
    /// Where that comes from.
    pub source: String,
    /// What comes before all of it.
    pub caution: String,
}

/// Every card, in the order in which they are shown.
pub fn alarm_cards(language: Language) -> Vec<AlarmCard> {
    let words = language.words();
    Alarm::ALL.map(|what| card(what, words)).into()
}

fn card(what: Alarm, words: &Words) -> AlarmCard {
    let (title, steps) = said(what, words);
    let source = match what {
        Alarm::Unresponsive => words.alarm_breaths,
        Alarm::Injury => words.alarm_bubbles,
        Alarm::LostBuddy | Alarm::Panic | Alarm::Oxygen | Alarm::Recall => words.alarm_practice,
    };
    AlarmCard {
        what,
        title: title.to_owned(),
        steps: steps.map(str::to_owned).into(),
        source: source.to_owned(),
        caution: words.alarm_first.to_owned(),
    }
}

/// What a card is called.
pub(super) const fn title_of(what: Alarm, words: &Words) -> &'static str {
    said(what, words).0
}

const fn said(what: Alarm, words: &Words) -> (&'static str, [&'static str; 5]) {
    match what {
        Alarm::LostBuddy => (
            words.alarm_lost,
            [
                words.alarm_lost_1,
                words.alarm_lost_2,
                words.alarm_lost_3,
                words.alarm_lost_4,
                words.alarm_lost_5,
            ],
        ),
        Alarm::Panic => (
            words.alarm_panic,
            [
                words.alarm_panic_1,
                words.alarm_panic_2,
                words.alarm_panic_3,
                words.alarm_panic_4,
                words.alarm_panic_5,
            ],
        ),
        Alarm::Unresponsive => (
            words.alarm_unresponsive,
            [
                words.alarm_unresponsive_1,
                words.alarm_unresponsive_2,
                words.alarm_unresponsive_3,
                words.alarm_unresponsive_4,
                words.alarm_unresponsive_5,
            ],
        ),
        Alarm::Injury => (
            words.alarm_injury,
            [
                words.alarm_injury_1,
                words.alarm_injury_2,
                words.alarm_injury_3,
                words.alarm_injury_4,
                words.alarm_injury_5,
            ],
        ),
        Alarm::Oxygen => (
            words.alarm_oxygen,
            [
                words.alarm_oxygen_1,
                words.alarm_oxygen_2,
                words.alarm_oxygen_3,
                words.alarm_oxygen_4,
                words.alarm_oxygen_5,
            ],
        ),
        Alarm::Recall => (
            words.alarm_recall,
            [
                words.alarm_recall_1,
                words.alarm_recall_2,
                words.alarm_recall_3,
                words.alarm_recall_4,
                words.alarm_recall_5,
            ],
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_card_has_its_steps_a_source_and_the_caution_in_both_languages() {
        let (english, german) = (
            alarm_cards(Language::English),
            alarm_cards(Language::German),
        );
        assert_eq!(english.len(), Alarm::ALL.len());
        for (one, other) in english.iter().zip(&german) {
            assert_eq!(one.what, other.what);
            assert_eq!((one.steps.len(), other.steps.len()), (5, 5));
            assert_ne!(one.title, other.title);
            for (step, said) in one.steps.iter().zip(&other.steps) {
                assert!(!step.is_empty() && step != said, "{step}");
            }
            assert!(!one.source.is_empty() && one.source != other.source);
            assert!(one.caution.contains("come first"));
        }
    }
}
