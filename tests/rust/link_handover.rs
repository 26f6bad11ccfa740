//! A school that one instructor started alone joins a shop, with its people and courses.

mod kit;

use std::collections::{BTreeMap, BTreeSet};

use tallywater_core::course::{CourseId, EntryId, LedgerId, Role, StaffId, StudentId};
use tallywater_core::desk::{Again, MarkTap, Request};
use tallywater_core::entry::{Body, DeviceKey, Entry, Mark, Origin, Revocation, write};
use tallywater_core::ledger::Ledger;
use tallywater_core::link::pairing::{Guest, Joined, Paired, PairingError};
use tallywater_core::link::{Depot, DepotError};
use tallywater_core::standing::CellState;
use tallywater_core::trust::{SecretKey, shop_id};
use tallywater_core::view::{BoardOf, BoardView, Units};

use uuid::Uuid;

use crate::support::devices::{Device, School, admit, day, details, meet, time};
use crate::support::links::{Online, go_online, rows_as_text, until};

/// A school of one instructor, with an assistant's phone, a student and a course.
struct Lone {
    tablet: Device,
    phone: Device,
    staff: StaffId,
    assistant: StaffId,
    course: CourseId,
    student: StudentId,
}

impl Lone {
    fn new(seed: u64) -> Self {
        let (tablet, phone) = (Device::new(seed), Device::new(seed + 1));
        let staff = tablet
            .desk
            .start_alone("Heron Lake Diving", "Tove Askildsen")
            .unwrap();
        let assistant = admit(&tablet, &phone, "Runa Tveit", Role::Assistant);
        let course = tablet.record(Request::OpenCourse {
            place: None,
            outline: Default::default(),
            title: "First dives at the lake".into(),
            starts: day("2026-06-06"),
            staff: vec![(staff, Role::Instructor), (assistant, Role::Assistant)],
        });
        let course = course.made.unwrap().parse().unwrap();
        let student = tablet.record(Request::Enrol {
            course,
            details: details("Ottilie Brandvoll"),
            referred_from: None,
        });
        let student = student.made.unwrap().parse().unwrap();
        let lone = Self {
            tablet,
            phone,
            staff,
            assistant,
            course,
            student,
        };
        meet(&lone.tablet, &lone.phone);
        lone.mark(&lone.tablet, "mask-full", Mark::Met);
        lone.mark(&lone.phone, "swim-200", Mark::Met);
        meet(&lone.tablet, &lone.phone);
        lone
    }

    fn mark(&self, by: &Device, skill: &str, mark: Mark) {
        by.record(Request::Mark(MarkTap {
            on: by
                .desk
                .on_screen(&self.course, self.student, &skill.parse().unwrap())
                .unwrap(),
            mark,
            method: None,
            measured: Vec::new(),
            slips: Vec::new(),
            note: None,
            despite: None,
            session: None,
            origin: Origin::Live,
            again: Again::AnotherTry,
        }));
    }

    fn state(&self, on: &Device, skill: &str) -> CellState {
        let key = (self.student, skill.parse().unwrap());
        let cell = |course: &tallywater_core::standing::CourseStanding| {
            course.cells().get(&key).map(|cell| cell.state)
        };
        let found = on.desk.with_course(&self.course, cell);
        found.ok().flatten().unwrap_or(CellState::Open)
    }

    /// The board as a text, names and all; empty before it is here.
    fn board(&self, on: &Device) -> String {
        let view = on.desk.look(&self.course, Units::Metric, |course, reader| {
            rows_as_text(&BoardView::of(course, reader, BoardOf::default()))
        });
        view.unwrap_or_default()
    }

    /// Over the network the tablet joins a shop by a code, and is admitted. The shop there, and
    /// the tablet.
    fn join(&self, shop: &Device) -> (Online, Online) {
        let at_shop = go_online(&shop.desk);
        let tablet = go_online(&self.tablet.desk);
        let guest = named(shop, "Tove", Role::Instructor);
        let code = at_shop.link.show_code(guest).unwrap();
        let place = at_shop.link.place();
        tablet.link.join(&place, &code, "Tove's tablet").unwrap();
        until("to be admitted", || self.tablet.desk.me().is_some());
        (at_shop, tablet)
    }

    fn paired(&self, brought: Vec<u8>) -> Paired {
        let card = self.tablet.desk.card();
        Paired {
            signing: card.key,
            link: card.link,
            device: "Tove's tablet".into(),
            brought,
            consent: self.tablet.desk.consent_to(&card.link),
        }
    }
}

fn shop(seed: u64) -> Device {
    let shop = Device::new(seed);
    shop.desk
        .start_shop("Grebe Hollow Divers", "Ansel Forde")
        .unwrap();
    shop
}

/// The code is shown for this name.
fn named(shop: &Device, name: &str, role: Role) -> Guest {
    let joined = shop.record(Request::JoinStaff { name: name.into() });
    Guest {
        staff: joined.made.unwrap().parse().unwrap(),
        role,
        until: None,
    }
}

fn staff_of(device: &Device) -> Vec<String> {
    device
        .desk
        .look_at_shop(Units::Metric, |reader| {
            reader.shop.staff().into_values().collect()
        })
        .unwrap()
}

#[test]
fn a_lone_instructor_joins_a_shop_with_a_code_and_everything_comes_along() {
    let (lone, shop) = (Lone::new(60), shop(91));
    assert!(lone.tablet.desk.is_lone() && !lone.phone.desk.is_lone() && !shop.desk.is_lone());
    let before = lone.board(&lone.tablet);
    let (at_shop, tablet) = lone.join(&shop);

    println!("## The tablet is a device of the shop, and its holder the same person");
    let me = lone.tablet.desk.me().unwrap();
    assert_eq!((me.staff, me.role), (lone.staff, Role::Instructor));
    assert_eq!(lone.tablet.desk.shop_root(), shop.desk.shop_root());
    assert!(!lone.tablet.desk.is_lone());
    until("the course at the shop", || lone.board(&shop) == before);
    until("the same on the tablet", || {
        lone.board(&lone.tablet) == before
    });
    assert_eq!(lone.state(&shop, "swim-200"), CellState::Shown);
    // The name that was made to show the code is taken back: one Tove is enough.
    let names = staff_of(&shop);
    assert!(names.contains(&"Tove Askildsen".to_owned()), "{names:?}");
    assert!(!names.contains(&"Tove".to_owned()), "{names:?}");

    println!("## What is marked from here on counts on both");
    lone.mark(&lone.tablet, "marker", Mark::Met);
    until("the mark", || lone.board(&shop) == lone.board(&lone.tablet));
    assert_eq!(
        lone.state(&shop, "marker"),
        lone.state(&lone.tablet, "marker")
    );

    println!("## The assistant's phone follows the tablet, with what it has marked meanwhile");
    let before_phone = lone.board(&shop);
    lone.mark(&lone.phone, "mask-full", Mark::NotYet);
    let phone = go_online(&lone.phone.desk);
    let refused = {
        let code = at_shop
            .link
            .show_code(named(&shop, "Runa", Role::Assistant))
            .unwrap();
        let place = at_shop.link.place();
        phone.link.join(&place, &code, "Runa's phone")
    };
    assert_eq!(refused, Err(PairingError::NotAdmitted), "another's phone");
    let code = tablet
        .link
        .show_code(Guest {
            staff: lone.assistant,
            role: Role::Assistant,
            until: None,
        })
        .unwrap();
    phone
        .link
        .join(&tablet.link.place(), &code, "Runa's phone")
        .unwrap();
    until("to be admitted", || lone.phone.desk.me().is_some());
    assert_eq!(lone.phone.desk.me().unwrap().staff, lone.assistant);
    until("its mark at the shop", || {
        lone.board(&shop) == lone.board(&lone.phone)
    });
    assert_ne!(lone.board(&shop), before_phone);
    drop((at_shop, tablet, phone));

    println!("## All of it is still so after a night");
    let before = lone.board(&shop);
    let Lone { tablet, phone, .. } = lone;
    let lone = Lone {
        tablet: tablet.reopen(),
        phone: phone.reopen(),
        ..lone
    };
    assert_eq!(lone.board(&lone.tablet), before);
    assert!(!lone.tablet.desk.is_lone());
    let shops = |device: &Device| {
        let all = device.desk.ledgers().unwrap();
        all.into_iter()
            .filter(|id| matches!(id, LedgerId::Shop(_)))
            .count()
    };
    assert_eq!((shops(&lone.tablet), shops(&lone.phone)), (1, 1));
}

/// What is brought, changed and signed again with the school's own root key.
fn changed(lone: &Lone, change: impl FnOnce(&mut serde_json::Value)) -> Vec<u8> {
    let brings = lone.tablet.desk.brings().unwrap();
    let mut said: serde_json::Value = serde_json::from_slice(&brings[64..]).unwrap();
    change(&mut said);
    let said = serde_json::to_vec(&said).unwrap();
    let seed = std::fs::read(lone.tablet.folder.path().join("keys/root.key")).unwrap();
    let root = SecretKey::from_seed(&seed.try_into().unwrap());
    [
        root.sign(b"tallywater handover 2\0", &said).as_slice(),
        &said,
    ]
    .concat()
}

#[test]
fn a_school_that_claims_what_is_the_shops_own_is_turned_away_and_nothing_is_written() {
    let (lone, shop) = (Lone::new(62), shop(92));
    let guest = named(&shop, "Tove", Role::Instructor);
    let other = shop.record(Request::OpenCourse {
        place: None,
        outline: Default::default(),
        title: "The shop's own".into(),
        starts: day("2026-07-01"),
        staff: Vec::new(),
    });
    let other = other.made.unwrap();
    let own_student = shop.record(Request::Enrol {
        course: other.parse().unwrap(),
        details: details("Émile Quatrefaire"),
        referred_from: None,
    });
    let own_student = own_student.made.unwrap();
    let office = guest.staff.to_string();
    let key = shop.desk.card().key;
    let entries = || {
        let ledger = shop
            .desk
            .shop_root()
            .map(|root| LedgerId::Shop(shop_id(&root)));
        shop.desk.entries(&ledger.unwrap()).unwrap()
    };
    let before = entries();
    let refused = |what: &str, brought: Vec<u8>, guest: &Guest| {
        let admitted = shop.desk.admit(&lone.paired(brought), guest);
        assert!(matches!(admitted, Err(DepotError::Failed { .. })), "{what}");
        assert_eq!(entries(), before, "{what}");
        assert!(
            shop.desk.with_course(&lone.course, |_| ()).is_err(),
            "{what}"
        );
    };
    let brings = lone.tablet.desk.brings().unwrap();
    let assistant = Guest {
        role: Role::Assistant,
        ..guest
    };
    refused("a code for an assistant", brings.clone(), &assistant);
    let mut bent = brings.clone();
    *bent.last_mut().unwrap() ^= 1;
    refused("bytes that were changed", bent, &guest);
    refused("too short to be signed", vec![7; 63], &guest);
    refused(
        "no words",
        [brings[..64].to_vec(), b"{}".to_vec()].concat(),
        &guest,
    );
    let somebody = changed(&lone, |said| {
        said["device"] = DeviceKey([9; 32]).to_string().into()
    });
    refused("what another device brought", somebody, &guest);
    let as_known = changed(&lone, |said| {
        said["staff"][0]["staff"] = office.clone().into()
    });
    refused("a person the shop knows", as_known, &guest);
    let own_key = changed(&lone, |said| {
        said["certificates"][1]["key"] = serde_json::to_value(key).unwrap();
    });
    refused("a device of the shop", own_key, &guest);
    let link = shop.desk.card().link;
    let own_link = changed(&lone, |said| {
        said["certificates"][1]["link"] = serde_json::to_value(link).unwrap();
    });
    refused("the connection of the shop", own_link, &guest);
    let one_link = changed(&lone, |said| {
        let first = said["certificates"][0]["link"].clone();
        said["certificates"][1]["link"] = first;
    });
    refused("a connection twice", one_link, &guest);
    let own_course = changed(&lone, |said| {
        said["courses"][0]["course"] = other.clone().into()
    });
    refused("a course of the shop", own_course, &guest);
    let shuts_out = changed(&lone, |said| {
        said["revoked"] = serde_json::json!([
            { "key": serde_json::to_value(key).unwrap(), "why": "taken over", "held": {} }
        ]);
    });
    refused("the shop's own computer shut out", shuts_out, &guest);
    let drops = changed(&lone, |said| {
        said["dropped"] = serde_json::json!([{ "course": other.clone(), "why": "old" }]);
    });
    refused("a course of the shop dropped", drops, &guest);
    let forgets = changed(&lone, |said| {
        said["forgotten"] = serde_json::json!([{ "student": own_student.clone(), "why": "old" }]);
    });
    refused("a student of the shop forgotten", forgets, &guest);
    let holds = changed(&lone, |said| {
        said["holds"] = serde_json::json!([
            { "on": { "student": own_student.clone() }, "why": "an inquiry" }
        ]);
    });
    refused("a student of the shop held", holds, &guest);
    let twice = changed(&lone, |said| {
        let first = said["certificates"][0].clone();
        said["certificates"].as_array_mut().unwrap().push(first);
    });
    refused("a key twice", twice, &guest);
    let none = changed(&lone, |said| {
        let own = LedgerId::Course(lone.course).to_string();
        said["held"][own] = serde_json::json!(["no id"]);
    });
    refused("entries that are none", none, &guest);
    // What its root key wrote in the shop's own ledger, or in one that it does not list,
    // would count there: it would be an office of the shop.
    let shops = LedgerId::Shop(shop_id(&shop.desk.shop_root().unwrap())).to_string();
    let foreign = LedgerId::Course(CourseId::new(Uuid::from_u128(7))).to_string();
    for ledger in [
        shops,
        foreign,
        LedgerId::Person(own_student.parse().unwrap()).to_string(),
    ] {
        let entry = EntryId::new(Uuid::from_u128(0x77)).to_string();
        let held = changed(&lone, |said| {
            said["held"][&ledger] = serde_json::json!([entry.clone()]);
        });
        refused("where its key stood in another's ledger", held, &guest);
        let revoked = changed(&lone, |said| {
            let held = serde_json::json!({ ledger.clone(): [entry.clone()] });
            let one = serde_json::json!({
                "key": DeviceKey([9; 32]).to_string(), "why": "lost", "held": held
            });
            said["revoked"] = serde_json::json!([one]);
        });
        refused("the same of a key that it shut out", revoked, &guest);
    }
    // And as it is, it comes in; a second time, when the welcome was lost, nothing is added.
    shop.desk
        .admit(&lone.paired(brings.clone()), &guest)
        .unwrap();
    let after = entries();
    assert!(after > before);
    shop.desk.admit(&lone.paired(brings), &guest).unwrap();
    assert_eq!(entries(), after);
}

#[test]
fn the_root_key_of_a_school_that_was_taken_in_writes_nothing_more() {
    let (lone, shop) = (Lone::new(64), shop(93));
    let guest = named(&shop, "Tove", Role::Instructor);
    let brings = lone.tablet.desk.brings().unwrap();
    shop.desk.admit(&lone.paired(brings), &guest).unwrap();
    let own = shop.desk.card().key;
    let seed = std::fs::read(lone.tablet.folder.path().join("keys/root.key")).unwrap();
    let root = SecretKey::from_seed(&seed.try_into().unwrap());
    let ledger_id = LedgerId::Shop(shop_id(&shop.desk.shop_root().unwrap()));
    let bytes = shop.desk.save_ledger(&ledger_id).unwrap();
    let mut ledger = Ledger::load(ledger_id, [66; 16], &bytes, &BTreeSet::new()).unwrap();
    // With its certificate it is an office: without the shutting out it could do this.
    let entry = Entry {
        id: EntryId::new(Uuid::nil()),
        at: time("2026-06-06T09:00:00+02:00"),
        by: StaffId::new(shop_id(&root.public()).uuid()),
        after: Vec::new(),
        body: Body::Revocation(Revocation {
            key: own,
            why: "taken over".into(),
            held: BTreeMap::new(),
        }),
    };
    let (id, sealed) = root.seal(&ledger_id, None, &write(&entry).unwrap());
    ledger.add(&sealed).unwrap();
    shop.desk
        .merge(&ledger_id, &ledger.save().unwrap())
        .unwrap();
    assert!(shop.desk.me().is_some(), "the shop is not shut out");
    let late = shop.desk.late().unwrap();
    assert!(late.contains(&(ledger_id, vec![id])), "{late:?}");
}

#[test]
fn only_a_school_that_was_started_alone_brings_anything() {
    let shop = shop(94);
    assert_eq!(shop.desk.brings().unwrap(), Vec::<u8>::new());
    assert_eq!(Device::new(66).desk.brings().unwrap(), Vec::<u8>::new());
    let other = Device::new(67);
    other
        .desk
        .start_shop("Another Shop", "Ilse Brandt")
        .unwrap();
    let (at_shop, at_other) = (go_online(&shop.desk), go_online(&other.desk));
    let code = at_shop
        .link
        .show_code(named(&shop, "Ilse", Role::Instructor))
        .unwrap();
    let joined = at_other
        .link
        .join(&at_shop.link.place(), &code, "Other shop");
    assert_eq!(joined, Err(PairingError::OtherShop));
    assert_ne!(other.desk.shop_root(), shop.desk.shop_root());
}

#[test]
fn only_who_belongs_to_a_school_without_an_office_may_go_over_to_a_shop() {
    let lone = Lone::new(70);
    assert!(lone.tablet.desk.may_move() && lone.phone.desk.may_move());
    let school = School::seeded(1, 8);
    for device in [&school.shop, &school.instructor, &school.assistant] {
        assert!(!device.desk.may_move());
    }
    // Not even after its own instructor, whose code leads elsewhere.
    let ahead = Joined {
        root: lone.tablet.desk.shop_root().unwrap(),
        signing: school.instructor.desk.own_key(),
        link: school.instructor.desk.own_key(),
        device: "Renate's tablet".into(),
        at: None,
    };
    let before = school.assistant.desk.shop_root();
    assert!(school.assistant.desk.join(&ahead).is_err());
    assert_eq!(school.assistant.desk.shop_root(), before);
    // The phone of the lone school follows its instructor's tablet.
    let ahead = Joined {
        root: school.shop.desk.shop_root().unwrap(),
        signing: lone.tablet.desk.own_key(),
        ..ahead
    };
    lone.phone.desk.join(&ahead).unwrap();
    assert_eq!(lone.phone.desk.shop_root(), school.shop.desk.shop_root());
}
