//! What a stranger with an empty folder is told at each step: what comes next, and who is not
//! ready.

use crate::support::{course, done, enrolled, folder, lone, refused};

#[test]
fn every_answer_on_an_empty_device_says_what_comes_next() {
    let within = folder();
    let within = within.path();
    let setup = [
        "setup",
        "tablet",
        "--alone",
        "--shop",
        "Tarn School",
        "--person",
        "Tove Askildsen",
    ];
    done(within, &setup);
    assert!(done(within, &["today", "tablet"]).contains("tallywater course open"));
    let open = [
        "course",
        "open",
        "tablet",
        "--title",
        "First dives, June",
        "--starts",
        "today",
    ];
    done(within, &open);
    assert!(done(within, &["today", "tablet"]).contains("tallywater student enrol"));
    let german = done(within, &["today", "tablet", "--language", "de"]);
    assert!(german.contains("niemand ist angemeldet"), "{german}");
}

#[test]
fn whoever_is_not_cleared_is_left_on_deck_and_that_is_said() {
    let within = folder();
    let within = within.path();
    lone(within);
    course(within, "today");
    enrolled(within, "Émile Quatrefaire", "1990-02-03");
    enrolled(within, "Ottilie Brandvoll", "1991-02-03");
    let all: [&[&str]; 1] = [&[
        "session",
        "plan",
        "tablet",
        "--block",
        "pool-1",
        "--site",
        "Hollow Lane",
        "--starts",
        "today 10:00",
    ]];
    for args in all {
        done(within, args);
    }
    let count = |args: &[&'static str]| -> Vec<&'static str> {
        let (verb, rest) = args.split_at(1);
        [&["session"], verb, &["tablet", "--session", "Pool 1"], rest].concat()
    };
    let shown = done(
        within,
        &["session", "show", "tablet", "--session", "Pool 1"],
    );
    assert!(!shown.contains("emergency-plan"), "{shown}");
    let missing = done(within, &["student", "missing", "tablet"]);
    assert!(missing.contains("a dive counts from 5"), "{missing}");
    assert!(!missing.contains("mask-full"), "{missing}");

    println!("## Nobody is cleared: refused, and why");
    let said = refused(within, &count(&["in", "--everyone"]), 4);
    assert!(said.contains("nobody is cleared"), "{said}");
    let said = refused(within, &count(&["out", "--everyone"]), 4);
    assert!(said.contains("in the water"), "{said}");

    println!("## One is let in all the same, which is said");
    let said = done(within, &count(&["in", "--who", "Émile"]));
    assert!(said.contains("Something is missing"), "{said}");

    println!("## The rules confirmed and one form seen: that one goes in, the other stays");
    let confirm = [
        "rules",
        "confirm",
        "tablet",
        "--all",
        "--text",
        "house decision",
    ];
    let said = done(within, &confirm);
    assert!(said.contains("confirm those with --course"), "{said}");
    let of_course = [&confirm[..], &["--course", "First dives"]].concat();
    assert!(!done(within, &of_course).contains("--course"));
    done(within, &count(&["out", "--everyone"]));
    done(
        within,
        &["form", "seen", "tablet", "health", "--student", "Ottilie"],
    );
    let said = done(within, &count(&["in", "--everyone"]));
    assert!(said.contains("Recorded for "), "{said}");
    done(within, &count(&["out", "--everyone"]));
    println!("## Whoever is left did not come, and then nobody is left");
    done(within, &count(&["absent", "--everyone"]));
    let said = refused(within, &count(&["absent", "--everyone"]), 4);
    assert!(said.contains("left on deck"), "{said}");
}
