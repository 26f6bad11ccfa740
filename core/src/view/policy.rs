//! Policy: the rules that a course or a shop works under, each with its source and with
//! who confirmed it: to be read, confirmed and edited.

use super::figure::Of;
use super::outline::SkillNamed;
use super::reader::{count, skill_name};
use super::{Day, Figure, Leave, Reader, StaffName};
use crate::course::{
    CapOf, CourseId, EntryId, Policy, PolicyFault, Role, Rule, RuleId, Setting, SkillId,
};
use crate::entry::Kind;
use crate::standing::{CourseStanding, PolicyNow};

/// A policy, in force or as a draft.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PolicyView {
    /// The course that adopted it; `None` for the shop's own and for a draft.
    pub course: Option<CourseId>,
    /// The policy itself, to be edited.
    pub policy: Policy,
    /// Its rules, ready to be shown.
    pub rules: Vec<RuleRow>,
    /// How many nobody has confirmed.
    pub unconfirmed: u32,
    /// Everything that is wrong with it.
    pub faults: Vec<PolicyFault>,
    /// The entry that set it, which a confirmation names; `None` for a draft.
    pub entry: Option<EntryId>,
    /// The shop works under other rules now.
    pub shop_differs: bool,
    /// What was on screen: goes into the `after` of the next policy.
    pub after: Vec<EntryId>,
    /// Whether the reader may set or confirm.
    pub may_set: Leave,
}

/// One rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleRow {
    /// Which.
    pub id: RuleId,
    /// What it demands, typed.
    pub rule: Rule,
    /// Its depth, where it has one, as shown.
    pub depth: Option<Figure>,
    /// The skills it names, by name.
    pub skills: Vec<SkillNamed>,
    /// Where it comes from.
    pub source: String,
    /// Who confirmed it, and on which day; `None` while nobody has, and then it holds for
    /// nothing.
    pub confirmed: Option<RuleConfirmation>,
    /// For a ratio: what its cap comes to with the staff at hand, read either way.
    pub example: Option<CapExample>,
}

/// Who confirmed a rule, and by which text.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct RuleConfirmation {
    /// Who.
    pub by: StaffName,
    /// On which day.
    pub on: Day,
    /// The text that was read.
    pub title: String,
    /// Its edition.
    pub edition: Option<String>,
    /// The clause.
    pub clause: Option<String>,
    /// The day it was read.
    pub read_on: Day,
}

/// What a ratio's cap comes to, worked out before somebody confirms it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct CapExample {
    /// With so many instructors.
    pub instructors: u32,
    /// And so many assistants.
    pub assistants: u32,
    /// So many students, as the rule reads.
    pub students: u32,
    /// So many, if its cap were read the other way.
    pub otherwise: u32,
    /// The staff are those of the next session there; else they are made up.
    pub of_session: bool,
}

impl PolicyView {
    /// The policy a course works under; `None` before one is adopted.
    pub fn of_course(course: &CourseStanding, reader: &Reader<'_>) -> Option<Self> {
        let now = course.policy()?;
        let name = |id: &SkillId| skill_name(course, id);
        let mut view = Self::of_now(now, reader, name, &|setting| {
            at_hand(course, reader, setting)
        });
        view.course = Some(*course.id());
        let shop = reader.shop.policy();
        view.shop_differs = shop.is_some_and(|shop| shop.policy != now.policy);
        view.after = course.all_of_kind(Kind::PolicySet);
        Some(view)
    }

    /// The shop's policy, which a new course adopts; `None` before one is set.
    pub fn of_shop(reader: &Reader<'_>) -> Option<Self> {
        let now = reader.shop.policy()?;
        let outline = reader.shop.outline();
        let name = |id: &SkillId| {
            outline
                .and_then(|(_, outline)| outline.skill(id))
                .map_or_else(|| id.to_string(), |skill| skill.name.clone())
        };
        let mut view = Self::of_now(&now, reader, name, &|_| None);
        view.after = reader.shop.all_of_kind(Kind::PolicySet);
        Some(view)
    }

    /// A policy that is not recorded, with what is wrong with it. Nobody has confirmed it.
    pub fn of_draft(policy: &Policy, course: Option<&CourseStanding>, reader: &Reader<'_>) -> Self {
        let staff = |setting| at_hand(course?, reader, setting);
        let mut view = Self::rows(policy, reader, |_| None, ToString::to_string, &staff);
        view.may_set = Leave::NothingOpen;
        view
    }

    fn of_now(
        now: &PolicyNow,
        reader: &Reader<'_>,
        name: impl Fn(&SkillId) -> String,
        staff: &dyn Fn(Setting) -> Option<(u32, u32)>,
    ) -> Self {
        let confirmed = |id: &RuleId| {
            let held = now.confirmation(id)?;
            Some(RuleConfirmation {
                by: reader.staff(&held.by),
                on: reader.day(held.on),
                title: held.read.title.clone(),
                edition: held.read.edition.clone(),
                clause: held.read.clause.clone(),
                read_on: reader.day(held.read.on),
            })
        };
        let mut view = Self::rows(&now.policy, reader, confirmed, name, staff);
        view.entry = Some(now.entry);
        view
    }

    fn rows(
        policy: &Policy,
        reader: &Reader<'_>,
        confirmed: impl Fn(&RuleId) -> Option<RuleConfirmation>,
        name: impl Fn(&SkillId) -> String,
        staff: &dyn Fn(Setting) -> Option<(u32, u32)>,
    ) -> Self {
        let rules: Vec<RuleRow> = policy
            .rules
            .iter()
            .map(|rule| RuleRow {
                id: rule.id.clone(),
                depth: rule
                    .rule
                    .depth()
                    .map(|(cm, ..)| Of::Depth.show(cm, reader.units)),
                skills: if let Rule::AssistantJudges { skills } | Rule::SkillsFirst { skills, .. } =
                    &rule.rule
                {
                    let named = |id: &SkillId| SkillNamed {
                        skill: id.clone(),
                        name: name(id),
                    };
                    skills.iter().map(named).collect()
                } else {
                    Vec::new()
                },
                rule: rule.rule.clone(),
                source: rule.source.clone(),
                confirmed: confirmed(&rule.id),
                example: example(&rule.rule, staff),
            })
            .collect();
        Self {
            course: None,
            policy: policy.clone(),
            unconfirmed: count(rules.iter().filter(|rule| rule.confirmed.is_none()).count()),
            rules,
            faults: policy.faults(),
            entry: None,
            shop_differs: false,
            after: Vec::new(),
            may_set: reader.may_write(Kind::PolicySet),
        }
    }
}

/// The staff of the next session in this setting: instructors and assistants.
fn at_hand(course: &CourseStanding, reader: &Reader<'_>, setting: Setting) -> Option<(u32, u32)> {
    let assigned = course.staff();
    let to_come = course.sessions().values().filter(|now| {
        now.cancelled.is_none() && now.plan.setting == setting && reader.now <= now.plan.starts
    });
    let next = to_come.min_by_key(|now| now.plan.starts)?;
    let in_role = |role| {
        let staff = next.plan.staff.iter();
        count(staff.filter(|id| assigned.get(id) == Some(&role)).count())
    };
    Some((in_role(Role::Instructor), in_role(Role::Assistant)))
}

/// With two instructors the two readings of a cap part; without a session at hand they are
/// who the example is made of.
const MADE_UP: (u32, u32) = (2, 1);

fn example(rule: &Rule, staff: &dyn Fn(Setting) -> Option<(u32, u32)>) -> Option<CapExample> {
    let Rule::Ratio {
        setting,
        per_instructor,
        per_assistant,
        cap,
        cap_of,
    } = rule
    else {
        return None;
    };
    let found = staff(*setting);
    let (instructors, assistants) = found.unwrap_or(MADE_UP);
    let students = |cap_of| {
        let per = [*per_instructor, *per_assistant, *cap];
        super::ratio::ceiling(*setting, per, cap_of, (instructors, assistants))
    };
    let other = match cap_of {
        CapOf::Water => CapOf::Instructor,
        CapOf::Instructor => CapOf::Water,
    };
    Some(CapExample {
        instructors,
        assistants,
        students: students(*cap_of),
        otherwise: students(other),
        of_session: found.is_some(),
    })
}
