//! At the surface, by command: all of them, except; and times in the water put right.

use std::path::Path;

use serde_json::Value;

use crate::support::{course, done, enrolled, folder, lone, pool_one, refused};

const DAY: &str = "yesterday";

/// A school begun in an empty folder: a lone instructor, a class of four, a pool session of
/// yesterday.
fn class(within: &Path) {
    lone(within);
    course(within, DAY);
    for name in [
        "Baldo Cantavento",
        "Emil Quatrefaire",
        "Ottilie Brandvoll",
        "Thora Sandsdottir",
    ] {
        enrolled(within, name, "1990-02-03");
    }
    pool_one(within, &format!("{DAY} 10:00"));
}

fn json(within: &Path, args: &[&str]) -> Value {
    let args = [args, &["--json"]].concat();
    let said: Value = serde_json::from_str(&done(within, &args)).unwrap();
    said["value"].clone()
}

fn times(within: &Path, who: &str, down: &str, up: &str) {
    let at = |clock: &str| format!("{DAY} {clock}");
    done(
        within,
        &[
            "session",
            "times",
            "tablet",
            "--session",
            "Pool one",
            "--who",
            who,
            "--in",
            &at(down),
            "--out",
            &at(up),
        ],
    );
}

#[test]
fn all_of_them_except_is_one_command() {
    let folder = folder();
    let within = folder.path();
    class(within);
    for who in ["Baldo", "Emil", "Ottilie"] {
        times(within, who, "10:05", "10:50");
    }
    let sweep = |more: &[&'static str]| -> Vec<&'static str> {
        let sweep = [
            "skill",
            "sweep",
            "tablet",
            "met",
            "--session",
            "Pool one",
            "--skill",
            "mask-full",
        ];
        [&sweep[..], more].concat()
    };
    println!("## A preview says who would be marked and who is left out, and records nothing");
    let seen = json(within, &sweep(&["--except", "Emil", "--preview"]));
    assert_eq!(seen["preview"], true);
    assert_eq!(seen["marked"].as_array().unwrap().len(), 3);
    assert_eq!(seen["left_out"][0]["student"]["name"], "Thora Sandsdottir");
    assert_eq!(seen["left_out"][0]["why"], "not-in-water");
    assert_eq!(seen["entries"].as_array().unwrap().len(), 0);
    println!("## One who is left out is no exception");
    let said = refused(within, &sweep(&["--except", "Thora"]), 4);
    assert!(said.contains("left out"), "{said}");
    assert!(!said.contains("Thora"), "no name in an error: {said}");
    println!("## Done: two met, one not yet, from memory and as of when the last came out");
    let said = done(within, &sweep(&["--except", "Emil"]));
    assert!(
        said.contains("left out: Thora Sandsdottir: not counted in the water"),
        "{said}"
    );
    let line = |who: &str| {
        let shown = json(
            within,
            &["skill", "show", "tablet", "-s", who, "--skill", "mask-full"],
        );
        let lines = shown["lines"].as_array().unwrap().clone();
        assert_eq!(lines.len(), 1, "{who}: one try");
        lines[0].clone()
    };
    assert_eq!(line("Baldo")["mark"], "met");
    assert_eq!(line("Emil")["mark"], "not-yet");
    assert_eq!(line("Ottilie")["from"], "memory");
    assert!(line("Ottilie")["seen"].as_str().unwrap().contains("T10:50"));
    println!("## All of them are marked now: there is nothing more to sweep");
    refused(within, &sweep(&[]), 4);
}

#[test]
fn times_in_the_water_are_corrected_by_command_and_say_when_they_were_written() {
    let folder = folder();
    let within = folder.path();
    class(within);
    times(within, "Baldo", "10:05", "10:50");
    times(within, "Baldo", "10:05", "10:41");
    let count = json(
        within,
        &["session", "count", "tablet", "--session", "Pool one"],
    );
    let people = count["people"].as_array().unwrap();
    let who = |one: &&Value| one["who"]["student"]["name"] == "Baldo Cantavento";
    let baldo = people.iter().find(who).unwrap();
    let dive = &baldo["dives"][0];
    assert!(dive["in"].as_str().unwrap().contains("T10:05"));
    assert!(dive["out"].as_str().unwrap().contains("T10:41"));
    assert!(dive["out_written"].is_string(), "{dive}");
    println!("## The same once more adds nothing; what cannot be is refused");
    let args = |down: &str, up: &str| -> Vec<String> {
        let fixed = [
            "session",
            "times",
            "tablet",
            "--session",
            "Pool one",
            "--who",
            "Baldo",
        ];
        let fixed = fixed.iter().map(|it| (*it).to_owned());
        let (down, up) = (format!("{DAY} {down}"), format!("{DAY} {up}"));
        fixed
            .chain(["--in".to_owned(), down, "--out".to_owned(), up])
            .collect()
    };
    let same = args("10:05", "10:41");
    let same: Vec<&str> = same.iter().map(String::as_str).collect();
    assert!(done(within, &same).contains("stand already"));
    let wrong = args("10:41", "10:05");
    let wrong: Vec<&str> = wrong.iter().map(String::as_str).collect();
    assert!(refused(within, &wrong, 4).contains("ends before it begins"));
    println!("## In German too");
    let german = [&same[..], &["--language", "de"]].concat();
    assert!(done(within, &german).contains("stehen schon da"));
}
