//! What stands before water, on the printed sheet of an open-water session, in both languages.

use std::path::Path;

use crate::support::{course, done, enrolled, folder, lone, refused, tool};

/// The sheet as a person reads it, in one line.
fn sheet(within: &Path, language: &str) -> String {
    let file = format!("sheet-{language}.pdf");
    let line = [
        "paper",
        "session",
        "tablet",
        "-s",
        "Open water 2",
        "-o",
        file.as_str(),
        "--replace",
        "--language",
        language,
    ];
    done(within, &line);
    let file = within.join(file);
    let text = tool("pdftotext", &["-raw", file.to_str().unwrap(), "-"]);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_sheet_names_the_skills_that_are_missing_the_depth_and_what_was_set_aside() {
    let within = folder();
    let within = within.path();
    lone(within);
    course(within, "today");
    enrolled(within, "Ottilie Brandvoll", "1991-02-03");
    let all: [&[&str]; 2] = [
        &["form", "seen", "tablet", "health", "--everyone"],
        &[
            "session",
            "plan",
            "tablet",
            "--block",
            "open-2",
            "--site",
            "Quarry",
            "--starts",
            "tomorrow 10:00",
            "--depth",
            "30",
        ],
    ];
    for args in all {
        done(within, args);
    }
    for (language, says) in [
        (
            "en",
            [
                "Donate gas: not tried",
                "BEYOND THE RULE: planned 30.0 m, at most 12.0 m",
                "Insurance: not recorded",
                "Rules confirmed by nobody: ",
            ],
        ),
        (
            "de",
            [
                "Donate gas: nicht versucht",
                "ÜBER DER REGEL: geplant 30.0 m, höchstens 12.0 m",
                "Versicherung: nicht verzeichnet",
                "Regeln, die niemand bestätigt hat: ",
            ],
        ),
    ] {
        let sheet = sheet(within, language);
        for said in says {
            assert!(sheet.contains(said), "{said} in {sheet}");
        }
        // Ids are for programs.
        for id in ["needs-health", "consent-under", "instructor-needs"] {
            assert!(!sheet.contains(id), "{id} in {sheet}");
        }
    }
    println!("## Set aside with a reason, it is printed with it; without one it is refused");
    let let_in = |why: &'static str| {
        [
            "skill",
            "let-in",
            "tablet",
            "--student",
            "Ottilie",
            "--session",
            "Open water 2",
            "--why",
            why,
        ]
    };
    refused(within, &let_in(""), 4);
    done(within, &let_in("shown at another school, card seen"));
    for language in ["en", "de"] {
        let sheet = sheet(within, language);
        assert!(
            sheet.contains("shown at another school, card seen"),
            "{sheet}"
        );
    }
}
