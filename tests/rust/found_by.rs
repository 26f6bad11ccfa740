//! What courses are found by without being opened: who is enrolled, and when was dived.

use tallywater_core::course::{DiveLog, LedgerId, Role, StudentId, WaterKind};
use tallywater_core::desk::Request;
use tallywater_core::entry::Who;
use tallywater_core::view::{ExposureView, NextDive, Units};

use crate::support::devices::{Device, School, day, details, meet, time};

fn log() -> DiveLog {
    DiveLog {
        down: time("2026-06-06T09:00:00+02:00"),
        up: time("2026-06-06T09:35:00+02:00"),
        max_depth_cm: 1_800,
        mean_depth_cm: None,
        ascents: None,
        gas: None,
        water: WaterKind::Fresh,
        temperature_dc: None,
        profile: Vec::new(),
    }
}

/// Dives of the instructor that count before a dive at noon, asked of the first course.
fn dives_of_renate(device: &Device, school: &School) -> (u32, u32) {
    let noon = time("2026-06-06T12:00:00+02:00");
    let depth = tallywater_core::calc::unit::Metres(12.0);
    let next = NextDive::at_sea_level(noon, depth, WaterKind::Fresh).unwrap();
    let (course, units) = (school.course, Units::Metric);
    let view = device.desk.look_beside(
        &course,
        units,
        noon,
        NextDive::FAR_BACK,
        |course, others, reader| ExposureView::of(course, others, reader, &next),
    );
    let view = view.unwrap();
    let who = Who::Staff(school.renate);
    let row = view.people.iter().find(|row| row.who.who() == who).unwrap();
    (row.dives, view.other_courses)
}

#[test]
fn a_dive_that_was_logged_in_another_course_is_found_again_after_a_restart() {
    let school = School::new(1);
    let other = school.shop.record(Request::OpenCourse {
        place: None,
        outline: Default::default(),
        title: "First dives, another".into(),
        starts: day("2026-06-06"),
        staff: vec![(school.renate, Role::Instructor)],
    });
    let course = other.made.unwrap().parse().unwrap();
    school.meet_all();
    assert_eq!(dives_of_renate(&school.instructor, &school), (0, 0));
    let logged = school.instructor.record(Request::LogDive {
        course,
        who: Who::Staff(school.renate),
        session: None,
        log: log(),
    });
    assert_eq!(dives_of_renate(&school.instructor, &school), (1, 1));

    // On the shop's computer, which has it from the tablet, switched off and on again.
    meet(&school.instructor, &school.shop);
    let School {
        shop,
        instructor,
        assistant,
        course: first,
        session,
        students,
        renate,
        bo,
    } = school;
    let school = School {
        shop: shop.reopen(),
        instructor: instructor.reopen(),
        assistant,
        course: first,
        session,
        students,
        renate,
        bo,
    };
    assert_eq!(dives_of_renate(&school.shop, &school), (1, 1));
    // And where every row that can be built again is gone.
    school
        .instructor
        .desk
        .store_for_faults(|store| store.drop_projections().unwrap());
    let instructor = school.instructor.reopen();
    let school = School {
        instructor,
        ..school
    };
    assert_eq!(dives_of_renate(&school.instructor, &school), (1, 1));
    // A log that was withdrawn weighs nothing, though its day is still looked at.
    let (ledger, entry) = logged.entries[0];
    school.instructor.record(Request::Withdraw {
        ledger,
        entry,
        why: None,
    });
    assert_eq!(dives_of_renate(&school.instructor, &school), (0, 0));
}

#[test]
fn what_counts_only_since_it_was_accepted_is_found_in_a_course_that_is_not_open() {
    let school = School::new(1);
    let key = school.instructor.desk.card().key;
    school.shop.record(Request::Revoke {
        key,
        why: "left on the bus".into(),
    });
    // The tablet has not heard, and enrols a student.
    let enrolled = school.instructor.record(Request::Enrol {
        course: school.course,
        details: details("Tove Lindqvist"),
        referred_from: None,
    });
    let student: StudentId = enrolled.made.unwrap().parse().unwrap();
    meet(&school.instructor, &school.shop);
    let shop = school.shop.reopen();
    let person = LedgerId::Person(student);
    let may_have = |shop: &Device| shop.desk.may_have(&school.bo, &person).unwrap();
    assert!(!may_have(&shop), "an enrolment that does not count");
    // The course is not open here while the shop decides.
    let shop = shop.reopen();
    for (ledger, entry) in &enrolled.entries {
        shop.record(Request::AcceptLate {
            ledger: *ledger,
            entries: vec![*entry],
        });
    }
    assert!(may_have(&shop));
    // Nor after another start.
    assert!(may_have(&shop.reopen()));
}
