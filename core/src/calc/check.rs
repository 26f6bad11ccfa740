//! What each calculation has been checked against, outside this program, and how far it may
//! therefore be trusted. The checks themselves are tests (`tests/rust/published_values`); here
//! stands what a person is told of them.

use super::caution::Origin;
use super::source::Calculation;

/// How a calculation was checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum CheckedBy {
    /// Values that somebody else printed.
    PublishedValue,
    /// Values that somebody else's program worked out.
    ReferenceLibrary,
    /// The same by another formula, or by hand.
    SecondFormula,
    /// Values that somebody else printed, written down from memory: a person should open the
    /// book.
    Remembered,
}

/// One check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Check {
    /// How.
    pub by: CheckedBy,
    /// Against what.
    pub against: &'static str,
    /// The same in German.
    pub german: &'static str,
}

/// How far a figure may be trusted: the weakest thing that it rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Enum),
    uniffi(name = "FigureStanding")
)]
pub enum Standing {
    /// On published sources throughout, and checked against somebody else's values.
    Published,
    /// Checked, and common practice of the trade takes part that nobody published.
    Practice,
    /// Something in it was written down from memory and not read again: a person should open
    /// the source.
    FromMemory,
    /// Something in it is an estimate of our own.
    Estimate,
}

const fn check(by: CheckedBy, against: &'static str, german: &'static str) -> Check {
    Check {
        by,
        against,
        german,
    }
}

const fn printed(against: &'static str) -> Check {
    check(CheckedBy::PublishedValue, against, against)
}

const fn library(against: &'static str) -> Check {
    check(CheckedBy::ReferenceLibrary, against, against)
}

const fn remembered(against: &'static str) -> Check {
    check(CheckedBy::Remembered, against, against)
}

const fn second(against: &'static str, german: &'static str) -> Check {
    check(CheckedBy::SecondFormula, against, german)
}

impl Calculation {
    /// What it was checked against; never none.
    #[must_use]
    pub const fn checks(self) -> &'static [Check] {
        match self {
            Self::Water => {
                const {
                    &[
                        printed("UNESCO Technical Papers in Marine Science 44, 1983, p. 19"),
                        library("gsw 3.6.23 (TEOS-10)"),
                        remembered("Tanaka et al., Metrologia 38, 2001, p. 301"),
                    ]
                }
            }
            Self::Column => {
                const {
                    &[
                        library("gsw 3.6.23 (TEOS-10)"),
                        remembered("U.S. Navy Diving Manual, Revision 7, 2016, chapter 2 (33 fsw)"),
                    ]
                }
            }
            Self::Altitude => const { &[remembered("U.S. Standard Atmosphere 1976, table I")] },
            Self::Cylinder => {
                const {
                    &[
                        library("CoolProp 8.0.0"),
                        remembered(
                            "Perry's Chemical Engineers' Handbook, 6th edition, 1984, table 3-162",
                        ),
                    ]
                }
            }
            Self::CylinderBuoyancy => {
                const {
                    &[check(
                        CheckedBy::Remembered,
                        "a maker's printed buoyancy of an aluminium cylinder",
                        "der gedruckte Auftrieb einer Aluminiumflasche",
                    )]
                }
            }
            Self::Suit => {
                const {
                    &[
                        printed("Du Bois and Du Bois, 1916 (1.81 m²)"),
                        second("gas in foam by Boyle's law", "Gas im Schaum nach Boyle"),
                    ]
                }
            }
            Self::Lead => {
                const {
                    &[
                        library("gsw 3.6.23 (fresh to salt water)"),
                        second(
                            "the sum of the parts by hand",
                            "die Summe der Teile von Hand",
                        ),
                    ]
                }
            }
            Self::LeadDrop => {
                const {
                    &[second(
                        "the sum of the parts by hand",
                        "die Summe der Teile von Hand",
                    )]
                }
            }
            Self::Breathing => {
                const {
                    &[
                        remembered(
                            "U.S. Navy Diving Manual, Revision 7, 2016, chapters 2 and 7, worked examples",
                        ),
                        second("the rule of thumb by hand", "die Faustregel von Hand"),
                    ]
                }
            }
            Self::Reserve => {
                const {
                    &[second(
                        "leg by leg by hand",
                        "Abschnitt für Abschnitt von Hand",
                    )]
                }
            }
            Self::Turn => const { &[second("by hand", "von Hand")] },
            Self::Ascent => {
                const {
                    &[
                        printed("U.S. Navy Diving Manual, Revision 7 (30 ft/min)"),
                        second("distance by time", "Weg durch Zeit"),
                    ]
                }
            }
            Self::AscentCount => const { &[second("counted by hand", "von Hand gezählt")] },
            Self::NoStop => {
                const {
                    &[
                        printed(
                            "U.S. Navy Diving Manual, Revision 7, table 9-9 and its worked examples",
                        ),
                        second(
                            "sums over every cell of a table",
                            "Summen über jede Zelle einer Tabelle",
                        ),
                    ]
                }
            }
            Self::SecondOpinion => {
                const {
                    &[
                        library("dive-deco 6.1.2 (ZHL-16C)"),
                        remembered("Bühlmann 1986 air table"),
                    ]
                }
            }
            Self::Flying => {
                const {
                    &[
                        printed("U.S. Navy Diving Manual, Revision 7, table 9-6"),
                        printed("Flying After Recreational Diving, 2004"),
                    ]
                }
            }
            Self::Supervision => const { &[second("counted by hand", "von Hand gezählt")] },
            Self::Attempts => {
                const {
                    &[
                        library("statsmodels 0.15.0, lifelines 0.30.3"),
                        remembered("Cox and Oakes, Analysis of Survival Data, 1984"),
                    ]
                }
            }
            Self::ShareMet => {
                const {
                    &[
                        library("statsmodels 0.15.0"),
                        printed("Newcombe, Stat. Med. 17, 1998, p. 857"),
                    ]
                }
            }
            Self::Posterior => const { &[library("scipy 1.17.1")] },
            Self::Agreement => {
                const {
                    &[
                        library("statsmodels 0.15.0"),
                        remembered(
                            "Fleiss, Statistical Methods for Rates and Proportions, 2nd edition, 1981, p. 213",
                        ),
                    ]
                }
            }
            Self::Light => {
                const {
                    &[
                        remembered(
                            "Meeus, Astronomical Algorithms, 2nd edition, 1998, examples 25.a and 28.b",
                        ),
                        remembered(
                            "Almanac for Computers 1990, U.S. Naval Observatory, worked example",
                        ),
                    ]
                }
            }
        }
    }

    /// How far a figure of it may be trusted.
    ///
    /// ```
    /// use tallywater_core::calc::{check::Standing, source::Calculation};
    /// assert_eq!(Calculation::Flying.standing(), Standing::Published);
    /// assert_eq!(Calculation::Suit.standing(), Standing::Estimate);
    /// ```
    #[must_use]
    pub fn standing(self) -> Standing {
        let of = |origin| match origin {
            Origin::Published | Origin::OwnRecord | Origin::Typed => Standing::Published,
            Origin::CommonPractice => Standing::Practice,
            Origin::FromMemory => Standing::FromMemory,
            Origin::OwnEstimate => Standing::Estimate,
        };
        let sources = self.sources().iter();
        let weakest = sources.map(|source| of(source.origin)).max();
        let checked = self
            .checks()
            .iter()
            .any(|check| check.by != CheckedBy::Remembered);
        let check = if checked {
            Standing::Published
        } else {
            Standing::FromMemory
        };
        weakest.map_or(Standing::Estimate, |weakest| weakest.max(check))
    }

    /// Whether its table was typed from the printed manual and a person has still to hold the
    /// two side by side.
    #[must_use]
    pub const fn table_to_be_read(self) -> bool {
        matches!(self, Self::NoStop | Self::Flying)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_calculation_is_listed_once_with_a_source_and_a_check_in_both_languages() {
        let mut seen = std::collections::BTreeSet::new();
        for calculation in Calculation::ALL {
            assert!(seen.insert(calculation), "{calculation:?} twice");
            assert!(!calculation.sources().is_empty() && !calculation.checks().is_empty());
            for source in calculation.sources() {
                assert!(!source.german.is_empty());
                let said = matches!(source.origin, Origin::CommonPractice | Origin::OwnEstimate);
                assert_eq!(
                    said,
                    source.german != source.citation,
                    "{calculation:?}: {}",
                    source.citation
                );
            }
        }
        // A new calculation changes this figure, and with it the list.
        assert_eq!(seen.len(), 22);
    }

    #[test]
    fn what_rests_on_memory_or_an_estimate_never_stands_as_published() {
        for calculation in Calculation::ALL {
            let unread = calculation
                .checks()
                .iter()
                .all(|one| one.by == CheckedBy::Remembered);
            let weak = unread
                || calculation
                    .sources()
                    .iter()
                    .any(|source| source.origin != Origin::Published);
            assert_eq!(
                calculation.standing() != Standing::Published,
                weak,
                "{calculation:?}"
            );
        }
    }
}
