//! Two thousand changed files for each thing that reads one: an answer every time, never a panic,
//! never a wait, and no more memory than is said here.
//!
//! It runs in a process of its own, so that its memory is its own.

use std::process::Command;
use std::time::{Duration, Instant};

use chrono::{FixedOffset, NaiveDate, NaiveDateTime};
use tallywater_core::paper::agenda::read_agenda;
use tallywater_core::paper::bundle::read_bundle;
use tallywater_core::paper::data::{Home, read_dive_log};
use tallywater_core::paper::roster::{Hints, read_roster};
use tallywater_core::trust::{SecretKey, read_recovery, recovery_lines};

use crate::support::devices::School;

/// Changed inputs for each reader.
const EACH: usize = 2_000;
/// No answer takes longer, in a build without optimisation.
const PATIENCE: Duration = Duration::from_secs(5);
/// The most memory that the process ever held, in kilobytes.
const MOST_KB: u64 = 400_000;

struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % u64::try_from(below.max(1)).unwrap()).unwrap()
    }
}

/// What breaks readers: lengths, quotes, nesting, encodings, ends.
const SPICE: [&[u8]; 18] = [
    b"\"",
    b"\0",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    b"\r\n",
    b"\xff\xff\xff\xff",
    b"999999999999999999999",
    b"-0",
    b"1e400",
    b"NaN",
    b"<a>",
    b"</dive>",
    b"<!DOCTYPE x [<!ENTITY a \"aaaaaaaaaa\">]>",
    b"&a;&a;&a;",
    b"<![CDATA[",
    b"\xe2\x80\xae",
    b"\x7f",
    b";;;;,,,,\t\t",
];

fn changed(original: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = original.to_vec();
    for _ in 0..=dice.roll(6) {
        if bytes.is_empty() {
            bytes.push(b'x');
        }
        let at = dice.roll(bytes.len());
        match dice.roll(8) {
            0 => bytes[at] = u8::try_from(dice.roll(256)).unwrap(),
            1 => bytes[at] ^= 1 << dice.roll(8),
            2 => bytes.truncate(at),
            3 => {
                let piece = SPICE[dice.roll(SPICE.len())];
                bytes.splice(at..at, piece.iter().copied());
            }
            4 => {
                let to = (at + dice.roll(400)).min(bytes.len());
                bytes.drain(at..to);
            }
            5 => {
                let to = (at + dice.roll(2_000)).min(bytes.len());
                let piece = bytes[at..to].to_vec();
                let where_to = dice.roll(bytes.len());
                bytes.splice(where_to..where_to, piece);
            }
            6 => {
                let piece = SPICE[dice.roll(SPICE.len())].repeat(1 + dice.roll(200));
                bytes.splice(at..at, piece);
            }
            _ => {
                let to = (at + 8).min(bytes.len());
                bytes[at..to].fill(0xff);
            }
        }
    }
    bytes
}

const CALENDAR: &str = "BEGIN:VCALENDAR\r\nBEGIN:VTIMEZONE\r\nTZID:Some/Town\r\n\
    BEGIN:STANDARD\r\nTZOFFSETTO:+0100\r\nDTSTART:19701025T030000\r\n\
    RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU\r\nEND:STANDARD\r\nEND:VTIMEZONE\r\n\
    BEGIN:VEVENT\r\nUID:a@pool\r\nDTSTART;TZID=Some/Town:20260602T180000\r\n\
    DURATION:PT1H30M\r\nLOCATION:Hollow Lane\r\n  pool\r\nEND:VEVENT\r\n\
    BEGIN:VEVENT\r\nUID:b@pool\r\nDTSTART;VALUE=DATE:20260603\r\nEND:VEVENT\r\n\
    END:VCALENDAR\r\n";

const DIVES: &str = r#"<?xml version="1.0" encoding="utf-8"?>
<uddf xmlns="http://www.streit.cc/uddf/3.2/" version="3.2.3">
<diver><owner id="d"><personal><firstname>Bo</firstname><lastname>Li</lastname></personal></owner></diver>
<divesite><site id="s"><name>Hollow Lane</name><sitedata><density>1025</density></sitedata></site></divesite>
<gasdefinitions><mix id="m"><name>air</name><o2>0.209</o2></mix></gasdefinitions>
<profiledata><repetitiongroup id="g"><dive id="1"><informationbeforedive><link ref="s"/>
<datetime>2026-06-01T10:00:00</datetime></informationbeforedive>
<tankdata><link ref="m"/><tankvolume>0.012</tankvolume><tankpressurebegin>20000000</tankpressurebegin>
<tankpressureend>9000000</tankpressureend></tankdata>
<samples><waypoint><depth>1.5</depth><divetime>10</divetime></waypoint>
<waypoint><depth>9.1</depth><divetime>600</divetime></waypoint></samples>
<informationafterdive><lowesttemperature>287.15</lowesttemperature><greatestdepth>9.1</greatestdepth>
<diveduration>1500</diveduration></informationafterdive></dive></repetitiongroup></profiledata></uddf>"#;

const ROSTER: &str = "Name;Geburtsdatum;Telefon;Notfallkontakt;Notfall Telefon\r\n\
    \"Brandvoll, Ottilie\";03.04.1999;+47 1 23;Ansel;+47 4 56\r\n\
    Émile Quatrefaire;1988-11-30;e@example.org;;\r\n\
    \"Þóra \"\"Tó\"\" Sandsdóttir\";;;;\r\n";

/// Answers how many inputs were taken and how many refused.
fn each(name: &str, original: &[u8], mut read: impl FnMut(&[u8]) -> bool) {
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    let (mut taken, mut refused) = (0, 0);
    let mut longest = Duration::ZERO;
    assert!(read(original), "{name}: the unchanged one is taken");
    for round in 0..EACH {
        let bytes = changed(original, &mut dice);
        let start = Instant::now();
        if read(&bytes) {
            taken += 1;
        } else {
            refused += 1;
        }
        longest = longest.max(start.elapsed());
        assert!(longest < PATIENCE, "{name}: input {round} took {longest:?}");
    }
    assert_eq!(taken + refused, EACH);
    println!("{name}: {EACH} inputs, {taken} taken, {refused} refused, longest {longest:?}");
}

fn peak_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

#[test]
fn child_reads_changed_files() {
    if std::env::var("TALLYWATER_HOSTILE").is_err() {
        return;
    }
    let today = NaiveDate::from_ymd_opt(2026, 6, 7).unwrap();
    let utc = FixedOffset::east_opt(0).unwrap();
    each("roster", ROSTER.as_bytes(), |bytes| {
        read_roster(bytes, Hints::default(), &[], today).is_ok()
    });
    each("dive log", DIVES.as_bytes(), |bytes| {
        let home = Home {
            offset_at: &|_| utc,
            now: None,
        };
        read_dive_log(bytes, home).is_ok()
    });
    each("calendar", CALENDAR.as_bytes(), |bytes| {
        let here = |local: NaiveDateTime| local.and_local_timezone(utc).single();
        read_agenda(bytes, &here).faults.is_empty()
    });
    let school = School::new(2);
    let students = school.students.iter().copied().collect();
    let file = school.shop.desk.export_bundle(&school.course, &students);
    // A changed file is refused for its signature alone. So every other one is signed anew, by a
    // stranger: what is inside has to be looked at before that is known.
    let (stranger, mut number) = (SecretKey::from_seed(&[9; 32]), 0_u32);
    each("course file", &file.unwrap(), |bytes| {
        number += 1;
        let mut bytes = bytes.to_vec();
        if number % 2 == 0 && bytes.len() > 96 {
            bytes.truncate(bytes.len() - 96);
            bytes.extend(stranger.public().0);
            let signature = stranger.sign(b"tallywater bundle 1\0", &bytes);
            bytes.extend(signature);
        }
        read_bundle(&bytes, [7; 16]).is_ok()
    });
    let sheet = recovery_lines(&SecretKey::from_seed(&[3; 32]).seed()).join("\n");
    each("recovery sheet", sheet.as_bytes(), |bytes| {
        read_recovery(&String::from_utf8_lossy(bytes)).is_ok()
    });
    if let Some(peak) = peak_kb() {
        println!("most memory: {peak} kB");
        assert!(peak < MOST_KB, "{peak} kB");
    }
}

#[test]
fn two_thousand_changed_files_for_each_reader_are_answered_in_bounded_memory() {
    let child = Command::new(std::env::current_exe().unwrap())
        .args([
            "hostile_files::child_reads_changed_files",
            "--exact",
            "--nocapture",
        ])
        .env("TALLYWATER_HOSTILE", "1")
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&child.stdout);
    assert!(
        child.status.success(),
        "{said}\n{}",
        String::from_utf8_lossy(&child.stderr)
    );
    for name in [
        "roster",
        "dive log",
        "calendar",
        "course file",
        "recovery sheet",
    ] {
        assert!(said.contains(&format!("{name}: {EACH} inputs")), "{said}");
    }
    print!("{said}");
}
