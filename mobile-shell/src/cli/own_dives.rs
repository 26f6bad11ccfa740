//! A student's own dive log: its dives looked at, or taken in as none of the course.

use serde_json::json;
use tallywater_bindings::{Fault, FigureKind, LogSeen, Tallywater};

use super::catalogue::tr;
use super::find;
use super::of::Opened;
use super::turn::Turn;

/// A student's own log, beside what is here of it already.
pub(super) fn take(
    opened: &Opened,
    student: &str,
    bytes: Vec<u8>,
    preview: bool,
    turn: &Turn,
) -> Result<(), Fault> {
    let (desk, course) = (&opened.desk, opened.id());
    let student = find::student(desk, &course, student)?.student.to_string();
    if preview {
        // The rules are asked with it.
        let log = desk.look_at_own_dives(course, student, bytes)?;
        say_log(desk, &log, turn)?;
        turn.say(tr!("Nothing was logged: this was a preview."));
        return Ok(());
    }
    let taken = desk.take_own_dives(course, student, bytes)?;
    let value = json!({ "logged": taken.logged, "left_out": taken.left_out });
    turn.answer("import.dives", &value, Vec::new, || {
        vec![tr!(
            "{logged} own dives taken in, none of the course; {out} left out, since they are here",
            logged = taken.logged,
            out = taken.left_out
        )]
    });
    Ok(())
}

/// Whose log a file says it is, if that is somebody else's, and each of its dives.
pub(super) fn say_log(desk: &Tallywater, log: &LogSeen, turn: &Turn) -> Result<(), Fault> {
    if let Some(owner) = &log.of_another {
        turn.say(tr!(
            "CAUTION: the file says that it is the log of {name}",
            name = owner
        ));
    }
    for seen in &log.dives {
        let log = &seen.dive.log;
        let depth = desk.show_figure(FigureKind::Depth, i64::from(log.max_depth_cm))?;
        let here = if seen.here {
            tr!(", here already")
        } else {
            String::new()
        };
        let depth = super::figure_said(&depth);
        turn.say(format!("{}  {depth}{here}", log.down));
    }
    Ok(())
}
