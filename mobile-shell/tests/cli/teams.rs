//! Pairs, zones and a lost buddy by command: proposed, kept, moved, shown; written down and over.

use std::path::Path;

use serde_json::Value;

use crate::support::{course, done, enrolled, folder, lone, pool_one, refused};

/// A lone instructor's class of four with a pool session today.
fn class(within: &Path) {
    lone(within);
    course(within, "today");
    for name in [
        "Baldo Cantavento",
        "Emil Quatrefaire",
        "Ottilie Brandvoll",
        "Thora Sandsdottir",
    ] {
        enrolled(within, name, "1990-02-03");
    }
    pool_one(within, "now");
}

fn at<'a>(verb: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let of = ["session", verb, "tablet", "--session", "Pool one"];
    [&of[..], more].concat()
}

fn json(within: &Path, verb: &str, more: &[&str]) -> Value {
    let args = [&at(verb, more)[..], &["--json"]].concat();
    let said: Value = serde_json::from_str(&done(within, &args)).unwrap();
    said["value"].clone()
}

/// The names of each pair, in alphabetical order.
fn pairs(seen: &Value) -> Vec<Vec<String>> {
    let pairs = seen["pairs"].as_array().unwrap().iter();
    let names = |pair: &Value| {
        let students = pair["students"].as_array().unwrap().iter();
        let mut names: Vec<String> = students
            .map(|one| one["short"].as_str().unwrap().to_owned())
            .collect();
        names.sort();
        names
    };
    pairs.map(names).collect()
}

#[test]
fn pairs_are_a_proposal_until_they_are_kept_and_are_moved_one_by_one() {
    let folder = folder();
    let within = folder.path();
    class(within);
    println!("## Proposed: two pairs of four, and nobody's word");
    let proposed = json(within, "pairs", &[]);
    assert!(proposed["kept"].is_null());
    assert_eq!(pairs(&proposed).len(), 2);
    assert!(done(within, &at("pairs", &[])).contains("Proposed, and kept by nobody yet."));
    println!("## Kept as proposed, once");
    done(within, &at("pairs", &["--keep-proposal"]));
    let kept = json(within, "pairs", &[]);
    assert_eq!(kept["kept"]["by"]["name"], "Tove Askildsen");
    assert_eq!(pairs(&kept), pairs(&proposed));
    refused(within, &at("pairs", &["--keep-proposal"]), 4);
    println!("## Said whole: the pairs that are named, and the zones stay");
    let said = ["--pair", "Baldo,Thora", "--pair", "Emil,Ottilie"];
    done(within, &at("pairs", &said));
    let seen = json(within, "pairs", &[]);
    let wanted = [["Baldo", "Thora"], ["Emil", "Ottilie"]];
    assert_eq!(pairs(&seen), wanted);
    assert_eq!(seen["zones"], kept["zones"]);
    println!("## One moves: three and one who is alone; and alone means out of every pair");
    done(
        within,
        &at("buddy", &["--who", "Thora", "--beside", "Emil"]),
    );
    let three = json(within, "pairs", &[]);
    assert!(pairs(&three).contains(&vec!["Emil".into(), "Ottilie".into(), "Thora".into()]));
    assert_eq!(three["alone"][0]["short"], "Baldo");
    let again = at("buddy", &["--who", "Thora", "--beside", "Ottilie"]);
    assert!(done(within, &again).contains("stands so already"));
    println!("## A zone is said, and one student taken out of it");
    let zone = ["--zone", "Tove=Baldo,Thora"];
    done(within, &at("pairs", &zone));
    println!("## The headcount says the pair and who watches, in figures and in words");
    let count = json(within, "count", &[]);
    let people = count["people"].as_array().unwrap();
    let of = |short: &str| {
        let mut rows = people.iter();
        rows.find(|row| row["who"]["student"]["short"] == short)
            .unwrap()
    };
    assert_eq!(of("Thora")["pair"], of("Emil")["pair"]);
    assert!(of("Thora")["pair"].is_number());
    assert_eq!(of("Baldo")["watched_by"]["name"], "Tove Askildsen");
    assert!(of("Emil")["watched_by"].is_null());
    let said = done(within, &at("count", &[]));
    let line = said.lines().find(|line| line.contains("Thora")).unwrap();
    assert!(line.ends_with("watched by Tove Askildsen"), "{line}");
    assert!(line.contains("  Pair "), "{line}");
    done(within, &at("watch", &["--student", "Thora", "--nobody"]));
    let watched = json(within, "pairs", &[]);
    assert_eq!(watched["zones"][0]["watches"].as_array().unwrap().len(), 1);
    assert_eq!(watched["unwatched"].as_array().unwrap().len(), 3);
    done(
        within,
        &at("watch", &["--student", "Thora", "--staff", "Tove"]),
    );
    let back = json(within, "pairs", &[]);
    assert_eq!(back["zones"][0]["watches"].as_array().unwrap().len(), 2);
    println!("## Four are no pair; what is left out is said; nothing was written");
    let crowd = at("pairs", &["--pair", "Baldo,Emil,Ottilie,Thora"]);
    let said = refused(within, &crowd, 4);
    assert!(!said.contains("Baldo"), "no name in an error: {said}");
    refused(within, &at("pairs", &["--zone", "Tove"]), 4);
    refused(within, &at("pairs", &["--pair", ","]), 4);
    assert_eq!(json(within, "pairs", &[]), back);
    println!("## In German too");
    let german = at("pairs", &["--language", "de"]);
    assert!(done(within, &german).contains("Paar 1"));
}

#[test]
fn a_lost_buddy_is_written_down_with_what_to_do_until_it_is_over() {
    let folder = folder();
    let within = folder.path();
    class(within);
    let open = || json(within, "lost", &[])["lost"].clone();
    assert_eq!(open().as_array().unwrap().len(), 0);
    refused(within, &at("lost", &["--found"]), 4);
    println!("## Begun, with who is missing and who said so; the card is read at once");
    let begun = at("lost", &["--person", "Emil", "--reported-by", "Baldo"]);
    let said = done(within, &begun);
    assert!(
        said.contains("Written down.") && said.contains("  1. "),
        "{said}"
    );
    let lost = open();
    assert_eq!(lost[0]["missing"][0]["student"]["short"], "Emil");
    assert_eq!(lost[0]["reported_by"]["student"]["short"], "Baldo");
    assert!(lost[0]["since"].is_string());
    assert!(done(within, &at("lost", &[])).contains("Emil"));
    println!("## Of two none is ended by chance; by its entry one is");
    done(within, &at("lost", &["--begin"]));
    let two = refused(within, &at("lost", &["--found"]), 4);
    assert!(two.contains("several fit"), "{two}");
    let entry = lost[0]["entry"].as_str().unwrap().to_owned();
    done(within, &at("lost", &["--found", "--alarm", &entry]));
    assert_eq!(open().as_array().unwrap().len(), 1);
    done(within, &at("lost", &["--taken-over"]));
    assert_eq!(open().as_array().unwrap().len(), 0);
    println!("## A time without anything to be written is refused, and nothing is");
    refused(within, &at("lost", &["--when", "now"]), 4);
    assert_eq!(open().as_array().unwrap().len(), 0);
}
