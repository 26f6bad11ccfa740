//! Over the link: after everything else, piece by piece, from where it broke off; and never
//! before a mark.

use std::collections::BTreeSet;
use std::sync::{Arc, Mutex};

use tallywater_core::course::Role;
use tallywater_core::desk::{Change, Listener};
use tallywater_core::entry::{DeviceKey, Mark};
use tallywater_core::link::{Depot, Exchange, Outcome, Reach};
use tallywater_core::sync::{FILE_PIECE_BYTES, Frame};

use super::gone::hurt;
use super::*;
use crate::support::devices::admit;
use crate::support::links::{go_online, until};

/// Two devices and a wire between them that a test holds in its hand: frames wait on it until
/// they are carried on.
struct Wire<'a> {
    devices: [&'a Device; 2],
    sides: [Exchange; 2],
    waiting: [Vec<Frame>; 2],
    /// Every frame that was said, in order, with the side that said it.
    said: Vec<(usize, Frame)>,
}

fn key(of: &Device) -> DeviceKey {
    of.desk.card().link
}

impl<'a> Wire<'a> {
    fn between(a: &'a Device, b: &'a Device) -> Self {
        let depot = |device: &Device| -> Arc<dyn Depot> { Arc::clone(&device.desk) as _ };
        let mut wire = Self {
            devices: [a, b],
            sides: [
                Exchange::new(depot(a), key(b)),
                Exchange::new(depot(b), key(a)),
            ],
            waiting: [Vec::new(), Vec::new()],
            said: Vec::new(),
        };
        for side in 0..2 {
            wire.sides[side].open().unwrap();
            wire.collect(side);
        }
        wire
    }

    fn collect(&mut self, side: usize) {
        let Outcome { frames, .. } = self.sides[side].outcome();
        let said = frames.iter().map(|frame| (side, frame.clone()));
        self.said.extend(said);
        self.waiting[side].extend(frames);
    }

    /// Carries one frame over, from either side in turn; `false` when none waits.
    fn carry(&mut self, change: &dyn Fn(&mut Frame)) -> bool {
        let from = usize::from(self.waiting[0].is_empty());
        if self.waiting[from].is_empty() {
            return false;
        }
        let mut frame = self.waiting[from].remove(0);
        change(&mut frame);
        self.sides[1 - from].hear(frame).unwrap();
        self.collect(1 - from);
        true
    }

    fn run(&mut self) {
        while self.carry(&|_| ()) {
            assert!(self.said.len() < 5_000, "they never stop");
        }
    }

    /// Carries on until a frame of this sort has been said so many times.
    fn until(&mut self, times: usize, is: fn(&Frame) -> bool) {
        while self.count(is) < times {
            assert!(
                self.carry(&|_| ()),
                "it was never said: {}",
                self.said.len()
            );
        }
    }

    fn count(&self, is: fn(&Frame) -> bool) -> usize {
        self.said.iter().filter(|(_, frame)| is(frame)).count()
    }

    /// Something was recorded on a side.
    fn changed(&mut self, side: usize, school: &School) {
        let ledgers = BTreeSet::from([school.ledger()]);
        self.sides[side].changed(&ledgers, Reach::AsBefore).unwrap();
        self.collect(side);
    }

    fn tick(&mut self) {
        for side in 0..2 {
            self.sides[side].tick().unwrap();
            self.collect(side);
        }
    }
}

const fn is_piece(frame: &Frame) -> bool {
    matches!(frame, Frame::Piece { .. })
}

const fn is_message(frame: &Frame) -> bool {
    matches!(frame, Frame::Message { .. })
}

/// Pieces of a file of so many bytes.
const fn pieces(of: usize) -> usize {
    of.div_ceil(FILE_PIECE_BYTES)
}

#[test]
fn marks_that_were_made_after_a_photograph_arrive_before_it() {
    let school = School::new(4);
    let (a, b) = (&school.instructor, &school.assistant);
    let picture = photograph(1_000_000, 1);
    let slate = keep(a, of_session(&school), &picture);
    for student in 0..4 {
        a.mark(&school, student, "mask-full", Mark::Met);
    }
    let mut wire = Wire::between(a, b);
    wire.run();
    assert_eq!(bytes(b, &school, &slate), FileHere::Whole(picture));
    let last_message = wire.said.iter().rposition(|(_, frame)| is_message(frame));
    let first_piece = wire.said.iter().position(|(_, frame)| is_piece(frame));
    assert!(last_message.unwrap() < first_piece.unwrap());
    assert_eq!(wire.count(is_piece), pieces(1_000_000));
    // Once it is there nothing more is said of it.
    let said = wire.said.len();
    wire.tick();
    wire.run();
    assert_eq!(wire.said.len(), said);
}

#[test]
fn a_mark_made_while_a_photograph_is_on_its_way_goes_first() {
    for marks_on in 0..2 {
        let school = School::new(2);
        let (a, b) = (&school.instructor, &school.assistant);
        let picture = photograph(2_000_000, 1);
        let slate = keep(a, of_session(&school), &picture);
        let mut wire = Wire::between(a, b);
        wire.until(3, is_piece);
        wire.devices[marks_on].mark(&school, 1, "mask-full", Mark::NotYet);
        let before = wire.said.len();
        wire.changed(marks_on, &school);
        wire.run();
        let since: Vec<&Frame> = wire.said[before..].iter().map(|(_, frame)| frame).collect();
        // The mark is said at once, and no piece until the other side has stored it.
        assert!(is_message(since[0]), "{:?}", since[0]);
        let stored = since
            .iter()
            .position(|frame| matches!(frame, Frame::Stored { .. }))
            .unwrap();
        let piece = since.iter().position(|frame| is_piece(frame)).unwrap();
        assert!(stored < piece, "{stored} {piece}");
        assert_eq!(bytes(b, &school, &slate), FileHere::Whole(picture));
        assert_eq!(
            wire.count(is_piece),
            pieces(2_000_000),
            "none was said twice"
        );
    }
}

#[test]
fn marks_of_one_meeting_wait_for_no_piece_of_a_photograph_of_five_megabytes() {
    const PICTURE: usize = 5 << 20;
    let school = School::new(4);
    let (a, b) = (&school.instructor, &school.assistant);
    let picture = photograph(PICTURE, 1);
    let slate = keep(a, of_session(&school), &picture);
    // Made after it, and not met yet.
    a.mark(&school, 0, "mask-full", Mark::Met);
    b.mark(&school, 1, "mask-full", Mark::NotYet);
    let entries = |device: &Device| device.desk.entries(&school.ledger()).unwrap();
    let level = |wire: &Wire<'_>| {
        let heads = |device: &Device| device.desk.heads(&school.ledger()).unwrap();
        heads(wire.devices[0]) == heads(wire.devices[1])
    };
    let mut wire = Wire::between(a, b);
    wire.until(1, is_piece);
    assert!(level(&wire), "a piece was said while marks were apart");
    println!("## Marks of either side, made while pieces go: at most one piece is before them");
    let mut overtaken = 0;
    for (round, (side, student)) in [(0, 2), (1, 3), (0, 1), (1, 0)].into_iter().enumerate() {
        wire.until(3 * (round + 1), is_piece);
        assert!(matches!(
            here(b, &school, &slate),
            AttachmentHere::OnItsWay { .. }
        ));
        let other = wire.devices[1 - side];
        let before = (entries(other), wire.count(is_piece));
        wire.devices[side].mark(&school, student, "mask-full", Mark::Nearly);
        wire.changed(side, &school);
        while entries(other) == before.0 {
            assert!(wire.carry(&|_| ()), "the mark was never carried");
        }
        assert_eq!(wire.count(is_piece), before.1, "a piece was said before it");
        overtaken += pieces(PICTURE) - before.1;
    }
    assert!(overtaken > 100, "{overtaken} pieces came after a mark");
    wire.run();
    assert!(level(&wire));
    assert_eq!(bytes(b, &school, &slate), FileHere::Whole(picture));
    assert_eq!(wire.count(is_piece), pieces(PICTURE), "none was said twice");
}

#[test]
fn a_meeting_that_breaks_off_goes_on_where_it_ended() {
    let mut school = School::new(1);
    let picture = photograph(1_500_000, 1);
    let slate = keep(&school.instructor, of_session(&school), &picture);
    {
        let mut wire = Wire::between(&school.instructor, &school.assistant);
        wire.until(6, is_piece);
    }
    let have = here(&school.assistant, &school, &slate);
    let bytes_of = |pieces: usize| u32::try_from(pieces * FILE_PIECE_BYTES).unwrap();
    let have = match have {
        AttachmentHere::OnItsWay { have } => have,
        other => panic!("{other:?}"),
    };
    assert_eq!(have, bytes_of(5), "the sixth was on the wire");
    school.assistant = school.assistant.reopen();
    let mut wire = Wire::between(&school.instructor, &school.assistant);
    wire.run();
    assert_eq!(wire.count(is_piece), pieces(1_500_000) - 5);
    let found = bytes(&school.assistant, &school, &slate);
    assert_eq!(found, FileHere::Whole(picture));
}

#[test]
fn wrong_bytes_are_dropped_and_whoever_gives_them_is_asked_for_no_more_that_day() {
    let school = School::new(1);
    let (a, b) = (&school.instructor, &school.assistant);
    let entries: Vec<_> = (0..5)
        .map(|n| keep(a, of_session(&school), &photograph(200_000 + n, 1)))
        .collect();
    let turn = |frame: &mut Frame| {
        if let Frame::Piece { at, bytes } = frame
            && at.from > 0
        {
            bytes[7] ^= 1;
        }
    };
    let mut wire = Wire::between(a, b);
    while wire.carry(&turn) {}
    wire.tick();
    while wire.carry(&turn) {}
    // Three files of two pieces, and not a fourth.
    assert_eq!(wire.count(is_piece), 6);
    assert_eq!(stored(b).1, 0, "nothing of them is left");
    for entry in &entries {
        let nothing = AttachmentHere::OnItsWay { have: 0 };
        assert_eq!(here(b, &school, entry), nothing);
    }
    println!("## Tomorrow, and from a sound wire, they come");
    b.stamps.shift(chrono::Duration::days(1));
    let mut wire = Wire::between(a, b);
    wire.run();
    for entry in &entries {
        assert_eq!(here(b, &school, entry), AttachmentHere::Whole);
    }
}

#[test]
fn a_piece_that_nobody_asked_for_is_passed_over_and_marks_go_on() {
    let school = School::new(1);
    let (a, b) = (&school.instructor, &school.assistant);
    let picture = photograph(400_000, 1);
    keep(a, of_session(&school), &picture);
    let mut wire = Wire::between(a, b);
    wire.until(1, is_piece);
    let piece = wire.said.iter().find(|(_, frame)| is_piece(frame)).unwrap();
    let Frame::Piece { at, bytes } = piece.1.clone() else {
        unreachable!()
    };
    let mut unasked = Vec::new();
    // Another file, another place, another ledger.
    let mut other = at;
    other.file.sha256 = Sha256Hex::of(b"another");
    unasked.push(other);
    other = at;
    other.from = 262_144;
    unasked.push(other);
    other = at;
    other.ledger = tallywater_core::course::LedgerId::Person(school.students[0]);
    unasked.push(other);
    for at in unasked {
        let bytes = bytes.clone();
        wire.sides[1].hear(Frame::Piece { at, bytes }).unwrap();
    }
    assert_eq!(stored(b), (0, 0));
    wire.run();
    assert_eq!(stored(b), (1, 400_000));
}

#[test]
fn a_hurt_photograph_is_sent_to_nobody_and_is_fetched_again() {
    let school = School::new(1);
    let (a, b) = (&school.instructor, &school.assistant);
    let picture = photograph(400_000, 1);
    let slate = keep(a, of_session(&school), &picture);
    hurt(a, 400_000);
    let mut wire = Wire::between(a, b);
    wire.run();
    assert_eq!(wire.count(is_piece), 0);
    assert_eq!(here(a, &school, &slate), AttachmentHere::Hurt);
    println!("## Somebody has it whole: both get it, and what was hurt is mended");
    let students = school.students.iter().copied().collect();
    keep(&school.shop, of_session(&school), &picture);
    meet(&school.shop, a);
    meet(&school.shop, b);
    assert_eq!(bytes(a, &school, &slate), FileHere::Hurt);
    for device in [a, b] {
        let mut wire = Wire::between(&school.shop, device);
        wire.run();
        assert_eq!(wire.count(is_piece), pieces(400_000));
        let found = bytes(device, &school, &slate);
        assert_eq!(found, FileHere::Whole(picture.clone()));
    }
    let file = a.desk.export_bundle(&school.course, &students);
    assert!(file.unwrap().len() > 400_000);
}

#[test]
fn a_photograph_goes_to_nobody_who_may_not_have_its_course() {
    let school = School::new(1);
    let picture = photograph(100_000, 1);
    keep(&school.shop, of_session(&school), &picture);
    let other = Device::new(77);
    admit(&school.shop, &other, "Ulf Brekke", Role::Instructor);
    let mut wire = Wire::between(&school.shop, &other);
    wire.run();
    let asked = Frame::Ask(tallywater_core::sync::FilePlace {
        ledger: school.ledger(),
        file: tallywater_core::sync::FileId {
            sha256: Sha256Hex::of(&picture),
            bytes: 100_000,
        },
        from: 0,
    });
    wire.sides[0].hear(asked).unwrap();
    wire.collect(0);
    let answer = &wire.said.last().unwrap().1;
    assert!(matches!(answer, Frame::Lacking { .. }), "{answer:?}");
    assert_eq!(wire.count(is_piece), 0);
}

#[test]
fn of_a_device_that_signs_for_more_than_a_day_has_no_more_is_fetched_that_day_and_it_is_named() {
    use tallywater_core::ledger::Mishap;
    let school = School::new(1);
    let (a, b) = (&school.instructor, &school.assistant);
    let first = keep(a, of_session(&school), &photograph(200_000, 1));
    let colleague = keep(&school.shop, of_session(&school), &photograph(300_000, 2));
    meet(&school.shop, a);
    // A gibibyte has come already, but for less than the photograph.
    let signer = a.desk.card().key;
    b.desk.fetched_for_faults(signer, (1 << 30) - 199_999);
    let mut wire = Wire::between(&school.shop, b);
    wire.run();
    let mut wire = Wire::between(a, b);
    wire.run();
    let nothing = AttachmentHere::OnItsWay { have: 0 };
    assert_eq!(here(b, &school, &first), nothing);
    // Nobody else waits for it: neither a colleague's photograph nor a mark.
    assert_eq!(here(b, &school, &colleague), AttachmentHere::Whole);
    a.mark(&school, 0, "mask-full", Mark::Met);
    wire.changed(0, &school);
    wire.run();
    let entries = |device: &Device| device.desk.entries(&school.ledger()).unwrap();
    assert_eq!(entries(a), entries(b));
    let noted = b.desk.mishaps_of(&school.ledger()).unwrap();
    let much = noted
        .iter()
        .find(|row| row.what == Mishap::TooMuch)
        .unwrap();
    assert_eq!((much.device, much.count), (Some(signer), 1));
    println!("## Tomorrow it goes on");
    b.stamps.shift(chrono::Duration::days(1));
    wire.tick();
    wire.run();
    assert_eq!(here(b, &school, &first), AttachmentHere::Whole);
}

struct Ear(Mutex<Vec<String>>);

impl Listener for Ear {
    fn changed(&self, change: &Change) {
        if change.from_elsewhere {
            let what = if change.cells.is_empty() {
                "file"
            } else {
                "mark"
            };
            self.0.lock().unwrap().push(what.to_owned());
        }
    }
}

#[test]
fn over_a_real_link_marks_pass_a_large_photograph() {
    let school = School::new(4);
    let sender = &school.instructor;
    let entries: Vec<_> = (0..4)
        .map(|n| keep(sender, of_session(&school), &photograph(8 << 20, n + 1)))
        .collect();
    meet(sender, &school.assistant);
    let ear = Arc::new(Ear(Mutex::default()));
    school.assistant.desk.listen(Arc::clone(&ear) as _);
    let instructor = go_online(&sender.desk);
    let assistant = go_online(&school.assistant.desk);
    instructor.look_at(&assistant);
    let begun = || {
        let rows = rows(&school.assistant, &school);
        rows.iter()
            .any(|row| matches!(row.here, AttachmentHere::OnItsWay { have } if have > 0))
    };
    until("the first piece", begun);
    let whole = || {
        let rows = rows(&school.assistant, &school);
        rows.iter()
            .filter(|row| row.here == AttachmentHere::Whole)
            .count()
    };
    let before = whole();
    for student in 0..4 {
        sender.mark(&school, student, "mask-full", Mark::Met);
    }
    until("the marks", || {
        let heard = ear.0.lock().unwrap();
        heard.iter().filter(|one| *one == "mark").count() > 0
            && school.assistant.desk.entries(&school.ledger()).unwrap()
                == sender.desk.entries(&school.ledger()).unwrap()
    });
    // 32 MB were not in the way: at most the one that was on its way has ended meanwhile.
    assert!(whole() <= before + 1, "{} of {}", whole(), entries.len());
    assert!(whole() < entries.len());
    until("every photograph", || whole() == entries.len());
    for (n, entry) in (1..).zip(&entries) {
        let found = bytes(&school.assistant, &school, entry);
        assert_eq!(found, FileHere::Whole(photograph(8 << 20, n)));
    }
}
