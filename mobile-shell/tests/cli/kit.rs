//! The school's kit by command, from an empty folder: described, faulty, mended, retired; issued
//! for a session and returned; taken in and written as a list.

use std::path::Path;

use serde_json::Value;

use crate::json::against_the_page;
use crate::support::{confirmed, course, done, enrolled, folder, lone, pool_one, refused};

fn kit<'a>(verb: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    [&["kit", verb, "tablet"][..], more].concat()
}

/// What a command answers as JSON: it is as the page describes it.
fn json(within: &Path, args: &[&str]) -> Value {
    let said = done(within, &[args, &["--json"]].concat());
    let (unknown, _) = against_the_page(&said);
    assert!(unknown.is_empty(), "JSON.md does not describe {unknown:#?}");
    let said: Value = serde_json::from_str(&said).unwrap();
    said["value"].clone()
}

fn piece(within: &Path, named: &str) -> Value {
    json(within, &kit("show", &[named]))
}

fn many(within: &Path) -> usize {
    let seen = json(within, &kit("list", &[]));
    seen["pieces"].as_array().unwrap().len()
}

#[test]
fn a_piece_is_described_once_found_by_its_number_and_retired() {
    let folder = folder();
    let within = folder.path();
    lone(within);
    println!("## Nothing is there; a preview describes nothing");
    assert_eq!(many(within), 0);
    let preview = ["regulator", "12", "--size", "M", "--preview"];
    assert!(done(within, &kit("add", &preview)).contains("this was a preview"));
    assert_eq!(many(within), 0);
    println!("## Described, with its dates");
    let told = [
        "regulator",
        "12",
        "--size",
        "M",
        "--serial",
        "A-778",
        "--service-due",
        "+30",
    ];
    let id = done(within, &[&kit("add", &told)[..], &["--ids"]].concat());
    let seen = piece(within, "regulator 12");
    assert_eq!(seen["id"], id.trim());
    assert_eq!(seen["state"], "free");
    assert!(seen["service_due"].is_string() && seen["test_due"].is_null());
    println!("## Found by its number alone, by its id, and by its German name");
    for named in ["12", "regulator-12", id.trim()] {
        assert_eq!(piece(within, named)["serial"], "A-778", "{named}");
    }
    let german = kit("show", &["Atemregler 12", "--language", "de"]);
    let said = done(within, &german);
    assert!(said.contains("Atemregler 12 (M)"), "{said}");
    assert!(said.contains("Seriennummer: A-778"), "{said}");
    println!("## A number is one piece's; a run of every night may say it again");
    let again = ["regulator", "12"];
    let said = refused(within, &kit("add", &again), 4);
    assert!(said.contains("has this number"), "{said}");
    let skipped = [&kit("add", &again)[..], &["--skip-existing", "--ids"]].concat();
    assert_eq!(done(within, &skipped), id);
    done(within, &kit("add", &["fins", "12"]));
    assert_eq!(many(within), 2);
    println!("## Two have the number alone: none is taken, and both are named by id");
    let said = refused(within, &kit("show", &["12"]), 4);
    assert!(said.contains("several fit"), "{said}");
    println!("## Changed: what is not given stays, a day is taken out by nothing");
    done(
        within,
        &kit(
            "change",
            &["regulator 12", "--size", "L", "--service-due", ""],
        ),
    );
    let changed = piece(within, "regulator 12");
    assert_eq!(changed["size"], "L");
    assert_eq!(changed["serial"], "A-778");
    assert!(changed["service_due"].is_null());
    println!("## A day that cannot be changes nothing");
    let wrong = ["regulator 12", "--size", "S", "--test-due", "2031-02-30"];
    refused(within, &kit("change", &wrong), 4);
    assert_eq!(piece(within, "regulator 12"), changed);
    println!("## Out of use, once; and back by being described");
    done(
        within,
        &kit("retire", &["regulator 12", "--why", "cracked"]),
    );
    let retired = piece(within, "regulator 12");
    assert_eq!(retired["state"], "retired");
    assert_eq!(retired["retired"]["why"], "cracked");
    refused(within, &kit("retire", &["regulator 12", "--why", "x"]), 4);
    done(within, &kit("change", &["regulator 12"]));
    assert_eq!(piece(within, "regulator 12")["state"], "free");
    println!("## What is not there is said");
    refused(within, &kit("show", &["suit 99"]), 3);
}

#[test]
fn a_fault_takes_a_piece_out_until_it_is_mended() {
    let folder = folder();
    let within = folder.path();
    lone(within);
    done(within, &kit("add", &["cylinder", "3", "--size", "12 l"]));
    let state = || piece(within, "cylinder 3")["state"].clone();
    for what in ["valve is stiff", "knob is loose"] {
        done(within, &kit("fault", &["cylinder 3", "--what", what]));
    }
    assert_eq!(state(), "faulty");
    let said = done(within, &kit("list", &["--state", "faulty"]));
    assert!(said.contains("Cylinder 3 (12 l)"), "{said}");
    println!("## Of two faults none is mended by chance");
    let two = refused(within, &kit("mended", &["3", "--how", "new knob"]), 4);
    assert!(two.contains("several fit"), "{two}");
    let shown = piece(within, "3");
    let entry = shown["faults"][0]["entry"].as_str().unwrap().to_owned();
    let one = ["3", "--how", "new knob", "--fault", entry.as_str()];
    done(within, &kit("mended", &one));
    assert_eq!(state(), "faulty");
    done(within, &kit("mended", &["3", "--how", "greased"]));
    assert_eq!(state(), "free");
    let shown = piece(within, "3");
    let faults = shown["faults"].as_array().unwrap();
    assert!(
        faults
            .iter()
            .all(|fault| fault["mended"]["how"].is_string())
    );
    refused(within, &kit("mended", &["3", "--how", "once more"]), 4);
    println!("## Nothing said is no fault");
    refused(within, &kit("fault", &["3", "--what", ""]), 4);
    println!("## A date that has passed is said in words, in German too");
    done(within, &kit("change", &["3", "--test-due", "yesterday"]));
    assert_eq!(state(), "overdue");
    assert_eq!(piece(within, "3")["wrong"][0], "test-overdue");
    let said = done(within, &kit("list", &["--language", "de"]));
    assert!(said.contains("Flasche 3 (12 l)"), "{said}");
    assert!(said.contains("Prüfung war fällig am"), "{said}");
}

/// A lone instructor's course with confirmed rules, two students and a pool session today.
fn class(within: &Path) {
    lone(within);
    confirmed(within);
    course(within, "today");
    for name in ["Baldo Cantavento", "Thora Sandsdottir"] {
        enrolled(within, name, "1990-02-03");
    }
    pool_one(within, "now");
}

/// Suits in two sizes, fins, and regulators of which one is past its date.
fn store(within: &Path) {
    for told in [
        &["suit", "1", "--size", "L"][..],
        &["suit", "2", "--size", "M"],
        &["fins", "4", "--size", "42"],
        &["regulator", "7"],
        &["regulator", "8", "--service-due", "yesterday"],
        &["regulator", "9"],
    ] {
        done(within, &kit("add", told));
    }
}

fn of_session<'a>(verb: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    [&kit(verb, &["--session", "Pool one"])[..], more].concat()
}

/// What somebody needs and has of a kind, as the session's list says.
fn line(within: &Path, who: &str, kind: &str) -> Value {
    let args = ["session", "kit", "tablet", "--session", "Pool one"];
    let seen = json(within, &args);
    let people = seen["people"].as_array().unwrap().iter();
    let mut mine = people.filter(|one| one["student"]["short"] == who);
    let lines = mine.next().unwrap()["lines"].as_array().unwrap().clone();
    let mut of_kind = lines.into_iter().filter(|line| line["kind"] == kind);
    of_kind.next().unwrap()
}

#[test]
fn sizes_are_said_once_and_what_is_not_given_stays() {
    let folder = folder();
    let within = folder.path();
    class(within);
    let sizes = |more: &[&'static str]| [&["student", "sizes", "tablet"][..], more].concat();
    assert!(json(within, &sizes(&["Baldo"]))["sizes"].is_null());
    assert!(done(within, &sizes(&["Baldo"])).contains("No sizes are known"));
    done(
        within,
        &sizes(&["Baldo", "--suit", "L", "--fins", "42", "--brings", "mask"]),
    );
    done(within, &sizes(&["Baldo", "--suit", "XL"]));
    let seen = json(within, &sizes(&["Baldo"]));
    assert_eq!(seen["sizes"]["suit"], "XL");
    assert_eq!(seen["sizes"]["fins"], "42");
    assert_eq!(seen["sizes"]["brings"][0], "mask");
    let said = done(within, &sizes(&["Baldo", "--language", "de"]));
    assert!(said.contains("Anzug: XL"), "{said}");
    done(within, &sizes(&["Baldo", "--brings-nothing", "--fins", ""]));
    let seen = json(within, &sizes(&["Baldo"]));
    assert_eq!(seen["sizes"]["fins"], "");
    assert_eq!(seen["sizes"]["brings"].as_array().unwrap().len(), 0);
    println!("## An amendment of the name leaves them");
    let name = ["student", "amend", "tablet", "Baldo", "--called", "Bal"];
    done(within, &name);
    assert_eq!(json(within, &sizes(&["Baldo"]))["sizes"]["suit"], "XL");
}

#[test]
fn kit_is_issued_as_proposed_and_by_name_and_comes_back() {
    let folder = folder();
    let within = folder.path();
    class(within);
    store(within);
    let sizes = |more: &[&'static str]| [&["student", "sizes", "tablet"][..], more].concat();
    done(
        within,
        &sizes(&["Baldo", "--suit", "L", "--brings", "fins"]),
    );
    done(within, &sizes(&["Thora", "--suit", "M"]));
    println!("## What fits and is free is proposed; what one brings is one's own");
    let suit = line(within, "Baldo", "suit");
    assert_eq!(suit["state"], "missing");
    assert_eq!(suit["wanted"], "L");
    assert_eq!(suit["proposed"]["number"], "1");
    assert_eq!(line(within, "Baldo", "fins")["state"], "own");
    println!("## A preview issues nothing");
    let proposed = of_session("issue", &["--proposed", "--to", "Baldo"]);
    let preview = [&proposed[..], &["--preview"]].concat();
    assert!(done(within, &preview).contains("this was a preview"));
    assert_eq!(line(within, "Baldo", "suit")["state"], "missing");
    println!("## Issued as proposed, once");
    done(within, &proposed);
    let suit = line(within, "Baldo", "suit");
    assert_eq!(suit["state"], "issued");
    assert_eq!(suit["issued"][0]["piece"]["number"], "1");
    assert_eq!(line(within, "Baldo", "regulator")["state"], "issued");
    refused(within, &proposed, 4);
    assert_eq!(piece(within, "suit 1")["state"], "out");
    println!("## Nobody gets what somebody has, whatever is said");
    let taken = [
        "--piece",
        "suit 1",
        "--to",
        "Thora",
        "--despite",
        "she asks",
    ];
    let said = refused(within, &of_session("issue", &taken), 4);
    assert!(said.contains("take it back first"), "{said}");
    assert!(!said.contains("Baldo"), "no name in an error: {said}");
    println!("## What is past its date asks for a reason, and is missing before water");
    let late = [
        "--piece",
        "suit 2",
        "--piece",
        "regulator 8",
        "--to",
        "Thora",
    ];
    let late = of_session("issue", &late);
    let said = refused(within, &late, 4);
    assert!(said.contains("past its date"), "{said}");
    assert_eq!(
        line(within, "Thora", "suit")["state"],
        "missing",
        "all or none"
    );
    done(
        within,
        &[&late[..], &["--despite", "checked by hand"]].concat(),
    );
    let regulator = line(within, "Thora", "regulator")["issued"][0].clone();
    assert_eq!(regulator["despite"], "checked by hand");
    assert_eq!(regulator["wrong"][0], "service-overdue");
    let args = ["session", "show", "tablet", "--session", "Pool one"];
    let session = json(within, &args);
    let students = session["students"].as_array().unwrap().iter();
    let mut thora = students.filter(|one| one["student"]["short"] == "Thora");
    let missing = thora.next().unwrap()["missing"].clone();
    let kit_gap = missing.as_array().unwrap().iter();
    let kit_gap: Vec<&Value> = kit_gap.filter(|gap| gap["what"] == "kit").collect();
    assert_eq!(kit_gap.len(), 1, "{missing}");
    assert_eq!(kit_gap[0]["about"]["piece"]["number"], "8");
    let said = done(within, &[&args[..], &["--language", "de"]].concat());
    assert!(
        said.contains("Atemregler 8: Wartung war fällig am"),
        "{said}"
    );
    println!("## Back, once; with a fault it is faulty");
    done(within, &kit("return", &["--piece", "suit 1"]));
    assert_eq!(piece(within, "suit 1")["state"], "free");
    let said = refused(within, &kit("return", &["--piece", "suit 1"]), 4);
    assert!(said.contains("nothing here"), "{said}");
    let number = line(within, "Baldo", "regulator")["issued"][0]["piece"]["number"].clone();
    let regulator = format!("regulator {}", number.as_str().unwrap());
    let leaks = ["--piece", regulator.as_str(), "--fault", "hose leaks"];
    done(within, &kit("return", &leaks));
    assert_eq!(piece(within, &regulator)["state"], "faulty");
    println!("## Everything of one person, and then there is nothing more");
    let all = of_session("return", &["--everything", "--from", "Thora"]);
    assert!(done(within, &all).contains("Back: 2"));
    refused(within, &all, 4);
    assert_eq!(json(within, &kit("list", &[]))["out"], 0);
    let sizes = json(within, &sizes(&["Thora"]));
    assert_eq!(sizes["out"].as_array().unwrap().len(), 0);
    println!("## In German too");
    let german = [
        "session",
        "kit",
        "tablet",
        "--session",
        "Pool one",
        "--language",
        "de",
    ];
    let said = done(within, &german);
    assert!(
        said.contains("Anzug (L)") && said.contains("Fehlt"),
        "{said}"
    );
}

#[test]
fn a_kit_list_is_taken_whole_or_not_at_all_and_is_read_back() {
    let folder = folder();
    let within = folder.path();
    class(within);
    let write = |text: &str| std::fs::write(within.join("kit.csv"), text).unwrap();
    let import =
        |more: &[&'static str]| [&["import", "kit", "tablet", "kit.csv"][..], more].concat();
    println!("## Bad rows are named with their lines, and nothing is taken");
    write("kind,number,service due\nsubmarine,1,\nfins,,\nsuit,3,2031-02-30\nmask,4,\n");
    let said = refused(within, &import(&[]), 1);
    for line in ["line 2", "line 3", "line 4"] {
        assert!(said.contains(line), "{said}");
    }
    assert_eq!(many(within), 0);
    println!("## Without a column for the number it is no kit list");
    write("kind,size\nsuit,L\n");
    let said = refused(within, &import(&[]), 4);
    assert!(said.contains("headed as the kind"), "{said}");
    println!("## Looked at, then taken");
    write("kind,number,size,service due\nregulator,1,,2031-05-01\nsuit,A1,L,\n");
    let said = done(within, &import(&["--preview"]));
    assert!(
        said.contains("Regulator 1") && said.contains("preview"),
        "{said}"
    );
    assert_eq!(many(within), 0);
    let said: Value = serde_json::from_str(&done(within, &import(&["--json"]))).unwrap();
    assert_eq!(said["value"]["added"], 2);
    assert_eq!(piece(within, "regulator 1")["service_due"], "2031-05-01");
    println!("## What is there already is left out, or described anew where that is asked for");
    write("kind,number,size\nsuit,A1,XL\nsuit,A2,M\n");
    let said = done(within, &import(&[]));
    assert!(said.contains("line 2"), "{said}");
    assert_eq!(piece(within, "suit A1")["size"], "L");
    let said: Value = serde_json::from_str(&done(within, &import(&["--renew", "--json"]))).unwrap();
    assert_eq!(said["value"]["renewed"], 1);
    assert_eq!(piece(within, "suit A1")["size"], "XL");
    println!("## Written, and read back without a difference");
    let before = json(within, &kit("list", &[]));
    done(within, &["export", "kit", "tablet", "--out", "out.csv"]);
    let text = std::fs::read_to_string(within.join("out.csv")).unwrap();
    write(&text);
    let said: Value = serde_json::from_str(&done(within, &import(&["--renew", "--json"]))).unwrap();
    assert_eq!(said["value"]["added"], 0);
    assert_eq!(said["value"]["renewed"], 0);
    assert_eq!(json(within, &kit("list", &[])), before);
    println!("## Printed: the kit, and who gets what for a session");
    done(within, &["paper", "kit", "tablet", "--out", "kit.pdf"]);
    let issue = ["paper", "issue", "tablet", "--session", "Pool one"];
    done(
        within,
        &[&issue[..], &["--out", "issue.pdf", "--language", "de"]].concat(),
    );
    for name in ["kit.pdf", "issue.pdf"] {
        let bytes = std::fs::read(within.join(name)).unwrap();
        assert!(bytes.starts_with(b"%PDF"), "{name}");
    }
}

#[test]
fn sizes_come_in_with_a_roster_and_go_out_with_it_unchanged() {
    let folder = folder();
    let within = folder.path();
    lone(within);
    confirmed(within);
    course(within, "-1");
    let write = |text: &str| std::fs::write(within.join("roster.csv"), text).unwrap();
    let import = ["import", "roster", "tablet", "roster.csv"];
    println!("## What is no kit, and a size longer than any, are named with their lines");
    let long = "XL".repeat(11);
    write(&format!(
        "name,suit size,own kit\nOttilie Brandvoll,M,a submarine\nHannu Kivelä,{long},\n"
    ));
    let said = refused(within, &import, 1);
    assert!(said.contains("line 2") && said.contains("no kit"), "{said}");
    assert!(
        said.contains("line 3") && said.contains("suit size"),
        "{said}"
    );
    assert_eq!(done(within, &["student", "list", "tablet", "--ids"]), "");
    println!("## Taken, with the heads in either language");
    write(
        "name,Anzuggröße,Boots size,Fins,Maske,BCD,own kit\n\
         Ottilie Brandvoll,\"ML, long\",40,,,M,fins mask\nHannu Kivelä,,,,,,\n",
    );
    done(within, &import);
    let sizes = |device: &str, name: &str| {
        let said = json(within, &["student", "sizes", device, name]);
        said["sizes"].clone()
    };
    let ottilie = sizes("tablet", "Ottilie");
    assert_eq!(ottilie["suit"], "ML, long");
    assert_eq!(ottilie["boots"], "40");
    assert_eq!(ottilie["bcd"], "M");
    assert_eq!(ottilie["brings"].as_array().unwrap().len(), 2);
    assert!(sizes("tablet", "Hannu").is_null());
    println!("## Out, and into another school's course without a difference");
    done(within, &["export", "roster", "tablet", "--out", "out.csv"]);
    let other = [
        &["setup", "other", "--alone"][..],
        &["--shop", "Weir School", "--person", "Juno Ferrant"],
    ];
    done(within, &other.concat());
    let open = ["course", "open", "other", "--title", "Weir", "--starts=-1"];
    done(within, &open);
    done(within, &["import", "roster", "other", "out.csv"]);
    assert_eq!(sizes("other", "Ottilie"), ottilie);
    assert!(sizes("other", "Hannu").is_null());
}
