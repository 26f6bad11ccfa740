//! The training record, printed and opened by other tools.

use tallywater_core::entry::Outcome;
use tallywater_core::paper::{Fonts, Press, Record};

use crate::paper_school::{NAMES, School};

#[test]
fn a_record_is_printed() {
    let mut school = School::open(&NAMES[..4]);
    for student in school.students.clone() {
        school.clear(student);
    }
    school.teach();
    let last = school.students[2];
    school.complete(last, Outcome::Completed);
    school.trouble();
    let standings = school.standings();
    let source = school.source(&standings);
    let press = Press::new(Fonts::of_this_device().unwrap()).unwrap();
    std::fs::create_dir_all("/tmp/pm/out").unwrap();
    for (n, student) in school.students.iter().enumerate() {
        let record = Record::of(&source, *student);
        let pdf = press.record(&record, source.course.outline(), school.now).unwrap();
        std::fs::write(format!("/tmp/pm/out/record-{n}.pdf"), pdf).unwrap();
    }
}
