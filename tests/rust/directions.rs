//! Who may import whom: the rooms of the core, in the order of the path.

use std::collections::BTreeMap;
use std::path::Path;

/// Each room with the rooms it may name. What is not here may name none.
const MAY: &[(&str, &[&str])] = &[
    ("calc", &[]),
    ("course", &[]),
    ("stamp", &[]),
    ("entry", &["course"]),
    ("trust", &["course", "entry"]),
    ("ledger", &["course", "entry", "trust"]),
    ("standing", &["course", "entry", "trust"]),
    ("plan", &["course", "entry", "standing"]),
    (
        "view",
        &["calc", "course", "entry", "trust", "standing", "plan"],
    ),
    (
        "paper",
        &[
            "calc", "course", "entry", "trust", "ledger", "standing", "plan", "view",
        ],
    ),
    ("store", &["course", "entry", "ledger"]),
    ("sync", &["course", "entry", "ledger"]),
    (
        "link",
        &["course", "entry", "ledger", "stamp", "sync", "trust"],
    ),
    (
        "demo",
        &["course", "desk", "entry", "plan", "stamp", "standing"],
    ),
];

/// The one room that knows all.
const KNOWS_ALL: &str = "desk";

fn rust_files(folder: &Path, found: &mut Vec<std::path::PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            rust_files(&path, found);
        } else if path.extension().is_some_and(|end| end == "rs") {
            found.push(path);
        }
    }
}

/// The rooms that a file names by `crate::room`, outside comments and its test modules.
fn named(text: &str) -> Vec<String> {
    let code: String = text
        .split("#[cfg(test)]")
        .next()
        .unwrap_or_default()
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .collect::<Vec<_>>()
        .join("\n");
    let mut rooms = Vec::new();
    for part in code.split("crate::").skip(1) {
        let one = |text: &str| -> String {
            text.chars()
                .take_while(|c| c.is_ascii_lowercase() || *c == '_')
                .collect()
        };
        if let Some(list) = part.strip_prefix('{') {
            let list = list.split('}').next().unwrap_or_default();
            rooms.extend(list.split(',').map(|room| one(room.trim_start())));
        } else {
            rooms.push(one(part));
        }
    }
    rooms.retain(|room| !room.is_empty());
    rooms
}

#[test]
fn each_room_names_only_the_rooms_before_it() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../core/src");
    let may: BTreeMap<&str, &[&str]> = MAY.iter().copied().collect();
    let mut wrong = Vec::new();
    let mut seen = 0;
    for room in std::fs::read_dir(&root).unwrap() {
        let path = room.unwrap().path();
        let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
        if name == "lib" || name == KNOWS_ALL {
            continue;
        }
        let mut files = Vec::new();
        if path.is_dir() {
            rust_files(&path, &mut files);
        } else {
            files.push(path);
        }
        let allowed = may.get(name.as_str());
        for file in files {
            // Test modules in files of their own may build what they test from anywhere.
            let text = std::fs::read_to_string(&file).unwrap();
            let inside = file.strip_prefix(&root).unwrap();
            let is_test = inside.components().any(|part| part.as_os_str() == "tests")
                || file
                    .file_stem()
                    .is_some_and(|stem| stem == "tests" || stem == "sample");
            if is_test {
                continue;
            }
            seen += 1;
            for other in named(&text) {
                let fine =
                    other == name || allowed.is_some_and(|rooms| rooms.contains(&other.as_str()));
                if !fine {
                    wrong.push(format!(
                        "{} names {other}",
                        file.strip_prefix(&root).unwrap().display()
                    ));
                }
            }
        }
    }
    assert!(seen > 60, "the rooms were found: {seen} files");
    assert!(wrong.is_empty(), "{wrong:#?}");
}
