//! The next session and what to expect, from the command line.

use crate::support::{COURSE, TABLET, done, own_school, refused, school};

#[test]
fn the_next_session_is_worked_out_says_why_and_is_planned() {
    let ours = own_school();
    let worked_out = [
        "next",
        TABLET,
        "-c",
        COURSE,
        "--block",
        "pool-4",
        "--minutes",
        "60",
    ];
    let said = done(ours.path(), &worked_out);
    assert!(
        said.contains("Why this list") && said.contains("min to spare"),
        "{said}"
    );
    assert!(said.contains("Buddies: "), "{said}");
    let again = done(ours.path(), &worked_out);
    assert_eq!(said, again, "the same answer every time");
    // In German, and planned.
    let mut planned = worked_out.to_vec();
    planned.extend(["--language", "de"]);
    let said = done(ours.path(), &planned);
    assert!(said.contains("Warum dieser Ablauf"), "{said}");
    planned.push("--plan");
    let said = done(ours.path(), &planned);
    assert!(said.contains("geplant wie ausgearbeitet"), "{said}");
    // The demo has one of that name; ids are in the order of time.
    let ids = ["session", "list", TABLET, "-c", COURSE, "--ids"];
    let ids = done(ours.path(), &ids);
    let newest = ids.lines().max().unwrap().to_owned();
    let sheet = ours.path().join("sheet.pdf");
    let sheet = sheet.to_str().unwrap();
    let session = [
        "paper", "session", TABLET, "-c", COURSE, "-s", &newest, "-o", sheet,
    ];
    done(ours.path(), &session);
    let text = crate::support::tool("pdftotext", &["-layout", sheet, "-"]);
    assert!(
        text.contains("Stations") && text.contains("Buddies: "),
        "{text}"
    );
}

#[test]
fn what_is_asked_for_is_run_and_what_is_left_out_is_not() {
    let base = [
        "next",
        TABLET,
        "-c",
        COURSE,
        "--block",
        "pool-4",
        "--minutes",
        "40",
    ];
    let with = |more: &[&str]| {
        let args: Vec<&str> = base.iter().chain(more).copied().collect();
        done(school(), &args)
    };
    let pinned = with(&["--pin", "descent"]);
    assert!(pinned.contains("you asked for it"), "{pinned}");
    let without = with(&["--another-day", "descent"]);
    assert!(without.contains("left out as you asked"), "{without}");
    let said = refused(
        school(),
        &["next", TABLET, "-c", COURSE, "--pin", "no-such-skill"],
        3,
    );
    assert!(said.contains("skill"), "{said}");
    let none = ["next", TABLET, "-c", COURSE, "--minutes", "0"];
    let said = refused(school(), &none, 1);
    assert!(said.contains("no length"), "{said}");
}

#[test]
fn what_to_expect_is_a_span_and_says_so() {
    let said = done(school(), &["next", TABLET, "-c", COURSE, "--ahead"]);
    assert!(
        said.contains("The whole class") && said.contains("not a promise"),
        "{said}"
    );
}
