//! What each calculation rests on, to be shown beside its answer: the short form of the
//! sources that the files' own heads give in full.

use super::caution::Origin;

/// A calculation of the job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
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
}

/// One source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// As it is cited.
    pub citation: &'static str,
    /// How far to trust what was taken from it.
    pub origin: Origin,
}

const fn published(citation: &'static str) -> Source {
    Source {
        citation,
        origin: Origin::Published,
    }
}

const fn memory(citation: &'static str) -> Source {
    Source {
        citation,
        origin: Origin::FromMemory,
    }
}

const fn practice(citation: &'static str) -> Source {
    Source {
        citation,
        origin: Origin::CommonPractice,
    }
}

const fn own(citation: &'static str) -> Source {
    Source {
        citation,
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
const ARCHIMEDES: Source = own("Archimedes' principle over the parts; their spread is an estimate");
const NAVY_7: Source =
    published("U.S. Navy Diving Manual, Revision 7, SS521-AG-PRO-010, 2016, chapter 7");
const NAVY_9: Source = published(
    "U.S. Navy Diving Manual, Revision 7, SS521-AG-PRO-010, 2016, chapter 9, tables 9-5 to 9-8",
);

impl Calculation {
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
                        own("density, coverage and wear of foam"),
                    ]
                }
            }
            Self::Lead => {
                const {
                    &[
                        own(
                            "Archimedes over body, suit, cylinder and water; the check in the water decides",
                        ),
                        published("Siri, Techniques for Measuring Body Composition, 1961, p. 223"),
                        memory("Quanjer et al., Eur. Respir. J. 6, Suppl. 16, 1993, p. 5"),
                    ]
                }
            }
            Self::LeadDrop => const { &[ARCHIMEDES] },
            Self::Breathing => {
                const { &[NAVY_7, AIR, practice("planning rates of 20 and 30 L/min")] }
            }
            Self::Reserve => {
                const {
                    &[
                        practice(
                            "every diver's stressed rate over reaction, ascent and stop; 50 bar floor",
                        ),
                        NAVY_7,
                    ]
                }
            }
            Self::Turn => const { &[practice("the reserve set aside first, the rest shared out")] },
            Self::Ascent => {
                const {
                    &[
                        published(
                            "U.S. Navy Diving Manual, Revision 7, 2016, chapter 9 (30 ft/min)",
                        ),
                        practice("a stop of 3 to 5 minutes at 3 to 6 m"),
                    ]
                }
            }
            Self::AscentCount => {
                const {
                    &[
                        practice("6 to 8 vertical ascents a day, deepest first"),
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
                        "the policy's own ceiling less the house's reductions; local law and the \
                 training organisation's standards come first",
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
        }
    }
}
