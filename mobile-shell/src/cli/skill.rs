//! `tallywater skill`: tries and their marks; settling, confirming, exempting.

use std::sync::Arc;

use clap::{Args, Subcommand};
use serde_json::{Value, json};
use tallywater_bindings as border;
use tallywater_bindings::{
    AttemptSheetView, Fault, HistoryLine, MarkTap, Measured, OnScreen, Origin, Request, Tallywater,
};

use super::catalogue::tr;
use super::of::Of;
use super::turn::Turn;
use super::words::{self, Counts, Line, Mark, Stands};
use super::{find, when};

/// What is asked of skills.
#[derive(Debug, Subcommand)]
pub(super) enum Skill {
    /// Show one skill of one student: how it stands, and every line behind it.
    Show {
        #[command(flatten)]
        cell: Cell,
    },
    /// Mark tries: of one student or several, of one skill or several, all or none of them.
    Mark {
        #[command(flatten)]
        of: Of,
        /// What was seen.
        #[arg(value_enum)]
        mark: Mark,
        #[command(flatten)]
        who: Whom,
        /// A skill, as often as there are such: an id, or the beginning of its name.
        #[arg(long, required_unless_present = "run_list")]
        skill: Vec<String>,
        /// Every skill of the session's run list.
        #[arg(long, requires = "session", conflicts_with = "skill")]
        run_list: bool,
        /// The session: an id, or its title or the beginning of it.
        #[arg(long)]
        session: Option<String>,
        /// The technique that was shown, by its id.
        #[arg(long)]
        technique: Option<String>,
        /// One try for each technique that a skill asks for, where it asks for several.
        #[arg(long, conflicts_with = "technique")]
        every_technique: bool,
        /// What it is where you have marked it already in this session, or today.
        #[arg(long, value_enum)]
        again: Option<Again>,
        /// A figure that was taken: 1:05, 25, or kind=figure where the skill has several.
        #[arg(long)]
        measure: Vec<String>,
        /// A fault that was seen, by its id.
        #[arg(long)]
        fault: Vec<String>,
        /// A remark.
        #[arg(long)]
        note: Option<String>,
        /// Why it counts as met although a figure is below what is asked. It is printed.
        #[arg(long)]
        despite: Option<String>,
        /// When it was seen, where it is typed in from a slate; now if left out.
        #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
        seen: Option<String>,
        /// Ask every rule, and mark nothing.
        #[arg(long)]
        preview: bool,
    },
    /// Mark everybody who was in the water, in one go and from memory, except those who are
    /// named. Whoever is left out is said, and why.
    Sweep(super::sweep::Sweep),
    /// Settle marks that differ, or a fault seen since a skill was met: an instructor decides.
    Settle {
        #[command(flatten)]
        cell: Cell,
        /// What it is to be.
        #[arg(value_enum)]
        mark: Mark,
        /// Why.
        #[arg(long)]
        why: String,
    },
    /// List the marks of assistants that wait for an instructor.
    Waiting {
        #[command(flatten)]
        of: Of,
    },
    /// Confirm marks of assistants: an instructor stands behind them.
    Confirm {
        #[command(flatten)]
        of: Of,
        /// A mark's entry, as often as there are such.
        #[arg(long, required_unless_present = "all")]
        entry: Vec<String>,
        /// All that wait. They are listed, to be read.
        #[arg(long, conflicts_with = "entry")]
        all: bool,
    },
    /// Let a student into one session without the skills that a rule asks for first. An
    /// instructor's word, with a reason that is shown and printed.
    LetIn {
        #[command(flatten)]
        of: Of,
        /// The student: an id, or a name or its beginning.
        #[arg(long, short)]
        student: String,
        /// The session: an id, or its title or the beginning of it.
        #[arg(long)]
        session: String,
        /// Why.
        #[arg(long)]
        why: String,
    },
    /// Exempt a student from a skill, with a reason that the record prints.
    Exempt {
        #[command(flatten)]
        cell: Cell,
        /// Why.
        #[arg(long)]
        why: String,
    },
}

/// One student and one skill.
#[derive(Debug, Args)]
pub(super) struct Cell {
    #[command(flatten)]
    of: Of,
    /// The student: an id, or a name or its beginning.
    #[arg(long, short)]
    student: String,
    /// The skill: an id, or the beginning of its name.
    #[arg(long)]
    skill: String,
}

impl Cell {
    /// The cell as it stands now: what was on screen for whoever has none.
    fn on(&self, desk: &Tallywater, course: String) -> Result<Arc<OnScreen>, Fault> {
        let student = find::student(desk, &course, &self.student)?
            .student
            .to_string();
        let skill = find::skill(desk, &course, &self.skill)?;
        desk.on_screen(course, student, skill)
    }
}

/// A mark on what the same person marked already.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum Again {
    /// One more try was seen.
    Try,
    /// The mark was wrong: it is withdrawn, and this stands in its place.
    Correction,
}

impl From<Again> for border::Again {
    fn from(again: Again) -> Self {
        match again {
            Again::Try => Self::AnotherTry,
            Again::Correction => Self::Correction,
        }
    }
}

/// Students of a course.
#[derive(Debug, Args)]
pub(super) struct Whom {
    /// A student, as often as there are such: an id, or a name or its beginning.
    #[arg(long, short, required_unless_present = "everyone")]
    student: Vec<String>,
    /// Every student of the session, or of the course where no session is named.
    #[arg(long, conflicts_with = "student")]
    everyone: bool,
}

impl Whom {
    fn found(
        &self,
        desk: &Tallywater,
        course: &str,
        session: Option<&String>,
    ) -> Result<Vec<String>, Fault> {
        if !self.everyone {
            let found = self.student.iter();
            return found
                .map(|asked| Ok(find::student(desk, course, asked)?.student.to_string()))
                .collect();
        }
        if let Some(session) = session {
            let plan = desk.session_plan(course.to_owned(), session.clone())?;
            return Ok(plan.students);
        }
        let names = find::students(desk, course)?;
        Ok(names
            .into_iter()
            .map(|name| name.student.to_string())
            .collect())
    }
}

/// Does what was asked.
pub(super) fn run(skill: &Skill, turn: &Turn) -> Result<(), Fault> {
    match skill {
        Skill::Show { cell } => {
            let opened = cell.of.read(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let student = find::student(desk, &course, &cell.student)?
                .student
                .to_string();
            let skill = find::skill(desk, &course, &cell.skill)?;
            show(&desk.attempt_sheet(course, student, skill, None)?, turn);
            Ok(())
        }
        Skill::Mark { .. } => mark(skill, turn),
        Skill::Sweep(sweep) => super::sweep::run(sweep, turn),
        Skill::Settle { cell, mark, why } => {
            let opened = cell.of.write(turn)?;
            let course = opened.id();
            let receipt = opened.desk.record(Request::Resolve {
                on: cell.on(&opened.desk, course)?,
                mark: (*mark).into(),
                why: why.clone(),
            })?;
            turn.recorded(&receipt, tr!("It is settled."));
            Ok(())
        }
        Skill::Waiting { of } => waiting(of, turn),
        Skill::Confirm { of, entry, all } => {
            let opened = of.write(turn)?;
            let course = opened.id();
            let mut attempts = entry.clone();
            if *all {
                attempts = opened
                    .desk
                    .records(course.clone())?
                    .waiting
                    .iter()
                    .map(ToString::to_string)
                    .collect();
                if attempts.is_empty() {
                    turn.done(tr!("Nothing waits for an instructor."));
                    return Ok(());
                }
            }
            let count = attempts.len();
            let receipt = opened.desk.record(Request::Confirm { course, attempts })?;
            turn.recorded(&receipt, tr!("Confirmed: {count}", count = count));
            Ok(())
        }
        Skill::LetIn {
            of,
            student,
            session,
            why,
        } => {
            let opened = of.write(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let student = find::student(desk, &course, student)?.student.to_string();
            let session = find::session(desk, &course, session)?.session.to_string();
            let seen = desk.session(course.clone(), session.clone())?;
            let found = seen.students.into_iter();
            let mut found = found.filter(|one| one.name.student == student);
            let skills = found.next().map(|one| one.may_override);
            let skills = skills.filter(|skills| !skills.is_empty());
            let receipt = desk.record(Request::Override {
                course,
                student,
                session,
                skills: skills
                    .ok_or_else(|| Fault::rule("nothing_open"))?
                    .iter()
                    .map(ToString::to_string)
                    .collect(),
                why: why.clone(),
            })?;
            turn.recorded(&receipt, tr!("Set aside for this session, and printed."));
            Ok(())
        }
        Skill::Exempt { cell, why } => {
            let opened = cell.of.write(turn)?;
            let course = opened.id();
            let receipt = opened.desk.record(Request::Exempt {
                on: cell.on(&opened.desk, course)?,
                why: why.clone(),
            })?;
            turn.recorded(&receipt, tr!("Exempted."));
            Ok(())
        }
    }
}

fn mark(asked: &Skill, turn: &Turn) -> Result<(), Fault> {
    let Skill::Mark {
        of,
        mark,
        who,
        skill,
        run_list,
        session,
        technique,
        every_technique,
        again,
        measure,
        fault,
        note,
        despite,
        seen,
        preview,
    } = asked
    else {
        return Ok(());
    };
    let opened = of.write(turn)?;
    let (desk, course) = (&opened.desk, opened.id());
    let session = find::session_id(desk, &course, session.as_ref())?;
    let students = who.found(desk, &course, session.as_ref())?;
    let skills = match (&session, run_list) {
        (Some(session), true) => desk.session_plan(course.clone(), session.clone())?.run_list,
        _ => skill
            .iter()
            .map(|asked| find::skill(desk, &course, asked))
            .collect::<Result<_, _>>()?,
    };
    let origin = match seen {
        Some(typed) => Origin::Slate {
            seen: when::time(desk, typed)?,
        },
        None => Origin::Live,
    };
    let mut requests = Vec::new();
    for skill in &skills {
        for student in &students {
            let sheet = desk.attempt_sheet(
                course.clone(),
                student.clone(),
                skill.clone(),
                session.clone(),
            )?;
            let asked = sheet.demand.methods.iter().filter(|it| it.asked);
            let mut techniques: Vec<Option<String>> =
                asked.map(|it| Some(it.method.to_string())).collect();
            if !every_technique || techniques.is_empty() {
                techniques = vec![technique.clone()];
            }
            let measured = measured(desk, &sheet, measure)?;
            requests.extend(techniques.into_iter().map(|method| Request::Mark {
                tap: MarkTap {
                    on: Arc::clone(&sheet.cell.on),
                    mark: (*mark).into(),
                    method,
                    measured: measured.clone(),
                    slips: fault.clone(),
                    note: note.clone(),
                    despite: despite.clone(),
                    session: session.clone(),
                    origin: origin.clone(),
                    again: again.map_or(border::Again::Unsaid, border::Again::from),
                },
            }));
        }
    }
    let count = requests.len();
    if count == 0 {
        return Err(Fault::rule("nothing_open"));
    }
    if *preview {
        return turn.could(desk, requests);
    }
    let receipt = desk.record_all(requests)?;
    if receipt.entries.is_empty() {
        turn.done(tr!("You have marked it so already; nothing was added."));
        return Ok(());
    }
    let mark = mark.said();
    turn.recorded(&receipt, tr!("{mark}: {count}", mark = mark, count = count));
    Ok(())
}

/// The figures that were typed, each for the part of the requirement that it answers.
fn measured(
    desk: &Tallywater,
    sheet: &AttemptSheetView,
    typed: &[String],
) -> Result<Vec<Measured>, Fault> {
    let parts = &sheet.skill.measures;
    let mut taken = Vec::new();
    for text in typed {
        let bad = || {
            Fault::rule("not_measured")
                .what("skill")
                .id(&sheet.skill.skill)
        };
        let (part, figure) = match text.split_once('=') {
            Some((kind, figure)) => {
                let named =
                    |part: &&tallywater_bindings::MeasureCard| words::measure(&part.kind) == kind;
                (parts.iter().find(named).ok_or_else(bad)?, figure)
            }
            None => match parts.as_slice() {
                [only] => (only, text.as_str()),
                _ => return Err(bad()),
            },
        };
        let read = desk.read_measure(part.kind, figure.to_owned());
        taken.push(read.map_err(|fault| fault.of("measure").value(figure))?);
    }
    Ok(taken)
}

fn show(seen: &AttemptSheetView, turn: &Turn) {
    let lines: Vec<Value> = seen.history.iter().map(line).collect();
    let measures = seen.skill.measures.iter().map(
        |part| json!({ "kind": words::measure(&part.kind), "bound": super::figure(&part.bound) }),
    );
    let value = json!({
        "course": seen.course, "student": words::student(&seen.name), "skill": seen.skill.skill,
        "name": seen.skill.name, "says": seen.skill.says, "cell": words::cell(&seen.cell),
        "measures": measures.collect::<Vec<_>>(), "lines": lines,
    });
    let ids = || {
        seen.history
            .iter()
            .map(|one| one.entry.to_string())
            .collect()
    };
    turn.answer("skill.show", &value, ids, || {
        let state = Stands::from(&seen.cell.state).said();
        let mut lines = vec![
            format!("{}, {}: {state}", seen.name.name, seen.skill.name),
            format!("  {}", seen.skill.says),
        ];
        lines.extend(seen.history.iter().map(said));
        lines
    });
}

/// A line of a cell's history as JSON.
pub(super) fn line(one: &HistoryLine) -> Value {
    json!({
        "entry": one.entry, "what": Line::from(&one.what).word(),
        "mark": one.mark.as_ref().map(|mark| Mark::from(mark).word()),
        "by": words::staff(&one.by), "at": one.at.at.to_rfc3339(), "session": one.session,
        "counts": Counts::from(&one.counts).word(), "note": why(one), "despite": one.despite,
        "from": if one.from_slate.is_some() {
            "slate"
        } else if one.from_memory.is_some() {
            "memory"
        } else {
            "live"
        },
        "seen": one.from_slate.as_ref().or(one.from_memory.as_ref()).map(|seen| seen.at.to_rfc3339()),
        "confirmed_by": one.confirmed.as_ref().map(|it| words::staff(&it.by)),
        "withdrawn_by": one.withdrawn.as_ref().map(|it| words::staff(&it.by)),
    })
}

/// The remark or reason, or where it was met, for what another school judged.
fn why(one: &HistoryLine) -> Option<String> {
    let Some(there) = &one.elsewhere else {
        return one.note.clone();
    };
    let (school, file) = (&there.school, &there.file);
    Some(match (&there.by, &there.on) {
        (Some(who), Some(on)) => tr!(
            "met at {school} on {when}, judged by {who}; their course file {file}",
            school = school,
            when = on.date,
            who = who,
            file = file
        ),
        _ => tr!(
            "met at {school}; their course file {file}",
            school = school,
            file = file
        ),
    })
}

fn said(one: &HistoryLine) -> String {
    let what = match &one.mark {
        Some(mark) => Mark::from(mark).said(),
        None => Line::from(&one.what).said(),
    };
    let (at, counts) = (words::moment(&one.at), Counts::from(&one.counts).said());
    let line = format!(
        "  {}  {at}  {what:<10}  {}, {counts}",
        one.entry, one.by.name
    );
    let line = match why(one) {
        Some(why) if one.elsewhere.is_some() => format!("{line}, {why}"),
        Some(_) | None => line,
    };
    match &one.despite {
        Some(why) => {
            let despite = tr!("MET ALTHOUGH BELOW WHAT IS ASKED: {why}", why = why);
            format!("{line}, {despite}")
        }
        None => line,
    }
}

fn waiting(of: &Of, turn: &Turn) -> Result<(), Fault> {
    let opened = of.read(turn)?;
    let (mut values, mut ids, mut lines) = (Vec::new(), Vec::new(), Vec::new());
    for name in find::students(&opened.desk, &opened.id())? {
        let record = opened
            .desk
            .student_record(opened.id(), name.student.to_string())?;
        for item in &record.items {
            for one in &item.lines {
                if !record.waiting.iter().any(|wait| wait.entry == one.entry) {
                    continue;
                }
                let mut value = line(one);
                if let Some(value) = value.as_object_mut() {
                    value.insert("student".into(), words::student(&name));
                    value.insert("skill".into(), json!(item.skill));
                }
                values.push(value);
                ids.push(one.entry.to_string());
                lines.push(format!("{}, {}", name.name, item.name));
                lines.push(said(one));
            }
        }
    }
    if lines.is_empty() {
        lines.push(tr!("Nothing waits for an instructor."));
    }
    let value = json!({ "course": opened.id(), "waiting": values });
    turn.answer("skill.waiting", &value, || ids, || lines);
    Ok(())
}
