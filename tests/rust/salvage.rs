//! A damaged store is refused, loudly and untouched; what is done about it deletes nothing; and
//! whatever is still whole in it comes back, and nothing false.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use tallywater_core::course::{EntryId, LedgerId};
use tallywater_core::desk::{Desk, DeskError, FileKeyStore, KeyStore, Rescue};
use tallywater_core::entry::Mark;
use tallywater_core::ledger::{Ledger, gather};
use tallywater_core::store::{Hurt, Store, StoreError, search};
use tempfile::TempDir;

use crate::support::devices::{School, meet, open_desk};
use crate::support::stamps::SetStamps;

const FILE: &str = "tallywater.db";

fn keys(folder: &Path) -> Box<dyn KeyStore> {
    Box::new(FileKeyStore::new(&folder.join("keys")))
}

/// Everything in a folder, byte for byte.
fn contents(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(contents(&path));
        } else if path.file_name().unwrap() != "in-use" {
            found.insert(path.clone(), std::fs::read(&path).unwrap());
        }
    }
    found
}

fn every_entry(desk: &Desk) -> BTreeMap<(LedgerId, EntryId), Vec<u8>> {
    let mut all = BTreeMap::new();
    for id in desk.ledgers().unwrap() {
        let bytes = desk.save_ledger(&id).unwrap();
        let ledger = Ledger::load_foreign([1; 16], &bytes).unwrap();
        for entry in ledger.lines().keys() {
            all.insert((id, *entry), ledger.bytes_of(entry).unwrap());
        }
    }
    all
}

/// Every entry that a device holds, by ledger and id.
type Everything = BTreeMap<(LedgerId, EntryId), Vec<u8>>;

/// A tablet that was used and is switched off: its folder, its clock, what it held.
fn used() -> (School, TempDir, SetStamps, Everything) {
    let mut school = School::new(3);
    for round in 0..4 {
        for (student, skill) in [(0, "mask-full"), (1, "reg-clear"), (2, "mask-part")] {
            let mark = if round % 2 == 0 {
                Mark::NotYet
            } else {
                Mark::Nearly
            };
            school.instructor.mark(&school, student, skill, mark);
        }
    }
    let held = every_entry(&school.instructor.desk);
    let folder = std::mem::replace(
        &mut school.instructor,
        crate::support::devices::Device::new(99),
    );
    let crate::support::devices::Device { desk, folder, .. } = folder;
    drop(desk);
    let stamps = SetStamps::new("2026-06-06T19:00:00+02:00", 77);
    (school, folder, stamps, held)
}

fn how(error: DeskError) -> Hurt {
    match error {
        DeskError::Store(StoreError::Hurt { how }) => how,
        other => panic!("{other}"),
    }
}

#[test]
fn a_damaged_store_is_refused_and_nothing_is_moved_or_made() {
    let (_school, folder, stamps, _) = used();
    let stamps = std::sync::Arc::new(stamps);
    let file = folder.path().join(FILE);
    let whole = std::fs::read(&file).unwrap();
    let mut header = whole.clone();
    header[..100].fill(0x2a);
    let mut pages = whole.clone();
    let middle = pages.len() / 2;
    pages[4096..middle].fill(0x2a);
    let cases: [(&str, Option<Vec<u8>>, Hurt); 5] = [
        ("header", Some(header), Hurt::Content),
        (
            "cut short",
            Some(whole[..whole.len() / 2].to_vec()),
            Hurt::Short,
        ),
        ("empty", Some(Vec::new()), Hurt::Gone),
        ("gone", None, Hurt::Gone),
        ("pages", Some(pages), Hurt::Content),
    ];
    for (what, bytes, expected) in cases {
        match &bytes {
            Some(bytes) => std::fs::write(&file, bytes).unwrap(),
            None => std::fs::remove_file(&file).unwrap(),
        }
        let before = contents(folder.path());
        let error = open_desk(folder.path(), &stamps).err();
        let error = error.unwrap_or_else(|| panic!("{what}: it was opened"));
        assert_eq!(how(error), expected, "{what}");
        assert_eq!(contents(folder.path()), before, "{what}");
    }
    std::fs::write(&file, &whole).unwrap();
    assert!(open_desk(folder.path(), &stamps).is_ok());
}

#[test]
fn the_last_backup_is_taken_and_what_can_be_read_is_added() {
    let (_school, folder, stamps, held) = used();
    let stamps = std::sync::Arc::new(stamps);
    let desk = open_desk(folder.path(), &stamps).unwrap();
    desk.keep_backup().unwrap();
    drop(desk);
    let file = folder.path().join(FILE);
    let mut bytes = std::fs::read(&file).unwrap();
    bytes[..100].fill(0);
    std::fs::write(&file, &bytes).unwrap();

    let rescue = Rescue::begin(folder.path(), keys(folder.path()).as_ref()).unwrap();
    assert_eq!(rescue.how(), Hurt::Content);
    let readable = rescue.readable().unwrap();
    assert_eq!(readable.shop.as_deref(), Some("Grebe Hollow Divers"));
    assert_eq!(readable.courses, [Some("First dives, June".to_owned())]);
    assert!(readable.entries > 20 && readable.latest.is_some());
    let backups = rescue.backups();
    assert_eq!(backups.len(), 1);
    assert!(backups[0].holds.unwrap().entries > 20);
    // No other program may open the folder meanwhile.
    assert!(matches!(
        open_desk(folder.path(), &stamps).err(),
        Some(DeskError::Store(StoreError::Locked { .. }))
    ));
    let aside = rescue.take_backup(&backups[0].generation.file).unwrap();
    drop(rescue);
    assert_eq!(std::fs::read(&aside).unwrap(), bytes, "kept, byte for byte");
    let desk = open_desk(folder.path(), &stamps).unwrap();
    assert_eq!(desk.set_aside(), std::slice::from_ref(&aside));
    desk.take_salvage(&aside).unwrap();
    assert_eq!(every_entry(&desk), held);
    assert!(desk.check().unwrap().is_sound());
}

#[test]
fn a_tablet_begins_anew_with_its_own_keys_and_the_rest_comes_from_the_others() {
    let (school, folder, stamps, held) = used();
    let stamps = std::sync::Arc::new(stamps);
    let file = folder.path().join(FILE);
    let bytes = std::fs::read(&file).unwrap();
    // Only its second half is left.
    let half = bytes.len() / 2;
    std::fs::write(&file, &bytes[half..]).unwrap();
    let rescue = Rescue::begin(folder.path(), keys(folder.path()).as_ref()).unwrap();
    let aside = rescue.begin_anew(keys(folder.path()).as_ref()).unwrap();
    drop(rescue);
    assert_eq!(std::fs::read(&aside).unwrap(), &bytes[half..]);
    let desk = open_desk(folder.path(), &stamps).unwrap();
    if desk.shop_root().is_none() {
        // It pairs once more: the shop's book says that it is admitted already.
        let root = school.shop.desk.shop_root().unwrap();
        desk.join_shop(root, &school.shop.desk.shop_ledger().unwrap())
            .unwrap();
    }
    assert!(desk.me().is_some(), "the same keys, so the same device");
    desk.take_salvage(&aside).unwrap();
    let device = crate::support::devices::Device {
        desk: std::sync::Arc::new(desk),
        stamps: std::sync::Arc::new(SetStamps::new("2026-06-06T20:00:00+02:00", 78)),
        folder,
    };
    meet(&school.shop, &device);
    let now = every_entry(&device.desk);
    for (key, bytes) in &now {
        assert_eq!(held.get(key).unwrap_or(bytes), bytes, "{key:?} is another");
    }
    // All that the shop had is here again.
    let shop = every_entry(&school.shop.desk);
    assert!(shop.keys().all(|key| now.contains_key(key)));
}

#[test]
fn a_backup_that_cannot_be_read_is_not_taken() {
    let (_school, folder, _, _) = used();
    let file = folder.path().join(FILE);
    std::fs::write(&file, b"").unwrap();
    let bad = folder.path().join("bad.db");
    std::fs::write(&bad, b"no backup").unwrap();
    let rescue = Rescue::begin(folder.path(), keys(folder.path()).as_ref()).unwrap();
    let before = contents(folder.path());
    assert!(rescue.take_backup(&bad).is_err());
    assert_eq!(contents(folder.path()), before);
}

#[test]
fn a_backup_is_opened_before_it_is_called_one_and_kept_in_generations() {
    let (_school, folder, stamps, held) = used();
    let stamps = std::sync::Arc::new(stamps);
    let desk = open_desk(folder.path(), &stamps).unwrap();
    let cared = desk.look_after().unwrap();
    assert!(cared.checked.unwrap().is_sound());
    assert_eq!(cared.backed_up.unwrap().entries, held.len());
    // Not due again today, due tomorrow; the check a week later.
    assert_eq!(desk.look_after().unwrap(), Default::default());
    for day in 1..=30 {
        stamps.shift(chrono::Duration::days(1));
        let cared = desk.look_after().unwrap();
        assert!(cared.backed_up.is_some());
        assert_eq!(cared.checked.is_some(), day % 7 == 0, "day {day}");
    }
    let kept = desk.generations().unwrap();
    assert!((8..=24).contains(&kept.len()), "{}", kept.len());
    for one in &kept {
        assert_eq!(Store::try_out(&one.file).unwrap().entries, held.len());
    }
    assert_eq!(desk.last_cared().unwrap().0, Some(kept[0].day));
}

#[test]
fn a_backup_from_before_somebody_was_forgotten_goes_with_the_next() {
    let school = School::new(2);
    let desk = &school.shop.desk;
    desk.keep_backup().unwrap();
    school.shop.stamps.shift(chrono::Duration::days(1));
    desk.keep_backup().unwrap();
    school.shop.record(tallywater_core::desk::Request::Forget {
        student: school.students[0],
        why: "asked to be".into(),
    });
    assert_eq!(desk.generations().unwrap().len(), 2);
    school.shop.stamps.shift(chrono::Duration::days(1));
    desk.keep_backup().unwrap();
    let kept = desk.generations().unwrap();
    assert_eq!(kept.len(), 1);
    let person = LedgerId::Person(school.students[0]);
    let bytes = std::fs::read(&kept[0].file).unwrap();
    let name = crate::support::devices::NAMES[0].as_bytes();
    assert!(!bytes.windows(name.len()).any(|part| part == name));
    assert!(
        !Store::look_at(&kept[0].file)
            .unwrap()
            .holds(&person)
            .unwrap()
    );
}

#[test]
fn a_check_finds_a_changed_signature_and_a_hurt_page() {
    let (_school, folder, stamps, held) = used();
    let stamps = std::sync::Arc::new(stamps);
    let desk = open_desk(folder.path(), &stamps).unwrap();
    let found = desk.check().unwrap();
    assert_eq!((found.entries, found.is_sound()), (held.len(), true));
    drop(desk);
    let file = folder.path().join(FILE);
    let mut bytes = std::fs::read(&file).unwrap();
    // Inside a name in an entry: the page's own lists stay in order.
    let name = b"mask-full";
    let at = bytes.windows(name.len()).rposition(|part| part == name);
    bytes[at.unwrap()] = b'b';
    std::fs::write(&file, &bytes).unwrap();
    match open_desk(folder.path(), &stamps) {
        Ok(desk) => assert!(!desk.check().unwrap().is_sound()),
        Err(error) => assert!(!error.to_string().is_empty()),
    }
}

/// Fair enough, and the same every time.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % u64::try_from(below.max(1)).unwrap()).unwrap()
    }
}

fn hurt(bytes: &mut Vec<u8>, dice: &mut Dice) {
    for _ in 0..=dice.roll(3) {
        let length = bytes.len();
        match dice.roll(6) {
            0 => (0..=dice.roll(40)).for_each(|_| {
                let at = dice.roll(length);
                bytes[at] ^= 1 << dice.roll(8);
            }),
            1 => bytes[..100.min(length)].fill(0x2a),
            2 => bytes.truncate(length / 4 + dice.roll(length * 3 / 4)),
            3 => {
                let (from, size) = (dice.roll(length), dice.roll(20_000));
                let to = (from + size).min(length);
                bytes[from..to].fill(0);
            }
            4 => {
                // A page of the file lies where another belongs.
                let (a, b) = (dice.roll(length / 4096), dice.roll(length / 4096));
                let page = bytes[a * 4096..(a + 1) * 4096].to_vec();
                bytes[b * 4096..(b + 1) * 4096].copy_from_slice(&page);
            }
            _ => {
                let (at, size) = (dice.roll(length), dice.roll(3_000));
                let to = (at + size).min(length);
                bytes[at..to].reverse();
            }
        }
    }
}

#[test]
fn of_five_hundred_hurt_stores_every_whole_change_comes_back_and_nothing_false() {
    let rounds: u64 = crate::support::asked("SALVAGE_STORES", 500);
    let (_school, folder, stamps, held) = used();
    drop(open_desk(folder.path(), &std::sync::Arc::new(stamps)).unwrap());
    let whole = std::fs::read(folder.path().join(FILE)).unwrap();
    // Where each entry's own bytes lie in the file of a sound store, where they lie in one piece.
    let places: BTreeMap<(LedgerId, EntryId), usize> = held
        .iter()
        .filter_map(|(key, bytes)| {
            let at = whole.windows(bytes.len()).position(|part| part == bytes);
            Some((*key, at?))
        })
        .collect();
    let place = TempDir::new().unwrap();
    let file = place.path().join(FILE);
    let (mut back, mut lost, mut missed, mut nameless) = (0_usize, 0_usize, 0_usize, 0_usize);
    for round in 1..=rounds {
        let mut dice = Dice(round.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        let mut bytes = whole.clone();
        hurt(&mut bytes, &mut dice);
        std::fs::write(&file, &bytes).unwrap();
        let found = search(&file).unwrap();
        let mut number = 0_u8;
        let mut actor = || {
            number += 1;
            Some([number; 16])
        };
        let gathered = gather(&found.ledgers, found.pieces, &mut actor).unwrap();
        let mut seen: BTreeSet<(LedgerId, EntryId)> = BTreeSet::new();
        for (id, salvaged) in &gathered.ledgers {
            for (entry, line) in salvaged.ledger.lines() {
                assert!(line.signed);
                let bytes = salvaged.ledger.bytes_of(entry).unwrap();
                let key = (*id, *entry);
                assert_eq!(held.get(&key), Some(&bytes), "round {round}: false {key:?}");
                seen.insert(key);
            }
        }
        back += seen.len();
        lost += held.len() - seen.len();
        // What lies whole in the file, with the change around it, must have come back, if any
        // name of its ledger was left to judge it by.
        for ((id, entry), at) in &places {
            let bytes_of = &held[&(*id, *entry)];
            let lies = bytes.get(*at..at + bytes_of.len()) == Some(bytes_of.as_slice());
            if lies && !seen.contains(&(*id, *entry)) {
                if gathered.ledgers.contains_key(id) {
                    missed += 1;
                } else {
                    nameless += 1;
                }
            }
        }
    }
    let of = back + lost;
    println!(
        "{rounds} hurt stores: {back} of {of} entries came back; of those that lie whole in the \
         file {missed} did not, and {nameless} of ledgers of which no name is left"
    );
    assert!(back * 2 > of, "{back} of {of}");
    assert!(
        missed * 50 < of,
        "{missed} of {of} lay whole and did not come back"
    );
}
