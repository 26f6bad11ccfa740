//! What `--json` writes is what `JSON.md` describes: every path and every type of it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use serde_json::Value;

use crate::support::{COURSE, SHOP, TABLET, done, school};

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
