//! What the pages for people say, held against what there is: each command line in a block of
//! shell has its command and its options, and each link its file.

use std::path::{Path, PathBuf};

use clap::{Command, CommandFactory as _};

use super::Line;

/// A page, by its path from the folder of this package.
fn page(path: &str) -> (PathBuf, String) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let text = std::fs::read_to_string(&path).unwrap();
    (path, text)
}

/// The command lines in a page's blocks of shell, each from behind the program's name to where
/// the shell ends it.
fn lines(page: &str) -> Vec<Vec<String>> {
    let mut all = Vec::new();
    for block in page.split("\n```sh\n").skip(1) {
        let block = block.split("\n```").next().unwrap_or_default();
        let block = block.replace("\\\n", " ");
        for (at, name) in block.match_indices("tallywater ") {
            let before = block[..at].chars().next_back().unwrap_or('\n');
            if before.is_whitespace() || before == '(' {
                all.push(words(&block[at + name.len()..]));
            }
        }
    }
    all
}

/// The words of a command line; what stands in quotes belongs to one word.
fn words(text: &str) -> Vec<String> {
    let (mut all, mut word, mut quote) = (Vec::new(), String::new(), None);
    for sign in text.chars() {
        match (quote, sign) {
            (Some(open), _) if sign == open => quote = None,
            (Some(_), _) => word.push(sign),
            (None, '"' | '\'') => quote = Some(sign),
            (None, '\n' | '|' | ';' | '&' | ')') => break,
            (None, '#') if word.is_empty() => break,
            (None, ' ') => all.push(std::mem::take(&mut word)),
            (None, _) => word.push(sign),
        }
    }
    all.push(word);
    all.retain(|word| !word.is_empty() && word != "--");
    all
}

/// What of a command line there is not: a command, or an option of it.
fn made_up(root: &Command, line: &[String]) -> Option<String> {
    let mut at = root;
    let mut rest = line.iter().peekable();
    while let Some(below) = rest.peek().and_then(|word| at.find_subcommand(word)) {
        at = below;
        rest.next();
    }
    if at.has_subcommands() && rest.peek().is_none_or(|word| !word.starts_with('-')) {
        return Some(format!("no such command in {line:?}"));
    }
    let args = || at.get_arguments().chain(root.get_arguments());
    let is_there = |word: &str| match word.strip_prefix("--") {
        Some("help" | "version") => true,
        Some(long) => {
            let name = long.split('=').next();
            args().any(|arg| arg.get_long() == name)
        }
        // A number below nought, or a word, is no option.
        None => match word.strip_prefix('-').and_then(|rest| rest.chars().next()) {
            Some(letter) if letter.is_ascii_alphabetic() => {
                args().any(|arg| arg.get_short() == Some(letter))
            }
            Some(_) | None => true,
        },
    };
    let unknown = rest.find(|word| !is_there(word))?;
    Some(format!("no {unknown} in {line:?}"))
}

#[test]
fn every_command_line_of_readme_and_manual_has_its_command_and_its_options() {
    let root = Line::command();
    let mut read = 0;
    let mut wrong = Vec::new();
    for name in ["../README.md", "MANUAL.md"] {
        let lines = lines(&page(name).1);
        read += lines.len();
        let found = lines.iter().filter_map(|line| made_up(&root, line));
        wrong.extend(found.map(|what| format!("{name}: {what}")));
    }
    assert!(read > 60, "only {read} command lines were found");
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn a_command_or_an_option_that_is_made_up_is_found() {
    let root = Line::command();
    let found = |line: &str| {
        let page = format!("# A page\n\n```sh\n{line}\n```\n");
        let lines = lines(&page);
        assert_eq!(lines.len(), 1, "{line}");
        made_up(&root, &lines[0]).is_some()
    };
    for good in [
        "tallywater session list tablet -c \"First dives\" --json | less --wheel",
        "for one in $(tallywater student list tablet --ids); do",
        "tallywater session plan tablet \\\n  --starts=\"-11 09:00\" --preview # --wheel",
        "cargo run -p tallywater -- demo school --pictures out",
    ] {
        assert!(!found(good), "{good}");
    }
    for bad in [
        "tallywater fly tablet",
        "tallywater session fly tablet",
        "tallywater session",
        "tallywater session list tablet --wheel",
        "tallywater session list tablet --wheel=3",
        "tallywater session list tablet -w",
        "for one in $(tallywater student list tablet --wheel); do",
    ] {
        assert!(found(&format!("{bad} ")), "{bad}");
    }
}

#[test]
fn every_link_of_a_page_leads_to_a_file() {
    let mut read = 0;
    for name in [
        "../README.md",
        "../DEVELOPERS.md",
        "../bindings/README.md",
        "README.md",
        "MANUAL.md",
        "JSON.md",
    ] {
        let (path, text) = page(name);
        let targets = text.split("](").skip(1);
        let targets = targets.filter_map(|rest| Some(rest.split_once(')')?.0));
        for target in targets {
            let file = target.split('#').next().unwrap_or_default();
            if file.is_empty() || file.contains("://") {
                continue;
            }
            read += 1;
            assert!(path.with_file_name(file).exists(), "{name}: {target}");
        }
    }
    assert!(read > 100, "only {read} links were found");
}
