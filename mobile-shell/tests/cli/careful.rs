//! What must never happen: writing into a device's folder or over what is no file, taking one
//! of several, a preview that promises what the act refuses.

use crate::support::{
    COURSE, SHOP, TABLET, course, done, err, folder, lone, own_school, refused, school, tallywater,
};

#[test]
fn nothing_is_written_into_a_devices_folder_or_over_what_is_no_file() {
    let own = own_school();
    let within = own.path();
    let store = within.join(SHOP).join("tallywater.db");
    let key = within.join(SHOP).join("keys/device.key");
    let before = std::fs::read(&key).unwrap();
    let to = |file: &str, more: &[&str]| -> Vec<String> {
        let args = ["export", "roster", TABLET, "-c", COURSE, "-o", file];
        args.iter().chain(more).map(|it| (*it).to_owned()).collect()
    };
    for file in [
        "school/shop/tallywater.db",
        "school/shop/keys/device.key",
        "school/shop/keys/../tallywater.db",
        "school/instructor/roster.csv",
        "school/shop/new/roster.csv",
    ] {
        for more in [&["--replace"][..], &[]] {
            let args = to(file, more);
            let args: Vec<&str> = args.iter().map(String::as_str).collect();
            let said = refused(within, &args, 4);
            assert!(
                said.contains("device's folder") || said.contains("file of that name"),
                "{file}: {said}"
            );
        }
    }
    assert_eq!(std::fs::read(&key).unwrap(), before);
    assert!(!within.join("school/shop/new").exists());
    done(within, &["school", "show", SHOP]);
    assert!(store.is_file());
    println!("## And the files of a job make no folder there either");
    let args = [
        "paper",
        "record",
        TABLET,
        "-c",
        COURSE,
        "-o",
        "school/shop/records",
    ];
    refused(within, &args, 4);
    assert!(!within.join("school/shop/records").exists());
    #[cfg(unix)]
    {
        println!("## A link, a pipe and a device are left alone, told to replace or not");
        std::os::unix::fs::symlink(&key, within.join("link.csv")).unwrap();
        for file in ["link.csv", "/dev/null", "/dev/stdout"] {
            let args = to(file, &["--replace"]);
            let args: Vec<&str> = args.iter().map(String::as_str).collect();
            let said = refused(within, &args, 4);
            assert!(said.contains("is no file"), "{file}: {said}");
        }
        assert_eq!(std::fs::read(&key).unwrap(), before);
    }
}

#[test]
fn the_board_of_an_ambiguous_name_is_not_taken_silently() {
    let said = refused(school(), &["board", TABLET, "First"], 4);
    assert!(
        said.contains("several fit") && said.contains("given "),
        "{said}"
    );
    let ids = done(school(), &["course", "list", TABLET, "--ids"]);
    let named = ids.lines().filter(|id| said.contains(id)).count();
    assert!(named >= 2, "the candidates are named by id: {said}");
    done(school(), &["board", TABLET, COURSE]);
    done(
        school(),
        &["student", "show", TABLET, "-c", COURSE, "emile"],
    );
}

#[test]
fn a_preview_asks_the_rules_that_the_act_asks() {
    let own = own_school();
    let within = own.path();
    std::fs::write(within.join("two.csv"), "name,born\nTove Lind,1990-02-03\n").unwrap();
    let roster = [
        "import",
        "roster",
        "school/assistant",
        "two.csv",
        "-c",
        COURSE,
    ];
    let preview = [&roster[..], &["--preview"]].concat();
    for args in [&preview[..], &roster] {
        let said = refused(within, args, 4);
        assert!(said.contains("role of this device"), "{said}");
    }
    let plan = |site: &'static str, more: &'static [&'static str]| -> Vec<&'static str> {
        let plan = [
            "session", "plan", TABLET, "-c", COURSE, "--block", "pool-4", "--starts",
        ];
        [&plan[..], &["tomorrow 18:00", "--site", site], more].concat()
    };
    refused(within, &plan(" ", &["--preview"]), 4);
    refused(within, &plan(" ", &[]), 4);
    let count = || {
        done(within, &["session", "list", TABLET, "-c", COURSE, "--ids"])
            .lines()
            .count()
    };
    let before = count();
    done(within, &plan("Hollow Lane", &["--preview"]));
    assert_eq!(count(), before, "a preview plans nothing");
    done(within, &plan("Hollow Lane", &[]));
    assert_eq!(count(), before + 1);
    println!("## And a nightly run that asks for it again does nothing");
    done(within, &plan("Hollow Lane", &["--skip-existing"]));
    assert_eq!(count(), before + 1);
}

#[test]
fn a_reader_that_goes_away_is_no_failure_and_a_hold_of_the_past_is_refused() {
    let own = own_school();
    let within = own.path();
    let program = env!("CARGO_BIN_EXE_tallywater");
    let pipe = format!("set -o pipefail; {program} entry list {TABLET} -c '{COURSE}' | head -1");
    let ran = std::process::Command::new("bash")
        .args(["-c", &pipe])
        .current_dir(within)
        .output()
        .unwrap();
    assert!(ran.status.success(), "{}", err(&ran));
    assert!(err(&ran).is_empty(), "{}", err(&ran));
    let hold = |until| {
        let args = [
            "keep",
            "hold",
            SHOP,
            "-c",
            COURSE,
            "--why",
            "an inquiry",
            "--until",
            until,
        ];
        tallywater(within, &args)
    };
    let past = hold("yesterday");
    assert_eq!(past.status.code(), Some(4), "{}", err(&past));
    assert!(hold("today").status.success());
}

#[test]
fn a_rule_that_nobody_confirmed_is_said_in_words_and_not_by_its_id() {
    let within = folder();
    let within = within.path();
    lone(within);
    course(within, "today");
    done(
        within,
        &["student", "enrol", "tablet", "--name", "Hanne Lind"],
    );
    let missing = done(within, &["student", "missing", "tablet", "Hanne"]);
    assert!(missing.contains("under the age of 18"), "{missing}");
    for raw in ["consent-under", "dives-needed", "still_running", "bad_date"] {
        assert!(!missing.contains(raw), "{missing}");
    }
    let retitle = ["course", "retitle", "tablet", "--starts", "soon"];
    let day = refused(within, &retitle, 4);
    assert!(
        day.contains("year-month-day") && !day.contains("bad_date"),
        "{day}"
    );
    let drop = [
        "keep", "delete", "tablet", "-c", "First", "--why", "x", "--yes",
    ];
    let running = refused(within, &drop, 4);
    assert!(running.contains("still running"), "{running}");
}

#[test]
fn what_is_wrong_with_an_outline_is_said_in_sentences_in_both_languages() {
    let own = own_school();
    let within = own.path();
    done(
        within,
        &["outline", "write", TABLET, "-c", COURSE, "-o", "own.json"],
    );
    let text = std::fs::read_to_string(within.join("own.json")).unwrap();
    let mut outline: serde_json::Value = serde_json::from_str(&text).unwrap();
    let skill = &mut outline["skills"][0];
    let id = skill["id"].as_str().unwrap().to_owned();
    skill["name"] = "".into();
    skill["needs"] = serde_json::json!(["of-nowhere"]);
    skill["minutes"] = serde_json::json!({"quick": 30, "slow": 10});
    outline["edition"] = 0.into();
    std::fs::write(within.join("own.json"), outline.to_string()).unwrap();
    let set = [
        "outline",
        "set",
        TABLET,
        "own.json",
        "-c",
        COURSE,
        "--preview",
    ];
    for (language, sentences) in [
        (
            "en",
            [
                "Edition of the outline: this figure is out of bounds, at least 1",
                "Name: its length is out of bounds, at least 1, at most 40",
                "It builds on a skill that is not there: of-nowhere",
                "Its minutes are out of bounds, given 30-10, at least 1, at most 240",
            ],
        ),
        (
            "de",
            ["Ausgabe des Lehrplans: ", "Name: ", ": of-nowhere", "30-10"],
        ),
    ] {
        let said = refused(within, &[&set[..], &["--language", language]].concat(), 4);
        for sentence in sentences {
            assert!(said.contains(sentence), "{sentence}: {said}");
        }
        assert!(said.contains(&format!("{id}: ")), "{said}");
        for code in ["Text {", "Minutes {", "Edition\n", "Unknown {"] {
            assert!(!said.contains(code), "{code}: {said}");
        }
    }
}
