//! The border from outside Rust: what is generated for the other languages, and the pool
//! day driven through the generated Python.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

use uniffi::{GenerateOptions, TargetLanguage};

/// The library the tests were linked with, as it is loaded by another language: cargo
/// builds it beside the test's own program.
pub(crate) fn library() -> PathBuf {
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
        .args(["-X", "faulthandler", "-m", "unittest", "-v", file])
        .current_dir(&tests)
        // The module is long: it is compiled once, and beside what is generated.
        .env("PYTHONPYCACHEPREFIX", generated().join("compiled"))
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

/// What a shop does that has scripts of its own: the wheel that `.ci/wheel` writes, installed
/// into an environment of its own, with nothing of this repository on the way.
#[test]
fn a_wheel_is_installed_and_the_pool_day_runs_on_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = |program: &Path, args: &[&str], within: &Path| {
        let ran = Command::new(program)
            .args(args)
            .current_dir(within)
            .env_remove("PYTHONPATH")
            .output()
            .unwrap_or_else(|error| panic!("{}: {error}", program.display()));
        let said = String::from_utf8_lossy(&ran.stderr).into_owned();
        assert!(ran.status.success(), "{args:?}: {said}");
        (String::from_utf8_lossy(&ran.stdout).into_owned(), said)
    };
    let python = Path::new("python3");
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let from = generated().join("python");
    let into = folder.path().join("wheel");
    let (said, _) = run(python, &[".ci/wheel", &text(&from), &text(&into)], &root);
    let wheel = said.trim();
    let environment = folder.path().join("Schule Größe");
    run(python, &["-m", "venv", &text(&environment)], folder.path());
    let inside = environment.join("bin/python3");
    run(
        &inside,
        &["-m", "pip", "install", "--no-index", "--quiet", wheel],
        folder.path(),
    );
    let (at, _) = run(
        &inside,
        &["-c", "import tallywater; print(tallywater.__file__)"],
        folder.path(),
    );
    assert!(at.contains("site-packages"), "{at}");
    let tests = Path::new(env!("CARGO_MANIFEST_DIR")).join("python");
    let (_, said) = run(&inside, &["-B", "-m", "unittest", "pool_day.py"], &tests);
    assert!(said.contains("\nRan ") && said.contains("\nOK"), "{said}");
    run(
        &inside,
        &[
            "-m",
            "pip",
            "uninstall",
            "--quiet",
            "--yes",
            "tallywater-border",
        ],
        folder.path(),
    );
    let left = Command::new(&inside)
        .args(["-c", "import tallywater"])
        .current_dir(folder.path())
        .env_remove("PYTHONPATH")
        .status();
    assert!(!left.expect("python").success(), "it is still there");
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

/// The core's own types cross too, and an app has one module for all of them.
#[test]
fn what_the_core_holds_is_in_the_one_module_with_its_documentation() {
    for (file, named, said) in [
        (
            "kotlin/tallywater/tallywater.kt",
            "data class StudentName",
            "What a board calls them",
        ),
        (
            "swift/TallywaterKit.swift",
            "struct StudentName",
            "What a board calls them",
        ),
        (
            "python/tallywater.py",
            "class StudentName",
            // Python's generator writes what a type is, and of its fields nothing.
            "How a student is called on a screen",
        ),
    ] {
        let path = generated().join(file);
        let text = std::fs::read_to_string(&path).expect("what was generated");
        assert!(text.contains(named), "{file} has no {named}");
        assert!(text.contains(said), "{file} does not say: {said}");
        let folder = path.parent().expect("its folder");
        let of_core = std::fs::read_dir(folder)
            .expect("the folder")
            .filter_map(Result::ok)
            .find(|one| one.file_name().to_string_lossy().contains("core"));
        assert!(of_core.is_none(), "{of_core:?} is a second module");
    }
}

/// Every name in the example for Swift that is ours is one of the generated module's: all that
/// can be said of it without a compiler.
#[test]
fn the_example_in_swift_names_what_there_is() {
    let file =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../bindings/examples/FirstEvening.swift");
    let example = std::fs::read_to_string(&file).expect("the example");
    let module = std::fs::read_to_string(generated().join("swift/TallywaterKit.swift"))
        .expect("the generated module");
    let declared = |kind: &str, name: &str| {
        module.contains(&format!("{kind} {name}(")) || module.contains(&format!("{kind} `{name}`("))
    };
    // Calls on the desk, with the labels that Swift insists on.
    let mut calls = 0;
    for part in example.split("desk.").skip(1) {
        let name: String = part
            .chars()
            .take_while(|one| one.is_alphanumeric())
            .collect();
        if part[name.len()..].starts_with('(') {
            calls += 1;
            assert!(declared("func", &name), "there is no func {name}");
            let given = part[name.len() + 1..]
                .split(['(', ')'])
                .next()
                .unwrap_or_default();
            for label in given.split(", ").filter_map(|one| one.split_once(": ")) {
                let found = module.lines().any(|line| {
                    line.contains(&format!("func {name}("))
                        && line.contains(&format!("{}: ", label.0))
                });
                assert!(found, "{name} takes no {}", label.0);
            }
        }
    }
    assert!(calls >= 5, "{calls} calls");
    for case in [
        "DeviceFull",
        "Busy",
        "Refused",
        "NewerVersion",
        "Damaged",
        "NotFound",
        "Internal",
    ] {
        assert!(
            example.contains(&format!(".{case}")),
            "the example leaves out {case}"
        );
        let said = |end: &str| module.contains(&format!("case {case}{end}"));
        assert!(said("(") || said("\n"), "there is no fault {case}");
    }
    for case in ["firstStart", "live", "unsaid", "school"] {
        assert!(
            module.contains(&format!("case {case}\n")),
            "there is no case {case}"
        );
    }
    for case in ["openCourse", "mark"] {
        assert!(
            module.contains(&format!("case {case}(")),
            "there is no case {case}"
        );
    }
    for kind in [
        "protocol KeyStore",
        "protocol Listener",
        "struct MarkTap",
        "enum CellState",
        "class Tallywater",
    ] {
        assert!(module.contains(kind), "there is no {kind}");
    }
}

/// The generated C header, which Swift reads first, by a C compiler where there is one.
#[test]
fn the_header_for_swift_is_c() {
    let header = generated().join("swift/TallywaterKitFFI.h");
    let compiler = ["clang", "cc"].into_iter().find(|one| {
        let asked = Command::new(one).arg("--version").output();
        asked.is_ok_and(|said| said.status.success())
    });
    let compiler = compiler.expect("a C compiler: what links this test is one");
    let parsed = Command::new(compiler)
        // Words about null that only one family of compilers knows.
        .args(["-D_Nullable=", "-D_Nonnull="])
        .args(["-fsyntax-only", "-Wall", "-Werror", "-include"])
        .arg(&header)
        .args(["-x", "c", "/dev/null"])
        .output()
        .expect("the compiler");
    assert!(
        parsed.status.success(),
        "{}",
        String::from_utf8_lossy(&parsed.stderr)
    );
}
