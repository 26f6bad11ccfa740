//! A device's data is checked, and what is hurt is looked at, put right from a backup or begun
//! anew, by commands alone.

use std::path::Path;

use crate::json::against_the_page;
use crate::support::{SHOP, done, err, out, own_school, path, refused, tallywater};

/// The number before these words.
fn number(said: &str, words: &str) -> u32 {
    let at = said
        .find(words)
        .unwrap_or_else(|| panic!("{words}: {said}"));
    let before = said[..at].trim_end().rsplit([' ', '\n']).next().unwrap();
    before
        .parse()
        .unwrap_or_else(|_| panic!("{before}: {said}"))
}

/// Cuts a device's store short, as a disk that was full or pulled out leaves it.
fn cut(within: &Path, device: &str) -> Vec<u8> {
    let store = within.join(device).join("tallywater.db");
    let bytes = std::fs::read(&store).unwrap();
    let half = bytes[..bytes.len() / 2].to_vec();
    std::fs::write(&store, &half).unwrap();
    half
}

#[test]
fn a_sound_device_is_said_to_be_sound_and_its_backup_is_read_back() {
    let own = own_school();
    let said = done(own.path(), &["check", SHOP, "--backup"]);
    let entries = number(&said, "entries in");
    assert!(entries > 100, "{said}");
    assert!(said.contains("The data is sound."), "{said}");
    assert_eq!(
        number(&said, "entries\n"),
        entries,
        "the backup has all: {said}"
    );
    assert_eq!(number(&said, "scheduled backups"), 1, "{said}");
    let elsewhere = path(&own, "stick");
    std::fs::create_dir(&elsewhere).unwrap();
    let folder = elsewhere.to_str().unwrap();
    let said = done(
        own.path(),
        &["check", SHOP, "--backups-in", folder, "--backup"],
    );
    assert!(said.contains(folder), "{said}");
    assert!(std::fs::read_dir(&elsewhere).unwrap().next().is_some());
}

#[test]
fn a_hurt_page_is_found_and_fails_the_check() {
    let own = own_school();
    let store = path(&own, SHOP).join("tallywater.db");
    let mut bytes = std::fs::read(&store).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle..middle + 4_096].fill(0x5a);
    std::fs::write(&store, &bytes).unwrap();
    let ran = tallywater(own.path(), &["check", SHOP]);
    let said = out(&ran) + &err(&ran);
    assert!(matches!(ran.status.code(), Some(1 | 5)), "{said}");
    assert!(said.to_lowercase().contains("damaged"), "{said}");
}

#[test]
fn a_damaged_store_stops_everything_until_a_backup_is_taken() {
    let own = own_school();
    let within = own.path();
    let said = done(within, &["check", SHOP, "--backup"]);
    let entries = number(&said, "entries in");
    let half = cut(within, SHOP);
    for args in [&["today", SHOP][..], &["check", SHOP], &["status", SHOP]] {
        let said = refused(within, args, 5);
        assert!(said.contains("rescue look"), "{args:?}: {said}");
    }
    let store = path(&own, SHOP).join("tallywater.db");
    assert_eq!(std::fs::read(&store).unwrap(), half, "nothing was changed");
    let said = done(within, &["rescue", "look", SHOP]);
    assert!(
        said.contains("Damaged") && said.contains("Readable"),
        "{said}"
    );
    assert!(
        said.contains(&format!("{entries} entries")),
        "the backup: {said}"
    );
    assert_eq!(
        std::fs::read(&store).unwrap(),
        half,
        "looking changes nothing"
    );
    let json = done(within, &["rescue", "look", SHOP, "--json"]);
    let (unknown, _) = against_the_page(&json);
    assert!(unknown.is_empty(), "{unknown:?}");
    let said = done(within, &["rescue", "backup", SHOP]);
    assert!(said.contains("The backup is in place."), "{said}");
    let aside = path(&own, SHOP).join("damaged-1").join("tallywater.db");
    assert_eq!(std::fs::read(aside).unwrap(), half, "set aside whole");
    let said = done(within, &["check", SHOP]);
    assert!(said.contains("The data is sound."), "{said}");
    assert_eq!(number(&said, "entries in"), entries, "{said}");
    done(within, &["today", SHOP]);
    // And what lies aside may be read once more; nothing of it is new.
    let said = done(within, &["rescue", "salvage", SHOP]);
    assert!(said.contains(" 0 of them new"), "{said}");
    let json = done(within, &["rescue", "salvage", SHOP, "--json"]);
    assert_eq!(against_the_page(&json), (Vec::new(), Vec::new()));
    refused(within, &["rescue", "look", SHOP], 3);
}

#[test]
fn a_damaged_store_is_begun_anew_with_what_can_be_read() {
    let own = own_school();
    let within = own.path();
    cut(within, SHOP);
    let said = done(within, &["rescue", "anew", SHOP]);
    assert!(
        said.contains("come from the other devices") || said.contains("comes from"),
        "{said}"
    );
    let said = done(within, &["check", SHOP]);
    assert!(said.contains("The data is sound."), "{said}");
    refused(within, &["rescue", "backup", SHOP, "not-there.db"], 3);
}

#[test]
fn what_is_no_folder_is_said_to_be_not_there() {
    let own = own_school();
    let within = own.path();
    std::fs::write(within.join("sheet.csv"), "a,b").unwrap();
    for args in [
        &["rescue", "look", "sheet.csv"][..],
        &["rescue", "backup", "sheet.csv"],
        &["rescue", "anew", "nowhere"],
        &["check", SHOP, "--backups-in", "no-stick"],
    ] {
        let said = refused(within, args, 3);
        assert!(said.contains("folder"), "{args:?}: {said}");
        assert!(!said.contains("os error"), "{args:?}: {said}");
    }
    let german = refused(within, &["rescue", "look", SHOP, "--language", "de"], 3);
    assert!(german.contains("Schaden"), "{german}");
}
