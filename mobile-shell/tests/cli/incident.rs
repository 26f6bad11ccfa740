//! An incident by commands alone: begun from an alarm, moment by moment, put right, with people,
//! words and reports; shown, read by a program, and printed.

use std::path::Path;

use crate::json::against_the_page;
use crate::support::{done, folder, refused, tool, with_session};

/// The incident with everything that hangs on it, as a program reads it.
fn read(within: &Path) -> serde_json::Value {
    let said = done(within, &["incident", "show", "tablet", "--json"]);
    let whole: serde_json::Value = serde_json::from_str(&said).unwrap();
    whole["value"].clone()
}

/// Begun from an alarm, with two moments of now and one of the evening before: the incident and
/// that moment.
fn begun(within: &Path, session: &str) -> (String, String) {
    let go = |args: &[&str]| done(within, args).trim().to_owned();
    let raise = ["emergency", "raise", "tablet", "unresponsive"];
    let alarm = go(&[&raise[..], &["--session", session, "--ids"]].concat());
    let begin = ["incident", "begin", "tablet", "--session", session];
    let who = ["--who", "Ottilie", "--who", "Tove"];
    let incident = go(&[&begin[..], &who, &["--from", &alarm, "--ids"]].concat());
    go(&[
        "incident", "moment", "tablet", "noticed", "--who", "Ottilie",
    ]);
    go(&[
        "incident",
        "moment",
        "tablet",
        "oxygen-begun",
        "--who",
        "Tove",
    ]);
    let other = ["incident", "moment", "tablet", "other", "--text"];
    let typed = ["Saw bubbles", "--when", "yesterday 23:50", "--ids"];
    let noted = go(&[&other[..], &typed].concat());
    (incident, noted)
}

fn filled(within: &Path) {
    let go = |args: &[&str]| done(within, &[&["incident"][..], args].concat());
    for (part, who) in [
        ("concerned", "Hannu"),
        ("witness", "Hannu"),
        ("witness", "Tove"),
    ] {
        go(&["person", "tablet", part, "--who", who]);
    }
    go(&["person", "tablet", "witness", "--text", "A swimmer"]);
    go(&[
        "fact",
        "tablet",
        "conditions",
        "--text",
        "Two metres of visibility",
    ]);
    go(&[
        "fact",
        "tablet",
        "kept",
        "--text",
        "Regulator 14, locked away",
    ]);
    for (to, by) in [("The insurer", "+3"), ("The office", "yesterday")] {
        go(&["report-due", "tablet", "--to", to, "--by", by]);
    }
    go(&["report-due", "tablet", "--to", "The landlord"]);
    go(&["report-made", "tablet", "The insurer"]);
}

#[test]
fn an_incident_is_begun_written_down_put_right_and_printed_by_commands_alone() {
    let within = folder();
    let within = within.path();
    let session = with_session(within);
    let (incident, noted) = begun(within, &session);

    println!("## A time put right: both are to be seen");
    let correct = ["incident", "correct", "tablet", &noted];
    done(
        within,
        &[&correct[..], &["--when", "yesterday 23:40"]].concat(),
    );
    let value = read(within);
    assert_eq!(value["entry"], incident.as_str());
    assert_eq!(value["session"], session.as_str());
    let told: Vec<(&str, bool)> = value["moments"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| {
            let withdrawn = row["withdrawn"].as_bool().unwrap();
            (row["what"].as_str().unwrap(), withdrawn)
        })
        .collect();
    assert_eq!(
        told,
        [
            ("other", false),
            ("other", true),
            ("raised", false),
            ("noticed", false),
            ("oxygen-begun", false),
        ]
    );
    let first = &value["moments"][0];
    assert!(
        first["when"].as_str().unwrap().contains("T23:40"),
        "{first}"
    );
    assert_eq!(first["text"], "Saw bubbles");
    assert_eq!(first["afterwards"], true);
    assert_ne!(first["written"], first["when"]);

    println!("## People, words, reports");
    filled(within);
    let said = done(within, &["incident", "show", "tablet"]);
    for text in [
        "Noticed",
        "Oxygen begun",
        "Withdrawn: ",
        "written ",
        "Witness: A swimmer",
        "Conditions: Two metres of visibility",
        "The insurer: made on",
        "The office: OVERDUE since",
        "The landlord: not made; no day is named",
        "never sent anywhere by itself",
    ] {
        assert!(said.contains(text), "{text} in {said}");
    }
    let said = done(within, &["incident", "show", "tablet", "--language", "de"]);
    assert!(said.contains("Sauerstoff begonnen"), "{said}");
    assert!(said.contains("Zeuge: A swimmer"), "{said}");

    println!("## For programs as the page says");
    for verb in ["show", "list"] {
        let said = done(within, &["incident", verb, "tablet", "--json"]);
        let (unknown, lacks) = against_the_page(&said);
        assert!(unknown.is_empty(), "JSON.md does not say {unknown:#?}");
        assert!(lacks.is_empty(), "never written: {lacks:#?}");
    }
    assert_eq!(read(within)["reports_due"], 2);

    println!("## On paper");
    done(
        within,
        &["paper", "incident", "tablet", "-o", "incident.pdf"],
    );
    let sheet = within.join("incident.pdf");
    let text = tool("pdftotext", &[sheet.to_str().unwrap(), "-"]);
    // A line may end in the middle of what is looked for.
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "Saw bubbles",
        "Oxygen begun",
        "The office",
        "sent to nobody",
    ] {
        assert!(text.contains(said), "{said} in {text}");
    }
}

#[test]
fn what_cannot_be_written_down_is_refused_and_nothing_is_added() {
    let within = folder();
    let within = within.path();
    let session = with_session(within);
    refused(within, &["incident", "show", "tablet"], 3);
    refused(within, &["incident", "moment", "tablet", "noticed"], 3);
    let (incident, noted) = begun(within, &session);
    filled(within);
    let before = read(within);
    let bad: [(&[&str], i32); 11] = [
        // No words, a time to come, a day that is none, nobody, and what is not there.
        (&["moment", "tablet", "other"], 4),
        (
            &["moment", "tablet", "noticed", "--when", "tomorrow 08:00"],
            4,
        ),
        (
            &["correct", "tablet", &noted, "--when", "tomorrow 08:00"],
            4,
        ),
        (&["correct", "tablet", "nothing-there", "--when", "now"], 3),
        (
            &["report-due", "tablet", "--to", "The club", "--by", "soon"],
            4,
        ),
        (&["report-made", "tablet", "The insurer"], 3),
        (
            &["report-made", "tablet", "The office", "--on", "tomorrow"],
            4,
        ),
        (&["person", "tablet", "witness"], 2),
        (&["person", "tablet", "witness", "--who", "Nobody Here"], 3),
        (&["fact", "tablet", "kept", "--text", " "], 4),
        (
            &["moment", "tablet", "noticed", "--incident", "nothing-there"],
            3,
        ),
    ];
    for (args, code) in bad {
        let said = refused(within, &[&["incident"][..], args].concat(), code);
        assert!(!said.contains("panicked"), "{said}");
    }
    assert_eq!(read(within), before, "nothing was added");

    println!("## Of one that was withdrawn nothing is added, and it has no sheet");
    done(within, &["entry", "withdraw", "tablet", &incident]);
    refused(within, &["incident", "show", "tablet"], 3);
    let moment = ["incident", "moment", "tablet", "noticed", "--incident"];
    refused(within, &[&moment[..], &[incident.as_str()]].concat(), 4);
    let paper = ["paper", "incident", "tablet", "--incident", &incident];
    refused(within, &[&paper[..], &["-o", "incident.pdf"]].concat(), 3);
    assert!(!within.join("incident.pdf").exists());
    let said = done(
        within,
        &["incident", "show", "tablet", "--incident", &incident],
    );
    assert!(said.contains("This incident was withdrawn"), "{said}");
}
