//! What the gate of a session knows, as `session show` says it: what it is besides, the depth
//! allowed, what staff lack, ascents, the young, and what was set aside with its reason.

use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

use serde_json::Value;

use crate::support::{confirmed, course, done, enrolled, folder, lone, refused, tallywater};

/// The first day of the year in which somebody who is thirteen now was born.
fn thirteen() -> String {
    let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap();
    let year = 1970 + now.as_secs() / 31_556_952;
    format!("{}-01-01", year - 13)
}

fn school(within: &Path) {
    let born = thirteen();
    lone(within);
    confirmed(within);
    course(within, "-1");
    enrolled(within, "Émile Quatrefaire", "1990-02-03");
    enrolled(within, "Ottilie Brandsma", &born);
    let plan = [
        "session",
        "plan",
        "tablet",
        "--block",
        "open-2",
        "--title",
        "Quarry dive",
        "--site",
        "Quarry Mere",
        "--starts",
        "tomorrow 09:00",
        "--depth",
        "10",
        "--also",
        "night",
        "--also",
        "boat",
    ];
    done(within, &plan);
}

fn show<'a>(more: &[&'a str]) -> Vec<&'a str> {
    let show = ["session", "show", "tablet", "--session", "Quarry"];
    show.into_iter().chain(more.iter().copied()).collect()
}

fn seen(within: &Path) -> Value {
    let said = done(within, &show(&["--json"]));
    let whole: Value = serde_json::from_str(&said).unwrap();
    whole["value"].clone()
}

#[test]
fn a_session_says_what_its_gate_knows() {
    let within = folder();
    let within = within.path();
    school(within);
    let said = done(within, &show(&[]));
    for part in [
        "besides: Night (Over the limit), Boat",
        "depth allowed: 12",
        "Tove Askildsen  Teaching status: missing",
        "ascents that day: ",
        "under 15: 1; students of age beside them: 1; assistants, whose age is not recorded: 0; ",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    let german = done(within, &show(&["--language", "de"]));
    for part in [
        "außerdem: ",
        "erlaubte Tiefe: 12",
        "fehlt",
        "Aufstiege an dem Tag: ",
        "unter 15: 1; erwachsene Schüler neben ihnen: 1; Assistenten, ",
    ] {
        assert!(german.contains(part), "{part}: {german}");
    }
    let value = seen(within);
    let conditions = value["conditions"].as_array().unwrap();
    let words: Vec<&Value> = conditions.iter().map(|one| &one["condition"]).collect();
    assert_eq!(words, ["night", "boat"]);
    assert_eq!(conditions[0]["limit"], "over");
    assert_eq!(
        (&value["pairing"]["under"], &value["pairing"]["young"]),
        (&Value::from(15), &Value::from(1))
    );
    assert!(value["water"]["depth_allowed"]["figure"].is_string());
    println!("## Which rule sets the depth is said by its id");
    let rule = value["water"]["depth_rule"].as_str().unwrap();
    let rules = done(within, &["rules", "show", "tablet", "--ids"]);
    assert!(rules.lines().any(|id| id == rule), "{rule}: {rules}");
    assert!(said.contains(&format!(", by the rule {rule}\n")), "{said}");
    assert!(
        german.contains(&format!(", nach der Regel {rule}\n")),
        "{german}"
    );
    let staff = &value["staff_checks"][0];
    assert_eq!(
        (&staff["staff"]["name"], &staff["role"]),
        (&Value::from("Tove Askildsen"), &Value::from("instructor"))
    );
    assert_eq!(staff["missing"][0]["what"], "not-recorded");
    assert_eq!(staff["missing"][0]["paper"], "teaching-status");
    assert!(staff["ascents"].is_u64() && staff["ascents_limit"].is_string());
    for one in value["students"].as_array().unwrap() {
        assert!(
            one["ascents"].is_u64() && one["dives_limit"].is_string(),
            "{one}"
        );
        assert!(one["overrides"].as_array().unwrap().is_empty(), "{one}");
    }
    println!("## A preview says the same of what would be planned");
    let preview = [
        "session",
        "change",
        "tablet",
        "--session",
        "Quarry",
        "--without",
        "night",
        "--preview",
    ];
    let said = done(within, &preview);
    assert!(
        said.contains("besides: Boat") && !said.contains("Night"),
        "{said}"
    );
}

#[test]
fn what_was_set_aside_is_said_with_who_and_why() {
    let within = folder();
    let within = within.path();
    school(within);
    let let_in = |student, why| {
        [
            "skill",
            "let-in",
            "tablet",
            "--student",
            student,
            "--session",
            "Quarry",
            "--why",
            why,
        ]
    };
    assert!(!tallywater(within, &let_in("Émile", "")).status.success());
    refused(within, &let_in("Nobody", "seen at the pool"), 3);
    assert!(!done(within, &show(&[])).contains("Set aside by"));
    done(within, &let_in("Émile", "seen at the pool"));
    let said = done(within, &show(&[]));
    let line = said
        .lines()
        .find(|line| line.contains("Set aside by"))
        .unwrap();
    assert!(
        line.contains("Tove Askildsen") && line.contains("seen at the pool"),
        "{line}"
    );
    let german = done(within, &show(&["--language", "de"]));
    assert!(german.contains("Übergangen von Tove Askildsen"), "{german}");
    let value = seen(within);
    let students = value["students"].as_array().unwrap();
    let aside: Vec<&Value> = students
        .iter()
        .flat_map(|one| one["overrides"].as_array().unwrap())
        .collect();
    assert_eq!(aside.len(), 1);
    assert_eq!(aside[0]["why"], "seen at the pool");
    assert_eq!(aside[0]["by"]["name"], "Tove Askildsen");
    assert!(!aside[0]["skills"].as_array().unwrap().is_empty());
    refused(
        within,
        &["session", "show", "tablet", "--session", "Nowhere"],
        3,
    );
}
