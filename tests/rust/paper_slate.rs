//! The slate sheet: two sizes, both sides, and its boxes as facts.

use tallywater_core::course::{Demand, Setting, Skill};
use tallywater_core::entry::{Exemption, Mark};
use tallywater_core::paper::{Fonts, Language, Press, Slate, SlateBox, SlateSize};

use crate::paper_school::{NAMES, School};
use crate::paper_tools::Opened;

#[test]
fn a_slate_fits_one_to_fourteen_students_on_both_sizes() {
    let press = Press::new(Fonts::bundled().unwrap()).unwrap();
    for count in [1, 4, 8, 14] {
        let mut school = School::open(&NAMES[..count]);
        let run: Vec<_> = school.outline.skills[5..17]
            .iter()
            .map(|skill| skill.id.clone())
            .collect();
        for skills in [1, 5, 12] {
            let session = school.plan(
                "Pool 3: a rather long title for an evening",
                Setting::Confined,
                run[..skills].to_vec(),
            );
            let standings = school.standings();
            let source = school.source(&standings);
            let slate = Slate::of(&source, session, Language::English).unwrap();
            assert_eq!(slate.boxes.len(), count * skills);
            for (size, name, across) in [(SlateSize::A5, "a5", 419.5), (SlateSize::A6, "a6", 297.6)]
            {
                let opened = Opened::new(
                    &format!("slate-{count}-{skills}-{name}"),
                    &press.slate(&slate, size).unwrap(),
                );
                opened.check();
                opened.is_archival();
                opened.nothing_overlaps();
                let (width, _) = opened.size();
                assert!((width - across).abs() < 1.0, "{width}");
                // Fronts and backs in turn.
                assert_eq!(opened.pages() % 2, 0);
                let text = opened.running_text();
                for words in [
                    "EMERGENCY: fill in before the session",
                    "Number",
                    "Nearest chamber",
                    "Oxygen is",
                    "Assembly point",
                    "tick met",
                ] {
                    assert!(text.contains(words), "{words}");
                }
                let sheets = opened.pages() / 2;
                assert_eq!(text.matches("Nearest chamber").count(), sheets);
            }
        }
    }
}

#[test]
fn a_slate_is_black_on_white() {
    let press = Press::new(Fonts::bundled().unwrap()).unwrap();
    let mut school = School::open(&NAMES[..6]);
    let run: Vec<_> = school.outline.skills[5..11]
        .iter()
        .map(|skill| skill.id.clone())
        .collect();
    let session = school.plan("Pool 3", Setting::Confined, run);
    let standings = school.standings();
    let slate = Slate::of(&school.source(&standings), session, Language::English).unwrap();
    let pdf = press.slate(&slate, SlateSize::A5).unwrap();
    let open = Opened::new("slate-black", &pdf).laid_open();
    // Every fill and stroke of the pages is a grey of nought or one.
    let tokens: Vec<&str> = open.split_whitespace().collect();
    let greys: Vec<f64> = tokens
        .windows(2)
        .filter(|pair| matches!(pair[1], "scn" | "SCN" | "g" | "G"))
        .filter_map(|pair| pair[0].parse().ok())
        .collect();
    assert!(!greys.is_empty());
    assert!(
        greys.iter().all(|grey| *grey < 0.001 || *grey > 0.999),
        "{greys:?}"
    );
}

#[test]
fn boxes_say_what_is_met_and_what_is_not_asked() {
    let mut school = School::open(&["Bo Li", "Kilian Röhrig"]);
    let skills = school.outline.skills.clone();
    // Two that are met by one try, whatever the outline says of the others.
    let once = |skill: &&Skill| skill.demand == Demand::default() && skill.methods.is_empty();
    let once: Vec<&Skill> = skills.iter().filter(once).take(2).collect();
    let run = vec![once[0].id.clone(), once[1].id.clone()];
    let session = school.plan("Pool 2", Setting::Confined, run);
    let (bo, kilian) = (school.students[0], school.students[1]);
    school.attempt(bo, once[1], session, None, Mark::Met, Vec::new());
    school.by_instructor(
        Exemption {
            student: kilian,
            skill: once[0].id.clone(),
            why: "No spare on this unit.".into(),
            elsewhere: None,
        }
        .into(),
    );
    let standings = school.standings();
    let slate = Slate::of(&school.source(&standings), session, Language::English).unwrap();
    assert_eq!(
        slate.boxes,
        [
            SlateBox::Wanted,
            SlateBox::Done,
            SlateBox::NotAsked,
            SlateBox::Wanted
        ]
    );
    assert_eq!(slate.at(1, 0), Some(SlateBox::NotAsked));
    assert_eq!((slate.at(0, 2), slate.at(2, 0)), (None, None));
}
