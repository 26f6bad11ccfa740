//! The demo: what is asked of it wrongly is refused before anything is built.

use crate::support::{own_school, refused};

#[test]
fn pictures_stand_for_nothing_that_is_there_and_lie_in_no_devices_folder() {
    let own = own_school();
    let within = own.path();
    std::fs::create_dir(within.join("there")).unwrap();
    std::fs::write(within.join("there/today.png"), b"mine").unwrap();
    for (into, says) in [
        ("there", "is not empty"),
        ("school/shop", "device's folder"),
        ("school/shop/pictures", "device's folder"),
    ] {
        let said = refused(within, &["demo", "anew", "--pictures", into], 4);
        assert!(said.contains(says), "{into}: {said}");
        assert!(!within.join("anew").exists(), "{into}");
    }
    assert_eq!(
        std::fs::read(within.join("there/today.png")).unwrap(),
        b"mine"
    );
    let said = refused(within, &["demo", "anew", "--text", "110"], 2);
    assert!(said.contains("150"), "{said}");
    assert!(!within.join("anew").exists());
}
