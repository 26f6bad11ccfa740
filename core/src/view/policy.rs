//! Policy: the rules that a course or a shop works under, each with its source and with
//! who confirmed it: to be read, confirmed and edited.

use super::figure::Of;
use super::reader::{count, skill_name};
use super::{Day, Figure, Leave, Reader, StaffName};
use crate::course::{CourseId, EntryId, Policy, PolicyFault, Rule, RuleId, SkillId};
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
    pub skills: Vec<(SkillId, String)>,
    /// Where it comes from.
    pub source: String,
    /// Who confirmed it, and on which day; `None` while nobody has, and then it holds for
    /// nothing.
    pub confirmed: Option<(StaffName, Day)>,
}

impl PolicyView {
    /// The policy a course works under; `None` before one is adopted.
    pub fn of_course(course: &CourseStanding, reader: &Reader<'_>) -> Option<Self> {
        let now = course.policy()?;
        let name = |id: &SkillId| skill_name(course, id);
        let mut view = Self::of_now(now, reader, name);
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
        let mut view = Self::of_now(&now, reader, name);
        view.after = reader.shop.all_of_kind(Kind::PolicySet);
        Some(view)
    }

    /// A policy that is not recorded, with what is wrong with it. Nobody has confirmed it.
    pub fn of_draft(policy: &Policy, reader: &Reader<'_>) -> Self {
        let mut view = Self::rows(policy, reader, |_| None, ToString::to_string);
        view.may_set = Leave::NothingOpen;
        view
    }

    fn of_now(now: &PolicyNow, reader: &Reader<'_>, name: impl Fn(&SkillId) -> String) -> Self {
        let confirmed = |id: &RuleId| {
            let (by, on) = now.confirmation(id)?;
            Some((reader.staff(by), reader.day(*on)))
        };
        let mut view = Self::rows(&now.policy, reader, confirmed, name);
        view.entry = Some(now.entry);
        view
    }

    fn rows(
        policy: &Policy,
        reader: &Reader<'_>,
        confirmed: impl Fn(&RuleId) -> Option<(StaffName, Day)>,
        name: impl Fn(&SkillId) -> String,
    ) -> Self {
        let rules: Vec<RuleRow> = policy
            .rules
            .iter()
            .map(|rule| RuleRow {
                id: rule.id.clone(),
                depth: if let Rule::Depth { max_cm, .. } = rule.rule {
                    Some(Of::Depth.show(max_cm, reader.units))
                } else {
                    None
                },
                skills: if let Rule::AssistantJudges { skills } = &rule.rule {
                    skills.iter().map(|id| (id.clone(), name(id))).collect()
                } else {
                    Vec::new()
                },
                rule: rule.rule.clone(),
                source: rule.source.clone(),
                confirmed: confirmed(&rule.id),
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
