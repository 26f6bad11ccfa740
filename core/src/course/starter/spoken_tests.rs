//! The starter outline read in the other language, and what a school wrote left as it is.

use super::*;

#[test]
fn what_a_school_wrote_is_read_as_it_wrote_it_and_everything_else_there_and_back() {
    let (english, german) = (outline().unwrap(), german_outline().unwrap());
    let back = spoken(&german, Tongue::English).unwrap();
    assert_eq!(spoken(&back, Tongue::German).unwrap(), german);
    let mut own = english;
    own.skills[0].name = "Our own way".into();
    let read = spoken(&own, Tongue::German).unwrap();
    assert_eq!(read.skills[0].name, "Our own way");
    assert_eq!(read.skills[0].cues, german.skills[0].cues);
    assert_eq!(read.skills[1..], german.skills[1..]);
    assert_eq!(spoken(&own, Tongue::English), None);
}

#[test]
fn where_course_and_device_speak_one_language_nothing_is_copied() {
    let (english, german) = (outline().unwrap(), german_outline().unwrap());
    for (outline, tongue) in [(english, Tongue::English), (german, Tongue::German)] {
        let mut own = outline.clone();
        own.skills[0].name = "Unser Weg, our way".into();
        assert_eq!(spoken(&outline, tongue), None, "{tongue:?}");
        assert_eq!(
            spoken(&own, tongue),
            None,
            "{tongue:?}, with a word of its own"
        );
    }
}

/// Otherwise a text that is never asked would keep a whole outline from being read, or one that
/// is asked would stay as it is.
#[test]
fn the_texts_that_are_asked_are_those_that_are_put_in_another_language() {
    let mut outline = outline().unwrap();
    let (mut asked, mut put) = (Vec::new(), Vec::new());
    outline.each_text(&mut |text| asked.push(text.clone()));
    outline.each_text_mut(&mut |text| put.push(text.clone()));
    assert_eq!(asked, put);
}
