//! Every stored form, byte for byte. When one of these fails, a device in the field can no
//! longer read what another wrote, or two devices no longer begin a ledger alike.

mod incidents;
mod school;

use std::path::PathBuf;

use tallywater_core::course::{
    Alarm, CourseId, DiveLog, EmergencyPlan, EntryId, LedgerId, Media, Position, SessionId, ShopId,
    Site, SiteId, StaffId, StudentId, WaterKind,
};
use tallywater_core::entry::{
    AlarmRaised, Attachment, AttachmentText, Body, CourseDropped, Debrief, DebriefText,
    ENVELOPE_VERSION, EmergencyConfirmed, EmergencySet, Entry, Envelope, FormatError, HoldOn,
    HoldSet, KeptFile, OwnDive, PAYLOAD_VERSION, Reading, Sha256Hex, SiteSet, read, write,
};
use tallywater_core::ledger::{LEDGER_FORMAT, Ledger, LedgerError};
use uuid::Uuid;

use crate::support::devices::time;
use crate::support::entries::{course, entry_id, sealed};

/// What an older format's file says when it is opened.
const OLDER: LedgerError = LedgerError::Format(FormatError::Older { found: 1, least: 2 });

const ADVICE: &str = "add a version and a file of its own; never rewrite a kept file";

/// The bytes kept under a name in `fixtures/ledgers`: hexadecimal, a `#` begins a remark.
fn kept(name: &str) -> Vec<u8> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../fixtures/ledgers")
        .join(name);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{name}: {error}"));
    let digits: String = text
        .lines()
        .filter(|line| !line.starts_with('#'))
        .flat_map(|line| line.chars().filter(|c| !c.is_whitespace()))
        .collect();
    (0..digits.len())
        .step_by(2)
        .map(|at| u8::from_str_radix(&digits[at..at + 2], 16).unwrap())
        .collect()
}

fn shown(bytes: &[u8]) -> String {
    bytes
        .chunks(32)
        .map(|line| {
            line.iter()
                .map(|byte| format!("{byte:02x}"))
                .collect::<String>()
                + "\n"
        })
        .collect()
}

fn assert_kept(name: &str, now: &[u8]) {
    assert!(
        kept(name) == now,
        "{name} is not what this program writes: {ADVICE}. It writes:\n{}",
        shown(now)
    );
}

/// The id that every entry here writes of whatever it is about.
const ID: Uuid = Uuid::from_u128(7);

/// An entry is written so to the letter, and read back as it was. In `kept`, `UUID` stands for
/// [`ID`] and `DIGEST` for a digest of 32 bytes `ab`.
fn assert_written(body: Body, kind: &str, kept: &str) {
    let entry = Entry {
        id: entry_id(1),
        at: time("2026-06-02T10:15:00+02:00"),
        by: StaffId::new(ID),
        after: Vec::new(),
        body,
    };
    let payload = write(&entry).unwrap();
    let expected = format!(
        r#"{{"v":1,"kind":"{kind}","at":"2026-06-02T10:15:00+02:00","by":"UUID","body":{kept}}}"#
    );
    let expected = expected.replace("UUID", &ID.to_string());
    let expected = expected.replace("DIGEST", &"ab".repeat(32));
    assert_eq!(String::from_utf8(payload.clone()).unwrap(), expected);
    assert_eq!(read(entry.id, &payload), Reading::Known(entry.into()));
}

#[test]
fn the_first_change_of_a_ledger_is_what_it_always_was() {
    let id = Uuid::from_u128(0x0190_0000_0000_7000_8000_0000_0000_0001);
    for (name, ledger) in [
        ("first-change-2-shop.hex", LedgerId::Shop(ShopId::new(id))),
        (
            "first-change-2-course.hex",
            LedgerId::Course(CourseId::new(id)),
        ),
        (
            "first-change-2-person.hex",
            LedgerId::Person(StudentId::new(id)),
        ),
    ] {
        let (hash, first) = Ledger::first_change(&ledger).unwrap();
        assert_kept(name, &first);
        // Whoever opened the ledger, and whenever.
        let opened = Ledger::new(ledger, [0xab; 16]).unwrap();
        assert_eq!(opened.genesis_bytes().unwrap(), first);
        assert_eq!(opened.heads().iter().collect::<Vec<_>>(), [&hash]);
    }
}

#[test]
fn an_entry_is_sealed_as_it_always_was() {
    // Ed25519 draws no chance when it signs (RFC 8032), so the signature is pinned too.
    let (id, bytes) = sealed(&course(1), 1, 7);
    assert_kept("envelope-2.hex", &bytes);
    let kept = kept("envelope-2.hex");
    let envelope = Envelope::open(&kept).unwrap();
    assert!(tallywater_core::trust::is_signed(&course(1), &envelope));
    // And so is the id that follows from it.
    assert_eq!(tallywater_core::entry::content_id(&course(1), &kept), id);
    assert_eq!(id.to_string(), "352ddf90-4633-8baa-bce9-b6d5e335961c");
}

#[test]
fn a_kept_ledger_opens_with_everything_in_it() {
    let bytes = kept("course-2.hex");
    let ledger = Ledger::load_foreign([1; 16], &bytes).unwrap();
    assert_eq!(ledger.id(), &course(1));
    assert_eq!(ledger.lines().len(), 12);
    for number in 0..12 {
        let device = if number < 8 { 1 } else { 2 };
        let (id, bytes) = sealed(&course(1), device, number);
        assert!(ledger.lines()[&id].signed, "{number}");
        assert!(ledger.lines()[&id].entry().is_some(), "{number}");
        assert_eq!(ledger.bytes_of(&id), Some(bytes), "{number}: {ADVICE}");
    }
    assert!(ledger.irregular().is_empty());
}

#[test]
fn a_ledger_from_before_the_first_release_is_refused_in_words() {
    let opened = Ledger::load_foreign([1; 16], &kept("course-1.hex"));
    assert_eq!(opened.map(|_| ()), Err(OLDER));
}

#[test]
fn a_hold_and_a_dropped_course_are_written_as_they_always_were() {
    let id = ID;
    let on = |on, until: Option<&str>| {
        Body::from(HoldSet {
            on,
            why: "a claim is open".into(),
            until: until.map(|day| day.parse().unwrap()),
        })
    };
    let dropped = CourseDropped {
        course: CourseId::new(id),
        why: "kept long enough".into(),
    };
    let (student, course) = (
        HoldOn::Student(StudentId::new(id)),
        HoldOn::Course(CourseId::new(id)),
    );
    for (body, kind, kept) in [
        (
            on(student, Some("2027-01-31")),
            "hold_set",
            r#"{"on":{"student":"UUID"},"why":"a claim is open","until":"2027-01-31"}"#,
        ),
        (
            on(course, None),
            "hold_set",
            r#"{"on":{"course":"UUID"},"why":"a claim is open"}"#,
        ),
        (
            dropped.into(),
            "course_dropped",
            r#"{"course":"UUID","why":"kept long enough"}"#,
        ),
    ] {
        assert_written(body, kind, kept);
    }
}

#[test]
fn sites_alarms_and_debriefs_are_written_as_they_always_were() {
    let id = ID;
    let site = SiteId::new(id);
    let described = Site {
        name: "Old mill pond".into(),
        access: String::new(),
        entry: "jetty".into(),
        hazards: String::new(),
        tides: String::new(),
        position: Some(Position {
            north_e4: 475_123,
            east_e4: -96_021,
        }),
        altitude_m: None,
        water: None,
        depth_cm: Some(900),
        temperature_dc: None,
    };
    let plan = EmergencyPlan {
        numbers: "112".into(),
        address: "Mill lane".into(),
        ..EmergencyPlan::default()
    };
    let said = DebriefText {
        met: "the mask".into(),
        ..DebriefText::default()
    };
    let when = chrono::DateTime::parse_from_rfc3339("2026-06-02T10:15:00+02:00").unwrap();
    let cases: [(Body, &str, &str); 5] = [
        (
            SiteSet {
                site,
                details: described,
            }
            .into(),
            "site_set",
            r#"{"site":"UUID","details":{"name":"Old mill pond","entry":"jetty","position":{"north_e4":475123,"east_e4":-96021},"depth_cm":900}}"#,
        ),
        (
            EmergencySet { site, plan }.into(),
            "emergency_set",
            r#"{"site":"UUID","plan":{"numbers":"112","address":"Mill lane","chamber":"","hospital":"","oxygen":"","first_aid":"","assembly":"","roles":""}}"#,
        ),
        (
            EmergencyConfirmed {
                site,
                plan: EntryId::new(id),
            }
            .into(),
            "emergency_confirmed",
            r#"{"site":"UUID","plan":"UUID"}"#,
        ),
        (
            AlarmRaised {
                session: SessionId::new(id),
                what: Alarm::LostBuddy,
                when,
                missing: Vec::new(),
                reported_by: None,
            }
            .into(),
            "alarm_raised",
            r#"{"session":"UUID","what":"lost_buddy","when":"2026-06-02T10:15:00+02:00"}"#,
        ),
        (
            Debrief {
                session: SessionId::new(id),
                student: StudentId::new(id),
                said,
            }
            .into(),
            "debrief",
            r#"{"session":"UUID","student":"UUID","said":{"met":"the mask"}}"#,
        ),
    ];
    for (body, kind, kept) in cases {
        assert_written(body, kind, kept);
    }
}

#[test]
fn the_numbers_of_the_formats_are_those_of_the_kept_files() {
    // A new number needs a kept file of its own here, and what reads the old ones stays.
    assert_eq!(
        (LEDGER_FORMAT, ENVELOPE_VERSION, PAYLOAD_VERSION),
        (2, 2, 1)
    );
}

#[test]
fn photographs_their_words_and_own_dives_are_written_as_they_always_were() {
    let id = ID;
    let session = SessionId::new(id);
    let file = |media| KeptFile {
        sha256: Sha256Hex([0xab; 32]),
        bytes: 70_000,
        media,
    };
    let cases: [(Body, &str, &str); 4] = [
        (
            Attachment {
                file: file(Media::Jpeg),
                session,
                student: None,
                slate: Some("B7QD".into()),
            }
            .into(),
            "attachment",
            r#"{"file":{"sha256":"DIGEST","bytes":70000,"media":"image/jpeg"},"session":"UUID","slate":"B7QD"}"#,
        ),
        (
            Attachment {
                file: file(Media::Ogg),
                session,
                student: Some(StudentId::new(id)),
                slate: None,
            }
            .into(),
            "attachment",
            r#"{"file":{"sha256":"DIGEST","bytes":70000,"media":"audio/ogg"},"session":"UUID","student":"UUID"}"#,
        ),
        (
            AttachmentText {
                attachment: EntryId::new(id),
                text: "Clears it late".into(),
            }
            .into(),
            "attachment_text",
            r#"{"attachment":"UUID","text":"Clears it late"}"#,
        ),
        (
            OwnDive {
                student: StudentId::new(id),
                site: Some("Sillsjön".into()),
                log: DiveLog {
                    down: time("2026-07-04T10:00:00+02:00"),
                    up: time("2026-07-04T10:31:00+02:00"),
                    max_depth_cm: 1_150,
                    mean_depth_cm: None,
                    ascents: None,
                    gas: None,
                    water: WaterKind::Fresh,
                    temperature_dc: None,
                    profile: vec![(0, 0), (60, 1_150)],
                },
            }
            .into(),
            "own_dive",
            r#"{"student":"UUID","site":"Sillsjön","log":{"down":"2026-07-04T10:00:00+02:00","up":"2026-07-04T10:31:00+02:00","max_depth_cm":1150,"mean_depth_cm":null,"ascents":null,"gas":null,"water":"fresh","temperature_dc":null,"profile":[[0,0],[60,1150]]}}"#,
        ),
    ];
    for (body, kind, kept) in cases {
        assert_written(body, kind, kept);
    }
}
