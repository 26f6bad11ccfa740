//! Realistic signed entries, the same every time: no clock, no chance.

use chrono::DateTime;
use tallywater_core::course::{CourseId, EntryId, LedgerId, SkillId, StaffId, StudentId};
use tallywater_core::entry::{Attempt, Body, Entry, Mark, Measured, Origin, write};
use tallywater_core::ledger::Ledger;
use tallywater_core::store::CellRow;
use tallywater_core::trust::SecretKey;
use uuid::Uuid;

/// 2026-06-02 08:00 UTC, a pool morning.
const MORNING: i64 = 1_780_387_200;

/// A device's key.
pub(crate) fn key(device: u8) -> SecretKey {
    SecretKey::from_seed(&[device; 32])
}

/// A course's ledger.
pub(crate) fn course(number: u64) -> LedgerId {
    LedgerId::Course(CourseId::new(uuid_7(0, number)))
}

/// The id of the n-th attempt that a device wrote into a ledger.
pub(crate) fn id_of(ledger: &LedgerId, device: u8, number: u64) -> EntryId {
    sealed(ledger, device, number).0
}

/// An id of an entry, of no content in particular.
pub(crate) fn entry_id(number: u64) -> EntryId {
    EntryId::new(uuid_7(1, number))
}

fn uuid_7(kind: u8, number: u64) -> Uuid {
    let millis = u64::try_from(MORNING).unwrap() * 1000 + number * 700;
    let mut chance = [kind; 10];
    chance[2..].copy_from_slice(&number.to_be_bytes());
    uuid::Builder::from_unix_timestamp_millis(millis, &chance).into_uuid()
}

/// One of eight students.
pub(crate) fn student(number: u64) -> StudentId {
    StudentId::new(uuid_7(2, number % 8))
}

/// One of forty skills.
pub(crate) fn skill(number: u64) -> SkillId {
    format!("skill-{}", number / 8 % 40).parse().unwrap()
}

/// The n-th attempt of a course, as a device would write it.
pub(crate) fn attempt(number: u64) -> Entry {
    let seconds = MORNING + i64::try_from(number).unwrap();
    Entry {
        id: entry_id(number),
        at: DateTime::from_timestamp(seconds, 0).unwrap().fixed_offset(),
        by: StaffId::new(uuid_7(3, 1)),
        after: (number > 320)
            .then(|| entry_id(number - 320))
            .into_iter()
            .collect(),
        body: Body::Attempt(Attempt {
            student: student(number),
            skill: skill(number),
            method: None,
            mark: if number.is_multiple_of(5) {
                Mark::Nearly
            } else {
                Mark::Met
            },
            measured: vec![Measured::Seconds(60)],
            slips: Vec::new(),
            note: number
                .is_multiple_of(7)
                .then(|| "calm, and looked up too early".into()),
            despite: None,
            session: None,
            origin: Origin::Live,
        }),
    }
}

/// The n-th attempt, signed by a device: its id and bytes.
pub(crate) fn sealed(ledger: &LedgerId, device: u8, number: u64) -> (EntryId, Vec<u8>) {
    sealed_by(&key(device), ledger, number)
}

/// The same by a key that is at hand, as a device has its own.
pub(crate) fn sealed_by(key: &SecretKey, ledger: &LedgerId, number: u64) -> (EntryId, Vec<u8>) {
    let entry = attempt(number);
    let payload = write(&entry).unwrap();
    key.seal(ledger, None, &payload)
}

/// Adds the n-th attempt, signed by a device, and returns the change to store.
pub(crate) fn add(ledger: &mut Ledger, device: u8, number: u64) -> ([u8; 32], Vec<u8>) {
    let (_, bytes) = sealed(ledger.id(), device, number);
    let added = ledger.add(&bytes).unwrap();
    (added.hash, added.change)
}

/// A ledger opened by a device.
pub(crate) fn ledger(id: LedgerId, device: u8) -> Ledger {
    Ledger::new(id, [device; 16]).unwrap()
}

/// The cell that the n-th attempt is about.
pub(crate) fn cell(number: u64) -> CellRow {
    CellRow {
        student: student(number),
        skill: skill(number),
        state: "met".into(),
        detail: format!("{{\"tries\":{number}}}"),
    }
}
