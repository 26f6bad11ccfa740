//! `tallywater skill sweep`: all of them, except: what an instructor remembers at the surface.

use std::collections::BTreeSet;
use std::sync::Arc;

use clap::Args;
use serde_json::{Value, json};
use tallywater_bindings::{
    Again, Fault, LineUpRow, MarkTap, Origin, Request, StudentName, Tallywater,
};

use super::catalogue::tr;
use super::of::Of;
use super::turn::Turn;
use super::words::{self, InSweep, Mark};
use super::{find, when};

/// Everybody, except.
#[derive(Debug, Args)]
pub(super) struct Sweep {
    #[command(flatten)]
    of: Of,
    /// What was seen of all who were in the water.
    #[arg(value_enum)]
    mark: Mark,
    /// The skill: an id, or the beginning of its name.
    #[arg(long)]
    skill: String,
    /// The session: an id, or its title or the beginning of it.
    #[arg(long)]
    session: String,
    /// A student of whom it was not so, as often as there are such: an id, or a name or its
    /// beginning.
    #[arg(long)]
    except: Vec<String>,
    /// What was seen of these; "not yet" where the others met it, and "met" otherwise.
    #[arg(long = "as", value_enum, requires = "except")]
    exception: Option<Mark>,
    /// When it was seen; now if left out, or when the last came out of the water.
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    seen: Option<String>,
    /// Ask every rule, and mark nothing.
    #[arg(long)]
    preview: bool,
}

/// Does what was asked: every mark, or none.
pub(super) fn run(asked: &Sweep, turn: &Turn) -> Result<(), Fault> {
    let opened = asked.of.write(turn)?;
    let (desk, course) = (&opened.desk, opened.id());
    let session = find::session(desk, &course, &asked.session)?
        .session
        .to_string();
    let skill = find::skill(desk, &course, &asked.skill)?;
    let seen = desk.line_up(course.clone(), Some(session.clone()), skill)?;
    let except = exceptions(desk, &course, asked, &seen.rows)?;
    let at = match &asked.seen {
        Some(typed) => when::time(desk, typed)?,
        None => seen.sweep_seen.at.to_rfc3339(),
    };
    let exception = asked.exception.unwrap_or(match asked.mark {
        Mark::Met => Mark::NotYet,
        Mark::Nearly | Mark::NotYet | Mark::SatOut => Mark::Met,
    });
    let is = |row: &&LineUpRow| InSweep::from(&row.sweep) == InSweep::Takes;
    let given = |row: &LineUpRow| {
        if except.contains(&row.name.student.to_string()) {
            exception
        } else {
            asked.mark
        }
    };
    let taken: Vec<(&StudentName, Mark)> = (seen.rows.iter().filter(is))
        .map(|row| (&row.name, given(row)))
        .collect();
    let left: Vec<(&StudentName, InSweep)> = (seen.rows.iter().filter(|row| !is(row)))
        .map(|row| (&row.name, InSweep::from(&row.sweep)))
        .collect();
    let requests = seen.rows.iter().filter(is).map(|row| Request::Mark {
        tap: MarkTap {
            on: Arc::clone(&row.cell.on),
            mark: given(row).into(),
            method: None,
            measured: Vec::new(),
            slips: Vec::new(),
            note: None,
            despite: None,
            session: Some(session.clone()),
            origin: Origin::Memory { seen: at.clone() },
            again: Again::Unsaid,
        },
    });
    let requests: Vec<Request> = requests.collect();
    if requests.is_empty() {
        // By id: what goes beside the answer may end in a log.
        for (name, why) in &left {
            turn.warn(format!("  {}: {}", name.student, why.said()));
        }
        return Err(Fault::rule("nothing_open"));
    }
    let entries = if asked.preview {
        desk.would_record(requests)?;
        Vec::new()
    } else {
        desk.record_all(requests)?.entries
    };
    let value = json!({
        "session": seen.session, "skill": seen.skill.skill, "seen": at, "preview": asked.preview,
        "marked": taken.iter().map(|(name, mark)| {
            json!({ "student": words::student(name), "mark": mark.word() })
        }).collect::<Vec<Value>>(),
        "left_out": left.iter().map(|(name, why)| {
            json!({ "student": words::student(name), "why": why.word() })
        }).collect::<Vec<Value>>(),
        "entries": entries.iter().map(|one| &one.entry).collect::<Vec<_>>(),
    });
    let ids = || entries.iter().map(|one| one.entry.to_string()).collect();
    turn.answer("skill.sweep", &value, ids, || {
        let mut lines: Vec<String> = (taken.iter())
            .map(|(name, mark)| format!("  {:<24}  {}", name.name, mark.said()))
            .collect();
        lines.extend(left.iter().map(|(name, why)| {
            let (name, why) = (&name.name, why.said());
            tr!("left out: {name}: {why}", name = name, why = why)
        }));
        lines.push(if asked.preview {
            tr!("It could be recorded. Nothing was: this was a preview.")
        } else {
            let count = taken.len();
            tr!("Recorded from memory for {count}.", count = count)
        });
        lines
    });
    Ok(())
}

/// The students of whom it was not so. One whom the sweep does not take is no exception to it.
fn exceptions(
    desk: &Tallywater,
    course: &str,
    asked: &Sweep,
    rows: &[LineUpRow],
) -> Result<BTreeSet<String>, Fault> {
    let found = asked.except.iter().map(|typed| {
        let student = find::student(desk, course, typed)?.student.to_string();
        let row = rows.iter().find(|row| row.name.student == student);
        let why = row.map(|row| InSweep::from(&row.sweep));
        if why == Some(InSweep::Takes) {
            return Ok(student);
        }
        let why = why.map_or_else(
            || tr!("not planned for this session"),
            |why| why.said().to_owned(),
        );
        Err(Fault::rule("not_in_sweep").id(student).what(&why))
    });
    found.collect()
}
