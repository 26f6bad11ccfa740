//! The exchange with a wire that cuts, drops, repeats and reorders its frames. After each
//! fault the two devices meet once more undisturbed: nothing is lost, both boards read the
//! same, and at no time does either believe the other holds what it does not.

use std::collections::BTreeMap;
use std::sync::Arc;

use tallywater_core::course::LedgerId;
use tallywater_core::entry::{DeviceKey, Mark};
use tallywater_core::link::{Depot, Exchange, Parting};
use tallywater_core::store::Store;
use tallywater_core::sync::{Frame, Held};

use crate::support::devices::{Device, School};
use crate::support::links::board;

/// What the wire does to the n-th frame that is sent, from whichever side.
enum Fault {
    None,
    /// The connection breaks before this frame arrives.
    CutAt(usize),
    /// The frame is lost on the way.
    Drop(usize),
    /// The frame arrives twice.
    Repeat(usize),
    /// The frame arrives after the three that follow it.
    Late(usize),
    /// Nothing arrives in one direction after this frame: a one-way link.
    OneWay(usize),
}

/// One meeting over a wire; how many frames were sent.
fn meet(a: &Device, b: &Device, fault: &Fault) -> usize {
    let key = |device: &Device| device.desk.card().link;
    let depot = |device: &Device| -> Arc<dyn Depot> { Arc::clone(&device.desk) as _ };
    let mut sides = [
        Exchange::new(depot(a), key(b)),
        Exchange::new(depot(b), key(a)),
    ];
    let mut wire: [Vec<Frame>; 2] = [Vec::new(), Vec::new()];
    let mut sent = 0;
    let mut late: Option<(usize, usize, Frame)> = None;
    for side in &mut sides {
        side.open().expect("admitted");
    }
    let mut quiet = 0;
    while quiet < 2 {
        for from in 0..2 {
            for frame in sides[from].outcome().frames {
                let n = sent;
                sent += 1;
                match fault {
                    Fault::CutAt(at) if n >= *at => return sent,
                    Fault::Drop(at) if n == *at => continue,
                    Fault::Repeat(at) if n == *at => wire[from].push(frame.clone()),
                    Fault::Late(at) if n == *at => {
                        late = Some((n, from, frame));
                        continue;
                    }
                    Fault::OneWay(at) if n >= *at && from == 0 => continue,
                    _ => {}
                }
                wire[from].push(frame);
            }
        }
        if let Some((at, from, frame)) = late.take() {
            if sent > at + 3 || (wire[0].is_empty() && wire[1].is_empty()) {
                wire[from].push(frame);
            } else {
                late = Some((at, from, frame));
            }
        }
        quiet = if wire.iter().all(Vec::is_empty) {
            quiet + 1
        } else {
            0
        };
        for from in 0..2 {
            for frame in std::mem::take(&mut wire[from]) {
                match sides[1 - from].hear(frame) {
                    Ok(()) => {}
                    // A side that can make no sense of it ends the meeting; no harm done.
                    Err(Parting::Broken) => return sent,
                    Err(why) => panic!("{why:?}"),
                }
            }
        }
        assert!(sent < 5_000, "they never stop");
    }
    sent
}

/// Whatever a device believes another holds, the other does hold.
fn nobody_is_wrong(school: &School) {
    let devices = [&school.shop, &school.instructor, &school.assistant];
    let by_key: BTreeMap<DeviceKey, &Device> = devices
        .iter()
        .map(|device| (device.desk.card().key, *device))
        .collect();
    for device in devices {
        for ledger in device.desk.ledgers().unwrap() {
            let believed = device.desk.held_by_each(&ledger).unwrap();
            for (key, held) in believed {
                let other = by_key[&key];
                if held == Held::There {
                    let file = other.folder.path().join("tallywater.db");
                    let stored = Store::open(&file).unwrap().store;
                    let stored = stored.load(&ledger).unwrap().expect("it is held");
                    let mine = device.desk.save_ledger(&ledger).unwrap();
                    let mine = tallywater_core::ledger::Ledger::load_foreign([1; 16], &mine);
                    let theirs =
                        tallywater_core::ledger::Ledger::load_foreign([2; 16], &stored.bytes);
                    let heads = mine.unwrap().heads();
                    assert!(theirs.unwrap().knows(&heads), "{ledger} is not held");
                }
            }
        }
    }
}

/// Both mark, the wire plays its trick, both mark, they meet undisturbed.
fn survives(school: &School, round: usize, fault: &Fault) -> usize {
    let (a, b) = (&school.instructor, &school.assistant);
    let marks = [Mark::Met, Mark::Nearly, Mark::NotYet];
    a.mark(school, round % 4, "mask-full", marks[round % 3]);
    b.mark(school, round % 4, "mask-full", marks[(round + 1) % 3]);
    b.mark(school, (round + 1) % 4, "swim-200", Mark::Met);
    let ledger = school.ledger();
    let entries = |device: &Device| device.desk.entries(&ledger).unwrap();
    let sent = meet(a, b, fault);
    nobody_is_wrong(school);
    a.mark(school, (round + 2) % 4, "mask-full", Mark::Met);
    let before = entries(a).max(entries(b));
    meet(a, b, &Fault::None);
    nobody_is_wrong(school);
    assert_eq!(board(a, school), board(b, school));
    assert!(entries(a) >= before);
    // Three marks before the fault and one after it, in every round.
    sent
}

fn rounds(name: &str, fault: impl Fn(usize) -> Fault) {
    let school = School::new(4);
    let ledger = school.ledger();
    let began = school.instructor.desk.entries(&ledger).unwrap();
    let frames = survives(&school, 0, &Fault::None);
    assert!(frames > 6, "{frames}");
    for at in 0..=frames {
        println!("## {name} at frame {at} of about {frames}");
        survives(&school, at + 1, &fault(at));
    }
    let ended = school.instructor.desk.entries(&ledger).unwrap();
    assert_eq!(ended - began, 4 * (frames + 2), "every mark is there");
    let course = LedgerId::Course(school.course);
    assert_eq!(
        school.assistant.desk.heads(&course).unwrap(),
        school.instructor.desk.heads(&course).unwrap()
    );
}

#[test]
fn a_meeting_cut_at_every_frame_loses_nothing() {
    rounds("cut", Fault::CutAt);
}

#[test]
fn a_frame_lost_at_every_place_loses_nothing() {
    rounds("drop", Fault::Drop);
}

#[test]
fn a_frame_repeated_at_every_place_changes_nothing() {
    rounds("repeat", Fault::Repeat);
}

#[test]
fn a_frame_late_at_every_place_changes_nothing() {
    rounds("late", Fault::Late);
}

#[test]
fn a_link_that_goes_one_way_from_every_frame_on_loses_nothing() {
    rounds("one way", Fault::OneWay);
}

#[test]
fn what_both_had_from_a_third_device_is_said_all_the_same() {
    let school = School::new(2);
    let (a, b) = (&school.instructor, &school.assistant);
    let depot = |device: &Device| -> Arc<dyn Depot> { Arc::clone(&device.desk) as _ };
    let key = |device: &Device| device.desk.card().link;
    let mut sides = [
        Exchange::new(depot(a), key(b)),
        Exchange::new(depot(b), key(a)),
    ];
    for side in &mut sides {
        side.open().unwrap();
    }
    let talk = |sides: &mut [Exchange; 2]| {
        loop {
            let frames = [sides[0].outcome().frames, sides[1].outcome().frames];
            if frames.iter().all(Vec::is_empty) {
                break;
            }
            let [to_b, to_a] = frames;
            to_b.into_iter()
                .for_each(|frame| sides[1].hear(frame).unwrap());
            to_a.into_iter()
                .for_each(|frame| sides[0].hear(frame).unwrap());
        }
    };
    talk(&mut sides);
    assert!(sides.iter().all(Exchange::all_in_step));
    println!("## The shop confirms a rule; both have it by another way, one of them tells");
    let ledger = school.ledger();
    school
        .shop
        .record(tallywater_core::desk::Request::RetitleCourse {
            place: None,
            course: school.course,
            title: "First dives, late June".into(),
            starts: crate::support::devices::day("2026-06-20"),
        });
    let news = school.shop.desk.save_ledger(&ledger).unwrap();
    for device in [a, b] {
        device.desk.merge(&ledger, &news).unwrap();
    }
    let position = tallywater_core::sync::Position {
        ledger,
        entries: u32::try_from(a.desk.entries(&ledger).unwrap()).unwrap(),
        heads: a.desk.heads(&ledger).unwrap(),
    };
    let turn = 1_000;
    sides[1].hear(Frame::Stored { turn, position }).unwrap();
    talk(&mut sides);
    let held = a.desk.held_by_each(&ledger).unwrap();
    assert_eq!(held[&b.desk.card().key], Held::There);
}
