//! What the Android package asks for and what it lets go: read from its manifest as it is
//! packed, since no machine here runs it.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../mobile-shell/android")
}

/// Every element of a file with its attributes, in order.
fn elements(file: &str) -> Vec<(String, Vec<(String, String)>)> {
    let text = std::fs::read_to_string(folder().join(file)).expect(file);
    let mut reader = Reader::from_str(&text);
    let mut found = Vec::new();
    loop {
        match reader.read_event().expect("well formed") {
            Event::Start(tag) | Event::Empty(tag) => found.push(element(&tag)),
            Event::Eof => return found,
            _ => {}
        }
    }
}

fn element(tag: &BytesStart<'_>) -> (String, Vec<(String, String)>) {
    let all = tag.attributes().map(|one| {
        let one = one.expect("an attribute");
        (one.key.as_ref().to_owned(), one.value.into_owned())
    });
    (tag.name().as_ref().to_owned(), all.collect())
}

fn value(of: &[(String, String)], name: &str) -> Option<String> {
    let found = of.iter().find(|(key, _)| key == name);
    found.map(|(_, value)| value.clone())
}

#[test]
fn neither_a_backup_nor_a_move_takes_keys_or_store_along() {
    let manifest = elements("AndroidManifest.xml");
    let (_, app) = manifest
        .iter()
        .find(|(name, _)| name == "application")
        .expect("an application");
    let said = |name: &str| value(app, name).unwrap_or_default();
    assert_eq!(said("android:allowBackup"), "false");
    assert_eq!(said("android:fullBackupContent"), "@xml/no_backup");
    assert_eq!(said("android:dataExtractionRules"), "@xml/no_extraction");
    let all = ["root", "file", "database", "sharedpref", "external"];
    for (file, parts) in [
        ("res/xml/no_backup.xml", vec!["full-backup-content"]),
        (
            "res/xml/no_extraction.xml",
            vec!["cloud-backup", "device-transfer"],
        ),
    ] {
        let rules = elements(file);
        assert!(rules.iter().all(|(name, _)| name != "include"), "{file}");
        for part in parts {
            let from = rules.iter().position(|(name, _)| name == part).expect(part);
            let left_out: Vec<String> = rules[from + 1..]
                .iter()
                .take_while(|(name, _)| name == "exclude")
                .map(|(_, of)| {
                    assert_eq!(value(of, "path").as_deref(), Some("."), "{file}");
                    value(of, "domain").expect("a domain")
                })
                .collect();
            assert_eq!(left_out, all, "{file}, {part}");
        }
    }
}

#[test]
fn it_asks_for_the_network_and_nothing_else() {
    let asked: BTreeSet<String> = elements("AndroidManifest.xml")
        .iter()
        .filter(|(name, _)| name.starts_with("uses-permission"))
        .map(|(_, of)| value(of, "android:name").expect("a name"))
        .collect();
    let network = [
        "android.permission.ACCESS_NETWORK_STATE",
        "android.permission.ACCESS_WIFI_STATE",
        "android.permission.CHANGE_WIFI_MULTICAST_STATE",
        "android.permission.INTERNET",
    ];
    assert_eq!(asked, network.map(str::to_owned).into());
}

#[test]
fn a_turn_a_keyboard_or_a_larger_text_ends_no_activity() {
    let manifest = elements("AndroidManifest.xml");
    let (_, activity) = manifest
        .iter()
        .find(|(name, _)| name == "activity")
        .expect("an activity");
    let follows = value(activity, "android:configChanges").expect("what it follows");
    for change in [
        "orientation",
        "keyboardHidden",
        "screenSize",
        "density",
        "fontScale",
    ] {
        assert!(follows.split('|').any(|one| one == change), "{change}");
    }
    let keyboard = value(activity, "android:windowSoftInputMode");
    assert_eq!(keyboard.as_deref(), Some("adjustResize"));
    let library = manifest.iter().find(|(name, _)| name == "meta-data");
    let library = library.and_then(|(_, of)| value(of, "android:value"));
    assert_eq!(
        library.as_deref(),
        Some("tallywater"),
        "the library it loads"
    );
}

#[test]
fn its_version_is_the_programs_own() {
    let manifest = elements("AndroidManifest.xml");
    let version = value(&manifest[0].1, "android:versionName");
    assert_eq!(version.as_deref(), Some(env!("CARGO_PKG_VERSION")));
}
