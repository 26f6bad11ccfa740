//! `tallywater next`: the next session worked out: who runs what with whom, why, what is left
//! for another day; what to expect of the course is in `ahead.rs`.

use clap::Args;
use serde_json::{Value, json};
use tallywater_bindings::{
    AheadAsked, Because, Fault, Glance, Lacking, ProposalView, Request, RunForm, StationRow,
    StudentName, Why, read_prior, usual_prior,
};

use super::catalogue::tr;
use super::of::Of;
use super::turn::Turn;
use super::{ahead, find, shared, when, words};

/// What is asked.
#[derive(Debug, Args)]
pub(super) struct Next {
    #[command(flatten)]
    of: Of,
    /// A planned session: an id, or its title or the beginning of it; a new one if left out
    #[arg(long)]
    session: Option<String>,
    /// A usual session of the outline to begin a new one from, by id
    #[arg(long, conflicts_with = "session")]
    block: Option<String>,
    /// What is left of the session that is being held: worked out from what was met in it, for
    /// the minutes that are left and whoever is there
    #[arg(long, requires = "session")]
    now: bool,
    /// How many minutes there are, from the start of the session
    #[arg(long)]
    minutes: Option<u16>,
    /// A skill that is run in any case
    #[arg(long)]
    pin: Vec<String>,
    /// A skill that is left for another day
    #[arg(long)]
    another_day: Vec<String>,
    /// A student who does not come
    #[arg(long)]
    without: Vec<String>,
    /// Record it: run list, stations and buddies become the plan of the session
    #[arg(long)]
    plan: bool,
    /// Make-ups that another course of the school needs as well, each in one slot for both; with
    /// --plan the first of them is planned in both courses
    #[arg(long, conflicts_with_all = [
        "session", "block", "now", "minutes", "pin", "another_day", "without", "ahead",
    ])]
    shared: bool,
    /// The other course of the make-up: an id, or its title or the beginning of it
    #[arg(long, value_name = "COURSE", requires = "shared")]
    beside: Option<String>,
    /// Look ahead to the end of the course instead: a span, not a promise, not for students
    #[arg(long, conflicts_with_all = ["plan", "now"])]
    ahead: bool,
    /// The chance to have ended by this day: 2026-08-15, +30
    #[arg(long, value_name = "DAY", requires = "ahead")]
    by: Option<String>,
    /// Where every skill begins before any try: so many met of so many, as 7/10
    #[arg(long, value_name = "MET/TRIED", requires = "ahead")]
    prior: Option<String>,
    /// What one session more, one assistant more or one student fewer would change
    #[arg(long, requires = "ahead")]
    what_if: bool,
    /// The least days from one session to the next; free slots nearer to another are left out
    #[arg(long, value_name = "DAYS", requires = "ahead")]
    days_between: Option<u16>,
}

/// Works it out and says it; whether there was anything to say.
pub(super) fn run(asked: &Next, turn: &Turn) -> Result<bool, Fault> {
    let opened = if asked.plan {
        asked.of.write(turn)?
    } else {
        asked.of.read(turn)?
    };
    let (desk, course) = (&opened.desk, opened.id());
    if asked.shared {
        return shared::run(&opened, asked.beside.as_deref(), asked.plan, turn);
    }
    if asked.ahead {
        let by = asked.by.as_ref().map(|typed| when::day(desk, typed));
        let prior = asked.prior.clone().map(read_prior);
        let question = AheadAsked {
            by: by.transpose()?,
            prior: prior.transpose()?.unwrap_or_else(usual_prior),
            what_if: asked.what_if,
            days_between: asked.days_between.unwrap_or_default(),
        };
        let seen = desk.look_ahead(course, question, Glance::new())?;
        return Ok(seen.is_some_and(|view| ahead::answer(turn, &view)));
    }
    let session = match &asked.session {
        Some(named) => Some(find::session(desk, &course, named)?.session.to_string()),
        None => None,
    };
    let mut plan = match &session {
        Some(session) => desk.session_plan(course.clone(), session.clone())?,
        None => desk.draft_session(course.clone(), asked.block.clone())?,
    };
    plan.minutes = asked.minutes.unwrap_or(plan.minutes);
    for named in &asked.without {
        let student = find::student(desk, &course, named)?.student.to_string();
        plan.students.retain(|one| *one != student);
    }
    let skills = |names: &[String]| -> Result<Vec<String>, Fault> {
        names
            .iter()
            .map(|named| find::skill(desk, &course, named))
            .collect()
    };
    let (pinned, left_out) = (skills(&asked.pin)?, skills(&asked.another_day)?);
    let found = match session.clone().filter(|_| asked.now) {
        Some(held) => desk.propose_what_is_left(course.clone(), held, plan, pinned, left_out)?,
        None => desk.propose(course.clone(), plan, pinned, left_out)?,
    };
    if let Some(lacking) = &found.lacking {
        turn.warn(format!("tallywater: {}", lacks(lacking)));
        return Ok(false);
    }
    if asked.plan {
        let receipt = desk.record(Request::PlanSession {
            course,
            session,
            plan: found.plan,
        })?;
        turn.recorded(&receipt, tr!("The session is planned as worked out."));
        return Ok(true);
    }
    turn.answer(
        "next",
        &value(&found),
        || found.plan.run_list.clone(),
        || lines(&found),
    );
    Ok(true)
}

pub(super) fn lacks(lacking: &Lacking) -> String {
    match lacking {
        Lacking::Outline => tr!("The course has no outline, so there is nothing to plan from."),
        Lacking::Students => tr!("Nobody is on the plan: choose who comes."),
        Lacking::Staff => tr!("No instructor or assistant of this course is on the plan."),
        Lacking::Minutes => tr!("The session has no length."),
        Lacking::Ring(skill) => tr!(
            "{skill} needs itself: mend the outline first.",
            skill = skill
        ),
        Lacking::Nothing => tr!("Nothing that these students need can be run here."),
        Lacking::Over => {
            tr!("Nothing is left of this session: its time is over, or it was cancelled.")
        }
    }
}

fn value(found: &ProposalView) -> Value {
    let stations = found.stations.iter().map(|station| {
        let runs = station.runs.iter().map(|run| {
            json!({
                "skill": run.skill, "name": run.name, "from": run.from.at.to_rfc3339(), "minutes": run.minutes,
                "kept": run.kept,
                "students": run.students.iter().map(words::student).collect::<Vec<_>>(),
            })
        });
        let buddies = station.buddies.iter();
        json!({
            "staff": words::staff(&station.staff), "spare": station.spare,
            "runs": runs.collect::<Vec<_>>(),
            "buddies": buddies.map(|pair| pair.iter().map(words::student).collect::<Vec<_>>())
                .collect::<Vec<_>>(),
        })
    });
    let left = found.left_over.iter().map(|row| {
        json!({
            "skill": row.skill, "name": row.name,
            "because": word(&row.because).0, "short": word(&row.because).1,
            "first": word(&row.because).2,
            "students": row.students.iter().map(words::student).collect::<Vec<_>>(),
        })
    });
    json!({
        "stations": stations.collect::<Vec<_>>(), "left_over": left.collect::<Vec<_>>(),
        "minutes": found.minutes, "gap_per_mille": found.gap_per_mille,
    })
}

fn lines(found: &ProposalView) -> Vec<String> {
    let mut lines: Vec<String> = found.stations.iter().flat_map(station).collect();
    if !found.unplaced.is_empty() {
        lines.push(tr!(
            "Nothing to try: {names}",
            names = names(&found.unplaced)
        ));
    }
    lines.push(tr!("Why this list"));
    let why = found
        .why
        .iter()
        .map(|row| format!("  {}: {}", row.name, why(&row.why)));
    lines.extend(why);
    if !found.left_over.is_empty() {
        lines.push(tr!("Left for another day"));
    }
    for row in &found.left_over {
        let who = names(&row.students);
        lines.push(format!("  {}: {} ({who})", row.name, because(&row.because)));
    }
    lines.push(if found.gap_per_mille == 0 {
        tr!("No other list brings more.")
    } else {
        tr!(
            "No list brings more by over {count} in a thousand.",
            count = found.gap_per_mille
        )
    });
    lines
}

fn station(row: &StationRow) -> Vec<String> {
    let spare = tr!("{count} min to spare", count = row.spare);
    let mut lines = vec![format!("{} ({spare})", row.staff.name)];
    for run in &row.runs {
        let form = match run.form {
            RunForm::Together => tr!("together"),
            RunForm::Pairs => tr!("in pairs"),
            RunForm::OneByOne => tr!("one by one"),
        };
        let who = if run.students.is_empty() {
            tr!("all, not assessed")
        } else {
            names(&run.students)
        };
        lines.push(format!(
            "  {:02}:{:02}  {:>3} min  {}, {form}: {who}",
            run.from.hour, run.from.minute, run.minutes, run.name
        ));
        if run.kept > 0 {
            let kept = tr!("turns kept for second tries: {n}", n = run.kept);
            lines.push(format!("                  {kept}"));
        }
    }
    let pairs: Vec<String> = row.buddies.iter().map(|pair| joined(pair, " + ")).collect();
    if !pairs.is_empty() {
        lines.push(format!(
            "  {}",
            tr!("Buddies: {names}", names = pairs.join(", "))
        ));
    }
    lines
}

/// The same for programs: a word, minutes short, what comes first.
fn word(of: &Because) -> (&'static str, Option<u16>, Option<&str>) {
    match of {
        Because::Minutes(short) => ("minutes", Some(*short), None),
        Because::First(skill) => ("first", None, Some(skill)),
        Because::Instructor => ("instructor", None, None),
        Because::Ascents => ("ascents", None, None),
        Because::Asked => ("asked", None, None),
        Because::Worth => ("worth", None, None),
    }
}

fn because(of: &Because) -> String {
    match of {
        Because::Minutes(short) => tr!("minutes short: {count}", count = short),
        Because::First(skill) => tr!("first comes {skill}", skill = skill),
        Because::Instructor => tr!("only an instructor may run it"),
        Because::Ascents => tr!("no ascent is left for it"),
        Because::Asked => tr!("left out as you asked"),
        Because::Worth => tr!("it would fit; the rest brings more"),
    }
}

fn why(of: &Why) -> String {
    let mut parts = Vec::new();
    if of.routine {
        parts.push(tr!("nobody needs it; what follows does"));
    } else {
        parts.push(tr!("students who need it: {count}", count = of.needed_by));
    }
    if of.behind > 0 {
        parts.push(tr!(
            "later skills that wait for it: {count}",
            count = of.behind
        ));
    }
    if of.finishing > 0 {
        parts.push(tr!(
            "one of the last for so many students: {count}",
            count = of.finishing
        ));
    }
    if of.slipped > 0 {
        parts.push(tr!(
            "students who have not held it since: {count}",
            count = of.slipped
        ));
    }
    if of.pinned {
        parts.push(tr!("you asked for it"));
    }
    parts.join(", ")
}

fn names(students: &[StudentName]) -> String {
    joined(students, ", ")
}

fn joined(students: &[StudentName], between: &str) -> String {
    let names: Vec<&str> = students.iter().map(|one| one.short.as_str()).collect();
    names.join(between)
}
