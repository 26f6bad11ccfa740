//! What cannot be understood, and what cannot be done.

use crate::support::{COURSE, TABLET, done, refused, school};

#[test]
fn what_cannot_be_understood_is_2_and_what_cannot_be_done_is_1_and_both_say_why() {
    let within = school();
    for args in [
        &["paper"][..],
        &["paper", "poster", TABLET],
        &["paper", "summary", TABLET],
        &[
            "paper", "slate", TABLET, "-s", "x", "--size", "a3", "-o", "x.pdf",
        ],
        &["export", "dive-log", TABLET, "-o", "x"],
        &["verify"],
        &["verify", "x", "--part", "skills=1"],
    ] {
        refused(within, args, 2);
    }
    for (args, says) in [
        (
            &["paper", "summary", "nowhere", "-o", "x.pdf"][..],
            "no device folder",
        ),
        (
            &["paper", "summary", TABLET, "-o", "x.pdf"],
            "name one with --course",
        ),
        (
            &["paper", "summary", TABLET, "-c", "Wreck", "-o", "x.pdf"],
            "no course Wreck",
        ),
        (
            &["paper", "summary", TABLET, "-c", "First", "-o", "x.pdf"],
            "several fit",
        ),
        (
            &[
                "paper", "record", TABLET, "-c", COURSE, "-s", "Nobody", "-o", "x.pdf",
            ],
            "no student Nobody",
        ),
        (
            &[
                "paper", "slate", TABLET, "-c", COURSE, "-s", "Pool 99", "-o", "x.pdf",
            ],
            "no session Pool 99",
        ),
        (
            &[
                "paper", "cards", TABLET, "-c", COURSE, "--skill", "juggling", "-o", "x.pdf",
            ],
            "no skill juggling",
        ),
        (
            &[
                "paper",
                "summary",
                TABLET,
                "-c",
                COURSE,
                "-o",
                "no/such/x.pdf",
            ],
            "no folder",
        ),
        (&["verify", "no-such-file"], "no file no-such-file"),
        (
            &["verify", TABLET, "-c", COURSE, "-f", "12 34"],
            "64 digits",
        ),
    ] {
        let said = refused(within, args, 1);
        assert!(said.contains(says), "{args:?}: {said}");
    }
    assert!(!within.join("x.pdf").exists());
    let help = done(within, &["paper", "record", "--help"]);
    assert!(
        help.contains("counted in a record") && help.contains("--every-course"),
        "{help}"
    );
}
