//! A group's dive by command: each one's own pressures, and nobody else's.

use std::path::Path;

use serde_json::Value;

use crate::support::{course, done, enrolled, folder, lone, refused};

fn school(within: &Path) {
    lone(within);
    course(within, "-2");
    enrolled(within, "Émile Quatrefaire", "1990-02-03");
    enrolled(within, "Ottilie Brandsma", "1988-05-06");
}

fn log<'a>(more: &[&'a str]) -> Vec<&'a str> {
    let dive = [
        "dive",
        "log",
        "tablet",
        "--down",
        "yesterday 10:00",
        "--up",
        "yesterday 10:30",
        "--depth",
        "10",
        "--mean-depth",
        "7",
        "--water",
        "fresh",
    ];
    dive.into_iter().chain(more.iter().copied()).collect()
}

/// Each diver's pressures as they were logged, by name.
fn pressures(within: &Path) -> Vec<(String, Value, Value)> {
    let said = done(within, &["dive", "list", "tablet", "--json"]);
    let whole: Value = serde_json::from_str(&said).unwrap();
    let mut rows: Vec<(String, Value, Value)> = whole["value"]["dives"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| {
            let who = &row["who"];
            let name = who["student"]["name"]
                .as_str()
                .or(who["staff"]["name"].as_str());
            let figure = |key: &str| row[key]["figure"].clone();
            (name.unwrap().to_owned(), figure("start"), figure("end"))
        })
        .collect();
    rows.sort_by(|one, other| one.0.cmp(&other.0));
    rows
}

#[test]
fn each_of_a_group_has_their_own_pressures() {
    let within = folder();
    let within = within.path();
    school(within);
    let group = [
        "--diver",
        "Ottilie",
        "--diver",
        "Émile",
        "--diver",
        "Tove",
        "--cylinder",
        "12",
        "--pressures",
        "emile=200-60",
        "--pressures",
        "Ottilie = 210 – 95",
    ];
    done(within, &log(&group));
    let text = |figure: &str| Value::from(figure);
    assert_eq!(
        pressures(within),
        [
            ("Ottilie Brandsma".to_owned(), text("210"), text("95")),
            ("Tove Askildsen".to_owned(), Value::Null, Value::Null),
            ("Émile Quatrefaire".to_owned(), text("200"), text("60")),
        ]
    );
    println!("## One diver's can be said plainly");
    let one = [
        "--diver",
        "Tove",
        "--cylinder",
        "12",
        "--start",
        "200",
        "--end",
        "80",
    ];
    let mut one = log(&one);
    for part in &mut one {
        *part = match *part {
            "yesterday 10:00" => "yesterday 12:00",
            "yesterday 10:30" => "yesterday 12:30",
            same => same,
        };
    }
    done(within, &one);
    let tove = pressures(within);
    let tove = tove.iter().filter(|row| row.0.starts_with("Tove"));
    assert!(
        tove.clone().any(|row| row.2 == "80"),
        "{:?}",
        tove.collect::<Vec<_>>()
    );
}

#[test]
fn one_pressure_for_all_and_what_is_written_wrong_are_refused_and_nothing_is_logged() {
    let within = folder();
    let within = within.path();
    school(within);
    let two = ["--diver", "Ottilie", "--diver", "Émile", "--cylinder", "12"];
    let with = |more: &[&'static str]| log(&[&two[..], more].concat());
    let all = with(&["--start", "200", "--end", "60"]);
    let said = refused(within, &all, 4);
    assert!(
        said.contains("own cylinder") && said.contains("--pressures"),
        "{said}"
    );
    let german = [&all[..], &["--language", "de"]].concat();
    let said = refused(within, &german, 4);
    assert!(said.contains("eigenen Flasche"), "{said}");
    let wrong: [(&[&'static str], i32, &str); 11] = [
        (&["--pressures", "Ottilie"], 4, "name=start-end"),
        (&["--pressures", "Ottilie=200"], 4, "name=start-end"),
        (&["--pressures", "Ottilie=-"], 4, "start"),
        (&["--pressures", "Ottilie=200-much"], 4, "end"),
        (&["--pressures", "Nobody=200-60"], 3, "diver"),
        (&["--pressures", "Tove=200-60"], 3, "diver"),
        (
            &[
                "--pressures",
                "Ottilie=200-60",
                "--pressures",
                "Brandsma=190-50",
            ],
            4,
            "twice",
        ),
        (&["--pressures", "Ottilie=60-200"], 4, ""),
        (
            &[
                "--pressures",
                "Ottilie=200-60",
                "--start",
                "200",
                "--end",
                "60",
            ],
            2,
            "--start",
        ),
        (&["--start", "200"], 2, "--end"),
        (&[], 4, "pressures"),
    ];
    for (more, code, part) in wrong {
        let said = refused(within, &with(more), code);
        assert!(said.contains(part), "{more:?}: {said}");
    }
    let none = ["--diver", "Ottilie", "--pressures", "Ottilie=200-60"];
    refused(within, &log(&none), 2);
    assert!(pressures(within).is_empty());
}
