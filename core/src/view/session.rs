//! Session: its plan, who is ready for it, what is run, and how many may be in the water.
//!
//! Works for a session that is planned and for a draft that is not recorded yet, so that a
//! planner sees the gaps, the ratio and the minutes before anything is written.

use super::agenda::away_from;
use super::allowed::Allowed;
use super::ascending::ascents_ahead;
use super::gaps::{GapRow, before_gaps, rows};
use super::one_water::OneWater;
use super::overriding::{OverrideRow, overrides};
use super::pairing::{PairingView, pairing};
use super::ratio::{Consider, RatioView};
use super::reader::{count, skill_name};
use super::session_list::{SessionCard, SessionState};
use super::staff_gaps::{StaffGapRow, staff_gaps};
use super::water::{Limit, against, depth};
use super::{Figure, Leave, Moment, Reader, StaffName, StationRow, StudentName, WhoName};
use crate::course::{
    Block, BlockId, Condition, CourseId, EntryId, OF_AGE, Role, Rule, RuleId, SessionId,
    SessionPlan, Setting, Skill, SkillId, StaffId, StudentId, WaterKind, suits,
};
use crate::entry::{Kind, Who};
use crate::plan::{
    Going, Missing, SiteMissing, before_site, brings_on, may_go_on, open_water_dives, still_needs,
};
use crate::standing::CourseStanding;

/// A session, planned or as a draft.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SessionView {
    /// Of which course.
    pub course: CourseId,
    /// Which; `None` for a draft that is not recorded.
    pub session: Option<SessionId>,
    /// How it stands at this moment.
    pub state: SessionState,
    /// Why it was cancelled, if it was.
    pub cancelled: Option<String>,
    /// How often it was planned anew, moved or cancelled.
    pub changes: u32,
    /// What it is called.
    pub title: String,
    /// The block of the outline that it carries out.
    pub block: Option<BlockId>,
    /// Where.
    pub setting: Setting,
    /// The place, in words.
    pub site: String,
    /// What each student is to bring, in words.
    pub bring: Option<String>,
    /// When it starts.
    pub starts: Moment,
    /// When it ends, as planned.
    pub ends: Moment,
    /// Planned length.
    pub minutes: u16,
    /// Students of the course, in order of name: chosen or not, with their gaps.
    pub students: Vec<SessionStudent>,
    /// Staff of the course, in order of name: chosen or not.
    pub staff: Vec<SessionStaff>,
    /// Of those chosen, who said that they are away then: no session is worked out for them.
    pub away: Vec<WhoName>,
    /// The water.
    pub water: SessionWater,
    /// Night, current, overhead, ice, boat.
    pub conditions: Vec<ConditionRow>,
    /// What the site lacks before this water.
    pub site_missing: Vec<SiteMissing>,
    /// Students against the ceiling, as planned; `None` on land.
    pub ratio: Option<RatioView>,
    /// The young and those of age, where a rule pairs them.
    pub pairing: Option<PairingView>,
    /// The skills, in running order.
    pub run_list: Vec<RunRow>,
    /// Minutes the run list takes.
    pub run_minutes: u32,
    /// Whether that fits the planned length.
    pub fits: bool,
    /// Who runs what with whom, where that was laid down.
    pub stations: Vec<StationRow>,
    /// Skills some student still needs that are not on the list, in outline order.
    pub could_add: Vec<RunRow>,
    /// The outline's usual sessions, to take the run list from.
    pub blocks: Vec<Block>,
    /// Places used before in this course, the latest first.
    pub sites: Vec<String>,
    /// What was on screen: goes into the `after` of the next entry about it.
    pub after: Vec<EntryId>,
    /// Whether the reader may plan, move or cancel it.
    pub may_plan: Leave,
}

/// A student in a session's plan.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SessionStudent {
    /// Who.
    pub name: StudentName,
    /// Whether the plan has them.
    pub chosen: bool,
    /// How their course ended, if it has.
    pub ended: Option<crate::entry::Outcome>,
    /// What is missing before this session.
    pub gaps: Vec<GapRow>,
    /// What an instructor set aside for this session.
    pub overrides: Vec<OverrideRow>,
    /// Skills whose gaps an instructor may set aside.
    pub may_override: Vec<SkillId>,
    /// How often the student will come up that day, by the run list and the log.
    pub ascents: u32,
    /// Against the rule.
    pub ascents_limit: Limit,
    /// Required skills that could be shown here and are still needed.
    pub needs: u32,
    /// Open-water dives logged on that day already, against the policy with one more.
    pub dives_that_day: u32,
    /// How one more dive stands to the limit a day; no rule outside open water.
    pub dives_limit: Limit,
}

/// A member of staff in a session's plan.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SessionStaff {
    /// Who.
    pub name: StaffName,
    /// As what they are assigned; `None` when they are not assigned to this course.
    pub role: Option<Role>,
    /// Whether the plan has them.
    pub chosen: bool,
    /// What they lack before this session.
    pub gaps: Vec<StaffGapRow>,
    /// How often they will come up that day, by the run list and the log.
    pub ascents: u32,
    /// Against the rule.
    pub ascents_limit: Limit,
}

/// Something that a session is besides its setting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct ConditionRow {
    /// What.
    pub what: Condition,
    /// Whether the plan is that.
    pub on: bool,
    /// Over where a rule forbids it and the plan is that.
    pub limit: Limit,
}

/// The water a session expects.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SessionWater {
    /// Fresh, brackish or salt.
    pub kind: WaterKind,
    /// Deepest planned.
    pub max_depth: Option<Figure>,
    /// Against the shallowest limit that any chosen student is under.
    pub depth_limit: Limit,
    /// That limit.
    pub depth_allowed: Option<Figure>,
    /// The rule that sets it.
    pub depth_rule: Option<RuleId>,
    /// Height of the water above the sea.
    pub altitude: Option<Figure>,
    /// At depth.
    pub temperature: Option<Figure>,
    /// Sideways.
    pub visibility: Option<Figure>,
    /// Current or surf.
    pub moving: bool,
}

/// A skill on a run list.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct RunRow {
    /// Which.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// Its place on the list, from 1; 0 for one that is not on it.
    pub place: u32,
    /// The chosen students who still need it, in order of name.
    pub needed_by: Vec<StudentName>,
    /// Of those, how many lack something it builds on.
    pub not_ready: u32,
    /// Minutes for those who need it, one after another.
    pub minutes: u16,
    /// Whether it may be shown in this setting at all.
    pub suits: bool,
    /// Whether a try can hurt.
    pub hazard: bool,
}

impl SessionView {
    /// A session as it stands; `None` when none of its plans does.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, id: &SessionId) -> Option<Self> {
        let now = course.sessions().get(id)?;
        let mut view = Self::of_change(course, reader, &now.plan, Some(*id));
        view.session = Some(*id);
        view.cancelled.clone_from(&now.cancelled);
        view.changes = now.changes;
        view.after = course.session_entries(id);
        view.state = SessionState::of(&now.plan, now.cancelled.is_some(), reader);
        Some(view)
    }

    /// A plan that is not recorded, looked at as if it were.
    pub fn of_draft(course: &CourseStanding, reader: &Reader<'_>, plan: &SessionPlan) -> Self {
        Self::of_change(course, reader, plan, None)
    }

    /// A plan that is being changed, of a session that may be recorded already: what was set
    /// aside for that session holds.
    pub fn of_change(
        course: &CourseStanding,
        reader: &Reader<'_>,
        plan: &SessionPlan,
        session: Option<SessionId>,
    ) -> Self {
        let names = reader.people.roster(&course.students());
        let chosen: Vec<StudentName> = names
            .iter()
            .filter(|name| plan.students.contains(&name.student))
            .cloned()
            .collect();
        let row = |place, skill: &SkillId| RunRow::of(course, plan, &chosen, place, skill);
        let run_list: Vec<RunRow> = (1..)
            .zip(&plan.run_list)
            .map(|(place, skill)| row(place, skill))
            .collect();
        let could_add = course
            .outline()
            .into_iter()
            .flat_map(|outline| &outline.skills)
            .filter(|skill| !plan.run_list.contains(&skill.id))
            .map(|skill| row(0, &skill.id))
            .filter(|row| row.suits && !row.needed_by.is_empty())
            .collect();
        let stations = StationRow::of_plan(course, reader, plan);
        let run_minutes = run_minutes(plan, &stations, &run_list);
        let card = SessionCard::times(plan, reader);
        Self {
            course: *course.id(),
            session: None,
            state: SessionState::of(plan, false, reader),
            cancelled: None,
            changes: 0,
            title: plan.title.clone(),
            block: plan.block.clone(),
            setting: plan.setting,
            site: plan.site.clone(),
            bring: plan.bring.clone(),
            starts: card.0,
            ends: card.1,
            minutes: plan.minutes,
            students: names
                .into_iter()
                .map(|name| SessionStudent::of(course, reader, plan, session, name))
                .collect(),
            staff: staff(course, reader, plan, session),
            away: away_from(course, reader, plan)
                .iter()
                .map(|who| reader.who(who))
                .collect(),
            conditions: conditions(course, plan),
            site_missing: before_site(reader.shop, course, plan),
            water: SessionWater::of(course, reader, plan),
            ratio: planned_ratio(course, reader, plan),
            pairing: pairing(course, plan, |student| reader.age(student)),
            fits: run_minutes <= u32::from(plan.minutes),
            run_minutes,
            stations,
            run_list,
            could_add,
            blocks: course
                .outline()
                .map_or_else(Vec::new, |outline| outline.blocks.clone()),
            sites: sites(course, reader),
            after: Vec::new(),
            may_plan: reader.may_write(Kind::SessionPlanned),
        }
    }
}

/// Places used before, the latest first, then the school's other sites.
fn sites(course: &CourseStanding, reader: &Reader<'_>) -> Vec<String> {
    let mut plans: Vec<&SessionPlan> = course.sessions().values().map(|one| &one.plan).collect();
    plans.sort_by_key(|plan| std::cmp::Reverse(plan.starts));
    let mut sites: Vec<String> = Vec::new();
    for plan in plans {
        if !sites.contains(&plan.site) {
            sites.push(plan.site.clone());
        }
    }
    for site in reader.shop.sites().into_values() {
        if !sites.iter().any(|name| site.is_called(name)) {
            sites.push(site.name.clone());
        }
    }
    sites
}

/// Whether a try in this session would bring a student on; where the skill may not be
/// shown here at all, whether they need it anywhere.
fn needs(course: &CourseStanding, plan: &SessionPlan, student: &StudentId, skill: &Skill) -> bool {
    if suits(skill, plan.setting) {
        brings_on(course, student, skill, plan.setting)
    } else {
        still_needs(course, student, skill)
    }
}

/// Minutes of a run list: one after another, or side by side where stations were laid down.
fn run_minutes(plan: &SessionPlan, stations: &[StationRow], run_list: &[RunRow]) -> u32 {
    let laid = |row: &&RunRow| {
        let mut runs = stations.iter().flat_map(|station| &station.runs);
        runs.any(|run| run.skill == row.skill)
    };
    let apart = run_list.iter().filter(|row| !laid(row));
    let apart: u32 = apart.map(|row| u32::from(row.minutes)).sum();
    let longest = stations
        .iter()
        .map(|station| plan.minutes.saturating_sub(station.spare));
    apart.saturating_add(u32::from(longest.max().unwrap_or(0)))
}

impl RunRow {
    fn of(
        course: &CourseStanding,
        plan: &SessionPlan,
        chosen: &[StudentName],
        place: u32,
        id: &SkillId,
    ) -> Self {
        let skill = course.outline().and_then(|outline| outline.skill(id));
        let needed_by: Vec<StudentName> = chosen
            .iter()
            .filter(|name| skill.is_some_and(|skill| needs(course, plan, &name.student, skill)))
            .cloned()
            .collect();
        let laid = plan.stations.iter().flat_map(|station| &station.runs);
        let laid = laid.filter(|run| &run.skill == id).map(|run| run.minutes);
        let lacks = |student: &StudentId| {
            let earlier = plan.run_list.iter().take_while(|other| *other != id);
            let earlier: Vec<&SkillId> = earlier.collect();
            let needs = skill.into_iter().flat_map(|skill| &skill.needs);
            needs
                .filter(|need| !earlier.contains(need))
                .any(|need| !may_go_on(course, student, need))
        };
        Self {
            skill: id.clone(),
            name: skill_name(course, id),
            place,
            not_ready: count(needed_by.iter().filter(|name| lacks(&name.student)).count()),
            minutes: laid
                .max()
                .or_else(|| Some(skill?.run_minutes(needed_by.len())))
                .unwrap_or(0),
            needed_by,
            suits: skill.is_some_and(|skill| suits(skill, plan.setting)),
            hazard: skill.is_some_and(|skill| skill.hazard),
        }
    }
}

impl SessionStudent {
    fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        plan: &SessionPlan,
        session: Option<SessionId>,
        name: StudentName,
    ) -> Self {
        let student = name.student;
        let on = plan.starts.date_naive();
        let gaps = before_gaps(course, reader, &student, &Going::of(plan, session));
        let may = session.is_some() && reader.may_write(Kind::Override) == Leave::Yes;
        let may_override = gaps
            .iter()
            .filter(|_| may)
            .filter_map(|gap| match &gap.what {
                Missing::Skill { skill, .. } | Missing::SlippedSince(skill) => Some(skill.clone()),
                Missing::Policy
                | Missing::RuleUnconfirmed(_)
                | Missing::Outline
                | Missing::Age
                | Missing::TooYoung { .. }
                | Missing::Forbidden(_)
                | Missing::TooDeepForAge { .. }
                | Missing::Clearance(_)
                | Missing::NotCleared(..)
                | Missing::Expired(..)
                | Missing::SkillNotThere(_)
                | Missing::Dives { .. }
                | Missing::Kit { .. } => None,
            })
            // A test before water stays one, whatever skill proves it.
            .filter(|skill| {
                let known = course.outline().and_then(|outline| outline.skill(skill));
                known.is_none_or(|skill| skill.proves.is_none())
            })
            .collect();
        let (ascents, ascents_limit) = ascents_ahead(course, plan, session, &Who::Student(student));
        let skills = course.outline().into_iter().flat_map(|one| &one.skills);
        let needs = skills
            .filter(|skill| skill.required)
            .filter(|skill| brings_on(course, &student, skill, plan.setting));
        let dives = open_water_dives(course, &Who::Student(student))
            .iter()
            .filter(|(_, dive)| dive.log.down.date_naive() == on)
            .count();
        Self {
            chosen: plan.students.contains(&student),
            ended: super::board::ended(course, &student),
            gaps: rows(course, reader, gaps),
            overrides: overrides(course, reader, session.as_ref(), &student),
            may_override,
            ascents,
            ascents_limit,
            needs: count(needs.count()),
            dives_that_day: count(dives),
            dives_limit: if plan.setting == Setting::Open {
                one_more_dive(course, dives)
            } else {
                Limit::NoRule
            },
            name,
        }
    }
}

fn one_more_dive(course: &CourseStanding, made: usize) -> Limit {
    let rules = course.rules();
    for rule in rules {
        if let Rule::DivesPerDay { most } = rule.rule {
            return against(course, &rule.id, made < usize::from(most));
        }
    }
    Limit::NoRule
}

impl SessionWater {
    fn of(course: &CourseStanding, reader: &Reader<'_>, plan: &SessionPlan) -> Self {
        use super::figure::Of;
        let allowed = Allowed::of(course, plan, |student| reader.age(student));
        let water = &plan.water;
        Self {
            kind: water.kind,
            max_depth: water.max_depth_cm.map(|cm| depth(cm, reader)),
            depth_limit: allowed.limit(course, water.max_depth_cm),
            depth_allowed: allowed.most_cm().map(|cm| depth(cm, reader)),
            depth_rule: allowed.rule().cloned(),
            altitude: water.altitude_m.map(|m| Of::Altitude.show(m, reader.units)),
            temperature: water
                .temperature_dc
                .map(|dc| Of::Temperature.show(dc, reader.units)),
            visibility: water.visibility_dm.map(|dm| Of::Way.show(dm, reader.units)),
            moving: water.moving,
        }
    }
}

fn conditions(course: &CourseStanding, plan: &SessionPlan) -> Vec<ConditionRow> {
    let rules = course.rules();
    let rule = rules
        .filter_map(|rule| {
            if let Rule::Forbids { conditions } = &rule.rule {
                Some((&rule.id, conditions))
            } else {
                None
            }
        })
        .next();
    let is = plan.conditions();
    Condition::ALL
        .into_iter()
        .map(|what| ConditionRow {
            what,
            on: is.contains(&what),
            limit: rule.map_or(Limit::NoRule, |(id, forbidden)| {
                let broken = is.contains(&what) && forbidden.contains(&what);
                against(course, id, !broken)
            }),
        })
        .collect()
}

fn staff(
    course: &CourseStanding,
    reader: &Reader<'_>,
    plan: &SessionPlan,
    session: Option<SessionId>,
) -> Vec<SessionStaff> {
    let assigned = course.staff();
    let mut ids: Vec<StaffId> = assigned.keys().copied().collect();
    ids.extend(plan.staff.iter().filter(|id| !assigned.contains_key(id)));
    let mut rows: Vec<SessionStaff> = ids
        .into_iter()
        .map(|id| {
            let (ascents, ascents_limit) = ascents_ahead(course, plan, session, &Who::Staff(id));
            SessionStaff {
                name: reader.staff(&id),
                role: assigned.get(&id).copied(),
                chosen: plan.staff.contains(&id),
                gaps: staff_gaps(course, reader, plan, &id),
                ascents,
                ascents_limit,
            }
        })
        .collect();
    rows.sort_by_cached_key(|row| (super::people::folded(&row.name.name), row.name.staff));
    rows
}

pub(super) fn planned_ratio(
    course: &CourseStanding,
    reader: &Reader<'_>,
    plan: &SessionPlan,
) -> Option<RatioView> {
    let all = OneWater::planned(course, reader, plan);
    let consider = consider(course, reader, plan, (all.students(), all.assistants()));
    all.ratio(course, reader, plan, consider)
}

/// What a planned ceiling should be lowered for.
pub(super) fn consider(
    course: &CourseStanding,
    reader: &Reader<'_>,
    plan: &SessionPlan,
    (students, assistants): (&[StudentId], usize),
) -> Vec<Consider> {
    let on = plan.starts.date_naive();
    let minor_under = super::student::consent_age(course).unwrap_or(OF_AGE);
    let under = students
        .iter()
        .map(|student| reader.age(student).under(minor_under, on));
    let under: Vec<Option<bool>> = under.collect();
    let minors = under.iter().filter(|under| **under == Some(true)).count();
    let unknown = under.iter().filter(|under| under.is_none()).count();
    [
        plan.water.moving.then_some(Consider::MovingWater),
        (minors > 0).then(|| Consider::Minors(count(minors))),
        (unknown > 0).then(|| Consider::AgeUnknown(count(unknown))),
        (assistants == 0).then_some(Consider::Alone),
        (plan.setting == Setting::Open && plan.water.visibility_dm.is_none())
            .then_some(Consider::VisibilityUnknown),
    ]
    .into_iter()
    .flatten()
    .collect()
}
