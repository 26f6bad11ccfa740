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
