//! *Met* on a figure below what is asked, by command: refused without a reason, with both
//! figures; with one, recorded, shown and printed.

use serde_json::Value;

use crate::support::{confirmed, course, done, enrolled, folder, lone, refused, tool};

const WHY: &str = "cold hands, clear at the second breath";

#[test]
fn met_below_what_is_asked_needs_a_reason_and_is_printed_with_it() {
    let within = folder();
    let within = within.path();
    lone(within);
    confirmed(within);
    course(within, "-1");
    enrolled(within, "Ottilie Brandvoll", "1990-02-03");
    let mark = |more: &[&'static str]| -> Vec<&'static str> {
        let mark = [
            "skill",
            "mark",
            "tablet",
            "met",
            "--student",
            "Ottilie",
            "--skill",
            "mask-full",
            "--measure",
            "within=1:35",
        ];
        [&mark[..], more].concat()
    };
    let shown = || -> Vec<Value> {
        let show = [
            "skill",
            "show",
            "tablet",
            "-s",
            "Ottilie",
            "--skill",
            "mask-full",
            "--json",
        ];
        let said: Value = serde_json::from_str(&done(within, &show)).unwrap();
        said["value"]["lines"].as_array().unwrap().clone()
    };
    for more in [&["--preview"][..], &[]] {
        let said = refused(within, &mark(more), 4);
        for part in [
            "below what is asked",
            "--despite",
            "given 1:35",
            "at most 0:30",
            "id mask-full",
        ] {
            assert!(said.contains(part), "{part}: {said}");
        }
    }
    let german = refused(within, &mark(&["--language", "de"]), 4);
    assert!(
        german.contains("gegeben 1:35") && german.contains("höchstens 0:30"),
        "{german}"
    );
    assert!(refused(within, &mark(&["--despite", " "]), 4).contains("left empty"));
    assert!(shown().is_empty(), "nothing was marked");
    println!("## With a reason it is marked, shown and printed");
    done(within, &mark(&["--despite", WHY]));
    let lines = shown();
    assert_eq!((lines.len(), &lines[0]["despite"]), (1, &Value::from(WHY)));
    for (language, says) in [
        ("en", "MET ALTHOUGH BELOW WHAT IS ASKED: "),
        ("de", "ERFÜLLT, OBWOHL UNTER DEM VERLANGTEN: "),
    ] {
        let show = [
            "skill",
            "show",
            "tablet",
            "-s",
            "Ottilie",
            "--skill",
            "mask-full",
            "--language",
            language,
        ];
        let said = done(within, &show);
        assert!(said.contains(&format!("{says}{WHY}")), "{said}");
        let file = format!("record-{language}.pdf");
        let record = [
            "paper",
            "record",
            "tablet",
            "-s",
            "Ottilie",
            "-o",
            &file,
            "--language",
            language,
        ];
        done(within, &record);
        let file = within.join(&file);
        let text = tool("pdftotext", &["-raw", file.to_str().unwrap(), "-"]);
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(text.contains(&format!("{says}{WHY}")), "{text}");
    }
    println!("## A figure that reaches what is asked needs none");
    let reaches = [
        "skill",
        "mark",
        "tablet",
        "met",
        "--student",
        "Ottilie",
        "--skill",
        "mask-full",
        "--measure",
        "within=25",
        "--again",
        "try",
    ];
    done(within, &reaches);
}
