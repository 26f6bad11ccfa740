//! Debrief: proposed from the marks of a session, changed by its instructor, kept and printed.

use tallywater_core::course::Setting;
use tallywater_core::desk::{DeskError, Request};
use tallywater_core::entry::{Body, DebriefText, Kind, Mark, Refusal};
use tallywater_core::paper::{Fonts, Language, Press};
use tallywater_core::view::{DebriefCard, DebriefView, Units};

use crate::paper_tools::Opened;
use crate::support::devices::{Device, School, meet, plan};

fn cards(school: &School, by: &Device) -> Vec<DebriefCard> {
    by.desk
        .look(&school.course, Units::Metric, |course, reader| {
            DebriefView::of(course, reader, &school.session)
                .unwrap()
                .cards
        })
        .unwrap()
}

#[test]
fn a_card_is_proposed_from_what_was_marked_and_from_the_outline() {
    let school = School::new(3);
    let by = &school.instructor;
    let skill = |id: &str| {
        by.desk
            .with_course(&school.course, |course| {
                let outline = course.outline().unwrap();
                outline.skill(&id.parse().unwrap()).unwrap().clone()
            })
            .unwrap()
    };
    let (mask, recover) = (skill("mask-full"), skill("reg-recover"));
    by.mark(&school, 0, "mask-full", Mark::Met);
    let mut tap = school.tap(by, 0, "reg-recover", Mark::NotYet);
    tap.slips = vec![recover.slips[1].id.clone()];
    by.record(Request::Mark(tap));
    let mut next = plan(
        &school.students,
        &[school.renate],
        Setting::Confined,
        "2026-06-08T18:00:00+02:00",
    );
    next.run_list = vec![mask.id.clone(), recover.id.clone()];
    by.record(Request::PlanSession {
        course: school.course,
        session: None,
        plan: next,
    });
    let found = cards(&school, by);
    // Only who was marked in it, or went into its water.
    assert_eq!(found.len(), 1);
    let card = &found[0];
    assert_eq!(card.name.name, "Ottilie Brandvoll");
    assert!(card.kept.is_none());
    assert_eq!(card.said.met, mask.name);
    assert_eq!(
        card.said.fault,
        format!("{}: {}", recover.name, recover.slips[1].fault)
    );
    assert_eq!(card.said.fix, recover.slips[1].fix);
    assert!(card.said.next.contains(&recover.name), "{}", card.said.next);
    assert!(card.said.practise.starts_with(&recover.name));
    assert!(card.said.practise.contains(&recover.cues[0]));
}

#[test]
fn what_an_instructor_changed_is_kept_shown_elsewhere_and_printed() {
    let school = School::new(2);
    let by = &school.instructor;
    by.mark(&school, 0, "mask-full", Mark::Met);
    let said = DebriefText {
        met: "The mask, twice as calm as on Tuesday".into(),
        practise: "Breathing with wet eyes, in the bath".into(),
        ..DebriefText::default()
    };
    let keep = |said: DebriefText| Request::Debrief {
        course: school.course,
        session: school.session,
        student: school.students[0],
        said,
    };
    by.record(keep(said.clone()));
    meet(by, &school.assistant);
    let card = cards(&school, &school.assistant).remove(0);
    assert_eq!(card.said, said);
    assert_eq!(card.kept.unwrap().by.name, "Renate Solheim");
    println!("## Changed once more, the later word stands");
    let later = DebriefText {
        met: "The mask".into(),
        ..DebriefText::default()
    };
    by.record(keep(later.clone()));
    assert_eq!(cards(&school, by)[0].said, later);
    println!("## Nothing at all is no debrief");
    let refused = by.desk.record(keep(DebriefText::default()));
    assert!(matches!(
        refused,
        Err(DeskError::Refused(Refusal::TextEmpty { field: "debrief" }))
    ));
    println!("## On the session's paper, once it has begun");
    let mut press = Press::new(Fonts::bundled().unwrap()).unwrap();
    let sheet = |press: &Press| {
        let papers = by.desk.papers(&school.course).unwrap();
        let sheet = press.session_sheet(&papers.source(), school.session);
        let sheet = Opened::new("debrief-sheet", &sheet.unwrap().unwrap());
        sheet.check();
        sheet.nothing_overlaps();
        sheet.running_text()
    };
    assert!(!sheet(&press).contains("Debrief"), "before it has begun");
    by.stamps.shift(chrono::Duration::hours(3));
    let text = sheet(&press);
    assert!(
        text.contains("Debrief") && text.contains("kept by Renate Solheim"),
        "{text}"
    );
    press.language = Language::German;
    assert!(sheet(&press).contains("Nachbesprechung"));
}

#[test]
fn a_debrief_changes_no_record_and_no_completion() {
    let school = School::new(1);
    let by = &school.instructor;
    by.mark(&school, 0, "mask-full", Mark::Met);
    let record = || {
        let papers = by.desk.papers(&school.course).unwrap();
        papers.record(&school.students[0]).unwrap()
    };
    let before = record();
    let considered = |by: &Device| {
        by.desk
            .with_course(&school.course, |course| {
                course.considered(&school.students[0])
            })
            .unwrap()
    };
    let stood = considered(by);
    by.record(Request::Debrief {
        course: school.course,
        session: school.session,
        student: school.students[0],
        said: DebriefText {
            met: "The mask".into(),
            ..DebriefText::default()
        },
    });
    assert_eq!(considered(by), stood);
    let after = record();
    assert_eq!(after.proof.own, before.proof.own);
    assert_eq!(after.skills, before.skills);
    let kept = by.desk.with_course(&school.course, |course| {
        course
            .of_kind(Kind::Debrief)
            .filter(|one| matches!(&one.entry.body, Body::Debrief(_)))
            .count()
    });
    assert_eq!(kept.unwrap(), 1);
}
