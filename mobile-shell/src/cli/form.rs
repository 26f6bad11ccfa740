//! `tallywater form`: forms and checks: which were seen, which are missing.

use clap::Subcommand;
use serde_json::{Value, json};
use tallywater_bindings::{ClearanceRow, Fault, Request};

use super::catalogue::tr;
use super::of::Of;
use super::turn::Turn;
use super::words::{self, Cleared, Form as What, FormState, Gate};
use super::{find, when};

/// What is asked of forms and checks.
#[derive(Debug, Subcommand)]
pub(super) enum Form {
    /// List the forms and checks of a whole class.
    List {
        #[command(flatten)]
        of: Of,
        /// Only those that are needed and missing, out of date or not cleared.
        #[arg(long)]
        missing: bool,
    },
    /// Record that a form was seen or a check was passed, of one student or several.
    ///
    /// What the form says of somebody's health is never kept: only that it was seen, what it
    /// came to and until when. A physician's clearance is a physician's to give.
    Seen {
        #[command(flatten)]
        of: Of,
        /// Which.
        #[arg(value_enum)]
        what: What,
        /// A student, as often as there are such: an id, or a name or its beginning.
        #[arg(long, short, required_unless_present = "everyone")]
        student: Vec<String>,
        /// Everybody in the course.
        #[arg(long, conflicts_with = "student")]
        everyone: bool,
        /// What it came to.
        #[arg(long, value_enum, default_value_t = Cleared::Cleared)]
        result: Cleared,
        /// The last day on which it counts, where it says one.
        #[arg(long, value_name = "DAY", allow_hyphen_values = true)]
        until: Option<String>,
        /// The figure of it: metres swum, minutes afloat, per cent of a test.
        #[arg(long)]
        figure: Option<u32>,
        /// Leave out who has it already.
        #[arg(long)]
        skip_existing: bool,
        /// Ask every rule, and record nothing.
        #[arg(long)]
        preview: bool,
    },
}

/// Does what was asked.
pub(super) fn run(form: &Form, turn: &Turn) -> Result<(), Fault> {
    match form {
        Form::List { of, missing } => list(of, *missing, turn),
        Form::Seen {
            of,
            what,
            student,
            everyone,
            result,
            until,
            figure,
            skip_existing,
            preview,
        } => {
            let opened = of.write(turn)?;
            let course = opened.id();
            let names = if *everyone {
                find::students(&opened.desk, &course)?
            } else {
                let found = student
                    .iter()
                    .map(|asked| find::student(&opened.desk, &course, asked));
                found.collect::<Result<_, _>>()?
            };
            let until = until.as_ref().map(|typed| when::day(&opened.desk, typed));
            let until = until.transpose()?;
            let mut requests = Vec::new();
            for name in names {
                if *skip_existing {
                    let seen = opened
                        .desk
                        .student(course.clone(), name.student.to_string())?;
                    let has = |row: &ClearanceRow| {
                        What::from(&row.what) == *what
                            && FormState::from(&row.state) == FormState::Cleared
                    };
                    if seen.clearances.iter().any(has) {
                        continue;
                    }
                }
                requests.push(Request::Clear {
                    course: course.clone(),
                    student: name.student.to_string(),
                    what: (*what).into(),
                    result: (*result).into(),
                    until: until.clone(),
                    figure: *figure,
                });
            }
            let count = requests.len();
            if *preview {
                turn.could(&opened.desk, requests)?;
            } else if requests.is_empty() {
                turn.done(tr!("Everybody has it already."));
            } else {
                let receipt = opened.desk.record_all(requests)?;
                turn.recorded(&receipt, tr!("Recorded for {count}.", count = count));
            }
            Ok(())
        }
    }
}

/// A form as JSON.
pub(super) fn row(row: &ClearanceRow) -> Value {
    json!({
        "form": What::from(&row.what).word(), "state": FormState::from(&row.state).word(),
        "needed": row.needed_before.as_ref().map(|gate| Gate::from(gate).word()),
        "seen": row.seen.as_ref().map(|at| at.at.to_rfc3339()), "by": row.by.as_ref().map(words::staff),
        "until": row.until.as_ref().map(|day| &day.date),
        "figure": row.figure.as_ref().map(super::figure), "entry": row.entry,
    })
}

/// A form for a person.
pub(super) fn line(row: &ClearanceRow) -> String {
    let (form, state) = (
        What::from(&row.what).said(),
        FormState::from(&row.state).said(),
    );
    let needed = row
        .needed_before
        .as_ref()
        .map(|gate| Gate::from(gate).said());
    let until = row
        .until
        .as_ref()
        .map(|day| tr!("until {day}", day = day.date));
    let more: Vec<String> = needed.map(str::to_owned).into_iter().chain(until).collect();
    if more.is_empty() {
        format!("{form}: {state}")
    } else {
        format!("{form}: {state} ({})", more.join(", "))
    }
}

/// Whether somebody has to do something about it.
fn is_open(row: &ClearanceRow) -> bool {
    row.needed_before.is_some()
        && match FormState::from(&row.state) {
            FormState::Missing
            | FormState::Expired
            | FormState::Referred
            | FormState::NotCleared => true,
            FormState::NotAsked | FormState::Cleared => false,
        }
}

fn list(of: &Of, missing: bool, turn: &Turn) -> Result<(), Fault> {
    let opened = of.read(turn)?;
    let (mut values, mut ids, mut lines) = (Vec::new(), Vec::new(), Vec::new());
    for name in find::students(&opened.desk, &opened.id())? {
        let seen = opened.desk.student(opened.id(), name.student.to_string())?;
        let mut forms = seen.clearances;
        forms.retain(|form| !missing || is_open(form));
        if missing && forms.is_empty() {
            continue;
        }
        let rows: Vec<Value> = forms.iter().map(row).collect();
        values.push(json!({ "student": words::student(&name), "forms": rows }));
        lines.push(name.name);
        lines.extend(forms.iter().map(|form| format!("  {}", line(form))));
        ids.push(name.student);
    }
    if lines.is_empty() {
        lines.push(tr!("Nothing is missing."));
    }
    let value = json!({ "course": opened.id(), "students": values });
    turn.answer(
        "form.list",
        &value,
        || ids.iter().map(ToString::to_string).collect(),
        || lines,
    );
    Ok(())
}
