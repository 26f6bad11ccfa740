//! What is kept, held back and dropped, on every device.

use super::*;

fn hold(
    device: &Device,
    on: HoldOn,
    until: Option<&str>,
) -> (LedgerId, tallywater_core::course::EntryId) {
    let until = until.map(crate::support::devices::day);
    let why = "a claim is open".into();
    device.record(Request::SetHold { on, why, until }).entries[0]
}

#[test]
fn a_hold_keeps_what_it_speaks_of_until_it_is_lifted_or_over() {
    let school = School::new(2);
    let (student, course) = (school.students[0], school.course);
    school.shop.record(Request::ListCourse {
        course,
        state: CourseState::Closed,
    });
    let forget = || Request::Forget {
        student,
        why: "kept long enough".into(),
    };
    let drop_course = || Request::DropCourse {
        course,
        why: "kept long enough".into(),
    };
    let refused = |request: Request| match school.shop.desk.record(request).unwrap_err() {
        DeskError::Refused(refusal) => refusal,
        other => panic!("{other}"),
    };
    // On the person: neither the person nor a course with the person in it goes.
    let (ledger, entry) = hold(&school.shop, HoldOn::Student(student), None);
    assert_eq!(
        refused(forget()),
        Refusal::Held {
            what: "person",
            entry
        }
    );
    assert_eq!(
        refused(drop_course()),
        Refusal::Held {
            what: "course",
            entry
        }
    );
    let listed = school.shop.desk.kept().unwrap();
    assert!(listed.iter().all(|kept| match kept.what {
        KeptWhat::Person(who) if who != student => kept.held.is_none(),
        _ => kept.held == Some(Hold::Legal("a claim is open".into())),
    }));
    let why = None;
    school.shop.record(Request::Withdraw { ledger, entry, why });
    // On the course: nobody in it is forgotten either.
    let (ledger, entry) = hold(&school.shop, HoldOn::Course(course), None);
    assert_eq!(
        refused(forget()),
        Refusal::Held {
            what: "person",
            entry
        }
    );
    assert_eq!(
        refused(drop_course()),
        Refusal::Held {
            what: "course",
            entry
        }
    );
    let why = None;
    school.shop.record(Request::Withdraw { ledger, entry, why });
    // One that would be over before it began is refused; one that is over holds nothing.
    let past = school.shop.desk.record(Request::SetHold {
        on: HoldOn::Student(student),
        why: "an inquiry".into(),
        until: Some(crate::support::devices::day("2026-06-05")),
    });
    assert!(matches!(
        past,
        Err(DeskError::Refused(Refusal::DateOutOfBounds {
            field: "until",
            ..
        }))
    ));
    hold(&school.shop, HoldOn::Student(student), Some("2026-06-06"));
    school.shop.stamps.shift(chrono::Duration::days(1));
    school.shop.record(forget());
    let lone = school.instructor.desk.record(Request::SetHold {
        on: HoldOn::Student(student),
        why: "mine".into(),
        until: None,
    });
    assert!(matches!(
        lone,
        Err(DeskError::Refused(Refusal::Role { .. }))
    ));
}

#[test]
fn a_course_that_is_dropped_goes_from_every_device_and_takes_nobody_else_with_it() {
    let school = School::new(2);
    let course = school.course;
    let opened = school.shop.record(Request::OpenCourse {
        place: None,
        outline: Default::default(),
        title: "First dives, July".into(),
        starts: crate::support::devices::day("2026-07-04"),
        staff: Vec::new(),
    });
    let other: CourseId = opened.made.unwrap().parse().unwrap();
    school.shop.record(Request::EnrolAgain {
        course: other,
        student: school.students[1],
        referred_from: None,
    });
    let drop_course = || Request::DropCourse {
        course,
        why: "kept long enough".into(),
    };
    let running = school.shop.desk.record(drop_course());
    assert!(matches!(
        running,
        Err(DeskError::Refused(Refusal::StillRunning))
    ));
    school.shop.record(Request::ListCourse {
        course,
        state: CourseState::Closed,
    });
    school.meet_all();
    let old = school
        .instructor
        .desk
        .save_ledger(&school.ledger())
        .unwrap();
    school.shop.record(drop_course());
    let again = school.shop.desk.record(drop_course());
    assert!(again.is_err());
    // A device that was away for long forgets when it next meets the shop.
    school
        .instructor
        .stamps
        .shift(crate::support::devices::years(1));
    let shop_ledger = school.shop.desk.shop_ledger().unwrap();
    let shop = LedgerId::Shop(tallywater_core::trust::shop_id(
        &school.shop.desk.shop_root().unwrap(),
    ));
    school.instructor.desk.merge(&shop, &shop_ledger).unwrap();
    for device in [&school.shop, &school.instructor] {
        let ledgers = device.desk.ledgers().unwrap();
        assert!(!ledgers.contains(&school.ledger()));
        assert!(!ledgers.contains(&LedgerId::Person(school.students[0])));
        assert!(ledgers.contains(&LedgerId::Person(school.students[1])));
        let back = device.desk.merge(&school.ledger(), &old);
        assert!(matches!(
            back,
            Err(DeskError::Refused(Refusal::Closed { what: "course" }))
        ));
    }
    assert!(school.shop.desk.papers(&other).is_ok());
    let listed: Vec<CourseId> = school
        .shop
        .desk
        .look_at_shop(tallywater_core::view::Units::Metric, |reader| {
            reader.shop.courses().map(|one| one.course).collect()
        })
        .unwrap();
    assert_eq!(listed, [other]);
}

#[test]
fn free_texts_that_may_hold_a_name_are_listed_with_their_words() {
    let school = School::new(2);
    school.instructor.record(Request::Note {
        course: school.course,
        student: None,
        skill: None,
        session: Some(school.session),
        entry: None,
        text: "Brandvoll waits for the others.".into(),
    });
    let list = school
        .instructor
        .desk
        .texts_to_read(school.students[0])
        .unwrap();
    assert_eq!(list.len(), 1);
    assert!(list[0].at.names);
    assert_eq!(list[0].texts, ["Brandvoll waits for the others."]);
    assert!(!format!("{list:?}").contains("Brandvoll"));
}
