//! Outline: the list of skills a course follows, with what each demands.
//!
//! A course adopts its outline by value, so nothing here points outside itself. Whether
//! an outline is sound is asked of [`Outline::faults`](super::outline_check).

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::{BlockId, ClearanceKind, MethodId, Setting, SkillId, SkillRun, SlipId};

/// The skills of a course and the sessions that usually carry them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Outline {
    /// What it is called: "First dives".
    pub title: String,
    /// Raised by one with each adaptation, from 1.
    pub edition: u32,
    /// Where it comes from, in words; who answers for it.
    pub source: String,
    /// In teaching order.
    pub skills: Vec<Skill>,
    /// The usual sessions, in order.
    pub blocks: Vec<Block>,
}

impl Outline {
    /// The skill with this id, if the outline has it.
    pub fn skill(&self, id: &SkillId) -> Option<&Skill> {
        self.skills.iter().find(|skill| &skill.id == id)
    }
}

/// One skill: what must be shown, and how to brief and judge it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Skill {
    /// Its id within the outline; never reused for another skill.
    pub id: SkillId,
    /// Its name on a board's column: short.
    pub name: String,
    /// The family it is shown with.
    pub family: Family,
    /// Where it may be shown at all.
    pub settings: BTreeSet<Setting>,
    /// What should be met first.
    #[serde(default)]
    pub needs: Vec<SkillId>,
    /// What must be shown.
    pub requirement: Requirement,
    /// Ways of doing it; empty when there is one.
    #[serde(default)]
    pub methods: Vec<Method>,
    /// Whether one method is enough.
    #[serde(default)]
    pub methods_needed: MethodsNeeded,
    /// How often, in how many sessions, and where it must be met.
    #[serde(default)]
    pub demand: Demand,
    /// Briefing cues, in the order they are said.
    pub cues: Vec<String>,
    /// Common faults, each with its correction.
    pub slips: Vec<Slip>,
    /// What can hurt, and what the judge watches.
    #[serde(default)]
    pub caution: Option<String>,
    /// Whether a try of it can hurt someone: then `caution` must be there.
    #[serde(default)]
    pub hazard: bool,
    /// Minutes one try takes, from quick to slow.
    pub minutes: MinuteRange,
    /// How it is run in a session.
    #[serde(default, skip_serializing_if = "SkillRun::is_unsaid")]
    pub run: SkillRun,
    /// Whether completion needs it; an optional skill is shown and never a gap.
    #[serde(default = "yes")]
    pub required: bool,
    /// The test before water that this skill is: then it is met here, on the board, and
    /// recorded nowhere else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub proves: Option<ClearanceKind>,
}

impl Outline {
    /// The skill that is a test before water, where one is; the first of them counts.
    pub fn proving(&self, what: ClearanceKind) -> Option<&Skill> {
        self.skills.iter().find(|skill| skill.proves == Some(what))
    }
}

impl Skill {
    /// The methods each of which must be met; none where one of them is enough.
    pub fn methods_asked(&self) -> impl Iterator<Item = &Method> {
        let all = self.methods_needed == MethodsNeeded::All;
        self.methods
            .iter()
            .filter(move |method| all && method.required)
    }
}

/// Where the texts of an outline are, written once for who reads them and for who puts them in
/// another language: a text on one list alone would stay in the language of its course.
macro_rules! each_text {
    ($each:ident, $iter:ident $(, $how:tt)?) => {
        impl Outline {
            /// Hands over every text that a person reads, one after the other; not ids and figures.
            pub(crate) fn $each(&$($how)? self, hear: &mut dyn FnMut(&$($how)? String)) {
                hear(&$($how)? self.title);
                hear(&$($how)? self.source);
                for skill in &$($how)? self.skills {
                    skill.$each(hear);
                }
                for block in &$($how)? self.blocks {
                    hear(&$($how)? block.title);
                }
            }
        }

        impl Skill {
            fn $each(&$($how)? self, hear: &mut dyn FnMut(&$($how)? String)) {
                hear(&$($how)? self.name);
                hear(&$($how)? self.requirement.says);
                for measure in &$($how)? self.requirement.measures {
                    match measure {
                        Measure::Count { at_least: _, of } => hear(of),
                        Measure::Reading { at_most: _, unit } => hear(unit),
                        Measure::Hold { .. }
                        | Measure::Within { .. }
                        | Measure::Distance { .. }
                        | Measure::DepthBand { .. }
                        | Measure::AscentRate { .. }
                        | Measure::Miss { .. } => {}
                    }
                }
                for method in &$($how)? self.methods {
                    hear(&$($how)? method.name);
                    method.cues.$iter().for_each(&mut *hear);
                }
                self.cues.$iter().for_each(&mut *hear);
                for slip in &$($how)? self.slips {
                    hear(&$($how)? slip.fault);
                    hear(&$($how)? slip.fix);
                }
                self.caution.$iter().for_each(&mut *hear);
            }
        }
    };
}

each_text!(each_text, iter);
each_text!(each_text_mut, iter_mut, mut);

const fn yes() -> bool {
    true
}

/// The families a board groups its columns by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Family {
    /// Swimming and floating without a unit.
    Watermanship,
    /// Assembling, checking and caring for the unit.
    Equipment,
    /// Into and out of the water.
    EntryExit,
    /// At the surface, in the unit.
    Surface,
    /// Regulator clearing and recovery.
    Regulator,
    /// Mask skills.
    Mask,
    /// Weighting, hovering, trim.
    Buoyancy,
    /// Fin kicks.
    Propulsion,
    /// Going down and coming up.
    DescentAscent,
    /// Sharing gas and other gas trouble.
    GasEmergency,
    /// Compass and line.
    Navigation,
    /// Planning, partner contact, gauges, signals.
    Awareness,
    /// Helping another diver.
    Assist,
}

/// What must be shown: a sentence, and the figures in it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Requirement {
    /// In words, as it is read to a student.
    pub says: String,
    /// The measurable parts; never empty in a sound outline.
    pub measures: Vec<Measure>,
}

/// One measurable part of a requirement. Integer base units, so that two devices always
/// agree: seconds, decimetres, centimetres of depth.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "is")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Measure {
    /// So many times, steps or items, without a miss.
    Count {
        /// At least this many.
        at_least: u32,
        /// Of what, in words: "clears in a row".
        of: String,
    },
    /// It must last.
    Hold {
        /// At least this long, in seconds.
        seconds: u32,
    },
    /// It must be quick.
    Within {
        /// At most this long, in seconds.
        seconds: u32,
    },
    /// It must go this far.
    Distance {
        /// At least this far, in decimetres.
        decimetres: u32,
    },
    /// Depth must stay inside a band.
    DepthBand {
        /// Allowed either side, in centimetres.
        plus_minus_cm: u32,
    },
    /// Not faster than this, upwards.
    AscentRate {
        /// At most this, in centimetres a minute.
        cm_per_minute: u32,
    },
    /// How far off the target the end may be.
    Miss {
        /// At most this, in decimetres.
        decimetres: u32,
    },
    /// A body or gauge angle, or a pressure, or another figure read off and compared.
    Reading {
        /// The largest difference allowed, in the unit named.
        at_most: u32,
        /// The unit, in words: "degrees off level", "bar".
        unit: String,
    },
}

/// One way of doing a skill.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Method {
    /// Its id within the skill.
    pub id: MethodId,
    /// Its name: "purge button".
    pub name: String,
    /// Cues of its own, beside those of the skill.
    #[serde(default)]
    pub cues: Vec<String>,
    /// Whether [`MethodsNeeded::All`] asks for it. An optional one depends on the kit worn,
    /// such as a long hose: it is shown, may be marked, and is never a gap.
    #[serde(default = "yes")]
    pub required: bool,
}

/// Whether a student shows one method of a skill or all of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum MethodsNeeded {
    /// One of them is enough.
    #[default]
    Any,
    /// Each must be met, save those that depend on the kit ([`Method::required`]).
    All,
}

/// How often, in how many sessions and where a skill must be met. Default: once, anywhere
/// it may be shown.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Demand {
    /// How many tries must be met.
    #[serde(default = "one")]
    pub times: u8,
    /// In how many different sessions.
    #[serde(default = "one")]
    pub sessions: u8,
    /// Settings in each of which it must be met at least once.
    #[serde(default)]
    pub each_of: BTreeSet<Setting>,
}

const fn one() -> u8 {
    1
}

impl Default for Demand {
    fn default() -> Self {
        Self {
            times: 1,
            sessions: 1,
            each_of: BTreeSet::new(),
        }
    }
}

/// A common fault of a skill, and the correction for it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Slip {
    /// Its id within the skill.
    pub id: SlipId,
    /// What is seen.
    pub fault: String,
    /// What to say or do.
    pub fix: String,
}

/// Minutes from quick to slow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct MinuteRange {
    /// A practised try.
    pub quick: u16,
    /// A first try.
    pub slow: u16,
}

/// A usual session of the outline: what it is called, where, and its run list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Block {
    /// Its id within the outline.
    pub id: BlockId,
    /// "Pool 2: mask and regulator".
    pub title: String,
    /// Where it is held.
    pub setting: Setting,
    /// The skills, in running order.
    pub run_list: Vec<SkillId>,
    /// Planned length in minutes.
    pub minutes: u16,
}
