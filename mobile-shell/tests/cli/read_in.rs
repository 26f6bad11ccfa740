//! The language in which a school begins is that of its outline.

use crate::support::{done, folder};

#[test]
fn a_school_that_begins_in_german_has_the_starter_outline_in_german() {
    let within = folder();
    let within = within.path();
    for (language, tablet, skill) in [("de", "eins", "Partnercheck"), ("en", "two", "Buddy check")]
    {
        let speaks = |args: &[&str]| {
            let args: Vec<&str> = args
                .iter()
                .chain(&["--language", language])
                .copied()
                .collect();
            done(within, &args)
        };
        speaks(&[
            "setup",
            tablet,
            "--alone",
            "--shop",
            "Grebe Hollow Divers",
            "--person",
            "Renate Solheim",
        ]);
        speaks(&["course", "open", tablet, "--title", "June", "--starts=-1"]);
        let said = done(within, &["outline", "show", tablet]);
        assert!(said.contains(skill), "{language}: {said}");
    }
}
