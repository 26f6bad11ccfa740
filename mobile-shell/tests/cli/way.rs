//! From an empty folder to a completed, printed, closed course: the script of the README, run
//! as it stands there, in both languages.

use std::path::Path;
use std::process::{Command, Output};

use crate::midday;
use crate::support::{err, folder, out, tool};

/// The first script after this heading of the README.
fn script(heading: &str) -> String {
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("../README.md");
    let text = std::fs::read_to_string(readme).unwrap();
    let after = text.split(heading).nth(1);
    let after = after.unwrap_or_else(|| panic!("the README has no part {heading}"));
    let script = after.split("```sh\n").nth(1).unwrap();
    script.split("```").next().unwrap().to_owned()
}

fn play(within: &Path, script: &str, language: &str) -> Output {
    midday::keep();
    let program = Path::new(env!("CARGO_BIN_EXE_tallywater"));
    let path = format!(
        "{}:{}",
        program.parent().unwrap().display(),
        std::env::var("PATH").unwrap()
    );
    let ran = Command::new("bash")
        .args(["-euo", "pipefail", "-c", script])
        .current_dir(within)
        .env("PATH", path)
        .env("LC_ALL", language)
        .output()
        .unwrap();
    assert!(ran.status.success(), "{}{}", out(&ran), err(&ran));
    ran
}

fn is_complete(within: &Path) {
    let record = within.join("records");
    let files: Vec<_> = std::fs::read_dir(&record)
        .unwrap()
        .map(|one| one.unwrap().path())
        .collect();
    assert_eq!(files.len(), 2, "{files:?}");
    for file in &files {
        tool("qpdf", &["--check", file.to_str().unwrap()]);
    }
    let courses = play(within, "tallywater course list tablet --json", "C");
    let courses: serde_json::Value = serde_json::from_slice(&courses.stdout).unwrap();
    assert_eq!(courses["value"]["courses"][0]["stage"], "closed");
    let students = play(within, "tallywater student list tablet --json", "C");
    let students: serde_json::Value = serde_json::from_slice(&students.stdout).unwrap();
    for student in students["value"]["students"].as_array().unwrap() {
        assert_eq!(student["record"]["outcome"], "completed", "{student}");
    }
}

#[test]
fn the_readmes_script_goes_from_an_empty_folder_to_a_completed_record() {
    let within = folder();
    let script = script("## By commands alone");
    let said = out(&play(within.path(), &script, "C"));
    assert!(said.contains("Yes: the fingerprint is of"), "{said}");
    assert!(said.contains("The course is closed."), "{said}");
    is_complete(within.path());
}

#[test]
fn the_same_script_goes_the_same_way_in_german() {
    let within = folder();
    let script = script("## By commands alone");
    let said = out(&play(within.path(), &script, "de_DE.UTF-8"));
    assert!(said.contains("Ja: der Fingerabdruck ist von"), "{said}");
    assert!(said.contains("Der Kurs ist geschlossen."), "{said}");
    for english in ["Recorded for", "The course", "Enrolled"] {
        assert!(!said.contains(english), "{english} in {said}");
    }
    is_complete(within.path());
}
