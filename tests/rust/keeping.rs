//! One desk a folder, few ledgers open, loose changes tidied: what is in memory can always
//! be thrown away.

use std::collections::BTreeSet;
use std::sync::Arc;

use tallywater_core::course::{CourseId, LedgerId, Role};
use tallywater_core::desk::{Desk, DeskError, FileKeyStore, MANY_LOOSE, Request};
use tallywater_core::entry::Mark;
use tallywater_core::stamp::DeviceStamps;
use tallywater_core::store::{Store, StoreError};
use tallywater_core::sync::Held;
use tallywater_core::view::Units;

use crate::support::devices::{Device, School, day, details, meet, open_desk};
use crate::support::links::{board, go_online, until};

#[test]
fn a_folder_that_is_in_use_is_not_opened_twice() {
    let device = Device::new(71);
    let again = open_desk(device.folder.path(), &device.stamps);
    let locked = DeskError::Store(StoreError::Locked {
        during: "open the folder",
    });
    assert_eq!(again.err().unwrap().to_string(), locked.to_string());
    let device = device.reopen();
    assert_eq!(device.desk.ledgers().unwrap(), []);
}

#[test]
fn a_question_reaches_the_desk_that_has_the_folder_once() {
    let device = Device::new(72);
    let folder = device.folder.path();
    assert_eq!(device.desk.asked().unwrap(), None);
    let deaf = Desk::ask(folder, &DeviceStamps, "is anybody there").unwrap_err();
    assert!(matches!(deaf, DeskError::Store(StoreError::Locked { .. })));
    device.desk.answers_post(true).unwrap();
    let id = Desk::ask(folder, &DeviceStamps, "how\nare things").unwrap();
    assert_eq!(Desk::answer(folder, &id).unwrap(), None);
    let question = device.desk.asked().unwrap().unwrap();
    assert_eq!(question.text, "how\nare things");
    assert_eq!(device.desk.asked().unwrap(), None, "asked once");
    device.desk.say(&question.id, "well").unwrap();
    assert_eq!(Desk::answer(folder, &id).unwrap().as_deref(), Some("well"));
    assert_eq!(Desk::answer(folder, &id).unwrap(), None, "fetched once");
    assert_eq!(Desk::answer(folder, "another").unwrap(), None);
    let nowhere = Desk::ask(&folder.join("nowhere"), &DeviceStamps, "?");
    assert!(matches!(nowhere, Err(DeskError::NotFound { .. })));
}

#[test]
fn questions_asked_at_the_same_time_are_each_answered_and_in_their_order() {
    let device = Device::new(73);
    let folder = device.folder.path();
    device.desk.answers_post(true).unwrap();
    let asked: Vec<String> = (0..5)
        .map(|n| Desk::ask(folder, &DeviceStamps, &format!("question {n}")).unwrap())
        .collect();
    for n in 0..5 {
        let question = device.desk.asked().unwrap().unwrap();
        assert_eq!(question.text, format!("question {n}"));
        let said = format!("answer {n}");
        device.desk.say(&question.id, &said).unwrap();
    }
    for (n, id) in asked.iter().enumerate().rev() {
        let said = Desk::answer(folder, id).unwrap();
        assert_eq!(said, Some(format!("answer {n}")));
    }
    println!("## A desk that takes over answers nothing that it has not said it would");
    Desk::ask(folder, &DeviceStamps, "left behind").unwrap();
    let device = device.reopen();
    assert_eq!(device.desk.asked().unwrap(), None);
    let deaf = Desk::ask(device.folder.path(), &DeviceStamps, "?").unwrap_err();
    assert!(matches!(deaf, DeskError::Store(StoreError::Locked { .. })));
}

#[test]
fn a_reader_sees_what_is_stored_while_another_desk_writes_and_records_nothing() {
    let school = School::new(1);
    let folder = school.shop.folder.path();
    let keys = || Box::new(FileKeyStore::new(&folder.join("keys")));
    let before = school.shop.desk.ledgers().unwrap();
    let look = || Desk::open_to_read(folder, keys(), Arc::new(DeviceStamps)).unwrap();
    let (first, second) = (look(), look());
    let join = || Request::JoinStaff {
        name: "Somebody New".into(),
    };
    school.shop.desk.record(join()).unwrap();
    assert_eq!(first.ledgers().unwrap(), before);
    assert!(first.record(join()).is_err());
    let staff = |desk: &Desk| {
        let seen = desk.look_at_shop(Units::Metric, |reader| reader.shop.staff().len());
        seen.unwrap()
    };
    let now = staff(&school.shop.desk);
    assert_eq!(staff(&second), now - 1, "as it stood when it was opened");
    assert_eq!(staff(&look()), now, "and anew for whoever looks now");
}

/// Courses with one student each, more than stay open.
fn many_courses(school: &School, count: usize) -> Vec<CourseId> {
    (0..count)
        .map(|n| {
            let opened = school.shop.record(Request::OpenCourse {
                place: None,
                outline: Default::default(),
                title: format!("Course {n}"),
                starts: day("2026-07-01"),
                staff: vec![(school.renate, Role::Instructor)],
            });
            let course: CourseId = opened.made.unwrap().parse().unwrap();
            school.shop.record(Request::Enrol {
                course,
                details: details(&format!("Student {n}")),
                referred_from: None,
            });
            course
        })
        .collect()
}

#[test]
fn a_shop_with_more_courses_than_stay_open_loses_none_of_them() {
    let school = School::new(1);
    let courses = many_courses(&school, 60);
    println!("## Every one can be read and written, in any order");
    for course in courses.iter().chain(courses.iter().rev()) {
        let students = school
            .shop
            .desk
            .with_course(course, |one| one.students().len());
        assert_eq!(students.unwrap(), 1);
    }
    println!("## The link hands all of them over, people too, though few are open");
    let (shop, tablet) = (
        go_online(&school.shop.desk),
        go_online(&school.instructor.desk),
    );
    tablet.look_at(&shop);
    tablet.in_step_with(&shop);
    let ledgers = |device: &Device| -> BTreeSet<LedgerId> {
        device.desk.ledgers().unwrap().into_iter().collect()
    };
    until("every ledger", || {
        ledgers(&school.instructor) == ledgers(&school.shop)
    });
    println!("## And where each is held is known without opening it");
    until("held by the shop", || {
        let held = school.instructor.desk.held().unwrap();
        held.len() == courses.len() + 2 && held.iter().all(|row| row.by_shop == Held::There)
    });
    println!("## Only the assistant, who works on one course, is told of one");
    let assistant = go_online(&school.assistant.desk);
    assistant.look_at(&shop);
    assistant.in_step_with(&shop);
    let theirs = ledgers(&school.assistant);
    let count = |is: fn(&LedgerId) -> bool| theirs.iter().filter(|id| is(id)).count();
    assert_eq!(count(|id| matches!(id, LedgerId::Course(_))), 1);
    assert_eq!(count(|id| matches!(id, LedgerId::Person(_))), 1);
}

#[test]
fn a_store_of_an_older_version_says_where_its_ledgers_stand_once_asked() {
    let school = School::new(2);
    let School {
        instructor, course, ..
    } = school;
    let ledger = LedgerId::Course(course);
    let before = instructor.desk.held().unwrap();
    let Device {
        desk,
        stamps,
        folder,
    } = instructor;
    drop(desk);
    let file = folder.path().join("tallywater.db");
    let mut store = Store::open(&file).unwrap().store;
    let known = store.stands(&ledger).unwrap();
    assert!(known.is_some());
    store.drop_projections().unwrap();
    assert_eq!(store.stands(&ledger).unwrap(), None);
    drop(store);
    let desk = open_desk(folder.path(), &stamps).unwrap();
    assert_eq!(desk.held().unwrap(), before);
    drop(desk);
    assert_eq!(
        Store::open(&file).unwrap().store.stands(&ledger).unwrap(),
        known
    );
}

#[test]
fn many_loose_changes_become_one_piece_and_nothing_changes() {
    let school = School::new(4);
    assert_eq!(
        school.instructor.desk.tidy().unwrap(),
        None,
        "nothing is loose"
    );
    for n in 0..MANY_LOOSE as usize {
        school
            .instructor
            .mark(&school, n % 4, "mask-full", Mark::Nearly);
    }
    let before = board(&school.instructor, &school);
    assert_eq!(
        school.instructor.desk.tidy().unwrap(),
        Some(school.ledger())
    );
    assert_eq!(school.instructor.desk.tidy().unwrap(), None, "once");
    assert_eq!(board(&school.instructor, &school), before);
    println!("## Marks go on, another device takes all, and so does the next start");
    school.instructor.mark(&school, 0, "mask-full", Mark::Met);
    let School {
        shop,
        instructor,
        assistant,
        course,
        session,
        students,
        renate,
        bo,
    } = school;
    let school = School {
        instructor: instructor.reopen(),
        shop,
        assistant,
        course,
        session,
        students,
        renate,
        bo,
    };
    meet(&school.instructor, &school.assistant);
    assert_eq!(
        board(&school.instructor, &school),
        board(&school.assistant, &school)
    );
}
