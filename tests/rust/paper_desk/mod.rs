//! Papers and files through the desk: what is printed, what comes in, what is deleted.

mod kept;
mod referral;

use std::collections::{BTreeMap, BTreeSet};

use tallywater_core::course::{CourseId, LedgerId, StudentId};
use tallywater_core::desk::paper::{BundleTaken, PaperError, SlateMark, Whose};
use tallywater_core::desk::{Desk, DeskError, Request};
use tallywater_core::entry::{
    Body, CourseState, HoldOn, Kind, Mark, Origin, Outcome, Refusal, Who,
};
use tallywater_core::ledger::{Fingerprint, Ledger, State};
use tallywater_core::paper::bundle::{BundleError, read_bundle};
use tallywater_core::paper::data::{DiveFor, UddfDive, UddfError, uddf_dives, write_uddf};
use tallywater_core::paper::retention::{Hold, KeptWhat};
use tallywater_core::paper::roster::{Hints, RosterFault, Twins};
use tallywater_core::paper::{Claim, Fonts, Go, Language, Press, Printed, Record, SlateBox};
use tallywater_core::standing::CellState;

use crate::paper_school;
use crate::support::devices::{Device, School, carry, details, meet, time};

fn refusal(error: PaperError) -> Refusal {
    match error {
        PaperError::Desk(DeskError::Refused(refusal)) => refusal,
        other => panic!("{other}"),
    }
}

fn press() -> Press {
    Press::new(Fonts::bundled().unwrap()).unwrap()
}

fn everything(desk: &Desk) -> BTreeMap<LedgerId, Vec<u8>> {
    let ledgers = desk.ledgers().unwrap();
    let heads = |id: &LedgerId| desk.heads(id).unwrap().to_hex().concat().into_bytes();
    ledgers.iter().map(|id| (*id, heads(id))).collect()
}

#[test]
fn a_paper_is_printed_outside_the_lock_from_what_stood_when_it_was_asked_for() {
    let school = School::new(2);
    let desk = &school.instructor.desk;
    let papers = desk.papers(&school.course).unwrap();
    let before = papers.record(&school.students[0]).unwrap();
    school.instructor.mark(&school, 0, "mask-full", Mark::Met);
    assert_eq!(papers.record(&school.students[0]).unwrap(), before);
    let after = desk.papers(&school.course).unwrap();
    assert_ne!(after.record(&school.students[0]).unwrap(), before);
    assert_eq!(before.name.as_deref(), Some("Ottilie Brandvoll"));
    let stranger = StudentId::new(uuid::Uuid::from_u128(9));
    assert!(matches!(
        after.record(&stranger),
        Err(DeskError::NotFound {
            what: "student",
            ..
        })
    ));
    let nowhere = CourseId::new(uuid::Uuid::from_u128(9));
    assert!(matches!(
        desk.papers(&nowhere),
        Err(DeskError::NotFound { what: "course", .. })
    ));
}

#[test]
fn a_shop_prints_every_record_of_its_courses_as_one_job_that_can_be_stopped() {
    let school = School::new(3);
    let desk = &school.shop.desk;
    let courses = desk.courses_here().unwrap();
    let mut seen = Vec::new();
    let done = desk
        .print_records(&courses, &press(), &mut |papers, step| {
            assert!(step.pdf.starts_with(b"%PDF-"));
            assert!(papers.record(&step.student).is_ok());
            seen.push((step.done, step.of));
            if step.done == 2 { Go::Stop } else { Go::On }
        })
        .unwrap();
    assert_eq!((done, seen), (2, vec![(1, 3), (2, 3)]));
}

#[test]
fn a_marked_slate_is_typed_in_whole_with_its_own_time() {
    let school = School::new(2);
    let desk = &school.instructor.desk;
    let seen = time("2026-06-06T10:40:00+02:00");
    // In the evening, dry.
    school.instructor.stamps.shift(chrono::Duration::hours(9));
    let mark = |student: usize, skill: &str, mark| SlateMark {
        student: school.students[student],
        skill: skill.parse().unwrap(),
        mark,
    };
    let marks = vec![
        mark(0, "mask-full", Mark::Met),
        mark(1, "mask-full", Mark::NotYet),
    ];
    let done = desk
        .type_slate(school.course, school.session, None, seen, marks.clone())
        .unwrap();
    assert_eq!(done.entries.len(), 2);
    desk.with_course(&school.course, |course| {
        for one in course.of_kind(Kind::Attempt) {
            let Body::Attempt(attempt) = &one.entry.body else {
                panic!("an attempt")
            };
            assert_eq!(attempt.origin, Origin::Slate { seen });
            assert_eq!(attempt.session, Some(school.session));
            assert!(one.entry.at > seen, "written later than it was seen");
        }
    })
    .unwrap();
    // The same box twice, or one box of a skill that is not there: none of it is recorded.
    let before = everything(desk);
    let twice = vec![marks[0].clone(), marks[0].clone()];
    let error = desk
        .type_slate(school.course, school.session, None, seen, twice)
        .unwrap_err();
    assert_eq!(refusal(error), Refusal::Twice { what: "mark" });
    let wrong = vec![marks[0].clone(), mark(1, "juggling", Mark::Met)];
    let error = desk
        .type_slate(school.course, school.session, None, seen, wrong)
        .unwrap_err();
    assert_eq!(refusal(error), Refusal::Unknown { what: "skill" });
    // Nobody has seen yet what is to be tomorrow.
    let tomorrow = seen + chrono::Duration::days(1);
    let error = desk
        .type_slate(school.course, school.session, None, tomorrow, marks)
        .unwrap_err();
    assert_eq!(refusal(error), Refusal::StillToCome { field: "seen" });
    assert_eq!(everything(desk), before);
    let slate = desk
        .slate(&school.course, school.session, Language::English)
        .unwrap();
    assert_eq!(slate.students.len(), 2);
    assert!(slate.boxes.iter().all(|b| *b == SlateBox::Wanted) || slate.skills.is_empty());
}

const ROSTER: &str = "Name;Born;Phone\r\n\
    Tove Lindqvist;1990-02-03;+00 555 0101\r\n\
    Ottilie Brandvoll;;\r\n\
    Hannu Kivelä;2011-05-06;\r\n\
    tove  LINDQVIST;1990-02-03;\r\n";

#[test]
fn a_roster_is_looked_at_first_and_then_enrolled_in_one_transaction() {
    let school = School::new(1);
    let desk = &school.shop.desk;
    let before = everything(desk);
    let preview = desk
        .look_at_roster(&school.course, ROSTER.as_bytes(), Hints::default())
        .unwrap();
    assert_eq!(preview.rows.len(), 4);
    assert_eq!(
        preview.rows.iter().filter(|row| row.twin.is_some()).count(),
        2
    );
    assert_eq!(everything(desk), before, "looking takes nothing");
    // In this course already is left out, whatever is asked of people the shop knows.
    let taken = desk
        .take_roster(
            school.course,
            ROSTER.as_bytes(),
            Hints::default(),
            Twins::Again,
        )
        .unwrap();
    assert_eq!((taken.enrolled, taken.again), (2, 0));
    assert_eq!(taken.left_out, [3, 5]);
    let again = desk
        .take_roster(
            school.course,
            ROSTER.as_bytes(),
            Hints::default(),
            Twins::LeaveOut,
        )
        .unwrap();
    assert_eq!((again.enrolled, again.left_out.len()), (0, 4));
    let students = desk
        .with_course(&school.course, |course| course.students().len())
        .unwrap();
    assert_eq!(students, 3);
}

#[test]
fn someone_the_shop_knows_joins_another_course_with_the_details_it_has() {
    let school = School::new(1);
    let desk = &school.shop.desk;
    let opened = school.shop.record(Request::OpenCourse {
        place: None,
        outline: Default::default(),
        title: "First dives, July".into(),
        starts: crate::support::devices::day("2026-07-04"),
        staff: Vec::new(),
    });
    let other: CourseId = opened.made.unwrap().parse().unwrap();
    let roster = b"name\nOttilie Brandvoll\n";
    let left = desk
        .take_roster(other, roster, Hints::default(), Twins::LeaveOut)
        .unwrap();
    assert_eq!((left.enrolled, left.again, left.left_out.len()), (0, 0, 1));
    let taken = desk
        .take_roster(other, roster, Hints::default(), Twins::Again)
        .unwrap();
    assert_eq!((taken.enrolled, taken.again), (0, 1));
    let students = desk
        .with_course(&other, |course| course.students())
        .unwrap();
    assert_eq!(students, [school.students[0]]);
}

#[test]
fn one_bad_row_and_nobody_is_enrolled() {
    let school = School::new(1);
    let desk = &school.shop.desk;
    let before = everything(desk);
    let bad = "name,born\nTove Lindqvist,1990-02-03\n,1991-01-01\nHannu Kivelä,soon\n";
    let preview = desk
        .look_at_roster(&school.course, bad.as_bytes(), Hints::default())
        .unwrap();
    let said: Vec<(u64, String)> = preview
        .faults
        .iter()
        .map(|fault| (fault.line, fault.reason.to_string()))
        .collect();
    assert_eq!(said[0], (3, "the name is missing".into()));
    assert_eq!(said[1].0, 4);
    let error = desk
        .take_roster(
            school.course,
            bad.as_bytes(),
            Hints::default(),
            Twins::LeaveOut,
        )
        .unwrap_err();
    assert!(matches!(
        error,
        PaperError::Roster(RosterFault::BadRows { count: 2 })
    ));
    // An assistant may not enrol: the rules are asked for every row.
    let good = b"name\nTove Lindqvist\n";
    let error = school
        .assistant
        .desk
        .take_roster(school.course, good, Hints::default(), Twins::LeaveOut)
        .unwrap_err();
    assert!(matches!(refusal(error), Refusal::Role { .. }));
    assert_eq!(everything(desk), before);
}

#[test]
fn a_dive_log_goes_out_and_comes_in_once() {
    let school = School::new(1);
    let desk = &school.instructor.desk;
    let who = Who::Student(school.students[0]);
    let log = tallywater_core::course::DiveLog {
        down: time("2026-06-05T10:00:00+02:00"),
        up: time("2026-06-05T10:31:00+02:00"),
        max_depth_cm: 1_150,
        mean_depth_cm: None,
        ascents: Some(1),
        gas: None,
        water: tallywater_core::course::WaterKind::Fresh,
        temperature_dc: Some(90),
        profile: Vec::new(),
    };
    let dive = UddfDive {
        entry: tallywater_core::course::EntryId::new(uuid::Uuid::from_u128(5)),
        log: log.clone(),
        site: None,
        purpose: DiveFor::Teaching,
        signed: None,
    };
    let file = write_uddf("Ottilie Brandvoll", &[dive], log.up).unwrap();
    let seen = desk.look_at_dives(&school.course, &who, &file).unwrap();
    assert_eq!((seen.dives[0].here, seen.new), (false, 1));
    let taken = desk.take_dives(school.course, who, None, &file).unwrap();
    assert_eq!((taken.logged, taken.left_out), (1, 0));
    let seen = desk.look_at_dives(&school.course, &who, &file).unwrap();
    assert_eq!((seen.dives[0].here, seen.new), (true, 0));
    let again = desk.take_dives(school.course, who, None, &file).unwrap();
    assert_eq!((again.logged, again.left_out), (0, 1));
    let papers = desk.papers(&school.course).unwrap();
    let dives = uddf_dives(&papers.source(), &who);
    assert_eq!(dives.len(), 1);
    assert_eq!(dives[0].log, log);
    let error = desk
        .take_dives(school.course, who, None, b"no log")
        .unwrap_err();
    assert!(matches!(error, PaperError::Uddf(UddfError::NotUddf)));
}

#[test]
fn a_course_file_comes_in_whole_in_one_commit_or_not_at_all() {
    let school = School::new(2);
    let all: BTreeSet<StudentId> = school.students.iter().copied().collect();
    school.instructor.record(Request::Amend {
        course: school.course,
        student: school.students[1],
        details: details("Anneli Brandvoll"),
    });
    school.instructor.mark(&school, 0, "mask-full", Mark::Met);
    let file = school
        .instructor
        .desk
        .export_bundle(&school.course, &all)
        .unwrap();
    let shop = &school.shop.desk;
    let before = everything(shop);
    // The course and a person's details are new: two ledgers that move on together.
    let refuse = |nth: u32| {
        let mut count = 0;
        let hook = move || {
            count += 1;
            count == nth
        };
        shop.store_for_faults(|store| {
            store
                .connection_for_faults()
                .commit_hook(Some(hook))
                .unwrap();
        });
    };
    refuse(1);
    let error = shop.take_bundle(&file).unwrap_err();
    assert!(
        matches!(error, PaperError::Desk(DeskError::Store(_))),
        "{error}"
    );
    assert_eq!(everything(shop), before, "nothing of it is here");
    refuse(2);
    let taken = shop.take_bundle(&file).unwrap();
    assert!(
        matches!(taken, BundleTaken::Merged { new: 3, .. }),
        "{taken:?}"
    );
    let after = everything(shop);
    let moved = after
        .iter()
        .filter(|(id, heads)| before.get(id) != Some(heads));
    assert_eq!(
        moved.count(),
        2,
        "both, in the one commit that was let through"
    );
}

#[test]
fn a_course_file_of_ones_own_shop_is_merged_and_overwrites_nothing() {
    let school = School::new(2);
    school.instructor.mark(&school, 0, "mask-full", Mark::Met);
    let all: BTreeSet<StudentId> = school.students.iter().copied().collect();
    let file = school
        .instructor
        .desk
        .export_bundle(&school.course, &all)
        .unwrap();
    // Meanwhile the shop goes on.
    school.shop.record(Request::RetitleCourse {
        place: None,
        course: school.course,
        title: "First dives, the June class".into(),
        starts: crate::support::devices::day("2026-06-06"),
    });
    let shop_before = everything(&school.shop.desk);
    let seen = school.shop.desk.look_at_bundle(&file).unwrap();
    assert_eq!(seen.whose, Whose::Ours);
    assert_eq!(seen.students.len(), 2);
    assert_eq!(everything(&school.shop.desk), shop_before);
    let taken = school.shop.desk.take_bundle(&file).unwrap();
    let BundleTaken::Merged { course, new } = taken else {
        panic!("{taken:?}")
    };
    assert_eq!((course, new), (school.course, 1));
    let title = school
        .shop
        .desk
        .with_course(&course, |course| course.opened().unwrap().title.clone())
        .unwrap();
    assert_eq!(title, "First dives, the June class");
    // Nothing of the file's part of the shop's ledger: the shop holds its own whole.
    let shop = LedgerId::Shop(tallywater_core::trust::shop_id(
        &school.shop.desk.shop_root().unwrap(),
    ));
    let after = everything(&school.shop.desk);
    assert_eq!(after.get(&shop), shop_before.get(&shop));
    assert!(school.shop.desk.mishaps_of(&shop).unwrap().is_empty());
    assert_eq!(
        school.shop.desk.take_bundle(&file).unwrap(),
        BundleTaken::Merged { course, new: 0 }
    );
    // And both are one course after they meet.
    meet(&school.shop, &school.instructor);
    assert_eq!(
        school.shop.desk.heads(&school.ledger()).unwrap(),
        school.instructor.desk.heads(&school.ledger()).unwrap()
    );
}

#[test]
fn a_forgotten_person_does_not_come_back_with_an_old_course_file() {
    let school = School::new(2);
    let all: BTreeSet<StudentId> = school.students.iter().copied().collect();
    let file = school
        .shop
        .desk
        .export_bundle(&school.course, &all)
        .unwrap();
    school.shop.record(Request::Forget {
        student: school.students[0],
        why: "asked for it".into(),
    });
    school.shop.desk.take_bundle(&file).unwrap();
    let person = LedgerId::Person(school.students[0]);
    assert!(!school.shop.desk.ledgers().unwrap().contains(&person));
}

#[test]
fn a_changed_course_file_is_refused_before_anything_is_taken() {
    let school = School::new(1);
    let other = School::seeded(1, 5);
    let all: BTreeSet<StudentId> = other.students.iter().copied().collect();
    let file = other
        .instructor
        .desk
        .export_bundle(&other.course, &all)
        .unwrap();
    let before = everything(&school.instructor.desk);
    for at in [20, 200, file.len() / 2, file.len() - 100, file.len() - 1] {
        let mut changed = file.clone();
        changed[at] ^= 1;
        let error = school.instructor.desk.take_bundle(&changed).unwrap_err();
        assert!(
            matches!(error, PaperError::Bundle(BundleError::Tampered)),
            "{at}: {error}"
        );
    }
    let error = school
        .instructor
        .desk
        .take_bundle(b"holiday.jpg")
        .unwrap_err();
    assert!(matches!(error, PaperError::Bundle(BundleError::NotABundle)));
    assert_eq!(everything(&school.instructor.desk), before);
}

#[test]
fn a_printed_record_is_held_against_what_a_device_holds() {
    let school = School::new(2);
    let desk = &school.instructor.desk;
    school.instructor.mark(&school, 0, "mask-full", Mark::Met);
    let papers = desk.papers(&school.course).unwrap();
    let printed = papers.record(&school.students[0]).unwrap().proof;
    let verified = desk
        .verify_course(&school.course, Some(printed.fingerprint.into()))
        .unwrap();
    assert_eq!(verified.printed, Some(Printed::Same));
    // The next day: entries stand in the order of the clocks that wrote them.
    school.instructor.stamps.shift(chrono::Duration::days(1));
    school.instructor.mark(&school, 1, "mask-full", Mark::Met);
    let verified = desk
        .verify_course(&school.course, Some(printed.fingerprint.into()))
        .unwrap();
    assert!(matches!(
        verified.printed,
        Some(Printed::Before { since: 1, .. })
    ));
    let verified = desk
        .verify_course(&school.course, Some(printed.own.into()))
        .unwrap();
    let of_record = Printed::Record {
        student: school.students[0],
        entries: printed.own_entries,
        since: 0,
    };
    assert_eq!(verified.printed, Some(of_record));
    let verified = desk
        .verify_course(&school.course, Some(Fingerprint([7; 32]).into()))
        .unwrap();
    assert_eq!(verified.printed, Some(Printed::Other));
}

#[test]
fn a_printed_record_holds_after_what_another_device_wrote_before_it_has_come() {
    let school = School::new(2);
    school.meet_all();
    // The assistant marks offline; an hour later the instructor marks and prints.
    school.assistant.mark(&school, 0, "mask-full", Mark::NotYet);
    let hour = chrono::Duration::hours(1);
    school.instructor.stamps.shift(hour);
    school.instructor.mark(&school, 1, "mask-full", Mark::Met);
    let desk = &school.instructor.desk;
    let papers = desk.papers(&school.course).unwrap();
    let printed = papers.record(&school.students[0]).unwrap().proof;
    school.meet_all();
    let held = |state: Option<State>| {
        let fingerprint = Some(printed.fingerprint);
        let claim = Claim { fingerprint, state };
        let verified = school.shop.desk.verify_course(&school.course, Some(claim));
        verified.unwrap().printed.unwrap()
    };
    assert_eq!(held(None), Printed::Other, "the late mark lies among them");
    let since = Printed::Before {
        entries: printed.entries,
        since: 1,
    };
    assert_eq!(held(Some(printed.state.clone())), since);
    let now = State::of(papers_of(&school.shop.desk, &school).source().ledger);
    assert_eq!(held(Some(now)), Printed::Other);
}

fn papers_of(desk: &Desk, school: &School) -> tallywater_core::desk::paper::Papers {
    desk.papers(&school.course).unwrap()
}
