//! From an empty folder: a student takes a dive log home, dives on, and brings it back as their
//! own; no rule of the course counts what the course did not see.

use serde_json::Value;

use crate::json::against_the_page;
use crate::support::{course, done, enrolled, folder, lone, out, refused, tallywater};

/// The log that was taken home with one more dive in it.
fn dived_on(taken_home: &str) -> String {
    let more = "<dive id=\"later\"><informationbeforedive><link ref=\"ledge\"/>\
        <datetime>2020-06-06T12:00:00+02:00</datetime></informationbeforedive>\
        <informationafterdive><greatestdepth>14.2</greatestdepth>\
        <diveduration>2100</diveduration></informationafterdive></dive></repetitiongroup>";
    let site = "<site id=\"ledge\"><name>Heron Ledge</name></site></divesite>";
    taken_home
        .replace("</repetitiongroup>", more)
        .replace("</divesite>", site)
}

#[test]
fn a_students_log_goes_home_goes_on_and_comes_back_as_their_own() {
    let folder = folder();
    let within = folder.path();
    lone(within);
    course(within, "-3");
    enrolled(within, "Ottilie Brandvoll", "1990-02-03");
    enrolled(within, "Hannu Kivelä", "1988-11-30");
    for diver in ["Ottilie", "Hannu"] {
        let log = [
            "dive", "log", "tablet", "--diver", diver, "--down", "-1 10:00", "--up", "-1 10:31",
            "--depth", "8", "--water", "fresh",
        ];
        done(within, &log);
    }
    println!("## Home, with nobody else's dive");
    done(
        within,
        &["paper", "student", "tablet", "-s", "Ottilie", "-o", "home"],
    );
    let log = within.join("home").join("Ottilie-Brandvoll.uddf");
    let taken_home = std::fs::read_to_string(log).unwrap();
    assert_eq!(taken_home.matches("<dive id=").count(), 1);
    assert!(taken_home.contains("logged by: Tove Askildsen, "));
    assert!(!taken_home.contains("Kivelä") && !taken_home.contains("Hannu"));

    println!("## Looked at, then taken in: the one dive that is not here");
    std::fs::write(within.join("later.uddf"), dived_on(&taken_home)).unwrap();
    let take = [
        "import",
        "dives",
        "tablet",
        "later.uddf",
        "-d",
        "Ottilie",
        "--own",
    ];
    let missing = || {
        let said = tallywater(within, &["student", "missing", "tablet", "Ottilie"]);
        out(&said)
    };
    let dives = || done(within, &["dive", "list", "tablet"]);
    let before = (missing(), dives());
    let record = ["record", "show", "tablet", "Ottilie"];
    let own = || -> Vec<Value> {
        let said = done(within, &[&record[..], &["--json"]].concat());
        let value: Value = serde_json::from_str(&said).unwrap();
        value["value"]["own_dives"].as_array().unwrap().clone()
    };
    let preview = done(within, &[&take[..], &["--preview"]].concat());
    assert_eq!(preview.matches(", here already").count(), 1, "{preview}");
    assert!(own().is_empty(), "a preview takes nothing");
    assert!(done(within, &take).starts_with("1 own dives taken in"));
    let german = done(within, &[&take[..], &["--language", "de"]].concat());
    assert!(german.starts_with("0 eigene Tauchgänge"), "{german}");
    let rows = own();
    assert_eq!(rows.len(), 1);
    assert_eq!(rows[0]["site"], "Heron Ledge");
    assert_eq!(rows[0]["minutes"], 35);
    assert_eq!(rows[0]["by"]["name"], "Tove Askildsen");
    let said = done(within, &[&record[..], &["--json"]].concat());
    let (unknown, _) = against_the_page(&said);
    assert_eq!(unknown, Vec::<String>::new());

    println!("## Said to be none of the course, and counted by none of its rules");
    assert_eq!((missing(), dives()), before);
    let said = done(within, &record);
    assert!(
        said.contains("own dive, not of the course: 2020-06-06 "),
        "{said}"
    );
    let said = done(within, &[&record[..], &["--language", "de"]].concat());
    assert!(
        said.contains("eigener Tauchgang, nicht aus dem Kurs: "),
        "{said}"
    );
    done(
        within,
        &[
            "paper",
            "student",
            "tablet",
            "-s",
            "Ottilie",
            "-o",
            "again",
            "--language",
            "de",
        ],
    );
    let again = within.join("again");
    let page = std::fs::read_to_string(again.join("Ottilie-Brandvoll.html")).unwrap();
    assert!(
        page.contains("Eigene Tauchgänge, nicht aus dem Kurs"),
        "{page}"
    );
    let log = std::fs::read_to_string(again.join("Ottilie-Brandvoll.uddf")).unwrap();
    assert_eq!(log.matches("<dive id=").count(), 2);
    refused(within, &[&take[..], &["--session", "Pool"]].concat(), 2);
    std::fs::write(within.join("none.uddf"), "no log").unwrap();
    let none = [
        "import",
        "dives",
        "tablet",
        "none.uddf",
        "-d",
        "Ottilie",
        "--own",
    ];
    refused(within, &none, 4);
    assert_eq!(own().len(), 1);
}
