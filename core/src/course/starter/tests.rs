//! The starter files checked as data: soundness, order, time, and the facts of the trade.

use std::collections::{BTreeMap, BTreeSet};

use super::*;
use crate::course::{Block, Family, Measure, MethodsNeeded, RunBy, Setting, Skill, SkillId};

fn first_dives() -> Outline {
    outline().expect("the starter outline parses")
}

fn skill(outline: &Outline, id: &str) -> Skill {
    let skill = outline.skill(&id.parse().unwrap());
    skill
        .unwrap_or_else(|| panic!("the starter outline has {id}"))
        .clone()
}

fn methods(skill: &Skill) -> Vec<&str> {
    skill
        .methods
        .iter()
        .map(|method| method.id.as_str())
        .collect()
}

/// The cues of one method of a skill, in one line.
fn cues_of(skill: &Skill, method: &str) -> String {
    let method = skill.methods.iter().find(|m| m.id.as_str() == method);
    method
        .unwrap_or_else(|| panic!("{} has the method", skill.id))
        .cues
        .join(" / ")
}

/// Every text of a skill that is said or shown, with which it is.
fn texts(skill: &Skill) -> Vec<(&'static str, &str)> {
    let mut all: Vec<(&str, &str)> = vec![("says", &skill.requirement.says)];
    all.extend(skill.cues.iter().map(|cue| ("cue", cue.as_str())));
    all.extend(
        skill
            .methods
            .iter()
            .flat_map(|m| &m.cues)
            .map(|cue| ("cue", cue.as_str())),
    );
    all.extend(
        skill
            .slips
            .iter()
            .map(|slip| ("fault", slip.fault.as_str())),
    );
    all.extend(skill.slips.iter().map(|slip| ("fix", slip.fix.as_str())));
    all.extend(skill.caution.as_deref().map(|caution| ("caution", caution)));
    all
}

fn blocks_running<'a>(outline: &'a Outline, id: &SkillId) -> Vec<&'a Block> {
    outline
        .blocks
        .iter()
        .filter(|block| block.run_list.contains(id))
        .collect()
}

#[test]
fn the_starter_outline_is_sound() {
    assert_eq!(first_dives().faults(), []);
    assert_eq!(first_dives().edition, 1);
}

#[test]
fn the_german_outline_says_everything_in_german_and_nothing_else() {
    let german = german_outline().unwrap();
    assert_eq!(german.faults(), []);
    let english = first_dives();
    let texts_of = |outline: &Outline| {
        let mut all = BTreeSet::new();
        outline.each_text(&mut |text| {
            all.insert(text.clone());
        });
        all
    };
    let file: BTreeMap<String, String> = serde_json::from_str(GERMAN).unwrap();
    let said = texts_of(&english);
    let unused: Vec<&String> = file.keys().filter(|text| !said.contains(*text)).collect();
    assert!(
        unused.is_empty(),
        "German for what nobody says: {unused:#?}"
    );
    let in_german = texts_of(&german);
    let same = said.intersection(&in_german).cloned();
    assert_eq!(same.collect::<Vec<_>>(), ["DIN"], "left in English");
    for (one, other) in english.skills.iter().zip(&german.skills) {
        assert_eq!((&one.id, &one.settings), (&other.id, &other.settings));
        assert!(
            other.name.chars().count() <= 22,
            "{} does not fit a column head",
            other.name
        );
        let digits = |text: &str| -> Vec<String> {
            let parts = text.split(|letter: char| !letter.is_ascii_digit());
            parts
                .filter(|part| !part.is_empty())
                .map(str::to_owned)
                .collect()
        };
        let (ours, theirs) = (&one.requirement.says, &other.requirement.says);
        let mut figures = (digits(ours), digits(theirs));
        figures.0.sort();
        figures.1.sort();
        assert_eq!(figures.0, figures.1, "{}: other figures in German", one.id);
    }
    let names: BTreeSet<&str> = german.skills.iter().map(|one| one.name.as_str()).collect();
    assert_eq!(names.len(), german.skills.len());
}

#[test]
fn every_field_of_the_starter_files_is_known() {
    // An unknown field is ignored on reading, so a misspelt "hazzard" would be lost in
    // silence; writing the value again must give the same file.
    let written = serde_json::to_value(first_dives()).unwrap();
    let file: serde_json::Value = serde_json::from_str(OUTLINE).unwrap();
    let methods_in_full = with_method_defaults(file);
    assert_eq!(written, methods_in_full);
    let policy_file: serde_json::Value = serde_json::from_str(POLICY).unwrap();
    assert_eq!(
        serde_json::to_value(policy().unwrap()).unwrap(),
        policy_file
    );
}

/// The one field that the file leaves to its default, for being the same nearly always.
fn with_method_defaults(mut file: serde_json::Value) -> serde_json::Value {
    for skill in file["skills"].as_array_mut().unwrap() {
        for method in skill["methods"].as_array_mut().unwrap() {
            method
                .as_object_mut()
                .unwrap()
                .entry("required")
                .or_insert(true.into());
        }
    }
    file
}

#[test]
fn the_course_is_one_dry_session_five_confined_and_five_open() {
    let outline = first_dives();
    assert!(
        (48..=56).contains(&outline.skills.len()),
        "{}",
        outline.skills.len()
    );
    let mut held: BTreeMap<Setting, usize> = BTreeMap::new();
    for block in &outline.blocks {
        *held.entry(block.setting).or_default() += 1;
    }
    let expect = [
        (Setting::Classroom, 1),
        (Setting::Confined, 5),
        (Setting::Open, 5),
    ];
    assert_eq!(held, expect.into());
    let order: Vec<Setting> = outline.blocks.iter().map(|block| block.setting).collect();
    assert!(order.is_sorted(), "dry before pool before open water");
}

#[test]
fn every_family_of_skills_is_taught() {
    let all = [
        Family::Watermanship,
        Family::Equipment,
        Family::EntryExit,
        Family::Surface,
        Family::Regulator,
        Family::Mask,
        Family::Buoyancy,
        Family::Propulsion,
        Family::DescentAscent,
        Family::GasEmergency,
        Family::Navigation,
        Family::Awareness,
        Family::Assist,
    ];
    let taught: BTreeSet<Family> = first_dives().skills.iter().map(|s| s.family).collect();
    assert_eq!(taught, all.into());
}

#[test]
fn names_are_short_and_unlike_each_other() {
    let outline = first_dives();
    let names: BTreeSet<&str> = outline.skills.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names.len(), outline.skills.len());
    for name in names {
        assert!(
            name.chars().count() <= 22,
            "{name} does not fit a column head"
        );
    }
}

#[test]
fn every_skill_can_be_briefed_and_corrected() {
    for skill in first_dives().skills {
        assert!(
            (2..=4).contains(&skill.cues.len()),
            "{} has its cues",
            skill.id
        );
        assert!(
            (2..=4).contains(&skill.slips.len()),
            "{} has its slips",
            skill.id
        );
        assert_ne!(skill.methods.len(), 1, "{}: one way is no choice", skill.id);
    }
}

#[test]
fn no_sentence_is_said_twice() {
    let outline = first_dives();
    let mut said: BTreeMap<String, String> = BTreeMap::new();
    for skill in &outline.skills {
        for (what, text) in texts(skill) {
            let plain = text.trim_end_matches('.').to_lowercase();
            let by = format!("{what} of {}", skill.id);
            if let Some(before) = said.insert(plain, by.clone()) {
                panic!("{text:?} is the {before} and the {by}");
            }
        }
    }
}

#[test]
fn whatever_is_done_in_the_water_under_a_unit_is_a_hazard_and_cautioned() {
    use Family::{Buoyancy, DescentAscent, EntryExit, GasEmergency, Mask, Regulator, Surface};
    for skill in first_dives().skills {
        assert!(skill.caution.is_some(), "{} says what to watch", skill.id);
        let can_hurt = matches!(
            skill.family,
            Buoyancy | DescentAscent | EntryExit | GasEmergency | Mask | Regulator | Surface
        );
        assert!(skill.hazard || !can_hurt, "{} can hurt", skill.id);
    }
}

#[test]
fn every_required_skill_is_run_as_often_and_where_it_is_demanded() {
    let outline = first_dives();
    for skill in outline.skills.iter().filter(|skill| skill.required) {
        let run = blocks_running(&outline, &skill.id);
        let sessions = usize::from(skill.demand.sessions);
        assert!(
            !run.is_empty() && run.len() >= sessions,
            "{} in {}",
            skill.id,
            run.len()
        );
        for setting in &skill.demand.each_of {
            let held = run.iter().any(|block| block.setting == *setting);
            assert!(held, "{} is run in {setting:?}", skill.id);
        }
    }
}

#[test]
fn what_a_skill_needs_is_run_before_it() {
    let outline = first_dives();
    let mut run: BTreeSet<&SkillId> = BTreeSet::new();
    for block in &outline.blocks {
        for id in &block.run_list {
            for need in &outline.skill(id).unwrap().needs {
                assert!(run.contains(need), "{} runs {id} before {need}", block.id);
            }
            run.insert(id);
        }
    }
}

#[test]
fn skills_stand_in_teaching_order() {
    let outline = first_dives();
    let mut before: BTreeSet<&SkillId> = BTreeSet::new();
    for skill in &outline.skills {
        for need in &skill.needs {
            assert!(before.contains(need), "{} stands before {need}", skill.id);
        }
        before.insert(&skill.id);
    }
}

/// The minutes that a block's run list takes so many students with one instructor.
fn line_up_minutes(outline: &Outline, block: &Block, students: usize) -> u16 {
    let minutes = |id: &SkillId| outline.skill(id).unwrap().run_minutes(students);
    block.run_list.iter().map(minutes).sum()
}

#[test]
fn a_block_is_long_enough_for_eight_and_not_three_times_too_long_for_four() {
    let outline = first_dives();
    for block in &outline.blocks {
        let eight = line_up_minutes(&outline, block, 8);
        assert!(eight <= block.minutes, "{}: {eight} for eight", block.id);
        let four = line_up_minutes(&outline, block, 4);
        assert!(block.minutes <= four * 3, "{}: {four} for four", block.id);
    }
}

#[test]
fn every_skill_says_how_it_is_run() {
    for skill in first_dives().skills {
        let run = &skill.run;
        assert_ne!(run, &crate::course::SkillRun::default(), "{}", skill.id);
        assert!(run.setup.is_some() && run.turn.is_some(), "{}", skill.id);
        // Common practice, no published source: an assistant runs nothing under water.
        let alone = run.by == RunBy::Assistant;
        assert!(!(alone && run.place.is_under_water()), "{}", skill.id);
    }
}

#[test]
fn a_block_runs_around_each_skill_what_the_skill_asks_for() {
    let outline = first_dives();
    for block in &outline.blocks {
        let place = |id: &SkillId| block.run_list.iter().position(|one| one == id);
        for id in &block.run_list {
            let run = skill(&outline, id.as_str()).run;
            let suits =
                |one: &&SkillId| crate::course::suits(outline.skill(one).unwrap(), block.setting);
            for before in run.before.iter().filter(suits) {
                assert!(place(before) < place(id), "{}: {before}, {id}", block.id);
                assert!(place(before).is_some(), "{}: {before}, {id}", block.id);
            }
            for closes in run.closes.iter().filter(suits) {
                assert!(place(id) < place(closes), "{}: {id}, {closes}", block.id);
            }
        }
    }
}

#[test]
fn four_pairs_that_come_up_sharing_gas_and_the_end_of_the_dive_are_five_ascents() {
    let outline = first_dives();
    let ascents = |id: &str, students| {
        let skill = skill(&outline, id);
        u16::from(skill.run.ascents) * skill.turns(students)
    };
    assert_eq!(ascents("gas-give", 8) + ascents("ascent", 8), 5);
}

#[test]
fn what_matters_most_is_shown_in_the_pool_and_again_in_open_water() {
    let outline = first_dives();
    for id in [
        "reg-clear",
        "mask-remove",
        "gas-take",
        "gas-give",
        "neutral-hover",
        "descent",
    ] {
        let demand = skill(&outline, id).demand;
        assert_eq!((demand.times, demand.sessions), (2, 2), "{id}");
        assert_eq!(
            demand.each_of,
            [Setting::Confined, Setting::Open].into(),
            "{id}"
        );
    }
    let spaced = outline.skills.iter().filter(|s| s.demand.sessions > 1);
    assert!(
        spaced.clone().any(|s| s.demand.each_of.is_empty()),
        "evidence spaced in time"
    );
    assert!(
        spaced.count() < outline.skills.len() / 2,
        "most are met once"
    );
}

// Common practice, no published source: the facts of the trade below.

#[test]
fn the_first_mask_step_is_five_calm_breaths_at_the_surface() {
    let outline = first_dives();
    let step = skill(&outline, "no-mask-surface");
    assert_eq!(step.settings, [Setting::Surface].into());
    assert!(step.needs.is_empty(), "it is the first");
    let five = |m: &Measure| matches!(m, Measure::Count { at_least: 5, .. });
    assert!(step.requirement.measures.iter().any(five));
    let says = &step.requirement.says;
    assert!(says.contains("face down") && says.contains("no mask") && says.contains("calm"));
    for (harder, easier) in [
        ("mask-part", "no-mask-surface"),
        ("mask-full", "mask-part"),
        ("mask-remove", "mask-full"),
    ] {
        let needs = skill(&outline, harder).needs;
        assert!(
            needs.contains(&easier.parse().unwrap()),
            "{harder} comes after {easier}"
        );
    }
}

#[test]
fn a_mask_is_flooded_from_the_top_first() {
    let outline = first_dives();
    for id in ["mask-part", "mask-full"] {
        let skill = skill(&outline, id);
        assert!(skill.requirement.says.contains("from the top"), "{id}");
        assert!(
            skill.cues.iter().any(|cue| cue.contains("nose")),
            "{id} says why"
        );
    }
}

#[test]
fn a_regulator_is_cleared_in_two_ways_and_recovered_in_three() {
    let outline = first_dives();
    let clear = skill(&outline, "reg-clear");
    assert_eq!(methods(&clear), ["breath", "purge"]);
    assert_eq!(clear.methods_needed, MethodsNeeded::All);
    assert_eq!(clear.methods_asked().count(), 2);
    let recover = skill(&outline, "reg-recover");
    assert_eq!(methods(&recover), ["sweep", "reach", "haul"]);
    assert_eq!(recover.methods_needed, MethodsNeeded::All);
    let asked: Vec<&str> = recover.methods_asked().map(|m| m.id.as_str()).collect();
    assert_eq!(
        asked,
        ["sweep", "reach"],
        "the third only where a long hose is worn"
    );
    assert!(cues_of(&recover, "haul").contains("long hose"));
}

#[test]
fn gas_from_a_long_hose_is_passed_with_the_hand_on_the_hose() {
    let give = skill(&first_dives(), "gas-give");
    let cues = cues_of(&give, "long-hose");
    assert!(cues.contains("Hand on the hose") && cues.contains("purge button stays free"));
}

#[test]
fn a_long_hose_is_drawn_out_and_stowed_at_the_start_of_every_dive() {
    let draw = skill(&first_dives(), "long-hose");
    assert!(!draw.required, "only where one is worn");
    let says = &draw.requirement.says;
    assert!(says.contains("start of every dive") && says.contains("full length"));
    assert!(says.contains("stow it again"));
    assert!(
        draw.requirement
            .measures
            .contains(&Measure::Within { seconds: 3 })
    );
}

#[test]
fn under_water_the_hose_side_arm_comes_out_last_and_goes_in_first() {
    let unit = skill(&first_dives(), "unit-under");
    assert_eq!(
        unit.settings,
        [Setting::Confined].into(),
        "shallow pool only"
    );
    assert!(
        unit.methods.is_empty(),
        "in mid-water is not offered to beginners"
    );
    assert!(unit.requirement.says.contains("On the floor"));
    let cues = unit.cues.join(" / ");
    let clear = cues
        .find("clipped across the body")
        .expect("clear the chest");
    let arm = cues
        .find("Hose-side arm comes out last and goes in first")
        .expect("the arm");
    assert!(clear < arm, "everything clipped moves clear before it");
}

#[test]
fn minimum_weight_is_shown_by_breath_alone() {
    let outline = first_dives();
    let check = skill(&outline, "weight-check").requirement.says;
    assert!(check.contains("empty BCD") && check.contains("A full breath floats you"));
    assert!(check.contains("breathing out sinks you"));
    let breath = skill(&outline, "breath-depth");
    assert!(breath.requirement.says.contains("minimum weight"));
    assert!(breath.requirement.says.contains("by breath alone"));
    assert!(breath.requirement.says.contains("first 3 metres"));
    let band = |m: &Measure| matches!(m, Measure::DepthBand { .. });
    assert!(breath.requirement.measures.iter().any(band));
    let hold = |m: &Measure| matches!(m, Measure::Hold { .. });
    assert!(breath.requirement.measures.iter().any(hold));
}

#[test]
fn a_marker_goes_up_within_a_minute_and_is_filled_in_several_ways() {
    let marker = skill(&first_dives(), "marker");
    assert!(
        marker
            .requirement
            .measures
            .contains(&Measure::Within { seconds: 60 })
    );
    assert!(marker.requirement.says.contains("about 30 once practised"));
    assert!(marker.methods.len() >= 3);
    assert_eq!(marker.methods_needed, MethodsNeeded::Any);
}

#[test]
fn kneeling_is_one_way_of_showing_a_skill_and_never_the_only_one() {
    for skill in first_dives().skills {
        let kneels = |text: &str| {
            let text = text.to_lowercase();
            text.contains("kneel") || text.contains("settle")
        };
        assert!(
            !kneels(&skill.requirement.says),
            "{} does not ask for it",
            skill.id
        );
        assert!(!kneels(&skill.name));
        if skill.methods.iter().any(|method| kneels(&method.name)) {
            assert_eq!(skill.methods_needed, MethodsNeeded::Any, "{}", skill.id);
            assert!(methods(&skill).contains(&"hovering"), "{}", skill.id);
        }
    }
}

#[test]
fn the_emergency_swim_up_is_left_to_the_shop() {
    let outline = first_dives();
    let up = skill(&outline, "swim-up");
    assert!(!up.required && up.hazard);
    assert!(
        blocks_running(&outline, &up.id).is_empty(),
        "no course gets it unasked"
    );
    let caution = up.caution.unwrap();
    assert!(caution.contains("Law and organisations differ"));
}

#[test]
fn an_ascent_is_no_faster_than_the_published_rate() {
    // US Navy Diving Manual, revision 7 (2016): 30 ft a minute, 914 cm.
    let ascent = skill(&first_dives(), "ascent").requirement.measures;
    let rates: Vec<u32> = ascent
        .iter()
        .filter_map(|m| {
            if let Measure::AscentRate { cm_per_minute } = m {
                Some(*cm_per_minute)
            } else {
                None
            }
        })
        .collect();
    assert_eq!(rates, [900]);
}

#[test]
fn the_swim_and_the_float_ask_what_the_published_standard_asks() {
    // World Recreational Scuba Training Council, open-water standard (2004), by a
    // secondary account: 200 yd (183 m) and 10 minutes.
    let outline = first_dives();
    let swim = skill(&outline, "swim-200").requirement.measures;
    let far = |m: &Measure| matches!(m, Measure::Distance { decimetres } if *decimetres >= 1_829);
    assert!(swim.iter().any(far));
    let float = skill(&outline, "float-10").requirement.measures;
    assert!(float.contains(&Measure::Hold { seconds: 600 }));
}

#[test]
fn the_outline_claims_no_authority() {
    let source = first_dives().source;
    for honest in [
        "no published source",
        "unconfirmed",
        "local law",
        "training organisation",
    ] {
        assert!(source.contains(honest), "{honest}");
    }
}
