//! A diver's log from a file: the zone of the place on that date, no dive of the future, the
//! site kept, another's log said to be another's; and a season of samples in bounded memory.

use std::process::Command;
use std::sync::Arc;

use chrono::{DateTime, Datelike as _, FixedOffset, NaiveDateTime};
use tallywater_core::desk::paper::PaperError;
use tallywater_core::desk::{Desk, FileKeyStore};
use tallywater_core::entry::{Body, Who};
use tallywater_core::paper::data::{Home, UddfError, read_dive_log};
use tallywater_core::stamp::{NoChance, Stamps};

use crate::support::devices::{School, time};
use crate::support::stamps::SetStamps;

/// The most memory that the child ever held, in kilobytes, for a file of 60 MB.
const MOST_KB: u64 = 400_000;

/// A place with an hour more in summer, from April to October.
fn zone(local: NaiveDateTime) -> FixedOffset {
    let hours = if (4..=10).contains(&local.month()) {
        2
    } else {
        1
    };
    FixedOffset::east_opt(hours * 3600).unwrap()
}

/// A clock in that place.
#[derive(Debug)]
struct There(SetStamps);

impl Stamps for There {
    fn now(&self) -> DateTime<FixedOffset> {
        self.0.now()
    }

    fn chance(&self, bytes: &mut [u8]) -> Result<(), NoChance> {
        self.0.chance(bytes)
    }

    fn offset_at(&self, local: NaiveDateTime) -> FixedOffset {
        zone(local)
    }
}

/// A log of one dive, by this owner, with a site or without.
fn log(owner: &str, at: &str, site: &str) -> String {
    let (first, last) = owner.split_once(' ').unwrap();
    format!(
        r#"<?xml version="1.0" encoding="utf-8"?>
<uddf xmlns="http://www.streit.cc/uddf/3.2/" version="3.2.3">
<diver><owner id="d"><personal><firstname>{first}</firstname><lastname>{last}</lastname>
</personal></owner></diver>
<divesite><site id="s"><name>{site}</name></site></divesite>
<profiledata><repetitiongroup id="g"><dive id="1"><informationbeforedive><link ref="s"/>
<datetime>{at}</datetime></informationbeforedive>
<informationafterdive><greatestdepth>9.1</greatestdepth><diveduration>1500</diveduration>
</informationafterdive></dive></repetitiongroup></profiledata></uddf>"#
    )
}

/// The school's instructor's tablet, at Christmas, in a place with summer time.
fn in_winter(school: &School) -> Desk {
    let copy = school.shop.folder.path().join("winter");
    let keys = Box::new(FileKeyStore::new(&copy.join("keys")));
    let desk = Desk::open(
        &copy,
        keys,
        Arc::new(There(SetStamps::new("2026-12-20T18:00:00+01:00", 99))),
    )
    .unwrap();
    desk.start_alone("Grebe Hollow Divers", "Renate Solheim")
        .unwrap();
    desk
}

#[test]
fn a_dive_of_july_taken_in_winter_has_the_summers_clock_and_comes_once() {
    let local = log("Bo Li", "2026-07-04T10:00:00", "Sillsjön");
    let stated = log("Bo Li", "2026-07-04T10:00:00+02:00", "Sillsjön");
    let home = Home {
        offset_at: &zone,
        now: Some(time("2026-12-20T18:00:00+01:00")),
    };
    let read = |text: &str| read_dive_log(text.as_bytes(), home).unwrap().dives;
    let july = &read(&local)[0];
    assert_eq!(july.log.down.to_rfc3339(), "2026-07-04T10:00:00+02:00");
    assert_eq!(july.log.down, read(&stated)[0].log.down, "the same dive");
    let winter = log("Bo Li", "2026-12-04T10:00:00", "Sillsjön");
    let winter = &read(&winter)[0];
    assert_eq!(winter.log.down.to_rfc3339(), "2026-12-04T10:00:00+01:00");
    // And through a desk whose clock stands in winter: with an offset and without is one dive.
    let school = School::new(1);
    let desk = in_winter(&school);
    let me = desk.me().unwrap().staff;
    let opened = desk.record(tallywater_core::desk::Request::OpenCourse {
        title: "First dives".into(),
        starts: "2026-07-01".parse().unwrap(),
        place: None,
        outline: Default::default(),
        staff: vec![(me, tallywater_core::course::Role::Instructor)],
    });
    let course = opened.unwrap().made.unwrap().parse().unwrap();
    let take = |text: &str| {
        let taken = desk.take_dives(course, Who::Staff(me), None, text.as_bytes());
        let taken = taken.unwrap();
        (taken.logged, taken.left_out)
    };
    assert_eq!(take(&local), (1, 0));
    assert_eq!(take(&local), (0, 1));
    assert_eq!(take(&stated), (0, 1));
    // The site is kept with the dive.
    let sites = desk.with_course(&course, |course| {
        let tally = course.tally().iter();
        let dives = tally.filter_map(|one| {
            if let Body::DiveLogged(dive) = &one.entry.body {
                Some((dive.site.clone(), dive.log.down.to_rfc3339()))
            } else {
                None
            }
        });
        dives.collect::<Vec<_>>()
    });
    let july = (Some("Sillsjön".into()), "2026-07-04T10:00:00+02:00".into());
    assert_eq!(sites.unwrap(), [july]);
}

#[test]
fn a_dive_of_tomorrow_is_refused_with_all_that_came_with_it() {
    let school = School::new(1);
    let (desk, course) = (&school.instructor.desk, school.course);
    let who = Who::Student(school.students[0]);
    let now = desk.now();
    let before = desk.entries(&school.ledger()).unwrap();
    let tomorrow = (now + chrono::Duration::days(1)).to_rfc3339();
    let text = log("Ottilie Brandvoll", &tomorrow, "Sillsjön");
    let taken = desk.take_dives(course, who, None, text.as_bytes());
    assert!(matches!(
        taken,
        Err(PaperError::Uddf(UddfError::StillToCome { dive: 1 }))
    ));
    assert_eq!(desk.entries(&school.ledger()).unwrap(), before);
    // A dive that ended a minute ago by a computer whose clock is ten minutes ahead is one.
    let ago = (now - chrono::Duration::minutes(16)).to_rfc3339();
    let text = log("Ottilie Brandvoll", &ago, "Sillsjön");
    let taken = desk.take_dives(course, who, None, text.as_bytes());
    assert_eq!(taken.unwrap().logged, 1);
}

#[test]
fn a_log_of_somebody_else_is_said_to_be_and_ones_own_is_not() {
    let school = School::new(1);
    let (desk, course) = (&school.instructor.desk, school.course);
    let who = Who::Student(school.students[0]);
    let seen = |owner: &str| {
        let text = log(owner, "2026-06-01T10:00:00+02:00", "Sillsjön");
        let seen = desk.look_at_dives(&course, &who, text.as_bytes()).unwrap();
        seen.of_another
    };
    assert_eq!(seen("Ottilie Brandvoll"), None);
    assert_eq!(seen("ottilie brandvoll"), None);
    assert_eq!(seen("Ansel Forde"), Some("Ansel Forde".into()));
    assert_eq!(seen(" "), None, "a log that does not say whose it is");
}

/// 60 MB of samples: dives of six hours, one a second.
fn large() -> String {
    let mut text = String::from(
        r#"<uddf xmlns="http://www.streit.cc/uddf/3.2/" version="3.2.3"><profiledata><repetitiongroup id="g">"#,
    );
    let mut day = 0;
    while text.len() < 60 << 20 {
        day += 1;
        text += &format!(
            "<dive id=\"{day}\"><informationbeforedive><datetime>{}-01-01T10:00:00Z</datetime>\
             </informationbeforedive><samples>",
            1900 + day
        );
        for second in 0..21_600 {
            let depth = 5 + second % 7;
            text += &format!(
                "<waypoint><depth>{depth}.5</depth><divetime>{second}</divetime></waypoint>"
            );
        }
        text += "</samples><informationafterdive><greatestdepth>11.5</greatestdepth>\
                 <diveduration>21600</diveduration></informationafterdive></dive>";
    }
    text + "</repetitiongroup></profiledata></uddf>"
}

#[test]
fn child_reads_a_large_log() {
    if std::env::var("TALLYWATER_LARGE_LOG").is_err() {
        return;
    }
    let text = large();
    let home = Home {
        offset_at: &zone,
        now: None,
    };
    let read = read_dive_log(text.as_bytes(), home).unwrap();
    assert!(read.dives.len() > 40);
    assert!(
        read.dives
            .iter()
            .all(|dive| dive.log.profile.len() == 21_600)
    );
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    if let Some(peak) = peak.and_then(|line| line.split_whitespace().next()?.parse::<u64>().ok()) {
        println!("most memory: {peak} kB for {} MB", text.len() >> 20);
        assert!(peak < MOST_KB, "{peak} kB");
    }
}

#[test]
fn a_log_of_sixty_megabytes_is_read_in_bounded_memory() {
    let child = Command::new(std::env::current_exe().unwrap())
        .args([
            "dive_import::child_reads_a_large_log",
            "--exact",
            "--nocapture",
        ])
        .env("TALLYWATER_LARGE_LOG", "1")
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&child.stdout);
    print!("{said}");
    assert!(
        child.status.success(),
        "{said}\n{}",
        String::from_utf8_lossy(&child.stderr)
    );
}

#[test]
fn a_dive_of_no_session_is_counted_as_one_that_a_person_has_to_place() {
    let school = School::new(2);
    let (desk, course) = (&school.instructor.desk, school.course);
    school.instructor.stamps.shift(chrono::Duration::days(1));
    let student = Who::Student(school.students[0]);
    let doubtful = |who: &Who, at: &str| {
        let text = log("Ottilie Brandvoll", at, "Hollow Lane pool");
        desk.look_at_dives(&course, who, text.as_bytes())
            .unwrap()
            .doubtful
    };
    // The session is on from 10:00 to 12:00; an hour before and after is near enough.
    for (at, many) in [
        ("2026-06-06T08:59:00+02:00", 1),
        ("2026-06-06T09:00:00+02:00", 0),
        ("2026-06-06T11:00:00+02:00", 0),
        ("2026-06-06T13:00:00+02:00", 0),
        ("2026-06-06T13:01:00+02:00", 1),
        ("2026-06-05T11:00:00+02:00", 1),
    ] {
        assert_eq!(doubtful(&student, at), many, "{at}");
    }
    // Staff have no dives of their own here; and what is here already is nobody's to place.
    let staff = Who::Staff(school.renate);
    assert_eq!(doubtful(&staff, "2026-06-05T11:00:00+02:00"), 0);
    let text = log(
        "Ottilie Brandvoll",
        "2026-06-05T11:00:00+02:00",
        "Hollow Lane pool",
    );
    desk.take_dives(course, student, None, text.as_bytes())
        .unwrap();
    assert_eq!(doubtful(&student, "2026-06-05T11:00:00+02:00"), 0);
    // A session that was cancelled was not on.
    school
        .instructor
        .record(tallywater_core::desk::Request::CancelSession {
            course,
            session: school.session,
            why: "thunder".into(),
        });
    assert_eq!(doubtful(&student, "2026-06-06T11:00:00+02:00"), 1);
}
