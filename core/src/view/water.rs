//! Dives and weights: what was logged, with the depth and number of dives a day held
//! against the policy.

use super::figure::{self, Of};
use super::reader::count;
use super::{ClimbView, Figure, Leave, Moment, Reader, Span, StaffName, WeightingView, WhoName};
use crate::calc::unit::Measured as _;
use crate::course::{
    CourseId, DiveLog, EntryId, Rule, RuleId, SessionId, Setting, StudentId, WaterKind,
    WeightVerdict,
};
use crate::entry::{Body, Kind, Who};
use crate::plan::{counting_dives, depth_by_age, dive_number};
use crate::standing::{Counted, CourseStanding};

/// Dives and weight checks of a course, or of one student.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct WaterView {
    /// Of which course.
    pub course: CourseId,
    /// Dives, in order of going down.
    pub dives: Vec<DiveRow>,
    /// Weight checks, newest first.
    pub weights: Vec<WeightRow>,
    /// What is known before each student's next check, by name.
    pub leads: Vec<WeightingView>,
    /// How many dives each person made on each day, against the policy.
    pub days: Vec<DiveDay>,
    /// Whether the reader may log a dive.
    pub may_log: Leave,
    /// Whether the reader may record a weight check.
    pub may_weigh: Leave,
}

/// How a figure stands to a limit of the policy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Limit {
    /// Within a confirmed limit.
    Within,
    /// Over the limit, confirmed or not.
    Over,
    /// Within a limit that nobody has confirmed: no limit is kept on it.
    Unconfirmed,
    /// Something it rests on is not known: somebody's age, how often somebody came up.
    Unknown,
    /// The policy has no such limit.
    NoRule,
}

impl Limit {
    /// The same, where what it rests on is known; else nothing is called kept on it.
    #[must_use]
    pub(super) const fn if_known(self, known: bool) -> Self {
        match self {
            Self::Within | Self::Unconfirmed if !known => Self::Unknown,
            Self::Within | Self::Unconfirmed | Self::Over | Self::Unknown | Self::NoRule => self,
        }
    }

    /// Of several limits on one thing, the heaviest is said.
    pub const fn weight(self) -> u8 {
        match self {
            Self::NoRule => 0,
            Self::Within => 1,
            Self::Unconfirmed => 2,
            Self::Unknown => 3,
            Self::Over => 4,
        }
    }
}

/// One dive.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct DiveRow {
    /// Its entry.
    pub entry: EntryId,
    /// Who dived.
    pub who: WhoName,
    /// The person's dive in open water, counted from 1 as the plan of the next one counts
    /// them; `None` for a dive that is none of the course's: in a pool, or too short or
    /// shallow for the policy's rule.
    pub number: Option<u32>,
    /// In which session.
    pub session: Option<SessionId>,
    /// Its title.
    pub session_title: Option<String>,
    /// Where it was held, as the session says.
    pub setting: Option<Setting>,
    /// Left the surface.
    pub down: Moment,
    /// Back.
    pub up: Moment,
    /// How long.
    pub span: Span,
    /// Deepest.
    pub max_depth: Figure,
    /// Average.
    pub mean_depth: Option<Figure>,
    /// Vertical ascents.
    pub ascents: Option<u8>,
    /// The cylinder.
    pub capacity: Option<Figure>,
    /// Pressure at the start.
    pub start: Option<Figure>,
    /// At the end.
    pub end: Option<Figure>,
    /// Between them.
    pub used: Option<Figure>,
    /// Gas consumption at the surface, worked out of them where a depth goes with them.
    pub consumption: Option<Figure>,
    /// The water.
    pub water: WaterKind,
    /// At depth.
    pub temperature: Option<Figure>,
    /// The depth against the policy.
    pub depth_limit: Limit,
    /// How it came up, where it was recorded.
    pub climb: Option<ClimbView>,
    /// Who logged it.
    pub by: StaffName,
    /// Whether the reader may withdraw it.
    pub may_withdraw: Leave,
}

/// One weight check.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct WeightRow {
    /// Its entry.
    pub entry: EntryId,
    /// Whose.
    pub who: WhoName,
    /// When it was recorded.
    pub at: Moment,
    /// In which session.
    pub session: Option<SessionId>,
    /// Lead worn.
    pub lead: Figure,
    /// In which water.
    pub water: WaterKind,
    /// The suit.
    pub suit: String,
    /// The cylinder, in words.
    pub cylinder: String,
    /// Its water capacity.
    pub capacity: Figure,
    /// Pressure at the check.
    pub pressure: Figure,
    /// What it showed.
    pub verdict: WeightVerdict,
    /// Who checked.
    pub by: StaffName,
    /// Whether the reader may withdraw it.
    pub may_withdraw: Leave,
}

/// One person's dives on one day.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct DiveDay {
    /// Who.
    pub who: WhoName,
    /// The day.
    pub day: super::Day,
    /// Dives in open water.
    pub dives: u32,
    /// Against the policy, for a student.
    pub dives_limit: Limit,
    /// Vertical ascents, each dive at least one.
    pub ascents: u32,
    /// Against the rule for students or for staff.
    pub ascents_limit: Limit,
}

impl WaterView {
    /// Everybody's dives and weights, or one student's.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, of: Option<&StudentId>) -> Self {
        let is = |who: &Who| of.is_none_or(|student| *who == Who::Student(*student));
        let mut logged: Vec<(&Counted, Who, &DiveLog, Option<SessionId>)> = course
            .of_kind(Kind::DiveLogged)
            .filter_map(|one| {
                if let Body::DiveLogged(dive) = &one.entry.body {
                    Some((one, dive.who, &dive.log, dive.session))
                } else {
                    None
                }
            })
            .filter(|(_, who, _, _)| is(who))
            .collect();
        logged.sort_by_key(|(one, _, log, _)| (log.down, one.entry.id));
        let dives = logged
            .iter()
            .map(|(one, who, log, session)| DiveRow::of(course, reader, one, who, log, *session))
            .collect();
        let mut weights: Vec<WeightRow> = course
            .of_kind(Kind::WeightChecked)
            .filter_map(|one| WeightRow::of(course, reader, one))
            .filter(|row| is(&row.who.who()))
            .collect();
        weights.sort_by_key(|row| std::cmp::Reverse((row.at.at, row.entry)));
        let roster = reader.people.roster(&course.students());
        let leads = roster
            .iter()
            .map(|name| name.student)
            .filter(|student| is(&Who::Student(*student)))
            .filter_map(|student| WeightingView::of(course, reader, &student, None));
        Self {
            course: *course.id(),
            leads: leads.collect(),
            days: days(course, reader, &logged),
            dives,
            weights,
            may_log: reader.may_write(Kind::DiveLogged),
            may_weigh: reader.may_write(Kind::WeightChecked),
        }
    }
}

impl DiveRow {
    fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        one: &Counted,
        who: &Who,
        log: &DiveLog,
        session: Option<SessionId>,
    ) -> Self {
        let units = reader.units;
        let depth = |cm: u32| Of::Depth.show(cm, units);
        let pressure = |mbar: u32| Of::Pressure.show(mbar, units);
        let setting = session.and_then(|id| Some(course.sessions().get(&id)?.plan.setting));
        let number = dive_number(course, who, log.down, Some(one.entry.id));
        let counting = counting_dives(course, who);
        let counting = counting
            .iter()
            .any(|(dive, _)| dive.entry.id == one.entry.id);
        Self {
            entry: one.entry.id,
            who: reader.who(who),
            number: counting.then(|| count(number)),
            session,
            session_title: session.and_then(|id| super::reader::session_title(course, &id)),
            setting,
            down: reader.when(log.down),
            up: reader.when(log.up),
            span: Span::between(log.down, log.up),
            max_depth: depth(log.max_depth_cm),
            mean_depth: log.mean_depth_cm.map(depth),
            ascents: log.ascents,
            capacity: log.gas.map(|gas| Of::Cylinder.show(gas.capacity_dl, units)),
            start: log.gas.map(|gas| pressure(gas.start_mbar)),
            end: log.gas.map(|gas| pressure(gas.end_mbar)),
            used: log
                .gas
                .map(|gas| pressure(gas.start_mbar.saturating_sub(gas.end_mbar))),
            consumption: super::gas::rate(log, altitude_of(course, session))
                .map(|rate| Figure::of(rate.amount(), units)),
            water: log.water,
            temperature: log.temperature_dc.map(|dc| Of::Temperature.show(dc, units)),
            // Of a dive that no session says where it was, the open water's limits are asked:
            // a log may not be a way past them.
            depth_limit: logged_depth(
                course,
                reader,
                (who, log),
                setting.unwrap_or(Setting::Open),
                number,
            ),
            climb: ClimbView::of(reader, log),
            by: reader.staff(&one.entry.by),
            may_withdraw: reader.may_withdraw(course, one),
        }
    }
}

impl WeightRow {
    pub(super) fn of(course: &CourseStanding, reader: &Reader<'_>, one: &Counted) -> Option<Self> {
        let Body::WeightChecked(checked) = &one.entry.body else {
            return None;
        };
        let (check, units) = (&checked.check, reader.units);
        Some(Self {
            entry: one.entry.id,
            who: reader.who(&Who::Student(checked.student)),
            at: reader.when(one.entry.at),
            session: checked.session,
            lead: Of::Lead.show(check.lead_g, units),
            water: check.water,
            suit: check.suit.clone(),
            cylinder: check.cylinder.clone(),
            capacity: Of::Cylinder.show(check.capacity_dl, units),
            pressure: Of::Pressure.show(check.pressure_mbar, units),
            verdict: check.verdict,
            by: reader.staff(&one.entry.by),
            may_withdraw: reader.may_withdraw(course, one),
        })
    }
}

/// Height of the water of a session.
fn altitude_of(course: &CourseStanding, session: Option<SessionId>) -> Option<i16> {
    course.sessions().get(&session?)?.plan.water.altitude_m
}

/// A dive's depth against the rules of its setting, its number and the diver's age.
fn logged_depth(
    course: &CourseStanding,
    reader: &Reader<'_>,
    (who, log): (&Who, &DiveLog),
    setting: Setting,
    number: usize,
) -> Limit {
    let of_dive = depth_limit(course, setting, number, log.max_depth_cm);
    let Who::Student(student) = who else {
        return of_dive;
    };
    let Some(policy) = course.policy() else {
        return of_dive;
    };
    let by_age = depth_by_age(policy, reader.age(student), log.down.date_naive());
    let of_age = by_age
        .most
        .map(|(rule, most)| against(course, rule, log.max_depth_cm <= most));
    let if_young = by_age.if_young.filter(|most| log.max_depth_cm > *most);
    [Some(of_dive), of_age, if_young.map(|_| Limit::Unknown)]
        .into_iter()
        .flatten()
        .max_by_key(|limit| limit.weight())
        .unwrap_or(of_dive)
}

/// A depth against the policy: the rule of this very dive before the general one. Dives are
/// numbered by [`dive_number`], as the plan of the next one numbers them; a pool's have none.
pub(super) fn depth_limit(
    course: &CourseStanding,
    setting: Setting,
    number: usize,
    depth_cm: u32,
) -> Limit {
    let rules = depth_rules(course, setting);
    let of_dive = rules
        .iter()
        .filter(|_| setting == Setting::Open)
        .find(|(_, dive, _)| dive.is_some_and(|dive| usize::from(dive) == number));
    let general = rules.iter().find(|(_, dive, _)| dive.is_none());
    let Some((id, _, max_cm)) = of_dive.or(general) else {
        return Limit::NoRule;
    };
    against(course, id, depth_cm <= *max_cm)
}

/// The depth rules of a setting: id, dive, limit.
pub(super) fn depth_rules(
    course: &CourseStanding,
    setting: Setting,
) -> Vec<(&RuleId, Option<u8>, u32)> {
    let rules = course.rules();
    rules
        .filter_map(|rule| {
            if let Rule::Depth {
                setting: held_in,
                dive,
                max_cm,
            } = rule.rule
            {
                (held_in == setting).then_some((&rule.id, dive, max_cm))
            } else {
                None
            }
        })
        .collect()
}

/// What a kept or broken rule comes to, confirmed or not.
pub(super) fn against(course: &CourseStanding, rule: &RuleId, kept: bool) -> Limit {
    let confirmed = course
        .policy()
        .is_some_and(|policy| policy.confirmed.contains_key(rule));
    match (kept, confirmed) {
        (false, _) => Limit::Over,
        (true, true) => Limit::Within,
        (true, false) => Limit::Unconfirmed,
    }
}

fn days(
    course: &CourseStanding,
    reader: &Reader<'_>,
    logged: &[(&Counted, Who, &DiveLog, Option<SessionId>)],
) -> Vec<DiveDay> {
    let mut days: std::collections::BTreeMap<(chrono::NaiveDate, Who), (u32, u32, bool)> =
        std::collections::BTreeMap::new();
    for (_, who, log, session) in logged {
        // A dive of no session is one in open water, as it is for the depth.
        let open = session
            .and_then(|id| course.sessions().get(&id))
            .is_none_or(|session| session.plan.setting == Setting::Open);
        let day = days.entry((log.down.date_naive(), *who)).or_default();
        day.0 += u32::from(open);
        day.1 += u32::from(log.ascents.unwrap_or(1));
        day.2 |= log.ascents.is_none();
    }
    let rules = || course.rules();
    let limit = |of: fn(&Rule) -> Option<u8>, found: u32| {
        rules()
            .find_map(|rule| Some((&rule.id, of(&rule.rule)?)))
            .map_or(Limit::NoRule, |(id, most)| {
                against(course, id, found <= u32::from(most))
            })
    };
    let dives_most = |rule: &Rule| {
        if let Rule::DivesPerDay { most } = rule {
            Some(*most)
        } else {
            None
        }
    };
    days.into_iter()
        .rev()
        .map(|((day, who), (dives, ascents, some_unsaid))| {
            let student = matches!(who, Who::Student(_));
            DiveDay {
                who: reader.who(&who),
                day: reader.day(day),
                dives,
                dives_limit: if student {
                    limit(dives_most, dives)
                } else {
                    Limit::NoRule
                },
                ascents,
                ascents_limit: super::ascending::ascents_limit(course, &who, ascents)
                    .if_known(student || !some_unsaid),
            }
        })
        .collect()
}

/// A depth as it is shown.
pub(super) fn depth(cm: u32, reader: &Reader<'_>) -> Figure {
    Of::Depth.show(cm, reader.units)
}

/// A bare figure of a clearance: metres swum, minutes floated, per cent reached.
pub(super) fn clearance_figure(
    what: crate::course::ClearanceKind,
    figure: u32,
    reader: &Reader<'_>,
) -> Figure {
    use crate::course::ClearanceKind as Is;
    match what {
        Is::Swim => Of::Way.show(i64::from(figure) * 10, reader.units),
        Is::Float => figure::minutes(i64::from(figure)),
        Is::Theory => Figure {
            text: figure.to_string(),
            unit: super::UnitOfMeasure::Percent,
        },
        Is::Health | Is::Physician | Is::Consent => figure::bare(figure),
    }
}
