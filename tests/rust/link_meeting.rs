//! Devices meet on a network: what one records the others have, with nobody doing anything.

use tallywater_core::course::{LedgerId, Role};
use tallywater_core::desk::Request;
use tallywater_core::entry::Mark;
use tallywater_core::link::{LinkEvent, Parting};
use tallywater_core::sync::Held;

use crate::support::devices::{Device, School, years};
use crate::support::links::{board, go_online, until};

/// Skills that the starter outline has.
pub(crate) const SKILLS: [&str; 3] = ["mask-full", "swim-200", "mask-partial"];

fn all_equal(school: &School) -> bool {
    let shop = board(&school.shop, school);
    shop == board(&school.instructor, school) && shop == board(&school.assistant, school)
}

#[test]
fn a_days_work_goes_both_ways_while_both_keep_marking() {
    let school = School::new(6);
    println!("## Both mark before they meet");
    for student in 0..6 {
        school
            .instructor
            .mark(&school, student, SKILLS[0], Mark::Met);
        school
            .assistant
            .mark(&school, student, SKILLS[0], Mark::NotYet);
    }
    println!("## They meet and keep marking");
    let instructor = go_online(&school.instructor.desk);
    let assistant = go_online(&school.assistant.desk);
    instructor.look_at(&assistant);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            for n in 0..30 {
                school.instructor.mark(&school, n % 6, SKILLS[1], Mark::Met);
            }
        });
        scope.spawn(|| {
            for n in 0..30 {
                school
                    .assistant
                    .mark(&school, n % 6, SKILLS[1], Mark::Nearly);
            }
        });
    });
    until("equal boards", || {
        board(&school.instructor, &school) == board(&school.assistant, &school)
    });
    let course = LedgerId::Course(school.course);
    let before = school.instructor.desk.entries(&course).unwrap();
    assert_eq!(before, school.assistant.desk.entries(&course).unwrap());
    println!("## The shop comes last and lacks nothing");
    let shop = go_online(&school.shop.desk);
    shop.look_at(&instructor);
    until("equal boards everywhere", || all_equal(&school));
    assert_eq!(school.shop.desk.entries(&course).unwrap(), before);
}

#[test]
fn three_devices_in_a_triangle_agree_with_one_pair_that_never_meets() {
    let school = School::new(3);
    let shop = go_online(&school.shop.desk);
    let instructor = go_online(&school.instructor.desk);
    let assistant = go_online(&school.assistant.desk);
    // The assistant and the shop know no address of each other.
    instructor.look_at(&shop);
    instructor.look_at(&assistant);
    instructor.in_step_with(&shop);
    instructor.in_step_with(&assistant);
    school.assistant.mark(&school, 0, SKILLS[0], Mark::Met);
    school.shop.record(Request::JoinStaff {
        name: "Tove Askildsen".into(),
    });
    until("equal boards", || all_equal(&school));
    let shop_ledger = |device: &Device| {
        let ledgers = device.desk.ledgers().unwrap();
        let id = ledgers
            .into_iter()
            .find(|id| matches!(id, LedgerId::Shop(_)));
        device.desk.heads(&id.unwrap()).unwrap()
    };
    until("the shop's ledger everywhere", || {
        shop_ledger(&school.shop) == shop_ledger(&school.assistant)
    });
    shop.look_at(&assistant);
    shop.in_step_with(&assistant);
    school.shop.record(Request::JoinStaff {
        name: "Ulf Brekke".into(),
    });
    until("and in the closed triangle", || {
        shop_ledger(&school.shop) == shop_ledger(&school.assistant)
            && shop_ledger(&school.shop) == shop_ledger(&school.instructor)
    });
}

#[test]
fn a_mark_is_held_by_the_shop_only_once_the_shop_has_said_so() {
    let school = School::new(2);
    let ledger = school.ledger();
    let held = || school.instructor.desk.held_by_shop(&ledger).unwrap();
    assert_eq!(held(), Held::NotKnown, "the link has never met the shop");
    {
        let shop = go_online(&school.shop.desk);
        let instructor = go_online(&school.instructor.desk);
        instructor.look_at(&shop);
        instructor.in_step_with(&shop);
        until("held by the shop", || held() == Held::There);
        instructor.link.close();
        shop.link.close();
    }
    school.instructor.mark(&school, 0, SKILLS[0], Mark::Met);
    school.instructor.mark(&school, 1, SKILLS[0], Mark::Met);
    assert_eq!(held(), Held::HereOnly { changes: 2 });
    println!("## The assistant has them now; the shop still has not");
    let instructor = go_online(&school.instructor.desk);
    let assistant = go_online(&school.assistant.desk);
    instructor.look_at(&assistant);
    instructor.in_step_with(&assistant);
    assert_eq!(held(), Held::HereOnly { changes: 2 });
    let shop = go_online(&school.shop.desk);
    instructor.look_at(&shop);
    until("held by the shop again", || held() == Held::There);
}

#[test]
fn a_device_that_is_switched_off_is_found_again_at_another_port() {
    let school = School::new(2);
    let shop = go_online(&school.shop.desk);
    let instructor = go_online(&school.instructor.desk);
    instructor.look_at(&shop);
    instructor.in_step_with(&shop);
    let before = shop.link.place();
    shop.link.close();
    instructor.ear.hears("the parting", |event| {
        matches!(event, LinkEvent::Parted { peer, why: Parting::TheyStopped } if *peer == shop.link.key())
    });
    school.instructor.mark(&school, 0, SKILLS[0], Mark::Met);
    let again = go_online(&school.shop.desk);
    assert_ne!(before.addresses, again.link.place().addresses);
    // The shop knows where the tablet was: it needs no telling, and no change of its own.
    until("the mark at the shop", || {
        board(&school.shop, &school) == board(&school.instructor, &school)
    });
}

#[test]
fn clocks_that_differ_are_warned_of_and_move_no_mark() {
    let school = School::new(2);
    school.assistant.stamps.shift(years(3));
    school.instructor.mark(&school, 0, SKILLS[0], Mark::Met);
    let instructor = go_online(&school.instructor.desk);
    let assistant = go_online(&school.assistant.desk);
    instructor.look_at(&assistant);
    instructor.in_step_with(&assistant);
    let warned = instructor.ear.hears("a warning", |event| {
        matches!(event, LinkEvent::ClockDiffers { .. })
    });
    let LinkEvent::ClockDiffers { gap, .. } = warned else {
        panic!("{warned:?}");
    };
    assert!(gap.seconds > 3 * 360 * 86_400, "{gap:?}");
    assert_eq!(
        board(&school.instructor, &school),
        board(&school.assistant, &school)
    );
}

#[test]
fn a_course_begun_on_a_tablet_reaches_the_shop_with_its_people() {
    let school = School::new(2);
    let shop = go_online(&school.shop.desk);
    let instructor = go_online(&school.instructor.desk);
    instructor.look_at(&shop);
    instructor.in_step_with(&shop);
    let opened = school.instructor.record(Request::OpenCourse {
        place: None,
        outline: Default::default(),
        title: "First dives, July".into(),
        starts: crate::support::devices::day("2026-07-04"),
        staff: vec![(school.renate, Role::Instructor)],
    });
    let course: tallywater_core::course::CourseId = opened.made.unwrap().parse().unwrap();
    let enrolled = school.instructor.record(Request::Enrol {
        course,
        details: crate::support::devices::details("Ysolde Marchpane"),
        referred_from: None,
    });
    let person = LedgerId::Person(enrolled.made.unwrap().parse().unwrap());
    let course = LedgerId::Course(course);
    for ledger in [course, person] {
        until("the new ledger at the shop", || {
            let there = school.shop.desk.heads(&ledger).ok();
            there.is_some() && there == school.instructor.desk.heads(&ledger).ok()
        });
    }
    println!("## The assistant is not on it and is never told of it");
    let assistant = go_online(&school.assistant.desk);
    assistant.look_at(&shop);
    assistant.look_at(&instructor);
    assistant.in_step_with(&shop);
    assistant.in_step_with(&instructor);
    assert!(school.assistant.desk.heads(&course).is_err());
    assert!(school.assistant.desk.heads(&person).is_err());
}
