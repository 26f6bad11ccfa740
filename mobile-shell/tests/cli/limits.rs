//! What ends a session's dive first, by command: gas, no-stop times, cold, the plan, and until
//! when nobody flies.

use std::path::Path;

use serde_json::Value;

use crate::support::{confirmed, course, done, enrolled, folder, lone, refused};

/// A lone instructor with two dives planned for tomorrow, to 12 m.
fn planned(within: &Path) {
    lone(within);
    confirmed(within);
    course(within, "-1");
    enrolled(within, "Émile Quatrefaire", "1990-02-03");
    for (title, starts) in [
        ("Morning dive", "tomorrow 08:00"),
        ("Noon dive", "tomorrow 10:00"),
    ] {
        let plan = [
            "session",
            "plan",
            "tablet",
            "--block",
            "open-2",
            "--title",
            title,
            "--site",
            "Quarry Mere",
            "--starts",
            starts,
            "--minutes",
            "40",
            "--depth",
            "12",
        ];
        done(within, &plan);
    }
}

fn asked<'a>(session: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let mut args = vec!["session", "limits", "tablet", "--session", session];
    args.extend(more);
    args
}

fn answer(within: &Path, session: &str, more: &[&str]) -> Value {
    let mut args = asked(session, more);
    args.push("--json");
    let whole: Value = serde_json::from_str(&done(within, &args)).unwrap();
    assert_eq!(whole["answer"], "session.limits");
    whole["value"].clone()
}

fn number(figure: &Value) -> f64 {
    figure["figure"].as_str().unwrap().parse().unwrap()
}

#[test]
fn what_ends_a_dive_is_said_with_what_it_rests_on_and_what_comes_first() {
    let within = folder();
    let within = within.path();
    planned(within);
    let said = done(within, &asked("Morning", &[]));
    for part in [
        "What ends the dive first",
        "Turn rule: Half out, half back, from 12",
        "Émile",
        "turn at",
        "assumed",
        "Staff, who may have to give gas",
        "to share with two",
        "The gauge comes first",
        "for everybody",
        "No dive before",
        "Table and dive computer come first",
        "Ask everybody for dives elsewhere",
        "Cold is not in this figure",
        "planned length",
        "A planning aid",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    assert!(!said.contains("no flying"), "nobody has dived: {said}");
    let said = done(within, &asked("Morning", &["--cold", "30"]));
    assert!(said.contains("30 min, cold"), "{said}");
    assert!(!said.contains("Cold is not"), "{said}");
    // In German.
    let german = asked("Morning", &["--language", "de", "--cold", "30"]);
    let said = done(within, &german);
    for part in [
        "Was den Tauchgang zuerst beendet",
        "30 min, Kälte",
        "Umkehrregel",
        "Nullzeit",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    println!("## The dive before counts, and is flown after");
    let said = done(within, &asked("Noon", &[]));
    assert!(said.contains("planned: 1"), "{said}");
    assert!(
        said.contains("No-fly time of the class: not before"),
        "{said}"
    );
    assert!(said.contains("no flying before"), "{said}");
}

#[test]
fn programs_get_the_same_and_the_first_is_the_least() {
    let within = folder();
    let within = within.path();
    planned(within);
    let seen = answer(within, "Morning", &["--cold", "5"]);
    assert_eq!(seen["first"]["by"], "cold");
    assert_eq!(seen["first"]["minutes"]["figure"], "5");
    let mut minutes = vec![number(&seen["first"]["minutes"])];
    let then = seen["then"].as_array().unwrap();
    minutes.extend(then.iter().map(|one| number(&one["minutes"])));
    assert!(minutes.is_sorted(), "{minutes:?}");
    assert_eq!(seen["depth_limit"], "within");
    assert_eq!(seen["without"].as_array().unwrap().len(), 0);
    let row = &seen["gas"]["students"][0];
    assert_eq!(
        (&row["rate_is_own"], &row["enough"]),
        (&Value::from(false), &Value::from(true))
    );
    assert_eq!(seen["no_stop"]["no_fly"], Value::Null);
    println!("## The rule sets where to turn, the reserve stays");
    let turn = |rule: &str| {
        let seen = answer(within, "Morning", &["--turn", rule]);
        assert_eq!(
            (&seen["turn"], &seen["cold"]),
            (&Value::from(rule), &Value::Null)
        );
        let row = &seen["gas"]["students"][0];
        (number(&row["turn"]), row["reserve"].clone())
    };
    let (all, half, thirds) = (
        turn("direct-ascent"),
        turn("there-and-back"),
        turn("thirds"),
    );
    assert!(
        all.0 < half.0 && half.0 < thirds.0,
        "{all:?} {half:?} {thirds:?}"
    );
    assert!(
        all.1 == half.1 && half.1 == thirds.1,
        "{all:?} {half:?} {thirds:?}"
    );
    println!("## Whoever has dived has less time left");
    let left = |session: &str| {
        let seen = answer(within, session, &[]);
        number(&seen["no_stop"]["left"])
    };
    assert!(left("Noon") < left("Morning"));
    let ids = done(within, &asked("Noon", &["--ids"]));
    assert_eq!(ids.lines().count(), 1, "{ids}");
}

#[test]
fn what_is_given_wrong_is_refused_with_its_bounds() {
    let within = folder();
    let within = within.path();
    planned(within);
    for (cold, code) in [
        ("4", 4),
        ("181", 4),
        ("0", 4),
        ("-3", 2),
        ("warm", 2),
        ("4294967296", 2),
    ] {
        let said = refused(within, &asked("Morning", &["--cold", cold]), code);
        assert!(
            code == 2 || (said.contains('5') && said.contains("180")),
            "{cold}: {said}"
        );
    }
    let said = refused(within, &asked("Morning", &["--turn", "half"]), 2);
    assert!(said.contains("there-and-back"), "{said}");
    refused(within, &asked("Midnight", &[]), 3);
    println!("## On land, and without a depth");
    let plan = [
        "session",
        "plan",
        "tablet",
        "--title",
        "Talk",
        "--setting",
        "classroom",
        "--site",
        "Room",
    ];
    done(within, &plan);
    let said = done(within, &asked("Talk", &[]));
    assert!(said.contains("On land nobody needs a reserve."), "{said}");
    assert!(said.contains("no limit to name"), "{said}");
    assert!(said.contains("Gas is not worked out"), "{said}");
}
