//! `tallywater keep`: what is kept and until when; what a person has held back or deleted.

use std::path::PathBuf;

use clap::Subcommand;
use tallywater_bindings::{Fault, Hold, HoldOn, KeptLine, KeptWhat, Request, Tallywater};

use super::find;

/// What is asked of what is kept.
#[derive(Debug, Subcommand)]
pub(super) enum Keep {
    /// List what is kept, with its last day by the shop's confirmed rules, the next first.
    ///
    /// Nothing is deleted by itself. How long records must and may be kept is for local law
    /// to say; the starter rules are a starting point, not advice.
    List {
        /// The device's folder.
        folder: PathBuf,
        /// Only what is due.
        #[arg(long)]
        due: bool,
    },
    /// Show every free text that may name a person, to be read before the person is forgotten.
    Read {
        /// The device's folder.
        folder: PathBuf,
        /// The person: an id, or a name or its beginning.
        #[arg(long, short)]
        student: String,
    },
    /// Hold a person's details or a course back from deletion, until it is lifted.
    ///
    /// It is lifted by withdrawing its entry, on the screen that lists all entries.
    Hold {
        /// The device's folder.
        folder: PathBuf,
        #[command(flatten)]
        on: On,
        /// Why, in words that name nobody.
        #[arg(long)]
        why: String,
        /// The last day of the hold, as year-month-day; without one it stays.
        #[arg(long)]
        until: Option<String>,
    },
    /// Delete what is kept, on every device that has it. It cannot be brought back.
    ///
    /// Of a person the details go; records keep the id and still verify. Of a course
    /// everything goes: print or export it first. The deletion is itself recorded.
    Delete {
        /// The device's folder.
        folder: PathBuf,
        #[command(flatten)]
        on: On,
        /// Why, in words that name nobody: "kept long enough".
        #[arg(long)]
        why: String,
        /// Say that it is meant.
        #[arg(long)]
        yes: bool,
    },
}

/// A person or a course.
#[derive(Debug, clap::Args)]
#[group(required = true, multiple = false)]
pub(super) struct On {
    /// The person: an id, or a name or its beginning.
    #[arg(long, short)]
    student: Option<String>,
    /// The course: an id, or its title or the beginning of it.
    #[arg(long, short)]
    course: Option<String>,
}

/// Does what was asked. `false` where it was only said what would be done.
pub(super) fn run(keep: &Keep) -> Result<bool, Fault> {
    match keep {
        Keep::List { folder, due } => {
            let lines = super::open(folder)?.kept()?;
            let shown = lines.iter().filter(|line| line.due || !due);
            for line in shown {
                println!("{}", said(line));
            }
            let due = lines.iter().filter(|line| line.due).count();
            println!("{due} of {} due", lines.len());
            Ok(true)
        }
        Keep::Read { folder, student } => {
            let desk = super::open(folder)?;
            let KeptWhat::Person { student } = person(&desk, student)? else {
                return Ok(true);
            };
            for read in desk.texts_to_read(student)? {
                let names = if read.at.names { "names" } else { "about" };
                for text in read.texts {
                    println!("{names}  {}  {text}", read.at.entry);
                }
            }
            Ok(true)
        }
        Keep::Hold {
            folder,
            on,
            why,
            until,
        } => {
            let desk = super::open(folder)?;
            let on = match found(&desk, on)? {
                KeptWhat::Person { student } => HoldOn::Student { student },
                KeptWhat::Course { course } => HoldOn::Course { course },
            };
            let (why, until) = (why.clone(), until.clone());
            desk.record(Request::SetHold { on, why, until })?;
            println!("Held back.");
            Ok(true)
        }
        Keep::Delete {
            folder,
            on,
            why,
            yes,
        } => {
            let desk = super::open(folder)?;
            let what = found(&desk, on)?;
            if !yes {
                let line = desk.kept()?.into_iter().find(|line| line.row.what == what);
                println!("{}", line.as_ref().map(said).unwrap_or_default());
                println!("Nothing was deleted: say --yes if it is meant.");
                return Ok(false);
            }
            let why = why.clone();
            desk.record(match what {
                KeptWhat::Person { student } => Request::Forget { student, why },
                KeptWhat::Course { course } => Request::DropCourse { course, why },
            })?;
            println!("Deleted here; every other device deletes it when it meets the shop.");
            Ok(true)
        }
    }
}

fn said(line: &KeptLine) -> String {
    let row = &line.row;
    let (what, id) = match &row.what {
        KeptWhat::Person { student } => ("person", student),
        KeptWhat::Course { course } => ("course", course),
    };
    let until = match (&row.held, &row.until) {
        (Some(Hold::Legal { why }), _) => format!("held back: {why}"),
        (Some(Hold::Running { .. }), _) => "the course still goes on".to_owned(),
        (None, Some(until)) if line.due => format!("due since {until}"),
        (None, Some(until)) => format!("until {until}"),
        (None, None) => "no confirmed rule says how long".to_owned(),
    };
    let name = row.name.as_deref().unwrap_or_default();
    format!("{what}  {id}  {name:<32}  {until}")
}

fn found(desk: &Tallywater, on: &On) -> Result<KeptWhat, Fault> {
    match (&on.student, &on.course) {
        (Some(student), _) => person(desk, student),
        (None, course) => {
            let asked = course.as_deref().unwrap_or_default();
            kept(desk, "course", asked, |what| {
                matches!(what, KeptWhat::Course { .. })
            })
        }
    }
}

fn person(desk: &Tallywater, asked: &str) -> Result<KeptWhat, Fault> {
    kept(desk, "student", asked, |what| {
        matches!(what, KeptWhat::Person { .. })
    })
}

fn kept(
    desk: &Tallywater,
    what: &str,
    asked: &str,
    is: impl Fn(&KeptWhat) -> bool,
) -> Result<KeptWhat, Fault> {
    let lines = desk.kept()?.into_iter().filter(|line| is(&line.row.what));
    let named: Vec<(String, String, KeptWhat)> = lines
        .map(|line| {
            let id = match &line.row.what {
                KeptWhat::Person { student } => student.clone(),
                KeptWhat::Course { course } => course.clone(),
            };
            (id, line.row.name.unwrap_or_default(), line.row.what)
        })
        .collect();
    let (_, _, what) = find::one(what, asked, named, |(id, name, _)| [id, name])?;
    Ok(what)
}
