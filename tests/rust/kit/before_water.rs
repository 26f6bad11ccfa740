//! What of the kit stands before water, and what the list of a session says and proposes.

use tallywater_core::course::Sizes;
use tallywater_core::desk::Scope;
use tallywater_core::plan::{Missing, StaffMissing};
use tallywater_core::view::{Leave, SessionView, SizesView};

use super::*;
use crate::support::devices::confirm_all_rules;

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
