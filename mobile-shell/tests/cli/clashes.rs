//! What else is on at the same hour, said beside a plan: staff by name, students in number.

use std::path::Path;

use crate::support::{course, done, enrolled, err, folder, lone, out, refused, tallywater};

fn school(within: &Path) {
    lone(within);
    course(within, "-1");
    enrolled(within, "Émile Quatrefaire", "1990-02-03");
}

fn plan<'a>(title: &'a str, starts: &'a str) -> Vec<&'a str> {
    vec![
        "session",
        "plan",
        "tablet",
        "--block",
        "pool-1",
        "--title",
        title,
        "--site",
        "Harbour Pool",
        "--starts",
        starts,
        "--minutes",
        "60",
    ]
}

/// Runs a command that must be done; answers what it said beside its answer.
fn beside(within: &Path, args: &[&str]) -> String {
    let ran = tallywater(within, args);
    assert!(ran.status.success(), "{args:?}: {}{}", out(&ran), err(&ran));
    err(&ran)
}

#[test]
fn what_is_on_at_the_same_hour_is_said_and_no_student_is_named() {
    let within = folder();
    let within = within.path();
    school(within);
    let said = beside(within, &plan("Early pool", "tomorrow 10:00"));
    assert!(!said.contains("At the same hour"), "{said}");
    // One that begins when the other ends is not at the same hour.
    let said = beside(within, &plan("Late pool", "tomorrow 11:00"));
    assert!(!said.contains("At the same hour"), "{said}");
    println!("## A preview warns, and so does the plan");
    let mut twice = plan("Second pool", "tomorrow 10:30");
    twice.push("--preview");
    let clash = |said: &str| {
        for part in [
            "At the same hour: Early pool, First dives, June, ",
            "At the same hour: Late pool",
            "10:00 to 11:00.",
            "In both: Tove Askildsen.",
            "Students in both: 1.",
        ] {
            assert!(said.contains(part), "{part}: {said}");
        }
        assert!(!said.contains("mile"), "no student is named: {said}");
    };
    clash(&beside(within, &twice));
    twice.pop();
    twice.extend(["--language", "de"]);
    let said = beside(within, &twice);
    for part in [
        "Zur selben Stunde: Early pool",
        "In beiden: Tove Askildsen.",
        "Schüler in beiden: 1.",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    println!("## What is moved is not beside itself, and beside what it is moved to");
    let moved = |starts| {
        [
            "session",
            "move",
            "tablet",
            "--session",
            "Second pool",
            "--starts",
            starts,
            "--why",
            "the pool is taken",
        ]
    };
    let said = beside(within, &moved("tomorrow 15:00"));
    assert!(!said.contains("At the same hour"), "{said}");
    clash(&beside(within, &moved("tomorrow 10:45")));
    println!("## What was cancelled is not on any more");
    for title in ["Early pool", "Late pool"] {
        let cancel = [
            "session",
            "cancel",
            "tablet",
            "--session",
            title,
            "--why",
            "fog",
        ];
        done(within, &cancel);
    }
    let said = beside(within, &moved("tomorrow 10:30"));
    assert!(!said.contains("At the same hour"), "{said}");
    let said = refused(within, &moved("noonish"), 4);
    assert!(!said.contains("At the same hour"), "{said}");
}
