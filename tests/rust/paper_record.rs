//! The training record, printed and opened by other tools.

use tallywater_core::entry::Outcome;
use tallywater_core::paper::{Activity, Fonts, Language, Press, Record, Slate, SlateSize};

use crate::paper_school::{NAMES, School};

#[test]
fn a_record_is_printed() {
    let mut school = School::open(&NAMES);
    for student in school.students.clone().into_iter().skip(1) {
        school.clear(student);
    }
    school.teach();
    let last = school.students[2];
    school.complete(last, Outcome::Completed);
    school.trouble();
    let standings = school.standings();
    let source = school.source(&standings);
    let press = Press::new(Fonts::of_this_device().unwrap()).unwrap();
    let keep = |name: &str, bytes: &[u8]| {
        std::fs::write(format!("/tmp/pm/out/{name}.pdf"), bytes).unwrap()
    };
    std::fs::create_dir_all("/tmp/pm/out").unwrap();
    for n in [0, 1, 3] {
        let record = Record::of(&source, school.students[n]);
        let pdf = press
            .record(&record, source.course.outline(), school.now)
            .unwrap();
        keep(&format!("record-{n}"), &pdf);
    }
    keep("summary", &press.class_summary(&source).unwrap());
    keep(
        "session",
        &press
            .session_sheet(&source, school.sessions[4])
            .unwrap()
            .unwrap(),
    );
    keep(
        "activity",
        &press.activity(&source, &Activity::of([&source])).unwrap(),
    );
    keep(
        "briefing",
        &press
            .briefing_cards(source.course.outline().unwrap(), &[], school.now)
            .unwrap(),
    );
    for (n, session) in [(0, 1), (1, 7)] {
        let slate = Slate::of(&source, school.sessions[session], Language::English).unwrap();
        keep(
            &format!("slate-a5-{n}"),
            &press.slate(&slate, SlateSize::A5).unwrap(),
        );
        keep(
            &format!("slate-a6-{n}"),
            &press.slate(&slate, SlateSize::A6).unwrap(),
        );
    }
}
