//! What every test of the command line stands on: the program, a school, other programs.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::{Mutex, MutexGuard, OnceLock, PoisonError};

use tempfile::TempDir;

use crate::folder::copy;
use crate::midday;

/// A demo school that the tests only read, built once.
pub(super) fn school() -> &'static Path {
    static SCHOOL: OnceLock<TempDir> = OnceLock::new();
    let folder = SCHOOL.get_or_init(demo);
    folder.path()
}

/// A demo school that is nobody else's: its keys are its own.
pub(super) fn demo() -> TempDir {
    let folder = TempDir::new().unwrap();
    crate::folder::demo(folder.path());
    folder
}

/// A copy of that school, to be changed: making it anew takes as long as all else here.
pub(super) fn own_school() -> TempDir {
    let (from, folder) = (school(), TempDir::new().unwrap());
    let _turn = turn(from);
    for device in ["shop", "instructor", "assistant"] {
        let device = Path::new("school").join(device);
        copy(&from.join(&device), &folder.path().join(&device));
    }
    folder
}

/// A folder is opened by one program at a time, so the tests that share one take turns.
fn turn(within: &Path) -> MutexGuard<'static, ()> {
    static TURNS: Mutex<BTreeMap<PathBuf, &'static Mutex<()>>> = Mutex::new(BTreeMap::new());
    let mut turns = TURNS.lock().unwrap_or_else(PoisonError::into_inner);
    let turn = *turns
        .entry(within.to_owned())
        .or_insert_with(|| Box::leak(Box::default()));
    drop(turns);
    turn.lock().unwrap_or_else(PoisonError::into_inner)
}

pub(super) fn tallywater(within: &Path, args: &[&str]) -> Output {
    let _turn = turn(within);
    midday::keep();
    Command::new(env!("CARGO_BIN_EXE_tallywater"))
        .args(args)
        .current_dir(within)
        .output()
        .unwrap()
}

pub(super) fn err(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

pub(super) fn out(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Runs a command that must be done; answers what it printed.
pub(super) fn done(within: &Path, args: &[&str]) -> String {
    let ran = tallywater(within, args);
    assert!(ran.status.success(), "{args:?}: {}{}", out(&ran), err(&ran));
    out(&ran)
}

/// Runs a command that must not be done, and says why.
pub(super) fn refused(within: &Path, args: &[&str], code: i32) -> String {
    let ran = tallywater(within, args);
    assert_eq!(
        ran.status.code(),
        Some(code),
        "{args:?}: {}{}",
        out(&ran),
        err(&ran)
    );
    let said = err(&ran);
    assert!(!said.is_empty(), "{args:?} said nothing");
    said
}

/// Runs a tool that others wrote; the name says how to get it.
pub(super) fn tool(name: &str, args: &[&str]) -> String {
    let ran = Command::new(name).args(args).output();
    let ran = ran.unwrap_or_else(|_| panic!("{name} is needed: .ci/setup installs it"));
    assert!(
        ran.status.success(),
        "{name} {args:?}: {}{}",
        out(&ran),
        err(&ran)
    );
    out(&ran)
}

pub(super) fn python(code: &str, file: &Path) -> String {
    tool("python3", &["-c", code, file.to_str().unwrap()])
}

pub(super) fn folder() -> TempDir {
    TempDir::new().unwrap()
}

pub(super) fn path(folder: &TempDir, name: &str) -> PathBuf {
    folder.path().join(name)
}

pub(super) const SHOP: &str = "school/shop";
pub(super) const TABLET: &str = "school/instructor";
pub(super) const COURSE: &str = "First dives, evenings";

/// Sets up the lone instructor of an empty folder, as `tablet`.
pub(super) fn lone(within: &Path) {
    let line = [
        "setup",
        "tablet",
        "--alone",
        "--shop",
        "Tarn School",
        "--person",
        "Tove Askildsen",
    ];
    done(within, &line);
}

/// Confirms every rule of the lone school.
pub(super) fn confirmed(within: &Path) {
    let line = [
        "rules",
        "confirm",
        "tablet",
        "--all",
        "--text",
        "house decision",
    ];
    done(within, &line);
}

/// Opens the course that the lone instructor holds.
pub(super) fn course(within: &Path, starts: &str) {
    let starts = format!("--starts={starts}");
    let line = [
        "course",
        "open",
        "tablet",
        "--title",
        "First dives, June",
        &starts,
    ];
    done(within, &line);
}

/// Enrols a student in it.
pub(super) fn enrolled(within: &Path, name: &str, born: &str) {
    let line = ["student", "enrol", "tablet", "--name", name, "--born", born];
    done(within, &line);
}

/// Plans the session `Pool one` of it; answers the session's id.
pub(super) fn pool_one(within: &Path, starts: &str) -> String {
    let line = [
        "session",
        "plan",
        "tablet",
        "--block",
        "pool-1",
        "--title",
        "Pool one",
        "--site",
        "Hollow Lane",
        "--starts",
        starts,
        "--ids",
    ];
    done(within, &line).trim().to_owned()
}

/// A lone instructor's tablet with a course of two and a session that is on; the session.
pub(super) fn with_session(within: &Path) -> String {
    lone(within);
    confirmed(within);
    course(within, "-1");
    enrolled(within, "Ottilie Brandvoll", "1990-02-03");
    enrolled(within, "Hannu Kivelä", "1988-11-30");
    let line = [
        "session",
        "plan",
        "tablet",
        "--block",
        "pool-1",
        "--site",
        "Hollow Lane pool",
        "--starts",
        "today 00:01",
        "--ids",
    ];
    done(within, &line).trim().to_owned()
}
