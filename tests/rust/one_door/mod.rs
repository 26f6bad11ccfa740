//! One door: a mark answers what was on screen and nothing else, and one authority says who
//! may, for screens and for recording alike.

use chrono::Duration;
use tallywater_core::desk::paper::SlateMark;
use tallywater_core::desk::{Again, DeskError, MarkTap, Request};
use tallywater_core::entry::{Mark, Origin, Refusal};
use tallywater_core::paper::{Language, SlateNumber};
use tallywater_core::standing::{Cell, CellState};
use tallywater_core::view::{Leave, OnScreen, StaffView, Tap, Units};

use crate::support::devices::{Device, School, admit, carry, meet, time};

mod property;

const SKILL: &str = "mask-full";

fn cell(on: &Device, school: &School, student: usize) -> Cell {
    let key = school.key(student, SKILL);
    on.desk
        .with_course(&school.course, |course| course.cells()[&key].clone())
        .unwrap()
}

fn state(on: &Device, school: &School) -> CellState {
    cell(on, school, 0).state
}

fn tap(on: OnScreen, mark: Mark) -> Request {
    Request::Mark(MarkTap {
        on,
        mark,
        method: None,
        measured: Vec::new(),
        slips: Vec::new(),
        note: None,
        despite: None,
        session: None,
        origin: Origin::Live,
        again: Again::AnotherTry,
    })
}

fn refused(by: &Device, request: Request) -> Refusal {
    match by.desk.record(request) {
        Err(DeskError::Refused(refusal)) => refusal,
        other => panic!("not refused: {other:?}"),
    }
}

fn typed(by: &Device, school: &School, number: Option<SlateNumber>, seen: &str, mark: Mark) {
    let (student, skill) = school.key(0, SKILL);
    let marks = vec![SlateMark {
        student,
        skill,
        mark,
    }];
    by.desk
        .type_slate(school.course, school.session, number, time(seen), marks)
        .unwrap();
}

#[test]
fn a_slate_typed_in_later_does_not_outvote_a_mark_that_came_between() {
    let school = School::new(1);
    // At ten the instructor's pencil says met; at five past the assistant taps not yet.
    school.assistant.stamps.shift(Duration::minutes(65));
    school.assistant.mark(&school, 0, SKILL, Mark::NotYet);
    school.instructor.stamps.shift(Duration::hours(2));
    meet(&school.assistant, &school.instructor);
    school.instructor.stamps.shift(Duration::hours(9));
    typed(
        &school.instructor,
        &school,
        None,
        "2026-06-06T10:00:00+02:00",
        Mark::Met,
    );
    assert_eq!(state(&school.instructor, &school), CellState::TwoViews);
    // What had come before the pencil is answered.
    let before = School::seeded(1, 2);
    before.assistant.mark(&before, 0, SKILL, Mark::NotYet);
    meet(&before.assistant, &before.instructor);
    before.instructor.stamps.shift(Duration::hours(9));
    typed(
        &before.instructor,
        &before,
        None,
        "2026-06-06T10:00:00+02:00",
        Mark::Met,
    );
    assert_eq!(state(&before.instructor, &before), CellState::Met);
}

#[test]
fn whose_clock_is_wrong_makes_no_difference_to_what_a_slate_answers() {
    let school = School::new(1);
    // The assistant's clock is a year slow: by it the mark was long there.
    school.assistant.stamps.shift(Duration::days(-365));
    school.assistant.mark(&school, 0, SKILL, Mark::NotYet);
    school.instructor.stamps.shift(Duration::hours(3));
    meet(&school.assistant, &school.instructor);
    typed(
        &school.instructor,
        &school,
        None,
        "2026-06-06T10:00:00+02:00",
        Mark::Met,
    );
    assert_eq!(state(&school.instructor, &school), CellState::TwoViews);
}

#[test]
fn a_printed_slate_answers_what_stood_when_it_was_printed() {
    let school = School::new(1);
    let by = &school.instructor;
    by.mark(&school, 0, SKILL, Mark::NotYet);
    let print = || {
        by.desk
            .slate_to_print(&school.course, school.session, Language::English)
            .unwrap()
            .number
            .unwrap()
    };
    let number = print();
    assert_eq!(print(), number, "nothing has come: the same sheet");
    let listed = by
        .desk
        .slate(&school.course, school.session, Language::German)
        .unwrap();
    assert_eq!(listed.printed.len(), 1);
    assert_eq!(listed.printed[0].number, number);
    assert_eq!(number.to_string().to_lowercase().parse(), Ok(number));
    // It arrives before the time on the sheet, and was on nobody's sheet.
    school.assistant.mark(&school, 0, SKILL, Mark::Nearly);
    meet(&school.assistant, by);
    by.stamps.shift(Duration::hours(9));
    typed(
        by,
        &school,
        Some(number),
        "2026-06-06T17:00:00+02:00",
        Mark::Met,
    );
    let now = cell(by, &school, 0);
    assert_eq!(now.state, CellState::TwoViews);
    assert_eq!(now.tries, 3);
    // A sheet that was printed elsewhere is not known here.
    let (student, skill) = school.key(0, SKILL);
    let mark = Mark::Met;
    let marks = vec![SlateMark {
        student,
        skill,
        mark,
    }];
    let other = if number.to_string() == "2222" {
        "3333"
    } else {
        "2222"
    };
    let unknown = by.desk.type_slate(
        school.course,
        school.session,
        Some(other.parse().unwrap()),
        time("2026-06-06T17:00:00+02:00"),
        marks,
    );
    assert!(unknown.unwrap_err().to_string().contains("no such slate"));
}

#[test]
fn a_slate_settles_nothing_though_it_was_printed_beside_marks_that_differ() {
    let school = School::new(1);
    let by = &school.instructor;
    school.assistant.mark(&school, 0, SKILL, Mark::NotYet);
    by.mark(&school, 0, SKILL, Mark::Met);
    meet(&school.assistant, by);
    assert_eq!(state(by, &school), CellState::TwoViews);
    let slate = by
        .desk
        .slate_to_print(&school.course, school.session, Language::English)
        .unwrap();
    by.stamps.shift(Duration::hours(3));
    let seen = "2026-06-06T11:00:00+02:00";
    typed(by, &school, slate.number, seen, Mark::Met);
    assert_eq!(state(by, &school), CellState::TwoViews);
    typed(by, &school, None, seen, Mark::Met);
    assert_eq!(state(by, &school), CellState::TwoViews);
}

#[test]
fn a_mark_by_the_keyboard_answers_the_board_as_it_was_drawn() {
    let school = School::new(1);
    let drawn = school.on_screen(&school.instructor, 0, SKILL);
    school.assistant.mark(&school, 0, SKILL, Mark::NotYet);
    carry(&school.assistant, &school.instructor);
    school.instructor.record(tap(drawn, Mark::Met));
    assert_eq!(state(&school.instructor, &school), CellState::TwoViews);
    school.meet_all();
    assert_eq!(state(&school.shop, &school), CellState::TwoViews);
}

#[test]
fn a_resolution_settles_the_two_marks_that_were_shown_and_not_a_third() {
    let school = School::new(1);
    let by = &school.instructor;
    school.assistant.mark(&school, 0, SKILL, Mark::NotYet);
    by.mark(&school, 0, SKILL, Mark::Met);
    carry(&school.assistant, by);
    let drawn = school.on_screen(by, 0, SKILL);
    // The third is made on a device that saw the assistant's mark alone.
    school.assistant.mark(&school, 0, SKILL, Mark::Nearly);
    carry(&school.assistant, by);
    by.record(Request::Resolve {
        on: drawn,
        mark: Mark::Met,
        why: "Watched it together".into(),
    });
    assert_eq!(state(by, &school), CellState::TwoViews);
    let now = school.on_screen(by, 0, SKILL);
    by.record(Request::Resolve {
        on: now,
        mark: Mark::Met,
        why: "And the third time".into(),
    });
    assert_eq!(state(by, &school), CellState::Met);
}

#[test]
fn an_assistants_mark_never_settles_and_an_instructors_tap_is_the_word_that_does() {
    let school = School::new(1);
    school.assistant.mark(&school, 0, SKILL, Mark::NotYet);
    school.instructor.mark(&school, 0, SKILL, Mark::Met);
    meet(&school.assistant, &school.instructor);
    for mark in [Mark::Met, Mark::NotYet, Mark::Nearly] {
        school.assistant.mark(&school, 0, SKILL, mark);
        assert_eq!(state(&school.assistant, &school), CellState::TwoViews);
    }
    meet(&school.assistant, &school.instructor);
    let shown = school.on_screen(&school.instructor, 0, SKILL);
    assert_eq!(shown.tap(), Tap::Resolution);
    // It wants a reason, as a word that settles does.
    assert_eq!(
        refused(&school.instructor, tap(shown.clone(), Mark::Met)),
        Refusal::TextEmpty { field: "reason" }
    );
    let Request::Mark(mut with_reason) = tap(shown, Mark::Met) else {
        panic!("a mark")
    };
    with_reason.note = Some("Seen again".into());
    let tries = cell(&school.instructor, &school, 0).tries;
    school.instructor.record(Request::Mark(with_reason));
    let settled = cell(&school.instructor, &school, 0);
    assert_eq!((settled.state, settled.tries), (CellState::Met, tries));
}

#[test]
fn an_assistants_mark_clears_no_slip_until_an_instructor_confirms_it() {
    let school = School::new(1);
    let by = &school.instructor;
    by.mark(&school, 0, SKILL, Mark::Met);
    by.mark(&school, 0, SKILL, Mark::NotYet);
    assert!(cell(by, &school, 0).slipped_since);
    carry(by, &school.assistant);
    let shown = school.assistant.mark(&school, 0, SKILL, Mark::Met);
    assert!(cell(&school.assistant, &school, 0).slipped_since);
    carry(&school.assistant, by);
    let waits = school.on_screen(by, 0, SKILL).waiting().to_vec();
    assert_eq!(waits, [shown.entries[0].1]);
    by.record(Request::Confirm {
        course: school.course,
        attempts: waits,
    });
    assert!(!cell(by, &school, 0).slipped_since);
}

#[test]
fn an_assistant_takes_back_no_mark_that_an_instructor_confirmed() {
    let school = School::new(1);
    let shown = school.assistant.mark(&school, 0, SKILL, Mark::Met);
    let entry = shown.entries[0].1;
    carry(&school.assistant, &school.instructor);
    school.instructor.record(Request::Confirm {
        course: school.course,
        attempts: vec![entry],
    });
    let withdraw = || Request::Withdraw {
        ledger: school.ledger(),
        entry,
        why: None,
    };
    // Apart: the assistant has not heard of it. What an instructor stands behind, stands.
    school.assistant.record(withdraw());
    assert_eq!(state(&school.assistant, &school), CellState::Open);
    meet(&school.assistant, &school.instructor);
    for device in [&school.assistant, &school.instructor] {
        assert_eq!(state(device, &school), CellState::Met);
    }
    assert_eq!(
        refused(&school.assistant, withdraw()),
        Refusal::NotYours { entry }
    );
    school.instructor.record(withdraw());
    assert_eq!(state(&school.instructor, &school), CellState::Open);
}

#[test]
fn what_another_device_drew_is_refused() {
    let school = School::new(1);
    let drawn = school.on_screen(&school.assistant, 0, SKILL);
    let text = || "why".to_owned();
    let asked = [
        tap(drawn.clone(), Mark::Met),
        Request::Exempt {
            on: drawn.clone(),
            why: text(),
        },
        Request::Resolve {
            on: drawn,
            mark: Mark::Met,
            why: text(),
        },
    ];
    for request in asked {
        assert_eq!(refused(&school.instructor, request), Refusal::OtherDesk);
    }
}

#[test]
fn a_lone_instructor_shuts_out_an_assistants_lost_device() {
    let tablet = Device::new(41);
    tablet
        .desk
        .start_alone("Grebe Hollow Divers", "Ottar Lindqvist")
        .unwrap();
    let lost = Device::new(42);
    admit(
        &tablet,
        &lost,
        "Bo Merriweather",
        tallywater_core::course::Role::Assistant,
    );
    let staff = tablet
        .desk
        .look_at_shop(Units::Metric, |reader| StaffView::of(reader, None))
        .unwrap();
    assert_eq!(staff.may_revoke, Leave::Yes, "the root is on this tablet");
    let key = lost.desk.own_key();
    tablet.record(Request::Revoke {
        key,
        why: "Left on the boat".into(),
    });
    meet(&tablet, &lost);
    assert!(lost.desk.me().is_none(), "it has heard");
    // An instructor of a shop with an office has no root, and may not.
    let school = School::new(1);
    let staff = school
        .instructor
        .desk
        .look_at_shop(Units::Metric, |reader| StaffView::of(reader, None))
        .unwrap();
    assert_eq!(staff.may_revoke, Leave::Role);
}
