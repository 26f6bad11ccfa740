//! The command line as a person uses it: the real program over a demo school, its files opened
//! by tools that others wrote, and wrong input of every kind.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    reason = "a broken expectation is a failed test"
)]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::{Mutex, MutexGuard, OnceLock, PoisonError};

use tempfile::TempDir;

/// A demo school that the tests only read, built once.
fn school() -> &'static Path {
    static SCHOOL: OnceLock<TempDir> = OnceLock::new();
    let folder = SCHOOL.get_or_init(demo);
    folder.path()
}

/// A demo school that is nobody else's: its keys are its own.
fn demo() -> TempDir {
    let folder = TempDir::new().unwrap();
    let built = tallywater(folder.path(), &["demo", "school"]);
    assert!(built.status.success(), "{}", err(&built));
    folder
}

/// A copy of that school, to be changed: making it anew takes as long as all else here.
fn own_school() -> TempDir {
    let (from, folder) = (school(), TempDir::new().unwrap());
    let _turn = turn();
    for device in ["shop", "instructor", "assistant"] {
        let device = Path::new("school").join(device);
        copy(&from.join(&device), &folder.path().join(&device));
    }
    folder
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let into = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &into);
        } else {
            std::fs::copy(entry.path(), into).unwrap();
        }
    }
}

/// A folder is opened by one program at a time, so the tests take turns.
fn turn() -> MutexGuard<'static, ()> {
    static TURN: Mutex<()> = Mutex::new(());
    TURN.lock().unwrap_or_else(PoisonError::into_inner)
}

fn tallywater(within: &Path, args: &[&str]) -> Output {
    let _turn = turn();
    Command::new(env!("CARGO_BIN_EXE_tallywater"))
        .args(args)
        .current_dir(within)
        .output()
        .unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn out(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Runs a command that must be done; answers what it printed.
fn done(within: &Path, args: &[&str]) -> String {
    let ran = tallywater(within, args);
    assert!(ran.status.success(), "{args:?}: {}{}", out(&ran), err(&ran));
    out(&ran)
}

/// Runs a command that must not be done, and says why.
fn refused(within: &Path, args: &[&str], code: i32) -> String {
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
fn tool(name: &str, args: &[&str]) -> String {
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

fn python(code: &str, file: &Path) -> String {
    tool("python3", &["-c", code, file.to_str().unwrap()])
}

fn folder() -> TempDir {
    TempDir::new().unwrap()
}

fn path(folder: &TempDir, name: &str) -> PathBuf {
    folder.path().join(name)
}

const SHOP: &str = "school/shop";
const TABLET: &str = "school/instructor";
const COURSE: &str = "First dives, evenings";

#[test]
fn every_paper_is_printed_and_opened_by_another_program() {
    let to = folder();
    let first = first_session();
    let papers: [(&str, Vec<&str>); 6] = [
        ("record", vec!["-s", "Émile"]),
        ("summary", vec![]),
        ("session", vec!["-s", &first]),
        ("slate", vec!["-s", &first, "--size", "a6"]),
        ("cards", vec!["--skill", "mask-full"]),
        ("activity", vec![]),
    ];
    for (paper, more) in papers {
        for sheet in ["a4", "letter"] {
            let file = path(&to, &format!("{paper}-{sheet}.pdf"));
            let file = file.to_str().unwrap();
            let mut args = vec!["paper", paper, TABLET, "-c", COURSE, "-o", file];
            args.extend(["--sheet", sheet]);
            args.extend(&more);
            assert!(done(school(), &args).contains(file));
            tool("qpdf", &["--check", file]);
            let text = tool("pdftotext", &["-layout", file, "-"]);
            assert!(!text.trim().is_empty(), "{paper}");
            if paper == "record" {
                assert!(text.contains("Émile"), "{text}");
            }
        }
    }
}

/// The id of a planned session of the course, off the calendar.
fn first_session() -> String {
    let to = folder();
    let file = path(&to, "sessions.ics");
    done(
        school(),
        &[
            "export",
            "calendar",
            TABLET,
            "-c",
            COURSE,
            "-o",
            file.to_str().unwrap(),
        ],
    );
    let text = std::fs::read_to_string(&file).unwrap();
    let uid = text.lines().find_map(|line| line.strip_prefix("UID:"));
    uid.unwrap().trim().to_owned()
}

#[test]
fn a_whole_course_is_printed_into_a_folder_and_nothing_there_is_written_over() {
    let to = folder();
    let records = path(&to, "records");
    let args = [
        "paper",
        "record",
        TABLET,
        "-c",
        COURSE,
        "-o",
        records.to_str().unwrap(),
    ];
    assert!(done(school(), &args).contains("8 records"));
    let mut files: Vec<PathBuf> = std::fs::read_dir(&records)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    assert_eq!(files.len(), 8);
    for file in &files {
        tool("qpdf", &["--check", file.to_str().unwrap()]);
    }
    std::fs::write(&files[0], b"mine").unwrap();
    let said = refused(school(), &args, 1);
    assert!(
        said.contains("there is a file of that name already"),
        "{said}"
    );
    assert_eq!(std::fs::read(&files[0]).unwrap(), b"mine");
    let mut over = args.to_vec();
    over.push("--replace");
    done(school(), &over);
    assert!(std::fs::read(&files[0]).unwrap().starts_with(b"%PDF-"));
}

#[test]
fn every_export_is_read_by_another_program() {
    let to = folder();
    let tables = path(&to, "tables");
    let args = [
        "export",
        "tables",
        TABLET,
        "-c",
        COURSE,
        "-o",
        tables.to_str().unwrap(),
    ];
    done(school(), &args);
    let rows = "import csv,sys;print(len(list(csv.DictReader(open(sys.argv[1],encoding='utf-8-sig',newline='')))))";
    assert_eq!(python(rows, &tables.join("roster.csv")).trim(), "8");
    let marks: usize = python(rows, &tables.join("marks.csv"))
        .trim()
        .parse()
        .unwrap();
    assert!(marks > 100, "{marks}");
    let described =
        "import json,sys;print(len(json.load(open(sys.argv[1],encoding='utf-8'))['tables']))";
    assert_eq!(
        python(described, &tables.join("csv-metadata.json")).trim(),
        "4"
    );
    let board = path(&to, "board.xlsx");
    done(
        school(),
        &[
            "export",
            "board",
            TABLET,
            "-c",
            COURSE,
            "-o",
            board.to_str().unwrap(),
        ],
    );
    let zip = "import zipfile,sys;z=zipfile.ZipFile(sys.argv[1]);assert z.testzip() is None;print('xl/workbook.xml' in z.namelist())";
    assert_eq!(python(zip, &board).trim(), "True");
    let log = path(&to, "dives.uddf");
    done(
        school(),
        &[
            "export",
            "dive-log",
            TABLET,
            "-c",
            COURSE,
            "-d",
            "Émile",
            "-o",
            log.to_str().unwrap(),
        ],
    );
    let xml = "import xml.etree.ElementTree as t,sys;print(t.parse(sys.argv[1]).getroot().tag)";
    assert!(python(xml, &log).contains("uddf"));
    let activity = path(&to, "activity.csv");
    done(
        school(),
        &["export", "activity", SHOP, "-o", activity.to_str().unwrap()],
    );
    assert!(python(rows, &activity).trim().parse::<usize>().is_ok());
}

#[test]
fn a_roster_is_previewed_then_taken_whole_or_not_at_all() {
    let own = own_school();
    let within = own.path();
    let bad = path(&own, "bad.csv");
    std::fs::write(
        &bad,
        "name,born\nTove Lindqvist,1990-02-03\n,1991-01-01\nHannu Kivelä,soon\n",
    )
    .unwrap();
    let course = ["-c", "First dives, autumn"];
    let args = |file: &'static str, more: &[&'static str]| -> Vec<&'static str> {
        let mut args = vec!["import", "roster", SHOP, file];
        args.extend(course);
        args.extend(more);
        args
    };
    let said = refused(within, &args("bad.csv", &[]), 1);
    assert!(said.contains("line 3: the name is missing"), "{said}");
    assert!(
        said.contains("line 4: the birth date cannot be read"),
        "{said}"
    );
    assert!(said.contains("Nobody was enrolled."), "{said}");
    std::fs::write(
        path(&own, "good.csv"),
        "Name;Born\r\nTove Lindqvist;1990-02-03\r\nHannu Kivelä;1988-11-30\r\n",
    )
    .unwrap();
    let preview = done(within, &args("good.csv", &["--preview"]));
    assert!(preview.contains("Tove Lindqvist") && preview.contains("Nobody was enrolled"));
    let taken = done(within, &args("good.csv", &[]));
    assert!(taken.contains("2 enrolled as new"), "{taken}");
    let again = done(within, &args("good.csv", &[]));
    assert!(
        again.contains("0 enrolled as new, 0 enrolled again, 2 left out"),
        "{again}"
    );
    let binary = path(&own, "sheet.xlsx");
    std::fs::write(&binary, b"PK\x03\x04\x00\x00").unwrap();
    let said = refused(within, &args("sheet.xlsx", &[]), 1);
    assert!(said.contains("save the sheet as CSV first"), "{said}");
    let said = refused(within, &args("no-such.csv", &[]), 1);
    assert!(said.contains("there is no file no-such.csv"), "{said}");
}

#[test]
fn a_dive_log_goes_out_and_comes_in_once() {
    let own = own_school();
    let within = own.path();
    done(
        within,
        &[
            "export",
            "dive-log",
            SHOP,
            "-c",
            "First dives, early",
            "-d",
            &diver(within),
            "-o",
            "log.uddf",
        ],
    );
    let args = |file: &'static str| ["import", "dives", TABLET, file, "-c", COURSE, "-d", "Émile"];
    let taken = done(within, &args("log.uddf"));
    assert!(taken.contains("dives logged, 0 left out"), "{taken}");
    assert!(!taken.starts_with("0 dives"), "{taken}");
    let again = done(within, &args("log.uddf"));
    assert!(again.starts_with("0 dives logged"), "{again}");
    let text = std::fs::read_to_string(path(&own, "log.uddf")).unwrap();
    let begin = text.find("<greatestdepth>").unwrap();
    let end = text.find("</greatestdepth>").unwrap();
    let feet = format!("{}<greatestdepth>3900{}", &text[..begin], &text[end..]);
    std::fs::write(path(&own, "feet.uddf"), feet).unwrap();
    let said = refused(within, &args("feet.uddf"), 1);
    assert!(
        said.contains("greatestdepth") && said.contains("unit"),
        "{said}"
    );
    std::fs::write(path(&own, "empty.uddf"), "").unwrap();
    let said = refused(within, &args("empty.uddf"), 1);
    assert!(said.contains("not a UDDF dive log"), "{said}");
}

/// A student of the finished course.
fn diver(within: &Path) -> String {
    let to = folder();
    let file = path(&to, "roster.csv");
    done(
        within,
        &[
            "export",
            "roster",
            SHOP,
            "-c",
            "First dives, early",
            "-o",
            file.to_str().unwrap(),
        ],
    );
    let first = "import csv,sys;print(next(csv.DictReader(open(sys.argv[1],encoding='utf-8-sig',newline='')))['student_id'])";
    python(first, &file).trim().to_owned()
}

#[test]
fn a_course_file_verifies_and_a_printed_record_is_held_against_it() {
    let to = folder();
    let file = path(&to, "course.tally");
    let file = file.to_str().unwrap();
    done(
        school(),
        &[
            "export",
            "course",
            TABLET,
            "-c",
            COURSE,
            "--with-details",
            "Émile",
            "-o",
            file,
        ],
    );
    let said = done(school(), &["verify", file]);
    let all = said.lines().nth(1).unwrap().trim().to_owned();
    let said = done(school(), &["verify", file, "-f", &all]);
    assert!(
        said.contains("Yes: the fingerprint is of exactly these entries"),
        "{said}"
    );
    let pdf = path(&to, "record.pdf");
    let pdf = pdf.to_str().unwrap();
    done(
        school(),
        &[
            "paper", "record", TABLET, "-c", COURSE, "-s", "Émile", "-o", pdf,
        ],
    );
    let printed = tool("pdftotext", &["-raw", pdf, "-"]);
    assert!(
        printed.contains(&all[..19]),
        "the record prints the fingerprint"
    );
    // The same device, without a file.
    let said = done(school(), &["verify", TABLET, "-c", COURSE, "-f", &all]);
    assert!(said.contains("Yes:"), "{said}");
    let wrong = "0".repeat(64);
    let ran = tallywater(school(), &["verify", file, "-f", &wrong]);
    assert_eq!(ran.status.code(), Some(1));
    assert!(
        out(&ran).contains("No: these are not the entries"),
        "{}",
        out(&ran)
    );
    // Part by part: what was printed, and one part that was not.
    let text = out(&ran);
    let record = text.split("Record of student ").nth(1).unwrap();
    let student = record.split(':').next().unwrap();
    let line = record.lines().find(|line| line.contains("skills")).unwrap();
    let digits = line.split("entries").nth(1).unwrap().trim();
    let part = format!("skills={digits}");
    let same = done(school(), &["verify", file, "-s", student, "--part", &part]);
    assert!(same.contains("the same"), "{same}");
    let args = ["verify", file, "-s", student, "--part", "skills=00000000"];
    let ran = tallywater(school(), &args);
    assert_eq!(ran.status.code(), Some(1));
    assert!(out(&ran).contains("DIFFERS"), "{}", out(&ran));
    // One byte changed anywhere.
    let mut bytes = std::fs::read(file).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    let changed = path(&to, "changed.tally");
    std::fs::write(&changed, bytes).unwrap();
    let said = refused(school(), &["verify", changed.to_str().unwrap()], 1);
    assert!(said.contains("changed after it was signed"), "{said}");
}

#[test]
fn a_referral_is_continued_by_another_schools_instructor() {
    let (here, there) = (own_school(), demo());
    let file = path(&there, "referral.tally");
    let file = file.to_str().unwrap();
    done(
        there.path(),
        &[
            "export",
            "course",
            TABLET,
            "-c",
            COURSE,
            "--with-details",
            "Émile",
            "-o",
            file,
        ],
    );
    let seen = done(
        here.path(),
        &["import", "course", TABLET, file, "--preview"],
    );
    assert!(seen.contains("Another school's course"), "{seen}");
    let said = refused(here.path(), &["import", "course", SHOP, file], 1);
    assert!(said.contains("role"), "{said}");
    let taken = done(here.path(), &["import", "course", TABLET, file]);
    assert!(taken.contains("1 students"), "{taken}");
    assert!(taken.contains("Keep the file"), "{taken}");
    let again = refused(here.path(), &["import", "course", TABLET, file], 1);
    assert!(again.contains("already"), "{again}");
    // Into the school it came from, it is only merged.
    let merged = done(there.path(), &["import", "course", TABLET, file]);
    assert!(merged.contains("0 entries were new"), "{merged}");
}

#[test]
fn what_cannot_be_understood_is_2_and_what_cannot_be_done_is_1_and_both_say_why() {
    let within = school();
    for args in [
        &["paper"][..],
        &["paper", "poster", TABLET],
        &["paper", "summary", TABLET],
        &[
            "paper", "slate", TABLET, "-s", "x", "--size", "a3", "-o", "x.pdf",
        ],
        &["export", "dive-log", TABLET, "-o", "x"],
        &["verify"],
        &["verify", "x", "--part", "skills=1"],
    ] {
        refused(within, args, 2);
    }
    for (args, says) in [
        (
            &["paper", "summary", "nowhere", "-o", "x.pdf"][..],
            "no device folder",
        ),
        (
            &["paper", "summary", TABLET, "-o", "x.pdf"],
            "name one with --course",
        ),
        (
            &["paper", "summary", TABLET, "-c", "Wreck", "-o", "x.pdf"],
            "no course Wreck",
        ),
        (
            &["paper", "summary", TABLET, "-c", "First", "-o", "x.pdf"],
            "several fit",
        ),
        (
            &[
                "paper", "record", TABLET, "-c", COURSE, "-s", "Nobody", "-o", "x.pdf",
            ],
            "no student Nobody",
        ),
        (
            &[
                "paper", "slate", TABLET, "-c", COURSE, "-s", "Pool 99", "-o", "x.pdf",
            ],
            "no session Pool 99",
        ),
        (
            &[
                "paper", "cards", TABLET, "-c", COURSE, "--skill", "juggling", "-o", "x.pdf",
            ],
            "no skill juggling",
        ),
        (
            &[
                "paper",
                "summary",
                TABLET,
                "-c",
                COURSE,
                "-o",
                "no/such/x.pdf",
            ],
            "no folder",
        ),
        (&["verify", "no-such-file"], "no file no-such-file"),
        (
            &["verify", TABLET, "-c", COURSE, "-f", "12 34"],
            "64 digits",
        ),
    ] {
        let said = refused(within, args, 1);
        assert!(said.contains(says), "{args:?}: {said}");
    }
    assert!(!within.join("x.pdf").exists());
    let help = done(within, &["paper", "record", "--help"]);
    assert!(
        help.contains("counted in a record") && help.contains("--every-course"),
        "{help}"
    );
}

#[test]
fn what_is_kept_is_listed_held_back_and_deleted_only_when_it_is_meant() {
    let own = own_school();
    let within = own.path();
    let listed = done(within, &["keep", "list", SHOP]);
    assert!(
        listed.contains("no confirmed rule") || listed.contains("until"),
        "{listed}"
    );
    assert!(
        listed.contains("person") && listed.contains("course"),
        "{listed}"
    );
    // Whose course has ended may be asked for; nobody is deleted without a yes.
    let free = listed
        .lines()
        .find(|line| line.starts_with("person") && !line.contains("still goes on"))
        .unwrap();
    let id = free.split_whitespace().nth(1).unwrap();
    let delete = [
        "keep",
        "delete",
        SHOP,
        "-s",
        id,
        "--why",
        "asked for by the person",
    ];
    let asked = tallywater(within, &delete);
    assert_eq!(asked.status.code(), Some(1));
    assert!(
        out(&asked).contains("Nothing was deleted"),
        "{}",
        out(&asked)
    );
    let count = |said: &str| said.matches("person  ").count();
    assert_eq!(
        count(&done(within, &["keep", "list", SHOP])),
        count(&listed)
    );
    done(within, &["keep", "read", SHOP, "-s", id]);

    let hold = ["keep", "hold", SHOP, "-s", id, "--why", "an inquiry"];
    done(within, &hold);
    let held = done(within, &["keep", "list", SHOP]);
    assert!(held.contains("held back: an inquiry"), "{held}");
    let mut sure = delete.to_vec();
    sure.push("--yes");
    let said = refused(within, &sure, 1);
    assert!(said.contains("a hold keeps it"), "{said}");

    let other = held
        .lines()
        .filter(|line| line.starts_with("person"))
        .filter(|line| !line.contains("still goes on") && !line.contains("held back"))
        .find_map(|line| line.split_whitespace().nth(1));
    if let Some(other) = other {
        done(
            within,
            &[
                "keep",
                "delete",
                SHOP,
                "-s",
                other,
                "--why",
                "kept long enough",
                "--yes",
            ],
        );
        let after = done(within, &["keep", "list", SHOP]);
        assert_eq!(count(&after), count(&held) - 1);
        assert!(!after.contains(other));
    }
    let said = refused(within, &["keep", "read", SHOP, "-s", "Nobody At All"], 1);
    assert!(said.contains("no student"), "{said}");
    let both = ["keep", "hold", SHOP, "-s", "a", "-c", "b", "--why", "x"];
    refused(within, &both, 2);
}
