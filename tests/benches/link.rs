//! What it costs to be in step: a pool day to the shop, one mark to the other tablet, a
//! first sync of a long course. Real desks, real disks, QUIC on loopback; beside each, the
//! same bytes copied over plain TCP on loopback, which is as fast as it could be.
//!
//! `cargo bench -p tallywater-tests --bench link`

#![allow(
    clippy::wildcard_enum_match_arm,
    dead_code,
    unreachable_pub,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::cast_possible_truncation,
    clippy::print_stdout,
    reason = "a broken expectation is a failed bench, printing is what it is for, and it \
              uses a part of what the tests share"
)]

#[path = "figures/report.rs"]
mod report;
#[path = "figures/resident.rs"]
mod resident;
#[path = "figures/restore.rs"]
mod restore;
#[path = "../rust/support/mod.rs"]
mod support;

use std::io::{Read as _, Write as _};
use std::net::{TcpListener, TcpStream};
use std::sync::{Arc, mpsc};
use std::time::{Duration, Instant};

use report::{Report, percentile};
use resident::resident_mib;
use support::devices::{Device, School, day};
use support::links::{Online, go_online, until};
use support::media::photograph;
use tallywater_core::desk::{AttachmentOf, Change, Listener, Request};
use tallywater_core::entry::Mark;
use tallywater_core::link::LinkEvent;
use tallywater_core::store::Store;
use tallywater_core::view::{AttachmentHere, AttachmentRow, Units};

fn main() {
    let asked = std::env::args().skip(1).find(|word| !word.starts_with('-'));
    let mut report = Report::new(asked);
    to_the_shop(&mut report, "pool day of 500 entries to the shop", 500, 300);
    to_the_shop(&mut report, "first sync of 10,000 entries", 10_000, 300);
    live(&mut report);
    beside_photographs(&mut report);
    mark_beside_photograph(&mut report);
    restore::run(&mut report);
    with_courses(&mut report);
    if !report.within() {
        std::process::exit(1);
    }
}

fn mark(school: &School, device: &Device, n: usize) {
    let skills: Vec<String> = school
        .shop
        .desk
        .with_course(&school.course, |course| {
            let outline = course.outline().expect("an outline");
            outline
                .skills
                .iter()
                .map(|skill| skill.id.to_string())
                .collect()
        })
        .unwrap();
    device.mark(school, n % 8, &skills[n / 8 % skills.len()], Mark::Nearly);
}

/// From the connection to the moment the shop has said it stored the last entry.
fn to_the_shop(report: &mut Report, name: &str, entries: usize, budget: u64) {
    if !report.wants(name) {
        return;
    }
    let mut measured = Vec::new();
    let mut bytes = 0;
    for _ in 0..if entries < 1_000 { 5 } else { 2 } {
        let school = School::new(8);
        let before = stored(&school.instructor, &school);
        (0..entries).for_each(|n| mark(&school, &school.instructor, n));
        bytes = stored(&school.instructor, &school) - before;
        let shop = go_online(&school.shop.desk);
        let instructor = go_online(&school.instructor.desk);
        instructor.look_at(&shop);
        hears_met(&instructor);
        let start = Instant::now();
        let all = u32::try_from(school.instructor.desk.entries(&school.ledger()).unwrap());
        let all = all.unwrap();
        instructor.ear.hears("stored", |event| match event {
            LinkEvent::Stored { ledger, there, .. } => *ledger == school.ledger() && *there == all,
            _ => false,
        });
        measured.push(start.elapsed());
    }
    let floor = copied(bytes);
    let took = percentile(&mut measured, 50);
    report.time(name, took, Duration::from_millis(budget));
    report.note(
        &format!("{name}: its {} KB over plain TCP", bytes / 1000),
        floor,
    );
}

fn hears_met(online: &Online) {
    online
        .ear
        .hears("the shop", |event| matches!(event, LinkEvent::Met { .. }));
}

/// The bytes of the course's changes in the store.
fn stored(device: &Device, school: &School) -> usize {
    let file = device.folder.path().join("tallywater.db");
    let store = Store::open(&file).unwrap().store;
    store
        .load(&school.ledger())
        .unwrap()
        .map_or(0, |stored| stored.bytes.len())
}

struct Bell(mpsc::Sender<()>);

impl Listener for Bell {
    fn changed(&self, change: &Change) {
        // A mark: a photograph that has come whole changes no cell.
        if change.from_elsewhere && !change.cells.is_empty() {
            let _ = self.0.send(());
        }
    }
}

/// From the tap on one tablet to the change on the other.
fn live(report: &mut Report) {
    if !report.wants("live mark") {
        return;
    }
    for before in [0, 2_000, 10_000] {
        let school = School::new(8);
        (0..before).for_each(|n| mark(&school, &school.instructor, n));
        let instructor = go_online(&school.instructor.desk);
        let assistant = go_online(&school.assistant.desk);
        instructor.look_at(&assistant);
        instructor.in_step_with(&assistant);
        let (mut taps, mut seen) = marks_seen(&school, &school.assistant, 300);
        let with = format!("with {before} marks before it");
        report.note(
            &format!("the tap itself, {with}, p50"),
            percentile(&mut taps, 50),
        );
        report.note(
            &format!("live mark on the other tablet, {with}, p50"),
            percentile(&mut seen, 50),
        );
        report.note(
            &format!("live mark on the other tablet, {with}, p99"),
            percentile(&mut seen, 99),
        );
        until("in step", || {
            instructor.link.peers().values().any(|peer| peer.in_step)
        });
    }
}

/// The same while photographs of 8 MB are on their way, one after the other.
fn beside_photographs(report: &mut Report) {
    if !report.wants("photograph") {
        return;
    }
    let school = School::new(8);
    let of = AttachmentOf {
        course: school.course,
        session: school.session,
        student: None,
        slate: None,
    };
    for n in 0..PHOTOGRAPHS {
        let bytes = photograph(8 << 20, n + 1);
        let kept = school.instructor.desk.keep_attachment(of.clone(), &bytes);
        kept.unwrap();
    }
    support::devices::meet(&school.instructor, &school.assistant);
    let instructor = go_online(&school.instructor.desk);
    let assistant = go_online(&school.assistant.desk);
    let whole = || {
        let (desk, session) = (&school.assistant.desk, &school.session);
        let view = desk.attachments(&school.course, session, Units::Metric);
        let rows = view.unwrap().unwrap().rows;
        let is = |row: &&AttachmentRow| row.here == AttachmentHere::Whole;
        u64::try_from(rows.iter().filter(is).count()).unwrap()
    };
    let start = Instant::now();
    instructor.look_at(&assistant);
    until("the first photograph", || whole() > 0);
    let (mut taps, mut seen) = marks_seen(&school, &school.assistant, 100);
    let there = whole();
    assert!(there < PHOTOGRAPHS, "they were all there before the marks");
    let with = "beside photographs on their way";
    report.note(
        &format!("the tap itself, {with}, p50"),
        percentile(&mut taps, 50),
    );
    report.note(
        &format!("live mark on the other tablet, {with}, p50"),
        percentile(&mut seen, 50),
    );
    report.note(
        &format!("live mark on the other tablet, {with}, p99"),
        percentile(&mut seen, 99),
    );
    until("every photograph", || whole() == PHOTOGRAPHS);
    let all = start.elapsed();
    report.note(
        &format!("{PHOTOGRAPHS} photographs of 8 MB and 100 marks between them"),
        all,
    );
}

/// So many photographs are on their way.
const PHOTOGRAPHS: u64 = 12;

/// A mark waits for no photograph: from the tap until the other tablet shows it, with one of 5 MB
/// on its way beside the same with none, in one run. Only a mark that was shown while the
/// photograph was still on its way counts as one beside it.
fn mark_beside_photograph(report: &mut Report) {
    let name = "mark_beside_photograph";
    if !report.wants(name) {
        return;
    }
    let school = School::new(8);
    let instructor = go_online(&school.instructor.desk);
    let assistant = go_online(&school.assistant.desk);
    instructor.look_at(&assistant);
    instructor.in_step_with(&assistant);
    let (bell, rings) = mpsc::channel();
    school.assistant.desk.listen(Arc::new(Bell(bell)));
    let mut alone: Vec<Duration> = (0..BESIDE)
        .map(|n| mark_seen(&school, &rings, n).1)
        .collect();
    let mut beside = Vec::new();
    let mut pictures = 0;
    while beside.len() < BESIDE {
        pictures += 1;
        let of = AttachmentOf {
            course: school.course,
            session: school.session,
            student: None,
            slate: None,
        };
        let bytes = photograph(5 << 20, pictures);
        let kept = school.instructor.desk.keep_attachment(of, &bytes);
        kept.unwrap();
        let named = usize::try_from(pictures).unwrap();
        until("the first piece", || {
            let (there, on_its_way) = pictures_at(&school.assistant, &school);
            on_its_way || there == named
        });
        loop {
            let seen = mark_seen(&school, &rings, BESIDE + beside.len()).1;
            if !pictures_at(&school.assistant, &school).1 {
                break;
            }
            beside.push(seen);
        }
        until("the whole of it", || {
            pictures_at(&school.assistant, &school).0 == named
        });
    }
    report.note(
        &format!("{name}: p99 with none"),
        percentile(&mut alone, 99),
    );
    report.note(
        &format!(
            "{name}: p99 of {} with one, {pictures} in all",
            beside.len()
        ),
        percentile(&mut beside, 99),
    );
    let (with, without) = (percentile(&mut beside, 50), percentile(&mut alone, 50));
    report.ratio(name, with, without, 3.0);
}

/// So many marks are made with and without a photograph on its way.
const BESIDE: usize = 100;

/// How many photographs are whole at a device, and whether one is on its way to it.
fn pictures_at(at: &Device, school: &School) -> (usize, bool) {
    let view = at
        .desk
        .attachments(&school.course, &school.session, Units::Metric);
    let rows = view.unwrap().unwrap().rows;
    let whole = |row: &&AttachmentRow| row.here == AttachmentHere::Whole;
    let begun =
        |row: &AttachmentRow| matches!(row.here, AttachmentHere::OnItsWay { have } if have > 0);
    (rows.iter().filter(whole).count(), rows.iter().any(begun))
}

/// So many marks of the instructor's: how long each tap took, and how long until another device
/// had heard of it.
fn marks_seen(school: &School, at: &Device, marks: usize) -> (Vec<Duration>, Vec<Duration>) {
    let (bell, rings) = mpsc::channel();
    at.desk.listen(Arc::new(Bell(bell)));
    (0..marks).map(|n| mark_seen(school, &rings, n)).unzip()
}

/// A mark of the instructor's: how long the tap took, and how long until the bell rang.
fn mark_seen(school: &School, rings: &mpsc::Receiver<()>, n: usize) -> (Duration, Duration) {
    let start = Instant::now();
    mark(school, &school.instructor, n);
    let tap = start.elapsed();
    rings
        .recv_timeout(Duration::from_secs(60))
        .expect("the mark");
    (tap, start.elapsed())
}

/// What more courses at the shop cost: a meeting, a live mark and memory, for an instructor
/// who works on one of them. Each course has its outline and policy, as a real one begins.
fn with_courses(report: &mut Report) {
    if !report.wants("courses") {
        return;
    }
    for courses in [1, 200, 2_000] {
        let school = School::new(8);
        for n in 1..courses {
            school.shop.record(Request::OpenCourse {
                place: None,
                outline: Default::default(),
                title: format!("First dives {n}"),
                starts: day("2026-06-06"),
                staff: Vec::new(),
            });
        }
        let memory = resident_mib();
        let shop = go_online(&school.shop.desk);
        let instructor = go_online(&school.instructor.desk);
        let start = Instant::now();
        instructor.look_at(&shop);
        instructor.in_step_with(&shop);
        let what = format!("a shop of {courses} courses");
        report.note(
            &format!("{what}: from dialling to in step"),
            start.elapsed(),
        );
        let (_, mut seen) = marks_seen(&school, &school.shop, 100);
        report.note(
            &format!("{what}: live mark at the shop, p50"),
            percentile(&mut seen, 50),
        );
        println!(
            "{what}: {:.0} MiB resident, {:.0} before the link (three devices in this process)",
            resident_mib(),
            memory
        );
    }
}

/// The same number of bytes from one socket to another and an answer.
fn copied(bytes: usize) -> Duration {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let at = listener.local_addr().unwrap();
    let receiver = std::thread::spawn(move || {
        let (mut stream, _) = listener.accept().unwrap();
        let mut all = vec![0; bytes];
        stream.read_exact(&mut all).unwrap();
        stream.write_all(&[1]).unwrap();
    });
    let mut stream = TcpStream::connect(at).unwrap();
    let start = Instant::now();
    stream.write_all(&vec![7; bytes]).unwrap();
    stream.read_exact(&mut [0]).unwrap();
    let took = start.elapsed();
    receiver.join().unwrap();
    took
}
