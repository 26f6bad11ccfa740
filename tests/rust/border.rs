//! The border from outside Rust: what is generated for the other languages, and the pool
//! day driven through the generated Python.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

use uniffi::{GenerateOptions, TargetLanguage};

/// The library the tests were linked with, as it is loaded by another language: cargo
/// builds it beside the test's own program.
fn library() -> PathBuf {
    let name = format!(
        "{}tallywater_bindings{}",
        std::env::consts::DLL_PREFIX,
        std::env::consts::DLL_SUFFIX
    );
    let program = std::env::current_exe().expect("the test's own program");
    let beside = program.parent().expect("its folder").join(&name);
    assert!(
        beside.is_file(),
        "{} was not built beside the tests",
        beside.display()
    );
    beside
}

/// What is generated, once for all tests of this program, where cargo keeps what tests make.
fn generated() -> &'static Path {
    static FOLDER: OnceLock<PathBuf> = OnceLock::new();
    FOLDER.get_or_init(|| {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("border");
        if folder.exists() {
            std::fs::remove_dir_all(&folder).expect("what was generated before");
        }
        let library = library();
        for (language, under) in [
            (TargetLanguage::Python, "python"),
            (TargetLanguage::Kotlin, "kotlin"),
            (TargetLanguage::Swift, "swift"),
        ] {
            uniffi::generate(GenerateOptions {
                languages: vec![language],
                source: text(&library).into(),
                out_dir: text(&folder.join(under)).into(),
                config_override: None,
                format: false,
                crate_filter: Some("tallywater_bindings".into()),
                metadata_no_deps: true,
            })
            .unwrap_or_else(|error| panic!("generating {under}: {error:#}"));
        }
        let name = library.file_name().expect("a name");
        std::fs::copy(&library, folder.join("python").join(name))
            .expect("the library beside the module");
        folder
    })
}

fn text(path: &Path) -> String {
    path.to_str().expect("a path of plain characters").into()
}

/// Runs a file of Python tests against the generated module.
fn python(file: &str) {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR")).join("python");
    let ran = Command::new("python3")
        .args(["-B", "-X", "faulthandler", "-m", "unittest", "-v", file])
        .current_dir(&tests)
        .env("PYTHONPATH", generated().join("python"))
        .output()
        .expect("python3 is needed for the border's tests: install Python 3.9 or newer");
    let said = String::from_utf8_lossy(&ran.stderr);
    println!("{}{said}", String::from_utf8_lossy(&ran.stdout));
    assert!(ran.status.success(), "{file} failed:\n{said}");
    assert!(said.contains("\nRan "), "{file} ran no test:\n{said}");
    assert!(!said.contains("\nRan 0 tests"), "{file} ran no test");
}

#[test]
fn a_pool_day_runs_through_python() {
    python("pool_day.py");
}

#[test]
fn the_calculator_screens_door_says_what_the_typed_functions_say_in_python() {
    python("calculator_door.py");
}

#[test]
fn calculations_are_the_published_ones_in_python() {
    python("calculations.py");
}

#[test]
fn every_fault_is_caught_by_name_in_python() {
    python("faults.py");
}

#[test]
fn devices_pair_and_meet_through_python() {
    python("link.py");
}

#[test]
fn listeners_and_threads_do_not_hang_in_python() {
    python("threads.py");
}

#[test]
fn papers_and_files_cross_into_python() {
    python("paper.py");
}

#[test]
fn kotlin_and_swift_are_generated_with_the_same_names() {
    for (file, names) in [
        (
            "kotlin/tallywater/tallywater.kt",
            [
                "package tallywater",
                "class Tallywater",
                "data class TodayView",
                "data class BoardView",
                "data class AttemptSheetView",
                "sealed class Fault",
                "interface Listener",
                "interface KeyStore",
                "sealed class Request",
                "fun `startShop`",
            ],
        ),
        (
            "swift/TallywaterKit.swift",
            [
                "import Foundation",
                "class Tallywater",
                "struct TodayView",
                "struct BoardView",
                "struct AttemptSheetView",
                "enum Fault",
                "protocol Listener",
                "protocol KeyStore",
                "enum Request",
                "func startShop",
            ],
        ),
    ] {
        let path = generated().join(file);
        let text = std::fs::read_to_string(&path)
            .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        for name in names {
            assert!(text.contains(name), "{file} has no {name:?}");
        }
    }
}
