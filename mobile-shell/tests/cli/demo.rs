//! The demo: what is asked of it wrongly is refused before anything is built.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

use crate::json::against_the_page;
use crate::support::{done, err, folder, out, own_school, refused};

/// Builds the demo where there is no display; answers what was said.
fn without_a_display(within: &Path, args: &[&str]) -> String {
    crate::midday::keep();
    let ran = Command::new(env!("CARGO_BIN_EXE_tallywater"))
        .args(args)
        .current_dir(within)
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .output()
        .unwrap();
    assert!(ran.status.success(), "{}{}", out(&ran), err(&ran));
    out(&ran)
}

fn pictures(folder: &Path) -> usize {
    std::fs::read_dir(folder).unwrap().count()
}

#[test]
fn without_a_display_every_screen_is_drawn_once_and_the_day_is_said() {
    let within = folder();
    let said = without_a_display(within.path(), &["demo", "school"]);
    let drawn = pictures(&within.path().join("school/pictures"));
    assert!((40..100).contains(&drawn), "{drawn}");
    for part in ["instructor's tablet", "Today", &format!("{drawn} pictures")] {
        assert!(said.contains(part), "{part} in {said}");
    }
}

#[test]
fn a_program_is_answered_with_one_value_and_no_line_beside_it() {
    let within = folder();
    let within = within.path();
    let said = without_a_display(within, &["demo", "school", "--json"]);
    assert_eq!(against_the_page(&said), (Vec::new(), Vec::new()), "{said}");
    let answer: Value = serde_json::from_str(&said).unwrap();
    assert_eq!(answer["answer"], "demo");
    let value = &answer["value"];
    for device in ["shop", "instructor", "assistant"] {
        let folder = value[device].as_str().unwrap();
        assert!(within.join(folder).join("tallywater.db").is_file());
    }
    let drawn = within.join(value["pictures"]["folder"].as_str().unwrap());
    assert_eq!(value["pictures"]["count"], pictures(&drawn));
    let course = value["courses"][0].as_str().unwrap();
    done(within, &["board", "school/instructor", course]);
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
