//! The season, from the command line, begun in an empty folder.

use crate::support::{course, done, enrolled, folder, lone, refused};

#[test]
fn an_order_that_was_run_six_times_is_proposed_and_stands_once_a_person_accepts_it() {
    let within = folder();
    let within = within.path();
    lone(within);
    course(within, "today");
    enrolled(within, "Hannu Kivelä", "1990-02-03");
    let shown = ["season", "show", "tablet"];
    let said = done(within, &shown);
    assert!(said.contains("Courses that it rests on: 1"), "{said}");
    assert!(said.contains("Nothing is proposed."), "{said}");
    let ids = ["season", "show", "tablet", "--ids"];
    // The outline swims before it floats; here it is always the other way round.
    for round in 1..=6 {
        assert_eq!(
            done(within, &ids),
            "",
            "{round}: fewer than six say nothing"
        );
        let planned = [
            "session",
            "plan",
            "tablet",
            "--block",
            "pool-1",
            "--site",
            "Hollow Lane",
            "--starts",
            "now",
            "--ids",
        ];
        let session = done(within, &planned);
        for skill in ["float-10", "swim-200"] {
            let mark = [
                "skill",
                "mark",
                "tablet",
                "met",
                "--session",
                session.trim(),
                "--student",
                "Hannu",
                "--skill",
                skill,
                "--again",
                "try",
            ];
            done(within, &mark);
        }
    }
    let order = "order:pool-1:float-10";
    assert_eq!(done(within, &ids).trim(), order);
    let said = done(within, &shown);
    assert!(said.contains("so it was run 6 of 6 times"), "{said}");
    let german = done(within, &["season", "show", "tablet", "--language", "de"]);
    assert!(german.contains("so lief es 6 von 6 Mal"), "{german}");

    // On paper, in both languages; it names nobody.
    let sheet = within.join("season.pdf");
    let sheet = sheet.to_str().unwrap();
    for (language, words) in [
        (
            "en",
            ["Season", "So it was run 6 of 6 times", "names nobody"],
        ),
        (
            "de",
            ["Saison", "So lief es 6 von 6 Mal", "nennt niemanden"],
        ),
    ] {
        let paper = ["paper", "season", "tablet", "--language", language];
        done(within, &[&paper[..], &["--replace", "-o", sheet]].concat());
        let text = crate::support::tool("pdftotext", &["-layout", sheet, "-"]);
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        for word in words {
            assert!(text.contains(word), "{word} in {text}");
        }
        assert!(!text.contains("Hannu"), "{text}");
    }

    // Nothing changes by itself, and a preview changes nothing.
    let edition = |within| -> u64 {
        let said = done(within, &["outline", "show", "tablet", "--json"]);
        let value: serde_json::Value = serde_json::from_str(&said).unwrap();
        value["value"]["edition"].as_u64().unwrap()
    };
    let before = edition(within);
    done(within, &["season", "accept", "tablet", order, "--preview"]);
    assert_eq!(edition(within), before);
    let why = "it warms them up";
    done(within, &["season", "accept", "tablet", order, "--why", why]);
    assert_eq!(edition(within), before + 1);
    let said = done(within, &["outline", "show", "tablet", "--json"]);
    let value: serde_json::Value = serde_json::from_str(&said).unwrap();
    let blocks = value["value"]["blocks"].as_array().unwrap();
    let pool = blocks.iter().find(|one| one["block"] == "pool-1").unwrap();
    assert_eq!(pool["skills"][0], "float-10");
    assert_eq!(pool["skills"][1], "swim-200");

    // It is done: nothing more is proposed, and the same cannot be accepted twice.
    assert_eq!(done(within, &ids), "");
    let said = refused(within, &["season", "accept", "tablet", order], 3);
    assert!(said.contains(order), "{said}");
    let said = done(within, &["season", "accept", "tablet", "--all"]);
    assert!(said.contains("Nothing is proposed."), "{said}");
}

#[test]
fn what_is_proposed_must_be_named() {
    let within = folder();
    lone(within.path());
    let nothing = refused(within.path(), &["season", "accept", "tablet"], 2);
    assert!(nothing.contains("<PROPOSAL>"), "{nothing}");
}
