//! `tallywater incident`: what went wrong, or nearly: reported whole, or written down moment by
//! moment, with people, what is said of it, and reports that are due. Nothing sends it anywhere.

use clap::{Args, Subcommand};
use serde_json::json;
use tallywater_bindings::{
    Fault, IncidentRow, Receipt, Request, Tallywater, TimelineRow, TimelineWhat, Who, course_ledger,
};

use super::catalogue::tr;
use super::of::{Of, Opened};
use super::turn::Turn;
use super::words::{self, FactAbout, Happening, Part};
use super::{find, incident_shown, when};

/// What is asked of incidents.
#[derive(Debug, Subcommand)]
pub(super) enum Incident {
    /// List the incidents of a course.
    List {
        #[command(flatten)]
        of: Of,
    },
    /// Report that something went wrong.
    Report {
        #[command(flatten)]
        of: Of,
        /// Whom it concerns, as often as there are such: a student or a member of staff.
        #[arg(long)]
        who: Vec<String>,
        /// The session: an id, or its title or the beginning of it.
        #[arg(long)]
        session: Option<String>,
        /// When it happened.
        #[arg(long, allow_hyphen_values = true)]
        when: String,
        /// What happened.
        #[arg(long)]
        happened: String,
        /// What was done.
        #[arg(long)]
        done: String,
        /// To whom it was reported.
        #[arg(long)]
        reported: Option<String>,
    },
    /// Begin an incident before anybody has words for it; its moments follow.
    Begin {
        #[command(flatten)]
        of: Of,
        /// The session: an id, or its title or the beginning of it.
        #[arg(long)]
        session: Option<String>,
        /// Whom it concerns, as often as there are such: a student or a member of staff.
        #[arg(long)]
        who: Vec<String>,
        /// When it began; now if left out, or when the alarm was raised.
        #[arg(long, allow_hyphen_values = true)]
        when: Option<String>,
        /// The alarm that it grew out of, by its entry.
        #[arg(long)]
        from: Option<String>,
    },
    /// Write down a moment of an incident.
    Moment {
        #[command(flatten)]
        which: Which,
        /// What happened then.
        #[arg(value_enum)]
        what: Happening,
        /// When; now if left out.
        #[arg(long, allow_hyphen_values = true)]
        when: Option<String>,
        /// Whom it is about: a student or a member of staff.
        #[arg(long)]
        who: Option<String>,
        /// In words.
        #[arg(long)]
        text: Option<String>,
    },
    /// Put the time of a moment right; the moment as it stood is withdrawn and stays to be seen.
    Correct {
        #[command(flatten)]
        which: Which,
        /// The moment, by its entry.
        moment: String,
        /// The time that was meant.
        #[arg(long, allow_hyphen_values = true)]
        when: String,
    },
    /// Name somebody whom an incident concerns, or who saw it.
    Person {
        #[command(flatten)]
        which: Which,
        /// Which of the two.
        #[arg(value_enum)]
        part: Part,
        /// A student or a member of staff.
        #[arg(long, required_unless_present = "text")]
        who: Option<String>,
        /// Somebody else, in words; or more about them.
        #[arg(long)]
        text: Option<String>,
    },
    /// Say something of an incident in words.
    Fact {
        #[command(flatten)]
        which: Which,
        /// What the words are about.
        #[arg(value_enum)]
        about: FactAbout,
        /// The words.
        #[arg(long)]
        text: String,
    },
    /// Write down that a report is due.
    ReportDue {
        #[command(flatten)]
        which: Which,
        /// To whom.
        #[arg(long)]
        to: String,
        /// By which day, if one is set.
        #[arg(long, allow_hyphen_values = true)]
        by: Option<String>,
    },
    /// Write down that a report was made. It is made by a person: nothing is sent.
    ReportMade {
        #[command(flatten)]
        which: Which,
        /// The report: its entry, or to whom it is or the beginning of that.
        report: String,
        /// On which day; today if left out.
        #[arg(long, allow_hyphen_values = true)]
        on: Option<String>,
    },
    /// Show an incident: its moments in the order of the time that was meant, people, words, reports.
    Show {
        #[command(flatten)]
        which: Which,
    },
}

/// An incident of a course.
#[derive(Debug, Args)]
pub(super) struct Which {
    #[command(flatten)]
    pub(super) of: Of,
    /// The incident, by its entry or the end of it; the latest that stands if left out.
    #[arg(long)]
    incident: Option<String>,
}

impl Which {
    /// The incident's entry.
    pub(super) fn found(&self, opened: &Opened) -> Result<String, Fault> {
        let mut rows = opened.desk.incidents(opened.id())?.rows;
        let Some(asked) = &self.incident else {
            rows.retain(|row| row.withdrawn.is_none());
            let latest = rows.into_iter().next();
            return Ok(latest
                .ok_or_else(|| find::missing("incident", ""))?
                .entry
                .to_string());
        };
        Ok(
            find::one("incident", asked, rows, |row| (&row.entry, Vec::new()))?
                .entry
                .to_string(),
        )
    }
}

/// Does what was asked of incidents.
pub(super) fn run(incident: &Incident, turn: &Turn) -> Result<(), Fault> {
    match incident {
        Incident::List { of } => list(&of.read(turn)?, turn),
        Incident::Report {
            of,
            who,
            session,
            when,
            happened,
            done,
            reported,
        } => {
            let opened = of.write(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let receipt = desk.record(Request::ReportIncident {
                session: find::session_id(desk, &course, session.as_ref())?,
                who: divers(&opened, who)?,
                course,
                when: when::time(desk, when)?,
                happened: happened.clone(),
                done: done.clone(),
                reported: reported.clone(),
            })?;
            turn.recorded(&receipt, tr!("The incident is recorded."));
            Ok(())
        }
        Incident::Begin {
            of,
            session,
            who,
            when,
            from,
        } => {
            let opened = of.write(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let receipt = desk.record(Request::BeginIncident {
                session: find::session_id(desk, &course, session.as_ref())?,
                who: divers(&opened, who)?,
                course,
                when: time(desk, when.as_ref())?,
                from: from.clone(),
            })?;
            turn.recorded(&receipt, tr!("The incident is begun."));
            Ok(())
        }
        Incident::Moment {
            which,
            what,
            when,
            who,
            text,
        } => {
            let opened = which.of.write(turn)?;
            let receipt = opened.desk.record(Request::AddIncidentMoment {
                course: opened.id(),
                incident: which.found(&opened)?,
                what: (*what).into(),
                when: time(&opened.desk, when.as_ref())?,
                who: diver(&opened, who.as_ref())?,
                text: text.clone(),
            })?;
            written(&receipt, turn);
            Ok(())
        }
        Incident::Correct {
            which,
            moment,
            when,
        } => {
            let opened = which.of.write(turn)?;
            correct(&opened, which, (moment.as_str(), when.as_str()), turn)
        }
        Incident::Person {
            which,
            part,
            who,
            text,
        } => {
            let opened = which.of.write(turn)?;
            let receipt = opened.desk.record(Request::AddIncidentPerson {
                course: opened.id(),
                incident: which.found(&opened)?,
                part: (*part).into(),
                who: diver(&opened, who.as_ref())?,
                text: text.clone(),
            })?;
            written(&receipt, turn);
            Ok(())
        }
        Incident::Fact { which, about, text } => {
            let opened = which.of.write(turn)?;
            let receipt = opened.desk.record(Request::AddIncidentFact {
                course: opened.id(),
                incident: which.found(&opened)?,
                about: (*about).into(),
                text: text.clone(),
            })?;
            written(&receipt, turn);
            Ok(())
        }
        Incident::ReportDue { which, to, by } => {
            let opened = which.of.write(turn)?;
            let by = by.as_ref().map(|typed| when::day(&opened.desk, typed));
            let receipt = opened.desk.record(Request::AddIncidentReport {
                course: opened.id(),
                incident: which.found(&opened)?,
                to: to.clone(),
                by: by.transpose()?,
            })?;
            written(&receipt, turn);
            Ok(())
        }
        Incident::ReportMade { which, report, on } => {
            let opened = which.of.write(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let mut rows = desk
                .incident(course.clone(), which.found(&opened)?)?
                .reports;
            rows.retain(|row| row.made.is_none() && row.withdrawn.is_none());
            let row = find::one("report", report, rows, |row| (&row.entry, vec![&row.to]))?;
            let on = on.as_ref().map(|typed| when::day(desk, typed));
            let receipt = desk.record(Request::ReportMade {
                course,
                report: row.entry.to_string(),
                on: on.transpose()?,
            })?;
            written(&receipt, turn);
            Ok(())
        }
        Incident::Show { which } => {
            let opened = which.of.read(turn)?;
            let incident = which.found(&opened)?;
            incident_shown::answer(&opened.desk.incident(opened.id(), incident)?, turn)
        }
    }
}

fn written(receipt: &Receipt, turn: &Turn) {
    if receipt.entries.is_empty() {
        turn.done(tr!("That was written down just now; nothing was added."));
    } else {
        turn.recorded(receipt, tr!("Written down."));
    }
}

fn time(desk: &Tallywater, typed: Option<&String>) -> Result<Option<String>, Fault> {
    typed.map(|typed| when::time(desk, typed)).transpose()
}

fn divers(opened: &Opened, asked: &[String]) -> Result<Vec<Who>, Fault> {
    let found = asked
        .iter()
        .map(|asked| find::diver(&opened.desk, &opened.course, asked));
    found.collect()
}

fn diver(opened: &Opened, asked: Option<&String>) -> Result<Option<Who>, Fault> {
    let found = asked.map(|asked| find::diver(&opened.desk, &opened.course, asked));
    found.transpose()
}

/// The moment again with another time, and the one that stood there withdrawn: both or neither.
fn correct(
    opened: &Opened,
    which: &Which,
    (moment, when): (&str, &str),
    turn: &Turn,
) -> Result<(), Fault> {
    let (desk, course) = (&opened.desk, opened.id());
    let incident = which.found(opened)?;
    let rows = desk.incident(course.clone(), incident.clone())?.moments;
    let stands = |row: &TimelineRow| {
        row.withdrawn.is_none() && matches!(row.what, TimelineWhat::Happened(..))
    };
    let rows: Vec<TimelineRow> = rows.into_iter().filter(stands).collect();
    let row = find::one("moment", moment, rows, |row| (&row.entry, Vec::new()))?;
    let TimelineWhat::Happened(what) = row.what else {
        return Err(find::missing("moment", moment));
    };
    let receipt = desk.record_all(vec![
        Request::Withdraw {
            ledger: course_ledger(course.clone())?,
            entry: row.entry.to_string(),
            why: None,
        },
        Request::AddIncidentMoment {
            course,
            incident,
            what,
            when: Some(when::time(desk, when)?),
            who: row.who.first().map(Who::from),
            text: row.text,
        },
    ])?;
    written(&receipt, turn);
    Ok(())
}

fn list(opened: &Opened, turn: &Turn) -> Result<(), Fault> {
    let rows = opened.desk.incidents(opened.id())?.rows;
    let value = rows.iter().map(|row| {
        json!({
            "entry": row.entry, "when": row.when.at.to_rfc3339(), "session": row.session,
            "who": row.who.iter().map(words::who).collect::<Vec<_>>(),
            "happened": row.happened, "done": row.done, "reported": row.reported,
            "by": words::staff(&row.by), "withdrawn": row.withdrawn.is_some(),
        })
    });
    let value = json!({ "course": opened.id(), "incidents": value.collect::<Vec<_>>() });
    turn.answer(
        "incident.list",
        &value,
        || rows.iter().map(|row| row.entry.to_string()).collect(),
        || rows.iter().flat_map(lines).collect(),
    );
    Ok(())
}

fn lines(row: &IncidentRow) -> Vec<String> {
    let who: Vec<&str> = row.who.iter().map(words::who_said).collect();
    let when = words::moment(&row.when);
    let mut lines = vec![format!("{}  {when}  {}", row.entry, who.join(", "))];
    // One that was begun by a press has no words yet.
    let said = [&row.happened, &row.done].into_iter();
    let said = said.filter(|text| !text.is_empty());
    lines.extend(said.map(|text| format!("  {text}")));
    lines
}
