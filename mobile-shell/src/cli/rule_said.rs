//! A rule in words, as it is listed, confirmed and named where it stops something.

use tallywater_bindings::{AscentsOf, Before, CapOf, Rule, RuleRow};

use super::catalogue::tr;
use super::words::{Condition, Form, Gate, KitKind, Role, Setting, StaffPaper};

/// A rule in words.
pub(super) fn said(row: &RuleRow) -> String {
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
