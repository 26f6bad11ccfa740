//! `tallywater rules` and `tallywater outline`: what the school works by, and what it teaches.

use std::path::PathBuf;

use clap::Subcommand;
use serde_json::json;
use tallywater_bindings::{
    AscentsOf, Before, CapExample, CapOf, Fault, OutlineView, Policy, PolicyView, Request, Rule,
    RuleConfirmation, RuleRow, RuleText, Scope, outline_text, policy_text, read_outline,
    read_policy,
};

use super::catalogue::{t, tr};
use super::find;
use super::out::Out;
use super::turn::Turn;
use super::when;
use super::words::{Condition, Form, Gate, KitKind, Role, Setting, StaffPaper};

/// Of the school, or of one course.
#[derive(Debug, clap::Args)]
pub(super) struct Whose {
    /// The device's folder.
    folder: PathBuf,
    /// Of this course: an id, or its title or the beginning of it. The school's own, which new
    /// courses adopt, if left out.
    #[arg(long, short)]
    course: Option<String>,
}

impl Whose {
    fn scope(&self, desk: &tallywater_bindings::Tallywater) -> Result<Scope, Fault> {
        Ok(match &self.course {
            Some(asked) => Scope::Course {
                course: find::course(desk, Some(asked))?.course,
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

/// What is asked of outlines.
#[derive(Debug, Subcommand)]
pub(super) enum Outline {
    /// Show the skills and the usual sessions of an outline.
    Show {
        #[command(flatten)]
        whose: Whose,
        /// The usual sessions instead of the skills.
        #[arg(long)]
        blocks: bool,
    },
    /// Write an outline to a file, to be changed, kept or sent to another school.
    Write {
        #[command(flatten)]
        whose: Whose,
        #[command(flatten)]
        out: Out,
    },
    /// Adopt an outline from a file.
    Set {
        #[command(flatten)]
        whose: Whose,
        /// The file, as `write` writes it; `-` for the standard input.
        file: PathBuf,
        /// What was changed and why.
        #[arg(long)]
        why: Option<String>,
        /// Say what is wrong with it, ask every rule, and adopt nothing.
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
            out.file(turn, policy_text(policy)?.into_bytes())
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
                desk.would_record(vec![set])?;
                turn.done(tr!(
                    "It could be recorded. Nothing was: this was a preview."
                ));
                return Ok(());
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
        .replace("{1}", &it.read_on.date)
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

/// A rule in words.
fn said(row: &RuleRow) -> String {
    let depth = || {
        row.depth
            .as_ref()
            .map_or_else(String::new, super::figure_said)
    };
    let skills = || {
        let names: Vec<&str> = row.skills.iter().map(|one| one.name.as_str()).collect();
        names.join(", ")
    };
    match &row.rule {
        Rule::Ratio {
            setting,
            per_instructor,
            per_assistant,
            cap,
            cap_of,
        } => match cap_of {
            CapOf::Water => tr!(
                "{setting}: {each} students for each instructor, {more} more for each assistant, never more than {cap}",
                setting = Setting::from(setting).said(),
                each = per_instructor,
                more = per_assistant,
                cap = cap
            ),
            CapOf::Instructor => tr!(
                "{setting}: {each} students for each instructor, {more} more for each assistant, never more than {cap} for each instructor",
                setting = Setting::from(setting).said(),
                each = per_instructor,
                more = per_assistant,
                cap = cap
            ),
        },
        Rule::Depth {
            setting,
            dive: None,
            ..
        } => {
            let setting = Setting::from(setting).said();
            tr!(
                "{setting}: at most {depth} deep",
                setting = setting,
                depth = depth()
            )
        }
        Rule::Depth {
            setting,
            dive: Some(dive),
            ..
        } => tr!(
            "{setting}, dive {dive}: at most {depth} deep",
            setting = Setting::from(setting).said(),
            dive = dive,
            depth = depth()
        ),
        Rule::DivesPerDay { most } => tr!("at most {count} dives a day", count = most),
        Rule::DivesNeeded { least } => {
            tr!("{count} open-water dives to complete", count = least)
        }
        Rule::AssistantJudges { skills } if skills.is_empty() => {
            tr!("an assistant's mark always waits for an instructor")
        }
        Rule::AssistantJudges { .. } => {
            tr!("an assistant may assess: {skills}", skills = skills())
        }
        Rule::HealthCurrency { days } => {
            tr!("a health declaration counts for {days} days", days = days)
        }
        Rule::ConsentUnder { age } => {
            tr!("guardian's consent under the age of {age}", age = age)
        }
        Rule::Needs { clearance, before } => tr!(
            "{form} is needed {gate}",
            form = Form::from(clearance).said(),
            gate = Gate::from(before).said()
        ),
        Rule::AscentsPerDay {
            most,
            of: AscentsOf::Students,
        } => tr!(
            "a student makes at most {count} ascents a day",
            count = most
        ),
        Rule::SkillsFirst { before, .. } => match before {
            Before::Setting { setting } => tr!(
                "before {setting} these stand: {skills}",
                setting = Setting::from(setting).said(),
                skills = skills()
            ),
            Before::OpenDive { dive } => tr!(
                "before open-water dive {dive} these stand: {skills}",
                dive = dive,
                skills = skills()
            ),
            Before::Deeper { .. } => tr!(
                "before going deeper than {depth} these stand: {skills}",
                depth = depth(),
                skills = skills()
            ),
        },
        Rule::LeastAge { age } => tr!("nobody younger than {age}", age = age),
        Rule::DepthByAge { under, .. } => {
            tr!(
                "under {age} at most {depth} deep",
                age = under,
                depth = depth()
            )
        }
        Rule::RatioByAge {
            under,
            per_instructor,
        } => tr!(
            "with somebody under {age} at most {each} students for each instructor",
            age = under,
            each = per_instructor
        ),
        Rule::PairWithAdult { under } => {
            tr!("under {age} beside somebody of age", age = under)
        }
        Rule::DiveCounts { least_minutes, .. } => tr!(
            "a dive counts from {depth} and {minutes} minutes on",
            depth = depth(),
            minutes = least_minutes
        ),
        Rule::EmergencyPlan { months } => tr!(
            "an emergency plan counts for {count} months once confirmed",
            count = months
        ),
        Rule::KitReady { kinds } => {
            let all: Vec<&str> = kinds.iter().map(|one| KitKind::from(one).said()).collect();
            tr!(
                "issued kit of these kinds is sound and within its dates before water: {what}",
                what = all.join(", ")
            )
        }
        Rule::Forbids { conditions } => {
            let all: Vec<&str> = conditions
                .iter()
                .map(|one| Condition::from(one).said())
                .collect();
            tr!("a session is none of these: {what}", what = all.join(", "))
        }
        Rule::StaffNeeds { role, papers } => {
            let all: Vec<&str> = papers
                .iter()
                .map(|one| StaffPaper::from(one).said())
                .collect();
            tr!(
                "{role} has in date: {what}",
                role = Role::from(role).said(),
                what = all.join(", ")
            )
        }
        Rule::AscentsPerDay {
            most,
            of: AscentsOf::Staff,
        } => {
            tr!(
                "a member of staff makes at most {count} ascents a day",
                count = most
            )
        }
        Rule::Keep {
            class,
            years,
            minors_to_age,
        } => {
            let class = match class {
                tallywater_bindings::RecordClass::Details => tr!("How long details are kept"),
                tallywater_bindings::RecordClass::Training => {
                    tr!("How long training records are kept")
                }
                tallywater_bindings::RecordClass::Incident => {
                    tr!("How long incident records are kept")
                }
            };
            match minors_to_age {
                Some(age) => tr!(
                    "{class}: {years} years, of minors to the age of {age}",
                    class = class,
                    years = years,
                    age = age
                ),
                None => tr!("{class}: {years} years", class = class, years = years),
            }
        }
    }
}

/// Does what was asked of outlines.
pub(super) fn outline(outline: &Outline, turn: &Turn) -> Result<(), Fault> {
    match outline {
        Outline::Show { whose, blocks } => {
            let desk = turn.read(&whose.folder)?;
            let seen = desk.outline(whose.scope(&desk)?)?;
            show_outline(&seen, *blocks, turn);
            Ok(())
        }
        Outline::Write { whose, out } => {
            let desk = turn.read(&whose.folder)?;
            let seen = desk.outline(whose.scope(&desk)?)?.outline;
            out.file(turn, outline_text(seen)?.into_bytes())
        }
        Outline::Set {
            whose,
            file,
            why,
            preview,
        } => {
            let outline = read_outline(turn.text(file)?)?;
            let desk = turn.write(&whose.folder)?;
            let scope = whose.scope(&desk)?;
            for fault in desk.check_outline(outline.clone())?.faults {
                turn.warn(super::outline_fault::said(&fault));
            }
            let set = Request::SetOutline {
                scope,
                outline,
                why: why.clone(),
            };
            if *preview {
                desk.would_record(vec![set])?;
                turn.done(tr!(
                    "It could be recorded. Nothing was: this was a preview."
                ));
                return Ok(());
            }
            let receipt = desk.record(set)?;
            turn.recorded(&receipt, tr!("The outline is adopted."));
            Ok(())
        }
    }
}

fn show_outline(seen: &OutlineView, blocks: bool, turn: &Turn) {
    let skills = seen.skills.iter().map(|row| {
        let settings = row.card.settings.iter().map(|it| Setting::from(it).word());
        json!({
            "skill": row.card.skill, "name": row.card.name, "says": row.card.says,
            "required": row.card.required, "settings": settings.collect::<Vec<_>>(),
            "times": row.demand.times, "sessions": row.demand.sessions,
        })
    });
    let usual = seen.blocks.iter().map(|row| {
        json!({
            "block": row.block.id, "title": row.block.title,
            "setting": Setting::from(&row.block.setting).word(), "minutes": row.block.minutes,
            "skills": row.block.run_list,
        })
    });
    let value = json!({
        "title": seen.outline.title, "edition": seen.outline.edition,
        "skills": skills.collect::<Vec<_>>(), "blocks": usual.collect::<Vec<_>>(),
    });
    let ids = || -> Vec<String> {
        if blocks {
            seen.blocks.iter().map(|row| row.block.id.clone()).collect()
        } else {
            seen.skills
                .iter()
                .map(|row| row.card.skill.clone())
                .collect()
        }
    };
    turn.answer("outline.show", &value, ids, || {
        if blocks {
            let line = |row: &tallywater_bindings::OutlineBlock| {
                let setting = Setting::from(&row.block.setting).said();
                let (id, title) = (&row.block.id, &row.block.title);
                format!(
                    "{id:<12}  {setting:<16}  {:>3} min  {title}",
                    row.block.minutes
                )
            };
            seen.blocks.iter().map(line).collect()
        } else {
            let line = |row: &tallywater_bindings::OutlineSkill| {
                format!("{:<18}  {}", row.card.skill, row.card.name)
            };
            seen.skills.iter().map(line).collect()
        }
    });
}
