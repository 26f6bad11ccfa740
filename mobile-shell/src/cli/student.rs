//! `tallywater student`: who is in a course, and what is missing.

use clap::{Args, Subcommand};
use serde_json::{Value, json};
use tallywater_bindings::{
    AdultSeen, EmergencyContact, Fault, PersonDetails, RecordState, Request,
};

use super::catalogue::tr;
use super::of::Of;
use super::turn::Turn;
use super::words::{self, Gate, Outcome};
use super::{find, when};

/// What is asked of students.
#[derive(Debug, Subcommand)]
pub(super) enum Student {
    /// List the students of a course and how far each is.
    List {
        #[command(flatten)]
        of: Of,
    },
    /// Show a student: details, forms, skills, dives.
    Show {
        #[command(flatten)]
        of: Of,
        /// Who: an id, or a name or its beginning.
        who: String,
    },
    /// Show what is missing for a student: before water, before open water, before completion.
    Missing {
        #[command(flatten)]
        of: Of,
        /// Who: an id, or a name or its beginning; everybody if left out.
        who: Option<String>,
    },
    /// Enrol a student who is new to the school.
    Enrol {
        #[command(flatten)]
        of: Of,
        /// The name, as the person writes it.
        #[arg(long)]
        name: String,
        #[command(flatten)]
        details: Details,
        /// The school that the student comes from.
        #[arg(long, value_name = "SCHOOL")]
        referred_from: Option<String>,
        /// Ask every rule, and enrol nobody.
        #[arg(long)]
        preview: bool,
        /// Do nothing if somebody of this name is in the course already.
        #[arg(long)]
        skip_existing: bool,
    },
    /// Enrol a student whom the school knows from another course.
    Again {
        #[command(flatten)]
        of: Of,
        /// Who: an id, or a name or its beginning.
        who: String,
        /// The school that the student comes from.
        #[arg(long, value_name = "SCHOOL")]
        referred_from: Option<String>,
    },
    /// Change a student's details; what is not named stays as it is.
    Amend {
        #[command(flatten)]
        of: Of,
        /// Who: an id, or a name or its beginning.
        who: String,
        /// The name, as the person writes it.
        #[arg(long)]
        name: Option<String>,
        #[command(flatten)]
        details: Details,
    },
    /// Keep a student's height and weight, for where the next weight check begins
    Body {
        #[command(flatten)]
        of: Of,
        /// Who: an id, or a name or its beginning.
        who: String,
        /// The height, in the units of the school.
        #[arg(long)]
        height: String,
        /// The weight, without kit, in the units of the school.
        #[arg(long)]
        weight: String,
    },
    /// Show a student's sizes, or say them; what is not given stays
    Sizes(super::issue::OfStudent),
}

/// What is kept of a person: the least that serves.
#[derive(Debug, Args)]
pub(super) struct Details {
    /// A short name for the board.
    #[arg(long)]
    called: Option<String>,
    /// The birth date, as year-month-day.
    #[arg(long, value_name = "DAY", allow_hyphen_values = true)]
    born: Option<String>,
    /// Who saw a paper that says that the person is of age, where no birth date is given.
    #[arg(long, value_name = "NAME", conflicts_with = "born")]
    of_age_seen_by: Option<String>,
    /// Telephone or e-mail.
    #[arg(long)]
    contact: Option<String>,
    /// Whom to call in an emergency.
    #[arg(long, value_name = "NAME", requires = "emergency_reach")]
    emergency_name: Option<String>,
    /// How to reach them.
    #[arg(long, value_name = "NUMBER", requires = "emergency_name")]
    emergency_reach: Option<String>,
}

impl Details {
    /// Seen today.
    fn adult(&self, desk: &tallywater_bindings::Tallywater) -> Result<Option<AdultSeen>, Fault> {
        let seen = self.of_age_seen_by.clone();
        seen.map(|by| {
            let on = when::day(desk, "today")?;
            Ok(AdultSeen { by, on })
        })
        .transpose()
    }

    fn emergency(&self) -> Option<EmergencyContact> {
        let (name, reach) = (self.emergency_name.clone()?, self.emergency_reach.clone()?);
        Some(EmergencyContact { name, reach })
    }
}

/// Does what was asked.
pub(super) fn run(student: &Student, turn: &Turn) -> Result<(), Fault> {
    match student {
        Student::List { of } => list(of, turn),
        Student::Show { of, who } => show(of, who, turn),
        Student::Missing { of, who } => missing(of, who.as_deref(), turn),
        Student::Enrol {
            of,
            name,
            details,
            referred_from,
            preview,
            skip_existing,
        } => {
            let opened = of.write(turn)?;
            let course = opened.id();
            if *skip_existing {
                let there = find::students(&opened.desk, &course)?;
                if let Some(there) = there.iter().find(|one| one.name == *name) {
                    let value = json!({ "student": there.student });
                    let sentence = tr!("Somebody of this name is in the course already.");
                    turn.answer(
                        "student.there",
                        &value,
                        || vec![there.student.to_string()],
                        || vec![sentence],
                    );
                    return Ok(());
                }
            }
            let born = details.born.as_ref();
            let enrol = Request::Enrol {
                course,
                details: PersonDetails {
                    name: name.clone(),
                    called: details.called.clone(),
                    born: born
                        .map(|typed| when::day(&opened.desk, typed))
                        .transpose()?,
                    adult: details.adult(&opened.desk)?,
                    contact: details.contact.clone(),
                    emergency: details.emergency(),
                    body: None,
                    sizes: None,
                },
                referred_from: referred_from.clone(),
            };
            if *preview {
                return turn.could(&opened.desk, vec![enrol]);
            }
            let receipt = opened.desk.record(enrol)?;
            let id = receipt.made.clone().unwrap_or_default();
            turn.recorded(&receipt, tr!("Enrolled: {id}", id = id));
            Ok(())
        }
        Student::Again {
            of,
            who,
            referred_from,
        } => {
            let opened = of.write(turn)?;
            let receipt = opened.desk.record(Request::EnrolAgain {
                course: opened.id(),
                student: find::person(&opened.desk, who)?,
                referred_from: referred_from.clone(),
            })?;
            turn.recorded(&receipt, tr!("Enrolled again."));
            Ok(())
        }
        Student::Amend {
            of,
            who,
            name,
            details,
        } => amend(of, who, name.as_ref(), details, turn),
        Student::Body {
            of,
            who,
            height,
            weight,
        } => {
            let opened = of.write(turn)?;
            let course = opened.id();
            let student = find::student(&opened.desk, &course, who)?
                .student
                .to_string();
            let (height, weight) = (height.clone(), weight.clone());
            let receipt = opened.desk.keep_body(course, student, height, weight)?;
            turn.recorded(&receipt, tr!("The details are changed."));
            Ok(())
        }
        Student::Sizes(asked) => super::issue::sizes(asked, turn),
    }
}

fn amend(
    of: &Of,
    who: &str,
    name: Option<&String>,
    given: &Details,
    turn: &Turn,
) -> Result<(), Fault> {
    let opened = of.write(turn)?;
    let course = opened.id();
    let student = find::student(&opened.desk, &course, who)?
        .student
        .to_string();
    let known = opened
        .desk
        .student(course.clone(), student.clone())?
        .details;
    let known = known.ok_or_else(|| find::missing("details", &student))?;
    let born = match &given.born {
        Some(typed) => Some(when::day(&opened.desk, typed)?),
        None => known.born.map(|day| day.date.to_string()),
    };
    let known_adult = known.adult.map(|seen| AdultSeen {
        by: seen.by,
        on: seen.on.date.to_string(),
    });
    let adult = given.adult(&opened.desk)?.or(known_adult);
    let emergency = known.emergency.map(|one| EmergencyContact {
        name: one.name,
        reach: one.reach,
    });
    let receipt = opened.desk.record(Request::Amend {
        course,
        student,
        details: PersonDetails {
            name: name.cloned().unwrap_or(known.name),
            called: given.called.clone().or(known.called),
            born,
            adult,
            contact: given.contact.clone().or(known.contact),
            emergency: given.emergency().or(emergency),
            // An amendment leaves height and weight as they are.
            body: None,
            sizes: None,
        },
    })?;
    turn.recorded(&receipt, tr!("The details are changed."));
    Ok(())
}

/// How a record stands, as JSON and for a person.
pub(super) fn stands(state: &RecordState) -> (Value, String) {
    match state {
        RecordState::Open(gaps) => (
            json!({ "state": "open", "missing": gaps }),
            tr!("still missing: {count}", count = gaps),
        ),
        RecordState::Ready => (json!({ "state": "ready" }), tr!("Ready to complete")),
        RecordState::Ended(outcome) => {
            let outcome = Outcome::from(outcome);
            let said = outcome.said().to_owned();
            (json!({ "state": "ended", "outcome": outcome.word() }), said)
        }
    }
}

fn list(of: &Of, turn: &Turn) -> Result<(), Fault> {
    let opened = of.read(turn)?;
    let rows = opened.desk.records(opened.id())?.rows;
    let value = rows.iter().map(|row| {
        json!({
            "student": words::student(&row.name), "record": stands(&row.state).0,
            "to_confirm": row.waiting, "changed_since": row.changed_since,
        })
    });
    let value = json!({ "course": opened.id(), "students": value.collect::<Vec<_>>() });
    turn.answer(
        "student.list",
        &value,
        || {
            rows.iter()
                .map(|row| row.name.student.to_string())
                .collect()
        },
        || {
            let line = |row: &tallywater_bindings::RecordRow| {
                let said = stands(&row.state).1;
                format!("{}  {:<32}  {said}", row.name.student, row.name.name)
            };
            rows.iter().map(line).collect()
        },
    );
    Ok(())
}

fn show(of: &Of, who: &str, turn: &Turn) -> Result<(), Fault> {
    let opened = of.read(turn)?;
    let id = find::student(&opened.desk, &opened.id(), who)?
        .student
        .to_string();
    let seen = opened.desk.student(opened.id(), id)?;
    let details = seen.details.as_ref().map(|one| {
        let emergency = one.emergency.as_ref();
        json!({
            "name": one.name, "called": one.called, "contact": one.contact,
            "born": one.born.as_ref().map(|day| &day.date), "age": one.age, "minor": one.minor,
            "emergency": emergency.map(|it| json!({ "name": it.name, "reach": it.reach })),
        })
    });
    let forms: Vec<Value> = seen.clearances.iter().map(super::form::row).collect();
    let cells = seen.families.iter().flat_map(|family| &family.cells);
    let skills: Vec<Value> = cells.clone().map(|one| words::cell(&one.cell)).collect();
    let value = json!({
        "course": seen.course, "student": words::student(&seen.name), "details": details,
        "referred_from": seen.referred_from, "forms": forms, "skills": skills,
        "done": seen.done, "of": seen.of, "open_dives": seen.open_dives,
        "dives_needed": seen.dives_needed,
        "ended": seen.completion.as_ref().map(|it| Outcome::from(&it.outcome).word()),
    });
    turn.answer(
        "student.show",
        &value,
        || vec![seen.name.student.to_string()],
        || {
            let mut lines = vec![format!("{}  {}", seen.name.student, seen.name.name)];
            if let Some(one) = &seen.details {
                if let Some(day) = &one.born {
                    lines.push(tr!("  born {day}", day = day.date));
                }
                lines.extend(one.contact.iter().map(|text| format!("  {text}")));
                let call = one.emergency.iter();
                lines.extend(call.map(|it| {
                    tr!(
                        "  in an emergency: {name}, {reach}",
                        name = it.name,
                        reach = it.reach
                    )
                }));
            }
            for form in &seen.clearances {
                lines.push(format!("  {}", super::form::line(form)));
            }
            lines.push(tr!(
                "  skills: {done} of {of}",
                done = seen.done,
                of = seen.of
            ));
            for one in cells {
                let state = words::Stands::from(&one.cell.state).said();
                lines.push(format!(
                    "    {:<20}  {state:<24}  {}",
                    one.cell.skill, one.name
                ));
            }
            let dives = seen.open_dives;
            lines.push(tr!("  open-water dives: {count}", count = dives));
            if let Some(end) = &seen.completion {
                let outcome = Outcome::from(&end.outcome).said();
                lines.push(format!(
                    "  {outcome}, {}, {}",
                    words::moment(&end.at),
                    end.by.name
                ));
            }
            lines
        },
    );
    Ok(())
}

fn missing(of: &Of, who: Option<&str>, turn: &Turn) -> Result<(), Fault> {
    let opened = of.read(turn)?;
    let names = match who {
        Some(who) => vec![find::student(&opened.desk, &opened.id(), who)?],
        None => find::students(&opened.desk, &opened.id())?,
    };
    let rules = super::rules::in_words(&opened.desk, &opened.id())?;
    let (mut values, mut ids, mut lines) = (Vec::new(), Vec::new(), Vec::new());
    for name in names {
        let gaps = opened.desk.gaps(opened.id(), name.student.to_string())?;
        let list = |rows: &[tallywater_bindings::GapRow]| -> Vec<Value> {
            rows.iter().map(words::gap).collect()
        };
        values.push(json!({
            "student": words::student(&name), "before_water": list(&gaps.before_water),
            "before_open_water": list(&gaps.before_open),
            "before_completion": list(&gaps.before_completion), "age_unknown": gaps.age_unknown,
        }));
        lines.push(name.name.clone());
        let mut any = false;
        for (gate, rows) in [
            (Gate::Water, &gaps.before_water),
            (Gate::OpenWater, &gaps.before_open),
            (Gate::Completion, &gaps.before_completion),
        ] {
            for row in rows {
                any = true;
                lines.push(format!(
                    "  {}: {}",
                    gate.said(),
                    words::gap_said(row, &rules)
                ));
            }
        }
        if any {
            ids.push(name.student);
        } else {
            lines.push(format!("  {}", tr!("Nothing is missing.")));
        }
    }
    let value =
        json!({ "course": opened.id(), "on": opened.desk.day(None, 0)?.date, "students": values });
    turn.answer(
        "student.missing",
        &value,
        || ids.iter().map(ToString::to_string).collect(),
        || lines,
    );
    Ok(())
}
