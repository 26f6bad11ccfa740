//! `tallywater record`: how a student's course ends, and on what.

use clap::Subcommand;
use serde_json::{Value, json};
use tallywater_bindings::{Fault, OwnDiveRow, RecordView, Request};

use super::catalogue::tr;
use super::find;
use super::of::Of;
use super::student::stands;
use super::turn::Turn;
use super::words::{self, Outcome};

/// What is asked of records.
#[derive(Debug, Subcommand)]
pub(super) enum Record {
    /// Show a student's record: what was met, by whose mark, and what is missing.
    Show {
        #[command(flatten)]
        of: Of,
        /// Who: an id, or a name or its beginning.
        who: String,
    },
    /// End the course for a student: completed, referred, or left.
    ///
    /// Refused as completed while anything is missing, which is listed then. The completion
    /// names exactly the entries that it considered.
    Complete {
        #[command(flatten)]
        of: Of,
        /// Who: an id, or a name or its beginning.
        who: String,
        /// How it ended.
        #[arg(long, value_enum, default_value_t = Outcome::Completed)]
        outcome: Outcome,
        /// Do nothing if it has ended so already.
        #[arg(long)]
        skip_existing: bool,
        /// Ask every rule, and end nothing.
        #[arg(long)]
        preview: bool,
    },
}

/// Does what was asked of records.
pub(super) fn run(record: &Record, turn: &Turn) -> Result<(), Fault> {
    match record {
        Record::Show { of, who } => {
            let opened = of.read(turn)?;
            let student = find::student(&opened.desk, &opened.id(), who)?
                .student
                .to_string();
            let rules = super::rules::in_words(&opened.desk, &opened.id())?;
            show(
                &opened.desk.student_record(opened.id(), student)?,
                &rules,
                turn,
            );
            Ok(())
        }
        Record::Complete {
            of,
            who,
            outcome,
            skip_existing,
            preview,
        } => {
            let opened = of.write(turn)?;
            let course = opened.id();
            let student = find::student(&opened.desk, &course, who)?
                .student
                .to_string();
            let seen = opened
                .desk
                .student_record(course.clone(), student.clone())?;
            if *skip_existing
                && let Some(end) = &seen.completion
                && Outcome::from(&end.outcome) == *outcome
            {
                turn.done(tr!("It has ended so already."));
                return Ok(());
            }
            let complete = Request::Complete {
                course,
                student,
                outcome: (*outcome).into(),
                considered: seen.considered.clone(),
            };
            let asked = if *preview {
                opened.desk.would_record(vec![complete]).map(|()| None)
            } else {
                opened.desk.record(complete).map(Some)
            };
            match asked {
                Ok(Some(receipt)) => {
                    let outcome = outcome.said();
                    turn.recorded(&receipt, tr!("Recorded: {outcome}", outcome = outcome));
                }
                Ok(None) => {
                    turn.done(tr!(
                        "It could be recorded. Nothing was: this was a preview."
                    ));
                }
                Err(fault) => {
                    let rules = super::rules::in_words(&opened.desk, &opened.id())?;
                    for gap in &seen.gaps {
                        turn.warn(format!("  {}", words::gap_said(gap, &rules)));
                    }
                    return Err(fault);
                }
            }
            Ok(())
        }
    }
}

fn show(seen: &RecordView, rules: &words::Rules, turn: &Turn) {
    let skills = seen.items.iter().map(|item| {
        let lines: Vec<Value> = item.lines.iter().map(super::skill::line).collect();
        json!({
            "skill": item.skill, "name": item.name, "required": item.required,
            "cell": words::cell(&item.cell), "lines": lines,
        })
    });
    let (record, said) = stands(&seen.state);
    let value = json!({
        "course": seen.course, "title": seen.title, "school": seen.shop,
        "student": words::student(&seen.name), "record": record,
        "forms": seen.clearances.iter().map(super::form::row).collect::<Vec<_>>(),
        "skills": skills.collect::<Vec<_>>(),
        "dives": seen.dives.iter().map(super::water::dive_row).collect::<Vec<_>>(),
        "own_dives": seen.own_dives.iter().map(own_dive).collect::<Vec<_>>(),
        "missing": seen.gaps.iter().map(words::gap).collect::<Vec<_>>(),
        "entries": seen.considered.len(),
    });
    let ids = || seen.considered.clone();
    turn.answer("record.show", &value, ids, || {
        let mut lines = vec![format!("{}, {}: {said}", seen.name.name, seen.title)];
        for item in &seen.items {
            let state = words::Stands::from(&item.cell.state).said();
            let by = item.lines.iter().rfind(|line| line.mark.is_some());
            let by = by.map_or("", |line| line.by.name.as_str());
            lines.push(format!("  {:<18}  {state:<24}  {by}", item.skill));
        }
        let gaps = seen.gaps.iter().map(|gap| words::gap_said(gap, rules));
        lines.extend(gaps.map(|gap| tr!("missing: {what}", what = gap)));
        lines.extend(seen.own_dives.iter().map(own_dive_line));
        lines
    });
}

/// A student's own dive, as JSON.
fn own_dive(row: &OwnDiveRow) -> Value {
    json!({
        "entry": row.entry, "down": row.down.at.to_rfc3339(), "minutes": row.span.all_minutes,
        "depth": super::figure(&row.max_depth), "site": row.site,
        "by": words::staff(&row.by), "at": row.at.at.to_rfc3339(),
    })
}

fn own_dive_line(row: &OwnDiveRow) -> String {
    let parts = [
        words::moment(&row.down),
        format!("{} min", row.span.all_minutes),
        super::figure_said(&row.max_depth),
        row.site.clone().unwrap_or_default(),
    ];
    let said: Vec<&str> = parts
        .iter()
        .map(String::as_str)
        .filter(|part| !part.is_empty())
        .collect();
    tr!(
        "own dive, not of the course: {dive}; taken in by {name}",
        dive = said.join(", "),
        name = row.by.name
    )
}
