//! What several ledgers bring in one turn of a meeting is one commit, told only once it is on the
//! disk; and what a device says of its own disk goes along with the next one.

use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

use tallywater_core::course::{CourseId, LedgerId, Role};
use tallywater_core::desk::{Change, Listener, Request};
use tallywater_core::entry::{DeviceKey, Mark};
use tallywater_core::ledger::Heads;
use tallywater_core::link::{Depot, Exchange, LinkEvent};
use tallywater_core::store::Store;
use tallywater_core::sync::{Frame, Held};
use tempfile::TempDir;

use crate::support::devices::{Device, School, carry, day, details, open_desk};

/// Courses of two students each, which only the shop has.
fn courses(school: &School, count: usize) -> Vec<CourseId> {
    (0..count)
        .map(|n| {
            let opened = school.shop.record(Request::OpenCourse {
                place: None,
                outline: Default::default(),
                title: format!("Course {n}"),
                starts: day("2026-07-01"),
                staff: vec![(school.renate, Role::Instructor)],
            });
            let course: CourseId = opened.made.unwrap().parse().unwrap();
            for name in ["Tove Lindqvist", "Hannu Kivelä"] {
                school.shop.record(Request::Enrol {
                    course,
                    details: details(&format!("{name} {n}")),
                    referred_from: None,
                });
            }
            course
        })
        .collect()
}

/// Two devices that are about to meet, with no network between.
pub(crate) fn sides(a: &Device, b: &Device) -> [Exchange; 2] {
    let depot = |device: &Device| -> Arc<dyn Depot> { Arc::clone(&device.desk) as _ };
    let key = |device: &Device| device.desk.card().link;
    let mut sides = [
        Exchange::new(depot(a), key(b)),
        Exchange::new(depot(b), key(a)),
    ];
    for side in &mut sides {
        side.open().unwrap();
    }
    sides
}

/// Carries frames both ways until neither side says anything more.
pub(crate) fn until_quiet(sides: &mut [Exchange; 2]) {
    loop {
        let [there, here] = [sides[0].outcome().frames, sides[1].outcome().frames];
        if there.is_empty() && here.is_empty() {
            break;
        }
        sides[1].hear_all(there).unwrap();
        sides[0].hear_all(here).unwrap();
    }
}

/// Counts what is told: what was recorded here or came from a file, and what the link brought.
#[derive(Default)]
struct Ear {
    changed: AtomicU32,
    arrived: AtomicU32,
}

impl Ear {
    fn heard(&self) -> [u32; 2] {
        [&self.changed, &self.arrived].map(|count| count.load(Ordering::SeqCst))
    }
}

impl Listener for Ear {
    fn changed(&self, _: &Change) {
        self.changed.fetch_add(1, Ordering::SeqCst);
    }

    fn arrived(&self, _: &Change) {
        self.arrived.fetch_add(1, Ordering::SeqCst);
    }
}

/// Counts what a device commits from now on.
fn count_commits(device: &Device) -> Arc<AtomicU32> {
    let count = Arc::new(AtomicU32::new(0));
    let hook = Arc::clone(&count);
    device.desk.store_for_faults(|store| {
        let hook = move || {
            hook.fetch_add(1, Ordering::SeqCst);
            false
        };
        let connection = store.connection_for_faults();
        connection.commit_hook(Some(hook)).unwrap();
    });
    count
}

/// The device's store as a power cut would leave it now.
fn after_a_power_cut(device: &Device) -> (TempDir, Store) {
    let folder = TempDir::new().unwrap();
    for name in ["tallywater.db", "tallywater.db-wal"] {
        let from = device.folder.path().join(name);
        if from.exists() {
            std::fs::copy(from, folder.path().join(name)).unwrap();
        }
    }
    let store = Store::open(&folder.path().join("tallywater.db"));
    (folder, store.unwrap().store)
}

fn held_of(device: &Device, ledger: &LedgerId, of: &DeviceKey) -> Option<Heads> {
    let (_folder, store) = after_a_power_cut(device);
    let held = store.held(ledger).unwrap();
    held.into_iter()
        .find(|(key, _)| key == of)
        .map(|(_, heads)| heads)
}

fn of_course_or_person(frame: &Frame) -> bool {
    matches!(frame, Frame::Message { ledger, .. } if !matches!(ledger, LedgerId::Shop(_)))
}

#[test]
fn what_several_ledgers_bring_in_one_turn_is_one_commit_and_told_only_from_the_disk() {
    let school = School::new(2);
    let courses = courses(&school, 6);
    let (shop, tablet) = (&school.shop, &school.instructor);
    let mut sides = sides(shop, tablet);
    let commits = count_commits(tablet);
    let mut most = 0;
    loop {
        let frames = [sides[0].outcome().frames, sides[1].outcome().frames];
        if frames.iter().all(Vec::is_empty) {
            break;
        }
        let [to_tablet, to_shop] = frames;
        // What was said to be stored is on the disk.
        let (_folder, disk) = after_a_power_cut(tablet);
        for frame in &to_shop {
            if let Frame::Stored { position, .. } = frame {
                let there = disk.stands(&position.ledger).unwrap().unwrap();
                assert_eq!(there.heads, position.heads);
            }
        }
        // Rows of messages, each about another ledger, with nothing said in between.
        let rows: Vec<usize> = to_tablet
            .chunk_by(|a, b| of_course_or_person(a) == of_course_or_person(b))
            .filter(|row| row.iter().all(of_course_or_person))
            .map(<[Frame]>::len)
            .collect();
        let shops = to_tablet.iter().any(|frame| {
            matches!(
                frame,
                Frame::Message {
                    ledger: LedgerId::Shop(_),
                    ..
                }
            )
        });
        let before = commits.load(Ordering::SeqCst);
        sides[1].hear_all(to_tablet).unwrap();
        let committed = commits.load(Ordering::SeqCst) - before;
        if !shops {
            assert!(
                usize::try_from(committed).unwrap() <= rows.len(),
                "{committed} for {rows:?}"
            );
            most = most.max(rows.into_iter().max().unwrap_or(0));
        }
        sides[0].hear_all(to_shop).unwrap();
    }
    assert!(most >= courses.len(), "{most} at most came in one turn");
    assert!(sides.iter().all(Exchange::all_in_step));
    for course in courses {
        let ledger = LedgerId::Course(course);
        assert_eq!(
            tablet.desk.heads(&ledger).unwrap(),
            shop.desk.heads(&ledger).unwrap()
        );
        let students = tablet.desk.with_course(&course, |one| one.students());
        for student in students.unwrap() {
            let person = LedgerId::Person(student);
            assert_eq!(
                tablet.desk.heads(&person).unwrap(),
                shop.desk.heads(&person).unwrap()
            );
        }
    }
}

#[test]
fn pieces_of_one_message_that_come_together_are_one_commit_and_mean_the_same() {
    let school = School::new(8);
    let (shop, tablet) = (&school.shop, &school.instructor);
    for n in 0..640 {
        // Each names those of its cell before it, so that it gets long.
        tablet.mark(&school, n % 8, "mask-full", Mark::NotYet);
    }
    let mut sides = sides(shop, tablet);
    let commits = count_commits(shop);
    let is_piece = |frame: &Frame| matches!(frame, Frame::Message { ledger, .. } if *ledger == school.ledger());
    let mut most = 0;
    loop {
        let [to_tablet, to_shop] = [sides[0].outcome().frames, sides[1].outcome().frames];
        if to_shop.is_empty() && to_tablet.is_empty() {
            break;
        }
        let pieces = to_shop.iter().filter(|frame| is_piece(frame)).count();
        let before = commits.load(Ordering::SeqCst);
        sides[0].hear_all(to_shop).unwrap();
        if pieces > 0 {
            assert_eq!(
                commits.load(Ordering::SeqCst) - before,
                1,
                "{pieces} pieces"
            );
        }
        most = most.max(pieces);
        sides[1].hear_all(to_tablet).unwrap();
    }
    assert!(most > 2, "{most} pieces");
    assert!(sides.iter().all(Exchange::all_in_step));
    let heads = |device: &Device| device.desk.heads(&school.ledger()).unwrap();
    assert_eq!(heads(shop), heads(tablet));
    let cells = |device: &Device| {
        let course = device
            .desk
            .with_course(&school.course, |one| one.cells().clone());
        course.unwrap()
    };
    assert!(cells(shop) == cells(tablet));
}

#[test]
fn where_one_of_several_has_no_room_the_others_are_stored_all_the_same() {
    let school = School::new(2);
    let courses = courses(&school, 3);
    let (shop, tablet) = (&school.shop, &school.instructor);
    let mut sides = sides(shop, tablet);
    // One commit is refused, once: that of all of them together.
    let mut refused = false;
    let mut failed = Vec::new();
    for _ in 0..40 {
        let outcomes = [sides[0].outcome(), sides[1].outcome()];
        failed.extend(outcomes[1].events.iter().filter_map(|event| match event {
            LinkEvent::NotStored { ledger, .. } => Some(*ledger),
            _ => None,
        }));
        let [to_tablet, to_shop] = outcomes.map(|outcome| outcome.frames);
        let is_course = |frame: &&Frame| {
            matches!(
                frame,
                Frame::Message {
                    ledger: LedgerId::Course(_),
                    ..
                }
            )
        };
        if !refused && to_tablet.iter().filter(is_course).count() >= courses.len() {
            refused = true;
            tablet.desk.store_for_faults(|store| {
                let mut first = true;
                let hook = move || std::mem::take(&mut first);
                let connection = store.connection_for_faults();
                connection.commit_hook(Some(hook)).unwrap();
            });
        }
        sides[1].hear_all(to_tablet).unwrap();
        sides[0].hear_all(to_shop).unwrap();
    }
    assert!(refused, "the courses never came together");
    assert_eq!(failed, [], "each was tried by itself");
    assert!(sides.iter().all(Exchange::all_in_step));
    for course in courses {
        let ledger = LedgerId::Course(course);
        assert_eq!(
            tablet.desk.heads(&ledger).unwrap(),
            shop.desk.heads(&ledger).unwrap()
        );
    }
}

#[test]
fn what_a_device_said_it_holds_is_known_at_once_and_written_down_when_there_is_rest() {
    let school = School::new(2);
    let (shop, tablet) = (&school.shop, &school.instructor);
    let ledger = school.ledger();
    let (link, key) = (shop.desk.card().link, shop.desk.card().key);
    let believed = |device: &Device| {
        device
            .desk
            .held_by_each(&ledger)
            .unwrap()
            .get(&key)
            .copied()
    };
    tablet.mark(&school, 0, "mask-full", Mark::Met);
    let heads = tablet.desk.heads(&ledger).unwrap();
    let before = held_of(tablet, &ledger, &key);
    assert_ne!(before.as_ref(), Some(&heads));

    let commits = count_commits(tablet);
    tablet.desk.peer_stored(&link, &ledger, &heads).unwrap();
    assert_eq!(believed(tablet), Some(Held::There));
    assert_eq!(commits.load(Ordering::SeqCst), 0, "it takes no flush");
    assert_eq!(
        held_of(tablet, &ledger, &key),
        before,
        "a power cut costs it"
    );
    tablet.desk.rest().unwrap();
    assert_eq!(held_of(tablet, &ledger, &key).as_ref(), Some(&heads));
    assert_eq!(commits.load(Ordering::SeqCst), 1);
    tablet.desk.rest().unwrap();
    tablet.desk.peer_stored(&link, &ledger, &heads).unwrap();
    assert_eq!(commits.load(Ordering::SeqCst), 1, "it is known already");

    println!("## With the next mark it goes along");
    tablet.mark(&school, 1, "mask-full", Mark::Met);
    let later = tablet.desk.heads(&ledger).unwrap();
    tablet.desk.peer_stored(&link, &ledger, &later).unwrap();
    let commits_before = commits.load(Ordering::SeqCst);
    tablet.mark(&school, 0, "swim-200", Mark::Met);
    assert_eq!(commits.load(Ordering::SeqCst), commits_before + 1);
    assert_eq!(held_of(tablet, &ledger, &key).as_ref(), Some(&later));

    println!("## What takes something back is written at once");
    tablet.desk.rest().unwrap();
    tablet.desk.peer_stored(&link, &ledger, &heads).unwrap();
    assert_eq!(held_of(tablet, &ledger, &key).as_ref(), Some(&heads));
    assert!(matches!(believed(tablet), Some(Held::HereOnly { .. })));
}

#[test]
fn a_device_that_is_switched_off_keeps_what_the_others_said() {
    let School {
        shop,
        instructor: tablet,
        course,
        ..
    } = School::new(2);
    let ledger = LedgerId::Course(course);
    let heads = tablet.desk.heads(&ledger).unwrap();
    let card = shop.desk.card();
    tablet
        .desk
        .peer_stored(&card.link, &ledger, &heads)
        .unwrap();
    let Device {
        desk,
        stamps,
        folder,
    } = tablet;
    drop(desk);
    let desk = open_desk(folder.path(), &stamps).unwrap();
    let held = desk.held_by_each(&ledger).unwrap();
    assert_eq!(held[&card.key], Held::There);
}

#[test]
fn what_the_link_brings_is_told_apart_from_what_is_recorded_or_comes_from_a_file() {
    let school = School::new(2);
    let (assistant, tablet) = (&school.assistant, &school.instructor);
    let ear = Arc::new(Ear::default());
    tablet.desk.listen(Arc::<Ear>::clone(&ear));
    assistant.mark(&school, 0, "mask-full", Mark::Met);
    let mut sides = sides(assistant, tablet);
    until_quiet(&mut sides);
    assert_eq!(ear.heard(), [0, 1], "over the link");
    tablet.mark(&school, 1, "mask-full", Mark::Met);
    assert_eq!(ear.heard(), [1, 1], "recorded");
    assistant.mark(&school, 0, "swim-200", Mark::Met);
    carry(assistant, tablet);
    assert_eq!(ear.heard(), [2, 1], "from a file");
}
