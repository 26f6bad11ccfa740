//! Over a real connection the adversary holds an assistant's tablet and says what it likes:
//! frames in any order, changes of its own making, claims, entries, bytes that are nothing,
//! data without end. Two honest devices meet beside it, and what they mark comes across.
//!
//! Played in a process of its own, so that what it takes of memory is its own too.

use std::collections::BTreeSet;
use std::process::Command;
use std::time::{Duration, Instant};

use automerge::sync::{ChunkList, Message, MessageVersion};
use automerge::transaction::Transactable as _;
use automerge::{ObjType, ROOT};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use tallywater_core::course::{EntryId, LedgerId};
use tallywater_core::desk::{FileKeyStore, KeyStore as _};
use tallywater_core::entry::{Attempt, Body, Entry, Mark, Origin, write};
use tallywater_core::ledger::{Heads, Ledger};
use tallywater_core::link::Depot as _;
use tallywater_core::standing::{CellState, CourseStanding};
use tallywater_core::sync::{Frame, Position, Refused};
use tallywater_core::trust::SecretKey;
use uuid::Uuid;

use super::schedules;
use crate::crafted_entries::copy;
use crate::support::devices::{Device, School, time};
use crate::support::hostile::Hostile;
use crate::support::links::{Online, go_online, until};
use crate::support::stranger::{Knock, Stranger};

/// The most memory that the process may ever have had, in MiB: two honest devices, their
/// sockets, and the adversary itself.
const MOST_MIB: u64 = 400;
/// How long a schedule may take until the honest devices are in step again.
const PATIENCE: Duration = Duration::from_secs(60);

#[derive(Debug, Clone)]
enum Act {
    Hello,
    Change(What, bool),
    Offer(u8),
    Stored(u8),
    Level(u8),
    List(bool),
    Entries(What),
    Refused,
    Raw(Vec<u8>),
    /// Changes of half a megabyte that hang on what nobody has.
    Flood(u8),
    /// It comes again.
    Anew,
    /// The instructor marks something meanwhile.
    Mark,
}

#[derive(Debug, Clone, Copy)]
enum What {
    Own,
    Overwrite(usize),
    Delete(usize),
    Root,
    Torn,
    Junk,
}

fn what() -> impl Strategy<Value = What> {
    prop_oneof![
        2 => Just(What::Own),
        2 => (0..64_usize).prop_map(What::Overwrite),
        1 => (0..64_usize).prop_map(What::Delete),
        1 => Just(What::Root),
        1 => Just(What::Torn),
        1 => Just(What::Junk),
    ]
}

fn act() -> impl Strategy<Value = Act> {
    prop_oneof![
        2 => Just(Act::Hello),
        8 => (what(), any::<bool>()).prop_map(|(what, more)| Act::Change(what, more)),
        1 => any::<u8>().prop_map(Act::Offer),
        1 => any::<u8>().prop_map(Act::Stored),
        1 => any::<u8>().prop_map(Act::Level),
        1 => any::<bool>().prop_map(Act::List),
        3 => what().prop_map(Act::Entries),
        1 => Just(Act::Refused),
        1 => prop::collection::vec(any::<u8>(), 0..64).prop_map(Act::Raw),
        1 => (1..4_u8).prop_map(Act::Flood),
        1 => Just(Act::Anew),
        2 => Just(Act::Mark),
    ]
}

/// The honest devices, and what the adversary has.
struct Table {
    school: School,
    shop: Online,
    instructor: Online,
    bad: Stranger,
    key: SecretKey,
    saved: BTreeSet<EntryId>,
    number: u64,
}

impl Table {
    fn new() -> Self {
        let school = School::new(2);
        let shop = go_online(&school.shop.desk);
        let instructor = go_online(&school.instructor.desk);
        instructor.look_at(&shop);
        instructor.in_step_with(&shop);
        let keys = FileKeyStore::new(&school.assistant.folder.path().join("keys"));
        let seed = keys.load("device").unwrap().unwrap();
        Self {
            bad: Stranger::new(*school.assistant.desk.link_seed().unwrap()),
            key: SecretKey::from_seed(seed.as_slice().try_into().unwrap()),
            school,
            shop,
            instructor,
            saved: BTreeSet::new(),
            number: 0,
        }
    }

    fn mark(&mut self) {
        let school = &self.school;
        let marked = school.instructor.mark(school, 0, "mask-full", Mark::Met);
        self.saved.extend(marked.entries.iter().map(|(_, id)| *id));
    }

    /// A mark of its own, properly signed.
    fn own(&mut self) -> (EntryId, Vec<u8>) {
        self.number += 1;
        let entry = Entry {
            id: EntryId::new(Uuid::nil()),
            at: time("2026-06-06T10:20:00+02:00"),
            by: self.school.bo,
            after: Vec::new(),
            body: Body::Attempt(Attempt {
                student: self.school.students[1],
                skill: "swim-200".parse().unwrap(),
                method: None,
                mark: Mark::Met,
                measured: Vec::new(),
                slips: Vec::new(),
                note: Some(format!("try {}", self.number)),
                despite: None,
                session: Some(self.school.session),
                origin: Origin::Live,
            }),
        };
        let payload = write(&entry).unwrap();
        self.key.seal(&self.school.ledger(), None, &payload)
    }

    /// A change as it writes it, on top of what the shop has.
    fn change(&mut self, what: What) -> Vec<u8> {
        let of = copy(&self.school.shop, &self.school.ledger());
        let ids: Vec<EntryId> = of.lines().keys().copied().collect();
        let (own, sealed) = self.own();
        let mut hostile = Hostile::copy(&of, u8::try_from(self.number % 200).unwrap());
        match what {
            What::Own => hostile.put(own, &sealed),
            What::Overwrite(at) => hostile.put(ids[at % ids.len()], &sealed),
            What::Delete(at) => hostile.delete(ids[at % ids.len()]),
            What::Root => hostile.write(|change, _| {
                change.put_object(ROOT, "entries", ObjType::Map).unwrap();
            }),
            What::Torn => {
                hostile.put(own, &sealed);
                let (next, sealed) = self.own();
                hostile.put(next, &sealed)
            }
            What::Junk => sealed,
        }
    }

    fn say(&mut self, knock: &mut Knock<'_>, act: &Act, turn: u32) {
        let ledger = self.school.ledger();
        let position = |n: u8| Position {
            ledger,
            entries: u32::from(n),
            heads: Heads::from_bytes(&[n; 32]).unwrap(),
        };
        let frame = match act {
            Act::Hello => hello(),
            Act::Change(what, more) => {
                let changes = ChunkList::from(vec![self.change(*what)]);
                message(ledger, turn, *more, changes)
            }
            Act::Offer(n) => Frame::Offer {
                turn,
                position: position(*n),
            },
            Act::Stored(n) => Frame::Stored {
                turn,
                position: position(*n),
            },
            Act::Level(n) => Frame::Level {
                ledger,
                turn,
                entries: 1,
                digest: [*n; 32],
            },
            Act::List(all) => {
                let of = copy(&self.school.shop, &ledger);
                let ids = of.lines().keys().copied().filter(|_| *all).collect();
                Frame::List { ledger, turn, ids }
            }
            Act::Entries(what) => {
                let (_, sealed) = self.own();
                let sealed = match what {
                    What::Own => vec![sealed],
                    What::Junk => vec![vec![7; 300], Vec::new()],
                    What::Overwrite(at) | What::Delete(at) => {
                        let mut bent = sealed;
                        let at = at % bent.len();
                        bent[at] ^= 1;
                        vec![bent]
                    }
                    What::Root | What::Torn => vec![sealed; 40],
                };
                Frame::Entries {
                    ledger,
                    turn,
                    sealed,
                }
            }
            Act::Refused => Frame::Refused {
                ledger,
                why: Refused::Malformed,
            },
            Act::Raw(bytes) => return knock.send_bytes(bytes),
            Act::Flood(n) => {
                for _ in 0..*n {
                    let changes = (0..4).map(|_| self.orphan()).collect::<Vec<_>>();
                    knock.send(&message(ledger, turn, true, ChunkList::from(changes)));
                }
                return;
            }
            Act::Anew | Act::Mark => return,
        };
        knock.send(&frame);
    }

    /// Half a megabyte that hangs on a change that nobody is ever given.
    fn orphan(&mut self) -> Vec<u8> {
        self.number += 1;
        let begun = Ledger::new(self.school.ledger(), [0x31; 16]).unwrap();
        let mut hostile = Hostile::copy(&begun, u8::try_from(self.number % 200).unwrap());
        let (own, sealed) = self.own();
        hostile.put(own, &sealed);
        let long = self.number.to_be_bytes().repeat(1 << 16);
        hostile.put(
            EntryId::new(Uuid::from_u128(u128::from(self.number))),
            &long,
        )
    }

    fn run(&mut self, to_shop: bool, acts: &[Act]) {
        let place = if to_shop {
            &self.shop
        } else {
            &self.instructor
        };
        let place = place.link.place();
        let bad = Stranger::new(*self.school.assistant.desk.link_seed().unwrap());
        let bad = std::mem::replace(&mut self.bad, bad);
        let mut knock = bad.knock(&place);
        knock.send(&hello());
        for (turn, act) in (1..).zip(acts) {
            match act {
                Act::Anew => {
                    knock = bad.knock(&place);
                    knock.send(&hello());
                }
                Act::Mark => self.mark(),
                _ => self.say(&mut knock, act, turn),
            }
        }
        drop(knock);
        let start = Instant::now();
        self.mark();
        let ledger = self.school.ledger();
        let ids = |of: &Device, ledger: &LedgerId| -> BTreeSet<EntryId> {
            copy(of, ledger).lines().keys().copied().collect()
        };
        let (shop, instructor) = (&self.school.shop, &self.school.instructor);
        until("every honest mark on both", || {
            ids(shop, &ledger).is_superset(&self.saved)
                && ids(shop, &ledger) == ids(instructor, &ledger)
        });
        assert!(
            start.elapsed() < PATIENCE,
            "time is bounded, after {acts:?}"
        );
        let key = self.school.key(0, "mask-full");
        for device in [shop, instructor] {
            let cell = |course: &CourseStanding| course.cells()[&key].state;
            let state = device.desk.with_course(&self.school.course, cell);
            assert_eq!(state.unwrap(), CellState::Met, "after {acts:?}");
        }
    }
}

fn hello() -> Frame {
    Frame::Hello {
        version: 2,
        least: 2,
        clock: 0,
    }
}

fn message(ledger: LedgerId, turn: u32, more: bool, changes: ChunkList) -> Frame {
    let asked = Message {
        heads: Vec::new(),
        need: Vec::new(),
        have: Vec::new(),
        changes,
        flags: None,
        version: MessageVersion::V1,
    };
    Frame::Message {
        ledger,
        turn,
        more,
        bytes: asked.encode(),
    }
}

/// The most memory that this process ever had, where the system tells.
fn most_mib() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kib: u64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib / 1024)
}

#[test]
#[ignore = "played by the test below, in a process of its own"]
fn played_over_the_link() {
    let mut table = Table::new();
    let mut runner = TestRunner::new(Config {
        cases: schedules().div_ceil(100),
        // One school for all: what a schedule leaves behind is part of the next.
        max_shrink_iters: 0,
        failure_persistence: None,
        ..Config::default()
    });
    let acts = (any::<bool>(), prop::collection::vec(act(), 1..16));
    let table = std::cell::RefCell::new(&mut table);
    runner
        .run(&acts, |(to_shop, acts)| {
            table.borrow_mut().run(to_shop, &acts);
            Ok(())
        })
        .unwrap();
    if let Some(most) = most_mib() {
        println!("at most {most} MiB");
        assert!(most < MOST_MIB, "memory is bounded: {most} MiB");
    }
}

#[test]
fn whatever_one_device_sends_two_others_meet_beside_it() {
    let played = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "adversary::link::played_over_the_link"])
        .args(["--ignored", "--nocapture"])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&played.stdout);
    println!("{said}{}", String::from_utf8_lossy(&played.stderr));
    assert!(played.status.success() && said.contains("1 passed"));
}
