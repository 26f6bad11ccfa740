//! `tallywater debrief`: what is said to each student after a session.

use clap::Subcommand;
use serde_json::{Value, json};
use tallywater_bindings::{DebriefCard, DebriefText, Fault, Request};

use super::catalogue::{t, tr};
use super::site::{At, over};
use super::turn::Turn;
use super::{find, words};

/// What is asked of debriefs.
#[derive(Debug, Subcommand)]
pub(super) enum Debrief {
    /// Show what is said to each student after a session, kept or proposed from the marks.
    Show {
        #[command(flatten)]
        at: At,
    },
    /// Keep what is said to a student; what is not given is as proposed, or as it was kept.
    Keep {
        #[command(flatten)]
        at: At,
        /// The student: an id, or a name or its beginning.
        #[arg(long, short)]
        student: String,
        /// What was met.
        #[arg(long)]
        met: Option<String>,
        /// One fault.
        #[arg(long)]
        fault: Option<String>,
        /// What mends it.
        #[arg(long)]
        fix: Option<String>,
        /// What comes next.
        #[arg(long)]
        next: Option<String>,
        /// What to practise.
        #[arg(long)]
        practise: Option<String>,
    },
}

/// Does what was asked of debriefs.
pub(super) fn run(asked: &Debrief, turn: &Turn) -> Result<(), Fault> {
    match asked {
        Debrief::Show { at } => {
            let opened = at.of.read(turn)?;
            let id = find::session(&opened.desk, &opened.id(), &at.session)?
                .session
                .to_string();
            let seen = opened.desk.debriefs(opened.id(), id)?;
            let value = json!({
                "session": seen.session, "title": seen.title,
                "cards": seen.cards.iter().map(card_json).collect::<Vec<_>>(),
            });
            let ids = || {
                let ids = seen.cards.iter();
                ids.map(|card| card.name.student.to_string()).collect()
            };
            turn.answer("debrief.show", &value, ids, || {
                seen.cards.iter().flat_map(debrief_lines).collect()
            });
            Ok(())
        }
        Debrief::Keep {
            at,
            student,
            met,
            fault,
            fix,
            next,
            practise,
        } => {
            let opened = at.of.write(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let session = find::session(desk, &course, &at.session)?
                .session
                .to_string();
            let student = find::student(desk, &course, student)?.student.to_string();
            let seen = desk.debriefs(course.clone(), session.clone())?;
            let card = seen.cards.into_iter();
            let mut card = card.filter(|card| card.name.student == student);
            let mut said = card.next().map_or_else(
                || DebriefText {
                    met: String::new(),
                    fault: String::new(),
                    fix: String::new(),
                    next: String::new(),
                    practise: String::new(),
                },
                |card| card.said,
            );
            over(&mut said.met, met.as_ref());
            over(&mut said.fault, fault.as_ref());
            over(&mut said.fix, fix.as_ref());
            over(&mut said.next, next.as_ref());
            over(&mut said.practise, practise.as_ref());
            let receipt = desk.record(Request::Debrief {
                course,
                session,
                student,
                said,
            })?;
            turn.recorded(&receipt, tr!("The card is kept."));
            Ok(())
        }
    }
}

fn card_json(card: &DebriefCard) -> Value {
    let said = &card.said;
    json!({
        "student": words::student(&card.name), "met": said.met, "fault": said.fault,
        "fix": said.fix, "next": said.next, "practise": said.practise,
        "kept": card.kept.as_ref().map(|kept| json!({
            "by": words::staff(&kept.by), "at": kept.at.at.to_rfc3339(),
        })),
    })
}

fn debrief_lines(card: &DebriefCard) -> Vec<String> {
    let state = card.kept.as_ref().map_or_else(
        || t("proposed from the marks, not changed yet").to_owned(),
        |kept| {
            tr!(
                "kept by {who}, {when}",
                who = kept.by.name,
                when = words::moment(&kept.at)
            )
        },
    );
    let mut lines = vec![format!("{}  ({state})", card.name.name)];
    for (label, text) in [
        (t("Met today"), &card.said.met),
        (t("One fault"), &card.said.fault),
        (t("What mends it"), &card.said.fix),
        (t("What comes next"), &card.said.next),
        (t("To practise"), &card.said.practise),
    ] {
        if !text.is_empty() {
            lines.push(format!("  {label}: {text}"));
        }
    }
    lines
}
