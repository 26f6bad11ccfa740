//! A course keeps the language it was made in and is read in the device's.

use tallywater_core::course::{Outline, SkillId};
use tallywater_core::desk::Request;
use tallywater_core::entry::Mark;

use crate::support::devices::{Device, School};

#[test]
fn a_course_is_read_in_the_devices_language_and_stays_as_it_was_written() {
    let school = School::new(1);
    let course = school.course;
    let names = |device: &Device| {
        let names = device.desk.with_course(&course, |course| {
            let skill: SkillId = "mask-full".parse().unwrap();
            let of =
                |outline: Option<&Outline>| outline.unwrap().skill(&skill).unwrap().name.clone();
            [of(course.outline()), of(course.spoken_outline())]
        });
        names.unwrap()
    };
    let (english, german) = ("Full mask flood", "Maske ganz fluten");
    assert_eq!(names(&school.assistant), [english, english], "nobody said");
    let said = |code| school.assistant.desk.keep_preference("language", code);
    said("de").unwrap();
    assert_eq!(names(&school.assistant), [english, german]);
    assert_eq!(names(&school.instructor), [english, english]);
    println!("## A mark changes nothing about that, nor does switching off and on");
    let tap = school.tap(&school.assistant, 0, "mask-full", Mark::Met);
    school.assistant.record(Request::Mark(tap));
    assert_eq!(names(&school.assistant), [english, german]);
    said("en").unwrap();
    assert_eq!(names(&school.assistant), [english, english]);
    said("de").unwrap();
    let assistant = school.assistant.reopen();
    assert_eq!(names(&assistant), [english, german]);
}
