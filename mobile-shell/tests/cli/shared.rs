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
fn a_lost_day_moves_what_shares_its_water_in_both_courses() {
    let within = folder();
    let within = within.path();
    lone(within);
    confirmed(within);
    held(within, JUNE, &["Ottilie Brandvoll", "Hannu Kivelä"]);
    held(within, EVENING, &["Saoirse Tullyglass"]);
    for (title, minutes) in [(JUNE, "60"), (EVENING, "90")] {
        let plan = ["session", "plan", "tablet", "-c", title];
        let block = ["--block", "pool-2", "--site", "Hollow Lane pool"];
        let hours = ["--starts", "tomorrow 18:00", "--minutes", minutes];
        done(within, &[&plan[..], &block, &hours].concat());
    }
    let slot = ["agenda", "slot", "tablet", "-c", JUNE];
    for (starts, minutes) in [("+3 18:00", "80"), ("+5 19:00", "120")] {
        let hours = ["--starts", starts, "--minutes", minutes];
        let hours = [&["--site", "Hollow Lane pool"][..], &hours].concat();
        done(within, &[&slot[..], &hours].concat());
    }
    let planned = |title: &str| {
        let list = json(within, &["session", "list", "tablet", "-c", title]);
        let rows = list["sessions"].as_array().unwrap().iter();
        let mut of = rows.filter(|row| row["title"].as_str().unwrap().starts_with("Pool 2"));
        let row = of.next().unwrap();
        (row["starts"].clone(), row["minutes"].clone())
    };
    let before = [planned(JUNE), planned(EVENING)];
    println!("## Shown for both, in both languages: one slot that is long enough for the longer");
    let lost = ["session", "lost-day", "tablet", "-c", JUNE];
    let lost = [&lost[..], &["--session", "Pool 2", "--why", "Thunder"]].concat();
    let said = done(within, &[&lost[..], &["--json"]].concat());
    let (unknown, lacks) = against_the_page(&said);
    let lacks: Vec<&String> = lacks
        .iter()
        .filter(|path| path.contains(".along") && !path.contains("away[]"))
        .collect();
    assert!(
        unknown.is_empty() && lacks.is_empty(),
        "{unknown:?} {lacks:?}"
    );
    let seen = json(within, &lost);
    let row = &seen["sessions"][0];
    let along = &row["along"][0];
    assert_eq!(seen["sessions"].as_array().unwrap().len(), 1);
    assert_eq!(along["course_title"], EVENING);
    assert_eq!(along["starts"], before[1].0);
    assert_eq!(along["after"]["starts"], row["after"]["starts"]);
    assert_ne!(along["after"]["ends"], row["after"]["ends"]);
    assert_eq!(along["students"][0]["name"], "Saoirse Tullyglass");
    assert!(
        row["after"]["starts"].as_str().unwrap().contains("T19:00"),
        "{row:#}"
    );
    let said = done(within, &lost);
    for part in ["Evening dives: Pool 2", "and moves with it", "Saoirse"] {
        assert!(said.contains(part), "{part} in {said}");
    }
    let german = done(within, &[&lost[..], &["--language", "de"]].concat());
    assert!(german.contains("und wird mit ihr verlegt"), "{german}");
    assert_eq!([planned(JUNE), planned(EVENING)], before, "nothing moved");
    println!("## Accepted: moved in both, each as long as it was");
    let said = done(within, &[&lost[..], &["--accept"]].concat());
    assert!(said.contains("what shares its water with it"), "{said}");
    let after = row["after"]["starts"].clone();
    for (title, minutes) in [(JUNE, 60), (EVENING, 90)] {
        assert_eq!(planned(title), (after.clone(), minutes.into()), "{title}");
    }
    println!("## Lost again: what is left is long enough for one, and the other is told of");
    let seen = json(within, &lost);
    let row = &seen["sessions"][0];
    assert_eq!(row["along"].as_array().unwrap().len(), 0);
    assert_eq!(row["apart"][0]["because"], "slot");
    assert_eq!(row["shared_with"][0], EVENING);
    for (language, says) in [
        ("en", "stays where it is: no free slot suits both"),
        (
            "de",
            "bleibt, wo sie ist: keine freien Stunden passen für beide",
        ),
    ] {
        let said = done(within, &[&lost[..], &["--language", language]].concat());
        assert!(said.contains(says), "{said}");
    }
    done(within, &[&lost[..], &["--accept"]].concat());
    assert_eq!(planned(JUNE).0, row["after"]["starts"]);
    assert_eq!(planned(EVENING).0, after, "the other stays");
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
