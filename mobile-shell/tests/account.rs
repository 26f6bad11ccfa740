//! The folder of a device among the accounts of a machine.

use tallywater::account::{is_ours, make, rights};
use tempfile::TempDir;

#[test]
fn a_folder_that_holds_somebodys_own_keeps_the_rights_it_has() {
    let folder = TempDir::new().unwrap();
    let at = |name: &str| folder.path().join(name);
    assert!(is_ours(&at("not there yet")));
    let empty = at("Tauchschule Größe");
    make(&empty).unwrap();
    assert!(empty.is_dir() && is_ours(&empty));
    std::fs::write(empty.join("holiday.jpg"), "").unwrap();
    assert!(!is_ours(&empty));
    // A device's own, whatever else was put beside it.
    std::fs::write(empty.join("tallywater.db"), "").unwrap();
    assert!(is_ours(&empty));
    std::fs::create_dir_all(at("other/keys")).unwrap();
    assert!(is_ours(&at("other")));
    // A file is no folder of ours.
    std::fs::write(at("file"), "x").unwrap();
    assert!(!is_ours(&at("file")));
    assert!(make(&at("file")).is_err());
}

#[test]
fn the_account_and_the_system_may_and_nobody_else() {
    let asked = rights(Some("SCHULE-PC"), "Jördis M");
    assert_eq!(
        asked,
        [
            "/inheritance:r",
            "/grant:r",
            "SCHULE-PC\\Jördis M:(OI)(CI)F",
            "*S-1-5-18:(OI)(CI)F"
        ]
    );
    assert_eq!(rights(None, "office")[2], "office:(OI)(CI)F");
}
