//! Bad input and bad intent at the desk: each gets a named answer, and nothing is recorded.

mod absurd;

use std::collections::BTreeSet;

use tallywater_core::course::{
    AdultSeen, DiveLog, EntryId, LedgerId, PersonDetails, Role, Setting, StaffId, WaterKind,
};
use tallywater_core::desk::{Desk, DeskError, Request, Scope};
use tallywater_core::entry::{
    Attempt, Body, Certificate, Entry, Mark, Measured, Origin, Passage, Refusal, RuleText, Who,
    write,
};
use tallywater_core::ledger::Ledger;
use tallywater_core::standing::CellState;
use tallywater_core::trust::{Doubt, SecretKey};
use uuid::Uuid;

use crate::support::devices::{Device, School, admit_as, carry, day, details, meet, plan, time};

fn refused(desk: &Desk, request: Request) -> Refusal {
    match desk.record(request) {
        Err(DeskError::Refused(refusal)) => refusal,
        other => panic!("not refused: {other:?}"),
    }
}

fn everything(desk: &Desk) -> Vec<(LedgerId, Vec<u8>)> {
    let mut ledgers = desk.ledgers().unwrap();
    ledgers.sort();
    ledgers
        .into_iter()
        .map(|id| (id, desk.heads(&id).unwrap().to_bytes()))
        .collect()
}

#[test]
fn a_mark_that_makes_no_sense_is_refused() {
    let school = School::new(1);
    let desk = &school.instructor.desk;
    let tap = |change: fn(&mut tallywater_core::desk::MarkTap)| {
        let mut tap = school.tap(&school.instructor, 0, "mask-full", Mark::Met);
        change(&mut tap);
        Request::Mark(tap)
    };
    let aside = |skills: &[&str], why: &str| Request::Override {
        course: school.course,
        student: school.students[0],
        session: school.session,
        skills: skills.iter().map(|id| id.parse().unwrap()).collect(),
        why: why.to_owned(),
    };
    let cases: [(Request, &str); 9] = [
        // "mask-full" asks for one thing in so many seconds; the depth is within half a metre.
        (
            tap(|t| t.measured = vec![Measured::Centimetres(4_000)]),
            "below_requirement",
        ),
        (
            tap(|t| {
                t.measured = vec![Measured::Centimetres(4_000)];
                t.despite = Some(" ".to_owned());
            }),
            "text_empty",
        ),
        (aside(&[], "shown at the lake"), "out_of_bounds"),
        (aside(&["no-such-skill"], "shown at the lake"), "unknown"),
        (aside(&["mask-full"], " "), "text_empty"),
        (
            tap(|t| t.slips = vec!["no-such-slip".parse().unwrap()]),
            "unknown",
        ),
        (
            tap(|t| t.method = Some("no-such-way".parse().unwrap())),
            "unknown",
        ),
        (
            tap(|t| t.measured = vec![Measured::CmPerMinute(900)]),
            "not_measured",
        ),
        (tap(|t| t.note = Some(String::new())), "text_empty"),
    ];
    for (request, rule) in cases {
        let text = format!("{request:?}");
        assert_eq!(refused(desk, request).rule(), rule, "{text}");
    }
}

#[test]
fn each_role_may_record_what_is_its_own_and_no_more() {
    let school = School::new(1);
    let (course, student) = (school.course, school.students[0]);
    let shop_marks = refused(
        &school.shop.desk,
        Request::Mark(school.tap(&school.shop, 0, "mask-full", Mark::Met)),
    );
    assert!(matches!(
        shop_marks,
        Refusal::Role {
            role: Role::Shop,
            ..
        }
    ));
    let aside = || Request::Override {
        course,
        student,
        session: school.session,
        skills: ["mask-full".parse().unwrap()].into(),
        why: "shown at the lake".into(),
    };
    for desk in [&school.shop.desk, &school.assistant.desk] {
        assert_eq!(refused(desk, aside()).rule(), "role");
    }
    school.instructor.record(aside());
    let exempts = Request::Exempt {
        on: school.on_screen(&school.assistant, 0, "mask-full"),
        why: "done before".into(),
    };
    let assistant = refused(&school.assistant.desk, exempts);
    assert!(matches!(
        assistant,
        Refusal::Role {
            role: Role::Assistant,
            ..
        }
    ));
    let name = "Someone".to_owned();
    let forget = Request::Forget {
        student,
        why: "asked".into(),
    };
    assert!(matches!(
        refused(&school.instructor.desk, forget),
        Refusal::Role { .. }
    ));
    assert!(matches!(
        refused(&school.assistant.desk, Request::JoinStaff { name }),
        Refusal::Role { .. }
    ));
    let marked = school.instructor.mark(&school, 0, "mask-full", Mark::Met);
    meet(&school.instructor, &school.assistant);
    let (ledger, entry) = marked.entries[0];
    let others = refused(
        &school.assistant.desk,
        Request::Withdraw {
            ledger,
            entry,
            why: None,
        },
    );
    assert!(matches!(others, Refusal::NotYours { .. }));
}

#[test]
fn what_is_withdrawn_can_be_put_back_and_not_withdrawn_twice() {
    let school = School::new(1);
    let device = &school.instructor;
    let marked = device.mark(&school, 0, "mask-full", Mark::Met);
    let (ledger, entry) = marked.entries[0];
    let undo = device.record(Request::Withdraw {
        ledger,
        entry,
        why: None,
    });
    let key = school.key(0, "mask-full");
    let state = || {
        device
            .desk
            .with_course(&school.course, |c| c.cells()[&key].state)
            .unwrap()
    };
    assert_eq!(state(), CellState::Open);
    let twice = refused(
        &device.desk,
        Request::Withdraw {
            ledger,
            entry,
            why: None,
        },
    );
    assert!(matches!(twice, Refusal::CountsNot { .. }));
    let (ledger, entry) = undo.entries[0];
    device.record(Request::Withdraw {
        ledger,
        entry,
        why: None,
    });
    assert_eq!(state(), CellState::Met);
}

/// Puts an entry into a copy of the course's ledger as a forger would: around the desk.
fn forge(school: &School, key: &SecretKey, by: StaffId, body: Body) -> (EntryId, Vec<u8>) {
    let ledger_id = school.ledger();
    let bytes = school.instructor.desk.save_ledger(&ledger_id).unwrap();
    let mut ledger = Ledger::load(ledger_id, [66; 16], &bytes, &BTreeSet::new()).unwrap();
    let at = time("2026-06-06T10:00:00+02:00");
    let entry = Entry {
        id: EntryId::new(Uuid::nil()),
        at,
        by,
        after: Vec::new(),
        body,
    };
    let (id, sealed) = key.seal(&ledger_id, None, &write(&entry).unwrap());
    ledger.add(&sealed).unwrap();
    (id, ledger.save().unwrap())
}

fn met(school: &School) -> Body {
    Attempt {
        student: school.students[0],
        skill: "mask-full".parse().unwrap(),
        method: None,
        mark: Mark::Met,
        measured: Vec::new(),
        slips: Vec::new(),
        note: None,
        despite: None,
        session: None,
        origin: Origin::Live,
    }
    .into()
}

fn doubt(device: &Device, school: &School, id: EntryId) -> Option<Doubt> {
    device
        .desk
        .with_course(&school.course, |course| {
            course.tally().unverified().get(&id).copied()
        })
        .unwrap()
}

#[test]
fn a_forged_entry_is_kept_shown_and_counts_for_nothing() {
    let school = School::new(1);
    let stranger = SecretKey::from_seed(&[99; 32]);
    let (id, bytes) = forge(&school, &stranger, school.renate, met(&school));
    school.shop.desk.merge(&school.ledger(), &bytes).unwrap();
    assert_eq!(doubt(&school.shop, &school, id), Some(Doubt::NoCertificate));
    let key = school.key(0, "mask-full");
    let state = school
        .shop
        .desk
        .with_course(&school.course, |c| c.cells()[&key].state)
        .unwrap();
    assert_eq!(state, CellState::Open);
}

#[test]
fn an_assistant_who_claims_to_be_the_instructor_is_not_believed() {
    let school = School::new(1);
    // The assistant's own key, read from the device's key store, under another's name.
    let seed = std::fs::read(school.assistant.folder.path().join("keys/device.key")).unwrap();
    let key = SecretKey::from_seed(&seed.try_into().unwrap());
    let (id, bytes) = forge(&school, &key, school.renate, met(&school));
    school.shop.desk.merge(&school.ledger(), &bytes).unwrap();
    assert_eq!(doubt(&school.shop, &school, id), Some(Doubt::NotTheWriter));
    let exemption = tallywater_core::entry::Exemption {
        student: school.students[0],
        skill: "mask-full".parse().unwrap(),
        why: "because".into(),
        elsewhere: None,
    };
    let (id, bytes) = forge(&school, &key, school.bo, exemption.into());
    school
        .instructor
        .desk
        .merge(&school.ledger(), &bytes)
        .unwrap();
    assert_eq!(doubt(&school.instructor, &school, id), Some(Doubt::Role));
}

#[test]
fn an_assistant_cannot_admit_a_device_and_an_instructor_only_an_assistants() {
    let school = School::new(1);
    let stranger = Device::new(50);
    let certificate = |role| {
        Request::Admit(tallywater_core::desk::Admission {
            staff: school.bo,
            role,
            device: "spare".into(),
            key: stranger.desk.card().key,
            link: None,
            until: None,
        })
    };
    assert!(matches!(
        refused(&school.assistant.desk, certificate(Role::Assistant)),
        Refusal::Role { .. }
    ));
    assert!(matches!(
        refused(&school.instructor.desk, certificate(Role::Instructor)),
        Refusal::Role { .. }
    ));
    // An instructor needs the device's own word.
    assert_eq!(
        refused(&school.instructor.desk, certificate(Role::Assistant)),
        Refusal::Unknown { what: "device" }
    );
    let (by, bo) = (&school.instructor, school.bo);
    admit_as(by, &stranger, bo, Role::Assistant, "spare");
    let root = school.shop.desk.shop_root().unwrap();
    let ledger = school.instructor.desk.shop_ledger().unwrap();
    stranger.desk.join_shop(root, &ledger).unwrap();
    assert_eq!(stranger.desk.me().unwrap().role, Role::Assistant);
    // A certificate that the assistant signs for itself around the desk counts for nothing.
    let seed = std::fs::read(school.assistant.folder.path().join("keys/device.key")).unwrap();
    let key = SecretKey::from_seed(&seed.try_into().unwrap());
    let own = SecretKey::from_seed(&[42; 32]);
    let shop = LedgerId::Shop(tallywater_core::trust::shop_id(&root));
    let bytes = school.shop.desk.shop_ledger().unwrap();
    let mut ledger = Ledger::load(shop, [66; 16], &bytes, &BTreeSet::new()).unwrap();
    let body = Body::from(Certificate {
        staff: school.bo,
        role: Role::Instructor,
        device: "grown".into(),
        key: own.public(),
        link: None,
        from: day("2026-01-01"),
        until: None,
        consent: None,
    });
    let at = time("2026-06-06T10:00:00+02:00");
    let entry = Entry {
        id: EntryId::new(Uuid::nil()),
        at,
        by: school.bo,
        after: Vec::new(),
        body,
    };
    let (_, sealed) = key.seal(&shop, None, &write(&entry).unwrap());
    ledger.add(&sealed).unwrap();
    school
        .shop
        .desk
        .merge(&shop, &ledger.save().unwrap())
        .unwrap();
    let (forged, bytes) = forge(&school, &own, school.bo, met(&school));
    school.shop.desk.merge(&school.ledger(), &bytes).unwrap();
    assert_eq!(
        doubt(&school.shop, &school, forged),
        Some(Doubt::NoCertificate)
    );
}

#[test]
fn what_a_lost_tablet_wrote_before_stands_and_what_it_writes_after_does_not() {
    let school = School::new(1);
    school.assistant.mark(&school, 0, "mask-full", Mark::Met);
    meet(&school.assistant, &school.shop);
    let key = school.assistant.desk.card().key;
    school.shop.record(Request::Revoke {
        key,
        why: "left on the bus".into(),
    });
    // The tablet has not heard: it goes on writing, with its clock put back a year.
    school
        .assistant
        .stamps
        .shift(-crate::support::devices::years(1));
    let late = school.assistant.mark(&school, 0, "swim-200", Mark::Met);
    meet(&school.assistant, &school.shop);
    school.meet_all();
    let state = |device: &Device, skill: &str| {
        let key = school.key(0, skill);
        device
            .desk
            .with_course(&school.course, |course| course.cells()[&key].state)
            .unwrap()
    };
    for device in [&school.shop, &school.instructor] {
        assert_eq!(state(device, "mask-full"), CellState::Shown);
        assert_eq!(state(device, "swim-200"), CellState::Open);
        assert_eq!(doubt(device, &school, late.entries[0].1), Some(Doubt::Late));
    }
    assert!(school.assistant.desk.me().is_none(), "it has heard now");
    let again = refused(
        &school.assistant.desk,
        Request::Mark(school.tap(&school.assistant, 0, "marker", Mark::Met)),
    );
    assert_eq!(again, Refusal::NotAdmitted);
    let (ledger, entry) = late.entries[0];
    school.shop.record(Request::AcceptLate {
        ledger,
        entries: vec![entry],
    });
    school.meet_all();
    assert_eq!(state(&school.instructor, "swim-200"), CellState::Shown);
}

#[test]
fn an_entry_of_a_newer_version_is_kept_synced_counted_and_never_guessed() {
    let school = School::new(1);
    let seed = std::fs::read(school.instructor.folder.path().join("keys/device.key")).unwrap();
    let key = SecretKey::from_seed(&seed.try_into().unwrap());
    let ledger_id = school.ledger();
    let bytes = school.instructor.desk.save_ledger(&ledger_id).unwrap();
    let mut ledger = Ledger::load(ledger_id, [66; 16], &bytes, &BTreeSet::new()).unwrap();
    let payload = br#"{"v":2,"kind":"moonlight","at":"2031-01-01T00:00:00Z","glow":7}"#;
    let (id, sealed) = key.seal(&ledger_id, None, payload);
    ledger.add(&sealed).unwrap();
    school
        .instructor
        .desk
        .merge(&ledger_id, &ledger.save().unwrap())
        .unwrap();
    carry(&school.instructor, &school.shop);
    for device in [&school.instructor, &school.shop] {
        let newer = device
            .desk
            .with_course(&school.course, |course| {
                course.tally().newer().contains(&id)
            })
            .unwrap();
        assert!(newer);
    }
}

#[test]
fn bytes_that_are_no_ledger_or_another_one_are_refused_and_nothing_changes() {
    let school = School::new(1);
    let before = everything(&school.shop.desk);
    let other = School::seeded(1, 2);
    let foreign = other.shop.desk.save_ledger(&other.ledger()).unwrap();
    for bytes in [b"not a ledger".to_vec(), foreign] {
        let error = school
            .shop
            .desk
            .merge(&school.ledger(), &bytes)
            .unwrap_err();
        assert!(matches!(error, DeskError::Ledger(_)), "{error}");
    }
    let mut torn = school
        .instructor
        .desk
        .save_ledger(&school.ledger())
        .unwrap();
    let middle = torn.len() / 2;
    torn[middle] ^= 0xFF;
    assert!(school.shop.desk.merge(&school.ledger(), &torn).is_err());
    assert_eq!(everything(&school.shop.desk), before);
}

#[test]
fn a_person_who_is_forgotten_is_dropped_everywhere_and_the_course_still_verifies() {
    let school = School::new(2);
    let student = school.students[0];
    let name = "Ottilie Brandvoll";
    school.shop.record(Request::Forget {
        student,
        why: "kept long enough".into(),
    });
    school.meet_all();
    for device in [&school.shop, &school.instructor, &school.assistant] {
        assert!(
            !device
                .desk
                .ledgers()
                .unwrap()
                .contains(&LedgerId::Person(student))
        );
        let bytes = device.desk.save_ledger(&school.ledger()).unwrap();
        let mut ledger = Ledger::load_foreign([1; 16], &bytes).unwrap();
        ledger.recheck().unwrap();
        assert!(ledger.lines().values().all(|line| line.signed));
        for file in ["tallywater.db", "tallywater.db-wal"] {
            let file = std::fs::read(device.folder.path().join(file)).unwrap_or_default();
            let found = file
                .windows(name.len())
                .any(|bytes| bytes == name.as_bytes());
            assert!(!found, "the name is gone from the disk");
        }
    }
}

#[test]
fn a_policy_or_outline_with_faults_is_refused_whole() {
    let school = School::new(1);
    let mut outline = tallywater_core::course::starter::outline().unwrap();
    outline.skills[0].requirement.measures.clear();
    let set = Request::SetOutline {
        scope: Scope::Shop,
        outline,
        why: None,
    };
    assert!(
        matches!(refused(&school.shop.desk, set), Refusal::Outline(faults) if faults.len() == 1)
    );
    let mut policy = tallywater_core::course::starter::policy().unwrap();
    policy.rules[0].source.clear();
    let set = Request::SetPolicy {
        scope: Scope::Course(school.course),
        policy,
    };
    assert!(matches!(
        refused(&school.shop.desk, set),
        Refusal::Policy(_)
    ));
}

#[test]
fn no_error_text_carries_a_name_or_a_note() {
    let school = School::new(1);
    let secret = "Ottilie Brandvoll fears the deep";
    let attempt = Request::Note {
        course: school.course,
        student: None,
        skill: Some("juggling".parse().unwrap()),
        session: None,
        entry: None,
        text: secret.into(),
    };
    let error = school.instructor.desk.record(attempt).unwrap_err();
    assert!(!format!("{error} {error:?}").contains("Ottilie"));
    let enrol = Request::Enrol {
        course: school.course,
        details: details("Ottilie Brandvoll"),
        referred_from: None,
    };
    let error = school.shop.desk.record(enrol).unwrap_err();
    assert!(!format!("{error} {error:?}").contains("Ottilie"));
}
