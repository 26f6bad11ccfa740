//! Attacks on the link, each of which fails: the attacker learns nothing, the ledgers are as
//! they were, and an honest device is served as before.

use std::sync::Arc;
use std::time::Duration;

use automerge::Automerge;
use automerge::sync::{ChunkList, Message, MessageVersion};
use sha2::{Digest as _, Sha256};
use tallywater_core::course::{LedgerId, Role};
use tallywater_core::desk::{FileKeyStore, KeyStore as _, Request};
use tallywater_core::entry::{Attempt, Body, Entry, Mark, Origin, write};
use tallywater_core::ledger::{Heads, Ledger};
use tallywater_core::link::{Depot as _, LINK_ALPN, Link, LinkEvent, Parting, Patience};
use tallywater_core::stamp::Stamps;
use tallywater_core::sync::{Frame, Held, Position, Refused};
use tallywater_core::trust::SecretKey;

use crate::support::devices::{Device, School, day};
use crate::support::hostile::Hostile;
use crate::support::links::{Ear, Online, board, config, go_online, go_online_as, quick, until};
use crate::support::stranger::Stranger;

const VERSION: u64 = 2;
const NOT_ADMITTED: u64 = 3;
const BROKEN: u64 = 4;
const SLOW: u64 = 6;

fn hello() -> Frame {
    Frame::Hello {
        version: 2,
        least: 2,
        clock: 0,
    }
}

/// A stranger with the link key of a paired device: it has been stolen, or its program
/// changed.
fn turned(device: &Device) -> Stranger {
    Stranger::new(*device.desk.link_seed().unwrap())
}

/// After the attack, two honest devices go about their work.
fn still_serves(school: &School, shop: &Online) {
    let instructor = go_online(&school.instructor.desk);
    instructor.look_at(shop);
    school.instructor.mark(school, 0, "mask-full", Mark::Met);
    until("an honest mark at the shop", || {
        board(&school.instructor, school) == board(&school.shop, school)
    });
}

#[test]
fn a_device_that_is_not_paired_is_turned_away_before_a_ledger_is_named() {
    let school = School::new(2);
    let shop = go_online(&school.shop.desk);
    let stranger = Stranger::new([77; 32]);
    let mut knock = stranger.knock(&shop.link.place());
    knock.send(&hello());
    assert_eq!(knock.hear(), None);
    assert_eq!(knock.closed_with(), NOT_ADMITTED);
    assert_eq!(shop.ear.news(), []);
    still_serves(&school, &shop);
}

#[test]
fn a_paired_device_is_told_of_its_own_courses_and_asking_for_another_is_refused() {
    let school = School::new(2);
    let other = school.shop.record(Request::OpenCourse {
        place: None,
        outline: Default::default(),
        title: "Somebody else's course".into(),
        starts: day("2026-07-01"),
        staff: vec![(school.renate, Role::Instructor)],
    });
    let other = LedgerId::Course(other.made.unwrap().parse().unwrap());
    let enrolled = |course| {
        let details = crate::support::devices::details("Perpetua Wold");
        let referred_from = None;
        let enrol = Request::Enrol {
            course,
            details,
            referred_from,
        };
        school.shop.record(enrol).made.unwrap().parse().unwrap()
    };
    let LedgerId::Course(course) = other else {
        panic!("a course");
    };
    let person = LedgerId::Person(enrolled(course));
    let shop = go_online(&school.shop.desk);
    let assistant = turned(&school.assistant);
    let mut knock = assistant.knock(&shop.link.place());
    knock.send(&hello());
    let listed = knock.hear_until(|frame| *frame == Frame::Listed);
    let named: Vec<LedgerId> = listed
        .iter()
        .filter_map(|frame| match frame {
            Frame::Offer { position, .. } => Some(position.ledger),
            _ => None,
        })
        .collect();
    assert!(named.contains(&school.ledger()));
    assert!(
        !named.contains(&other) && !named.contains(&person),
        "{named:?}"
    );
    let nowhere = LedgerId::Course(tallywater_core::course::CourseId::new(uuid::Uuid::max()));
    for ledger in [other, person, nowhere] {
        let asked = Message {
            heads: Vec::new(),
            need: Vec::new(),
            have: vec![automerge::sync::Have::default()],
            changes: ChunkList::empty(),
            flags: None,
            version: MessageVersion::V1,
        };
        let (more, bytes) = (false, asked.encode());
        knock.send(&Frame::Message {
            ledger,
            turn: 1,
            more,
            bytes,
        });
        let why = Refused::NotYours;
        // The same for a course that does not exist: the answer tells nothing.
        let heard = knock.hear_until(|frame| matches!(frame, Frame::Refused { .. }));
        assert_eq!(heard.last(), Some(&Frame::Refused { ledger, why }));
        knock.send(&Frame::Stored {
            turn: 2,
            position: Position {
                ledger,
                entries: 0,
                heads: Heads::default(),
            },
        });
        let heard = knock.hear_until(|frame| matches!(frame, Frame::Refused { .. }));
        assert_eq!(heard.last(), Some(&Frame::Refused { ledger, why }));
    }
    assert!(knock.is_open());
}

#[test]
fn an_oversized_frame_and_a_frame_before_hello_end_the_connection() {
    let school = School::new(2);
    let shop = go_online(&school.shop.desk);
    let assistant = turned(&school.assistant);
    let first_words: [&[u8]; 5] = [
        &[0xff, 0xff, 0xff, 0xff],
        &[0x00, 0x40, 0x00, 0x01, 2],
        &[0, 0, 0, 0],
        &[0, 0, 0, 1, 3],
        &[0, 0, 0, 3, 1, 0, 1],
    ];
    for words in first_words {
        let mut knock = assistant.knock(&shop.link.place());
        knock.send_bytes(words);
        assert_eq!(knock.closed_with(), BROKEN, "{words:?}");
    }
    println!("## And after a proper hello");
    let mut knock = assistant.knock(&shop.link.place());
    knock.send(&hello());
    knock.send_bytes(&[0x7f, 0xff, 0xff, 0xff]);
    assert_eq!(knock.closed_with(), BROKEN);
    println!("## A device that speaks only a version of the future is told so");
    let mut knock = assistant.knock(&shop.link.place());
    knock.send(&Frame::Hello {
        version: 9,
        least: 7,
        clock: 0,
    });
    assert_eq!(knock.closed_with(), VERSION);
    still_serves(&school, &shop);
}

#[test]
fn a_frame_that_drips_in_ends_the_connection() {
    let school = School::new(2);
    let patience = Patience {
        frame: Duration::from_millis(300),
        ..quick()
    };
    let shop = go_online_as(Arc::clone(&school.shop.desk) as _, patience);
    let assistant = turned(&school.assistant);
    let mut knock = assistant.knock(&shop.link.place());
    knock.send(&hello());
    // A frame of a megabyte begins, and goes on a byte at a time.
    knock.send_bytes(&[0, 0x10, 0, 0, 4]);
    while knock.is_open() {
        knock.send_bytes(&[0]);
    }
    assert_eq!(knock.closed_with(), SLOW);
    still_serves(&school, &shop);
}

/// A change of the course with one byte changed and its checksum made right again, such
/// that Automerge itself panics on it.
fn change_that_panics(ledger: LedgerId) -> Vec<u8> {
    // A small change: of a large one most bytes are an entry's own, which the library never
    // reads, and each of them would be tried 255 times.
    let begun = Ledger::new(ledger, [0x31; 16]).unwrap();
    let document = Automerge::load(&begun.save().unwrap()).unwrap();
    let id = tallywater_core::course::EntryId::new(uuid::Uuid::nil());
    let bytes = Hostile::copy(&begun, 0x32).put(id, b"{}");
    // Other tests' panics are still printed; this one's hundreds are not.
    let here = std::thread::current().id();
    let hook = Arc::new(std::panic::take_hook());
    let others = Arc::clone(&hook);
    std::panic::set_hook(Box::new(move |panic| {
        if std::thread::current().id() != here {
            others(panic);
        }
    }));
    let found = (12..bytes.len()).find_map(|at| {
        (1..=255u8).find_map(|flip| {
            let mut crafted = bytes.clone();
            crafted[at] ^= flip;
            let digest = Sha256::digest(&crafted[8..]);
            crafted[4..8].copy_from_slice(&digest[..4]);
            let document = document.clone();
            let taken = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
                let mut document = document;
                let _ = document.load_incremental(&crafted);
                for change in document.get_changes(&[]) {
                    let _ = change.decode();
                }
                let _ = document.get_heads();
            }));
            taken.is_err().then_some(crafted)
        })
    });
    std::panic::set_hook(Box::new(move |panic| hook(panic)));
    found.expect("a change that panics this version of the library")
}

#[test]
fn a_crafted_change_that_panics_the_library_costs_the_connection_and_nothing_else() {
    let school = School::new(2);
    school.instructor.mark(&school, 0, "mask-full", Mark::Met);
    let crafted = change_that_panics(school.ledger());
    let before = board(&school.shop, &school);
    let shop = go_online(&school.shop.desk);
    let assistant = turned(&school.assistant);
    let mut knock = assistant.knock(&shop.link.place());
    knock.send(&hello());
    let message = Message {
        heads: Vec::new(),
        need: Vec::new(),
        have: Vec::new(),
        changes: ChunkList::from(vec![crafted]),
        flags: None,
        version: MessageVersion::V1,
    };
    knock.send(&Frame::Message {
        ledger: school.ledger(),
        turn: 1,
        more: false,
        bytes: message.encode(),
    });
    // Whether it cost the connection already or was only left out: what comes next ends it.
    knock.send_bytes(&[0xff; 64]);
    assert_eq!(knock.closed_with(), BROKEN);
    assert_eq!(board(&school.shop, &school), before);
    still_serves(&school, &shop);
}

#[test]
fn a_peer_that_claims_heads_it_does_not_have_fools_nobody() {
    let school = School::new(2);
    school.instructor.mark(&school, 0, "mask-full", Mark::Met);
    let ledger = school.ledger();
    let instructor = go_online(&school.instructor.desk);
    // The shop's own key in the wrong hands is the worst case: it may claim to hold.
    let shop = turned(&school.shop);
    let mut knock = shop.knock(&instructor.link.place());
    knock.send(&hello());
    let made_up = Heads::from_bytes(&[9; 32]).unwrap();
    let position = Position {
        ledger,
        entries: 1_000,
        heads: made_up,
    };
    knock.send(&Frame::Offer {
        turn: 1,
        position: position.clone(),
    });
    knock.send(&Frame::Stored { turn: 2, position });
    knock.send(&Frame::Listed);
    instructor.ear.hears("the claim", |event| {
        matches!(event, LinkEvent::Stored { .. })
    });
    let held = school.instructor.desk.held_by_shop(&ledger).unwrap();
    assert_eq!(held, Held::NotKnown, "what is not known is not held");
    let everyone = instructor.ear.events();
    assert!(
        !everyone
            .iter()
            .any(|event| matches!(event, LinkEvent::InStep { .. }))
    );
    assert!(knock.is_open());
}

#[test]
fn an_assistant_cannot_write_as_the_instructor() {
    let school = School::new(2);
    let ledger = school.ledger();
    println!("## The assistant's program is changed: it signs as Renate, with its own key");
    let keys = FileKeyStore::new(&school.assistant.folder.path().join("keys"));
    let seed = keys.load("device").unwrap().unwrap();
    let own = SecretKey::from_seed(seed.as_slice().try_into().unwrap());
    let stamps: Arc<dyn Stamps> = Arc::clone(&school.assistant.stamps) as _;
    let entry = Entry {
        id: tallywater_core::course::EntryId::new(uuid::Uuid::nil()),
        at: stamps.now(),
        by: school.renate,
        after: Vec::new(),
        body: Body::Attempt(Attempt {
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
        }),
    };
    let (_, sealed) = own.seal(&ledger, None, &write(&entry).unwrap());
    let bytes = school.assistant.desk.save_ledger(&ledger).unwrap();
    let mut forged = Ledger::load_foreign([9; 16], &bytes).unwrap();
    forged.add(&sealed).unwrap();
    school
        .assistant
        .desk
        .merge(&ledger, &forged.save().unwrap())
        .unwrap();
    let cells = |device: &Device| {
        device
            .desk
            .with_course(&school.course, |course| format!("{:?}", course.cells()))
            .unwrap()
    };
    let before = cells(&school.instructor);
    let instructor = go_online(&school.instructor.desk);
    let assistant = go_online(&school.assistant.desk);
    instructor.look_at(&assistant);
    until("the forged entry", || {
        school.instructor.desk.heads(&ledger).unwrap()
            == school.assistant.desk.heads(&ledger).unwrap()
    });
    assert_eq!(cells(&school.instructor), before, "it counts for nothing");
}

#[test]
fn a_revoked_device_gets_nothing_more_and_its_later_marks_reach_nobody() {
    let school = School::new(2);
    let shop = go_online(&school.shop.desk);
    let assistant = go_online(&school.assistant.desk);
    assistant.look_at(&shop);
    assistant.in_step_with(&shop);
    school.shop.record(Request::Revoke {
        key: school.assistant.desk.card().key,
        why: "Left on the boat".into(),
    });
    println!("## It is cut off in mid-meeting");
    assistant.ear.hears("the shop's refusal", |event| {
        matches!(event, LinkEvent::Parted { peer, why: Parting::NotAdmitted } if *peer == shop.link.key())
    });
    let before = board(&school.shop, &school);
    school.assistant.mark(&school, 1, "swim-200", Mark::Met);
    assistant.link.look();
    println!("## The instructor has not heard of it yet, and hears of it from the shop first");
    let instructor = go_online(&school.instructor.desk);
    instructor.look_at(&shop);
    instructor.in_step_with(&shop);
    instructor.look_at(&assistant);
    assistant.look_at(&instructor);
    assistant.ear.hears("the instructor's refusal", |event| {
        matches!(event, LinkEvent::Parted { peer, why: Parting::NotAdmitted } if *peer == instructor.link.key())
    });
    assert_eq!(board(&school.shop, &school), before);
    assert_eq!(board(&school.instructor, &school), before);
}

#[test]
fn an_impostor_at_the_right_address_is_not_taken_for_the_shop() {
    let school = School::new(2);
    let shop = go_online(&school.shop.desk);
    let instructor = go_online(&school.instructor.desk);
    instructor.look_at(&shop);
    instructor.in_step_with(&shop);
    let place = shop.link.place();
    drop(shop);
    instructor.ear.hears("the parting", |event| {
        matches!(
            event,
            LinkEvent::Parted {
                why: Parting::TheyStopped,
                ..
            }
        )
    });
    println!("## Another school's computer takes the very address");
    let impostor = Device::new(99);
    let founded = impostor.desk.start_shop("Coot Bay Divers", "Ib Falkner");
    founded.unwrap();
    let mut settings = config(quick());
    settings.listen = place.addresses.clone();
    let ear = Arc::new(Ear::default());
    let depot = Arc::clone(&impostor.desk);
    let link = Link::open(depot, Arc::clone(&ear) as _, &settings).unwrap();
    assert_eq!(link.place().addresses, place.addresses);
    school.instructor.mark(&school, 0, "mask-full", Mark::Met);
    instructor.link.look();
    instructor.ear.hears("that the shop is not there", |event| {
        matches!(event, LinkEvent::Parted { peer, why: Parting::NotReached } if *peer == place.key)
    });
    assert_eq!(ear.news(), [], "the impostor has met nobody");
    let held = school.instructor.desk.held_by_shop(&school.ledger());
    assert_eq!(held.unwrap(), Held::HereOnly { changes: 1 });
}

#[test]
fn a_thousand_connections_do_not_keep_two_honest_devices_apart() {
    let school = School::new(2);
    let shop = go_online(&school.shop.desk);
    let place = shop.link.place();
    std::thread::scope(|scope| {
        let flood = scope.spawn(|| {
            let stranger = Stranger::new([66; 32]);
            let mut turned_away = 0;
            for _ in 0..20 {
                let key = iroh::PublicKey::from_bytes(&place.key.0).unwrap();
                let addresses = place.addresses.iter().copied().map(iroh::TransportAddr::Ip);
                let at = iroh::EndpointAddr::from_parts(key, addresses);
                turned_away += stranger.runtime.block_on(async {
                    let mut knocking = tokio::task::JoinSet::new();
                    for _ in 0..50 {
                        let (endpoint, at) = (stranger.endpoint.clone(), at.clone());
                        knocking.spawn(async move {
                            match endpoint.connect(at, LINK_ALPN).await {
                                // Nothing is ever said on it.
                                Ok(connection) => connection.accept_uni().await.is_err(),
                                Err(_) => true,
                            }
                        });
                    }
                    knocking
                        .join_all()
                        .await
                        .into_iter()
                        .filter(|away| *away)
                        .count()
                });
            }
            turned_away
        });
        still_serves(&school, &shop);
        assert_eq!(flood.join().unwrap(), 1_000);
    });
}
