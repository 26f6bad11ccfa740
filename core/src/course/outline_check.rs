//! Is an outline sound? Every fault is named, so that an editor can show them all at once.
//!
//! Sound means that a course can run on it: ids that meet, figures that can be measured,
//! texts that fit a screen. Whether it teaches well is a person's to say.

use std::collections::BTreeSet;

use super::{BlockId, Measure, MethodsNeeded, Outline, RunPlace, Setting, Skill, SkillId};

/// Something wrong with an outline.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
pub enum OutlineFault {
    /// It has no skill.
    #[error("the outline has no skill")]
    Empty,
    /// More of something than a person can work with.
    #[error("{of} has more than {most} {what}")]
    TooMany {
        /// Of what: "skills", "cues".
        what: &'static str,
        /// Of which skill or block, by id, or of the outline.
        of: String,
        /// The most allowed.
        most: usize,
    },
    /// The edition is nought.
    #[error("editions are counted from 1")]
    Edition,
    /// A text that is empty or too long.
    #[error("{what} of {of} must be 1 to {most} characters")]
    Text {
        /// Which field.
        what: &'static str,
        /// Of which skill or block, by id.
        of: String,
        /// The longest allowed.
        most: usize,
    },
    /// Two skills, methods, slips or blocks share an id.
    #[error("the id {id} is used twice")]
    Twice {
        /// The id.
        id: String,
    },
    /// A skill or block names a skill that is not there.
    #[error("{by} names the skill {id}, which the outline does not have")]
    Unknown {
        /// Who names it.
        by: String,
        /// The missing one.
        id: SkillId,
    },
    /// Skills that need each other in a ring.
    #[error("the skill {id} needs itself, through what it needs")]
    Ring {
        /// One skill of the ring.
        id: SkillId,
    },
    /// A requirement without a figure.
    #[error("the requirement of {id} has nothing to measure")]
    NotMeasurable {
        /// The skill.
        id: SkillId,
    },
    /// A requirement with a figure that nobody can miss or nobody can reach.
    #[error("the requirement of {id} has a figure outside {least} to {most}")]
    Figure {
        /// The skill.
        id: SkillId,
        /// Lowest sensible, in the unit of its measure.
        least: u32,
        /// Highest sensible.
        most: u32,
    },
    /// A skill that can hurt and says no caution.
    #[error("{id} can hurt someone and has no caution")]
    NoCaution {
        /// The skill.
        id: SkillId,
    },
    /// A skill without a setting, or demanded in one where it may not be shown.
    #[error("the settings of {id} do not allow what it demands")]
    Settings {
        /// The skill.
        id: SkillId,
    },
    /// A demand that cannot be satisfied, such as none or more sessions than times.
    #[error("{id} demands {times} times in {sessions} sessions")]
    Demand {
        /// The skill.
        id: SkillId,
        /// Times asked.
        times: u8,
        /// Sessions asked.
        sessions: u8,
    },
    /// All methods are needed and fewer than two of them are asked of everyone.
    #[error("{id} asks for all of its methods and has fewer than two that are not optional")]
    Methods {
        /// The skill.
        id: SkillId,
    },
    /// A range of minutes that runs backwards or is absurd.
    #[error("{id} takes {quick} to {slow} minutes, which is not a range within 1 to {most}")]
    Minutes {
        /// The skill or block.
        id: String,
        /// From.
        quick: u16,
        /// To.
        slow: u16,
        /// The longest allowed.
        most: u16,
    },
    /// A block whose setting does not suit one of its skills.
    #[error("{block} runs {skill} where it may not be shown")]
    WrongPlace {
        /// The block.
        block: BlockId,
        /// The skill.
        skill: SkillId,
    },
}

/// The most skills an outline may have; a board of more is not read at a pool.
pub const MOST_SKILLS: usize = 120;

/// The most blocks, and the most skills on one run list.
const MOST_BLOCKS: usize = 60;

/// The most ascents that one turn of a skill may cost: more would be a day's worth.
const MOST_ASCENTS: usize = 6;

/// The most cues, slips, methods or figures of one skill: more is not said before a dive.
const MOST_OF_A_SKILL: usize = 12;

impl Outline {
    /// Everything that is wrong with it, in a stable order; empty when it is sound. Of an
    /// outline far too large only that is said, so that a hostile one costs no time.
    pub fn faults(&self) -> Vec<OutlineFault> {
        let mut faults = BTreeSet::new();
        few(
            &mut faults,
            "skills",
            "the outline",
            self.skills.len(),
            MOST_SKILLS,
        );
        few(
            &mut faults,
            "blocks",
            "the outline",
            self.blocks.len(),
            MOST_BLOCKS,
        );
        for skill in self.skills.iter().take(MOST_SKILLS) {
            few(
                &mut faults,
                "needs",
                skill.id.as_str(),
                skill.needs.len(),
                MOST_OF_A_SKILL,
            );
        }
        if !faults.is_empty() {
            return faults.into_iter().collect();
        }
        if self.skills.is_empty() {
            faults.insert(OutlineFault::Empty);
        }
        if self.edition == 0 {
            faults.insert(OutlineFault::Edition);
        }
        text(&mut faults, "the title", "the outline", &self.title, 80);
        text(&mut faults, "the source", "the outline", &self.source, 600);
        twice(
            &mut faults,
            self.skills.iter().map(|skill| skill.id.as_str()),
        );
        twice(
            &mut faults,
            self.blocks.iter().map(|block| block.id.as_str()),
        );
        for skill in &self.skills {
            self.check_skill(&mut faults, skill);
        }
        self.check_blocks(&mut faults);
        faults.into_iter().collect()
    }

    fn check_blocks(&self, faults: &mut BTreeSet<OutlineFault>) {
        for block in &self.blocks {
            let by = block.id.as_str();
            text(faults, "the title", by, &block.title, 80);
            few(
                faults,
                "skills on its run list",
                by,
                block.run_list.len(),
                MOST_BLOCKS,
            );
            if !(1..=720).contains(&block.minutes) {
                let (id, quick, slow) = (by.to_owned(), block.minutes, block.minutes);
                faults.insert(OutlineFault::Minutes {
                    id,
                    quick,
                    slow,
                    most: 720,
                });
            }
            for id in block.run_list.iter().take(MOST_BLOCKS) {
                match self.skill(id) {
                    None => {
                        faults.insert(OutlineFault::Unknown {
                            by: by.to_owned(),
                            id: id.clone(),
                        });
                    }
                    Some(skill) if !suits(skill, block.setting) => {
                        let (block, skill) = (block.id.clone(), id.clone());
                        faults.insert(OutlineFault::WrongPlace { block, skill });
                    }
                    Some(_) => {}
                }
            }
        }
    }

    /// Whether a skill comes back to itself through what it needs. A skill that only needs
    /// one of a ring is not in it: to name it would send an editor to the wrong skill.
    fn needs_itself(&self, skill: &Skill) -> bool {
        let mut seen = BTreeSet::new();
        let mut ahead: Vec<&SkillId> = self.ahead_of(skill).collect();
        while let Some(id) = ahead.pop() {
            if id == &skill.id {
                return true;
            }
            if seen.insert(id) {
                ahead.extend(
                    self.skill(id)
                        .into_iter()
                        .flat_map(|next| self.ahead_of(next)),
                );
            }
        }
        false
    }

    /// What comes before a skill: what it needs, what is run before it in its session, and
    /// what it closes.
    fn ahead_of<'a>(&'a self, skill: &'a Skill) -> impl Iterator<Item = &'a SkillId> {
        let closed = self
            .skills
            .iter()
            .filter(|other| other.run.closes.as_ref() == Some(&skill.id));
        let said = skill.needs.iter().chain(&skill.run.before);
        said.chain(closed.map(|other| &other.id))
    }

    fn check_skill(&self, faults: &mut BTreeSet<OutlineFault>, skill: &Skill) {
        let id = || skill.id.clone();
        check_texts(faults, skill);
        check_measures(faults, skill);
        twice(
            faults,
            skill.methods.iter().map(|method| method.id.as_str()),
        );
        twice(faults, skill.slips.iter().map(|slip| slip.id.as_str()));
        check_run(faults, skill);
        let named = skill.needs.iter().chain(&skill.run.before);
        let named = named.chain(&skill.run.closes);
        for need in named.filter(|need| self.skill(need).is_none()) {
            faults.insert(OutlineFault::Unknown {
                by: skill.id.to_string(),
                id: need.clone(),
            });
        }
        if self.needs_itself(skill) {
            faults.insert(OutlineFault::Ring { id: id() });
        }
        if skill.hazard && skill.caution.is_none() {
            faults.insert(OutlineFault::NoCaution { id: id() });
        }
        if skill.settings.is_empty() || !skill.demand.each_of.is_subset(&skill.settings) {
            faults.insert(OutlineFault::Settings { id: id() });
        }
        let (times, sessions) = (skill.demand.times, skill.demand.sessions);
        if times == 0 || sessions == 0 || times > 20 || sessions > times {
            faults.insert(OutlineFault::Demand {
                id: id(),
                times,
                sessions,
            });
        }
        if skill.methods_needed == MethodsNeeded::All && skill.methods_asked().count() < 2 {
            faults.insert(OutlineFault::Methods { id: id() });
        }
        let (quick, slow) = (skill.minutes.quick, skill.minutes.slow);
        if quick == 0 || quick > slow || slow > 240 {
            let id = skill.id.to_string();
            faults.insert(OutlineFault::Minutes {
                id,
                quick,
                slow,
                most: 240,
            });
        }
    }
}

/// A skill of the surface may also be run in a confined or open-water session: that is
/// where its surface is.
pub(crate) fn suits(skill: &Skill, held_in: Setting) -> bool {
    use super::Setting::{Confined, Open, Surface};
    skill.settings.contains(&held_in)
        || (matches!(held_in, Confined | Open) && skill.settings.contains(&Surface))
        || (held_in.is_wet() && skill.settings.contains(&Setting::Classroom))
}

fn check_texts(faults: &mut BTreeSet<OutlineFault>, skill: &Skill) {
    let by = skill.id.as_str();
    text(faults, "the name", by, &skill.name, 40);
    text(faults, "the requirement", by, &skill.requirement.says, 400);
    few(faults, "cues", by, skill.cues.len(), MOST_OF_A_SKILL);
    few(faults, "slips", by, skill.slips.len(), MOST_OF_A_SKILL);
    few(faults, "methods", by, skill.methods.len(), MOST_OF_A_SKILL);
    for cue in &skill.cues {
        text(faults, "a cue", by, cue, 120);
    }
    for method in &skill.methods {
        text(faults, "the name of a method", by, &method.name, 40);
        few(
            faults,
            "cues of a method",
            by,
            method.cues.len(),
            MOST_OF_A_SKILL,
        );
        for cue in &method.cues {
            text(faults, "a cue", by, cue, 120);
        }
    }
    for slip in &skill.slips {
        text(faults, "a slip", by, &slip.fault, 120);
        text(faults, "a fix", by, &slip.fix, 160);
    }
    if let Some(caution) = &skill.caution {
        text(faults, "the caution", by, caution, 300);
    }
}

fn check_measures(faults: &mut BTreeSet<OutlineFault>, skill: &Skill) {
    let measures = &skill.requirement.measures;
    if measures.is_empty() {
        faults.insert(OutlineFault::NotMeasurable {
            id: skill.id.clone(),
        });
    }
    few(
        faults,
        "figures",
        skill.id.as_str(),
        measures.len(),
        MOST_OF_A_SKILL,
    );
    for measure in measures {
        let (figure, least, most) = match measure {
            Measure::Count { at_least, of } => {
                text(faults, "what is counted", skill.id.as_str(), of, 60);
                (*at_least, 1, 1_000)
            }
            Measure::Hold { seconds } | Measure::Within { seconds } => (*seconds, 1, 7_200),
            Measure::Distance { decimetres } => (*decimetres, 1, 50_000),
            Measure::DepthBand { plus_minus_cm } => (*plus_minus_cm, 1, 1_000),
            Measure::AscentRate { cm_per_minute } => (*cm_per_minute, 1, 3_000),
            Measure::Miss { decimetres } => (*decimetres, 0, 5_000),
            Measure::Reading { at_most, unit } => {
                text(faults, "the unit of a reading", skill.id.as_str(), unit, 60);
                (*at_most, 0, 10_000)
            }
        };
        if !(least..=most).contains(&figure) {
            faults.insert(OutlineFault::Figure {
                id: skill.id.clone(),
                least,
                most,
            });
        }
    }
}

/// Whether how a skill is run fits its settings and an evening.
fn check_run(faults: &mut BTreeSet<OutlineFault>, skill: &Skill) {
    let run = &skill.run;
    few(
        faults,
        "skills before it",
        skill.id.as_str(),
        run.before.len(),
        MOST_OF_A_SKILL,
    );
    few(
        faults,
        "ascents",
        skill.id.as_str(),
        usize::from(run.ascents),
        MOST_ASCENTS,
    );
    let (setup, turn) = (skill.setup_minutes(), skill.turn_minutes());
    let said = run.setup.is_some() || run.turn.is_some();
    if said && (setup > 240 || !(1..=240).contains(&turn)) {
        faults.insert(OutlineFault::Minutes {
            id: skill.id.to_string(),
            quick: setup,
            slow: turn,
            most: 240,
        });
    }
    // A skill that says nothing of how it is run is from a course older than the saying.
    let wet = skill.settings.iter().any(|setting| setting.is_wet());
    let dived =
        skill.settings.contains(&Setting::Confined) || skill.settings.contains(&Setting::Open);
    let placed = match run.place {
        RunPlace::Dry => true,
        RunPlace::Surface => wet,
        RunPlace::Shallow | RunPlace::Line => dived,
        RunPlace::Depth => dived || run.is_unsaid(),
    };
    if !placed || (run.ascents > 0 && !run.place.is_under_water()) {
        faults.insert(OutlineFault::Settings {
            id: skill.id.clone(),
        });
    }
}

fn few(
    faults: &mut BTreeSet<OutlineFault>,
    what: &'static str,
    of: &str,
    count: usize,
    most: usize,
) {
    if count > most {
        faults.insert(OutlineFault::TooMany {
            what,
            of: of.to_owned(),
            most,
        });
    }
}

fn text(
    faults: &mut BTreeSet<OutlineFault>,
    what: &'static str,
    of: &str,
    text: &str,
    most: usize,
) {
    if text.trim().is_empty() || text.chars().count() > most {
        faults.insert(OutlineFault::Text {
            what,
            of: of.to_owned(),
            most,
        });
    }
}

fn twice<'a>(faults: &mut BTreeSet<OutlineFault>, ids: impl Iterator<Item = &'a str>) {
    let mut seen = BTreeSet::new();
    for id in ids {
        if !seen.insert(id) {
            faults.insert(OutlineFault::Twice { id: id.to_owned() });
        }
    }
}

#[cfg(test)]
mod tests;
