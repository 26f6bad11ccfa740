//! What cannot be understood, and what cannot be done.

use crate::support::{COURSE, TABLET, done, refused, school};

#[test]
fn what_is_not_understood_is_2_not_there_3_and_refused_4_and_each_says_why() {
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
    for (args, says, code) in [
        (
            &["paper", "summary", "nowhere", "-o", "x.pdf"][..],
            "no device folder",
            3,
        ),
        (
            &["paper", "summary", TABLET, "-o", "x.pdf"],
            "name one with --course",
            4,
        ),
        (
            &["paper", "summary", TABLET, "-c", "Wreck", "-o", "x.pdf"],
            "no course Wreck",
            3,
        ),
        (
            &["paper", "summary", TABLET, "-c", "First", "-o", "x.pdf"],
            "several fit",
            4,
        ),
        (
            &[
                "paper", "record", TABLET, "-c", COURSE, "-s", "Nobody", "-o", "x.pdf",
            ],
            "no student Nobody",
            3,
        ),
        (
            &[
                "paper", "slate", TABLET, "-c", COURSE, "-s", "Pool 99", "-o", "x.pdf",
            ],
            "no session Pool 99",
            3,
        ),
        (
            &[
                "paper", "cards", TABLET, "-c", COURSE, "--skill", "juggling", "-o", "x.pdf",
            ],
            "no skill juggling",
            3,
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
            3,
        ),
        (&["verify", "no-such-file"], "no file no-such-file", 3),
        (
            &["verify", TABLET, "-c", COURSE, "-f", "12 34"],
            "64 digits",
            4,
        ),
    ] {
        let said = refused(within, args, code);
        assert!(said.contains(says), "{args:?}: {said}");
    }
    assert!(!within.join("x.pdf").exists());
    let help = done(within, &["paper", "record", "--help"]);
    assert!(
        help.contains("counted in a record") && help.contains("--every-course"),
        "{help}"
    );
}
