//! The pool day of the manual, from a school's first start to a student's completion.

use tallywater_core::course::{ClearanceKind, DiveLog, LedgerId, Role, Setting, WaterKind};
use tallywater_core::desk::{DeskError, Request};
use tallywater_core::entry::{ClearanceResult, Mark, Outcome, Passage, Refusal, Who};
use tallywater_core::standing::CellState;

use crate::support::devices::{Device, School, day, plan, time};

fn state(device: &Device, school: &School, student: usize, skill: &str) -> CellState {
    device
        .desk
        .with_course(&school.course, |course| {
            course.cells()[&school.key(student, skill)].state
        })
        .unwrap()
}

#[test]
fn a_pool_day_runs_from_first_start_to_completion() {
    println!("## A school of three devices, a course of eight");
    let school = School::new(8);
    assert_eq!(school.instructor.desk.me().unwrap().role, Role::Instructor);
    assert_eq!(school.assistant.desk.me().unwrap().role, Role::Assistant);

    println!("## In the water, with no network: both mark");
    for student in 0..8 {
        school.instructor.record(Request::Pass {
            course: school.course,
            session: school.session,
            who: Who::Student(school.students[student]),
            passage: Passage::In,
            when: None,
        });
        school
            .instructor
            .mark(&school, student, "mask-full", Mark::Met);
    }
    school.assistant.mark(&school, 0, "swim-200", Mark::Met);
    school.assistant.mark(&school, 1, "mask-full", Mark::NotYet);
    assert_eq!(
        state(&school.assistant, &school, 1, "mask-full"),
        CellState::Trying
    );

    println!("## They meet: both views are shown, an assistant's mark waits");
    school.meet_all();
    for device in [&school.shop, &school.instructor, &school.assistant] {
        assert_eq!(state(device, &school, 1, "mask-full"), CellState::TwoViews);
        assert_eq!(state(device, &school, 0, "swim-200"), CellState::Shown);
    }

    println!("## The instructor settles and confirms");
    school.instructor.record(Request::Resolve {
        on: school.on_screen(&school.instructor, 1, "mask-full"),
        mark: Mark::Met,
        why: "Watched it together on the second try".into(),
    });
    let attempts = school
        .instructor
        .desk
        .with_course(&school.course, |course| {
            course.cells()[&school.key(0, "swim-200")]
                .unconfirmed
                .clone()
        })
        .unwrap();
    school.instructor.record(Request::Confirm {
        course: school.course,
        attempts,
    });
    school.meet_all();
    assert_eq!(
        state(&school.assistant, &school, 0, "swim-200"),
        CellState::Met
    );

    println!("## Completion refuses while a gap is open");
    let considered = school
        .instructor
        .desk
        .with_course(&school.course, |course| {
            course.considered(&school.students[0])
        })
        .unwrap();
    let complete = Request::Complete {
        course: school.course,
        student: school.students[0],
        outcome: Outcome::Completed,
        considered,
    };
    let refused = school.instructor.desk.record(complete).unwrap_err();
    assert!(matches!(refused, DeskError::Refused(Refusal::GapsOpen { count }) if count > 30));
    close_every_gap(&school, 0);
    let considered = school
        .instructor
        .desk
        .with_course(&school.course, |course| {
            course.considered(&school.students[0])
        })
        .unwrap();
    school.instructor.record(Request::Complete {
        course: school.course,
        student: school.students[0],
        outcome: Outcome::Completed,
        considered,
    });
    school.meet_all();
    let completed = school
        .shop
        .desk
        .with_course(&school.course, |course| {
            course.completion(&school.students[0]).is_some()
        })
        .unwrap();
    assert!(completed, "the shop has the completion");
    let everywhere: Vec<_> = [&school.shop, &school.instructor, &school.assistant]
        .map(|device| device.desk.heads(&school.ledger()).unwrap())
        .to_vec();
    assert!(
        everywhere.windows(2).all(|pair| pair[0] == pair[1]),
        "all hold the same"
    );
}

/// Marks everything that is left for one student, in sessions where it may be shown.
fn close_every_gap(school: &School, student: usize) {
    let open_water: Vec<_> = (1..=4)
        .map(|number| {
            let starts = format!("2026-06-{:02}T10:00:00+02:00", 12 + number);
            let mut plan = plan(
                &school.students,
                &[school.renate, school.bo],
                Setting::Open,
                &starts,
            );
            plan.title = format!("Lake {number}");
            let planned = school.instructor.record(Request::PlanSession {
                course: school.course,
                session: None,
                plan,
            });
            planned.made.unwrap().parse().unwrap()
        })
        .collect();
    let outline = tallywater_core::course::starter::outline().unwrap();
    for skill in outline.skills.iter().filter(|skill| skill.required) {
        let mut sessions = vec![school.session, school.session];
        sessions.extend(&open_water);
        let methods: Vec<_> = if skill.methods_asked().count() > 0 {
            skill
                .methods_asked()
                .map(|method| Some(method.id.clone()))
                .collect()
        } else {
            vec![None]
        };
        for session in sessions {
            for method in &methods {
                let mut tap = school.tap(&school.instructor, student, skill.id.as_str(), Mark::Met);
                tap.session = Some(session);
                tap.method.clone_from(method);
                school.instructor.record(Request::Mark(tap));
            }
        }
    }
    for what in [ClearanceKind::Swim, ClearanceKind::Float] {
        school.instructor.record(Request::Clear {
            course: school.course,
            student: school.students[student],
            what,
            result: ClearanceResult::Cleared,
            until: None,
            figure: Some(200),
        });
    }
    for session in open_water {
        school.instructor.record(Request::LogDive {
            course: school.course,
            who: Who::Student(school.students[student]),
            session: Some(session),
            log: DiveLog {
                down: time("2026-06-13T10:20:00+02:00"),
                up: time("2026-06-13T10:51:00+02:00"),
                max_depth_cm: 1_150,
                mean_depth_cm: Some(760),
                ascents: Some(1),
                gas: None,
                water: WaterKind::Fresh,
                temperature_dc: Some(160),
                profile: Vec::new(),
            },
        });
    }
    let gaps = school
        .instructor
        .desk
        .with_course(&school.course, |course| {
            tallywater_core::plan::before_completion(
                course,
                &school.students[student],
                day("2026-06-13"),
                tallywater_core::course::AgeKnown::Born(day("1990-05-05")),
            )
        })
        .unwrap();
    assert_eq!(gaps, []);
}

#[test]
fn what_was_recorded_is_there_after_switching_off() {
    let mut school = School::new(2);
    school
        .instructor
        .mark(&school, 0, "mask-full", Mark::Nearly);
    school.instructor = school.instructor.reopen();
    assert_eq!(
        state(&school.instructor, &school, 0, "mask-full"),
        CellState::Trying
    );
}

#[test]
fn a_device_that_was_not_admitted_records_nothing() {
    let (school, stranger) = (School::new(1), Device::new(9));
    let root = school.shop.desk.shop_root().unwrap();
    stranger
        .desk
        .join_shop(root, &school.shop.desk.shop_ledger().unwrap())
        .unwrap();
    let bytes = school.shop.desk.save_ledger(&school.ledger()).unwrap();
    stranger
        .desk
        .merge(&LedgerId::Course(school.course), &bytes)
        .unwrap();
    let refused = stranger.desk.record(Request::Mark(school.tap(
        &stranger,
        0,
        "mask-full",
        Mark::Met,
    )));
    assert!(
        matches!(refused, Err(DeskError::Refused(Refusal::NotAdmitted))),
        "{refused:?}"
    );
}
