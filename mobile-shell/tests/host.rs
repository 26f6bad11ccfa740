//! The shop computer as it is run: the program itself, with real processes and signals.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "a broken expectation is a failed test"
)]

use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

mod midday;

/// Long after which a test that waits has failed. Nothing is measured against it.
const GUARD: Duration = Duration::from_secs(60);

fn tallywater() -> Command {
    midday::keep();
    Command::new(env!("CARGO_BIN_EXE_tallywater"))
}

fn run(args: &[&str], within: &Path) -> Output {
    let ran = tallywater().args(args).current_dir(within).output();
    ran.expect("the program runs")
}

fn said(args: &[&str], within: &Path) -> String {
    let ran = run(args, within);
    let out = String::from_utf8(ran.stdout).unwrap();
    let err = String::from_utf8_lossy(&ran.stderr);
    assert!(ran.status.success(), "{args:?}: {out}{err}");
    out
}

/// A host that is running; it is killed when a test fails.
struct Host(Child);

impl Drop for Host {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

impl Host {
    fn start(within: &Path) -> Self {
        let log = std::fs::OpenOptions::new()
            .create(true)
            .append(true)
            .open(within.join("host.log"))
            .unwrap();
        let child = tallywater()
            .args(["host", "shop", "--listen", "127.0.0.1:0", "--no-nearby"])
            .current_dir(within)
            .stderr(log)
            .spawn()
            .expect("the host starts");
        let host = Self(child);
        let start = Instant::now();
        while !said(&["status", "shop"], within).starts_with("On the network as ") {
            assert!(start.elapsed() < GUARD, "the host never went online");
            std::thread::sleep(Duration::from_millis(50));
        }
        host
    }

    fn kill(mut self) {
        self.0.kill().unwrap();
        self.0.wait().unwrap();
    }
}

fn shop(within: &Path) {
    let set_up = [
        "setup",
        "shop",
        "--shop",
        "Grebe Hollow Divers",
        "--person",
        "Ansel Forde",
    ];
    said(&set_up, within);
}

/// Shows a code for a new instructor; the command goes on waiting until it is used.
fn show_code(within: &Path) -> (Child, String, String) {
    let mut showing = tallywater()
        .args([
            "code",
            "shop",
            "--name",
            "Renate Solheim",
            "--role",
            "instructor",
            "--new",
        ])
        .current_dir(within)
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(showing.stdout.take().unwrap()).lines();
    let mut line = || lines.next().unwrap().unwrap();
    let code = line().replace("Code", "").replace(' ', "");
    let _good_for = line();
    let place = line().replace("At", "").replace(' ', "");
    // Read on, so that the command never waits for us.
    std::thread::spawn(move || lines.for_each(drop));
    (showing, code, place)
}

#[test]
fn a_tablet_joins_a_running_host_and_a_killed_host_has_lost_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let within = folder.path();
    shop(within);
    let host = Host::start(within);
    let (mut showing, code, place) = show_code(within);
    let join = [
        "join",
        "tablet",
        "--at",
        &place,
        "--code",
        &code,
        "--device",
        "Blue tablet",
    ];
    let joined = said(&join, within);
    assert!(
        joined.contains("Ready. Courses on this device: 0"),
        "{joined}"
    );
    assert!(
        showing.wait().unwrap().success(),
        "it says that a device has joined"
    );
    let status = said(&["status", "shop"], within);
    assert!(status.contains("Blue tablet"), "{status}");
    println!("## Killed outright, it has everything that it said it had");
    host.kill();
    let after = said(&["status", "shop"], within);
    let held = |text: &str| text.split_once("Held").unwrap().1.to_owned();
    assert_eq!(held(&after), held(&status));
    assert!(after.starts_with("Not on the network"));
    println!("## And its log names nobody");
    let log = std::fs::read_to_string(within.join("host.log")).unwrap();
    assert!(log.contains("a device was admitted"), "{log}");
    for name in ["Renate", "Solheim", "Ansel", "Blue tablet"] {
        assert!(!log.contains(name), "{name} is in the log");
    }
    println!("## Started again, it goes on");
    let _host = Host::start(within);
}

#[test]
fn a_school_that_was_started_alone_brings_its_kit_to_the_host() {
    let folder = tempfile::tempdir().unwrap();
    let within = folder.path();
    shop(within);
    said(&["kit", "add", "shop", "suit", "7", "--size", "M"], within);
    let alone = [
        &["setup", "tablet", "--alone"][..],
        &["--shop", "Heron Lake", "--person", "Tove Askildsen"],
    ];
    said(&alone.concat(), within);
    said(
        &["kit", "add", "tablet", "suit", "7", "--size", "L"],
        within,
    );
    said(
        &["kit", "add", "tablet", "fins", "3", "--size", "42"],
        within,
    );
    let _host = Host::start(within);
    let (mut showing, code, place) = show_code(within);
    let join = [
        &["join", "tablet", "--at", &place, "--code", &code][..],
        &["--device", "Blue tablet"],
    ];
    said(&join.concat(), within);
    assert!(showing.wait().unwrap().success());
    for device in ["shop", "tablet"] {
        let kit = said(&["kit", "list", device], within);
        for named in ["Suit 7 (M)", "Suit 7/2 (L)", "Fins 3 (42)"] {
            assert!(kit.contains(named), "{named} at the {device}: {kit}");
        }
    }
    let suit = said(&["kit", "show", "shop", "suit 7/2"], within);
    assert!(suit.contains("Heron Lake 7"), "{suit}");
}

#[cfg(unix)]
#[test]
fn a_host_that_is_asked_to_stop_says_goodbye_and_ends_well() {
    let folder = tempfile::tempdir().unwrap();
    let within = folder.path();
    shop(within);
    for signal in ["INT", "TERM"] {
        let mut host = Host::start(within);
        let id = host.0.id().to_string();
        let sent = Command::new("kill")
            .args([&format!("-{signal}"), &id])
            .status();
        assert!(sent.unwrap().success());
        assert!(host.0.wait().unwrap().success(), "{signal}");
    }
    let log = std::fs::read_to_string(within.join("host.log")).unwrap();
    assert_eq!(log.matches("stopping").count(), 2, "{log}");
}

#[test]
fn a_backup_is_made_while_the_host_runs_and_the_sheet_opens_it_elsewhere() {
    let folder = tempfile::tempdir().unwrap();
    let within = folder.path();
    shop(within);
    let sheet = said(&["recovery", "shop"], within);
    std::fs::write(within.join("sheet.txt"), &sheet).unwrap();
    let host = Host::start(within);
    std::fs::create_dir(within.join("new")).unwrap();
    said(&["backup", "shop", "new/tallywater.db"], within);
    let again = run(&["backup", "shop", "new/tallywater.db"], within);
    assert_eq!(again.status.code(), Some(4));
    assert!(String::from_utf8_lossy(&again.stderr).contains("left as it is"));
    drop(host);
    let restore = [
        "setup",
        "new",
        "--person",
        "Ansel Forde",
        "--restore",
        "sheet.txt",
    ];
    said(&restore, within);
    let status = said(&["status", "new"], within);
    assert!(status.contains("Grebe Hollow Divers"), "{status}");
    println!("## A sheet with a mistake names the line and leaves no folder");
    let wrong = sheet.replacen("  3   ", "  3   2", 1);
    std::fs::write(within.join("wrong.txt"), wrong).unwrap();
    let mut other = restore;
    other[1] = "other";
    other[5] = "wrong.txt";
    let ran = run(&other, within);
    let err = String::from_utf8_lossy(&ran.stderr);
    assert_eq!(ran.status.code(), Some(4), "{err}");
    assert!(
        err.contains("line of the recovery sheet") && err.contains("given 3"),
        "{err}"
    );
    assert!(
        !within.join("other").exists(),
        "a failed setup leaves nothing"
    );
    println!("## And as some editors save it, it is read all the same");
    let wide = |text: &str| -> Vec<u8> {
        let units = std::iter::once(0xfeff).chain(text.encode_utf16());
        units.flat_map(u16::to_le_bytes).collect()
    };
    std::fs::write(
        within.join("wide.txt"),
        wide(&sheet.replace('-', "\u{2013}")),
    )
    .unwrap();
    other[5] = "wide.txt";
    said(&other, within);
}

/// What a terminal says that asks something of a running host.
fn asks(args: &'static [&'static str], within: &Path) -> std::thread::JoinHandle<Output> {
    let within = within.to_owned();
    std::thread::spawn(move || run(args, &within))
}

#[test]
fn several_terminals_ask_a_host_at_the_same_time_and_each_gets_its_own_answer() {
    let folder = tempfile::tempdir().unwrap();
    let within = folder.path();
    shop(within);
    let _host = Host::start(within);
    for round in 0..5 {
        println!("## Round {round}");
        let new: &'static str = format!("copy-{round}.db").leak();
        let name: &'static str = format!("Person Number {round}").leak();
        let asked = [
            asks(&["status", "shop"], within),
            asks(Vec::from(["backup", "shop", new]).leak(), within),
            asks(
                Vec::from(["staff", "join", "shop", "--name", name]).leak(),
                within,
            ),
            asks(
                &[
                    "code",
                    "shop",
                    "--name",
                    "Ansel Forde",
                    "--role",
                    "shop",
                    "--no-wait",
                ],
                within,
            ),
            asks(&["staff", "list", "shop"], within),
        ];
        let start = Instant::now();
        let answers: Vec<Output> = asked.into_iter().map(|one| one.join().unwrap()).collect();
        assert!(
            start.elapsed() < Duration::from_secs(20),
            "nobody waits long"
        );
        let wanted = [
            "On the network as",
            new,
            "On the staff list",
            "Code",
            "Ansel Forde",
        ];
        for (answer, word) in answers.iter().zip(wanted) {
            let out = String::from_utf8_lossy(&answer.stdout);
            let err = String::from_utf8_lossy(&answer.stderr);
            assert!(answer.status.success(), "{word}: {out}{err}");
            assert!(out.contains(word), "{word}: {out}{err}");
        }
        assert!(within.join(new).is_file());
    }
    let staff = said(&["staff", "list", "shop"], within);
    assert_eq!(staff.matches("Person Number").count(), 5, "{staff}");
}

#[test]
fn a_shop_is_worked_in_and_read_while_its_host_runs() {
    let folder = tempfile::tempdir().unwrap();
    let within = folder.path();
    shop(within);
    let _host = Host::start(within);
    said(
        &[
            "course",
            "open",
            "shop",
            "--title",
            "First dives",
            "--starts",
            "today",
        ],
        within,
    );
    std::fs::write(
        within.join("roster.csv"),
        "name,born\nTove Lind,1990-02-03\n",
    )
    .unwrap();
    said(&["import", "roster", "shop", "roster.csv"], within);
    let listed = said(&["student", "list", "shop"], within);
    assert!(listed.contains("Tove Lind"), "{listed}");
    let refused = run(
        &[
            "student",
            "enrol",
            "shop",
            "--name",
            "Tove Lind",
            "--born",
            "1990-02-03",
        ],
        within,
    );
    assert_eq!(
        refused.status.code(),
        Some(4),
        "the host's own refusal comes back"
    );
    said(&["export", "roster", "shop", "-o", "out.csv"], within);
    said(&["paper", "summary", "shop", "-o", "class.pdf"], within);
    let out = std::fs::read_to_string(within.join("out.csv")).unwrap();
    assert!(out.contains("Tove Lind"), "{out}");
    println!("## A slate keeps what stood behind its boxes, so the host prints it");
    let plan = [
        "session",
        "plan",
        "shop",
        "--block",
        "pool-1",
        "--site",
        "Hollow Lane",
    ];
    let plan = [&plan[..], &["--starts", "tomorrow 18:00", "--ids"]].concat();
    let session = said(&plan, within);
    let slate = [
        "paper",
        "slate",
        "shop",
        "-s",
        session.trim(),
        "-o",
        "slate.pdf",
    ];
    said(&slate, within);
    assert!(within.join("slate.pdf").is_file());
    println!("## What goes to the standard output goes to that of whoever asked");
    let piped = [&slate[..slate.len() - 1], &["-"]].concat();
    let printed = run(&piped, within);
    assert!(printed.status.success(), "{printed:?}");
    assert!(printed.stdout.starts_with(b"%PDF-"));
    assert!(printed.stdout.trim_ascii_end().ends_with(b"%%EOF"));
}

#[test]
fn a_port_that_is_taken_is_an_error_and_no_other_is_taken_in_its_place() {
    let folder = tempfile::tempdir().unwrap();
    let within = folder.path();
    shop(within);
    let taken = std::net::UdpSocket::bind("127.0.0.1:0").unwrap();
    let at = taken.local_addr().unwrap().to_string();
    let ran = run(&["host", "shop", "--listen", &at, "--no-nearby"], within);
    let err = String::from_utf8_lossy(&ran.stderr);
    assert_eq!(ran.status.code(), Some(4), "{err}");
    assert!(
        err.contains("the port that was asked for is taken"),
        "{err}"
    );
}

#[test]
fn wrong_input_is_answered_in_words_and_changes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let within = folder.path();
    shop(within);
    for (args, word, code) in [
        (
            vec!["status", "nowhere"],
            "there is no device folder nowhere",
            3,
        ),
        (
            vec!["setup", "shop", "--shop", "X", "--person", "Y"],
            "belongs to a shop already",
            4,
        ),
        (
            vec!["code", "shop", "--name", "X", "--role", "assistant"],
            "no host is running",
            1,
        ),
        (
            vec![
                "join", "tablet", "--at", "x", "--code", "123456", "--device", "d",
            ],
            "a place is written key@address:port",
            4,
        ),
        (
            vec!["host", "shop", "--listen", "x"],
            "an address is written address:port",
            4,
        ),
    ] {
        let ran = run(&args, within);
        let err = String::from_utf8_lossy(&ran.stderr);
        assert_eq!(ran.status.code(), Some(code), "{args:?}: {err}");
        assert!(err.contains(word), "{args:?}: {err}");
    }
    assert!(
        !within.join("tablet").exists(),
        "a failed join leaves nothing"
    );
    for args in [
        vec!["setup", "other", "--person", "Y"],
        vec!["code", "shop", "--name", "X", "--role", "captain"],
        vec!["host"],
    ] {
        assert_eq!(run(&args, within).status.code(), Some(2), "{args:?}");
    }
    assert!(!within.join("other").exists());
}
