//! What `--json` writes is what `JSON.md` describes: every path and every type of it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use serde_json::Value;

use crate::support::{COURSE, SHOP, TABLET, done, folder, lone, out, refused, school, tallywater};

type Shapes = BTreeMap<String, BTreeSet<&'static str>>;

/// Shapes that come again, by their fields.
const NAMED: &[(&str, &str)] = &[
    ("person", "id name"),
    ("student", "id name short"),
    ("figure", "figure unit"),
    (
        "cell",
        "done last met of sat_out skill slipped_since state tries waiting",
    ),
    ("gap", "about closes_with what"),
    ("form", "by entry figure form needed seen state until"),
    (
        "line",
        "at by confirmed_by counts despite entry from mark note seen session what withdrawn_by",
    ),
    ("piece", "id kind number size"),
    (
        "issued",
        "also by course despite entry piece session session_title since staff student wrong",
    ),
    (
        "dive",
        "ascents by cylinder depth depth_limit down end entry mean_depth minutes number session \
         start temperature up water who",
    ),
];

fn named(fields: &serde_json::Map<String, Value>) -> Option<&'static str> {
    let mut names: Vec<&str> = fields.keys().map(String::as_str).collect();
    names.sort_unstable();
    let names = names.join(" ");
    let found = NAMED.iter().find(|(_, of)| *of == names);
    found.map(|(name, _)| *name)
}

fn shape(path: &str, value: &Value, into: &mut Shapes) {
    let kind = match value {
        Value::Null => "null",
        Value::Bool(_) => "yes-no",
        Value::Number(_) => "number",
        Value::String(_) => "text",
        Value::Array(all) => {
            for one in all {
                shape(&format!("{path}[]"), one, into);
            }
            "list"
        }
        Value::Object(fields) if named(fields).is_some() => named(fields).unwrap(),
        Value::Object(fields) => {
            for (name, one) in fields {
                shape(&format!("{path}.{name}"), one, into);
            }
            "object"
        }
    };
    into.entry(path.to_owned()).or_default().insert(kind);
}

/// The lines of the page: a path and the types it may have.
fn described() -> BTreeMap<String, BTreeSet<String>> {
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("JSON.md");
    let text = std::fs::read_to_string(page).unwrap();
    let block = text.split("```text\n").nth(1).unwrap();
    let lines = block.split("```").next().unwrap().lines();
    lines
        .filter_map(|line| line.split_once(": "))
        .map(|(path, kinds)| {
            let kinds = kinds.split(" or ").map(str::to_owned);
            (path.trim().to_owned(), kinds.collect())
        })
        .collect()
}

/// What the page does not say of these.
fn not_described(seen: &Shapes, described: &BTreeMap<String, BTreeSet<String>>) -> Vec<String> {
    let mut unknown = Vec::new();
    for (path, kinds) in seen {
        let said = described.get(path);
        if !kinds
            .iter()
            .all(|kind| said.is_some_and(|said| said.contains(*kind)))
        {
            let kinds: Vec<&str> = kinds.iter().copied().collect();
            unknown.push(format!("{path}: {}", kinds.join(" or ")));
        }
    }
    unknown
}

/// What an answer has that the page does not describe, and what the page has under it that the
/// answer lacks.
pub(super) fn against_the_page(said: &str) -> (Vec<String>, Vec<String>) {
    let value: Value = serde_json::from_str(said).unwrap();
    let name = value["answer"].as_str().unwrap();
    let mut seen = Shapes::new();
    shape(name, &value["value"], &mut seen);
    let described = described();
    let under = format!("{name}.");
    let lacks = described
        .keys()
        .filter(|path| path.starts_with(&under) && !seen.contains_key(*path));
    (not_described(&seen, &described), lacks.cloned().collect())
}

#[test]
fn the_page_describes_everything_that_reading_commands_answer_in_json() {
    let within = school();
    let course = |args: &[&'static str]| -> Vec<&'static str> {
        let (verb, rest) = args.split_at(2);
        [verb, &[TABLET, "-c", COURSE], rest].concat()
    };
    let asked: Vec<Vec<&str>> = vec![
        vec!["school", "show", TABLET],
        vec!["staff", "list", TABLET],
        vec!["device", "list", TABLET],
        vec!["device", "late", TABLET],
        vec!["rules", "show", TABLET],
        vec!["outline", "show", TABLET],
        vec!["season", "show", TABLET],
        vec!["course", "list", TABLET],
        course(&["student", "list"]),
        course(&["student", "show", "Baldo"]),
        course(&["student", "missing"]),
        course(&["form", "list"]),
        course(&["session", "list"]),
        course(&["session", "show", "--session", "Pool 3"]),
        course(&["session", "count", "--session", "Pool 3"]),
        course(&["session", "limits", "--session", "Pool 3"]),
        course(&["session", "pairs", "--session", "Pool 3"]),
        course(&["session", "lost", "--session", "Pool 3"]),
        course(&["session", "kit", "--session", "Pool 3"]),
        course(&["student", "sizes", "Baldo"]),
        vec!["kit", "list", TABLET],
        course(&["skill", "show", "-s", "Émile", "--skill", "mask-full"]),
        course(&["skill", "waiting"]),
        course(&["dive", "list"]),
        course(&["weight", "list"]),
        course(&["note", "list"]),
        course(&["file", "list"]),
        course(&["incident", "list"]),
        vec!["site", "list", TABLET],
        course(&["emergency", "show", "--session", "Pool 3"]),
        vec!["emergency", "cards"],
        course(&["agenda", "show"]),
        course(&[
            "session",
            "lost-day",
            "--session",
            "Pool 3",
            "--why",
            "Thunder",
        ]),
        course(&["debrief", "show", "--session", "Pool 3"]),
        course(&["entry", "list", "--most", "400"]),
        course(&["record", "show", "Émile"]),
        vec![
            "next",
            TABLET,
            "-c",
            COURSE,
            "--block",
            "pool-4",
            "--minutes",
            "40",
        ],
        vec![
            "next",
            TABLET,
            "-c",
            COURSE,
            "--ahead",
            "--by",
            "+30",
            "--what-if",
        ],
        vec!["today", TABLET],
        vec!["board", TABLET, COURSE],
        vec!["calculate"],
        vec!["figures"],
        vec!["calculate", "no-stop-limit"],
        vec![
            "calculate",
            "weight after",
            "body-height=175",
            "body-mass=75",
        ],
        vec!["keep", "list", SHOP],
        vec!["status", SHOP],
        vec!["check", SHOP],
        vec!["verify", TABLET, "-c", COURSE],
    ];
    let mut seen = Shapes::new();
    for mut args in asked {
        args.push("--json");
        let said = done(within, &args);
        let value: Value = serde_json::from_str(&said).unwrap();
        assert_eq!(value["tallywater"], 1, "{args:?}");
        let name = value["answer"].as_str().unwrap();
        shape(name, &value["value"], &mut seen);
    }
    let described = described();
    let unknown = not_described(&seen, &described);
    assert!(
        unknown.is_empty(),
        "JSON.md does not describe this; what is taken away or changes its meaning raises the \
         version:\n{}",
        unknown.join("\n")
    );
    // What hangs under something that may be absent on this day of the demo is described too.
    let gone: Vec<&String> = described
        .iter()
        .filter(|(path, _)| !seen.contains_key(*path))
        .filter(|(path, _)| {
            let above = path.rsplit_once(['.', '[']).map_or("", |(above, _)| above);
            described
                .get(above)
                .is_none_or(|kinds| !kinds.contains("null") && !kinds.contains("list"))
                && seen.contains_key(above)
        })
        .map(|(path, _)| path)
        .collect();
    assert!(gone.is_empty(), "described and never written: {gone:?}");
}

/// Has a command write, and answers the files that it says it has to do with: each lies there, in
/// the size that is said.
fn written(within: &Path, args: &[&str]) -> Vec<Value> {
    let said = done(within, &[args, &["--json"]].concat());
    assert_eq!(
        against_the_page(&said),
        (Vec::new(), Vec::new()),
        "{args:?}: {said}"
    );
    let mut value: Value = serde_json::from_str(&said).unwrap();
    assert_eq!(value["answer"], "written", "{args:?}");
    let Value::Array(files) = value["value"]["files"].take() else {
        panic!("{args:?}: {said}");
    };
    for file in &files {
        let there = within.join(file["path"].as_str().unwrap());
        let size = there.metadata().unwrap().len();
        assert!(size > 0, "{file}");
        assert_eq!(file["bytes"], size, "{file}");
    }
    files
}

#[test]
fn every_command_that_writes_files_answers_with_all_of_them_as_one_value() {
    let to = folder();
    let asked: [(&[&str], &str, &str); 15] = [
        (&["paper", "record", "-s", "Émile"], "record.pdf", "pdf"),
        (&["paper", "summary"], "summary.pdf", "pdf"),
        (&["paper", "session", "-s", "Pool 3"], "pool", "pdf"),
        (&["paper", "slate", "-s", "Pool 3"], "slate.pdf", "pdf"),
        (&["paper", "cards", "--skill", "mask-full"], "c.pdf", "pdf"),
        (&["paper", "activity"], "activity.pdf", "pdf"),
        (&["paper", "actions"], "actions.pdf", "pdf"),
        (&["paper", "picture", "tries", "--svg"], "tries.svg", "svg"),
        (&["export", "roster"], "roster.csv", "csv"),
        (&["export", "board"], "board.xlsx", "xlsx"),
        (&["export", "calendar"], "sessions.ics", "ics"),
        (&["export", "dive-log", "-d", "Émile"], "log.uddf", "uddf"),
        (&["export", "course"], "course.tally", "course"),
        (&["rules", "write"], "rules", "json"),
        (&["outline", "write"], "outline", "json"),
    ];
    for (line, name, kind) in asked {
        let path = to.path().join(name);
        let path = path.to_str().unwrap();
        let args = [
            &line[..2],
            &[TABLET],
            &line[2..],
            &["-c", COURSE, "-o", path],
        ]
        .concat();
        let files = written(school(), &args);
        assert_eq!(files.len(), 1, "{files:?}");
        assert_eq!(files[0]["path"], path);
        assert_eq!(files[0]["kind"], kind, "{line:?}");
        assert_eq!(files[0]["written"], true);
    }
    println!("## Several into a folder are one value, and a job says no line beside it");
    let kinds = |files: &[Value]| -> BTreeSet<String> {
        let kinds = files.iter().map(|file| file["kind"].as_str().unwrap());
        kinds.map(str::to_owned).collect()
    };
    let set =
        |all: &[&str]| -> BTreeSet<String> { all.iter().map(|it| (*it).to_owned()).collect() };
    let into = |name: &str| to.path().join(name).to_str().unwrap().to_owned();
    let course = |line: &[&str], name: &str| -> Vec<Value> {
        let into = into(name);
        let args = [
            &line[..2],
            &[TABLET],
            &line[2..],
            &["-c", COURSE, "-o", &into],
        ]
        .concat();
        written(school(), &args)
    };
    let tables = course(&["export", "tables"], "tables");
    assert_eq!((tables.len(), kinds(&tables)), (5, set(&["csv", "json"])));
    let home = course(&["paper", "student", "-s", "Émile"], "home");
    assert_eq!(kinds(&home), set(&["html", "pdf", "uddf"]));
    let records = course(&["paper", "record"], "records");
    assert_eq!((records.len(), kinds(&records)), (8, set(&["pdf"])));
    println!("## A run of every night says what was left as it was");
    let again = into("records");
    let first = to.path().join(records[0]["path"].as_str().unwrap());
    std::fs::remove_file(&first).unwrap();
    let again = [
        "paper",
        "record",
        TABLET,
        "-c",
        COURSE,
        "-o",
        &again,
        "--skip-existing",
    ];
    let again = written(school(), &again);
    let anew: Vec<&Value> = again
        .iter()
        .filter(|file| file["written"] == true)
        .collect();
    assert_eq!((again.len(), anew.len()), (8, 1));
    assert_eq!(anew[0]["path"], first.to_str().unwrap());
    println!("## For a person and for a script it is a path a line, as it was");
    let lines = into("again.pdf");
    let line = ["paper", "summary", TABLET, "-c", COURSE, "-o", &lines];
    assert_eq!(done(school(), &line), format!("{lines}\n"));
    println!("## Refused, nothing is answered; to the standard output, the file is the answer");
    let ran = tallywater(school(), &[&line[..], &["--json"]].concat());
    assert_eq!((ran.status.code(), out(&ran).as_str()), (Some(4), ""));
    let ran = tallywater(
        school(),
        &[
            "paper", "summary", TABLET, "-c", COURSE, "-o", "-", "--json",
        ],
    );
    assert!(ran.status.success() && ran.stdout.starts_with(b"%PDF"));
}

#[test]
fn manual_pages_and_a_backup_are_answered_as_files_and_a_job_without_any_as_none() {
    let own = folder();
    let within = own.path();
    lone(within);
    let pages = written(within, &["manual", "-o", "man"]);
    assert!(pages.len() > 100, "only {}", pages.len());
    assert!(pages.iter().all(|page| page["kind"] == "man"));
    let copy = written(within, &["backup", "tablet", "copy.db"]);
    assert_eq!((copy.len(), copy[0]["kind"].as_str()), (1, Some("backup")));
    assert_eq!(copy[0]["path"], "copy.db");
    refused(within, &["backup", "tablet", "copy.db", "--json"], 4);
    println!("## A job with nobody to print");
    let nobody = [
        "paper",
        "record",
        "tablet",
        "--every-course",
        "-o",
        "records",
    ];
    let said = done(within, &[&nobody[..], &["--json"]].concat());
    let value: Value = serde_json::from_str(&said).unwrap();
    assert_eq!(value["answer"], "written");
    assert_eq!(value["value"]["files"], Value::Array(Vec::new()));
    assert!(!within.join("records").exists());
}
