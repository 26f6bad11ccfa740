//! A make-up that two courses hold in one slot, by commands alone, from an empty folder.

use std::path::Path;

use serde_json::Value;

use crate::json::against_the_page;
use crate::support::{confirmed, done, folder, lone, out, tallywater};

const JUNE: &str = "First dives, June";
const EVENING: &str = "Evening dives";

fn json(within: &Path, args: &[&str]) -> Value {
    let said = done(within, &[args, &["--json"]].concat());
    let value: Value = serde_json::from_str(&said).unwrap();
    value["value"].clone()
}

/// A course whose first pool session was yesterday, and whose students met nothing of it.
fn held(within: &Path, title: &str, students: &[&str]) {
    done(
        within,
        &["course", "open", "tablet", "--title", title, "--starts=-1"],
    );
    for name in students {
        let enrol = ["student", "enrol", "tablet", "-c", title, "--name", name];
        done(within, &[&enrol[..], &["--born", "1990-02-03"]].concat());
    }
    let seen = ["form", "seen", "tablet", "-c", title, "health"];
    done(within, &[&seen[..], &["--everyone"]].concat());
    let plan = [
        "session", "plan", "tablet", "-c", title, "--block", "pool-1",
    ];
    let there = ["--site", "Hollow Lane pool", "--starts", "yesterday 18:00"];
    done(within, &[&plan[..], &there].concat());
}

#[test]
fn a_make_up_is_shared_by_two_courses_and_counted_together() {
    let within = folder();
    let within = within.path();
    lone(within);
    confirmed(within);
    held(within, JUNE, &["Ottilie Brandvoll", "Hannu Kivelä"]);
    held(within, EVENING, &["Saoirse Tullyglass"]);
    let shared = ["next", "tablet", "-c", JUNE, "--shared"];
    println!("## No free hours: it says so, and that is a no");
    let said = tallywater(within, &shared);
    assert_eq!(said.status.code(), Some(1));
    let said = out(&said);
    assert!(
        said.contains("Evening dives: no free slot suits both"),
        "{said}"
    );
    let slot = ["agenda", "slot", "tablet", "-c", JUNE];
    let hours = ["--starts", "+3 18:00", "--minutes", "240"];
    let hours = [&["--site", "Hollow Lane pool"][..], &hours].concat();
    done(within, &[&slot[..], &hours].concat());
    println!("## Whoever leads has nothing renewed: it says so");
    let said = out(&tallywater(within, &shared));
    assert!(
        said.contains("Evening dives: whoever leads both has something to renew"),
        "{said}"
    );
    for paper in [
        "teaching-status",
        "insurance",
        "first-aid",
        "oxygen",
        "medical",
    ] {
        let renew = ["staff", "renew", "tablet", "Tove", paper, "--until", "+300"];
        done(within, &renew);
    }
    println!("## Shown first, in both languages");
    let said = done(within, &shared);
    for part in [
        "Evening dives: Make-up: Pool 1",
        "First dives, June: Make-up: Pool 1",
        "Saoirse Tullyglass",
        "students together: 3, at most 10",
        "Nothing is planned yet",
    ] {
        assert!(said.contains(part), "{part} in {said}");
    }
    let german = done(within, &[&shared[..], &["--language", "de"]].concat());
    assert!(
        german.contains("Nachholtermin: Pool 1") && german.contains("Schüler zusammen: 3"),
        "{german}"
    );
    let said = done(within, &[&shared[..], &["--json"]].concat());
    let (unknown, lacks) = against_the_page(&said);
    let lacks: Vec<&String> = lacks
        .iter()
        .filter(|path| !path.contains("kept_out[]") && !path.contains("not_shared[]"))
        .collect();
    assert!(
        unknown.is_empty() && lacks.is_empty(),
        "{unknown:?} {lacks:?}"
    );
    let count = |title: &str| {
        let list = json(within, &["session", "list", "tablet", "-c", title]);
        list["sessions"].as_array().unwrap().len()
    };
    assert_eq!((count(JUNE), count(EVENING)), (1, 1), "nothing is planned");
    println!("## Accepted: a session in each, and the gate counts both");
    let plan = ["--beside", EVENING, "--plan", "--language", "de"];
    let said = done(within, &[&shared[..], &plan].concat());
    assert!(said.contains("in beiden Kursen geplant"), "{said}");
    assert_eq!((count(JUNE), count(EVENING)), (2, 2));
    for (title, own) in [(JUNE, 2), (EVENING, 1)] {
        let show = ["session", "show", "tablet", "-c", title];
        let seen = json(
            within,
            &[&show[..], &["--session", "Nachholtermin"]].concat(),
        );
        assert_eq!(seen["students"].as_array().unwrap().len(), own);
        assert_eq!(seen["ratio"]["students"], 3);
        assert_eq!(seen["ratio"]["of_other_courses"], 3 - own);
        assert_eq!(seen["ratio"]["limit"], "within");
        assert_eq!(seen["staff"].as_array().unwrap().len(), 1);
    }
    println!("## On paper too");
    let sheet = within.join("sheet.pdf");
    let sheet = sheet.to_str().unwrap();
    let paper = ["paper", "session", "tablet", "-c", JUNE];
    let of = ["--session", "Nachholtermin", "-o", sheet];
    done(within, &[&paper[..], &of].concat());
    let text = crate::support::tool("pdftotext", &["-layout", sheet, "-"]);
    assert!(text.contains("students 3 · instructors 1"), "{text}");
    println!("## Nobody needs it twice");
    let said = tallywater(within, &shared);
    assert_eq!(said.status.code(), Some(1));
    assert!(
        out(&said).contains("No make-up can be shared"),
        "{}",
        out(&said)
    );
}

#[test]
fn a_session_without_a_start_is_in_the_next_free_hours_for_its_water() {
    let within = folder();
    let within = within.path();
    lone(within);
    confirmed(within);
    held(within, JUNE, &["Ottilie Brandvoll"]);
    let slot = ["agenda", "slot", "tablet", "--site", "Another pool"];
    for (starts, minutes) in [("+4 19:00", "75"), ("+6 19:00", "90")] {
        let hours = ["--starts", starts, "--minutes", minutes];
        done(within, &[&slot[..], &hours].concat());
    }
    let lake = ["agenda", "slot", "tablet", "--site", "Old mill pond"];
    let hours = ["--setting", "open", "--starts", "+2 09:00"];
    done(within, &[&lake[..], &hours].concat());
    let slots = json(within, &["agenda", "show", "tablet"]);
    let starts = |site: &str, nth: usize| {
        let all = slots["slots"].as_array().unwrap().iter();
        let mut of = all.filter(|one| one["site"] == site);
        of.nth(nth).unwrap()["starts"].clone()
    };
    for (block, site, nth, minutes) in [
        ("pool-2", "Another pool", 0, 75),
        ("pool-3", "Another pool", 1, 90),
        ("open-1", "Old mill pond", 0, 60),
    ] {
        done(within, &["session", "plan", "tablet", "--block", block]);
        let list = json(within, &["session", "list", "tablet"]);
        let rows = list["sessions"].as_array().unwrap();
        let made = rows
            .iter()
            .find(|row| row["starts"] == starts(site, nth))
            .unwrap_or_else(|| panic!("{block}: {list:#}"));
        assert_eq!(
            (&made["site"], &made["minutes"]),
            (&site.into(), &minutes.into())
        );
    }
    println!("## None is left: tomorrow, at the hour and place of the last");
    done(within, &["session", "plan", "tablet", "--block", "pool-4"]);
    let list = json(within, &["session", "list", "tablet"]);
    let rows = list["sessions"].as_array().unwrap();
    let made = rows.iter().find(|row| {
        let title = row["title"].as_str().unwrap();
        title.starts_with("Pool 4")
    });
    let made = made.unwrap();
    assert_eq!(made["site"], "Another pool");
    assert!(
        made["starts"].as_str().unwrap().contains("T19:00"),
        "{made:#}"
    );
}
