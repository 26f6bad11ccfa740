//! At the surface: all of them, except; and times in the water put right afterwards.

use std::path::Path;
use std::sync::Arc;

use chrono::Duration;
use tallywater_core::course::StudentId;
use tallywater_core::desk::{Again, DeskError, InWater, MarkTap, Recorded, Request};
use tallywater_core::entry::{
    Body, ClearanceResult, Entry, Mark, Origin, Passage, Reading, Refusal, Who, read, write,
};
use tallywater_core::standing::CellState;
use tallywater_core::view::{HeadcountRow, HeadcountView, InSweep, LineUpView, Place, Units};
use tempfile::TempDir;

use crate::support::devices::{Device, School, carry, meet, open_desk, time};
use crate::support::stamps::SetStamps;

pub(crate) const SKILL: &str = "mask-full";

/// The pool hour: everybody goes in at ten, but for those who are named.
pub(crate) fn in_the_water(school: &School, by: &Device, but: &[usize]) {
    by.stamps.shift(Duration::hours(1));
    for (place, student) in school.students.iter().enumerate() {
        if !but.contains(&place) {
            by.record(passes(school, *student, Passage::In));
        }
    }
    by.stamps.shift(Duration::minutes(50));
}

fn passes(school: &School, student: StudentId, passage: Passage) -> Request {
    Request::Pass {
        course: school.course,
        session: school.session,
        who: Who::Student(student),
        passage,
        when: None,
    }
}

fn line_up(school: &School, by: &Device) -> LineUpView {
    let skill = SKILL.parse().unwrap();
    by.desk
        .look(&school.course, Units::Metric, |course, reader| {
            LineUpView::of(course, reader, &skill, Some(school.session))
        })
        .unwrap()
        .unwrap()
}

/// The taps that one word about everybody is.
pub(crate) fn taps(school: &School, by: &Device, mark: Mark) -> Vec<Request> {
    let view = line_up(school, by);
    let taken = (view.rows.iter()).filter(|row| row.sweep == InSweep::Takes);
    let seen = view.sweep_seen.at;
    taken
        .map(|row| {
            Request::Mark(MarkTap {
                origin: Origin::Memory { seen },
                again: Again::Unsaid,
                on: row.cell.on.clone(),
                mark,
                method: None,
                measured: Vec::new(),
                slips: Vec::new(),
                note: None,
                despite: None,
                session: Some(school.session),
            })
        })
        .collect()
}

pub(crate) fn sweep(school: &School, by: &Device, mark: Mark) -> Recorded {
    by.desk.record_all(taps(school, by, mark)).unwrap()
}

/// One more tap on a student, as every screen sends it.
pub(crate) fn tapped(
    school: &School,
    by: &Device,
    student: usize,
    mark: Mark,
) -> Result<Recorded, DeskError> {
    by.desk.record(Request::Mark(MarkTap {
        again: Again::Unsaid,
        ..school.tap(by, student, SKILL, mark)
    }))
}

fn states(school: &School, by: &Device) -> Vec<CellState> {
    let keys = (0..school.students.len()).map(|student| school.key(student, SKILL));
    let keys: Vec<_> = keys.collect();
    by.desk
        .with_course(&school.course, |course| {
            keys.iter().map(|key| course.cells()[key].state).collect()
        })
        .unwrap()
}

#[test]
fn one_word_marks_all_who_were_in_the_water_and_one_undo_takes_it_back() {
    let school = School::new(8);
    let by = &school.instructor;
    in_the_water(&school, by, &[]);
    let before = by.desk.now();
    let recorded = sweep(&school, by, Mark::Met);
    assert_eq!(recorded.entries.len(), 8);
    assert_eq!(states(&school, by), vec![CellState::Met; 8]);
    println!("## What is in the record says that it is from memory, and when it was seen");
    let origins = by.desk.with_course(&school.course, |course| {
        let all = recorded.entries.iter();
        let origins = all.filter_map(|(_, id)| match &course.tally().get(id)?.entry.body {
            Body::Attempt(attempt) => Some(attempt.origin),
            _ => None,
        });
        origins.collect::<Vec<_>>()
    });
    for origin in origins.unwrap() {
        let Origin::Memory { seen } = origin else {
            panic!("{origin:?}");
        };
        assert!((seen - before).num_seconds() <= 2, "{seen}");
    }
    println!("## One undo takes all of it back");
    let back = by.desk.may_take_back(&recorded.entries);
    assert_eq!(back.len(), 8);
    by.desk.take_back(&back).unwrap();
    assert_eq!(states(&school, by), vec![CellState::Open; 8]);
}

#[test]
fn what_is_remembered_was_seen_before_the_last_came_out() {
    let school = School::new(2);
    let by = &school.instructor;
    in_the_water(&school, by, &[]);
    by.record(passes(&school, school.students[0], Passage::Out));
    by.stamps.shift(Duration::minutes(3));
    let seen = line_up(&school, by).sweep_seen.at;
    assert!((by.desk.now() - seen).num_seconds() <= 30, "{seen}");
    by.record(passes(&school, school.students[1], Passage::Out));
    let out = by.desk.now();
    by.stamps.shift(Duration::minutes(10));
    let seen = line_up(&school, by).sweep_seen.at;
    assert!((out - seen).num_seconds() <= 30, "{seen}");
}

#[test]
fn a_sweep_speaks_of_nobody_who_was_not_there_and_settles_nothing() {
    let school = School::new(7);
    let (by, assistant) = (&school.instructor, &school.assistant);
    // 0 was not counted, 1 did not come, 2 is exempt, 3 has marks that differ, 4 was marked.
    in_the_water(&school, by, &[0, 1]);
    by.record(passes(&school, school.students[1], Passage::Absent));
    by.record(Request::Exempt {
        on: school.on_screen(by, 2, SKILL),
        why: "an ear".into(),
    });
    by.mark(&school, 3, SKILL, Mark::Met);
    assistant.mark(&school, 3, SKILL, Mark::NotYet);
    meet(by, assistant);
    by.mark(&school, 4, SKILL, Mark::Nearly);
    let view = line_up(&school, by);
    let said = |student: usize| {
        let id = school.students[student];
        let row = view.rows.iter().find(|row| row.name.student == id);
        row.unwrap().sweep
    };
    let all: Vec<InSweep> = (0..7).map(said).collect();
    assert_eq!(
        all,
        [
            InSweep::NotInWater,
            InSweep::Absent,
            InSweep::Exempt,
            InSweep::Differ,
            InSweep::Marked,
            InSweep::Takes,
            InSweep::Takes,
        ]
    );
    assert_eq!(view.sweep, 2);
    let before = states(&school, by);
    assert_eq!(sweep(&school, by, Mark::Met).entries.len(), 2);
    let after = states(&school, by);
    assert_eq!(before[..5], after[..5]);
    assert_eq!(after[5..], [CellState::Met, CellState::Met]);
    println!("## And without a session nobody is known to have been there");
    let skill = SKILL.parse().unwrap();
    let view = by
        .desk
        .look(&school.course, Units::Metric, |course, reader| {
            LineUpView::of(course, reader, &skill, None)
        })
        .unwrap()
        .unwrap();
    assert_eq!(view.sweep, 0);
    assert!(view.rows.iter().all(|row| row.sweep == InSweep::NoSession));
}

#[test]
fn an_exception_corrects_the_sweep_and_asks_nothing() {
    let school = School::new(3);
    let by = &school.instructor;
    in_the_water(&school, by, &[]);
    sweep(&school, by, Mark::Met);
    by.stamps.shift(Duration::minutes(2));
    let exception = tapped(&school, by, 1, Mark::NotYet).unwrap();
    // The withdrawal of what was not so, and the mark in its place.
    assert_eq!(exception.entries.len(), 2);
    assert_eq!(
        states(&school, by),
        [CellState::Met, CellState::Trying, CellState::Met]
    );
    let key = school.key(1, SKILL);
    let tries = by.desk.with_course(&school.course, |course| {
        let cell = &course.cells()[&key];
        (cell.tries, cell.slipped_since)
    });
    assert_eq!(tries.unwrap(), (1, false));
    println!("## The same press again is nothing; another mark now asks what it is");
    let again = tapped(&school, by, 1, Mark::NotYet).unwrap();
    assert_eq!(again.entries, []);
    assert!(matches!(
        tapped(&school, by, 1, Mark::Met),
        Err(DeskError::Refused(Refusal::MarkedAlready { .. }))
    ));
    println!("## To have sat out is an exception too, and the skill is open then");
    tapped(&school, by, 2, Mark::SatOut).unwrap();
    assert_eq!(states(&school, by)[2], CellState::Open);
    println!("## A quarter of an hour later somebody may have tried again: it is asked");
    by.stamps.shift(Duration::minutes(20));
    assert!(matches!(
        tapped(&school, by, 0, Mark::NotYet),
        Err(DeskError::Refused(Refusal::MarkedAlready { .. }))
    ));
}

#[test]
fn nobody_yet_then_who_did() {
    let school = School::new(4);
    let by = &school.instructor;
    in_the_water(&school, by, &[]);
    sweep(&school, by, Mark::NotYet);
    tapped(&school, by, 3, Mark::Met).unwrap();
    let trying = CellState::Trying;
    assert_eq!(
        states(&school, by),
        [trying, trying, trying, CellState::Met]
    );
}

#[test]
fn an_assistants_sweep_waits_for_an_instructor_like_any_mark() {
    let school = School::new(3);
    let (by, instructor) = (&school.assistant, &school.instructor);
    in_the_water(&school, by, &[]);
    let recorded = sweep(&school, by, Mark::Met);
    assert_eq!(states(&school, by), vec![CellState::Shown; 3]);
    meet(by, instructor);
    assert_eq!(states(&school, instructor), vec![CellState::Shown; 3]);
    instructor.record(Request::Confirm {
        course: school.course,
        attempts: recorded.entries.iter().map(|(_, id)| *id).collect(),
    });
    assert_eq!(states(&school, instructor), vec![CellState::Met; 3]);
}

#[test]
fn what_was_seen_in_time_to_come_is_not_recorded() {
    let school = School::new(2);
    let by = &school.instructor;
    in_the_water(&school, by, &[]);
    let mut taps = taps(&school, by, Mark::Met);
    if let Some(Request::Mark(tap)) = taps.last_mut() {
        tap.origin = Origin::Memory {
            seen: by.desk.now() + Duration::minutes(1),
        };
    }
    assert!(matches!(
        by.desk.record_all(taps),
        Err(DeskError::Refused(Refusal::StillToCome { field: "seen" }))
    ));
    assert_eq!(states(&school, by), vec![CellState::Open; 2]);
}

fn file(folder: &Path, ending: &str) -> std::path::PathBuf {
    folder.join(format!("tallywater.db{ending}"))
}

#[test]
fn a_sweep_cut_off_at_any_step_is_there_whole_or_not_at_all() {
    let school = School::new(8);
    let by = &school.instructor;
    in_the_water(&school, by, &[]);
    let folder = by.folder.path();
    let length = || std::fs::metadata(file(folder, "-wal")).unwrap().len();
    let before = usize::try_from(length()).unwrap();
    let store = std::fs::read(file(folder, "")).unwrap();
    sweep(&school, by, Mark::Met);
    let log = std::fs::read(file(folder, "-wal")).unwrap();
    assert!(log.len() > before, "the sweep is not in the log");
    assert_eq!(std::fs::read(file(folder, "")).unwrap(), store);
    let (mut none, mut whole) = (0, 0);
    let steps = (before..log.len()).step_by(509);
    for at in steps.chain([log.len() - 1, log.len()]) {
        let copy = TempDir::new().unwrap();
        let keys = copy.path().join("keys");
        std::fs::create_dir(&keys).unwrap();
        for key in std::fs::read_dir(folder.join("keys")).unwrap() {
            let key = key.unwrap();
            std::fs::copy(key.path(), keys.join(key.file_name())).unwrap();
        }
        std::fs::write(file(copy.path(), ""), &store).unwrap();
        std::fs::write(file(copy.path(), "-wal"), &log[..at]).unwrap();
        let stamps = Arc::new(SetStamps::new("2026-06-06T12:00:00+02:00", 77));
        let desk = open_desk(copy.path(), &stamps).unwrap();
        let met = desk
            .with_course(&school.course, |course| {
                let cells = course.cells().values();
                cells.filter(|cell| cell.state == CellState::Met).count()
            })
            .unwrap();
        match met {
            0 => none += 1,
            8 => whole += 1,
            other => panic!("{other} of 8, cut at {at}"),
        }
    }
    assert!(none > 20 && whole >= 1, "{none} without, {whole} with it");
}

#[test]
fn a_mark_from_memory_is_written_as_a_live_one_with_the_time_it_was_seen() {
    let school = School::new(1);
    let by = &school.instructor;
    in_the_water(&school, by, &[]);
    let recorded = sweep(&school, by, Mark::Met);
    let (_, id) = recorded.entries[0];
    let entry: Entry = by
        .desk
        .with_course(&school.course, |course| {
            Entry::clone(&course.tally().get(&id).unwrap().entry)
        })
        .unwrap();
    let payload = write(&entry).unwrap();
    let text = String::from_utf8(payload.clone()).unwrap();
    let (_, origin) = text.split_once("\"origin\":").unwrap();
    let origin = &origin[..=origin.find('}').unwrap()];
    assert!(
        origin.starts_with(r#"{"from":"live","recalled":"2026-06-06T10:5"#),
        "{origin}"
    );
    assert_eq!(read(id, &payload), Reading::Known(entry.into()));
}

fn row(school: &School, by: &Device, student: usize) -> HeadcountRow {
    let id = school.students[student];
    let view = by
        .desk
        .look(&school.course, Units::Metric, |course, reader| {
            HeadcountView::of(course, reader, &school.session)
        })
        .unwrap()
        .unwrap();
    let mut rows = view.rows.into_iter();
    rows.find(|row| row.name.who() == Who::Student(id)).unwrap()
}

fn times(school: &School, student: usize, dives: &[(&str, Option<&str>)]) -> Request {
    let at = |clock: &str| time(&format!("2026-06-06T{clock}:00+02:00"));
    let dives = dives.iter().map(|(down, up)| InWater {
        down: at(down),
        up: up.map(at),
    });
    Request::SetTimes {
        course: school.course,
        session: school.session,
        who: Who::Student(school.students[student]),
        dives: dives.collect(),
    }
}

/// Times as they are shown: meant, and written where that was not then.
fn shown(row: &HeadcountRow) -> Vec<String> {
    let said = |time: &Option<tallywater_core::view::TimeSaid>| {
        time.as_ref().map_or_else(
            || "-".to_owned(),
            |time| {
                let clock =
                    |at: &tallywater_core::view::Moment| format!("{:02}:{:02}", at.hour, at.minute);
                match &time.written {
                    None => clock(&time.at),
                    Some(written) => format!("{} ({})", clock(&time.at), clock(written)),
                }
            },
        )
    };
    let dives = row.dives.iter();
    dives
        .map(|dive| format!("{} to {}", said(&dive.down), said(&dive.up)))
        .collect()
}

#[test]
fn times_entered_afterwards_say_what_was_meant_and_when_it_was_written() {
    let school = School::new(2);
    let by = &school.instructor;
    by.stamps.shift(Duration::hours(4));
    by.record(times(
        &school,
        0,
        &[("10:05", Some("10:41")), ("11:15", Some("11:48"))],
    ));
    let entered = row(&school, by, 0);
    assert_eq!(entered.place, Place::Out);
    assert_eq!(
        shown(&entered),
        [
            "10:05 (13:00) to 10:41 (13:00)",
            "11:15 (13:00) to 11:48 (13:00)"
        ]
    );
    assert_eq!(entered.elapsed.unwrap().all_minutes, 33);
    println!("## The same times once more are nothing");
    let again = by.record(times(
        &school,
        0,
        &[("10:05", Some("10:41")), ("11:15", Some("11:48"))],
    ));
    assert_eq!(again.entries, []);
    println!("## They reach the other devices as they are");
    carry(by, &school.assistant);
    let elsewhere = row(&school, &school.assistant, 0);
    assert_eq!(shown(&elsewhere), shown(&entered));
    assert_eq!(elsewhere.place, Place::Out);
}

#[test]
fn a_time_put_right_leaves_the_counted_one_in_the_journal() {
    let school = School::new(1);
    let by = &school.instructor;
    in_the_water(&school, by, &[]);
    by.record(passes(&school, school.students[0], Passage::Out));
    assert_eq!(shown(&row(&school, by, 0)), ["10:00 to 10:50"]);
    by.stamps.shift(Duration::minutes(30));
    let right = by.record(times(&school, 0, &[("10:00", Some("10:38"))]));
    // What stood is left alone: only the way out is withdrawn and written anew.
    assert_eq!(right.entries.len(), 2);
    let now = row(&school, by, 0);
    assert_eq!(shown(&now), ["10:00 to 10:38 (11:20)"]);
    assert_eq!(now.place, Place::Out);
    assert!(!now.counted_apart);
    println!("## A way in put right does not put anybody back into the water");
    by.record(times(&school, 0, &[("09:58", Some("10:38"))]));
    assert_eq!(row(&school, by, 0).place, Place::Out);
    println!("## All four that were withdrawn are still there to be read");
    let withdrawn = by.desk.with_course(&school.course, |course| {
        let all = course.passages(&school.session, &Who::Student(school.students[0]));
        (
            all.len(),
            all.iter().filter(|id| !course.tally().counts(id)).count(),
        )
    });
    assert_eq!(withdrawn.unwrap(), (5, 3));
    println!("## And one undo brings the times before it back");
    let wrong = by.record(times(&school, 0, &[("09:00", None)]));
    assert_eq!(row(&school, by, 0).place, Place::InWater);
    by.desk
        .take_back(&by.desk.may_take_back(&wrong.entries))
        .unwrap();
    assert_eq!(row(&school, by, 0).place, Place::Out);
    println!("## To have been in the water not at all can be said as well");
    by.record(times(&school, 0, &[]));
    assert_eq!(row(&school, by, 0).place, Place::NotSeen);
}

#[test]
fn times_that_cannot_be_are_refused_whole() {
    let school = School::new(1);
    let by = &school.instructor;
    by.stamps.shift(Duration::hours(3));
    for (dives, still) in [
        (vec![("10:30", Some("10:05"))], false),
        (
            vec![("10:05", Some("10:30")), ("10:20", Some("10:50"))],
            false,
        ),
        (vec![("10:05", None), ("10:40", Some("10:50"))], false),
        (vec![("11:40", Some("12:30"))], true),
    ] {
        let refused = by.desk.record(times(&school, 0, &dives));
        match refused {
            Err(DeskError::Refused(Refusal::StillToCome { field: "time" })) => assert!(still),
            Err(DeskError::Refused(Refusal::EndsBeforeItBegins { field: "dive" })) => {
                assert!(!still);
            }
            other => panic!("{other:?}"),
        }
    }
    assert_eq!(row(&school, by, 0).dives, []);
    println!("## A health form or the like is asked for at the water, not of the past");
    let what = tallywater_core::course::ClearanceKind::Health;
    by.record(Request::Clear {
        course: school.course,
        student: school.students[0],
        what,
        result: ClearanceResult::NotCleared,
        until: None,
        figure: None,
    });
    by.record(times(&school, 0, &[("10:05", Some("10:30"))]));
    assert_eq!(row(&school, by, 0).place, Place::Out);
}

#[test]
fn a_typed_sheet_is_one_dive_with_its_marks_times_and_remarks_or_nothing() {
    use tallywater_core::desk::paper::{SlateMark, SlateRemark, SlateSheet, SlateTimes};
    let school = School::new(2);
    let by = &school.instructor;
    by.stamps.shift(Duration::hours(4));
    by.record(times(&school, 0, &[("10:00", Some("10:30"))]));
    let (student, skill) = school.key(0, SKILL);
    let sheet = |up: &str| SlateSheet {
        number: None,
        seen: time("2026-06-06T11:40:00+02:00"),
        marks: vec![SlateMark {
            student,
            skill: skill.clone(),
            mark: Mark::Met,
        }],
        times: vec![SlateTimes {
            student,
            down: time("2026-06-06T11:10:00+02:00"),
            up: Some(time(up)),
        }],
        remarks: vec![
            SlateRemark {
                student: Some(student),
                text: "calm at last".into(),
            },
            SlateRemark {
                student: None,
                text: "current at the steps".into(),
            },
        ],
    };
    let typed = |up| by.desk.type_sheet(school.course, school.session, sheet(up));
    println!("## A time that cannot be, and nothing of the sheet is there");
    assert!(typed("2026-06-06T11:05:00+02:00").is_err());
    assert_eq!(states(&school, by)[0], CellState::Open);
    println!("## Right, it is a second dive beside the first");
    let recorded = typed("2026-06-06T11:40:00+02:00").unwrap();
    assert_eq!(states(&school, by)[0], CellState::Met);
    let kinds = recorded.entries.iter().map(|one| by.desk.kind_of(one));
    let notes = kinds.filter(|kind| *kind == Some(tallywater_core::entry::Kind::Note));
    assert_eq!(notes.count(), 2);
    let dives = row(&school, by, 0).dives;
    assert_eq!(dives.len(), 2);
    println!("## Typed again with another way out, it is that dive and no third");
    typed("2026-06-06T11:45:00+02:00").unwrap();
    let dives = row(&school, by, 0).dives;
    assert_eq!(dives.len(), 2);
    assert_eq!(dives[1].up.as_ref().unwrap().at.minute, 45);
}
