//! Sites, an emergency, the evening after and what a student takes home, by commands alone,
//! from an empty folder.

use std::path::Path;

use crate::support::{confirmed, course, done, folder, lone, refused, tool};

/// A lone instructor's tablet with a course of two and a session that is on.
fn tablet(within: &Path) {
    let go = |args: &[&str]| done(within, args);
    lone(within);
    confirmed(within);
    course(within, "-1");
    std::fs::write(
        within.join("roster.csv"),
        "name,born\nOttilie Brandvoll,1990-02-03\nHannu Kivelä,1988-11-30\n",
    )
    .unwrap();
    go(&["import", "roster", "tablet", "roster.csv"]);
    go(&["form", "seen", "tablet", "health", "--everyone"]);
    go(&[
        "session",
        "plan",
        "tablet",
        "--block",
        "pool-1",
        "--site",
        "Hollow Lane pool",
        "--starts",
        "today 00:01",
    ]);
    go(&[
        "session",
        "plan",
        "tablet",
        "--block",
        "pool-2",
        "--site",
        "Hollow Lane pool",
        "--starts",
        "tomorrow 18:00",
        "--bring",
        "towel and logbook",
    ]);
}

#[test]
fn from_an_empty_folder_to_a_confirmed_plan_an_alarm_a_debrief_and_a_page_to_take_home() {
    let within = folder();
    let within = within.path();
    tablet(within);
    let go = |args: &[&str]| done(within, args);
    let session = go(&["session", "list", "tablet", "--ids"]);
    let session = session.lines().next().unwrap();

    let shown = go(&["emergency", "show", "tablet", "--session", session]);
    assert!(shown.contains("No emergency plan of this site"), "{shown}");
    go(&[
        "site",
        "set",
        "tablet",
        "Hollow Lane pool",
        "--position",
        "47.5 9.6",
        "--depth",
        "3.8",
        "--water",
        "fresh",
        "--hazards",
        "Drain cover",
    ]);
    let wrong = [
        "site",
        "set",
        "tablet",
        "Hollow Lane pool",
        "--position",
        "north",
    ];
    assert!(refused(within, &wrong, 4).contains("position"));
    refused(within, &["site", "confirm", "tablet", "Hollow"], 4);
    refused(
        within,
        &["site", "plan", "tablet", "Hollow", "--numbers", "112"],
        4,
    );
    go(&[
        "site",
        "plan",
        "tablet",
        "Hollow",
        "--numbers",
        "112",
        "--address",
        "Hollow Lane 4",
        "--oxygen",
        "green case",
    ]);
    let shown = go(&["emergency", "show", "tablet", "--session", session]);
    assert!(
        shown.contains("Emergency plan confirmed by nobody"),
        "{shown}"
    );
    go(&["site", "confirm", "tablet", "Hollow"]);
    let sites = go(&["site", "list", "tablet"]);
    for said in [
        "Hollow Lane pool",
        "sunrise",
        "green case",
        "Confirmed by Tove Askildsen",
    ] {
        assert!(sites.contains(said), "{said} in {sites}");
    }
    let german = go(&["site", "list", "tablet", "--language", "de"]);
    assert!(
        german.contains("Sonnenaufgang") && german.contains("Bestätigt von"),
        "{german}"
    );

    let card = go(&[
        "emergency",
        "raise",
        "tablet",
        "--session",
        session,
        "lost-buddy",
    ]);
    assert!(
        card.contains("Written down.") && card.contains("1. Look for"),
        "{card}"
    );
    let shown = go(&["emergency", "show", "tablet", "--session", session]);
    assert!(shown.contains("lost-buddy"), "{shown}");
    assert!(
        !shown.contains("Emergency plan confirmed by nobody"),
        "{shown}"
    );
    let cards = go(&["emergency", "cards", "--language", "de"]);
    assert!(cards.contains("Vermisster Tauchpartner"), "{cards}");
    go(&["paper", "actions", "tablet", "-o", "actions.pdf"]);
    tool(
        "qpdf",
        &["--check", within.join("actions.pdf").to_str().unwrap()],
    );

    go(&[
        "skill",
        "mark",
        "tablet",
        "met",
        "--session",
        session,
        "--run-list",
        "--everyone",
        "--every-technique",
    ]);
    let proposed = go(&["debrief", "show", "tablet", "--session", session]);
    assert!(proposed.contains("Met today: "), "{proposed}");
    assert!(proposed.contains("proposed from the marks"), "{proposed}");
    go(&[
        "debrief",
        "keep",
        "tablet",
        "--session",
        session,
        "-s",
        "Ottilie",
        "--practise",
        "Wet eyes in the bath",
    ]);
    let kept = go(&["debrief", "show", "tablet", "--session", session]);
    assert!(kept.contains("Wet eyes in the bath"), "{kept}");
    assert!(kept.contains("kept by Tove Askildsen"), "{kept}");
    go(&[
        "paper",
        "session",
        "tablet",
        "-s",
        session,
        "-o",
        "sheet.pdf",
    ]);
    let sheet = within.join("sheet.pdf");
    let sheet = tool("pdftotext", &["-layout", sheet.to_str().unwrap(), "-"]);
    for said in ["Wet eyes in the bath", "Hollow Lane 4", "green case"] {
        assert!(sheet.contains(said), "{said} in {sheet}");
    }

    for (language, title) in [
        ("en", "Your course so far"),
        ("de", "Dein Kurs bis hierher"),
    ] {
        let out = format!("home-{language}");
        let args = ["paper", "student", "tablet", "-s", "Ottilie", "-o", &out];
        go(&[&args[..], &["--language", language]].concat());
        let page = within.join(&out).join("Ottilie-Brandvoll.html");
        let page = std::fs::read_to_string(page).unwrap();
        assert!(
            page.contains(title) && page.contains("towel and logbook"),
            "{page}"
        );
        assert!(
            !page.contains("Hannu") && !page.contains("Kivelä"),
            "another student"
        );
        let sheet = within.join(&out).join("Ottilie-Brandvoll.pdf");
        tool("qpdf", &["--check", sheet.to_str().unwrap()]);
        let text = tool("pdftotext", &["-layout", sheet.to_str().unwrap(), "-"]);
        assert!(text.contains(title) && !text.contains("Hannu"), "{text}");
    }
    refused(
        within,
        &["paper", "student", "tablet", "-s", "Nobody", "-o", "home"],
        3,
    );
}
