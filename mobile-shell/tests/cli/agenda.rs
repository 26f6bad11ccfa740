//! Slots, absences and a lost day by commands alone, from an empty folder.

use std::path::Path;

use serde_json::Value;

use crate::support::{confirmed, course, done, enrolled, folder, lone, refused};

fn json(within: &Path, args: &[&str]) -> Value {
    let said = done(within, &[args, &["--json"]].concat());
    let value: Value = serde_json::from_str(&said).unwrap();
    value["value"].clone()
}

/// A course of two and a pool session tomorrow at six.
fn tablet(within: &Path) -> String {
    lone(within);
    confirmed(within);
    course(within, "-1");
    enrolled(within, "Ottilie Brandvoll", "1990-02-03");
    enrolled(within, "Hannu Kivelä", "1988-11-30");
    let plan = ["session", "plan", "tablet", "--block", "pool-1"];
    let there = ["--site", "Hollow Lane pool", "--starts", "tomorrow 18:00"];
    done(within, &[&plan[..], &there].concat());
    let ids = done(within, &["session", "list", "tablet", "--ids"]);
    ids.trim().to_owned()
}

/// The date so many days from today, as the tablet has it.
fn date(within: &Path, days: &str) -> String {
    let away = ["agenda", "away", "tablet", "--staff", "Tove"];
    done(
        within,
        &[&away[..], &["--from", days, "--until", days]].concat(),
    );
    let seen = json(within, &["agenda", "show", "tablet"]);
    let row = seen["away"][0].clone();
    let id = row["id"].as_str().unwrap();
    done(within, &[&away[..], &["--drop", id]].concat());
    row["from"].as_str().unwrap()[..10].to_owned()
}

#[test]
fn a_calendar_is_looked_at_taken_once_and_its_bad_lines_are_named() {
    let within = folder();
    let within = within.path();
    tablet(within);
    let compact = date(within, "+3").replace('-', "");
    let calendar = format!(
        "BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:a@pool\r\nDTSTART:{compact}T160000Z\r\n\
         DTEND:{compact}T180000Z\r\nLOCATION:Hollow Lane pool\r\nEND:VEVENT\r\n\
         BEGIN:VEVENT\r\nUID:b@pool\r\nDTSTART;TZID=Some/Town:{compact}T160000\r\n\
         DURATION:PT1H\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
    );
    std::fs::write(within.join("pool.ics"), &calendar).unwrap();
    let import = ["agenda", "import-slots", "tablet", "pool.ics"];
    println!("## Looked at: nothing is taken, and what is bad is named");
    let said = refused(within, &[&import[..], &["--preview"]].concat(), 1);
    assert!(
        said.contains("line 8") && said.contains("export it in UTC"),
        "{said}"
    );
    assert_eq!(json(within, &["agenda", "show", "tablet"])["free"], 0);
    println!("## Taken, and taken again");
    refused(within, &import, 1);
    let seen = json(within, &["agenda", "show", "tablet"]);
    assert_eq!(
        (&seen["free"], &seen["slots"][0]["id"]),
        (&1.into(), &"a@pool".into())
    );
    let good = calendar.split("BEGIN:VEVENT\r\nUID:b").next().unwrap();
    let good = format!("{good}END:VCALENDAR\r\n");
    std::fs::write(within.join("pool.ics"), good).unwrap();
    let again = json(within, &import);
    assert_eq!((&again["read"], &again["taken"]), (&1.into(), &0.into()));
    println!("## A table, in German");
    let day = date(within, "+4");
    let table = format!("Datum;von;bis;Ort;Preis\n{day};18:00;20:00;Hollow Lane pool;40 EUR\n");
    std::fs::write(within.join("pool.csv"), table).unwrap();
    let import = [
        "agenda",
        "import-slots",
        "tablet",
        "pool.csv",
        "--language",
        "de",
    ];
    let said = done(within, &import);
    assert!(said.contains("Übernommen: 1 von 1"), "{said}");
    assert!(
        said.contains(&format!("{day} 18:00  Hollow Lane pool")),
        "{said}"
    );
    let said = done(within, &["agenda", "show", "tablet", "--language", "de"]);
    assert!(
        said.contains("Davon frei: 2") && said.contains("40 EUR"),
        "{said}"
    );
    println!("## One is typed, and dropped again");
    let typed = [
        "agenda",
        "slot",
        "tablet",
        "--site",
        "Old mill pond",
        "--setting",
        "open",
    ];
    let when = ["--starts", "+5 09:00", "--minutes", "180"];
    done(within, &[&typed[..], &when].concat());
    let seen = json(within, &["agenda", "show", "tablet"]);
    let slots = seen["slots"].as_array().unwrap();
    let pond = slots.iter().find(|one| one["site"] == "Old mill pond");
    let id = pond.unwrap()["id"].as_str().unwrap();
    done(within, &["agenda", "slot", "tablet", "--drop", id]);
    assert_eq!(json(within, &["agenda", "show", "tablet"])["free"], 2);
    refused(
        within,
        &["agenda", "slot", "tablet", "--drop", "no such"],
        3,
    );
}

#[test]
fn whoever_is_away_is_left_out_and_a_lost_day_is_shown_before_it_moves() {
    let within = folder();
    let within = within.path();
    let session = tablet(within);
    let go = |args: &[&str]| done(within, args);
    println!("## A calendar of one person");
    let day = date(within, "+1");
    let (first, last) = (date(within, "+8"), date(within, "+9"));
    std::fs::write(
        within.join("leave.csv"),
        format!("from,until\n{day},{day}\n"),
    )
    .unwrap();
    let leave = [
        "agenda",
        "import-away",
        "tablet",
        "leave.csv",
        "--student",
        "Ottilie",
    ];
    go(&leave);
    assert_eq!(json(within, &leave)["taken"], 0, "taken once");
    println!("## A day is said once, in both languages");
    let hours = ["agenda", "away", "tablet", "--student", "Hannu"];
    let hours = [&hours[..], &["--from", "+1 10:00", "--until", "+1 12:00"]].concat();
    go(&hours);
    let days = ["agenda", "away", "tablet", "--staff", "Tove"];
    go(&[&days[..], &["--from", "+8", "--until", "+9"]].concat());
    for language in ["en", "de"] {
        let said = go(&["agenda", "show", "tablet", "--language", language]);
        for line in [
            format!("  Ottilie  {day}"),
            format!("  Hannu  {day} 10:00 - 12:00"),
            format!("  Tove Askildsen  {first} - {last}"),
        ] {
            assert!(said.lines().any(|one| one == line), "{line} in {said}");
        }
    }
    let (staff, students) = (["--staff", "Tove"], ["--student", "Hannu"]);
    for who in [staff, students] {
        let seen = json(within, &["agenda", "show", "tablet"]);
        let rows = seen["away"].as_array().unwrap();
        let of = |row: &&Value| row["who"].to_string().contains(who[1]);
        let id = rows.iter().find(of).unwrap()["id"].as_str().unwrap();
        let away = ["agenda", "away", "tablet", who[0], who[1], "--drop", id];
        go(&away);
    }
    let next = ["next", "tablet", "--session", &session];
    let found = json(within, &next);
    let runs = found["stations"].as_array().unwrap().iter();
    let mut runs = runs.flat_map(|one| one["runs"].as_array().unwrap());
    let away = |run: &Value| {
        let students = run["students"].as_array().unwrap().iter();
        students
            .clone()
            .any(|one| one["name"] == "Ottilie Brandvoll")
    };
    assert!(!runs.any(away), "{found:#}");
    println!("## A day that is lost, with a slot three days on");
    let slot = ["agenda", "slot", "tablet", "--site", "Hollow Lane pool"];
    go(&[&slot[..], &["--starts", "+3 18:00", "--minutes", "180"]].concat());
    let lost = ["session", "lost-day", "tablet", "--session", &session];
    let seen = json(within, &lost);
    assert_eq!(
        (&seen["without_slot"], &seen["proven"]),
        (&0.into(), &true.into())
    );
    let after = seen["sessions"][0]["after"]["starts"].as_str().unwrap();
    assert_ne!(seen["sessions"][0]["starts"], after);
    let spaced = json(within, &[&lost[..], &["--days-between", "2"]].concat());
    assert_eq!(
        (&spaced["days_between"], &spaced["without_slot"]),
        (&2.into(), &0.into())
    );
    let said = go(&lost);
    for part in ["before: ", "after: ", "to be told: ", "Nothing has moved"] {
        assert!(said.contains(part), "{part} in {said}");
    }
    let list = json(within, &["session", "list", "tablet"]);
    assert_ne!(list["sessions"][0]["starts"], after, "nothing has moved");
    refused(within, &[&lost[..], &["--accept"]].concat(), 2);
    let list = json(within, &["session", "list", "tablet"]);
    assert_ne!(list["sessions"][0]["starts"], after, "nobody is told why");
    let accept = [&lost[..], &["--why", "Thunder", "--accept"]].concat();
    let said = go(&accept);
    assert!(said.contains("The day is planned anew."), "{said}");
    let list = json(within, &["session", "list", "tablet"]);
    assert_eq!(list["sessions"][0]["starts"], after);
    let shown = json(within, &["agenda", "show", "tablet"]);
    assert_eq!(shown["free"], 0, "its slot is taken");
    println!("## Lost again, with no slot left: it is said, and cancelled once accepted");
    let said = go(&[&lost[..], &["--language", "de"]].concat());
    assert!(said.contains("keine freien Stunden passen"), "{said}");
    go(&accept);
    let list = json(within, &["session", "list", "tablet"]);
    assert_eq!(list["sessions"][0]["state"], "cancelled");
}

#[test]
fn a_table_as_an_office_program_saves_it_is_read_and_its_bad_line_is_told_by_its_number() {
    let within = folder();
    let within = within.path();
    tablet(within);
    let day = date(within, "+4");
    let table = format!(
        "sep=;\r\nDatum;von;bis;Ort\r\n{day};18:00;20:00;Hollow Lane pool, Tür B\r\n\
         {day};20:00;;Hollow Lane pool\r\n"
    );
    let marked = format!("\u{feff}{table}");
    let bytes: Vec<u8> = marked.encode_utf16().flat_map(u16::to_le_bytes).collect();
    std::fs::write(within.join("pool.csv"), bytes).unwrap();
    let import = ["agenda", "import-slots", "tablet", "pool.csv"];
    let said = refused(within, &import, 1);
    assert!(
        said.contains("line 4: it has no end"),
        "the good line is taken: {said}"
    );
    let seen = json(within, &["agenda", "show", "tablet"]);
    assert_eq!(seen["slots"][0]["site"], "Hollow Lane pool, Tür B");
    println!("## A quote that is not closed is named, and takes nothing down with it unsaid");
    let open =
        format!("date,start,end,place\n{day},21:00,22:00,\"Hollow Lane\n{day},22:00,23:00,x\n");
    std::fs::write(within.join("open.csv"), open).unwrap();
    let import = [
        "agenda",
        "import-slots",
        "tablet",
        "open.csv",
        "--language",
        "de",
    ];
    let said = refused(within, &import, 1);
    assert!(
        said.contains("Zeile 2: ein Feld geht über das Zeilenende"),
        "{said}"
    );
    let seen = json(within, &["agenda", "show", "tablet"]);
    assert_eq!(seen["slots"].as_array().unwrap().len(), 1);
}
