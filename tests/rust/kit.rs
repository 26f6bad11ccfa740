//! The school's kit: sizes, pieces and their faults, issue and return over devices that have
//! not met, and what of it stands before water.

mod before_water;
mod crossing;
mod lists;

use tallywater_core::course::{KitKind, KitPiece, KitWrong, LedgerId, PieceId};
use tallywater_core::desk::{DeskError, Recorded, Request};
use tallywater_core::entry::{CourseState, Kind, Refusal, Who};
use tallywater_core::plan::KitLineState;
use tallywater_core::view::{KitIssueView, KitLine, KitRow, KitState, KitView, Units};

use crate::support::devices::{Device, School, day, meet};
use crate::support::kit::{describe, piece};

/// A regulator whose service was due before the pool day.
fn overdue(number: &str) -> KitPiece {
    let mut details = piece(KitKind::Regulator, number, "");
    details.service_due = Some(day("2026-06-05"));
    details
}

fn issue(school: &School, piece: PieceId, to: Who, despite: Option<&str>) -> Request {
    Request::IssueKit {
        course: school.course,
        session: school.session,
        piece,
        to,
        despite: despite.map(str::to_owned),
        when: None,
    }
}

fn student(school: &School, n: usize) -> Who {
    Who::Student(school.students[n])
}

fn refused(found: Result<Recorded, DeskError>) -> Refusal {
    match found {
        Err(DeskError::Refused(refusal)) => refusal,
        other => panic!("{other:?}"),
    }
}

fn kit(by: &Device) -> KitView {
    by.desk.look_at_kit(Units::Metric, KitView::of).unwrap()
}

fn row(by: &Device, piece: PieceId) -> KitRow {
    let mut rows = kit(by).rows.into_iter();
    rows.find(|row| row.piece == piece).unwrap()
}

fn list(by: &Device, school: &School) -> KitIssueView {
    let found = by
        .desk
        .look_at_kit_of(&school.course, Units::Metric, |around, course, reader| {
            KitIssueView::of(around, course, reader, &school.session)
        });
    found.unwrap().unwrap()
}

fn line(by: &Device, school: &School, n: usize, kind: KitKind) -> KitLine {
    let rows = list(by, school).rows.into_iter();
    let mut of = rows.filter(|row| row.who.who() == student(school, n));
    let mut lines = of.next().unwrap().lines.into_iter();
    lines.find(|line| line.kind == kind).unwrap()
}

fn hand_back(by: &Device, school: &School, piece: PieceId, fault: Option<&str>) {
    for out in row(by, piece).out {
        by.record(Request::ReturnKit {
            course: school.course,
            issue: out.entry,
            fault: fault.map(str::to_owned),
            when: None,
        });
    }
}

#[test]
fn a_piece_is_issued_and_returned_and_a_fault_keeps_it_out_until_it_is_mended() {
    let school = School::new(2);
    let (by, bo) = (&school.instructor, &school.assistant);
    let suit = describe(by, piece(KitKind::Suit, "12", "ML"));
    school.meet_all();
    println!("## An assistant issues it, and nobody else has it then");
    bo.record(issue(&school, suit, student(&school, 0), None));
    let taken = refused(
        bo.desk
            .record(issue(&school, suit, student(&school, 1), None)),
    );
    let Refusal::PieceOut {
        who,
        issue: by_entry,
    } = taken
    else {
        panic!("{taken:?}");
    };
    assert_eq!(who, student(&school, 0));
    println!("## The same press once more is nothing");
    let again = bo.record(issue(&school, suit, student(&school, 0), None));
    assert!(again.entries.is_empty());
    meet(bo, by);
    let seen = row(by, suit);
    assert_eq!((seen.state, seen.out.len()), (KitState::Out, 1));
    assert_eq!(seen.out[0].entry, by_entry);
    assert_eq!(seen.out[0].by.name, "Bo Merriweather");
    println!("## It comes back with a fault, said by the assistant into the school's book");
    hand_back(bo, &school, suit, Some("  zip jams at the chest "));
    meet(bo, by);
    let seen = row(by, suit);
    assert_eq!((seen.state, seen.out.len()), (KitState::Faulty, 0));
    assert_eq!(seen.faults[0].what, "zip jams at the chest");
    println!("## Issued again only with a reason, which is kept");
    let asks = refused(
        by.desk
            .record(issue(&school, suit, student(&school, 1), None)),
    );
    let why = KitWrong::Faulty;
    assert_eq!(asks, Refusal::PieceAsks { piece: suit, why });
    let blank = refused(
        by.desk
            .record(issue(&school, suit, student(&school, 1), Some(" "))),
    );
    assert_eq!(blank, Refusal::TextEmpty { field: "reason" });
    by.record(issue(
        &school,
        suit,
        student(&school, 1),
        Some("for the shallow end"),
    ));
    assert_eq!(
        row(by, suit).out[0].despite.as_deref(),
        Some("for the shallow end")
    );
    hand_back(by, &school, suit, None);
    println!("## Not an assistant's to call mended; an instructor's word ends it, once");
    let fault = row(by, suit).faults[0].entry;
    let mend = || Request::MendKit {
        fault,
        how: "new zip".into(),
        when: None,
    };
    meet(bo, by);
    assert!(matches!(
        refused(bo.desk.record(mend())),
        Refusal::Role {
            kind: Kind::KitMended,
            ..
        }
    ));
    by.record(mend());
    assert_eq!(refused(by.desk.record(mend())), Refusal::NothingOpen);
    let seen = row(by, suit);
    assert_eq!(seen.state, KitState::Free);
    assert_eq!(seen.faults[0].mended.as_ref().unwrap().how, "new zip");
}

#[test]
fn what_two_devices_issued_apart_is_shown_by_both_and_settled_by_a_return() {
    let school = School::new(2);
    let (by, bo) = (&school.instructor, &school.assistant);
    let mask = describe(by, piece(KitKind::Mask, "M1", ""));
    school.meet_all();
    by.record(issue(&school, mask, student(&school, 0), None));
    bo.record(issue(&school, mask, student(&school, 1), None));
    meet(bo, by);
    for device in [by, bo] {
        let seen = row(device, mask);
        assert_eq!(seen.out.len(), 2, "both are shown");
        assert!(seen.care, "and wants seeing to");
        assert!(seen.out.iter().all(|out| out.also == 1));
        let with: Vec<Who> = seen.out.iter().map(|out| out.who.who()).collect();
        for n in 0..2 {
            assert!(with.contains(&student(&school, n)));
            let line = line(device, &school, n, KitKind::Mask);
            assert_eq!(line.state, KitLineState::Issued);
        }
    }
    let given_back = row(by, mask)
        .out
        .into_iter()
        .find(|out| out.who.who() == student(&school, 1))
        .unwrap();
    let back = || Request::ReturnKit {
        course: school.course,
        issue: given_back.entry,
        fault: None,
        when: None,
    };
    by.record(back());
    assert_eq!(refused(by.desk.record(back())), Refusal::NothingOpen);
    meet(bo, by);
    for device in [by, bo] {
        let seen = row(device, mask);
        assert_eq!((seen.out.len(), seen.out[0].also), (1, 0));
        assert_eq!(seen.out[0].who.who(), student(&school, 0));
    }
}

#[test]
fn a_number_is_one_pieces_until_that_is_retired_and_two_apart_are_both_shown() {
    let school = School::new(1);
    let (shop, by) = (&school.shop, &school.instructor);
    let first = describe(by, piece(KitKind::Fins, "F-7", "42"));
    let twice = Request::SetKit {
        piece: None,
        details: piece(KitKind::Fins, " f-7", "44"),
    };
    let taken = refused(by.desk.record(twice.clone()));
    let number = Refusal::PieceNumber {
        kind: KitKind::Fins,
        number: "f-7".into(),
        piece: first,
    };
    assert_eq!(taken, number);
    println!("## Another kind may carry it, and the piece itself is described anew");
    describe(by, piece(KitKind::Boots, "F-7", "42"));
    let anew = |number: &str| Request::SetKit {
        piece: Some(first),
        details: piece(KitKind::Fins, number, "43"),
    };
    by.record(anew("F-7"));
    assert_eq!(row(by, first).details.size, "43");
    println!("## Retired, the number is free; in use again, it is asked for again");
    let retire = || Request::RetireKit {
        piece: first,
        why: "sold".into(),
    };
    by.record(retire());
    assert_eq!(refused(by.desk.record(retire())), Refusal::NothingOpen);
    assert_eq!(row(by, first).state, KitState::Retired);
    let closed = refused(
        by.desk
            .record(issue(&school, first, student(&school, 0), None)),
    );
    assert_eq!(closed, Refusal::Closed { what: "piece" });
    let second: PieceId = by.record(twice).made.unwrap().parse().unwrap();
    let taken = refused(by.desk.record(anew("F-7")));
    assert!(matches!(taken, Refusal::PieceNumber { piece, .. } if piece == second));
    by.record(anew("F-8"));
    assert_eq!(row(by, first).state, KitState::Free);
    println!("## Numbered apart, both stay and say so");
    let there = describe(shop, piece(KitKind::Mask, "1", ""));
    let here = describe(by, piece(KitKind::Mask, "1", ""));
    meet(shop, by);
    assert_eq!(row(by, there).same_number, [here]);
    assert_eq!(row(shop, here).same_number, [there]);
    println!("## What nobody described is refused by name");
    let nowhere = PieceId::new(uuid::Uuid::from_u128(9));
    let unknown = refused(by.desk.record(Request::ReportKitFault {
        piece: nowhere,
        what: "gone".into(),
        when: None,
    }));
    assert_eq!(unknown, Refusal::Unknown { what: "piece" });
    let none = refused(by.desk.record(Request::SetKit {
        piece: None,
        details: piece(KitKind::Mask, " ", ""),
    }));
    assert_eq!(none, Refusal::TextEmpty { field: "number" });
}

#[test]
fn the_kinds_are_counted_and_say_whether_a_piece_of_theirs_wants_seeing_to() {
    let school = School::new(2);
    let by = &school.instructor;
    let kinds = || -> Vec<_> {
        let rows = kit(by).kinds.into_iter();
        rows.map(|row| (row.kind, row.pieces, row.care)).collect()
    };
    assert_eq!(kinds(), []);
    let fins = describe(by, piece(KitKind::Fins, "1", "42"));
    describe(by, piece(KitKind::Fins, "2", "43"));
    describe(by, piece(KitKind::Suit, "1", "M"));
    describe(by, overdue("7"));
    assert_eq!(
        kinds(),
        [
            (Some(KitKind::Suit), 1, false),
            (Some(KitKind::Fins), 2, false),
            (Some(KitKind::Regulator), 1, true),
        ]
    );
    println!("## Somebody has it: nothing to see to, until it is out of use and still out");
    by.record(issue(&school, fins, student(&school, 0), None));
    assert!(!row(by, fins).care);
    by.record(Request::RetireKit {
        piece: fins,
        why: "strap gone".into(),
    });
    assert!(row(by, fins).care);
    assert_eq!(
        kinds(),
        [
            (Some(KitKind::Suit), 1, false),
            (Some(KitKind::Fins), 1, false),
            (Some(KitKind::Regulator), 1, true),
            (None, 1, true),
        ]
    );
    hand_back(by, &school, fins, None);
    assert_eq!(kinds().pop(), Some((None, 1, false)));
}

#[test]
fn a_piece_that_is_out_in_another_course_is_not_issued_again_and_one_elsewhere_is_told() {
    let school = School::new(1);
    let (shop, by) = (&school.shop, &school.instructor);
    let suit = describe(by, piece(KitKind::Suit, "1", "M"));
    by.record(issue(&school, suit, student(&school, 0), None));
    school.meet_all();
    println!("## A course of the shop's alone");
    let opened = shop.record(Request::OpenCourse {
        title: "First dives, July".into(),
        starts: day("2026-07-04"),
        place: None,
        outline: Default::default(),
        staff: Vec::new(),
    });
    let other = opened.made.unwrap().parse().unwrap();
    let enrolled = shop.record(Request::Enrol {
        course: other,
        details: crate::support::devices::details("Tove Lindqvist"),
        referred_from: None,
    });
    let tove = enrolled.made.unwrap().parse().unwrap();
    let planned = shop.record(Request::PlanSession {
        course: other,
        session: None,
        plan: crate::support::devices::plan(
            &[tove],
            &[],
            tallywater_core::course::Setting::Confined,
            "2026-07-04T10:00:00+02:00",
        ),
    });
    let session = planned.made.unwrap().parse().unwrap();
    let there = || Request::IssueKit {
        course: other,
        session,
        piece: suit,
        to: Who::Student(tove),
        despite: None,
        when: None,
    };
    assert!(matches!(
        refused(shop.desk.record(there())),
        Refusal::PieceOut { .. }
    ));
    println!("## Also after the first course was closed with the piece still out");
    shop.record(Request::ListCourse {
        course: school.course,
        state: CourseState::Closed,
    });
    assert!(matches!(
        refused(shop.desk.record(there())),
        Refusal::PieceOut { .. }
    ));
    assert_eq!(kit(shop).elsewhere, 0);
    hand_back(shop, &school, suit, None);
    shop.record(there());
    println!("## A device without that course cannot know, and says that it cannot");
    let mut here = shop.desk.ledgers().unwrap();
    here.sort();
    here.retain(|ledger| matches!(ledger, LedgerId::Shop(_)) || *ledger == school.ledger());
    for ledger in here {
        let bytes = shop.desk.save_ledger(&ledger).unwrap();
        by.desk.merge(&ledger, &bytes).unwrap();
    }
    let seen = kit(by);
    assert_eq!(seen.elsewhere, 1);
    assert_eq!(row(by, suit).state, KitState::Free);
}
