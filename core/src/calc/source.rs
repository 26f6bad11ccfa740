//! What each calculation rests on, to be shown beside its answer: the short form of the
//! sources that the files' own heads give in full.

use super::caution::Origin;

/// A calculation of the job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Calculation {
    /// Density of water.
    Water,
    /// Pressure under water.
    Column,
    /// Pressure of the air at an altitude.
    Altitude,
    /// What a cylinder holds.
    Cylinder,
    /// How it floats.
    CylinderBuoyancy,
    /// How a suit floats.
    Suit,
    /// Lead to begin with.
    Lead,
    /// Dropping it.
    LeadDrop,
    /// Breathing rate.
    Breathing,
    /// Minimum reserve.
    Reserve,
    /// Turn pressure.
    Turn,
    /// Ascent rate.
    Ascent,
    /// Ascents a day.
    AscentCount,
    /// No-stop limits and a day of dives.
    NoStop,
    /// The model beside the table.
    SecondOpinion,
    /// The wait before flying.
    Flying,
    /// Who may be in the water.
    Supervision,
    /// Tries until met.
    Attempts,
    /// A share met.
    ShareMet,
    /// What is believed after a few tries.
    Posterior,
    /// Agreement of two judges.
    Agreement,
    /// Sunrise, sunset and civil twilight.
    Light,
}

/// One source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// As it is cited; a practice or an estimate in an English half-sentence.
    pub citation: &'static str,
    /// The same in German; a title stays as it is printed.
    pub german: &'static str,
    /// How far to trust what was taken from it.
    pub origin: Origin,
}

const fn published(citation: &'static str) -> Source {
    Source {
        citation,
        german: citation,
        origin: Origin::Published,
    }
}

const fn memory(citation: &'static str) -> Source {
    Source {
        citation,
        german: citation,
        origin: Origin::FromMemory,
    }
}

const fn practice(citation: &'static str, german: &'static str) -> Source {
    Source {
        citation,
        german,
        origin: Origin::CommonPractice,
    }
}

const fn own(citation: &'static str, german: &'static str) -> Source {
    Source {
        citation,
        german,
        origin: Origin::OwnEstimate,
    }
}

const EOS80: Source = published(
    "Millero and Poisson, Deep-Sea Research 28A, 1981, p. 625 (EOS-80); \
     UNESCO Technical Papers in Marine Science 44, 1983",
);
const SALINITY: Source = memory("World Ocean Atlas 2018, volume 2: Salinity, NOAA Atlas NESDIS 82");
const AIR: Source =
    published("Lemmon, Jacobsen, Penoncello and Friend, J. Phys. Chem. Ref. Data 29, 2000, p. 331");
const NITROX: Source = published("Kunz and Wagner, J. Chem. Eng. Data 57, 2012, p. 3032");
const ARCHIMEDES: Source = own(
    "Archimedes' principle over the parts; their spread is an estimate",
    "Archimedes über die Teile; ihre Spanne ist geschätzt",
);
const NAVY_7: Source =
    published("U.S. Navy Diving Manual, Revision 7, SS521-AG-PRO-010, 2016, chapter 7");
const NAVY_9: Source = published(
    "U.S. Navy Diving Manual, Revision 7, SS521-AG-PRO-010, 2016, chapter 9, tables 9-5 to 9-8",
);

impl Calculation {
    /// Every one, in the order in which a page lists them.
    pub const ALL: [Self; 22] = [
        Self::NoStop,
        Self::SecondOpinion,
        Self::Flying,
        Self::Breathing,
        Self::Reserve,
        Self::Turn,
        Self::Cylinder,
        Self::CylinderBuoyancy,
        Self::Suit,
        Self::Lead,
        Self::LeadDrop,
        Self::Ascent,
        Self::AscentCount,
        Self::Supervision,
        Self::Water,
        Self::Column,
        Self::Altitude,
        Self::Attempts,
        Self::ShareMet,
        Self::Posterior,
        Self::Agreement,
        Self::Light,
    ];

    /// Its sources, the weightiest first; never none.
    ///
    /// ```
    /// use tallywater_core::calc::source::Calculation;
    /// assert!(Calculation::NoStop.sources()[0].citation.contains("Revision 7"));
    /// ```
    #[must_use]
    pub const fn sources(self) -> &'static [Source] {
        match self {
            Self::Water => const { &[EOS80, SALINITY] },
            Self::Column => {
                const {
                    &[
                        published(
                            "3rd General Conference on Weights and Measures, 1901 (standard gravity)",
                        ),
                        EOS80,
                    ]
                }
            }
            Self::Altitude => {
                const {
                    &[published(
                        "Manual of the ICAO Standard Atmosphere, Doc 7488, 3rd edition, 1993",
                    )]
                }
            }
            Self::Cylinder => const { &[AIR, NITROX] },
            Self::CylinderBuoyancy => {
                const {
                    &[
                        published("ASM Handbook, volume 2, 1990 (densities of metals)"),
                        AIR,
                        ARCHIMEDES,
                    ]
                }
            }
            Self::Suit => {
                const {
                    &[
                        published("Du Bois and Du Bois, Arch. Intern. Med. 17, 1916, p. 863"),
                        memory("Bardy, Mollendorf and Pendergast, J. Phys. D 38, 2005, p. 3832"),
                        own(
                            "density, coverage and wear of foam",
                            "Dichte, Bedeckung und Abnutzung des Schaums",
                        ),
                    ]
                }
            }
            Self::Lead => {
                const {
                    &[
                        own(
                            "Archimedes over body, suit, cylinder and water; the check in the water decides",
                            "Archimedes über Körper, Anzug, Flasche und Wasser; die Prüfung im Wasser entscheidet",
                        ),
                        published("Siri, Techniques for Measuring Body Composition, 1961, p. 223"),
                        memory("Quanjer et al., Eur. Respir. J. 6, Suppl. 16, 1993, p. 5"),
                    ]
                }
            }
            Self::LeadDrop => const { &[ARCHIMEDES] },
            Self::Breathing => {
                const {
                    &[
                        NAVY_7,
                        AIR,
                        practice(
                            "planning rates of 20 and 30 L/min",
                            "Planungswerte von 20 und 30 L/min",
                        ),
                    ]
                }
            }
            Self::Reserve => {
                const {
                    &[
                        practice(
                            "every diver's stressed rate over reaction, ascent and stop; 50 bar floor",
                            "der Verbrauch jedes Tauchers unter Stress über Reaktion, Aufstieg und Stopp; mindestens 50 bar",
                        ),
                        NAVY_7,
                    ]
                }
            }
            Self::Turn => {
                const {
                    &[practice(
                        "the reserve set aside first, the rest shared out",
                        "die Reserve zuerst abgezogen, der Rest geteilt",
                    )]
                }
            }
            Self::Ascent => {
                const {
                    &[
                        published(
                            "U.S. Navy Diving Manual, Revision 7, 2016, chapter 9 (30 ft/min)",
                        ),
                        practice(
                            "a stop of 3 to 5 minutes at 3 to 6 m",
                            "ein Stopp von 3 bis 5 Minuten auf 3 bis 6 m",
                        ),
                    ]
                }
            }
            Self::AscentCount => {
                const {
                    &[
                        practice(
                            "6 to 8 vertical ascents a day, deepest first",
                            "6 bis 8 Aufstiege am Tag, der tiefste zuerst",
                        ),
                        published("Denoble et al., Undersea Hyperb. Med. 35, 2008, p. 393"),
                    ]
                }
            }
            Self::NoStop => const { &[NAVY_9] },
            Self::SecondOpinion => {
                const {
                    &[
                        memory(
                            "Bühlmann, Völlm and Nussberger, Tauchmedizin, 5th edition, 2002 (ZH-L16C)",
                        ),
                        published("Baker, Understanding M-values, 1998 (gradient factors)"),
                        NAVY_9,
                    ]
                }
            }
            Self::Flying => {
                const {
                    &[
                        published("Flying After Recreational Diving, workshop proceedings, 2004"),
                        published("U.S. Navy Diving Manual, Revision 7, 2016, table 9-6"),
                    ]
                }
            }
            Self::Supervision => {
                const {
                    &[practice(
                        "the school's own ceiling less its reductions; local law and the \
                         training organisation's standards come first",
                        "die eigene Obergrenze der Schule, weniger ihre Abzüge; örtliches Recht und die \
                         Vorgaben der Ausbildungsorganisation gehen vor",
                    )]
                }
            }
            Self::Attempts => {
                const {
                    &[
                        published("Kaplan and Meier, J. Am. Stat. Assoc. 53, 1958, p. 457"),
                        published("Brookmeyer and Crowley, Biometrics 38, 1982, p. 29"),
                    ]
                }
            }
            Self::ShareMet => {
                const {
                    &[
                        published("Wilson, J. Am. Stat. Assoc. 22, 1927, p. 209"),
                        published("Newcombe, Stat. Med. 17, 1998, p. 857"),
                    ]
                }
            }
            Self::Posterior => {
                const {
                    &[published(
                        "Gelman et al., Bayesian Data Analysis, 3rd edition, 2013, section 2.4",
                    )]
                }
            }
            Self::Agreement => {
                const {
                    &[
                        published("Cohen, Educ. Psychol. Meas. 20, 1960, p. 37"),
                        published("Fleiss, Cohen and Everitt, Psychol. Bull. 72, 1969, p. 323"),
                    ]
                }
            }
            Self::Light => {
                const {
                    &[memory(
                        "Meeus, Astronomical Algorithms, 2nd edition, 1998, chapters 15, 25 and 28",
                    )]
                }
            }
        }
    }
}
