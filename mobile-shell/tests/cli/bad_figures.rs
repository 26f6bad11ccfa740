//! Figures and days that cannot be, typed at commands: each refusal names the field, what was
//! given, and the bounds with their unit; nothing changes.

use std::path::Path;

use crate::support::{course, done, enrolled, folder, lone, refused};

/// Everything that the commands below could have changed.
fn everything(within: &Path) -> String {
    let all: [&[&str]; 5] = [
        &["entry", "list", "tablet", "--ids"],
        &["student", "show", "tablet", "Ottilie", "--json"],
        &["staff", "list", "tablet", "--json"],
        &["site", "list", "tablet", "--json"],
        &["rules", "show", "tablet", "--json"],
    ];
    all.map(|args| done(within, args)).concat()
}

fn line<'a>(start: &[&'a str], more: &[&'a str]) -> Vec<&'a str> {
    [start, more].concat()
}

#[test]
fn a_figure_that_cannot_be_is_refused_with_its_bounds_and_their_unit() {
    let within = folder();
    let within = within.path();
    lone(within);
    course(within, "-1");
    enrolled(within, "Ottilie Brandvoll", "1990-02-03");
    done(
        within,
        &["site", "set", "tablet", "Quarry Mere", "--depth", "20"],
    );
    let plan = [
        "session",
        "plan",
        "tablet",
        "--block",
        "pool-1",
        "--site",
        "Quarry Mere",
        "--starts",
        "tomorrow 10:00",
    ];
    let site = ["site", "set", "tablet", "Quarry Mere"];
    let dive = [
        "dive",
        "log",
        "tablet",
        "--diver",
        "Ottilie",
        "--water",
        "fresh",
        "--down",
        "yesterday 10:00",
    ];
    let weight = [
        "weight",
        "add",
        "tablet",
        "--student",
        "Ottilie",
        "--water",
        "fresh",
        "--suit",
        "shorty",
        "--cylinder",
        "steel",
        "--verdict",
        "right",
    ];
    let (deep, half_hour) = ("500", ["--up", "yesterday 10:30"]);
    let dived = |more: &[&'static str]| line(&line(&dive, &half_hour), more);
    #[rustfmt::skip]
    let table: Vec<(Vec<&str>, &[&str])> = vec![
        // What was typed, and what is said of it.
        (line(&plan, &["--depth", deep]), &["in depth", "given 500.0 m", "at least 0.1 m", "at most 100.0 m"]),
        (line(&plan, &["--depth=-5"]), &["in depth", "given -5 m", "at least 0.1 m", "at most 100.0 m"]),
        (line(&plan, &["--depth", "deep"]), &["not a number", "in depth", "given deep"]),
        (line(&plan, &["--altitude", "99999"]), &["in altitude", "given 99999 m", "at least -500 m", "at most 4000 m"]),
        (line(&plan, &["--temperature", "60"]), &["in temperature", "given 60 °C", "at least -2 °C", "at most 45 °C"]),
        (line(&plan, &["--visibility", "20000"]), &["in visibility", "given 20000 m", "at most 100 m"]),
        (line(&plan, &["--minutes", "0"]), &["given 0 min", "at least 1 min", "at most 1440 min"]),
        (line(&plan, &["--title", " "]), &["something is left empty", "in title"]),
        (line(&site, &["--depth", deep]), &["in depth", "given 500.0 m", "at most 100.0 m"]),
        (line(&site, &["--position", "91 0"]), &["in position", "at least -90 -180", "at most 90 180"]),
        (dived(&["--depth", deep]), &["given 500.0 m", "at least 0.5 m", "at most 100.0 m"]),
        (dived(&["--depth", "10", "--mean-depth", "12"]), &["given 12.0 m", "at most 10.0 m"]),
        (dived(&["--depth", "10", "--cylinder", "12", "--start", "900", "--end", "50"]), &["given 900 bar", "at least 1 bar", "at most 350 bar"]),
        (dived(&["--depth", "10", "--cylinder", "9999", "--start", "200", "--end", "50"]), &["in cylinder", "given 9999 L", "at least 0.5 L", "at most 40 L"]),
        (line(&dive, &["--depth", "10", "--up", "yesterday 09:00"]), &["ends before it begins"]),
        (line(&weight, &["--weight", "50", "--size", "12", "--pressure", "50"]), &["given 50.0 kg", "at most 40.0 kg"]),
        (line(&weight, &["--weight", "6", "--size", "12", "--pressure", "400"]), &["given 400 bar", "at most 350 bar"]),
        (vec!["student", "body", "tablet", "Ottilie", "--height", "20", "--weight", "60"], &["given 20 cm", "at least 90 cm", "at most 230 cm"]),
        (vec!["student", "body", "tablet", "Ottilie", "--height", "170", "--weight", "900"], &["given 900 kg", "at least 20 kg", "at most 200 kg"]),
        (vec!["student", "enrol", "tablet", "--name", "Wilma Oldacre", "--born", "1800-01-01"], &["this day cannot be", "at least 1900-01-01"]),
        (vec!["student", "enrol", "tablet", "--name", "Wilma Oldacre", "--born", "2190-01-01"], &["this day cannot be", "given 2190-01-01", "at most "]),
        (vec!["staff", "renew", "tablet", "Tove", "insurance", "--until", "1870-01-01"], &["this day cannot be", "at least 2000-01-01", "at most 2199-12-31"]),
        (vec!["staff", "renew", "tablet", "Tove", "insurance", "--until", "soon"], &["year-month-day"]),
    ];
    let before = everything(within);
    for (args, says) in table {
        let said = refused(within, &args, 4);
        for part in says {
            assert!(said.contains(part), "{part} of {args:?}: {said}");
        }
        assert_eq!(everything(within), before, "{args:?} changed something");
    }
    println!("## In German too");
    let german = line(&plan, &["--depth", deep, "--language", "de"]);
    let said = refused(within, &german, 4);
    assert!(
        said.contains("mindestens 0.1 m") && said.contains("höchstens 100.0 m"),
        "{said}"
    );
}

#[test]
fn rules_with_a_figure_that_cannot_be_are_refused_rule_by_rule() {
    let within = folder();
    let within = within.path();
    lone(within);
    done(within, &["rules", "write", "tablet", "-o", "rules.json"]);
    let rules = std::fs::read_to_string(within.join("rules.json")).unwrap();
    let rules: serde_json::Value = serde_json::from_str(&rules).unwrap();
    let before = done(within, &["rules", "show", "tablet", "--json"]);
    for (id, figure, value, says) in [
        (
            "least-age",
            "age",
            0,
            [
                "least-age: A figure is out of bounds",
                "at least 8, at most 25",
            ],
        ),
        (
            "depth-under-15",
            "max_cm",
            9,
            [
                "depth-under-15: A figure is out of bounds",
                "at least 1.0 m, at most 40.0 m",
            ],
        ),
        (
            "dive-counts",
            "least_minutes",
            0,
            [
                "dive-counts: A figure is out of bounds",
                "at least 1, at most 60",
            ],
        ),
        (
            "emergency-plan",
            "months",
            99,
            [
                "emergency-plan: A figure is out of bounds",
                "at least 1, at most 60",
            ],
        ),
    ] {
        let mut bad = rules.clone();
        let all = bad["rules"].as_array_mut().unwrap();
        let rule = all.iter_mut().find(|one| one["id"] == id).unwrap();
        rule["rule"][figure] = value.into();
        std::fs::write(within.join("bad.json"), bad.to_string()).unwrap();
        let said = refused(within, &["rules", "set", "tablet", "bad.json"], 4);
        for part in says {
            assert!(said.contains(part), "{part}: {said}");
        }
        assert!(said.contains(&format!("id {id}")), "{said}");
    }
    println!("## An age of 999 is none that a file of rules can hold");
    let mut bad = rules.clone();
    let all = bad["rules"].as_array_mut().unwrap();
    let rule = all.iter_mut().find(|one| one["id"] == "least-age").unwrap();
    rule["rule"]["age"] = 999.into();
    std::fs::write(within.join("bad.json"), bad.to_string()).unwrap();
    refused(within, &["rules", "set", "tablet", "bad.json"], 4);
    let after = done(within, &["rules", "show", "tablet", "--json"]);
    assert_eq!(after, before);
}
