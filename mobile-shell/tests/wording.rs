//! Every word on screen has its German, with the same places for figures; and the catalogue
//! holds nothing that neither screen, paper nor command line says.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// A word as the screens say it: context, text, and the text for many.
pub(crate) type Word = (Option<String>, String, Option<String>);

fn files(folder: &Path, end: &str, into: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files(&path, end, into);
        } else if path.extension().is_some_and(|it| it == end) {
            into.push(path);
        }
    }
}

/// Reads one quoted string at the start of `text`; gives it back with what follows.
fn quoted(text: &str) -> Option<(String, &str)> {
    let rest = text.trim_start().strip_prefix('"')?;
    let mut said = String::new();
    let mut letters = rest.char_indices();
    while let Some((at, letter)) = letters.next() {
        match letter {
            '"' => return Some((said, &rest[at + 1..])),
            '\\' => said.push(letters.next()?.1),
            other => said.push(other),
        }
    }
    None
}

fn words() -> BTreeSet<Word> {
    let mut found = Vec::new();
    files(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("ui"),
        "slint",
        &mut found,
    );
    let mut all = BTreeSet::new();
    for file in found {
        let text = std::fs::read_to_string(&file).unwrap();
        for part in text.split("@tr(").skip(1) {
            let (mut said, mut rest) = quoted(part).unwrap();
            let mut context = None;
            if let Some(after) = rest.trim_start().strip_prefix("=>") {
                context = Some(said);
                (said, rest) = quoted(after).unwrap();
            }
            let many = rest
                .trim_start()
                .strip_prefix('|')
                .map(|after| quoted(after).unwrap().0);
            all.insert((context, said, many));
        }
    }
    all
}

pub(crate) fn german() -> BTreeMap<Word, Vec<String>> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../core/lang/de/LC_MESSAGES/tallywater-screens.po");
    let text = std::fs::read_to_string(file).unwrap();
    let mut all = BTreeMap::new();
    for block in text.split("\n\n") {
        let (mut context, mut one, mut many, mut says) = (None, None, None, Vec::new());
        for line in block.lines() {
            let said = |key: &str| {
                line.strip_prefix(key)
                    .and_then(quoted)
                    .map(|(said, _)| said)
            };
            if let Some(it) = said("msgctxt ") {
                context = Some(it);
            } else if let Some(it) = said("msgid_plural ") {
                many = Some(it);
            } else if let Some(it) = said("msgid ") {
                one = Some(it);
            } else if line.starts_with("msgstr") {
                says.push(quoted(&line[line.find('"').unwrap()..]).unwrap().0);
            }
        }
        if let Some(one) = one.filter(|it| !it.is_empty()) {
            all.insert((context, one, many), says);
        }
    }
    all
}

/// The code that says words without a screen: paper's tables and the command line.
fn beside_the_screens() -> String {
    let shell = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    files(&shell.join("../core/src/paper/words"), "rs", &mut found);
    files(&shell.join("src"), "rs", &mut found);
    found
        .iter()
        .map(|file| std::fs::read_to_string(file).unwrap())
        .collect()
}

/// A text as code writes it.
fn written(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

fn places(text: &str) -> BTreeSet<String> {
    text.split('{')
        .skip(1)
        .filter_map(|part| part.split_once('}'))
        .map(|(name, _)| name.to_owned())
        .collect()
}

#[test]
fn every_word_on_screen_has_its_german() {
    let german = german();
    let words = words();
    assert!(words.len() > 300, "only {} words were found", words.len());
    let missing: Vec<&Word> = words.iter().filter(|it| !german.contains_key(it)).collect();
    assert!(missing.is_empty(), "no German for {missing:#?}");
    let elsewhere = beside_the_screens();
    let unused: Vec<&Word> = (german.keys())
        .filter(|it| !words.contains(it) && !elsewhere.contains(&written(&it.1)))
        .collect();
    assert!(unused.is_empty(), "German nobody says {unused:#?}");
}

#[test]
fn german_keeps_the_places_for_figures() {
    for ((_, one, many), says) in german() {
        assert_eq!(says.len(), if many.is_some() { 2 } else { 1 }, "{one}");
        for said in says {
            assert!(!said.trim().is_empty(), "{one} is empty in German");
            assert_eq!(places(&said), places(&one), "{one}: {said}");
        }
    }
}
