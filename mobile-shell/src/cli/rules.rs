//! `tallywater rules`: what the school works by.

use std::path::PathBuf;

use clap::Subcommand;
use serde_json::json;
use tallywater_bindings::{
    CapExample, Fault, Policy, PolicyView, Request, RuleConfirmation, RuleRow, RuleText, Scope,
    policy_text, read_policy,
};

use super::catalogue::{t, tr};
use super::find;
use super::out::Out;
use super::rule_said::said;
use super::turn::Turn;
use super::when;

/// Of the school, or of one course.
#[derive(Debug, clap::Args)]
pub(super) struct Whose {
    /// The device's folder.
    pub(super) folder: PathBuf,
    /// Of this course: an id, or its title or the beginning of it. The school's own, which new
    /// courses adopt, if left out.
    #[arg(long, short)]
    course: Option<String>,
}

impl Whose {
    pub(super) fn scope(&self, desk: &tallywater_bindings::Tallywater) -> Result<Scope, Fault> {
        Ok(match &self.course {
            Some(asked) => Scope::Course {
                course: find::course(desk, Some(asked))?.course.to_string(),
            },
            None => Scope::Shop,
        })
    }
}

/// What is asked of rules.
#[derive(Debug, Subcommand)]
pub(super) enum Rules {
    /// Show each rule, where it comes from, and who confirmed it.
    Show {
        #[command(flatten)]
        whose: Whose,
        /// Only those that nobody has confirmed.
        #[arg(long)]
        unconfirmed: bool,
    },
    /// Confirm rules: you have read them and checked them against their source.
    ///
    /// The shipped figures are house defaults from common practice. Local law and your training
    /// organisation's current standards come first.
    Confirm {
        #[command(flatten)]
        whose: Whose,
        /// A rule's id, as often as there are such.
        #[arg(long, required_unless_present = "all")]
        rule: Vec<String>,
        /// All that nobody has confirmed. They are listed, to be read.
        #[arg(long, conflicts_with = "rule")]
        all: bool,
        /// The text that you read: its title, or "house decision".
        #[arg(long)]
        text: String,
        /// Its edition or year, if it has one.
        #[arg(long)]
        edition: Option<String>,
        /// Its clause, section or page, if it has one.
        #[arg(long)]
        clause: Option<String>,
        /// The day you read it; today if left out.
        #[arg(long, value_name = "DAY", allow_hyphen_values = true)]
        read: Option<String>,
    },
    /// Write the rules to a file, to be changed and taken back with `set`.
    Write {
        #[command(flatten)]
        whose: Whose,
        #[command(flatten)]
        out: Out,
    },
    /// Adopt rules from a file; what is confirmed must be confirmed anew where it changed.
    Set {
        #[command(flatten)]
        whose: Whose,
        /// The file, as `write` writes it; `-` for the standard input.
        file: PathBuf,
        /// Say what is wrong with them, ask every rule, and adopt nothing.
        #[arg(long)]
        preview: bool,
    },
}

/// Does what was asked of rules.
pub(super) fn run(rules: &Rules, turn: &Turn) -> Result<(), Fault> {
    match rules {
        Rules::Show { whose, unconfirmed } => {
            let desk = turn.read(&whose.folder)?;
            let seen = desk.policy(whose.scope(&desk)?)?;
            show(&seen, *unconfirmed, turn);
            Ok(())
        }
        Rules::Confirm {
            whose,
            rule,
            all,
            text,
            edition,
            clause,
            read,
        } => {
            let desk = turn.write(&whose.folder)?;
            let scope = whose.scope(&desk)?;
            let mut rules = rule.clone();
            let seen = desk.policy(scope.clone())?;
            if *all {
                let open = seen.rules.iter().filter(|row| row.confirmed.is_none());
                rules = open.map(|row| row.id.clone()).collect();
                if rules.is_empty() {
                    turn.done(tr!("Every rule is confirmed already."));
                    return Ok(());
                }
            }
            // What is confirmed is read first; a cap says what it comes to.
            for row in seen.rules.iter().filter(|row| rules.contains(&row.id)) {
                turn.warn(format!("{}  {}", row.id, said(row)));
                for line in row.example.iter().map(example) {
                    turn.warn(format!("    {line}"));
                }
            }
            let count = rules.len();
            let read = RuleText {
                title: text.clone(),
                edition: edition.clone(),
                clause: clause.clone(),
                on: when::day(&desk, read.as_deref().unwrap_or("today"))?,
            };
            let of_school = matches!(scope, Scope::Shop);
            let receipt = desk.record(Request::ConfirmRules { scope, rules, read })?;
            let mut sentence = tr!("Rules confirmed: {count}", count = count);
            // A course took the school's rules over when it was opened, and keeps its own.
            let running = if of_school {
                desk.today()?.courses.len()
            } else {
                0
            };
            if running > 0 {
                sentence += ". ";
                sentence += &tr!(
                    "Courses that are open keep their own rules ({count}): confirm those with --course.",
                    count = running
                );
            }
            turn.recorded(&receipt, sentence);
            Ok(())
        }
        Rules::Write { whose, out } => {
            let desk = turn.read(&whose.folder)?;
            let policy = desk.policy(whose.scope(&desk)?)?.policy;
            out.file(turn, "json", policy_text(policy)?.into_bytes())
        }
        Rules::Set {
            whose,
            file,
            preview,
        } => {
            let policy: Policy = read_policy(turn.text(file)?)?;
            let desk = turn.write(&whose.folder)?;
            let scope = whose.scope(&desk)?;
            for fault in desk.check_policy(scope.clone(), policy.clone())?.faults {
                turn.warn(super::rule_fault::said(&desk, &fault)?);
            }
            let set = Request::SetPolicy { scope, policy };
            if *preview {
                return turn.could(&desk, vec![set]);
            }
            let receipt = desk.record(set)?;
            turn.recorded(&receipt, tr!("The rules are adopted. Confirm them next."));
            Ok(())
        }
    }
}

fn show(seen: &PolicyView, unconfirmed: bool, turn: &Turn) {
    let rows: Vec<&RuleRow> = seen
        .rules
        .iter()
        .filter(|row| !unconfirmed || row.confirmed.is_none())
        .collect();
    let value = rows.iter().map(|row| {
        let by = row.confirmed.as_ref();
        json!({
            "rule": row.id, "says": said(row), "source": row.source,
            "confirmed": by.map(|it| json!({
                "by": super::words::staff(&it.by), "on": it.on.date, "text": it.title,
                "edition": it.edition, "clause": it.clause, "read": it.read_on.date,
            })),
            "example": row.example.as_ref().map(|it| json!({
                "instructors": it.instructors, "assistants": it.assistants,
                "students": it.students, "otherwise": it.otherwise,
                "of_session": it.of_session,
            })),
        })
    });
    let value = json!({
        "title": seen.policy.title, "edition": seen.policy.edition,
        "unconfirmed": seen.unconfirmed, "rules": value.collect::<Vec<_>>(),
    });
    turn.answer(
        "rules.show",
        &value,
        || rows.iter().map(|row| row.id.clone()).collect(),
        || {
            let mut lines = Vec::new();
            for row in &rows {
                let confirmed = match &row.confirmed {
                    Some(it) => tr!(
                        "confirmed by {name} on {day}",
                        name = it.by.name,
                        day = it.on.date
                    ),
                    None => tr!("Not confirmed by anyone"),
                };
                lines.push(format!("{}  {}", row.id, said(row)));
                lines.push(format!("    {}; {confirmed}", row.source));
                let read = row.confirmed.iter().map(text_read);
                let told = read.chain(row.example.iter().map(example));
                lines.extend(told.map(|line| format!("    {line}")));
            }
            lines.push(tr!("not confirmed: {count}", count = seen.unconfirmed));
            lines
        },
    );
}

/// The text by which a rule was confirmed: title, edition, clause, and the day it was read.
fn text_read(it: &RuleConfirmation) -> String {
    let named = [Some(&it.title), it.edition.as_ref(), it.clause.as_ref()];
    let named: Vec<&str> = named.into_iter().flatten().map(String::as_str).collect();
    t("Text read: {0}, {1}")
        .replace("{1}", &it.read_on.date.to_string())
        .replace("{0}", &named.join(", "))
}

/// What a ratio's cap comes to, and what it would come to if it were read the other way.
fn example(it: &CapExample) -> String {
    let sentence = if it.of_session {
        t(
            "With the staff of the next session there, instructors {0}, assistants {1}: at most {2} students.",
        )
    } else {
        t("For example with instructors {0}, assistants {1}: at most {2} students.")
    };
    let comes_to = sentence
        .replace("{0}", &it.instructors.to_string())
        .replace("{1}", &it.assistants.to_string())
        .replace("{2}", &it.students.to_string());
    let other = t("Read the other way: {0}.").replace("{0}", &it.otherwise.to_string());
    format!("{comes_to} {other}")
}

/// The rules of a course in words, by id; none where it has none yet.
pub(super) fn in_words(
    desk: &tallywater_bindings::Tallywater,
    course: &str,
) -> Result<super::words::Rules, Fault> {
    let course = course.to_owned();
    match desk.policy(Scope::Course { course }) {
        Ok(seen) => Ok(seen
            .rules
            .iter()
            .map(|row| (row.id.clone(), said(row)))
            .collect()),
        Err(Fault::NotFound { .. }) => Ok(super::words::Rules::new()),
        Err(fault) => Err(fault),
    }
}
