//! All of it or none of it: a sweep and an exception to it, a slate typed in, the photograph of
//! one, kit issued and kit returned. The power goes at every step of what each of them writes,
//! each of its commits is refused, the disk has no room: switched on again, the device holds the
//! whole of it or nothing, and does it once more.

use std::collections::BTreeMap;
use std::sync::Arc;

use tallywater_core::course::{KitKind, LedgerId, PieceId, SkillId, StudentId};
use tallywater_core::desk::paper::{SlateMark, SlateRemark, SlateSheet, SlateTimes};
use tallywater_core::desk::{AttachmentOf, Recorded, Request};
use tallywater_core::entry::{Mark, Who};
use tallywater_core::ledger::Heads;
use tallywater_core::store::CellRow;
use tallywater_core::view::{KitView, Units};
use tempfile::TempDir;

use crate::kept_files::stored;
use crate::support::devices::{Device, School, open_desk, time};
use crate::support::kit::{describe, piece};
use crate::support::media::photograph;
use crate::support::stamps::SetStamps;
use crate::surface::{SKILL, in_the_water, sweep, tapped, taps};

/// One thing that a person does, and what has to be there before it.
struct Deed {
    name: &'static str,
    before: fn(&School, &Device, &[PieceId]),
    act: fn(&School, &Device, &[PieceId]) -> Result<Recorded, String>,
}

const DEEDS: [Deed; 6] = [
    Deed {
        name: "a sweep",
        before: |_, _, _| (),
        act: |school, by, _| {
            let requests = taps(school, by, Mark::Met);
            said(by.desk.record_all(requests))
        },
    },
    Deed {
        name: "an exception to a sweep",
        before: |school, by, _| {
            sweep(school, by, Mark::Met);
        },
        act: |school, by, _| said(tapped(school, by, 1, Mark::NotYet)),
    },
    Deed {
        name: "a slate",
        before: |_, _, _| (),
        act: |school, by, _| {
            said(
                by.desk
                    .type_sheet(school.course, school.session, sheet(school)),
            )
        },
    },
    Deed {
        name: "the photograph of a slate",
        before: |_, _, _| (),
        act: |school, by, _| {
            let of = AttachmentOf {
                course: school.course,
                session: school.session,
                student: None,
                slate: None,
            };
            said(by.desk.keep_attachment(of, &photograph(PICTURE, 1)))
        },
    },
    Deed {
        name: "kit issued",
        before: |_, _, _| (),
        act: |school, by, pieces| said(by.desk.record_all(issue(school, pieces))),
    },
    Deed {
        name: "kit returned, one piece with a fault",
        before: |school, by, pieces| {
            by.desk.record_all(issue(school, pieces)).unwrap();
        },
        act: |school, by, _| said(by.desk.record_all(hand_back(school, by))),
    },
];

/// Bytes of the photograph: several pages of the store.
const PICTURE: usize = 120_000;

fn said<E: std::fmt::Display>(done: Result<Recorded, E>) -> Result<Recorded, String> {
    done.map_err(|error| error.to_string())
}

/// Everybody's times, a mark and a remark.
fn sheet(school: &School) -> SlateSheet {
    let skill: SkillId = SKILL.parse().unwrap();
    let row = |student: &StudentId| SlateMark {
        student: *student,
        skill: skill.clone(),
        mark: Mark::Met,
    };
    let times = |student: &StudentId| SlateTimes {
        student: *student,
        down: time("2026-06-06T10:05:00+02:00"),
        up: Some(time("2026-06-06T10:35:00+02:00")),
    };
    SlateSheet {
        number: None,
        seen: time("2026-06-06T10:36:00+02:00"),
        marks: school.students.iter().map(row).collect(),
        times: school.students.iter().map(times).collect(),
        remarks: vec![SlateRemark {
            student: None,
            text: "current at the steps".into(),
        }],
    }
}

fn issue(school: &School, pieces: &[PieceId]) -> Vec<Request> {
    let one = |piece: &PieceId| Request::IssueKit {
        course: school.course,
        session: school.session,
        piece: *piece,
        to: Who::Student(school.students[0]),
        despite: None,
        when: None,
    };
    pieces.iter().map(one).collect()
}

/// Everything that is out comes back, the first of it with a fault: an entry of the course for
/// each, and one of the shop's book.
fn hand_back(school: &School, by: &Device) -> Vec<Request> {
    let view = by.desk.look_at_kit(Units::Metric, KitView::of).unwrap();
    let out = view.rows.iter().flat_map(|row| row.out.iter());
    out.enumerate()
        .map(|(place, out)| Request::ReturnKit {
            course: school.course,
            issue: out.entry,
            fault: (place == 0).then(|| "zip jams".to_owned()),
            when: None,
        })
        .collect()
}

/// Everything that a device holds: each ledger as it stands, and the cells that are drawn from
/// it.
#[derive(Debug, PartialEq, Eq)]
struct Held {
    heads: BTreeMap<LedgerId, Heads>,
    cells: Vec<CellRow>,
    entries: usize,
}

fn held(by: &Device, school: &School) -> Held {
    let ledgers = by.desk.ledgers().unwrap();
    let entries = ledgers.iter().map(|id| by.desk.entries(id).unwrap()).sum();
    let heads = ledgers
        .into_iter()
        .map(|id| (id, by.desk.heads(&id).unwrap()))
        .collect();
    let mut cells = Vec::new();
    by.desk
        .store_for_faults(|store| cells = store.cells(&school.ledger()).unwrap());
    Held {
        heads,
        cells,
        entries,
    }
}

const STORE: &str = "tallywater.db";
const LOG: &str = "tallywater.db-wal";

/// A device's folder as it lies on the disk at one moment: its store, the store's log, its keys.
struct Disk {
    store: Vec<u8>,
    log: Vec<u8>,
    keys: Vec<(std::ffi::OsString, Vec<u8>)>,
}

impl Disk {
    fn of(device: &Device) -> Self {
        let folder = device.folder.path();
        let keys = std::fs::read_dir(folder.join("keys")).unwrap();
        let keys = keys.map(|file| {
            let file = file.unwrap();
            (file.file_name(), std::fs::read(file.path()).unwrap())
        });
        Self {
            store: std::fs::read(folder.join(STORE)).unwrap(),
            log: std::fs::read(folder.join(LOG)).unwrap_or_default(),
            keys: keys.collect(),
        }
    }

    /// The device, switched on with so much of this log on its disk.
    fn switched_on(&self, log: &[u8]) -> Device {
        let folder = TempDir::new().unwrap();
        std::fs::write(folder.path().join(STORE), &self.store).unwrap();
        std::fs::write(folder.path().join(LOG), log).unwrap();
        let keys = folder.path().join("keys");
        std::fs::create_dir(&keys).unwrap();
        for (name, bytes) in &self.keys {
            std::fs::write(keys.join(name), bytes).unwrap();
        }
        let stamps = Arc::new(SetStamps::new("2026-06-06T10:56:00+02:00", 77));
        let desk = open_desk(folder.path(), &stamps).unwrap();
        Device {
            desk: Arc::new(desk),
            stamps,
            folder,
        }
    }
}

/// A school on the evening, on whose instructor's tablet a deed is about to be done.
fn about_to(deed: &Deed) -> (School, Vec<PieceId>) {
    let mut school = School::new(3);
    let by = &school.instructor;
    let kinds = [
        (KitKind::Suit, "0"),
        (KitKind::Fins, "1"),
        (KitKind::Mask, "2"),
    ];
    let pieces = kinds
        .map(|(kind, number)| describe(by, piece(kind, number, "")))
        .to_vec();
    in_the_water(&school, by, &[]);
    (deed.before)(&school, by, &pieces);
    // Switched off and on, its log is folded into its file: what is written next is the deed.
    school.instructor = school.instructor.reopen();
    (school, pieces)
}

#[test]
fn a_power_cut_at_any_step_leaves_all_of_it_or_none() {
    for deed in &DEEDS {
        let (school, pieces) = about_to(deed);
        let by = &school.instructor;
        let before = held(by, &school);
        let (begun, files) = (Disk::of(by), stored(by));
        let done = (deed.act)(&school, by, &pieces).unwrap();
        let after = held(by, &school);
        assert_eq!(after.entries, before.entries + done.entries.len());
        let disk = Disk::of(by);
        let ends = disk.log.len();
        assert!(disk.log.starts_with(&begun.log) && disk.store == begun.store);
        let (mut none, mut all) = (0, 0);
        // Three cuts a page of the log, and one before the last byte.
        let cuts = (begun.log.len()..ends).step_by(1_373);
        for at in cuts.chain([ends - 1, ends]) {
            let again = disk.switched_on(&disk.log[..at]);
            let found = held(&again, &school);
            if found == after {
                all += 1;
                continue;
            }
            assert_eq!(found, before, "{}, cut at {at} of {ends}", deed.name);
            assert_eq!(all, 0, "{}, cut at {at} of {ends}", deed.name);
            none += 1;
            // Bytes that nobody names yet go as soon as there is time.
            again.desk.tidy().unwrap();
            assert_eq!(stored(&again), files, "{}, cut at {at}", deed.name);
            if at == begun.log.len() || at == ends - 1 {
                (deed.act)(&school, &again, &pieces).unwrap();
                assert_eq!(held(&again, &school).entries, after.entries);
            }
        }
        assert!(none > 3 && all > 0, "{}: {none}, {all}", deed.name);
    }
}

/// Plays a deed on a device with a fault in its store, until there is none: how often it was
/// refused.
fn refused_until_done(deed: &Deed, fault: impl Fn(&Device, u32) -> Box<dyn Fn(&Device)>) -> u32 {
    let (school, pieces) = about_to(deed);
    let disk = Disk::of(&school.instructor);
    for n in 0..100 {
        let by = disk.switched_on(&disk.log);
        let (before, files) = (held(&by, &school), stored(&by));
        let mend = fault(&by, n);
        match (deed.act)(&school, &by, &pieces) {
            Ok(done) => {
                let all = before.entries + done.entries.len();
                assert_eq!(held(&by, &school).entries, all, "{}", deed.name);
                assert_eq!(held(&by.reopen(), &school).entries, all, "{}", deed.name);
                return n;
            }
            Err(_) => {
                assert_eq!(held(&by, &school), before, "{}, fault {n}", deed.name);
                mend(&by);
                let by = by.reopen();
                assert_eq!(held(&by, &school), before, "{}, fault {n}", deed.name);
                by.desk.tidy().unwrap();
                assert_eq!(stored(&by), files, "{}, fault {n}", deed.name);
                let done = (deed.act)(&school, &by, &pieces).unwrap();
                let all = before.entries + done.entries.len();
                assert_eq!(held(&by, &school).entries, all, "{}", deed.name);
            }
        }
    }
    panic!("{} was never done", deed.name);
}

#[test]
fn a_refused_commit_leaves_all_of_it_or_none() {
    use std::sync::atomic::{AtomicU32, Ordering};
    for deed in &DEEDS {
        let refused = refused_until_done(deed, |by, n| {
            by.desk.store_for_faults(|store| {
                let count = AtomicU32::new(0);
                let hook = move || count.fetch_add(1, Ordering::SeqCst) == n;
                let connection = store.connection_for_faults();
                connection.commit_hook(Some(hook)).unwrap();
            });
            Box::new(|by: &Device| {
                by.desk.store_for_faults(|store| {
                    let connection = store.connection_for_faults();
                    connection.commit_hook(None::<fn() -> bool>).unwrap();
                });
            })
        });
        // A photograph is two: its bytes, and the entry that names them.
        let least = 1 + u32::from(deed.name.contains("photograph"));
        assert!(refused >= least, "{}: {refused}", deed.name);
    }
}

#[test]
fn a_full_disk_leaves_all_of_it_or_none() {
    let mut refused = 0;
    for deed in &DEEDS {
        refused += refused_until_done(deed, |by, n| {
            let leave = |by: &Device, pages: i64| {
                by.desk
                    .store_for_faults(|store| store.leave_room_for_faults(pages).unwrap());
            };
            leave(by, i64::from(n));
            Box::new(move |by: &Device| leave(by, 100_000))
        });
    }
    assert!(refused > 10, "{refused} were refused");
}
