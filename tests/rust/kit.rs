//! The school's kit: sizes, pieces and their faults, issue and return over devices that have
//! not met, and what of it stands before water.

use tallywater_bindings as border;
use tallywater_core::course::{KitKind, KitPiece, KitWrong, LedgerId, PieceId, Sizes};
use tallywater_core::desk::paper::PaperError;
use tallywater_core::desk::{DeskError, Recorded, Request, Scope};
use tallywater_core::entry::{CourseState, Kind, Refusal, Who};
use tallywater_core::paper::kit_list::{KitListFault, KitRowReason, KitThere};
use tallywater_core::paper::retention::texts_to_read;
use tallywater_core::paper::roster::Hints;
use tallywater_core::paper::{Fonts, Language, Press};
use tallywater_core::plan::{KitLineState, Missing, StaffMissing};
use tallywater_core::view::{
    KitIssueView, KitLine, KitRow, KitState, KitView, Leave, SessionView, SizesView, Units,
};

use crate::paper_tools::Opened;
use crate::support::devices::{Device, School, confirm_all_rules, day, meet};

fn piece(kind: KitKind, number: &str, size: &str) -> KitPiece {
    KitPiece {
        kind,
        number: number.into(),
        size: size.into(),
        serial: String::new(),
        serviced: None,
        service_due: None,
        test_due: None,
        note: String::new(),
    }
}

fn describe(by: &Device, details: KitPiece) -> PieceId {
    let made = by.record(Request::SetKit {
        piece: None,
        details,
    });
    made.made.unwrap().parse().unwrap()
}

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

fn before_water(school: &School) -> (Vec<Missing>, Vec<StaffMissing>) {
    let desk = &school.instructor.desk;
    desk.look(&school.course, Units::Metric, |course, reader| {
        let view = SessionView::of(course, reader, &school.session).unwrap();
        let of_kit = |gap: &Missing| {
            matches!(gap, Missing::Kit { .. })
                || matches!(gap, Missing::RuleUnconfirmed(rule) if rule.as_str() == "kit-ready")
        };
        let students = view.students.into_iter().flat_map(|one| one.gaps);
        let staff = view.staff.into_iter().flat_map(|one| one.gaps);
        (
            students.map(|gap| gap.what).filter(of_kit).collect(),
            staff
                .map(|gap| gap.what)
                .filter(|gap| matches!(gap, StaffMissing::Kit { .. }))
                .collect(),
        )
    })
    .unwrap()
}

#[test]
fn a_regulator_past_its_date_is_missing_before_water_unless_the_rule_is_off() {
    let school = School::new(2);
    let by = &school.instructor;
    let regulator = describe(by, overdue("7"));
    let cylinder = {
        let mut details = piece(KitKind::Cylinder, "3", "12");
        details.test_due = Some(day("2026-06-05"));
        describe(by, details)
    };
    let suit = {
        let mut details = piece(KitKind::Suit, "1", "M");
        details.service_due = Some(day("2026-06-05"));
        describe(by, details)
    };
    assert_eq!(before_water(&school), (vec![], vec![]), "nobody has them");
    by.record(issue(
        &school,
        regulator,
        student(&school, 0),
        Some("looked at"),
    ));
    by.record(issue(&school, suit, student(&school, 0), Some("no matter")));
    by.record(issue(
        &school,
        cylinder,
        Who::Staff(school.renate),
        Some("mine"),
    ));
    let (students, staff) = before_water(&school);
    let [Missing::Kit { piece, wrong }] = students.as_slice() else {
        panic!("{students:?}");
    };
    assert_eq!((piece.piece, piece.number.as_str()), (regulator, "7"));
    assert_eq!(*wrong, KitWrong::ServiceOverdue(day("2026-06-05")));
    let [StaffMissing::Kit { piece, wrong }] = staff.as_slice() else {
        panic!("{staff:?}");
    };
    assert_eq!(piece.piece, cylinder);
    assert_eq!(*wrong, KitWrong::TestOverdue(day("2026-06-05")));
    println!("## Serviced, it is in order; and so it is once it is back");
    let mut serviced = overdue("7");
    serviced.service_due = Some(day("2027-06-05"));
    by.record(Request::SetKit {
        piece: Some(regulator),
        details: serviced,
    });
    hand_back(by, &school, cylinder, None);
    assert_eq!(before_water(&school), (vec![], vec![]));
    println!("## A fault found while somebody has it stands before water as well");
    by.record(Request::ReportKitFault {
        piece: regulator,
        what: "free flows".into(),
        when: None,
    });
    assert!(matches!(
        before_water(&school).0[..],
        [Missing::Kit {
            wrong: KitWrong::Faulty,
            ..
        }]
    ));
    println!("## Unconfirmed, the rule says so; without it nothing is asked");
    let mut policy = tallywater_core::course::starter::policy().unwrap();
    let set = |policy| Request::SetPolicy {
        scope: Scope::Course(school.course),
        policy,
    };
    by.record(set(policy.clone()));
    assert!(matches!(
        before_water(&school).0[..],
        [Missing::RuleUnconfirmed(_), Missing::Kit { .. }]
    ));
    confirm_all_rules(by, Scope::Course(school.course));
    assert!(matches!(before_water(&school).0[..], [Missing::Kit { .. }]));
    policy.rules.retain(|rule| rule.id.as_str() != "kit-ready");
    by.record(set(policy));
    assert_eq!(before_water(&school).0, []);
}

#[test]
fn the_list_of_a_session_says_what_is_missing_and_proposes_what_fits() {
    let school = School::new(3);
    let by = &school.instructor;
    let set = |n: usize, suit: &str, own: &[KitKind]| {
        by.record(Request::SetSizes {
            course: school.course,
            student: school.students[n],
            sizes: Sizes {
                suit: suit.into(),
                own: own.iter().copied().collect(),
                ..Sizes::default()
            },
        });
    };
    set(0, "ml", &[KitKind::Mask]);
    set(1, "L", &[]);
    println!("## Without any kit of the school nothing is asked of anybody");
    assert_eq!((list(by, &school).missing, list(by, &school).wrong), (0, 0));
    let good = describe(by, piece(KitKind::Suit, "10", "ML"));
    let broken = describe(by, piece(KitKind::Suit, "9", "ML"));
    by.record(Request::ReportKitFault {
        piece: broken,
        what: "torn".into(),
        when: None,
    });
    describe(by, overdue("1"));
    let regulator = describe(by, piece(KitKind::Regulator, "2", ""));
    describe(by, piece(KitKind::Mask, "1", ""));
    println!("## A free piece of the size is proposed, and no faulty one");
    let first = line(by, &school, 0, KitKind::Suit);
    assert_eq!(
        (first.state, first.wanted.as_str()),
        (KitLineState::Missing, "ml")
    );
    assert_eq!(first.proposed.unwrap().piece, good);
    for other in [1, 2] {
        let line = line(by, &school, other, KitKind::Suit);
        assert_eq!(line.proposed, None, "another size, and none");
    }
    println!("## What fits everybody goes once, and in date");
    let regulators = (0..3).filter_map(|n| line(by, &school, n, KitKind::Regulator).proposed);
    let proposed: Vec<PieceId> = regulators.map(|name| name.piece).collect();
    assert_eq!(proposed, [regulator]);
    println!("## Own kit, and kit that the school has not, is not asked for");
    assert_eq!(line(by, &school, 0, KitKind::Mask).state, KitLineState::Own);
    assert_eq!(
        line(by, &school, 0, KitKind::Computer).state,
        KitLineState::NotAsked
    );
    let staff = list(by, &school).rows.pop().unwrap();
    assert!(matches!(staff.who.who(), Who::Staff(_)));
    assert_eq!(staff.missing, 0);
    assert_eq!(
        list(by, &school).missing,
        3 + 3 + 2,
        "suits, regulators, masks"
    );
    println!("## What is proposed is issued in one go, all of it or nothing");
    let both = || {
        vec![
            issue(&school, good, student(&school, 0), None),
            issue(&school, regulator, student(&school, 0), None),
        ]
    };
    by.desk.record_all(both()).unwrap();
    assert_eq!(list(by, &school).missing, 6);
    let mut twice = vec![issue(&school, broken, student(&school, 1), Some("dry run"))];
    twice.push(issue(&school, broken, student(&school, 2), Some("dry run")));
    assert!(matches!(
        refused(by.desk.record_all(twice)),
        Refusal::PieceOut { .. }
    ));
    assert!(row(by, broken).out.is_empty(), "neither");
    println!("## Sizes are the person's: kept with the details, dropped with them");
    let sizes = |student| {
        by.desk
            .look_at_kit_of(&school.course, Units::Metric, |around, course, reader| {
                SizesView::of(around, course, reader, &student).unwrap()
            })
            .unwrap()
    };
    let seen = sizes(school.students[0]);
    assert_eq!((seen.out.len(), seen.may_set), (2, Leave::Yes));
    assert_eq!(seen.sizes.unwrap().suit, "ml");
    school.meet_all();
    school.shop.record(Request::Forget {
        student: school.students[0],
        why: "asked for it".into(),
    });
    school.meet_all();
    let seen = sizes(school.students[0]);
    assert_eq!((seen.sizes, seen.out.len()), (None, 2));
    assert_eq!(seen.may_set, Leave::NothingOpen);
    let name = row(by, good).out[0].who.name().to_owned();
    assert!(
        name.starts_with('#'),
        "{name}: the piece is known to be out, and no name"
    );
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

const LIST: &str = "kind,number,size,serial,serviced,service due,test due,note\r\n\
    regulator,7,,AB-1,2026-01-10,2027-01-10,,\r\n\
    cylinder,3,12,,,,2028-05-01,blue boot\r\n\
    suit,12,ML,,,,,\r\n";

#[test]
fn a_list_of_kit_taken_twice_is_no_double_and_one_bad_row_takes_none() {
    let school = School::new(1);
    let by = &school.instructor;
    let take = |text: &str, there| {
        by.desk
            .take_kit_list(text.as_bytes(), Hints::default(), there)
    };
    let bad = format!("{LIST}snorkel,1,,,,,,\r\n");
    assert!(matches!(
        take(&bad, KitThere::LeaveOut),
        Err(PaperError::KitList(KitListFault::BadRows { count: 1 }))
    ));
    let preview = by.desk.look_at_kit_list(bad.as_bytes(), Hints::default());
    let preview = preview.unwrap();
    assert_eq!(preview.faults[0].line, 5);
    assert_eq!(preview.faults[0].reason, KitRowReason::UnknownKind);
    assert!(kit(by).rows.is_empty());
    println!("## Taken, and taken again");
    let taken = take(LIST, KitThere::LeaveOut).unwrap();
    assert_eq!((taken.added, taken.left_out.len()), (3, 0));
    let again = take(LIST, KitThere::LeaveOut).unwrap();
    assert_eq!((again.added, again.left_out), (0, vec![2, 3, 4]));
    let again = take(LIST, KitThere::Renew).unwrap();
    assert_eq!(
        (again.added, again.renewed, again.left_out.len()),
        (0, 0, 3)
    );
    println!("## A row that says something else renews the piece of that number");
    let later = LIST.replace("2027-01-10", "2028-01-10");
    assert_eq!(take(&later, KitThere::LeaveOut).unwrap().renewed, 0);
    let renewed = take(&later, KitThere::Renew).unwrap();
    assert_eq!((renewed.added, renewed.renewed), (0, 1));
    assert_eq!(kit(by).rows.len(), 3);
    println!("## What is written out is read back as it was");
    let table = by.desk.kit_table().unwrap();
    let read = by
        .desk
        .look_at_kit_list(&table.csv, Hints::default())
        .unwrap();
    assert_eq!((read.rows.len(), read.faults.len()), (3, 0));
    assert!(read.rows.iter().all(|row| row.same), "{:?}", read.rows);
    println!("## Not an assistant's");
    school.meet_all();
    let more = "kind,number\r\nmask,1\r\n";
    let found =
        school
            .assistant
            .desk
            .take_kit_list(more.as_bytes(), Hints::default(), KitThere::LeaveOut);
    assert!(matches!(
        found,
        Err(PaperError::Desk(DeskError::Refused(Refusal::Role { .. })))
    ));
}

#[test]
fn the_words_of_an_issue_are_read_before_somebody_is_forgotten() {
    let school = School::new(2);
    let by = &school.instructor;
    let regulator = describe(by, overdue("7"));
    let out = by.record(issue(
        &school,
        regulator,
        student(&school, 0),
        Some("Ottilie Brandvoll asked for it"),
    ));
    let papers = by.desk.papers(&school.course).unwrap();
    let source = papers.source();
    let known = |n: usize| source.names.details(&school.students[n]).unwrap();
    let read = texts_to_read(&source, school.students[0], Some(&known(0)));
    let entry = out.entries[0].1;
    assert!(
        read.iter()
            .any(|text| text.entry == entry && text.kind == Kind::KitIssued && text.names)
    );
    let read = texts_to_read(&source, school.students[1], Some(&known(1)));
    assert!(!read.iter().any(|text| text.entry == entry));
}

#[test]
fn the_issue_list_and_the_list_of_kit_are_printed_in_both_languages() {
    let school = School::new(3);
    let by = &school.instructor;
    by.record(Request::SetSizes {
        course: school.course,
        student: school.students[0],
        sizes: Sizes {
            suit: "ML".into(),
            ..Sizes::default()
        },
    });
    describe(by, piece(KitKind::Suit, "12", "ML"));
    let regulator = describe(by, overdue("7"));
    by.record(issue(
        &school,
        regulator,
        student(&school, 1),
        Some("looked at"),
    ));
    let broken = describe(by, piece(KitKind::Mask, "4", ""));
    by.record(Request::ReportKitFault {
        piece: broken,
        what: "strap torn".into(),
        when: None,
    });
    let mut press = Press::new(Fonts::bundled().unwrap()).unwrap();
    for (language, said) in [
        (
            Language::English,
            [
                "Suit 12 (ML)",
                "Regulator 7",
                "service was due until 2026-06-05",
                "MISSING",
            ],
        ),
        (
            Language::German,
            [
                "Anzug 12 (ML)",
                "Atemregler 7",
                "Wartung war fällig bis 2026-06-05",
                "FEHLT",
            ],
        ),
    ] {
        press.language = language;
        let now = by.desk.now();
        let shop = "Grebe Hollow Divers";
        let sheet = press.issue_list(shop, &list(by, &school), now).unwrap();
        let sheet = Opened::new(&format!("issue-list-{language:?}"), &sheet);
        sheet.check();
        sheet.nothing_overlaps();
        let text = sheet.running_text();
        for said in said {
            assert!(text.contains(said), "{said} in {text}");
        }
        assert!(text.contains("Ottilie Brandvoll"), "{text}");
        let pieces = press.kit_list(shop, &kit(by), now).unwrap();
        let pieces = Opened::new(&format!("kit-list-{language:?}"), &pieces);
        pieces.check();
        pieces.nothing_overlaps();
        let text = pieces.running_text();
        for said in ["strap torn", "2026-06-05", "Quatrefaire"] {
            assert!(text.contains(said), "{said} in {text}");
        }
    }
}

fn fields(fault: border::Fault) -> [Option<String>; 4] {
    match fault {
        border::Fault::Refused {
            rule,
            what,
            id,
            value,
            ..
        } => [Some(rule), what, id, value],
        other => panic!("{other:?}"),
    }
}

#[test]
fn kit_crosses_the_border_with_what_was_refused_and_what_asks_for_a_reason() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path().to_str().unwrap().to_owned();
    let tablet = border::Tallywater::open(at).unwrap();
    let (course, session, students) = crate::teams::day_of(&tablet, folder.path());
    let set = || border::Request::SetKit {
        piece: None,
        details: border::KitPiece {
            kind: border::KitKind::Regulator,
            number: "7".into(),
            size: String::new(),
            serial: String::new(),
            serviced: None,
            service_due: Some("2026-06-05".into()),
            test_due: None,
            note: String::new(),
        },
    };
    let piece = tablet.record(set()).unwrap().made.unwrap();
    let said = |rule: &str, what: &str, id: &String, value: Option<&str>| {
        let given = [Some(rule), Some(what), Some(id.as_str()), value];
        given.map(|text| text.map(str::to_owned))
    };
    assert_eq!(
        fields(tablet.record(set()).unwrap_err()),
        said("piece_number", "regulator", &piece, Some("7"))
    );
    let issue = |n: usize, despite: Option<&str>| {
        tablet
            .record(border::Request::IssueKit {
                course: course.clone(),
                session: session.clone(),
                piece: piece.clone(),
                to: border::Who::Student {
                    student: students[n].clone(),
                },
                despite: despite.map(str::to_owned),
                when: None,
            })
            .map_err(Box::new)
    };
    assert_eq!(
        fields(*issue(0, None).unwrap_err()),
        said("piece_asks", "service", &piece, None)
    );
    issue(0, Some("looked at")).unwrap();
    let list = tablet.kit_issue(course.clone(), session.clone()).unwrap();
    assert_eq!((list.wrong, list.rows.len()), (1, 4));
    let lines = list.rows.iter().flat_map(|row| &row.lines);
    let out: Vec<&border::KitOutRow> = lines.flat_map(|line| &line.issued).collect();
    assert_eq!(out[0].despite.as_deref(), Some("looked at"));
    assert_eq!(
        fields(*issue(1, Some("looked at")).unwrap_err()),
        said(
            "piece_out",
            "student",
            &students[0],
            Some(out[0].entry.as_str())
        )
    );
    let (kind, any) = (border::KitKind::Regulator, String::new());
    let choice = tablet.kit_for(course.clone(), session.clone(), kind, any);
    assert_eq!(choice.unwrap()[0].state, border::KitState::Out);
    println!("## Sizes, lists and papers");
    tablet
        .record(border::Request::SetSizes {
            course: course.clone(),
            student: students[0].clone(),
            sizes: border::Sizes {
                suit: " ML ".into(),
                boots: String::new(),
                fins: String::new(),
                mask: String::new(),
                bcd: String::new(),
                own: vec![border::KitKind::Mask],
            },
        })
        .unwrap();
    let sizes = tablet.sizes(course.clone(), students[0].clone()).unwrap();
    assert_eq!(sizes.sizes.unwrap().suit, "ML");
    let hints = border::RosterHints::default;
    let file = tablet.export_kit().unwrap();
    assert_eq!(file.name, "kit.csv");
    let seen = tablet
        .look_at_kit_list(file.bytes.clone(), hints())
        .unwrap();
    assert_eq!(
        (seen.rows.len(), seen.rows[0].there.as_ref()),
        (1, Some(&piece))
    );
    let taken = tablet.take_kit_list(file.bytes, hints(), border::KitThere::LeaveOut);
    let taken = taken.unwrap();
    assert_eq!((taken.added, taken.left_out), (0, vec![2]));
    let no = tablet.look_at_kit_list(b"colour\nblue\n".to_vec(), hints());
    let no = fields(no.unwrap_err());
    assert_eq!(no[0].as_deref(), Some("kit_no_column"));
    let setup = || border::PaperSetup {
        sheet: border::OfficeSheet::A4,
        language: border::PaperLanguage::German,
        device_fonts: false,
    };
    let pdf = tablet.print_issue_list(course.clone(), session, setup());
    Opened::new("border-issue-list", &pdf.unwrap()).check();
    Opened::new("border-kit-list", &tablet.print_kit_list(setup()).unwrap()).check();
    println!("## Back, with a fault");
    tablet
        .record(border::Request::ReturnKit {
            course,
            issue: out[0].entry.clone(),
            fault: Some("free flows".into()),
            when: None,
        })
        .unwrap();
    let kit = tablet.kit().unwrap();
    assert_eq!((kit.out, kit.faulty, kit.overdue), (0, 1, 1));
    assert_eq!(kit.rows[0].faults[0].what, "free flows");
}
