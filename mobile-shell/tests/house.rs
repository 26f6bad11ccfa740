//! The school, its courses and its people, changed by touches in a school begun from nothing:
//! what the screen says afterwards, what the desk holds, and the same taken back.

mod course;
mod notices;
mod people;
mod students;

use crate::from_nothing::open_a_course;
use crate::hands::{By, Desktop, Hands};
use crate::support::Stage;

const PHONE: (u32, u32) = (390, 844);
const UPRIGHT: (u32, u32) = (800, 1280);
const ACROSS: (u32, u32) = (1280, 800);

/// From nothing to a course with its two students, in this language: the hands, and the course.
fn with_a_course(size: (u32, u32), language: &'static str) -> (Hands, String) {
    on_a(Desktop::new(), size, language)
}

/// The same on a machine that chooses files.
fn on_a(desktop: Desktop, size: (u32, u32), language: &'static str) -> (Hands, String) {
    let stage = Stage::new(size.0, size.1);
    let mut hands = Hands::on(stage, desktop, By::Touch);
    let course = open_a_course(&mut hands, language);
    (hands, course)
}
