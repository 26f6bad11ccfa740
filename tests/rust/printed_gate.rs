//! What stands before water and what was met all the same, read back off the paper, in both
//! languages.

use tallywater_core::course::{SessionId, SessionPlan, Setting, SkillId};
use tallywater_core::entry::{Mark, Measured, Override, SessionPlanned, Who};
use tallywater_core::paper::{Fonts, Language, Press, Record};
use tallywater_core::view::ascents_ahead;

use crate::paper_school::{School, attempt_of};
use crate::paper_tools::Opened;

const LANGUAGES: [(Language, &str); 2] = [(Language::English, "en"), (Language::German, "de")];

fn press(language: Language) -> Press {
    let mut press = Press::new(Fonts::bundled().unwrap()).unwrap();
    press.language = language;
    press
}

/// A school with one student who was taught everything and six who were taught nothing, one of
/// them fourteen years old; all have their forms.
fn school() -> School {
    let mut school = School::open(&["Odile Färber"]);
    school.teach();
    for name in [
        "Tomás Núñez",
        "Kilian Röhrig",
        "Zita Unger",
        "Bo Li",
        "Ayşe Gülbahar",
        "Wim Oosterling",
    ] {
        school.enrol(name);
    }
    for student in school.students.clone() {
        school.clear(student);
    }
    school
}

/// An open-water session of all of them that goes up with every skill that costs an ascent, and
/// is planned at 30 m.
fn too_much(school: &mut School) -> SessionId {
    let skills = school.outline.skills.iter();
    let skills = skills.filter(|skill| skill.run.ascents > 0);
    let run: Vec<SkillId> = skills.map(|skill| skill.id.clone()).collect();
    assert!(run.len() > 1, "{run:?}");
    let session = school.plan("Deep and often", Setting::Open, run);
    let (plan, after) = {
        let now = school.standings();
        let mut plan: SessionPlan = now.course.sessions()[&session].plan.clone();
        plan.water.max_depth_cm = Some(3_000);
        (plan, now.course.session_entries(&session))
    };
    school.by_instructor_after(SessionPlanned { session, plan }.into(), after);
    session
}

#[test]
fn a_session_sheet_says_all_that_its_gate_knows() {
    let mut school = school();
    let session = too_much(&mut school);
    let outline = school.outline.clone();
    let name = |id: &str| outline.skill(&id.parse().unwrap()).unwrap().name.clone();
    let aside = Override {
        student: school.students[1],
        session,
        skills: ["mask-full".parse().unwrap()].into(),
        why: "Shown to me at the baths in May".into(),
    };
    school.by_instructor(aside.into());
    let standings = school.standings();
    let plan = &standings.course.sessions()[&session].plan;
    let leads = Who::Staff(school.instructor.staff);
    let (ups, _) = ascents_ahead(&standings.course, plan, Some(session), &leads);
    assert!(ups > 6, "{ups} ascents are no more than the rule");
    let missing = name("gas-give");
    for (language, called) in LANGUAGES {
        let source = school.source(&standings);
        let pdf = press(language)
            .session_sheet(&source, session)
            .unwrap()
            .unwrap();
        let sheet = Opened::new(&format!("gate-{called}"), &pdf);
        sheet.check();
        sheet.nothing_overlaps();
        let text = sheet.cell_text();
        let says: [String; 7] = match language {
            Language::English => [
                format!("{missing}: not tried"),
                "nothing missing".into(),
                "Set aside by Renate Quellmalz".into(),
                "Insurance: not recorded".into(),
                "BEYOND THE RULE: planned 30.0 m, at most 12.0 m".into(),
                format!("MORE THAN THE RULE: {ups} ascents that day, at most 6"),
                "under 15: 1 · of age to dive beside them: 6".into(),
            ],
            Language::German => [
                format!("{missing}: nicht versucht"),
                "nichts fehlt".into(),
                "Renate Quellmalz".into(),
                "Versicherung: nicht verzeichnet".into(),
                "ÜBER DER REGEL: geplant 30.0 m, höchstens 12.0 m".into(),
                format!("MEHR ALS DIE REGEL: {ups} Aufstiege an dem Tag, höchstens 6"),
                "unter 15: 1 · Volljährige an ihrer Seite: 6".into(),
            ],
        };
        for said in &says {
            assert!(text.contains(said), "{said} in {text}");
        }
        let aside = format!("{}. Shown to me at the baths in May", name("mask-full"));
        assert!(text.contains(&aside), "{aside} in {text}");
        // Who has everything is the one of whom nothing is said: once, and only once.
        assert_eq!(text.matches(says[1].as_str()).count(), 1, "{text}");
    }
}

#[test]
fn a_record_says_what_was_met_although_below_and_by_which_text_its_rules_hold() {
    let mut school = School::open(&["Odile Färber"]);
    let student = school.students[0];
    school.clear(student);
    let block = school.outline.blocks[0].clone();
    let session = school.plan(&block.title, block.setting, block.run_list);
    let skill = school
        .outline
        .skill(&"mask-full".parse().unwrap())
        .unwrap()
        .clone();
    let mut short = attempt_of(student, &skill, session, None, Mark::Met, Vec::new());
    short.measured = vec![Measured::Seconds(95)];
    short.despite = Some("Cold hands, the mask was clear at the second breath".into());
    school.by_instructor(short.into());
    let standings = school.standings();
    let source = school.source(&standings);
    let record = Record::of(&source, student);
    let rules = standings.course.policy().unwrap().policy.rules.len();
    for (language, called) in LANGUAGES {
        let pdf = press(language)
            .record(&record, source.course.outline(), school.now)
            .unwrap();
        let opened = Opened::new(&format!("record-below-{called}"), &pdf);
        opened.check();
        let text = opened.cell_text();
        let says = match language {
            Language::English => [
                "MET ALTHOUGH BELOW WHAT IS ASKED: Cold hands, the mask was clear".to_owned(),
                format!("{rules} by House decision, read 2026-01-07 by "),
            ],
            Language::German => [
                "ERFÜLLT, OBWOHL UNTER DEM VERLANGTEN: Cold hands, the mask was clear".to_owned(),
                format!("{rules} nach House decision, gelesen am 2026-01-07 von "),
            ],
        };
        for said in says {
            assert!(text.contains(&said), "{said} in {text}");
        }
    }
}
