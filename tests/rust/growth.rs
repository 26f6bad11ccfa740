//! A school that grows costs each person what they cost before: import, preview, record and
//! verification in time that grows as the school does and no faster. `cargo bench --bench growth`
//! measures the curve; here two sizes are enough to tell a square from a line.

use std::time::{Duration, Instant};

use tallywater_core::course::CourseId;
use tallywater_core::desk::paper::PaperError;
use tallywater_core::desk::{DeskError, OutlineFrom, Request};
use tallywater_core::paper::Go;
use tallywater_core::paper::roster::{Hints, Twins};

use crate::support::devices::{Device, day};

/// A roster of so many invented people.
pub(crate) fn roster(people: usize) -> String {
    let mut text = String::from("Name;Born;Contact\n");
    for number in 0..people {
        text.push_str(&format!(
            "Given{number} Family{};{}-03-{:02};person{number}@example.org\n",
            number / 3,
            1970 + number % 30,
            1 + number % 28
        ));
    }
    text
}

struct Costs {
    import: Duration,
    preview: Duration,
    record: Duration,
    verify: Duration,
}

fn school(people: usize) -> Costs {
    let shop = Device::new(5);
    shop.desk
        .start_shop("Grebe Hollow Divers", "Ansel Forde")
        .unwrap();
    let opened = shop.record(Request::OpenCourse {
        title: "First dives, June".into(),
        starts: day("2026-06-06"),
        place: None,
        outline: OutlineFrom::School,
        staff: Vec::new(),
    });
    let course: CourseId = opened.made.unwrap().parse().unwrap();
    let text = roster(people);
    let timed = |what: &mut dyn FnMut()| {
        let begun = Instant::now();
        what();
        begun.elapsed()
    };
    let import = timed(&mut || {
        let taken =
            shop.desk
                .take_roster(course, text.as_bytes(), Hints::default(), Twins::LeaveOut);
        assert_eq!(taken.unwrap().enrolled, people);
    });
    let preview = timed(&mut || {
        let seen = shop
            .desk
            .look_at_roster(&course, text.as_bytes(), Hints::default());
        let seen = seen.unwrap();
        assert!(seen.rows.iter().all(|row| row.twin.is_some()));
    });
    let papers = shop.desk.papers(&course).unwrap();
    let student = papers.source().course.students()[people / 2];
    drop(papers);
    let record = timed(&mut || {
        let papers = shop.desk.papers_of(&course, &student).unwrap();
        assert!(papers.record(&student).unwrap().name.is_some());
    });
    let verify = timed(&mut || {
        let found = shop.desk.verify_course(&course, None).unwrap();
        assert_eq!(found.records.len(), people);
    });
    Costs {
        import,
        preview,
        record,
        verify,
    }
}

#[test]
fn eight_times_the_people_cost_eight_times_the_time_and_not_the_square_of_it() {
    let (few, many) = (school(100), school(800));
    let each = |one: Duration, people: f64| one.as_secs_f64() / people;
    for (what, few, many) in [
        ("import", few.import, many.import),
        ("preview", few.preview, many.preview),
        ("verify", few.verify, many.verify),
    ] {
        let ratio = each(many, 800.0) / each(few, 100.0);
        println!("{what}: {few:?} for 100, {many:?} for 800, a person {ratio:.2} times");
        // A square would be 8.
        assert!(ratio < 3.0, "{what}: {few:?} and {many:?}");
    }
    println!(
        "one record: {:?} of 100, {:?} of 800",
        few.record, many.record
    );
}

#[test]
fn an_import_tells_how_far_it_is_and_stopped_enrols_nobody() {
    let shop = Device::new(6);
    shop.desk
        .start_shop("Grebe Hollow Divers", "Ansel Forde")
        .unwrap();
    let opened = shop.record(Request::OpenCourse {
        title: "First dives, June".into(),
        starts: day("2026-06-06"),
        place: None,
        outline: OutlineFrom::School,
        staff: Vec::new(),
    });
    let course: CourseId = opened.made.unwrap().parse().unwrap();
    let text = roster(20);
    let take = |stop_at: usize| {
        let mut told = Vec::new();
        let taken = shop.desk.take_roster_watched(
            course,
            text.as_bytes(),
            Hints::default(),
            Twins::LeaveOut,
            &mut |done, of| {
                told.push((done, of));
                if done == stop_at { Go::Stop } else { Go::On }
            },
        );
        (taken, told)
    };
    let (taken, told) = take(17);
    assert!(matches!(taken, Err(PaperError::Desk(DeskError::Stopped))));
    assert_eq!(told.last(), Some(&(17, 40)), "details and enrolment each");
    let papers = shop.desk.papers(&course).unwrap();
    assert!(papers.source().course.students().is_empty());
    assert!(
        shop.desk
            .ledgers()
            .unwrap()
            .iter()
            .all(|id| !matches!(id, tallywater_core::course::LedgerId::Person(_)))
    );
    let (taken, told) = take(usize::MAX);
    assert_eq!(taken.unwrap().enrolled, 20);
    assert_eq!(told.len(), 40);
}
