//! What a session is besides its setting, said when it is planned by command.

use serde_json::Value;

use crate::support::{confirmed, course, done, enrolled, folder, lone, refused};

fn answer(within: &std::path::Path, args: &[&str]) -> Value {
    serde_json::from_str(&done(within, args)).unwrap()
}

fn forbidden(session: &Value) -> Vec<&str> {
    let students = session["value"]["students"].as_array().unwrap();
    let missing = students[0]["missing"].as_array().unwrap().iter();
    missing
        .filter(|gap| gap["what"] == "forbidden")
        .map(|gap| gap["about"]["condition"].as_str().unwrap())
        .collect()
}

#[test]
fn a_night_dive_is_said_to_be_forbidden_before_it_is_planned_and_can_be_taken_back() {
    let within = folder();
    let within = within.path();
    lone(within);
    confirmed(within);
    course(within, "-1");
    enrolled(within, "Émile Quatrefaire", "1990-02-03");
    let plan = [
        "session",
        "plan",
        "tablet",
        "--block",
        "open-2",
        "--site",
        "Quarry Mere",
        "--starts",
        "tomorrow 20:00",
        "--also",
        "night",
        "--also",
        "boat",
    ];
    let seen = answer(within, &[&plan[..], &["--preview", "--json"]].concat());
    assert_eq!(
        forbidden(&seen),
        ["night"],
        "a boat is forbidden by no starting rule"
    );
    done(within, &plan);
    let change = [
        "session",
        "change",
        "tablet",
        "--session",
        "Open water 2",
        "--without",
        "night",
    ];
    let seen = answer(within, &[&change[..], &["--preview", "--json"]].concat());
    assert_eq!(forbidden(&seen), Vec::<&str>::new());
    let said = refused(within, &[&plan[..], &["--also", "fog"]].concat(), 2);
    assert!(said.contains("fog"), "{said}");
}
