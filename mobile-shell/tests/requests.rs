//! Everything that a person can ask for is asked for by some screen.

use std::path::{Path, PathBuf};

/// The requests that the border lists, by name.
fn requests() -> Vec<String> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../bindings/src/request.rs");
    let text = std::fs::read_to_string(file).unwrap();
    let (_, list) = text.split_once("enum Request = desk::Request {").unwrap();
    let mut names = Vec::new();
    for line in list.lines().skip(1) {
        // The list ends where its brace closes.
        if line == "    }" {
            break;
        }
        let Some(rest) = line.strip_prefix("        ") else {
            continue;
        };
        if rest.starts_with(char::is_uppercase) {
            let end = rest.find(|one: char| !one.is_alphanumeric());
            names.push(rest[..end.unwrap_or(rest.len())].to_owned());
        }
    }
    names
}

fn sources(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, into);
        } else if path.extension().is_some_and(|it| it == "rs") {
            into.push(path);
        }
    }
}

/// What the screens' code says.
fn screens() -> String {
    let mut files = Vec::new();
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    sources(&source.join("screen"), &mut files);
    files
        .iter()
        .map(|file| std::fs::read_to_string(file).unwrap())
        .collect()
}

#[test]
fn every_request_of_the_border_is_sent_by_a_screen() {
    let requests = requests();
    assert!(requests.len() > 30, "only {requests:?}");
    assert!(requests.contains(&"OpenCourse".to_owned()));
    let said = screens();
    let sent = |name: &String| {
        // A device is admitted by the code that its owner types, never by a key that somebody
        // would have to write down.
        let by = if name == "Admit" {
            ".show_code(".to_owned()
        } else {
            format!("Request::{name}")
        };
        said.match_indices(&by).any(|(at, _)| {
            let after = said[at + by.len()..].chars().next();
            name == "Admit" || after.is_none_or(|one| !one.is_alphanumeric())
        })
    };
    let missing: Vec<&String> = requests.iter().filter(|name| !sent(name)).collect();
    assert!(missing.is_empty(), "no screen asks for {missing:?}");
}
