//! `tallywater demo`: builds the demo school and opens it, or draws it without a display.

use std::io::{IsTerminal as _, Write as _};
use std::path::Path;
use std::sync::Arc;

use tallywater_bindings::{DemoProgress, Fault, Tallywater, build_demo};

use super::catalogue::tr;
use super::turn::Turn;

/// Says how far it is on one line of a terminal.
struct OneLine;

impl DemoProgress for OneLine {
    fn built(&self, percent: u8) {
        if std::io::stderr().is_terminal() {
            let end = if percent == 100 { "\n" } else { "" };
            let line = tr!(
                "building the demo school: {percent} %",
                percent = format!("{percent:>3}")
            );
            let _ = write!(std::io::stderr(), "\r{line}{end}");
        }
    }
}

/// Builds the school in the folder, says what its day is, and shows it.
pub(super) fn run(folder: &Path, turn: &Turn) -> Result<(), Fault> {
    let school = build_demo(folder.display().to_string(), Arc::new(OneLine))?;
    turn.say(tr!(
        "The demo school is in {folder}:",
        folder = folder.display()
    ));
    turn.say(tr!("  shop computer       {folder}", folder = school.shop));
    turn.say(tr!(
        "  instructor's tablet {folder}",
        folder = school.instructor
    ));
    turn.say(tr!(
        "  assistant's tablet  {folder}",
        folder = school.assistant
    ));
    turn.say("");
    let instructor = Tallywater::open(school.instructor)?;
    super::today::show(&instructor, turn)?;
    turn.say("");
    let first = instructor.today()?.courses.into_iter().next();
    let first = first.map(|one| one.course);
    super::board::show(&instructor, first.as_deref(), turn)?;
    turn.say("");
    if super::display() {
        return tallywater::start::window_on(&instructor);
    }
    let pictures = folder.join("pictures");
    let told = |done: usize, all: usize| {
        turn.progress(
            tr!("drawing: {done} of {all}", done = done, all = all),
            done == all,
        );
    };
    let drawn = tallywater::picture::pictures(&instructor, &pictures, &told)?;
    turn.say(tr!(
        "There is no display: {count} pictures of every screen are in {folder}.",
        count = drawn,
        folder = pictures.display()
    ));
    Ok(())
}
