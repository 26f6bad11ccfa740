//! The calculators by command, with no device at all.

use serde_json::Value;

use crate::support::{done, folder, refused};

fn answer(within: &std::path::Path, args: &[&str]) -> Value {
    serde_json::from_str(&done(within, args)).unwrap()
}

fn find<'a>(value: &'a Value, key: &str) -> &'a str {
    let answers = value["value"]["answers"].as_array().unwrap();
    let found = answers.iter().find(|one| one["answer"] == key).unwrap();
    found["value"].as_str().unwrap()
}

#[test]
fn every_calculator_of_the_screen_is_there_by_command_with_what_it_asks() {
    let within = folder();
    let within = within.path();
    let list = done(within, &["calculate", "--ids"]);
    assert_eq!(list.lines().count(), 21);
    for name in list.lines() {
        let form = answer(within, &["calculate", name, "--json"]);
        assert_eq!(form["answer"], "calculate.form");
        let fields = form["value"]["fields"].as_array().unwrap();
        assert!(!fields.is_empty(), "{name}");
        // What must be typed is typed with its least; all else stands where it usually does.
        let typed = fields.iter().filter_map(|field| {
            let empty = field["usual"].as_str().is_some_and(str::is_empty);
            let (name, least) = (field["field"].as_str()?, field["least"].as_str()?);
            empty.then(|| format!("{name}={least}"))
        });
        let typed: Vec<String> = typed.collect();
        let mut args = vec!["calculate", name, "--usual", "--json"];
        args.extend(typed.iter().map(String::as_str));
        let found = answer(within, &args);
        assert_eq!(found["answer"], "calculate");
        for part in ["answers", "cautions", "sources", "asked"] {
            let part = found["value"][part].as_array().unwrap();
            assert!(!part.is_empty(), "{name}: {found:#}");
        }
    }
    println!("## Nothing was made in the folder");
    assert_eq!(std::fs::read_dir(within).unwrap().count(), 0);
}

#[test]
fn a_figure_is_worked_out_in_both_languages_and_units_and_says_its_source() {
    let within = folder();
    let within = within.path();
    let asked = ["calculate", "no-stop", "depth=18", "bottom time=30"];
    // U.S. Navy Diving Manual, Revision 7, table 9-7: 63 minutes on the row of 60 fsw.
    let found = answer(within, &[&asked[..], &["--json"]].concat());
    assert_eq!(find(&found, "table-limit"), "63");
    let same = [
        "calculate",
        "no-stop-limit",
        "depth=59",
        "bottom_time=30",
        "--units",
        "imperial",
        "--json",
    ];
    assert_eq!(find(&answer(within, &same), "table-limit"), "63");
    let said = done(within, &asked);
    assert!(said.contains("No-stop time by the table: 63 min"), "{said}");
    assert!(said.contains("Table and dive computer come first"));
    assert!(said.contains("U.S. Navy Diving Manual"));
    let german = [&["--language", "de"][..], &asked].concat();
    let german = done(within, &german);
    assert!(german.contains("Quelle: "), "{german}");
    assert!(!german.contains("Bottom time"), "{german}");
    println!("## By its name as the screen has it, in the language that is spoken");
    let named = [
        "calculate",
        "Turn pressure",
        "--usual",
        "turn-rule=thirds",
        "--ids",
    ];
    assert_eq!(done(within, &named).lines().count(), 1);
}

#[test]
fn what_is_given_wrong_is_named_and_bounds_are_said() {
    let within = folder();
    let within = within.path();
    for (args, says) in [
        (&["no-stop", "depth=abc"][..], "depth"),
        (&["no-stop", "depth=-3"], "at least"),
        (&["no-stop", "depth=4000"], "at most"),
        (&["no-stop", "depth=18", "depth=20"], "twice"),
        (&["no-stop", "shoe=44"], "shoe"),
        (&["no-stop", "depth"], "name=value"),
        (&["no-stop", "water=mud"], "mud"),
        (&["no-stop", "water="], "none of the choices"),
        (&["magic"], "no-stop-limit"),
        (&["c"], "cylinder-contents"),
        (&["starting weight", "--usual"], "type it first"),
    ] {
        let args = [&["calculate"][..], args].concat();
        let said = refused(within, &args, 4);
        assert!(said.contains(says), "{args:?}: {said}");
    }
}
