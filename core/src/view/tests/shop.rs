//! The shop's own screens: courses, staff and devices, outline and policy.

use uuid::Uuid;

use super::Eyes;
use crate::course::{CourseId, EntryId, Role};
use crate::entry::{
    Body, Certificate, CourseListed, CourseState, DeviceKey, Entry, OutlineSet, PolicyConfirmed,
    PolicySet, Revocation, ShopOpened, StaffJoined, Writer,
};
use crate::standing::sample::{
    COURSE, ODD, OFFICE, PELLE, RENATE, Sample, day, outline, policy, read_text, rule_id, shop,
    time,
};
use crate::trust::{Line, SecretKey, TrustBook, shop_id};
use crate::view::{
    CourseListView, CourseStage, DayIs, DeviceState, Leave, OutlineView, PolicyView, StaffView,
};

fn listed(n: u128, title: &str, starts: &str, state: CourseState) -> Body {
    Body::CourseListed(CourseListed {
        course: CourseId::new(Uuid::from_u128(n)),
        title: title.to_owned(),
        starts: day(starts),
        staff: vec![RENATE.staff],
        state,
    })
}

#[test]
fn courses_are_listed_live_ones_first_and_the_latest_start_first() {
    let mut eyes = Eyes::new();
    eyes.shop = shop(vec![
        listed(1, "March", "2026-03-01", CourseState::Closed),
        listed(2, "June", "2026-06-01", CourseState::Running),
        listed(3, "Août", "2026-08-01", CourseState::Running),
        listed(4, "May", "2026-05-01", CourseState::HandedOver),
    ]);
    let reader = eyes.reader(RENATE);
    let view = CourseListView::of(&reader, None);
    let rows: Vec<(&str, CourseStage)> = view
        .rows
        .iter()
        .map(|row| (row.title.as_str(), row.stage))
        .collect();
    assert_eq!(
        rows,
        [
            ("Août", CourseStage::Ahead),
            ("June", CourseStage::Running),
            ("May", CourseStage::HandedOver),
            ("March", CourseStage::Closed)
        ]
    );
    assert_eq!((view.ahead, view.running, view.ended), (1, 1, 2));
    assert!(view.rows.iter().all(|row| row.own));
    assert_eq!(view.may_open, Leave::Yes);
    let found = |text| CourseListView::of(&reader, Some(text)).rows.len();
    assert_eq!(
        (found("aout"), found(" SOLBERG "), found("nobody")),
        (1, 4, 0)
    );
    assert!(
        CourseListView::of(&eyes.reader(PELLE), None)
            .rows
            .iter()
            .all(|row| !row.own)
    );
}

/// A shop ledger's lines, signed for real, and the book read from them.
fn book(root: &SecretKey, bodies: Vec<Body>) -> TrustBook {
    let ledger = crate::course::LedgerId::Shop(shop_id(&root.public()));
    let by = crate::course::StaffId::new(shop_id(&root.public()).uuid());
    let lines = bodies
        .into_iter()
        .map(|body| {
            let at = time("2026-01-01T08:00:00+01:00");
            let payload = crate::entry::write(&Entry {
                id: EntryId::new(Uuid::nil()),
                at,
                by,
                after: Vec::new(),
                body,
            });
            let (id, bytes) = root.seal(&ledger, None, &payload.unwrap());
            (id, Line::check(&ledger, id, &bytes))
        })
        .collect();
    TrustBook::read(root.public(), &lines, &|_, _, _, _| false)
}

fn certificate(key: u8, of: Writer, device: &str, from: &str, until: Option<&str>) -> Body {
    Body::Certificate(Certificate {
        staff: of.staff,
        role: of.role,
        device: device.to_owned(),
        key: DeviceKey([key; 32]),
        link: None,
        from: day(from),
        until: until.map(day),
        consent: None,
    })
}

fn joined(of: Writer, name: &str) -> Body {
    Body::StaffJoined(StaffJoined {
        staff: of.staff,
        name: name.to_owned(),
    })
}

#[test]
fn devices_say_whose_they_are_and_whether_they_may_act_today() {
    let revocation = Body::Revocation(Revocation {
        key: DeviceKey([4; 32]),
        why: "Left on the boat".to_owned(),
        held: std::collections::BTreeMap::new(),
    });
    let root = SecretKey::from_seed(&[9; 32]);
    let mut eyes = Eyes::new();
    eyes.trust = book(
        &root,
        vec![
            certificate(1, RENATE, "Renate's tablet", "2026-01-01", None),
            certificate(2, ODD, "Odd's tablet", "2026-07-01", None),
            certificate(3, PELLE, "Pelle's phone", "2026-01-01", Some("2026-05-31")),
            certificate(4, PELLE, "Old phone", "2025-01-01", None),
            revocation.clone(),
        ],
    );
    eyes.shop = shop(vec![
        Body::ShopOpened(ShopOpened {
            name: "Mill Pond Divers".to_owned(),
        }),
        joined(RENATE, "Renate Solberg"),
        joined(ODD, "Odd Lien"),
        joined(PELLE, "Pelle Strand"),
        listed(2, "June", "2026-06-01", CourseState::Running),
        revocation,
    ]);
    let view = StaffView::of(&eyes.reader(RENATE), Some(&DeviceKey([1; 32])));
    let devices: Vec<(&str, DeviceState, bool)> = view
        .devices
        .iter()
        .map(|row| (row.name.as_str(), row.state, row.own))
        .collect();
    assert_eq!(
        devices,
        [
            ("Renate's tablet", DeviceState::Admitted, true),
            ("Mill Pond Divers", DeviceState::Root, false),
            ("Odd's tablet", DeviceState::NotYet, false),
            ("Pelle's phone", DeviceState::Lapsed, false),
            ("Old phone", DeviceState::Revoked, false)
        ]
    );
    assert_eq!(view.devices[4].why.as_deref(), Some("Left on the boat"));
    assert_eq!(view.devices[0].fingerprint, "01010101");
    let staff: Vec<(&str, u32, Vec<Role>)> = view
        .staff
        .iter()
        .map(|row| (row.name.name.as_str(), row.devices, row.roles.clone()))
        .collect();
    assert_eq!(
        staff,
        [
            ("Odd Lien", 0, vec![]),
            ("Pelle Strand", 0, vec![]),
            ("Renate Solberg", 1, vec![Role::Instructor])
        ]
    );
    assert_eq!(view.staff[2].courses, [CourseId::new(Uuid::from_u128(2))]);
    assert_eq!((view.may_add, view.may_revoke), (Leave::Yes, Leave::Role));
    assert_eq!(view.shop.as_deref(), Some("Mill Pond Divers"));
}

#[test]
fn each_row_says_whether_the_reader_may_rename_or_revoke_it() {
    let root = SecretKey::from_seed(&[9; 32]);
    let mut eyes = Eyes::new();
    let gone = Body::Revocation(Revocation {
        key: DeviceKey([4; 32]),
        why: "Left on the boat".to_owned(),
        held: std::collections::BTreeMap::new(),
    });
    eyes.trust = book(
        &root,
        vec![
            certificate(2, ODD, "Odd's tablet", "2026-01-01", None),
            certificate(4, PELLE, "Old phone", "2026-01-01", None),
            certificate(5, OFFICE, "Second office", "2026-01-01", None),
            gone,
        ],
    );
    // Named by the shop, all of them.
    eyes.shop = shop(vec![joined(ODD, "Odd Lien"), joined(PELLE, "Pelle Strand")]);
    let names = |by: Writer| -> Vec<Leave> {
        let view = StaffView::of(&eyes.reader(by), None);
        view.staff.iter().map(|row| row.may_rename).collect()
    };
    assert_eq!(names(OFFICE), [Leave::Yes, Leave::Yes]);
    let view = StaffView::of(&eyes.reader(RENATE), None);
    assert_eq!(view.may_add, Leave::Yes, "she may add somebody new");
    assert_eq!(names(RENATE), [Leave::Role, Leave::Role]);
    let devices = |by: Writer| -> Vec<(String, Leave)> {
        let view = StaffView::of(&eyes.reader(by), None);
        let rows = view.devices.into_iter();
        rows.map(|row| (row.staff.name, row.may_revoke)).collect()
    };
    let of = |by: Writer, name: &str| -> Vec<Leave> {
        let rows = devices(by).into_iter();
        rows.filter(|(of, _)| of == name)
            .map(|(_, may)| may)
            .collect()
    };
    assert_eq!(of(OFFICE, "Odd Lien"), [Leave::Yes]);
    assert_eq!(of(OFFICE, "Pelle Strand"), [Leave::NothingOpen]);
    assert_eq!(of(RENATE, "Odd Lien"), [Leave::Role]);
    // The root, and the office that the root admitted: neither is this office's to shut out.
    let view = StaffView::of(&eyes.reader(OFFICE), None);
    assert_eq!(view.may_revoke, Leave::Yes);
    let shops = view.devices.iter().filter(|row| row.role == Role::Shop);
    let shops: Vec<Leave> = shops.map(|row| row.may_revoke).collect();
    assert_eq!(shops, [Leave::Role, Leave::Role]);
}

#[test]
fn a_device_with_a_certificate_is_named_in_the_history() {
    let root = SecretKey::from_seed(&[9; 32]);
    let mut eyes = Eyes::new();
    let [.., last] = *RENATE.staff.bytes();
    let tablet = certificate(last, RENATE, "Renate's tablet", "2026-01-01", None);
    eyes.trust = book(&root, vec![tablet]);
    let mut sample = Sample::new();
    let id = sample.mark(RENATE, 1, "once", crate::entry::Mark::Met, 1);
    let one = sample.now.tally().get(&id).unwrap();
    assert_eq!(eyes.reader(PELLE).device(one), "Renate's tablet");
}

#[test]
fn an_outline_is_shown_with_what_leans_on_what_and_what_is_wrong() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", crate::entry::Mark::NotYet, 1);
    let mut eyes = Eyes::new();
    let view = OutlineView::of_course(&sample.now, &eyes.reader(RENATE)).unwrap();
    assert_eq!(view.course, Some(COURSE));
    assert_eq!(view.skills[0].needed_by[0].name, "The builds");
    assert_eq!(view.skills[4].needs[0].name, "The once");
    assert_eq!((view.skills[0].tried_by, view.skills[1].tried_by), (1, 0));
    assert_eq!(view.set.as_ref().unwrap().by.name, "Mill Pond Divers");
    assert!(!view.shop_differs, "no shop outline is known here");
    assert_eq!(view.after, [view.entry.unwrap()]);
    let mut newer = outline();
    newer.edition = 2;
    eyes.shop = shop(vec![Body::OutlineSet(OutlineSet {
        outline: newer.clone(),
        why: Some("A new season".to_owned()),
    })]);
    assert!(
        OutlineView::of_course(&sample.now, &eyes.reader(RENATE))
            .unwrap()
            .shop_differs
    );
    let own = OutlineView::of_shop(&eyes.reader(PELLE)).unwrap();
    assert_eq!(own.set.unwrap().why.as_deref(), Some("A new season"));
    assert_eq!(own.may_set, Leave::Role);
    newer.skills.remove(0);
    let draft = OutlineView::of_draft(&newer, crate::view::Units::Metric);
    assert!(
        draft
            .faults
            .iter()
            .any(|fault| fault.to_string().contains("once"))
    );
}

#[test]
fn a_policy_says_who_confirmed_which_rule() {
    let mut sample = Sample::new();
    let entry = sample.now.policy().unwrap().entry;
    sample.add(
        RENATE,
        &[],
        PolicyConfirmed {
            policy: entry,
            rules: vec![rule_id("depth")],
            read: read_text(),
        },
    );
    let mut eyes = Eyes::new();
    let view = PolicyView::of_course(&sample.now, &eyes.reader(PELLE)).unwrap();
    assert_eq!(view.unconfirmed as usize, view.rules.len() - 1);
    let depth = view
        .rules
        .iter()
        .find(|row| row.id == rule_id("depth"))
        .unwrap();
    let held = depth.confirmed.as_ref().unwrap();
    assert_eq!(
        (held.by.name.as_str(), held.on.is, held.title.as_str()),
        ("Renate Solberg", DayIs::Yesterday, "House decision")
    );
    assert_eq!(depth.depth.as_ref().unwrap().to_string(), "18.0 m");
    let judges = view
        .rules
        .iter()
        .find(|row| row.id == rule_id("assistants"));
    assert_eq!(judges.unwrap().skills[0].name, "The once");
    assert_eq!((view.may_set, view.entry), (Leave::Role, Some(entry)));
    eyes.shop = shop(vec![Body::PolicySet(PolicySet {
        policy: policy(),
        confirmed: Vec::new(),
        proofs: Vec::new(),
    })]);
    let own = PolicyView::of_shop(&eyes.reader(OFFICE)).unwrap();
    assert_eq!((own.course, own.may_set), (None, Leave::Yes));
    let mut faulty = policy();
    faulty.rules[0].source.clear();
    let draft = PolicyView::of_draft(&faulty, None, &eyes.reader(OFFICE));
    assert_eq!(draft.faults.len(), 1);
    assert!(draft.rules.iter().all(|rule| rule.confirmed.is_none()));
}
