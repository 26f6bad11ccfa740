//! The demo: what is asked of it wrongly is refused before anything is built.

use std::process::Command;

use crate::support::{err, folder, out, own_school, refused};

#[test]
fn without_a_display_every_screen_is_drawn_and_the_day_is_said() {
    let within = folder();
    crate::midday::keep();
    let ran = Command::new(env!("CARGO_BIN_EXE_tallywater"))
        .args(["demo", "school"])
        .current_dir(within.path())
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .output()
        .unwrap();
    assert!(ran.status.success(), "{}{}", out(&ran), err(&ran));
    let drawn = std::fs::read_dir(within.path().join("school/pictures")).unwrap();
    let drawn = drawn.count();
    assert!(drawn > 40, "{drawn}");
    let said = out(&ran);
    for part in ["instructor's tablet", "Today", &format!("{drawn} pictures")] {
        assert!(said.contains(part), "{part} in {said}");
    }
}

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
