//! Figures of the desk: opening a course, drawing after one more entry, a shop of a million
//! entries. Each is printed beside its budget; nothing is asserted but that the work was
//! done, for a wall clock is no test.
//!
//! `cargo bench -p tallywater-tests --bench desk`; with `COURSES=2000` (the default) the
//! shop has 2,000 courses of 500 entries.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::indexing_slicing,
    missing_docs,
    reason = "a bench prints, and a broken expectation ends it"
)]

#[path = "figures/resident.rs"]
mod resident;

use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset};
use resident::resident_mib;
use tallywater_core::course::{CourseId, EntryId, LedgerId, StaffId, StudentId};
use tallywater_core::desk::{Again, Change, Desk, FileKeyStore, Listener, MarkTap, Request};
use tallywater_core::entry::{
    Attempt, Body, CourseListed, CourseOpened, CourseState, DetailsDigest, Enrolment, Entry, Mark,
    Origin, OutlineSet, write,
};
use tallywater_core::ledger::Ledger;
use tallywater_core::stamp::DeviceStamps;
use tallywater_core::standing::Touched;
use tallywater_core::store::{Commit, Store, SummaryRow};
use tallywater_core::trust::SecretKey;
use tallywater_core::view::{BoardOf, BoardView, Units};
use uuid::Uuid;

fn open(folder: &Path) -> Desk {
    let keys = Box::new(FileKeyStore::new(&folder.join("keys")));
    Desk::open(folder, keys, Arc::new(DeviceStamps)).unwrap()
}

fn print(what: &str, took: Duration, budget_ms: f64) {
    let ms = took.as_secs_f64() * 1e3;
    println!(
        "{what:<58} {ms:>10.2} ms   budget {budget_ms:>6} ms   {:>5.0} % of it",
        ms / budget_ms * 100.0
    );
}

fn middle(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}

fn id(n: u128) -> Uuid {
    let millis = 1_780_000_000_000 + u64::try_from(n % 1_000_000_007).unwrap();
    let mut chance = [0; 10];
    chance.copy_from_slice(
        &(n.wrapping_mul(0x9E37_79B9_7F4A_7C15_F39C_C060_5CED_C835)).to_be_bytes()[..10],
    );
    uuid::Builder::from_unix_timestamp_millis(millis, &chance).into_uuid()
}

/// A course of so many signed entries, as one device would have written them.
struct Writer<'a> {
    key: &'a SecretKey,
    staff: StaffId,
    at: DateTime<FixedOffset>,
    next: u128,
}

impl Writer<'_> {
    fn add(
        &mut self,
        ledger: &mut Ledger,
        after: Vec<EntryId>,
        body: Body,
    ) -> ([u8; 32], Vec<u8>, EntryId) {
        self.next += 1;
        let entry = Entry {
            id: EntryId::new(Uuid::nil()),
            at: self.at,
            by: self.staff,
            after,
            body,
        };
        let ledger_id = *ledger.id();
        let prev = ledger.last_of(&self.key.public()).pop();
        let (id, bytes) = self.key.seal(&ledger_id, prev, &write(&entry).unwrap());
        let added = ledger.add(&bytes).unwrap();
        (added.hash, added.change, id)
    }

    fn course(
        &mut self,
        course: CourseId,
        shop: tallywater_core::course::ShopId,
        entries: usize,
    ) -> Ledger {
        let mut ledger = Ledger::new(LedgerId::Course(course), *self.salt().as_bytes()).unwrap();
        let starts = self.at.date_naive();
        let outline = tallywater_core::course::starter::outline().unwrap();
        let skills: Vec<_> = outline
            .skills
            .iter()
            .map(|skill| skill.id.clone())
            .collect();
        self.add(
            &mut ledger,
            vec![],
            CourseOpened {
                place: None,
                title: "First dives".into(),
                shop,
                starts,
            }
            .into(),
        );
        self.add(
            &mut ledger,
            vec![],
            OutlineSet { outline, why: None }.into(),
        );
        let students: Vec<StudentId> = (0..8).map(|_| StudentId::new(self.salt())).collect();
        for student in &students {
            let details = DetailsDigest::of(EntryId::new(Uuid::nil()), b"bench");
            self.add(
                &mut ledger,
                vec![],
                Enrolment {
                    student: *student,
                    details,
                    referred_from: None,
                    known_there_as: None,
                }
                .into(),
            );
        }
        let mut last: std::collections::BTreeMap<(usize, usize), Vec<EntryId>> =
            std::collections::BTreeMap::new();
        for n in ledger.lines().len()..entries {
            let (s, k) = (n % 8, n / 8 % skills.len());
            let attempt = Attempt {
                student: students[s],
                skill: skills[k].clone(),
                method: None,
                mark: [Mark::Nearly, Mark::NotYet, Mark::Met][n % 3],
                measured: vec![],
                slips: vec![],
                note: (n % 9 == 0).then(|| "calm, looks up too early".into()),
                despite: None,
                session: None,
                origin: Origin::Live,
            };
            let seen = last.entry((s, k)).or_default();
            let after: Vec<EntryId> = seen.iter().rev().take(4).copied().collect();
            let (_, _, id) = self.add(&mut ledger, after, attempt.into());
            seen.push(id);
        }
        ledger
    }

    fn salt(&mut self) -> Uuid {
        self.next += 1;
        id(self.next)
    }
}

/// Hears what a tap touched, as a screen would.
#[derive(Default)]
struct Heard(Mutex<Vec<Change>>);

impl Listener for Heard {
    fn changed(&self, change: &Change) {
        self.0.lock().unwrap().push(change.clone());
    }
}

fn a_course_opens(entries: usize, budget_ms: f64) {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let desk = open(folder.path());
    let staff = desk.start_alone("Bench", "A. Judge").unwrap();
    let shop = tallywater_core::trust::shop_id(&desk.shop_root().unwrap());
    drop(desk);
    let seed = std::fs::read(folder.path().join("keys/device.key")).unwrap();
    let key = SecretKey::from_seed(&seed.try_into().unwrap());
    let at = DateTime::parse_from_rfc3339("2026-06-06T10:00:00+02:00").unwrap();
    let course = CourseId::new(id(7));
    let mut writer = Writer {
        key: &key,
        staff,
        at,
        next: 1_000,
    };
    let ledger = writer.course(course, shop, entries);
    let desk = open(folder.path());
    desk.merge(&LedgerId::Course(course), &ledger.save().unwrap())
        .unwrap();
    drop(desk);
    let asked = BoardOf::default();
    let mut times = Vec::new();
    for _ in 0..9 {
        let desk = open(folder.path());
        let start = Instant::now();
        let board = desk
            .look(&course, Units::Metric, |c, r| BoardView::of(c, r, asked))
            .unwrap();
        times.push(start.elapsed());
        assert_eq!(board.rows.len(), 8);
    }
    print(
        &format!("open a course of {entries} signed entries to a board"),
        middle(times),
        budget_ms,
    );
    if entries < 10_000 {
        return;
    }
    let desk = open(folder.path());
    let heard = Arc::new(Heard::default());
    desk.listen(Arc::<Heard>::clone(&heard));
    let mut board = desk
        .look(&course, Units::Metric, |c, r| BoardView::of(c, r, asked))
        .unwrap();
    let (mut times, mut taps) = (Vec::new(), Vec::new());
    for n in 0..200 {
        let row = &board.rows[n % 8];
        let (student, skill) = (
            row.name.student,
            row.cells[n % row.cells.len()].skill.clone(),
        );
        let on = desk.on_screen(&course, student, &skill).unwrap();
        let start = Instant::now();
        desk.record(Request::Mark(MarkTap {
            on,
            mark: Mark::Met,
            method: None,
            measured: vec![],
            slips: vec![],
            // Some cells hold marks that differ: a tap there settles them, and says why.
            note: Some("seen again".to_owned()),
            despite: None,
            session: None,
            origin: Origin::Live,
            again: Again::AnotherTry,
        }))
        .unwrap();
        taps.push(start.elapsed());
        let change = heard.0.lock().unwrap().pop().unwrap();
        let touched = Touched {
            cells: change.cells.into_iter().collect(),
            wider: change.wider,
        };
        times.push(
            desk.look(&course, Units::Metric, |c, r| {
                let start = Instant::now();
                board.refresh(c, r, &touched, asked);
                start.elapsed()
            })
            .unwrap(),
        );
    }
    println!(
        "a tap through the whole desk, flush and all, 10000 entries {:>10.2} ms",
        middle(taps).as_secs_f64() * 1e3
    );
    print(
        "board after one more entry, 10000 entries",
        middle(times),
        1.0,
    );
    let whole = desk
        .look(&course, Units::Metric, |c, r| BoardView::of(c, r, asked))
        .unwrap();
    assert!(whole == board, "the refreshed board is the whole one");
}

fn a_shop_of_a_million(courses: usize, each: usize) {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let desk = open(folder.path());
    let staff = desk.start_alone("Bench", "A. Judge").unwrap();
    let root = desk.shop_root().unwrap();
    let shop = tallywater_core::trust::shop_id(&root);
    drop(desk);
    let seed = |name: &str| -> SecretKey {
        let seed = std::fs::read(folder.path().join(format!("keys/{name}.key"))).unwrap();
        SecretKey::from_seed(&seed.try_into().unwrap())
    };
    let (key, root_key) = (seed("device"), seed("root"));
    let at = DateTime::parse_from_rfc3339("2026-06-06T10:00:00+02:00").unwrap();
    let mut writer = Writer {
        key: &key,
        staff,
        at,
        next: 5_000,
    };
    let mut store = Store::open(&folder.path().join("tallywater.db"))
        .unwrap()
        .store;
    let shop_ledger = LedgerId::Shop(shop);
    let stored = store.load(&shop_ledger).unwrap().unwrap();
    let mut listing = Ledger::load(shop_ledger, [9; 16], &stored.bytes, &stored.unsigned).unwrap();
    let office = StaffId::new(shop.uuid());
    let mut office = Writer {
        key: &root_key,
        staff: office,
        at,
        next: 1 << 80,
    };
    let start = Instant::now();
    let mut ids = Vec::new();
    let mut listed = Vec::new();
    for n in 0..courses {
        let course = CourseId::new(writer.salt());
        ids.push(course);
        let ledger = writer.course(course, shop, each);
        let snapshot = ledger.save().unwrap();
        let empty = Ledger::new(*ledger.id(), [1; 16]).unwrap();
        let taken = empty.take_bytes(&snapshot).unwrap();
        let summary = SummaryRow {
            ledger: *ledger.id(),
            title: format!("First dives {n}"),
            starts: at.date_naive(),
            students: 8,
            open: 40,
            detail: "{\"ended\":0}".into(),
        };
        let commit = Commit {
            changes: &taken.changes,
            summary: Some(&summary),
            ..Commit::default()
        };
        store.commit(ledger.id(), &commit).unwrap();
        store
            .compact(ledger.id(), &snapshot, &ledger.heads(), [2; 16])
            .unwrap();
        let body = CourseListed {
            course,
            title: summary.title.clone(),
            starts: summary.starts,
            staff: vec![staff],
            state: if n % 100 == 0 {
                CourseState::Running
            } else {
                CourseState::Closed
            },
        };
        let (hash, change, _) = office.add(&mut listing, vec![], body.into());
        listed.push((hash, change));
    }
    let commit = Commit {
        changes: &listed,
        ..Commit::default()
    };
    store.commit(&shop_ledger, &commit).unwrap();
    drop(store);
    println!(
        "(built {courses} courses of {each} entries in {:.0} s)",
        start.elapsed().as_secs_f64()
    );
    let start = Instant::now();
    let desk = open(folder.path());
    println!(
        "open the shop's desk                                       {:>10.2} ms",
        start.elapsed().as_secs_f64() * 1e3
    );
    let lists = (0..9).map(|_| {
        let start = Instant::now();
        let rows = desk.course_summaries().unwrap();
        assert_eq!(rows.len(), courses);
        start.elapsed()
    });
    print(
        &format!("list {courses} courses"),
        middle(lists.collect()),
        50.0,
    );
    let asked = BoardOf::default();
    let opens = ids.iter().step_by(courses / 20).take(20).map(|course| {
        let start = Instant::now();
        let board = desk
            .look(course, Units::Metric, |c, r| BoardView::of(c, r, asked))
            .unwrap();
        assert_eq!(board.rows.len(), 8);
        start.elapsed()
    });
    print(
        "open one of them to a board",
        middle(opens.collect()),
        100.0,
    );
    println!(
        "resident with 20 courses of {each} entries open                {:>8.0} MiB   budget    150 MB",
        resident_mib()
    );
}

fn main() {
    println!("Figures of the desk (design budgets beside them)");
    a_course_opens(1_000, 30.0);
    a_course_opens(10_000, 250.0);
    let courses = std::env::var("COURSES")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or(2_000);
    a_shop_of_a_million(courses, 500);
}
