//! `tallywater keep`: what is kept and until when; what a person has held back or deleted.

use clap::Subcommand;
use serde_json::json;
use tallywater_bindings::{Fault, Hold, HoldOn, KeptLine, KeptWhat, Request, Tallywater};

use super::catalogue::tr;
use super::of::Device;
use super::turn::Turn;
use super::{find, when};

/// What is asked of what is kept.
#[derive(Debug, Subcommand)]
pub(super) enum Keep {
    /// List what is kept, with its last day by the shop's confirmed rules, the next first.
    ///
    /// Nothing is deleted by itself. How long records must and may be kept is for local law
    /// to say; the starter rules are a starting point, not advice.
    List {
        #[command(flatten)]
        device: Device,
        /// Only what is due.
        #[arg(long)]
        due: bool,
    },
    /// Show every free text that may name a person, to be read before the person is forgotten.
    Read {
        #[command(flatten)]
        device: Device,
        /// The person: an id, or a name or its beginning.
        #[arg(long, short)]
        student: String,
    },
    /// Hold a person's details or a course back from deletion, until it is lifted.
    ///
    /// It is lifted with `tallywater keep lift`, or ends after its last day.
    Hold {
        #[command(flatten)]
        device: Device,
        #[command(flatten)]
        on: On,
        /// Why, in words that name nobody.
        #[arg(long)]
        why: String,
        /// The last day of the hold, as year-month-day; without one it stays.
        #[arg(long, allow_hyphen_values = true)]
        until: Option<String>,
    },
    /// Lift a hold.
    Lift {
        #[command(flatten)]
        device: Device,
        /// The entry that set it, as `hold` says it.
        entry: String,
        /// Why.
        #[arg(long)]
        why: Option<String>,
    },
    /// Delete what is kept, on every device that has it. It cannot be brought back.
    ///
    /// Of a person the details go; records keep the id and still verify. Of a course
    /// everything goes: print or export it first. The deletion is itself recorded.
    Delete {
        #[command(flatten)]
        device: Device,
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
pub(super) fn run(keep: &Keep, turn: &Turn) -> Result<bool, Fault> {
    match keep {
        Keep::List { device, due } => {
            let lines = turn.read(&device.folder)?.kept()?;
            list(&lines, *due, turn);
            Ok(true)
        }
        Keep::Read { device, student } => {
            let desk = turn.read(&device.folder)?;
            let KeptWhat::Person(student) = person(&desk, student)? else {
                return Ok(true);
            };
            let texts = desk.texts_to_read(student.to_string())?;
            let value = texts.iter().map(|read| {
                json!({ "entry": read.at.entry, "names": read.at.names, "texts": read.texts })
            });
            let value = json!({ "texts": value.collect::<Vec<_>>() });
            let ids = || texts.iter().map(|read| read.at.entry.to_string()).collect();
            turn.answer("keep.read", &value, ids, || {
                let mut lines = Vec::new();
                for read in &texts {
                    let names = if read.at.names {
                        tr!("names")
                    } else {
                        tr!("about")
                    };
                    for text in &read.texts {
                        lines.push(format!("{names}  {}  {text}", read.at.entry));
                    }
                }
                lines
            });
            Ok(true)
        }
        Keep::Hold {
            device,
            on,
            why,
            until,
        } => {
            let desk = turn.write(&device.folder)?;
            let on = match found(&desk, on)? {
                KeptWhat::Person(student) => HoldOn::Student {
                    student: student.to_string(),
                },
                KeptWhat::Course(course) => HoldOn::Course {
                    course: course.to_string(),
                },
            };
            let until = until.as_ref().map(|typed| when::day(&desk, typed));
            let (why, until) = (why.clone(), until.transpose()?);
            let receipt = desk.record(Request::SetHold { on, why, until })?;
            let entry = receipt.entries.first().map(|one| one.entry.to_string());
            let entry = entry.unwrap_or_default();
            turn.recorded(
                &receipt,
                tr!(
                    "Held back. It is lifted with `tallywater keep lift` and {entry}.",
                    entry = entry
                ),
            );
            Ok(true)
        }
        Keep::Lift { device, entry, why } => {
            let desk = turn.write(&device.folder)?;
            let ledger = super::entry::shop_ledger(&desk, &device.folder)?;
            let (entry, why) = (entry.clone(), why.clone());
            let receipt = desk.record(Request::Withdraw { ledger, entry, why })?;
            turn.recorded(&receipt, tr!("The hold is lifted."));
            Ok(true)
        }
        Keep::Delete {
            device,
            on,
            why,
            yes,
        } => {
            let desk = if *yes {
                turn.write(&device.folder)?
            } else {
                turn.read(&device.folder)?
            };
            let what = found(&desk, on)?;
            if !yes {
                let line = desk.kept()?.into_iter().find(|line| line.row.what == what);
                turn.say(line.as_ref().map(said).unwrap_or_default());
                turn.say(tr!("Nothing was deleted: say --yes if it is meant."));
                return Ok(false);
            }
            let why = why.clone();
            let receipt = desk.record(match what {
                KeptWhat::Person(student) => Request::Forget {
                    student: student.to_string(),
                    why,
                },
                KeptWhat::Course(course) => Request::DropCourse {
                    course: course.to_string(),
                    why,
                },
            })?;
            turn.recorded(
                &receipt,
                tr!("Deleted here; every other device deletes it when it meets the shop."),
            );
            Ok(true)
        }
    }
}

fn list(lines: &[KeptLine], due: bool, turn: &Turn) {
    let shown: Vec<&KeptLine> = lines.iter().filter(|line| line.due || !due).collect();
    let value = shown.iter().map(|line| {
        let (what, id) = named(&line.row.what);
        let held = match &line.row.held {
            Some(Hold::Legal(..)) => Some("hold"),
            Some(Hold::Running(..)) => Some("running"),
            None => None,
        };
        json!({
            "what": what, "id": id, "name": line.row.name, "until": line.row.until,
            "held": held, "due": line.due,
        })
    });
    let value = json!({ "kept": value.collect::<Vec<_>>() });
    turn.answer(
        "keep.list",
        &value,
        || shown.iter().map(|line| named(&line.row.what).1).collect(),
        || {
            let mut said: Vec<String> = shown.iter().map(|line| said(line)).collect();
            let count = lines.iter().filter(|line| line.due).count();
            said.push(tr!("{count} of {of} due", count = count, of = lines.len()));
            said
        },
    );
}

fn named(what: &KeptWhat) -> (&'static str, String) {
    match what {
        KeptWhat::Person(student) => ("person", student.to_string()),
        KeptWhat::Course(course) => ("course", course.to_string()),
    }
}

fn said(line: &KeptLine) -> String {
    let row = &line.row;
    let (what, id) = match &row.what {
        KeptWhat::Person(student) => (tr!("person"), student.to_string()),
        KeptWhat::Course(course) => (tr!("course"), course.to_string()),
    };
    let until = match (&row.held, &row.until) {
        (Some(Hold::Legal(why)), _) => tr!("held back: {why}", why = why),
        (Some(Hold::Running(..)), _) => tr!("the course still goes on"),
        (None, Some(until)) if line.due => tr!("due since {day}", day = until),
        (None, Some(until)) => tr!("until {day}", day = until),
        (None, None) => tr!("no confirmed rule says how long"),
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
                matches!(what, KeptWhat::Course(..))
            })
        }
    }
}

fn person(desk: &Tallywater, asked: &str) -> Result<KeptWhat, Fault> {
    kept(desk, "student", asked, |what| {
        matches!(what, KeptWhat::Person(..))
    })
}

fn kept(
    desk: &Tallywater,
    what: &str,
    asked: &str,
    is: impl Fn(&KeptWhat) -> bool,
) -> Result<KeptWhat, Fault> {
    let lines = desk.kept()?.into_iter().filter(|line| is(&line.row.what));
    let rows: Vec<(String, String, KeptWhat)> = lines
        .map(|line| {
            let id = named(&line.row.what).1;
            (id, line.row.name.unwrap_or_default(), line.row.what)
        })
        .collect();
    let (_, _, what) = find::one(what, asked, rows, |(id, name, _)| (id, vec![name]))?;
    Ok(what)
}
