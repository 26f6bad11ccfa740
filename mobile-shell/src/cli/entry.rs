//! `tallywater entry` and `tallywater note`: the journal, taking back, and remarks.

use clap::Subcommand;
use serde_json::{Value, json};
use tallywater_bindings::{ActivityRow, Fault, NotesOn, Request, Said, course_ledger};

use super::catalogue::tr;
use super::find;
use super::of::Of;
use super::turn::Turn;
use super::words::{self, Cleared, Doubt, Form, Kind, Mark, Outcome, Role};

/// What is asked of entries.
#[derive(Debug, Subcommand)]
pub(super) enum Entry {
    /// List what happened in a course, newest first.
    List {
        #[command(flatten)]
        of: Of,
        /// Only what is about this person: a student or a member of staff.
        #[arg(long)]
        who: Option<String>,
        /// Only what is of this session.
        #[arg(long)]
        session: Option<String>,
        /// At most so many.
        #[arg(long, default_value_t = 1000)]
        most: u32,
    },
    /// Withdraw an entry: it stays in the record, and counts for nothing from now on.
    ///
    /// A withdrawal is an entry itself, and withdrawing that brings back what it took out.
    Withdraw {
        #[command(flatten)]
        of: Of,
        /// The entry's id.
        entry: String,
        /// Why.
        #[arg(long)]
        why: Option<String>,
        /// It is an entry of the school's book, not of a course.
        #[arg(long, conflicts_with = "course")]
        school: bool,
    },
}

/// What is asked of remarks.
#[derive(Debug, Subcommand)]
pub(super) enum Note {
    /// List the remarks of a course, or about one thing in it.
    List {
        #[command(flatten)]
        of: Of,
        /// About this student.
        #[arg(long, short)]
        student: Option<String>,
        /// About this session.
        #[arg(long, conflicts_with = "student")]
        session: Option<String>,
    },
    /// Add a remark. It is for colleagues: a record counts it and never prints it.
    Add {
        #[command(flatten)]
        of: Of,
        /// What is to be said; `-` for the standard input.
        text: String,
        /// About this student.
        #[arg(long, short)]
        student: Option<String>,
        /// About this skill.
        #[arg(long)]
        skill: Option<String>,
        /// About this session.
        #[arg(long)]
        session: Option<String>,
    },
}

/// Does what was asked of entries.
pub(super) fn run(entry: &Entry, turn: &Turn) -> Result<(), Fault> {
    match entry {
        Entry::List {
            of,
            who,
            session,
            most,
        } => list(of, who.as_ref(), session.as_ref(), *most, turn),
        Entry::Withdraw {
            of,
            entry,
            why,
            school,
        } => {
            let (desk, ledger) = if *school {
                let desk = turn.write(&of.folder)?;
                let ledger = shop_ledger(&desk, &of.folder)?;
                (desk, ledger)
            } else {
                let opened = of.write(turn)?;
                let ledger = course_ledger(opened.id())?;
                (opened.desk, ledger)
            };
            let (entry, why) = (entry.clone(), why.clone());
            let receipt = desk.record(Request::Withdraw { ledger, entry, why })?;
            turn.recorded(&receipt, tr!("Withdrawn."));
            Ok(())
        }
    }
}

/// The school's own book.
pub(super) fn shop_ledger(
    desk: &tallywater_bindings::Tallywater,
    folder: &std::path::Path,
) -> Result<String, Fault> {
    let found = desk
        .ledgers()?
        .into_iter()
        .find(|it| it.starts_with("shop"));
    found.ok_or_else(|| find::missing("ledger", &folder.display().to_string()))
}

fn list(
    of: &Of,
    who: Option<&String>,
    session: Option<&String>,
    most: u32,
    turn: &Turn,
) -> Result<(), Fault> {
    let opened = of.read(turn)?;
    let who = who.map(|asked| find::diver(&opened.desk, &opened.course, asked));
    let session = find::session_id(&opened.desk, &opened.id(), session)?;
    let seen = opened
        .desk
        .activity(opened.id(), who.transpose()?, session, Vec::new(), most)?;
    let rows: Vec<Value> = seen.rows.iter().map(row).collect();
    let unverified = seen.unverified.iter();
    let unverified =
        unverified.map(|one| json!({ "entry": one.entry, "why": Doubt::from(&one.doubt).word() }));
    let value = json!({
        "course": seen.course, "of": seen.of, "entries": rows,
        "unverified": unverified.collect::<Vec<_>>(), "newer": seen.newer,
    });
    turn.answer(
        "entry.list",
        &value,
        || seen.rows.iter().map(|row| row.entry.to_string()).collect(),
        || {
            let mut lines: Vec<String> = seen.rows.iter().map(line).collect();
            for one in &seen.unverified {
                lines.push(format!("{}  {}", one.entry, Doubt::from(&one.doubt).said()));
            }
            lines
        },
    );
    Ok(())
}

fn said(said: &Said) -> Option<String> {
    Some(match said {
        Said::Nothing | Said::Withdrew(None) => return None,
        Said::Mark(mark) => Mark::from(mark).said().to_owned(),
        Said::Clearance(what, result) => {
            format!(
                "{}: {}",
                Form::from(what).said(),
                Cleared::from(result).said()
            )
        }
        Said::Passage(passage) => match passage {
            tallywater_bindings::Passage::In => tr!("Into the water"),
            tallywater_bindings::Passage::Out => tr!("Out of the water"),
            tallywater_bindings::Passage::Absent => tr!("Did not come"),
        },
        Said::Outcome(outcome) => Outcome::from(outcome).said().to_owned(),
        Said::Confirmed(count) => count.to_string(),
        Said::Withdrew(Some(kind)) => Kind::from(kind).said().to_owned(),
        Said::Assigned(role) => Role::from(role).said().to_owned(),
    })
}

fn row(row: &ActivityRow) -> Value {
    json!({
        "entry": row.entry, "kind": Kind::from(&row.kind).word(), "by": words::staff(&row.by),
        "role": Role::from(&row.role).word(), "device": row.device, "at": row.at.at.to_rfc3339(),
        "who": row.who.iter().map(words::who).collect::<Vec<_>>(), "skill": row.skill,
        "session": row.session, "withdrawn": row.withdrawn.is_some(),
    })
}

fn line(row: &ActivityRow) -> String {
    let who: Vec<&str> = row.who.iter().map(words::who_said).collect();
    let mut parts = vec![Kind::from(&row.kind).said().to_owned()];
    parts.extend(said(&row.said));
    parts.extend(row.skill_name.clone());
    if !who.is_empty() {
        parts.push(who.join(", "));
    }
    if let Some(gone) = &row.withdrawn {
        parts.push(tr!("withdrawn by {name}", name = gone.by.name));
    }
    let at = words::moment(&row.at);
    format!("{}  {at}  {}  {}", row.entry, row.by.name, parts.join("; "))
}

/// Does what was asked of remarks.
pub(super) fn note(note: &Note, turn: &Turn) -> Result<(), Fault> {
    match note {
        Note::List {
            of,
            student,
            session,
        } => {
            let opened = of.read(turn)?;
            let course = opened.id();
            let about = match (student, session) {
                (Some(asked), _) => NotesOn::Student {
                    student: find::student(&opened.desk, &course, asked)?
                        .student
                        .to_string(),
                },
                (None, Some(asked)) => NotesOn::Session {
                    session: find::session(&opened.desk, &course, asked)?
                        .session
                        .to_string(),
                },
                (None, None) => NotesOn::Course,
            };
            let rows = opened.desk.notes(course.clone(), about)?.rows;
            let value = rows.iter().map(|row| {
                json!({
                    "entry": row.entry, "text": row.text, "by": words::staff(&row.by),
                    "at": row.at.at.to_rfc3339(), "student": row.student.as_ref().map(words::student),
                    "skill": row.skill, "session": row.session,
                    "withdrawn": row.withdrawn.is_some(),
                })
            });
            let value = json!({ "course": course, "notes": value.collect::<Vec<_>>() });
            turn.answer(
                "note.list",
                &value,
                || rows.iter().map(|row| row.entry.to_string()).collect(),
                || {
                    let line = |row: &tallywater_bindings::NoteRow| {
                        let (at, by) = (words::moment(&row.at), &row.by.name);
                        format!("{}  {at}  {by}: {}", row.entry, row.text)
                    };
                    rows.iter().map(line).collect()
                },
            );
            Ok(())
        }
        Note::Add {
            of,
            text,
            student,
            skill,
            session,
        } => {
            let text = if text == "-" {
                turn.text(std::path::Path::new("-"))?.trim().to_owned()
            } else {
                text.clone()
            };
            let opened = of.write(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let student = find::student_id(desk, &course, student.as_ref())?;
            let skill = skill
                .as_ref()
                .map(|asked| find::skill(desk, &course, asked));
            let receipt = desk.record(Request::Note {
                student,
                skill: skill.transpose()?,
                session: find::session_id(desk, &course, session.as_ref())?,
                course,
                entry: None,
                text,
            })?;
            turn.recorded(&receipt, tr!("The remark is recorded."));
            Ok(())
        }
    }
}
