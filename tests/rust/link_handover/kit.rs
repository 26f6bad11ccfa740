//! The kit of a school that joins a shop: its pieces, their faults, and who has them.

use std::collections::BTreeMap;

use tallywater_core::course::{KitKind, PieceId, Role, SessionId, Setting};
use tallywater_core::desk::Request;
use tallywater_core::entry::Who;
use tallywater_core::link::{Depot, DepotError};
use tallywater_core::view::{KitRow, KitState, KitView, Units};

use super::{Lone, changed, named, shop};
use crate::support::devices::{Device, meet, plan};
use crate::support::kit::{describe, piece};
use crate::support::links::until;

fn kit_of(device: &Device) -> BTreeMap<PieceId, KitRow> {
    let view = device.desk.look_at_kit(Units::Metric, KitView::of).unwrap();
    view.rows.into_iter().map(|row| (row.piece, row)).collect()
}

/// A session of the school's student, in the pool.
fn planned(lone: &Lone) -> SessionId {
    let plan = lone.tablet.record(Request::PlanSession {
        course: lone.course,
        session: None,
        plan: plan(
            &[lone.student],
            &[lone.staff],
            Setting::Confined,
            "2026-06-06T10:00:00+02:00",
        ),
    });
    plan.made.unwrap().parse().unwrap()
}

#[test]
fn the_kit_comes_along_with_its_faults_and_who_has_it() {
    let (lone, shop) = (Lone::new(80), shop(95));
    let by = &lone.tablet;
    let (suit, fins) = (
        describe(by, piece(KitKind::Suit, "7", "M")),
        describe(by, piece(KitKind::Fins, "3", "M")),
    );
    let regulator = describe(by, piece(KitKind::Regulator, "A1", "M"));
    let gone = describe(by, piece(KitKind::Mask, "1", "M"));
    by.record(Request::RetireKit {
        piece: gone,
        why: "cracked".into(),
    });
    // The number of one that is out of use is another's by now.
    let mask = describe(by, piece(KitKind::Mask, "1", "M"));
    let fault = |piece, what: &str| Request::ReportKitFault {
        piece,
        what: what.into(),
        when: None,
    };
    let mended = by.record(fault(fins, "strap torn")).entries[0].1;
    by.record(Request::MendKit {
        fault: mended,
        how: "new strap".into(),
        when: None,
    });
    by.record(fault(regulator, "free-flows"));
    let session = planned(&lone);
    by.record(Request::IssueKit {
        course: lone.course,
        session,
        piece: fins,
        to: Who::Student(lone.student),
        despite: None,
        when: None,
    });
    meet(by, &lone.phone);
    let theirs = describe(&shop, piece(KitKind::Suit, "7", "M"));
    let guest = named(&shop, "Tove", Role::Instructor);
    let brings = by.desk.brings().unwrap();
    println!(
        "## What claims a piece of the shop, or speaks of one that is not brought, is refused"
    );
    let before = kit_of(&shop);
    let refused = |what: &str, brought: Vec<u8>| {
        let admitted = shop.desk.admit(&lone.paired(brought), &guest);
        assert!(matches!(admitted, Err(DepotError::Failed { .. })), "{what}");
        assert_eq!(kit_of(&shop), before, "{what}");
    };
    let own = theirs.to_string();
    let of = |list: &'static str, id: String| {
        changed(&lone, move |said| {
            said["kit"][list][0]["piece"] = id.into();
        })
    };
    refused("a piece of the shop", of("pieces", own.clone()));
    refused("a fault of it", of("faults", own.clone()));
    refused("it out of use", of("retired", own));
    let twice = changed(&lone, |said| {
        let first = said["kit"]["pieces"][0].clone();
        said["kit"]["pieces"].as_array_mut().unwrap().push(first);
    });
    refused("a piece twice", twice);
    println!("## Taken in: every piece under its own id");
    shop.desk
        .admit(&lone.paired(brings.clone()), &guest)
        .unwrap();
    let kit = kit_of(&shop);
    assert_eq!(kit.len(), 6);
    let number = |piece: &PieceId| kit[piece].details.number.as_str();
    assert_eq!((number(&theirs), number(&suit)), ("7", "7/2"));
    assert_eq!(kit[&suit].details.note, "Heron Lake Diving 7");
    assert_eq!((number(&gone), number(&mask)), ("1", "1"));
    assert_eq!(kit[&gone].state, KitState::Retired);
    assert_eq!(kit[&mask].state, KitState::Free);
    assert_eq!(kit[&regulator].state, KitState::Faulty);
    assert_eq!(kit[&regulator].faults[0].what, "free-flows");
    assert!(kit[&fins].faults.is_empty());
    assert!(kit.values().all(|row| row.same_number.is_empty()));
    println!("## A second time nothing is added, and an older tablet brings none");
    shop.desk.admit(&lone.paired(brings), &guest).unwrap();
    assert_eq!(kit_of(&shop), kit);
    let older = Lone::new(84);
    describe(&older.tablet, piece(KitKind::Suit, "9", "M"));
    let brought = changed(&older, |said| {
        said.as_object_mut().unwrap().remove("kit").unwrap();
    });
    let guest = named(&shop, "Tove", Role::Instructor);
    shop.desk.admit(&older.paired(brought), &guest).unwrap();
    assert_eq!(kit_of(&shop).len(), 6);
}

#[test]
fn who_had_a_piece_before_the_school_joined_has_it_still() {
    let (lone, shop) = (Lone::new(86), shop(96));
    let fins = describe(&lone.tablet, piece(KitKind::Fins, "3", "M"));
    let session = planned(&lone);
    let issue = |to: Who| Request::IssueKit {
        course: lone.course,
        session,
        piece: fins,
        to,
        despite: None,
        when: None,
    };
    lone.tablet.record(issue(Who::Student(lone.student)));
    let _online = lone.join(&shop);
    for device in [&shop, &lone.tablet] {
        until("the piece with its diver", || {
            let kit = kit_of(device);
            kit.get(&fins).is_some_and(|row| row.out.len() == 1)
        });
    }
    println!("## Not issued to somebody else, and returned where it was issued");
    assert!(
        lone.tablet
            .desk
            .record(issue(Who::Staff(lone.staff)))
            .is_err()
    );
    let out = kit_of(&lone.tablet)[&fins].out[0].entry;
    lone.tablet.record(Request::ReturnKit {
        course: lone.course,
        issue: out,
        fault: None,
        when: None,
    });
    until("the return at the shop", || {
        kit_of(&shop)[&fins].state == KitState::Free
    });
}
