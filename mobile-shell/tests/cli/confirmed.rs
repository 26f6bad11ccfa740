//! By which text a rule was confirmed, and what a ratio's cap comes to.

use std::path::Path;

use serde_json::Value;

use crate::support::{done, err, folder, lone, out, refused, tallywater};

fn rule(within: &Path, id: &str) -> Value {
    let said = done(within, &["rules", "show", "tablet", "--json"]);
    let whole: Value = serde_json::from_str(&said).unwrap();
    let rules = whole["value"]["rules"].as_array().unwrap().clone();
    rules.into_iter().find(|one| one["rule"] == id).unwrap()
}

#[test]
fn a_rule_says_the_text_it_was_confirmed_by_and_a_cap_what_it_comes_to() {
    let within = folder();
    let within = within.path();
    lone(within);
    let before = rule(within, "ratio-open");
    assert_eq!(before["confirmed"], Value::Null);
    let example = &before["example"];
    assert!(example["students"].as_u64().unwrap() > 0, "{example}");
    assert_eq!(example["of_session"], false, "no session is planned");
    assert_eq!(rule(within, "dives-per-day")["example"], Value::Null);
    let said = done(within, &["rules", "show", "tablet"]);
    assert!(!said.contains("Text read"), "{said}");
    println!("## What is confirmed is shown before it is");
    let confirm = [
        "rules",
        "confirm",
        "tablet",
        "--rule",
        "ratio-open",
        "--text",
        "Standards of Tarn",
        "--edition",
        "2026",
        "--clause",
        "4.2",
        "--read",
        "2026-01-31",
    ];
    let ran = tallywater(within, &confirm);
    assert!(ran.status.success(), "{}", err(&ran));
    let read = err(&ran);
    for part in [
        "ratio-open",
        "For example with instructors",
        "Read the other way: ",
    ] {
        assert!(read.contains(part), "{part}: {read}");
    }
    assert!(out(&ran).contains("Rules confirmed: 1"));
    let said = done(within, &["rules", "show", "tablet"]);
    assert!(
        said.contains("Text read: Standards of Tarn, 2026, 4.2, 2026-01-31"),
        "{said}"
    );
    assert!(said.contains("confirmed by Tove Askildsen"), "{said}");
    let german = done(within, &["rules", "show", "tablet", "--language", "de"]);
    assert!(
        german.contains("Gelesener Text: Standards of Tarn, 2026, 4.2, 2026-01-31"),
        "{german}"
    );
    assert!(german.contains("Anders gelesen: "), "{german}");
    let after = rule(within, "ratio-open");
    let by = &after["confirmed"];
    assert_eq!(by["text"], "Standards of Tarn");
    assert_eq!(
        (&by["edition"], &by["clause"]),
        (&Value::from("2026"), &Value::from("4.2"))
    );
    assert_eq!(by["read"], "2026-01-31");
    assert_eq!(after["example"], before["example"]);
    println!("## A text without edition and clause leaves them out");
    let confirm = [
        "rules",
        "confirm",
        "tablet",
        "--rule",
        "depth-open",
        "--text",
        "house decision",
        "--read",
        "2026-02-01",
    ];
    done(within, &confirm);
    let by = &rule(within, "depth-open")["confirmed"];
    assert_eq!(
        (&by["edition"], &by["clause"]),
        (&Value::Null, &Value::Null)
    );
    let said = done(within, &["rules", "show", "tablet"]);
    assert!(
        said.contains("Text read: house decision, 2026-02-01"),
        "{said}"
    );
}

#[test]
fn a_text_that_is_none_and_a_day_to_come_are_refused() {
    let within = folder();
    let within = within.path();
    lone(within);
    for (rule, text, read) in [
        ("ratio-open", "", "today"),
        ("ratio-open", "Standards", "+2"),
        ("ratio-open", "Standards", "2026-02-30"),
        ("no-such-rule", "Standards", "today"),
    ] {
        let args = [
            "rules", "confirm", "tablet", "--rule", rule, "--text", text, "--read", read,
        ];
        let ran = tallywater(within, &args);
        assert!(!ran.status.success(), "{args:?}: {}", out(&ran));
    }
    refused(
        within,
        &["rules", "confirm", "tablet", "--rule", "ratio-open"],
        2,
    );
    let said = done(
        within,
        &["rules", "show", "tablet", "--unconfirmed", "--ids"],
    );
    assert!(said.lines().any(|id| id == "ratio-open"), "{said}");
}
