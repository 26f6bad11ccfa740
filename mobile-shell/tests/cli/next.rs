//! The next session and what to expect, from the command line.

use crate::support::{
    COURSE, TABLET, confirmed, course, done, enrolled, folder, lone, own_school, refused, school,
};

#[test]
fn the_next_session_is_worked_out_says_why_and_is_planned() {
    let ours = own_school();
    let worked_out = [
        "next",
        TABLET,
        "-c",
        COURSE,
        "--block",
        "pool-4",
        "--minutes",
        "60",
    ];
    let said = done(ours.path(), &worked_out);
    assert!(
        said.contains("Why this list") && said.contains("min to spare"),
        "{said}"
    );
    assert!(said.contains("Buddies: "), "{said}");
    let again = done(ours.path(), &worked_out);
    assert_eq!(said, again, "the same answer every time");
    // In German, and planned.
    let mut planned = worked_out.to_vec();
    planned.extend(["--language", "de"]);
    let said = done(ours.path(), &planned);
    assert!(said.contains("Warum dieser Ablauf"), "{said}");
    planned.push("--plan");
    let said = done(ours.path(), &planned);
    assert!(said.contains("geplant wie ausgearbeitet"), "{said}");
    // The demo has one of that name; ids are in the order of time.
    let ids = ["session", "list", TABLET, "-c", COURSE, "--ids"];
    let ids = done(ours.path(), &ids);
    let newest = ids.lines().max().unwrap().to_owned();
    let sheet = ours.path().join("sheet.pdf");
    let sheet = sheet.to_str().unwrap();
    let session = [
        "paper", "session", TABLET, "-c", COURSE, "-s", &newest, "-o", sheet,
    ];
    done(ours.path(), &session);
    let text = crate::support::tool("pdftotext", &["-layout", sheet, "-"]);
    assert!(
        text.contains("Stations") && text.contains("Buddies: "),
        "{text}"
    );
}

#[test]
fn what_is_asked_for_is_run_and_what_is_left_out_is_not() {
    let base = [
        "next",
        TABLET,
        "-c",
        COURSE,
        "--block",
        "pool-4",
        "--minutes",
        "40",
    ];
    let with = |more: &[&str]| {
        let args: Vec<&str> = base.iter().chain(more).copied().collect();
        done(school(), &args)
    };
    let pinned = with(&["--pin", "descent"]);
    assert!(pinned.contains("you asked for it"), "{pinned}");
    let without = with(&["--another-day", "descent"]);
    assert!(without.contains("left out as you asked"), "{without}");
    let said = refused(
        school(),
        &["next", TABLET, "-c", COURSE, "--pin", "no-such-skill"],
        3,
    );
    assert!(said.contains("skill"), "{said}");
    let none = ["next", TABLET, "-c", COURSE, "--minutes", "0"];
    let said = refused(school(), &none, 1);
    assert!(said.contains("no length"), "{said}");
}

#[test]
fn what_to_expect_is_a_span_and_says_so() {
    let said = done(school(), &["next", TABLET, "-c", COURSE, "--ahead"]);
    assert!(
        said.contains("The whole class") && said.contains("not a promise"),
        "{said}"
    );
}

#[test]
fn what_is_left_of_a_session_that_is_held_is_worked_out_and_planned_from_an_empty_folder() {
    let within = folder();
    let within = within.path();
    let go = |args: &[&str]| done(within, args);
    lone(within);
    confirmed(within);
    course(within, "-1");
    enrolled(within, "Ottilie Brandvoll", "1990-02-03");
    enrolled(within, "Hannu Kivelä", "1988-11-30");
    enrolled(within, "Zofia Wrzos", "1992-07-14");
    enrolled(within, "Baldo Cantavento", "1985-01-21");
    let site = ["--site", "Hollow Lane pool"];
    let planned = [
        "session",
        "plan",
        "tablet",
        "--block",
        "pool-1",
        "--starts",
        "now",
        "--minutes",
        "120",
    ];
    go(&[&planned[..], &site].concat());
    let session = go(&["session", "list", "tablet", "--ids"]);
    let session = session.trim();
    let asked = ["next", "tablet", "--session", session, "--now"];
    let said = go(&asked);
    assert!(said.contains("Why this list"), "{said}");
    assert!(said.contains("turns kept for second tries: "), "{said}");
    println!("## What was met in it is not run again in it");
    let json = |args: &[&str]| -> serde_json::Value {
        let args = [args, &["--json"]].concat();
        serde_json::from_str::<serde_json::Value>(&go(&args)).unwrap()["value"].clone()
    };
    let runs = |answer: &serde_json::Value| -> Vec<serde_json::Value> {
        let stations = answer["stations"].as_array().unwrap().iter();
        let runs = stations.flat_map(|one| one["runs"].as_array().unwrap());
        let judged = runs.filter(|run| !run["students"].as_array().unwrap().is_empty());
        judged.cloned().collect()
    };
    let planned = json(&["session", "show", "tablet", "--session", session]);
    let planned: Vec<&serde_json::Value> = planned["run_list"].as_array().unwrap().iter().collect();
    let of_the_plan =
        |run: &&serde_json::Value| planned.iter().any(|one| one["skill"] == run["skill"]);
    let worked_out = runs(&json(&asked));
    let skill = worked_out.iter().find(of_the_plan).unwrap()["skill"]
        .as_str()
        .unwrap();
    let mark = ["skill", "mark", "tablet", "met", "--session", session];
    go(&[
        &mark[..],
        &["--everyone", "--every-technique", "--skill", skill],
    ]
    .concat());
    let after = json(&asked);
    assert!(
        runs(&after).iter().all(|run| run["skill"] != skill),
        "{after:#}"
    );
    assert!(!runs(&after).is_empty(), "something else is left");
    println!("## Planned: what was tried stays on the list of the session");
    go(&[&asked[..], &["--plan"]].concat());
    let shown = go(&["session", "show", "tablet", "--session", session, "--json"]);
    assert!(shown.contains(skill), "{shown}");
    let sheet = [
        "paper",
        "session",
        "tablet",
        "-s",
        session,
        "-o",
        "sheet.pdf",
    ];
    go(&sheet);
    let sheet = within.join("sheet.pdf");
    let sheet = crate::support::tool("pdftotext", &["-layout", sheet.to_str().unwrap(), "-"]);
    assert!(sheet.contains("turns kept for second"), "{sheet}");
    println!("## Of a session that is over or called off nothing is left");
    go(&[
        "session",
        "cancel",
        "tablet",
        "--session",
        session,
        "--why",
        "Thunder",
    ]);
    let said = refused(within, &asked, 1);
    assert!(said.contains("Nothing is left of this session"), "{said}");
    let german = [&asked[..], &["--language", "de"]].concat();
    let said = refused(within, &german, 1);
    assert!(
        said.contains("Von dieser Einheit ist nichts übrig"),
        "{said}"
    );
    refused(within, &["next", "tablet", "--now"], 2);
}

#[test]
fn the_chance_by_a_day_and_what_would_change_it_are_asked_and_answered_alike_each_time() {
    let asked = [
        "next",
        TABLET,
        "-c",
        COURSE,
        "--ahead",
        "--by",
        "+60",
        "--what-if",
        "--json",
    ];
    let said = done(school(), &asked);
    assert_eq!(said, done(school(), &asked), "the same answer every time");
    let value: serde_json::Value = serde_json::from_str(&said).unwrap();
    let value = &value["value"];
    assert_eq!(value["prior"], serde_json::json!([7, 10]));
    let what: Vec<&str> = value["what_if"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["what"].as_str().unwrap())
        .collect();
    assert_eq!(what, ["session", "assistant", "without"]);
    assert!(value["what_if"][2]["without"]["id"].is_string());
    let percent = |class: &serde_json::Value| class["by_then_percent"].as_u64().unwrap();
    let as_it_is = percent(&value["class"]);
    // One session more never makes it less likely, and each is a share of a hundred.
    let with_one_more = percent(&value["what_if"][0]["class"]);
    assert!(as_it_is <= with_one_more && with_one_more <= 100);
    // Another prior is said, and a school that meets more of its tries ends no later.
    let hopeful = [
        "next", TABLET, "-c", COURSE, "--ahead", "--prior", "49/50", "--json",
    ];
    let hopeful = done(school(), &hopeful);
    let hopeful: serde_json::Value = serde_json::from_str(&hopeful).unwrap();
    let hopeful = &hopeful["value"];
    assert_eq!(hopeful["prior"], serde_json::json!([49, 50]));
    let middle = |value: &serde_json::Value| value["class"]["middle"].as_u64().unwrap();
    assert!(middle(hopeful) <= middle(value));
    // In words, in German.
    let german = [
        "next",
        TABLET,
        "-c",
        COURSE,
        "--ahead",
        "--by",
        "+60",
        "--what-if",
        "--language",
        "de",
    ];
    let said = done(school(), &german);
    assert!(
        said.contains("ein Assistent mehr") && said.contains("Vor jedem Versuch"),
        "{said}"
    );
}

#[test]
fn a_day_that_is_past_and_a_prior_that_cannot_be_are_named() {
    let ask = |more: [&str; 2]| {
        let base = ["next", TABLET, "-c", COURSE, "--ahead"];
        let args: Vec<&str> = base.into_iter().chain(more).collect();
        refused(school(), &args, 4)
    };
    assert!(ask(["--by", "2001-01-01"]).contains("2001-01-01"));
    for prior in ["7", "0/10", "10/10", "11/10", "600/1000", "seven/ten"] {
        let said = ask(["--prior", prior]);
        assert!(said.contains("out of bounds"), "{prior}: {said}");
    }
    let alone = ["next", TABLET, "-c", COURSE, "--prior", "7/10"];
    assert!(refused(school(), &alone, 2).contains("--ahead"));
}
