//! The rows that the store keeps of a board. A history of three devices comes in, in pieces as
//! they happen to meet, from files and over the link: after each of them, the power cut and the
//! device switched on again, the rows are what the entries on the disk come to. In the end they
//! are those of a device that took all of it whole.

use std::sync::Arc;

use tallywater_core::course::{CourseId, EntryId, Role};
use tallywater_core::desk::{Desk, DeskError, Request};
use tallywater_core::entry::{Body, Kind, Mark, Passage, Who};
use tallywater_core::standing::CellState;
use tallywater_core::store::CellRow;
use tempfile::TempDir;

use crate::link_turns::{sides, until_quiet};
use crate::support::devices::{Device, School, admit, carry, details, meet, open_desk};
use crate::support::stamps::SetStamps;

const SKILLS: [&str; 3] = ["mask-full", "swim-200", "mask-part"];
const MARKS: [Mark; 4] = [Mark::Met, Mark::Nearly, Mark::NotYet, Mark::SatOut];
const STUDENTS: usize = 3;

/// Fair enough, and the same every time.
struct Dice(u64);

impl Dice {
    fn throw(&mut self, sides: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        usize::try_from(self.0 >> 33).unwrap() % sides
    }
}

/// What somebody asks for next; `None` where there is nothing to be asked for.
fn request(school: &School, by: &Device, dice: &mut Dice) -> Option<Request> {
    let (student, skill) = (dice.throw(STUDENTS), SKILLS[dice.throw(SKILLS.len())]);
    let course = school.course;
    Some(match dice.throw(12) {
        0..=5 => Request::Mark(school.tap(by, student, skill, MARKS[dice.throw(MARKS.len())])),
        6 => Request::Exempt {
            on: school.on_screen(by, student, skill),
            why: "not asked of them".into(),
        },
        7 => Request::Pass {
            course,
            session: school.session,
            who: Who::Student(school.students[student]),
            passage: [Passage::In, Passage::Out][dice.throw(2)],
            when: None,
        },
        8 => Request::Enrol {
            course,
            details: details(&format!("Guest {}", dice.throw(1_000))),
            referred_from: None,
        },
        9 => {
            let key = school.key(student, skill);
            let attempts = by.desk.with_course(&course, |standing| {
                let cell = standing.cells().get(&key);
                cell.map(|cell| cell.unconfirmed.clone())
            });
            let attempts = attempts.unwrap().filter(|some| !some.is_empty())?;
            Request::Confirm { course, attempts }
        }
        _ => {
            let entries = taken_back(school, by);
            let entry = *entries.get(dice.throw(entries.len().max(1)))?;
            Request::Withdraw {
                ledger: school.ledger(),
                entry,
                why: None,
            }
        }
    })
}

/// Entries that somebody may want to take back: marks, what sets them aside, and guests.
fn taken_back(school: &School, by: &Device) -> Vec<EntryId> {
    let ids = by.desk.with_course(&school.course, |standing| {
        let entries = standing.tally().iter().filter(|one| {
            if let Body::Enrolment(enrolment) = &one.entry.body {
                return !school.students.contains(&enrolment.student);
            }
            matches!(
                one.entry.body.kind(),
                Kind::Attempt | Kind::Exemption | Kind::Confirmation | Kind::Withdrawal
            )
        });
        entries.map(|one| one.entry.id).collect::<Vec<EntryId>>()
    });
    ids.unwrap()
}

/// What the entries of a course come to, as rows.
fn drawn(desk: &Desk, course: &CourseId) -> Vec<CellRow> {
    let rows = desk.with_course(course, |standing| {
        let cells = standing.cells().iter();
        cells
            .map(|((student, skill), cell)| CellRow {
                student: *student,
                skill: skill.clone(),
                state: cell.state.word().into(),
                detail: format!("{{\"met\":{},\"of\":{}}}", cell.met, cell.of),
            })
            .collect::<Vec<CellRow>>()
    });
    rows.unwrap()
}

/// Students and cells that are still open, as the list of courses counts them.
fn counted(desk: &Desk, course: &CourseId) -> (usize, usize) {
    let counted = desk.with_course(course, |standing| {
        let outline = standing.outline().unwrap();
        let open = standing.cells().iter().filter(|((student, skill), cell)| {
            standing.has_student(student)
                && outline.skill(skill).is_some_and(|skill| skill.required)
                && !matches!(cell.state, CellState::Met | CellState::Exempt)
        });
        (standing.students().len(), open.count())
    });
    counted.unwrap()
}

fn stored(desk: &Desk, school: &School) -> Vec<CellRow> {
    let mut rows = Vec::new();
    desk.store_for_faults(|store| rows = store.cells(&school.ledger()).unwrap());
    rows
}

/// The device as a power cut would leave it now, switched on again.
fn switched_on_again(device: &Device) -> Device {
    let (from, folder) = (device.folder.path(), TempDir::new().unwrap());
    for name in ["tallywater.db", "tallywater.db-wal"] {
        if from.join(name).exists() {
            std::fs::copy(from.join(name), folder.path().join(name)).unwrap();
        }
    }
    std::fs::create_dir(folder.path().join("keys")).unwrap();
    for file in std::fs::read_dir(from.join("keys")).unwrap() {
        let file = file.unwrap();
        let to = folder.path().join("keys").join(file.file_name());
        std::fs::copy(file.path(), to).unwrap();
    }
    let stamps = Arc::new(SetStamps::new("2026-06-06T12:00:00+02:00", 78));
    let desk = Arc::new(open_desk(folder.path(), &stamps).unwrap());
    Device {
        desk,
        stamps,
        folder,
    }
}

fn rows_are_those_of_the_entries(device: &Device, school: &School, when: &str) {
    let again = switched_on_again(device);
    let rows = stored(&again.desk, school);
    assert_eq!(rows, drawn(&again.desk, &school.course), "{when}");
    assert_eq!(rows, drawn(&device.desk, &school.course), "{when}");
    let lines = again.desk.course_summaries().unwrap();
    let line = lines.iter().find(|row| row.ledger == school.ledger());
    let line = line.map(|row| (row.students, row.open)).unwrap();
    let (students, open) = counted(&again.desk, &school.course);
    let line = (
        usize::try_from(line.0).unwrap(),
        usize::try_from(line.1).unwrap(),
    );
    assert_eq!(line, (students, open), "{when}");
}

#[test]
fn whatever_comes_in_whatever_pieces_the_rows_are_those_of_the_entries() {
    let mut recorded = 0;
    for seed in 0..3 {
        let school = School::seeded(STUDENTS, seed + 1);
        let mut dice = Dice(seed);
        let devices = [&school.shop, &school.instructor, &school.assistant];
        for step in 0..60 {
            let at = dice.throw(devices.len());
            let by = devices[at];
            if let Some(request) = request(&school, by, &mut dice) {
                match by.desk.record(request) {
                    Ok(_) => recorded += 1,
                    Err(DeskError::Refused(_)) => {}
                    Err(error) => panic!("{error}"),
                }
            }
            let other = devices[(at + 1 + dice.throw(2)) % devices.len()];
            match dice.throw(6) {
                0 => carry(by, other),
                1 => until_quiet(&mut sides(by, other)),
                _ => continue,
            }
            let when = format!("seed {seed}, step {step}");
            rows_are_those_of_the_entries(other, &school, &when);
            rows_are_those_of_the_entries(by, &school, &when);
        }
        school.meet_all();
        let whole = Device::new(seed + 900);
        admit(&school.shop, &whole, "Tilda Okeke", Role::Instructor);
        meet(&school.shop, &whole);
        for device in devices.into_iter().chain([&whole]) {
            rows_are_those_of_the_entries(device, &school, "in the end");
            assert_eq!(stored(&device.desk, &school), stored(&whole.desk, &school));
        }
    }
    assert!(recorded > 40, "{recorded}");
}
