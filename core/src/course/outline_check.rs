//! Is an outline sound? Every fault is named, so that an editor can show them all at once.

use std::collections::{BTreeMap, BTreeSet};

use super::{BlockId, MethodsNeeded, Outline, Skill, SkillId};

/// Something wrong with an outline.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
pub enum OutlineFault {
    /// It has no skill.
    #[error("the outline has no skill")]
    Empty,
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
    /// All methods are needed and there are fewer than two.
    #[error("{id} asks for all of its methods and has fewer than two")]
    Methods {
        /// The skill.
        id: SkillId,
    },
    /// A range of minutes that runs backwards or is absurd.
    #[error("{id} takes {quick} to {slow} minutes, which is not a range within 1 to 240")]
    Minutes {
        /// The skill or block.
        id: String,
        /// From.
        quick: u16,
        /// To.
        slow: u16,
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

impl Outline {
    /// Everything that is wrong with it, in a stable order; empty when it is sound.
    pub fn faults(&self) -> Vec<OutlineFault> {
        let mut faults = BTreeSet::new();
        if self.skills.is_empty() || self.skills.len() > MOST_SKILLS {
            faults.insert(OutlineFault::Empty);
        }
        text(&mut faults, "title", "the outline", &self.title, 80);
        let ids: BTreeSet<&SkillId> = self.skills.iter().map(|skill| &skill.id).collect();
        twice(
            &mut faults,
            self.skills.iter().map(|skill| skill.id.as_str()),
        );
        twice(
            &mut faults,
            self.blocks.iter().map(|block| block.id.as_str()),
        );
        for skill in &self.skills {
            check_skill(&mut faults, skill, &ids);
        }
        for block in &self.blocks {
            text(&mut faults, "title", block.id.as_str(), &block.title, 80);
            if !(1..=720).contains(&block.minutes) {
                let id = block.id.to_string();
                faults.insert(OutlineFault::Minutes {
                    id,
                    quick: block.minutes,
                    slow: block.minutes,
                });
            }
            for id in &block.run_list {
                match self.skill(id) {
                    None => {
                        faults.insert(OutlineFault::Unknown {
                            by: block.id.to_string(),
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
        faults.extend(self.rings().into_iter().map(|id| OutlineFault::Ring { id }));
        faults.into_iter().collect()
    }

    /// Skills that need themselves through what they need: found by taking away, again and
    /// again, every skill whose needs are all gone; what is left stands in or behind a ring.
    fn rings(&self) -> BTreeSet<SkillId> {
        let mut waiting: BTreeMap<&SkillId, Vec<&SkillId>> = self
            .skills
            .iter()
            .map(|s| {
                (
                    &s.id,
                    s.needs
                        .iter()
                        .filter(|id| self.skill(id).is_some())
                        .collect(),
                )
            })
            .collect();
        loop {
            let free: Vec<&SkillId> = waiting
                .iter()
                .filter(|(_, needs)| needs.is_empty())
                .map(|(id, _)| *id)
                .collect();
            if free.is_empty() {
                return waiting.into_keys().cloned().collect();
            }
            for id in free {
                waiting.remove(id);
                for needs in waiting.values_mut() {
                    needs.retain(|need| *need != id);
                }
            }
        }
    }
}

/// A skill of the surface may also be run in a confined or open-water session: that is
/// where its surface is.
pub(crate) fn suits(skill: &Skill, held_in: super::Setting) -> bool {
    use super::Setting::{Confined, Open, Surface};
    skill.settings.contains(&held_in)
        || (matches!(held_in, Confined | Open) && skill.settings.contains(&Surface))
        || (held_in.is_wet() && skill.settings.contains(&super::Setting::Classroom))
}

fn check_skill(faults: &mut BTreeSet<OutlineFault>, skill: &Skill, ids: &BTreeSet<&SkillId>) {
    let id = || skill.id.clone();
    let by = skill.id.as_str();
    text(faults, "name", by, &skill.name, 40);
    text(faults, "requirement", by, &skill.requirement.says, 400);
    for cue in &skill.cues {
        text(faults, "a cue", by, cue, 120);
    }
    for slip in &skill.slips {
        text(faults, "a slip", by, &slip.fault, 120);
        text(faults, "a fix", by, &slip.fix, 160);
    }
    if let Some(caution) = &skill.caution {
        text(faults, "the caution", by, caution, 300);
    }
    twice(
        faults,
        skill.methods.iter().map(|method| method.id.as_str()),
    );
    twice(faults, skill.slips.iter().map(|slip| slip.id.as_str()));
    for need in skill.needs.iter().filter(|need| !ids.contains(need)) {
        faults.insert(OutlineFault::Unknown {
            by: by.to_owned(),
            id: need.clone(),
        });
    }
    if skill.requirement.measures.is_empty() {
        faults.insert(OutlineFault::NotMeasurable { id: id() });
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
    if skill.methods_needed == MethodsNeeded::All && skill.methods.len() < 2 {
        faults.insert(OutlineFault::Methods { id: id() });
    }
    let (quick, slow) = (skill.minutes.quick, skill.minutes.slow);
    if quick == 0 || quick > slow || slow > 240 {
        faults.insert(OutlineFault::Minutes {
            id: by.to_owned(),
            quick,
            slow,
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
