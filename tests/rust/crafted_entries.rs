//! An instructor's device with a program of its own: what it signs is well formed and its role
//! may write the kind. Each of these once gave it what is another's.

use std::collections::BTreeSet;

use tallywater_core::course::{CourseId, EntryId, LedgerId, PolicyFault, Role, RuleId, StaffId};
use tallywater_core::desk::{DeskError, FileKeyStore, KeyStore as _, Request};
use tallywater_core::entry::{
    Body, Carried, Certificate, CourseListed, CourseState, Entry, Kind, Mark, PolicySet, Refusal,
    RuleConfirmed, RuleText, Withdrawal, write,
};
use tallywater_core::ledger::Ledger;
use tallywater_core::link::Depot as _;
use tallywater_core::sync::Position;
use tallywater_core::trust::{Doubt, SecretKey, consent, shop_id};
use uuid::Uuid;

use crate::support::devices::{Device, School, admit, admit_as, day, meet, time};

pub(crate) fn key_of(device: &Device) -> SecretKey {
    let keys = FileKeyStore::new(&device.folder.path().join("keys"));
    let seed = keys.load("device").unwrap().unwrap();
    SecretKey::from_seed(seed.as_slice().try_into().unwrap())
}

pub(crate) fn copy(device: &Device, id: &LedgerId) -> Ledger {
    let bytes = device.desk.save_ledger(id).unwrap();
    Ledger::load(*id, [0x66; 16], &bytes, &BTreeSet::new()).unwrap()
}

pub(crate) fn book(device: &Device) -> LedgerId {
    LedgerId::Shop(shop_id(&device.desk.shop_root().unwrap()))
}

/// Writes an entry with the key of a device, around its desk, and gives it to these.
pub(crate) fn craft(
    by: &Device,
    ledger: &LedgerId,
    after: Vec<EntryId>,
    body: impl Into<Body>,
    to: &[&Device],
) -> EntryId {
    let mut copy = copy(by, ledger);
    let key = key_of(by);
    let entry = Entry {
        id: EntryId::new(Uuid::nil()),
        at: time("2026-06-06T10:20:00+02:00"),
        by: by.desk.me().unwrap().staff,
        after,
        body: body.into(),
    };
    let prev = copy.last_of(&key.public()).pop();
    let (id, sealed) = key.seal(ledger, prev, &write(&entry).unwrap());
    copy.add(&sealed).unwrap();
    let bytes = copy.save().unwrap();
    for device in to {
        device.desk.merge(ledger, &bytes).unwrap();
    }
    id
}

/// The entries of a kind in a ledger.
pub(crate) fn of_kind(device: &Device, ledger: &LedgerId, kind: Kind) -> Vec<EntryId> {
    let copy = copy(device, ledger);
    let lines = copy.lines().iter();
    let found = lines.filter(|(_, line)| line.entry().is_some_and(|e| e.body.kind() == kind));
    found.map(|(id, _)| *id).collect()
}

/// A second instructor of the shop, who works on none of the courses.
pub(crate) fn colleague(school: &School, seed: u64) -> (Device, StaffId) {
    let device = Device::new(seed);
    let staff = admit(&school.shop, &device, "Odd Fulmar", Role::Instructor);
    meet(&school.shop, &device);
    meet(&school.shop, &school.instructor);
    (device, staff)
}

fn certificate(staff: StaffId, key: &SecretKey) -> Certificate {
    Certificate {
        staff,
        role: Role::Assistant,
        device: "a tablet".into(),
        key: key.public(),
        link: None,
        from: day("2026-01-01"),
        until: None,
        consent: None,
    }
}

#[test]
fn a_certificate_that_names_the_shops_connection_counts_for_nothing() {
    let school = School::new(1);
    let shop = school.shop.desk.card();
    let joined = school.instructor.record(Request::JoinStaff {
        name: "Isa Tern".into(),
    });
    let staff: StaffId = joined.made.unwrap().parse().unwrap();
    // Found by key, the first of two certificates with one link key would be this one.
    let own = (1..=255).map(|n| SecretKey::from_seed(&[n; 32]));
    let own = own.min_by_key(SecretKey::public).unwrap();
    assert!(own.public() < shop.key);
    let link = SecretKey::from_seed(&[9; 32]);
    let own_link = school.instructor.desk.card().link;
    let before = school.assistant.desk.shares(&shop.link).unwrap();
    assert!(before.iter().any(|one| one.ledger == school.ledger()));
    for consent in [None, Some(consent(&own, &link, &own_link))] {
        let crafted = Certificate {
            link: Some(shop.link),
            consent,
            ..certificate(staff, &own)
        };
        let everyone = [&school.assistant, &school.shop, &school.instructor];
        let ledger = book(&school.shop);
        craft(&school.instructor, &ledger, Vec::new(), crafted, &everyone);
    }
    let after = school.assistant.desk.shares(&shop.link).unwrap();
    let ledgers =
        |all: &[Position]| -> BTreeSet<LedgerId> { all.iter().map(|one| one.ledger).collect() };
    assert_eq!(ledgers(&after), ledgers(&before));
}

#[test]
fn a_colleagues_assistant_stays_who_they_are() {
    let school = School::new(1);
    let (odd, _) = colleague(&school, 61);
    let tablet = Device::new(62);
    let liv = admit(&odd, &tablet, "Liv Dotterel", Role::Assistant);
    meet(&odd, &school.instructor);
    let (card, attacker) = (tablet.desk.card(), &school.instructor);
    let ledger = book(&school.shop);
    let own = attacker.desk.card().link;
    // With a consent that was given to the colleague, one of strangers, and none; the first
    // certificate of an id that sorts before and of one that sorts after.
    let stranger = SecretKey::from_seed(&[7; 32]);
    let given = [
        None,
        Some(tablet.desk.consent_to(&odd.desk.card().link)),
        Some(consent(&stranger, &stranger, &own)),
    ];
    for (number, consent) in (0..12).zip(given.into_iter().cycle()) {
        let crafted = Certificate {
            device: format!("tablet {number}"),
            key: card.key,
            link: Some(card.link),
            consent,
            until: Some(day("2026-01-02")),
            ..certificate(school.bo, &stranger)
        };
        craft(
            attacker,
            &ledger,
            Vec::new(),
            crafted,
            &[&tablet, &school.shop],
        );
    }
    assert_eq!(tablet.desk.me().unwrap().staff, liv);
    assert!(school.shop.desk.admits(&card.link).unwrap(), "no last day");
}

#[test]
fn a_connection_stays_the_one_devices_that_had_it_first() {
    let school = School::new(1);
    let attacker = &school.instructor;
    let seed = FileKeyStore::new(&attacker.folder.path().join("keys"));
    let seed = seed.load("link").unwrap().unwrap();
    let link = SecretKey::from_seed(seed.as_slice().try_into().unwrap());
    assert_eq!(link.public(), attacker.desk.card().link);
    let joined = attacker.record(Request::JoinStaff {
        name: "Isa Tern".into(),
    });
    let staff: StaffId = joined.made.unwrap().parse().unwrap();
    let spare = SecretKey::from_seed(&[9; 32]);
    let crafted = Certificate {
        link: Some(link.public()),
        consent: Some(consent(&spare, &link, &link.public())),
        ..certificate(staff, &spare)
    };
    let ledger = book(&school.shop);
    craft(attacker, &ledger, Vec::new(), crafted, &[&school.shop]);
    // Once the tablet is shut out, so is its connection, whatever else it signed for it.
    let key = attacker.desk.card().key;
    let why = "lost".to_owned();
    school.shop.record(Request::Revoke { key, why });
    assert!(!school.shop.desk.admits(&link.public()).unwrap());
}

#[test]
fn whoever_becomes_an_instructor_keeps_what_they_marked_as_an_assistant() {
    let school = School::new(1);
    let tablet = Device::new(71);
    let liv = admit(&school.instructor, &tablet, "Liv Dotterel", Role::Assistant);
    meet(&school.instructor, &school.shop);
    school.shop.record(Request::AssignStaff {
        course: school.course,
        staff: liv,
        role: Role::Assistant,
    });
    meet(&school.shop, &school.instructor);
    meet(&school.instructor, &tablet);
    tablet.record(Request::Mark(school.tap(
        &tablet,
        0,
        "mask-full",
        Mark::Met,
    )));
    meet(&tablet, &school.shop);
    let ledger = school.ledger();
    let marks = of_kind(&school.shop, &ledger, Kind::Attempt);
    assert_eq!(marks.len(), 1);
    let other = Device::new(72);
    admit_as(&school.shop, &other, liv, Role::Instructor, "Liv's own");
    let card = tablet.desk.card();
    assert!(!school.shop.desk.admits(&card.link).unwrap(), "the old one");
    assert!(school.shop.desk.admits(&other.desk.card().link).unwrap());
    meet(&school.shop, &school.instructor);
    for device in [&school.shop, &school.instructor] {
        let counts = device.desk.with_course(&school.course, |course| {
            course.tally().standing(&marks[0]).map(|one| one.writer)
        });
        let writer = counts.unwrap().expect("the mark stands");
        assert_eq!((writer.staff, writer.role), (liv, Role::Assistant));
    }
    // What the old tablet writes from then on counts for nothing.
    let again = school.tap(&tablet, 0, "swim-200", Mark::Met);
    tablet.record(Request::Mark(again));
    let bytes = tablet.desk.save_ledger(&ledger).unwrap();
    school.shop.desk.merge(&ledger, &bytes).unwrap();
    let late = school.shop.desk.late().unwrap();
    assert_eq!(late.len(), 1, "{late:?}");
}

#[test]
fn nobody_is_admitted_under_a_colleagues_name() {
    let school = School::new(1);
    let (odd, _) = colleague(&school, 68);
    let spare = Device::new(69);
    let card = spare.desk.card();
    let given = spare.desk.consent_to(&odd.desk.card().link);
    let ledger = book(&school.shop);
    let crafted = Certificate {
        link: Some(card.link),
        consent: Some(given),
        ..certificate(school.renate, &key_of(&spare))
    };
    craft(&odd, &ledger, Vec::new(), crafted, &[&odd, &school.shop]);
    assert!(!school.shop.desk.admits(&card.link).unwrap());
    // The desk says so before it writes one.
    let admission = tallywater_core::desk::Admission {
        staff: school.renate,
        role: Role::Assistant,
        device: "not Renate's".into(),
        key: card.key,
        link: Some(card.link),
        until: None,
    };
    let refused = odd.desk.record(Request::AdmitPaired(admission, given));
    assert!(matches!(
        refused,
        Err(DeskError::Refused(Refusal::Unknown { what: "device" }))
    ));
}

#[test]
fn a_device_that_an_instructor_admits_has_no_more_than_the_instructor() {
    let school = School::new(1);
    let (odd, staff) = colleague(&school, 63);
    let spare = Device::new(64);
    admit_as(&odd, &spare, school.bo, Role::Assistant, "not Bo's");
    meet(&odd, &school.shop);
    meet(&odd, &school.assistant);
    let link = spare.desk.card().link;
    for device in [&school.shop, &school.assistant] {
        assert!(device.desk.admits(&link).unwrap());
        let shared = device.desk.shares(&link).unwrap();
        assert!(shared.iter().all(|one| one.ledger != school.ledger()));
        assert!(!device.desk.may_share(&link, &school.ledger()).unwrap());
    }
    // Once both are on the course, the spare tablet has it.
    school.shop.record(Request::AssignStaff {
        course: school.course,
        staff,
        role: Role::Instructor,
    });
    assert!(school.shop.desk.may_share(&link, &school.ledger()).unwrap());
}

fn listed(course: CourseId, staff: Vec<StaffId>) -> CourseListed {
    CourseListed {
        course,
        title: "First dives, June".into(),
        starts: day("2026-06-06"),
        staff,
        state: CourseState::Running,
    }
}

fn may(device: &Device, staff: StaffId, course: CourseId) -> bool {
    let ledger = LedgerId::Course(course);
    device.desk.may_have(&staff, &ledger).unwrap()
}

#[test]
fn nobody_lists_themselves_on_a_colleagues_course() {
    let school = School::new(1);
    let (odd, staff) = colleague(&school, 65);
    let opened = school.instructor.record(Request::OpenCourse {
        place: None,
        outline: Default::default(),
        title: "Renate's own".into(),
        starts: day("2026-07-01"),
        staff: vec![(school.renate, Role::Instructor)],
    });
    let own: CourseId = opened.made.unwrap().parse().unwrap();
    meet(&school.instructor, &school.shop);
    meet(&school.shop, &odd);
    let ledger = book(&school.shop);
    let everyone = [&odd, &school.shop, &school.instructor];
    for course in [school.course, own] {
        let lines = of_kind(&odd, &ledger, Kind::CourseListed);
        for after in [Vec::new(), lines] {
            let says = listed(course, vec![school.renate, staff]);
            let id = craft(&odd, &ledger, after, says.clone(), &everyone);
            craft(&odd, &ledger, vec![id], says, &everyone);
        }
        for device in everyone {
            assert!(!may(device, staff, course));
            assert!(may(device, school.renate, course), "and nobody is put off");
        }
    }
    // Nor do the details of who is on the course come with it.
    let details = LedgerId::Person(school.students[0]);
    for device in [&school.shop, &school.instructor] {
        assert!(!device.desk.may_have(&staff, &details).unwrap());
        assert!(device.desk.may_have(&school.renate, &details).unwrap());
        let link = odd.desk.card().link;
        assert!(!device.desk.may_share(&link, &details).unwrap());
        assert!(!device.desk.may_share(&link, &school.ledger()).unwrap());
        let shared = device.desk.shares(&link).unwrap();
        let book_alone = |one: &Position| matches!(one.ledger, LedgerId::Shop(_));
        assert!(shared.iter().all(book_alone));
    }
}

#[test]
fn whoever_was_taken_off_a_course_stays_off_it() {
    let school = School::new(1);
    let (odd, staff) = colleague(&school, 66);
    let ledger = book(&school.shop);
    let course = school.course;
    let first = of_kind(&odd, &ledger, Kind::CourseListed);
    school.shop.record(Request::AssignStaff {
        course,
        staff,
        role: Role::Instructor,
    });
    meet(&school.shop, &odd);
    let with_odd = of_kind(&odd, &ledger, Kind::CourseListed);
    let with_odd: Vec<EntryId> = with_odd
        .into_iter()
        .filter(|id| !first.contains(id))
        .collect();
    school.shop.record(Request::TakeOffStaff { course, staff });
    meet(&school.shop, &odd);
    let all = of_kind(&odd, &ledger, Kind::CourseListed);
    let off: Vec<EntryId> = all
        .iter()
        .filter(|id| !first.contains(id) && !with_odd.contains(id))
        .copied()
        .collect();
    let everyone = [&odd, &school.shop, &school.instructor];
    for after in [Vec::new(), with_odd, all, off.clone()] {
        let says = listed(course, vec![school.renate, school.bo, staff]);
        craft(&odd, &ledger, after, says, &everyone);
    }
    for entry in off {
        let back = Withdrawal { entry, why: None };
        craft(&odd, &ledger, vec![entry], back, &everyone);
    }
    for device in everyone {
        assert!(!may(device, staff, course));
        assert!(may(device, school.renate, course));
        assert!(may(device, school.bo, course));
    }
}

#[test]
fn two_who_list_a_course_apart_take_nobody_off() {
    let school = School::new(1);
    let (odd, staff) = colleague(&school, 67);
    let course = school.course;
    school.shop.record(Request::AssignStaff {
        course,
        staff,
        role: Role::Instructor,
    });
    school.instructor.record(Request::RetitleCourse {
        course,
        title: "First dives, July".into(),
        starts: day("2026-07-06"),
        place: None,
    });
    meet(&school.shop, &school.instructor);
    meet(&school.shop, &odd);
    for device in [&school.shop, &school.instructor, &odd] {
        for one in [school.renate, school.bo, staff] {
            assert!(may(device, one, course));
        }
    }
}

/// The policy of a course as a device has it: which entry set it, and who confirmed what.
fn policy(device: &Device, course: &CourseId) -> (EntryId, BTreeSet<(RuleId, StaffId)>) {
    device
        .desk
        .with_course(course, |course| {
            let unverified = course.tally().unverified();
            let policy = course.policy().unwrap_or_else(|| panic!("{unverified:?}"));
            let confirmed = policy.confirmed.iter();
            let confirmed = confirmed.map(|(rule, held)| (rule.clone(), held.by));
            (policy.entry, confirmed.collect())
        })
        .unwrap()
}

#[test]
fn a_confirmation_is_its_writers_own() {
    let school = School::new(1);
    let owner = school.shop.desk.me().unwrap().staff;
    // Who opens a course takes over what was confirmed, with the entries that say so.
    let opened = school.instructor.record(Request::OpenCourse {
        place: None,
        outline: Default::default(),
        title: "Renate's own".into(),
        starts: day("2026-07-01"),
        staff: vec![(school.renate, Role::Instructor)],
    });
    let course: CourseId = opened.made.unwrap().parse().unwrap();
    meet(&school.instructor, &school.shop);
    let before = policy(&school.shop, &course);
    assert!(!before.1.is_empty());
    assert!(before.1.iter().all(|(_, by)| *by == owner));
    assert_eq!(policy(&school.instructor, &course), before);
    // The owner's name below rules that the owner never saw.
    let ledger = LedgerId::Course(course);
    let seen = copy(&school.instructor, &ledger);
    let genuine = seen.lines().values().find_map(|line| {
        if let Body::PolicySet(set) = &line.entry()?.body {
            Some(set.clone())
        } else {
            None
        }
    });
    let genuine = genuine.unwrap();
    assert!(!genuine.proofs.is_empty());
    let mut laxer = genuine.policy.clone();
    let named = laxer.rules.iter_mut().find_map(|rule| {
        use tallywater_core::course::Rule;
        if let Rule::Depth { max_cm, .. } = &mut rule.rule {
            *max_cm += 500;
            Some(rule.id.clone())
        } else {
            None
        }
    });
    let named = named.expect("a rule with a figure in it");
    let no_faults: Vec<PolicyFault> = laxer.faults();
    assert_eq!(no_faults, Vec::new());
    let read = RuleText {
        title: "House decision".into(),
        edition: None,
        clause: None,
        on: day("2026-05-20"),
    };
    let made_up = RuleConfirmed {
        rule: named,
        by: owner,
        on: day("2026-06-06"),
        read,
    };
    let own = key_of(&school.instructor);
    let (_, forged) = own.seal(&book(&school.shop), None, b"{}");
    let tries = [
        PolicySet {
            policy: laxer.clone(),
            confirmed: vec![made_up],
            proofs: Vec::new(),
        },
        PolicySet {
            policy: laxer,
            ..genuine.clone()
        },
        PolicySet {
            proofs: Vec::new(),
            ..genuine.clone()
        },
        PolicySet {
            proofs: vec![Carried(forged)],
            ..genuine.clone()
        },
    ];
    for set in tries {
        let after = of_kind(&school.instructor, &ledger, Kind::PolicySet);
        let everyone = [&school.shop, &school.instructor];
        let id = craft(&school.instructor, &ledger, after, set, &everyone);
        for device in everyone {
            let why = device.desk.with_course(&course, |course| {
                course.tally().unverified().get(&id).copied()
            });
            assert_eq!(why.unwrap(), Some(Doubt::NotTheWriter));
            assert_eq!(policy(device, &course), before);
        }
    }
}
