//! Kit: what of it stands before water, and what the standing says of pieces.

use uuid::Uuid;

use crate::course::{AgeKnown, KitKind, KitPiece, KitWrong, PieceId, Rule, Setting, Sizes};
use crate::entry::{Body, KitFault, KitIssued, KitMended, KitRetired, KitReturned, KitSet, Who};
use crate::plan::{
    Going, KitLineState, Missing, StaffMissing, before_session, before_staff, kit_needs,
};
use crate::standing::sample::{PELLE, RENATE, Sample, day, session, shop, student, time};
use crate::standing::{CourseStanding, ShopStanding};

const ON: &str = "2026-06-06";
const NOON: &str = "2026-06-02T12:00:00+02:00";

fn id(n: u128) -> PieceId {
    PieceId::new(Uuid::from_u128(0x9000 + n))
}

fn set(n: u128, kind: KitKind, number: &str, service_due: Option<&str>) -> Body {
    KitSet {
        piece: id(n),
        details: KitPiece {
            kind,
            number: number.into(),
            size: String::new(),
            serial: String::new(),
            serviced: None,
            service_due: service_due.map(day),
            test_due: None,
            note: String::new(),
        },
    }
    .into()
}

fn issued(n: u128, to: Who) -> KitIssued {
    KitIssued {
        piece: id(n),
        to,
        session: session(1),
        when: time(NOON),
        despite: None,
    }
}

fn ready() -> Sample {
    Sample::with_rules(vec![(
        "kit-ready",
        Rule::KitReady {
            kinds: [KitKind::Regulator].into(),
        },
    )])
}

fn of_student(shop: &ShopStanding, course: &CourseStanding, on: &str) -> Vec<Missing> {
    let going = Going::somewhere(Setting::Confined, day(on));
    let age = AgeKnown::Born(day("1990-05-05"));
    let gaps = before_session(shop, course, &student(1), &going, age).into_iter();
    let kit = gaps.filter(|gap| matches!(gap.what, Missing::Kit { .. }));
    kit.map(|gap| gap.what).collect()
}

#[test]
fn only_kit_of_the_rules_kinds_that_somebody_has_is_missing_and_only_past_its_day() {
    let shop = shop(vec![
        set(1, KitKind::Regulator, "7", Some(ON)),
        set(2, KitKind::Mask, "7", Some("2026-06-01")),
    ]);
    let mut sample = ready();
    assert_eq!(of_student(&shop, &sample.now, "2026-06-07"), []);
    let lent = sample.add(PELLE, &[], issued(1, Who::Student(student(1))));
    sample.add(PELLE, &[], issued(2, Who::Student(student(1))));
    sample.add(PELLE, &[], issued(1, Who::Staff(RENATE.staff)));
    assert_eq!(of_student(&shop, &sample.now, ON), [], "due until that day");
    let piece = shop.piece_name(&id(1)).unwrap();
    let wrong = KitWrong::ServiceOverdue(day(ON));
    let missing = Missing::Kit {
        piece: piece.clone(),
        wrong,
    };
    assert_eq!(of_student(&shop, &sample.now, "2026-06-07"), [missing]);
    let when = (Setting::Open, day("2026-06-07"));
    let staff = before_staff(&shop, &sample.now, &RENATE.staff, when);
    assert!(staff.iter().any(|gap| gap.what
        == StaffMissing::Kit {
            piece: piece.clone(),
            wrong
        }));
    let back = KitReturned {
        issue: lent,
        when: time(NOON),
    };
    let returned = sample.add(PELLE, &[lent], back);
    assert_eq!(of_student(&shop, &sample.now, "2026-06-07"), []);
    sample.withdraw(PELLE, returned);
    assert_eq!(of_student(&shop, &sample.now, "2026-06-07").len(), 1);
}

#[test]
fn a_piece_that_was_retired_and_described_apart_is_retired_and_a_fault_holds_until_mended() {
    let fault = KitFault {
        piece: id(1),
        what: "leaks".into(),
        when: time(NOON),
    };
    let mut bodies = vec![set(1, KitKind::Bcd, "7", None), fault.into()];
    let faulty = shop(bodies.clone());
    assert_eq!(faulty.kit_wrong(&id(1), day(ON)), [KitWrong::Faulty]);
    let entry = faulty.kit_faults(&id(1))[0].one.entry.id;
    let mended = KitMended {
        fault: entry,
        how: "new valve".into(),
        when: time(NOON),
    };
    bodies.push(mended.into());
    let whole = shop(bodies.clone());
    assert_eq!(whole.kit_wrong(&id(1), day(ON)), []);
    assert_eq!(whole.pieces_numbered(KitKind::Bcd, "7"), [id(1)]);
    let retired = KitRetired {
        piece: id(1),
        why: "sold".into(),
    };
    bodies.push(retired.into());
    let apart = shop(bodies);
    assert!(apart.piece(&id(1)).unwrap().retired.is_some());
    assert_eq!(apart.kit_wrong(&id(1), day(ON)), [KitWrong::Retired]);
    assert!(apart.pieces_numbered(KitKind::Bcd, "7").is_empty());
}

#[test]
fn a_free_piece_is_proposed_to_one_person_and_none_that_is_out_in_another_course() {
    let shop = shop(vec![
        set(1, KitKind::Regulator, "10", None),
        set(2, KitKind::Regulator, "9", None),
    ]);
    let sample = ready();
    let mut other = ready();
    other.add(PELLE, &[], issued(2, Who::Student(student(2))));
    let people: Vec<(Who, Sizes)> = [1, 2]
        .map(|n| (Who::Student(student(n)), Sizes::default()))
        .into();
    let proposed = |courses: &[&CourseStanding]| {
        let needs = kit_needs(&shop, &sample.now, courses, day(ON), &people);
        let lines = needs.into_iter().map(|lines| {
            let mut lines = lines.into_iter();
            let line = lines.find(|line| line.kind == KitKind::Regulator).unwrap();
            assert_eq!(line.state, KitLineState::Missing);
            line.proposed
        });
        lines.collect::<Vec<_>>()
    };
    assert_eq!(proposed(&[&sample.now]), [Some(id(2)), Some(id(1))]);
    let both = [&sample.now, &other.now];
    assert_eq!(proposed(&both), [Some(id(1)), None]);
}
