//! Is an outline sound? Every fault is named, so that an editor can show them all at once.
//!
//! Sound means that a course can run on it: ids that meet, figures that can be measured,
//! texts that fit a screen. Whether it teaches well is a person's to say.

use std::collections::BTreeSet;

use super::{BlockId, Measure, MethodsNeeded, Outline, Skill, SkillId};

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
        let mut ahead: Vec<&SkillId> = skill.needs.iter().collect();
        while let Some(id) = ahead.pop() {
            if id == &skill.id {
                return true;
            }
            if seen.insert(id) {
                ahead.extend(self.skill(id).into_iter().flat_map(|next| &next.needs));
            }
        }
        false
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
        for need in skill.needs.iter().filter(|need| self.skill(need).is_none()) {
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
pub(crate) fn suits(skill: &Skill, held_in: super::Setting) -> bool {
    use super::Setting::{Confined, Open, Surface};
    skill.settings.contains(&held_in)
        || (matches!(held_in, Confined | Open) && skill.settings.contains(&Surface))
        || (held_in.is_wet() && skill.settings.contains(&super::Setting::Classroom))
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
mod tests {
    use super::*;
    use crate::course::{Block, Demand, Family, Method, MinuteRange, Requirement, Setting, Slip};

    fn id(text: &str) -> SkillId {
        text.parse().unwrap()
    }

    fn skill(name: &str) -> Skill {
        Skill {
            id: id(name),
            name: name.to_owned(),
            family: Family::Mask,
            settings: [Setting::Confined].into(),
            needs: Vec::new(),
            requirement: Requirement {
                says: "Stay for a minute.".to_owned(),
                measures: vec![Measure::Hold { seconds: 60 }],
            },
            methods: Vec::new(),
            methods_needed: MethodsNeeded::Any,
            demand: Demand::default(),
            cues: vec!["Slowly".to_owned()],
            slips: Vec::new(),
            caution: None,
            hazard: false,
            minutes: MinuteRange { quick: 1, slow: 2 },
            required: true,
        }
    }

    fn block(name: &str, setting: Setting, run_list: &[&str]) -> Block {
        Block {
            id: name.parse().unwrap(),
            title: "Pool".to_owned(),
            setting,
            run_list: run_list.iter().map(|name| id(name)).collect(),
            minutes: 90,
        }
    }

    fn outline(skills: Vec<Skill>) -> Outline {
        Outline {
            title: "Small".to_owned(),
            edition: 1,
            source: "our own".to_owned(),
            skills,
            blocks: Vec::new(),
        }
    }

    /// The faults of an outline of one skill, spoiled.
    fn spoiled(spoil: impl FnOnce(&mut Skill)) -> Vec<OutlineFault> {
        let mut one = skill("a");
        spoil(&mut one);
        outline(vec![one]).faults()
    }

    fn text_fault(what: &'static str, most: usize) -> Vec<OutlineFault> {
        vec![OutlineFault::Text {
            what,
            of: "a".to_owned(),
            most,
        }]
    }

    fn needing(name: &str, needs: &[&str]) -> Skill {
        Skill {
            needs: needs.iter().map(|need| id(need)).collect(),
            ..skill(name)
        }
    }

    fn method(name: &str, required: bool) -> Method {
        Method {
            id: name.parse().unwrap(),
            name: name.to_owned(),
            cues: Vec::new(),
            required,
        }
    }

    #[test]
    fn a_small_sound_outline_has_no_fault() {
        let mut sound = outline(vec![skill("a"), needing("b", &["a"])]);
        sound.blocks = vec![block("pool-1", Setting::Confined, &["a", "b"])];
        assert_eq!(sound.faults(), []);
    }

    #[test]
    fn an_outline_without_a_skill_is_empty() {
        assert_eq!(outline(Vec::new()).faults(), [OutlineFault::Empty]);
    }

    #[test]
    fn editions_start_at_one() {
        let mut bad = outline(vec![skill("a")]);
        bad.edition = 0;
        assert_eq!(bad.faults(), [OutlineFault::Edition]);
    }

    #[test]
    fn too_much_of_anything_is_named_with_its_limit() {
        let many = |n: usize| outline((0..n).map(|i| skill(&format!("s{i}"))).collect());
        let too_many = |what, of: &str, most| OutlineFault::TooMany {
            what,
            of: of.to_owned(),
            most,
        };
        assert_eq!(many(120).faults(), []);
        assert_eq!(many(121).faults(), [too_many("skills", "the outline", 120)]);

        let mut blocks = outline(vec![skill("a")]);
        blocks.blocks = (0..61)
            .map(|i| block(&format!("b{i}"), Setting::Confined, &[]))
            .collect();
        assert_eq!(blocks.faults(), [too_many("blocks", "the outline", 60)]);

        let mut run = outline(vec![skill("a")]);
        run.blocks = vec![block("pool-1", Setting::Confined, &["a"; 61])];
        assert_eq!(
            run.faults(),
            [too_many("skills on its run list", "pool-1", 60)]
        );

        let crowd = |what| vec![too_many(what, "a", 12)];
        assert_eq!(spoiled(|s| s.needs = vec![id("b"); 13]), crowd("needs"));
        assert_eq!(
            spoiled(|s| s.cues = vec!["x".to_owned(); 13]),
            crowd("cues")
        );
        assert_eq!(
            spoiled(|s| s.methods = (0..13).map(|i| method(&format!("m{i}"), true)).collect()),
            crowd("methods")
        );
        assert_eq!(
            spoiled(|s| s.requirement.measures = vec![Measure::Hold { seconds: 1 }; 13]),
            crowd("figures")
        );
        let slip = |i| Slip {
            id: format!("s{i}").parse().unwrap(),
            fault: "x".into(),
            fix: "y".into(),
        };
        assert_eq!(
            spoiled(|s| s.slips = (0..13).map(slip).collect()),
            crowd("slips")
        );
        let chatty = Method {
            cues: vec!["x".to_owned(); 13],
            ..method("m", true)
        };
        assert_eq!(
            spoiled(|s| s.methods = vec![chatty]),
            crowd("cues of a method")
        );
    }

    #[test]
    fn an_empty_or_endless_text_is_named_with_its_length() {
        let long = || "é".repeat(10_000);
        assert_eq!(
            spoiled(|s| s.name = String::new()),
            text_fault("the name", 40)
        );
        assert_eq!(spoiled(|s| s.name = "é".repeat(40)), []);
        assert_eq!(
            spoiled(|s| s.name = "é".repeat(41)),
            text_fault("the name", 40)
        );
        assert_eq!(
            spoiled(|s| s.requirement.says = long()),
            text_fault("the requirement", 400)
        );
        assert_eq!(
            spoiled(|s| s.cues = vec![" ".to_owned()]),
            text_fault("a cue", 120)
        );
        assert_eq!(
            spoiled(|s| s.caution = Some(long())),
            text_fault("the caution", 300)
        );
        let slip = |fault: &str, fix: &str| Slip {
            id: "x".parse().unwrap(),
            fault: fault.to_owned(),
            fix: fix.to_owned(),
        };
        assert_eq!(
            spoiled(|s| s.slips = vec![slip("", "fix")]),
            text_fault("a slip", 120)
        );
        assert_eq!(
            spoiled(|s| s.slips = vec![slip("fault", "")]),
            text_fault("a fix", 160)
        );
        let nameless = Method {
            name: long(),
            ..method("m", true)
        };
        assert_eq!(
            spoiled(|s| s.methods = vec![nameless]),
            text_fault("the name of a method", 40)
        );
        let mute = Method {
            cues: vec![String::new()],
            ..method("m", true)
        };
        assert_eq!(
            spoiled(|s| s.methods = vec![mute]),
            text_fault("a cue", 120)
        );
        assert_eq!(
            spoiled(|s| s.requirement.measures = vec![Measure::Count {
                at_least: 1,
                of: long()
            }]),
            text_fault("what is counted", 60)
        );
        assert_eq!(
            spoiled(|s| {
                s.requirement.measures = vec![Measure::Reading {
                    at_most: 1,
                    unit: String::new(),
                }];
            }),
            text_fault("the unit of a reading", 60)
        );

        let mut head = outline(vec![skill("a")]);
        head.title = String::new();
        head.source = long();
        head.blocks = vec![Block {
            title: long(),
            ..block("pool-1", Setting::Confined, &[])
        }];
        let text = |what, of: &str, most| OutlineFault::Text {
            what,
            of: of.to_owned(),
            most,
        };
        assert_eq!(
            head.faults(),
            [
                text("the source", "the outline", 600),
                text("the title", "pool-1", 80),
                text("the title", "the outline", 80),
            ]
        );
    }

    #[test]
    fn an_id_used_twice_is_named() {
        let twice = |id: &str| vec![OutlineFault::Twice { id: id.to_owned() }];
        assert_eq!(outline(vec![skill("a"), skill("a")]).faults(), twice("a"));
        assert_eq!(
            spoiled(|s| s.methods = vec![method("m", true); 2]),
            twice("m")
        );
        let slip = Slip {
            id: "x".parse().unwrap(),
            fault: "a".into(),
            fix: "b".into(),
        };
        assert_eq!(spoiled(|s| s.slips = vec![slip.clone(), slip]), twice("x"));
        let mut blocks = outline(vec![skill("a")]);
        blocks.blocks = vec![block("pool-1", Setting::Confined, &[]); 2];
        assert_eq!(blocks.faults(), twice("pool-1"));
    }

    #[test]
    fn a_skill_that_is_not_there_is_named_with_who_names_it() {
        let unknown = |by: &str| {
            vec![OutlineFault::Unknown {
                by: by.to_owned(),
                id: id("z"),
            }]
        };
        assert_eq!(outline(vec![needing("a", &["z"])]).faults(), unknown("a"));
        let mut run = outline(vec![skill("a")]);
        run.blocks = vec![block("pool-1", Setting::Confined, &["z"])];
        assert_eq!(run.faults(), unknown("pool-1"));
    }

    #[test]
    fn a_ring_names_its_own_skills_and_not_those_behind_it() {
        let ring = |name: &str| OutlineFault::Ring { id: id(name) };
        assert_eq!(outline(vec![needing("a", &["a"])]).faults(), [ring("a")]);
        let around = outline(vec![
            needing("a", &["b"]),
            needing("b", &["c"]),
            needing("c", &["a"]),
            needing("behind", &["a"]),
            skill("free"),
        ]);
        assert_eq!(around.faults(), [ring("a"), ring("b"), ring("c")]);
        let diamond = outline(vec![
            skill("a"),
            needing("b", &["a"]),
            needing("c", &["a"]),
            needing("d", &["b", "c"]),
        ]);
        assert_eq!(diamond.faults(), []);
    }

    #[test]
    fn a_requirement_without_a_figure_is_not_measurable() {
        let faults = spoiled(|s| s.requirement.measures.clear());
        assert_eq!(faults, [OutlineFault::NotMeasurable { id: id("a") }]);
    }

    #[test]
    fn a_figure_that_nobody_could_miss_or_reach_is_named() {
        let cases = [
            (
                Measure::Count {
                    at_least: 0,
                    of: "clears".to_owned(),
                },
                1,
                1_000,
            ),
            (Measure::Hold { seconds: 0 }, 1, 7_200),
            (Measure::Within { seconds: 7_201 }, 1, 7_200),
            (Measure::Distance { decimetres: 0 }, 1, 50_000),
            (
                Measure::DepthBand {
                    plus_minus_cm: 1_001,
                },
                1,
                1_000,
            ),
            (Measure::AscentRate { cm_per_minute: 0 }, 1, 3_000),
            (Measure::Miss { decimetres: 5_001 }, 0, 5_000),
            (
                Measure::Reading {
                    at_most: 10_001,
                    unit: "bar".to_owned(),
                },
                0,
                10_000,
            ),
        ];
        for (measure, least, most) in cases {
            let faults = spoiled(|s| s.requirement.measures = vec![measure.clone()]);
            assert_eq!(
                faults,
                [OutlineFault::Figure {
                    id: id("a"),
                    least,
                    most
                }],
                "{measure:?}"
            );
        }
        let nought = Measure::Reading {
            at_most: 0,
            unit: "bar lost".to_owned(),
        };
        assert_eq!(
            spoiled(|s| s.requirement.measures = vec![nought]),
            [],
            "no loss can be asked"
        );
    }

    #[test]
    fn a_hazard_without_a_caution_is_named() {
        assert_eq!(
            spoiled(|s| s.hazard = true),
            [OutlineFault::NoCaution { id: id("a") }]
        );
        assert_eq!(
            spoiled(|s| {
                s.hazard = true;
                s.caution = Some("Bubbles all the way.".to_owned());
            }),
            []
        );
    }

    #[test]
    fn a_demand_in_water_where_it_may_not_be_shown_is_named() {
        let fault = [OutlineFault::Settings { id: id("a") }];
        assert_eq!(spoiled(|s| s.settings.clear()), fault);
        assert_eq!(
            spoiled(|s| s.demand.each_of = [Setting::Open].into()),
            fault
        );
        assert_eq!(
            spoiled(|s| s.demand.each_of = [Setting::Confined].into()),
            []
        );
    }

    #[test]
    fn a_demand_that_cannot_be_satisfied_is_named() {
        for (times, sessions) in [(0, 0), (0, 1), (1, 0), (1, 2), (21, 1)] {
            let faults = spoiled(|s| {
                s.demand.times = times;
                s.demand.sessions = sessions;
            });
            assert_eq!(
                faults,
                [OutlineFault::Demand {
                    id: id("a"),
                    times,
                    sessions
                }]
            );
        }
    }

    #[test]
    fn all_methods_means_at_least_two_that_everyone_can_show() {
        let with = |methods: Vec<Method>| {
            spoiled(|s| {
                s.methods_needed = MethodsNeeded::All;
                s.methods = methods;
            })
        };
        let fault = [OutlineFault::Methods { id: id("a") }];
        assert_eq!(with(Vec::new()), fault);
        assert_eq!(with(vec![method("m", true), method("n", false)]), fault);
        assert_eq!(
            with(vec![
                method("m", true),
                method("n", true),
                method("o", false)
            ]),
            []
        );
    }

    #[test]
    fn minutes_run_forwards_and_end() {
        for (quick, slow) in [(0, 2), (3, 2), (1, 241)] {
            let faults = spoiled(|s| s.minutes = MinuteRange { quick, slow });
            let id = "a".to_owned();
            assert_eq!(
                faults,
                [OutlineFault::Minutes {
                    id,
                    quick,
                    slow,
                    most: 240
                }]
            );
        }
        for minutes in [0, 721] {
            let mut bad = outline(vec![skill("a")]);
            bad.blocks = vec![Block {
                minutes,
                ..block("pool-1", Setting::Confined, &[])
            }];
            let id = "pool-1".to_owned();
            let fault = OutlineFault::Minutes {
                id,
                quick: minutes,
                slow: minutes,
                most: 720,
            };
            assert_eq!(bad.faults(), [fault]);
        }
    }

    #[test]
    fn a_block_runs_only_what_suits_its_water() {
        let may = |shown_in: Setting, held_in: Setting| {
            let mut one = outline(vec![Skill {
                settings: [shown_in].into(),
                ..skill("a")
            }]);
            one.blocks = vec![block("b", held_in, &["a"])];
            let fault = OutlineFault::WrongPlace {
                block: "b".parse().unwrap(),
                skill: id("a"),
            };
            match one.faults().as_slice() {
                [] => true,
                faults => {
                    assert_eq!(faults, [fault]);
                    false
                }
            }
        };
        use Setting::{Classroom, Confined, Open, Surface};
        assert!(may(Confined, Confined) && may(Open, Open));
        assert!(
            may(Surface, Confined) && may(Surface, Open),
            "both have a surface"
        );
        assert!(may(Classroom, Surface) && may(Classroom, Confined) && may(Classroom, Open));
        assert!(!may(Confined, Open) && !may(Open, Confined));
        assert!(!may(Confined, Classroom) && !may(Surface, Classroom) && !may(Open, Surface));
    }
}
