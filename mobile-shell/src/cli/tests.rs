//! Tests of what the command line says: every text has its German.

use std::collections::{BTreeMap, BTreeSet};

use clap::{CommandFactory as _, ValueEnum};

use super::catalogue::{Language, t};
use super::{Line, help, words};

/// Every text that these sources hand to the catalogue.
fn said() -> BTreeSet<String> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/cli");
    let mut all = BTreeSet::new();
    for file in std::fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        // These tests say nothing to anybody.
        if path.ends_with("tests.rs") {
            continue;
        }
        let text = std::fs::read_to_string(path).unwrap();
        let text = text.split("#[cfg(test)]").next().unwrap().to_owned();
        for call in ["t(", "tr!("] {
            for (at, _) in text.match_indices(call) {
                let before = text[..at].chars().next_back().unwrap_or(' ');
                let rest = text[at + call.len()..].trim_start();
                if before.is_alphanumeric() || before == '_' || !rest.starts_with('"') {
                    continue;
                }
                let mut literal = String::new();
                let mut signs = rest[1..].chars();
                while let Some(sign) = signs.next() {
                    match sign {
                        '"' => break,
                        '\\' => literal.push(signs.next().unwrap()),
                        other => literal.push(other),
                    }
                }
                all.insert(literal);
            }
        }
    }
    all
}

fn places(text: &str) -> BTreeSet<String> {
    let parts = text
        .split('{')
        .skip(1)
        .filter_map(|part| part.split_once('}'));
    parts.map(|(name, _)| name.to_owned()).collect()
}

/// Names, addresses and signs that are the same in both languages.
const SAME: &[&str] = &[
    "in",
    "{mark}: {count}",
    "name",
    "Name",
    "Start",
    "Float",
    "Computer",
    "Code      {code}",
];

fn german_of(texts: &BTreeSet<String>) -> BTreeMap<String, String> {
    Language::De.speak();
    let all = texts.iter().map(|text| (text.clone(), t(text).to_owned()));
    let all = all.collect();
    Language::En.speak();
    all
}

#[test]
fn everything_that_commands_say_has_its_german_with_the_same_places() {
    let said = said();
    assert!(said.len() > 300, "only {} texts were found", said.len());
    let mut missing = Vec::new();
    for (english, german) in german_of(&said) {
        if english == german && !SAME.contains(&english.as_str()) {
            missing.push(english.clone());
        }
        assert_eq!(places(&english), places(&german), "{english}: {german}");
    }
    assert!(missing.is_empty(), "no German for {missing:#?}");
}

#[test]
fn every_choice_and_every_help_text_has_its_german() {
    let mut texts = BTreeSet::new();
    help::texts(&Line::command(), &mut texts);
    let mut choices = |all: Vec<&'static str>| texts.extend(all.iter().map(|it| (*it).to_owned()));
    choices(
        words::Mark::value_variants()
            .iter()
            .map(|it| it.said())
            .collect(),
    );
    choices(
        words::Kind::value_variants()
            .iter()
            .map(|it| it.said())
            .collect(),
    );
    choices(
        words::Alert::value_variants()
            .iter()
            .map(|it| it.said())
            .collect(),
    );
    choices(
        words::Form::value_variants()
            .iter()
            .map(|it| it.said())
            .collect(),
    );
    choices(
        words::Doubt::value_variants()
            .iter()
            .map(|it| it.said())
            .collect(),
    );
    choices(
        words::DeviceStands::value_variants()
            .iter()
            .map(|it| it.said())
            .collect(),
    );
    assert!(texts.len() > 200, "only {} texts were found", texts.len());
    let german = german_of(&texts);
    let same = german.iter().filter(|(english, german)| english == german);
    let missing: Vec<&String> = same
        .map(|(english, _)| english)
        .filter(|english| !SAME.contains(&english.as_str()))
        .collect();
    assert!(missing.is_empty(), "no German for {missing:#?}");
}

/// The whole help of a command and of every one below it.
fn helps(command: &mut clap::Command, into: &mut Vec<String>) {
    into.push(command.render_long_help().to_string());
    into.push(command.render_help().to_string());
    // What clap itself adds, `help`, has nothing of ours to say.
    for below in command.get_subcommands_mut() {
        if below.get_name() != "help" {
            helps(below, into);
        }
    }
}

#[test]
fn choices_and_the_help_flag_are_said_in_german_with_what_each_means() {
    Language::De.speak();
    let mut command = help::spoken(Line::command());
    command.build();
    let mark = ["skill", "mark"].iter().fold(&mut command, |above, name| {
        above.find_subcommand_mut(name).unwrap()
    });
    let (short, long) = (mark.render_help(), mark.render_long_help());
    let (short, long) = (short.to_string(), long.to_string());
    let not_yet = format!("- not-yet: {}", t("Not yet"));
    let mut all = Vec::new();
    helps(&mut command, &mut all);
    Language::En.speak();
    assert!(
        short.contains("[Zur Wahl: met, nearly, not-yet, sat-out]"),
        "{short}"
    );
    assert!(
        long.contains("Zur Wahl:") && long.contains(&not_yet),
        "{long}"
    );
    assert!(long.contains("- correction: "), "{long}");
    assert!(all.len() > 300, "only {} were rendered", all.len());
    for text in all {
        for english in ["ossible values", "Print help", "One more try"] {
            assert!(!text.contains(english), "{english} in {text}");
        }
    }
}

#[test]
fn the_command_line_is_described_without_a_fault() {
    Line::command().debug_assert();
    Language::De.speak();
    let german = help::spoken(Line::command());
    Language::En.speak();
    german.debug_assert();
}
