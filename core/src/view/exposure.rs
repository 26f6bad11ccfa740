//! Exposure: what each one has dived on a day, by the air table with a model beside it, what
//! is left for the next dive, from when they may fly, and vertical ascents against the
//! house's limit.
//!
//! A dive counts with its deepest depth for the whole time under water, which is more than
//! it can have cost. All dives of a day count at the greatest height above the sea that any
//! of them was dived at. A session in the water that was planned before the next dive, and
//! that nobody has logged for a person, counts as planned: its whole length at its planned
//! depth. What was dived elsewhere, and not logged here, nobody here knows.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::gas::{NOT_MEASURED, celsius, metres, water_density};
use super::reader::count;
use super::{Day, DepthAgainst, Limit, Moment, Reader, WhoName};
use crate::calc::no_stop::{
    DayPlan, DivesBefore, FlyingWait, GradientFactors, Limit as NoStopLimit, NoStopSite, PersonDay,
    PlannedDive, PublishedWait, SecondOpinion, day_plan, flying_wait, second_opinion,
};
use crate::calc::unit::{Feet, KilogramsPerCubicMetre, Metres, Minutes, Seconds};
use crate::course::{Role, SessionId, SessionPlan, WaterKind};
use crate::entry::{Body, Kind, Passage, Who};
use crate::standing::{CourseStanding, Dive, SessionNow, dived, each_once};

/// Dives further back than this weigh nothing by the table: 15:50 h after group Z.
const LOOK_BACK: TimeDelta = TimeDelta::hours(24);
/// Of dives up to here the flying recommendation asks whether there was more than one.
const TWO_DAYS: TimeDelta = TimeDelta::hours(48);
/// A commercial flight's cabin.
const CABIN: Feet = Feet(8_000.0);

/// The next dive that is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NextDive {
    /// In which session, which then does not count as one of those before it.
    pub session: Option<SessionId>,
    /// When it begins.
    pub at: DateTime<FixedOffset>,
    /// How deep.
    pub depth: Metres,
    /// Where, and how long the divers have been at that height.
    pub site: NoStopSite,
    /// In which water.
    pub water: KilogramsPerCubicMetre,
}

impl NextDive {
    /// As far back as dives matter to the next one, and the longest that one may have lasted.
    pub const FAR_BACK: TimeDelta = TimeDelta::hours(54);

    /// The dive of a session, at its start or now where that is past; `None` on land, for a
    /// session without a depth, or for water beyond what is reckoned. People who are not
    /// said to live at the water's height are taken to have come up from the sea just now.
    pub fn of(
        session: &SessionId,
        plan: &SessionPlan,
        now: DateTime<FixedOffset>,
        live_there: bool,
    ) -> Option<Self> {
        if !plan.setting.is_wet() {
            return None;
        }
        let temperature = plan.water.temperature_dc.map_or(NOT_MEASURED, celsius);
        let came_up = plan.water.altitude_m.is_some() && !live_there;
        Some(Self {
            session: Some(*session),
            at: plan.starts.max(now),
            depth: metres(plan.water.max_depth_cm?),
            site: NoStopSite {
                altitude: Metres(f64::from(plan.water.altitude_m.unwrap_or(0))),
                since_arrival: came_up.then_some(Minutes(0.0)),
            },
            water: water_density(plan.water.kind, temperature)?,
        })
    }

    /// A dive in the sea or in a lake at sea level.
    pub fn at_sea_level(at: DateTime<FixedOffset>, depth: Metres, kind: WaterKind) -> Option<Self> {
        Some(Self {
            session: None,
            at,
            depth,
            site: NoStopSite::SEA,
            water: water_density(kind, NOT_MEASURED)?,
        })
    }
}

/// Everybody's day.
#[derive(Debug, Clone, PartialEq)]
pub struct ExposureView {
    /// Which day.
    pub day: Day,
    /// When the next dive begins.
    pub at: Moment,
    /// How deep it is asked for.
    pub depth: Metres,
    /// How a planned session's depth stands to the rules: no time is shown without it.
    pub depth_against: DepthAgainst,
    /// Students of the course, then its staff, and whoever else dived in it.
    pub people: Vec<ExposureRow>,
    /// The shortest of what is left for them; `None` where that cannot be said for
    /// somebody, and then nothing is left.
    pub limit: Option<NoStopLimit>,
    /// Whose that is, where it is someone's.
    pub shortest: Option<WhoName>,
    /// From when all of them may fly: the latest of theirs; `None` where nobody dived.
    pub fly_from: Option<FlyFrom>,
    /// Planned sessions of the day that could not be counted: nobody planned a depth.
    pub without_depth: u32,
    /// Other courses on this device in which somebody of this one dived.
    pub other_courses: u32,
}

/// One person's day.
#[derive(Debug, Clone, PartialEq)]
pub struct ExposureRow {
    /// Who.
    pub who: WhoName,
    /// Dives that were logged, from the evening before on.
    pub dives: u32,
    /// Dives that are only planned, before the next one.
    pub planned: u32,
    /// Dive by dive, as the table sees it; `None` where one lies beyond the table.
    pub plan: Option<DayPlan>,
    /// What is left at the asked depth; `None` where it cannot be said: then nothing is.
    pub next: Option<SecondOpinion>,
    /// The wait before flying, from the last dive on; `None` without a dive.
    pub flying: Option<FlyingWait>,
    /// The same by the clock; `None` without a dive.
    pub fly_from: Option<FlyFrom>,
    /// When that last dive ended or will end.
    pub last_up: Option<Moment>,
    /// Vertical ascents that were logged on the day, each dive at least one.
    pub ascents: u32,
    /// Against the house's limit, for a member of staff.
    pub ascents_limit: Limit,
}

/// From when somebody may fly, by the clock of the place where the last dive ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FlyFrom {
    /// Not before this.
    pub at: Moment,
    /// Whether it is longer than published by an unknown time: after dives with stops.
    pub longer: bool,
}

impl FlyFrom {
    fn of(reader: &Reader<'_>, up: DateTime<FixedOffset>, wait: &FlyingWait) -> Option<Self> {
        let (minutes, longer) = match wait.wait {
            PublishedWait::AtLeast(minutes) => (minutes, false),
            PublishedWait::LongerThan(minutes) => (minutes, true),
            PublishedWait::Silent => return None,
        };
        let latest = up.checked_add_signed(TimeDelta::minutes(minutes.0.into()))?;
        Some(Self {
            at: reader.when(latest),
            longer,
        })
    }

    /// The later of two; of those whose end is not known it stays unknown.
    fn later(one: Option<Self>, other: Option<Self>) -> Option<Self> {
        match (one, other) {
            (Some(one), Some(other)) => {
                let longer = one.longer || other.longer;
                let later = if other.at.at > one.at.at { other } else { one };
                Some(Self { longer, ..later })
            }
            (one, other) => one.or(other),
        }
    }
}

impl ExposureView {
    /// Everybody's day, with the next dive asked for. Their dives in these other courses
    /// count as well.
    pub fn of(
        course: &CourseStanding,
        others: &[&CourseStanding],
        reader: &Reader<'_>,
        next: &NextDive,
    ) -> Self {
        let all = || std::iter::once(course).chain(others.iter().copied());
        let logged = dived(all());
        let everyone = reader.people.in_order(people(course));
        let others_of = others.iter().filter(|other| {
            let there = dived([**other]);
            everyone.iter().any(|who| there.contains_key(who))
        });
        let mut view = Self {
            day: reader.day(next.at.date_naive()),
            at: reader.when(next.at),
            depth: next.depth,
            depth_against: next
                .session
                .and_then(|id| course.sessions().get(&id))
                .map_or(DepthAgainst::NOTHING, |now| {
                    DepthAgainst::of(course, reader, &now.plan)
                }),
            people: Vec::with_capacity(everyone.len()),
            limit: Some(NoStopLimit::Unlimited),
            shortest: None,
            fly_from: None,
            without_depth: 0,
            other_courses: count(others_of.count()),
        };
        let mut undone = BTreeMap::new();
        for one in all() {
            view.without_depth += sessions_undone(one, next, &logged, &mut undone);
        }
        for who in everyone {
            let known = logged.get(&who).map_or(&[][..], Vec::as_slice);
            let ahead = undone.get(&who).map_or(&[][..], Vec::as_slice);
            let row = ExposureRow::of(course, reader, who, known, ahead, next);
            let left = row.next.as_ref().map(|next| next.limit);
            let shorter = match (left, view.limit) {
                (_, None) | (Some(NoStopLimit::Unlimited), _) => false,
                (None, Some(_)) | (Some(_), Some(NoStopLimit::Unlimited)) => true,
                (Some(NoStopLimit::Minutes(left)), Some(NoStopLimit::Minutes(least))) => {
                    left < least
                }
            };
            if shorter {
                view.limit = left;
                view.shortest = Some(row.who.clone());
            }
            view.fly_from = FlyFrom::later(view.fly_from, row.fly_from);
            view.people.push(row);
        }
        view
    }
}

/// Students of the course who have not left it, its staff, and whoever else dived in it.
fn people(course: &CourseStanding) -> Vec<Who> {
    let students = course.students().into_iter();
    let mut people: Vec<Who> = students
        .filter(|id| super::board::ended(course, id).is_none())
        .map(Who::Student)
        .collect();
    let staff = course.staff().into_iter();
    people.extend(
        staff
            .filter(|(_, role)| *role != Role::Shop)
            .map(|(id, _)| Who::Staff(id)),
    );
    let seen: BTreeSet<Who> = people.iter().copied().collect();
    let dived = dived([course]).into_keys();
    people.extend(dived.filter(|who| !seen.contains(who)));
    people
}

/// Adds the sessions before the next dive that a person was to dive in and that nobody has
/// logged for that person; answers how many have no depth.
fn sessions_undone(
    course: &CourseStanding,
    next: &NextDive,
    logged: &BTreeMap<Who, Vec<Dive>>,
    undone: &mut BTreeMap<Who, Vec<Dive>>,
) -> u32 {
    let mut without_depth = 0;
    let since = next.at - LOOK_BACK;
    for (id, session) in course.sessions() {
        let plan = &session.plan;
        let ends = plan.starts + TimeDelta::minutes(plan.minutes.into());
        if !plan.setting.is_wet()
            || session.cancelled.is_some()
            || next.session == Some(*id)
            || plan.starts >= next.at
            || ends <= since
        {
            continue;
        }
        let Some(deepest_cm) = plan.water.max_depth_cm else {
            without_depth += 1;
            continue;
        };
        let dive = Dive {
            down: plan.starts,
            // One that runs on into the next dive is over when that begins.
            up: ends.min(next.at),
            deepest_cm,
            ascents: None,
            altitude_m: plan.water.altitude_m,
        };
        for who in absent_left_out(course, id, session) {
            let dives = logged.get(&who).map_or(&[][..], Vec::as_slice);
            let done = dives
                .iter()
                .any(|one| one.down < ends && plan.starts < one.up)
                || logged_in(course, id, &who);
            if !done {
                undone.entry(who).or_default().push(dive);
            }
        }
    }
    without_depth
}

/// Who was planned for a session, less those of whom a headcount says that they never went in.
fn absent_left_out(course: &CourseStanding, id: &SessionId, session: &SessionNow) -> Vec<Who> {
    let plan = &session.plan;
    let students = plan.students.iter().copied().map(Who::Student);
    let planned = students.chain(plan.staff.iter().copied().map(Who::Staff));
    let counted = course.headcount(id);
    let absent = |who: &Who| {
        counted.get(who).is_some_and(
            |one| matches!(&one.entry.body, Body::Attendance(a) if a.passage == Passage::Absent),
        )
    };
    planned.filter(|who| !absent(who)).collect()
}

/// Whether a dive of this person was logged in this session.
fn logged_in(course: &CourseStanding, id: &SessionId, who: &Who) -> bool {
    course.of_kind(Kind::DiveLogged).any(|one| {
        matches!(&one.entry.body, Body::DiveLogged(dive)
            if dive.who == *who && dive.session == Some(*id))
    })
}

impl ExposureRow {
    fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        who: Who,
        logged: &[Dive],
        ahead: &[Dive],
        next: &NextDive,
    ) -> Self {
        let done = before(logged, LOOK_BACK, next);
        let mut all = done.clone();
        all.extend_from_slice(ahead);
        let all = each_once(all);
        let person = person(&all, next.at);
        let plan = day_plan(&person.dives, site(&all, next.site)).ok();
        let opinion = opinion(&all, next);
        let last = all.iter().map(|dive| dive.up).max();
        let that_day = || {
            let all = done.iter();
            all.filter(|dive| dive.down.date_naive() == next.at.date_naive())
        };
        let ascents = that_day()
            .map(|dive| u32::from(dive.ascents.unwrap_or(1)))
            .sum();
        // A student comes up at the end; how often staff did is what they say.
        let all_said =
            matches!(who, Who::Student(_)) || that_day().all(|dive| dive.ascents.is_some());
        let several = before(logged, TWO_DAYS, next).len() + ahead.len() > 1;
        let flying = last.and_then(|_| flying(plan.as_ref(), several));
        Self {
            who: reader.who(&who),
            dives: count(done.len()),
            planned: count(all.len().saturating_sub(done.len())),
            next: opinion,
            fly_from: last
                .zip(flying.as_ref())
                .and_then(|(up, wait)| FlyFrom::of(reader, up, wait)),
            flying,
            plan,
            last_up: last.map(|up| reader.when(up)),
            ascents,
            ascents_limit: super::ascending::ascents_limit(course, &who, ascents)
                .if_known(all_said),
        }
    }
}

/// The dives that weigh on the next one, of those so far back.
fn before(dives: &[Dive], back: TimeDelta, next: &NextDive) -> Vec<Dive> {
    let since = next.at - back;
    let counts = |dive: &&Dive| dive.up > since && dive.down < next.at;
    dives.iter().filter(counts).copied().collect()
}

/// What dives that weigh on the next one leave for it; `None` where that cannot be said.
fn opinion(dives: &[Dive], next: &NextDive) -> Option<SecondOpinion> {
    let person = person(dives, next.at);
    let (site, factors) = (site(dives, next.site), GradientFactors::USUAL);
    second_opinion(&person, next.depth, site, next.water, factors).ok()
}

/// One person's dives, logged and planned, that weigh on the next one or may weigh on one some
/// hours later.
pub(super) fn weighing(
    course: &CourseStanding,
    others: &[&CourseStanding],
    who: Who,
    next: &NextDive,
) -> Vec<Dive> {
    let all = || std::iter::once(course).chain(others.iter().copied());
    let logged = dived(all());
    let mut undone = BTreeMap::new();
    for one in all() {
        sessions_undone(one, next, &logged, &mut undone);
    }
    let known = logged.get(&who).map_or(&[][..], Vec::as_slice);
    let mut dives = before(known, LOOK_BACK, next);
    dives.extend(undone.remove(&who).into_iter().flatten());
    each_once(dives)
}

/// What is left for a dive at that moment or later.
pub(super) fn left(dives: &[Dive], later: &NextDive) -> Option<SecondOpinion> {
    opinion(&before(dives, LOOK_BACK, later), later)
}

/// The wait before flying. Without a whole day on the table the heaviest is taken.
fn flying(plan: Option<&DayPlan>, several: bool) -> Option<FlyingWait> {
    let on_table = plan.filter(|plan| plan.beyond.is_none());
    let before = match on_table {
        Some(_) if several => DivesBefore::Repetitive,
        Some(_) => DivesBefore::SingleNoStop,
        // Beyond the table: nobody knows that it needed no stop.
        None => DivesBefore::WithStops,
    };
    let highest = on_table.and_then(|plan| plan.highest);
    flying_wait(before, highest, CABIN.into()).ok()
}

/// The greatest height of the dives and of the next one.
fn site(dives: &[Dive], next: NoStopSite) -> NoStopSite {
    let heights = dives.iter().filter_map(|dive| dive.altitude_m);
    let highest = heights.max().map_or(f64::NEG_INFINITY, f64::from);
    NoStopSite {
        altitude: Metres(next.altitude.0.max(highest)),
        ..next
    }
}

/// The dives as the table takes them, and the time since.
fn person(dives: &[Dive], now: DateTime<FixedOffset>) -> PersonDay {
    let mut up: Option<DateTime<FixedOffset>> = None;
    let mut planned = Vec::with_capacity(dives.len());
    for dive in dives {
        planned.push(PlannedDive {
            interval: up.map_or(Minutes(0.0), |up| between(up, dive.down)),
            depth: metres(dive.deepest_cm),
            bottom: between(dive.down, dive.up),
        });
        up = Some(dive.up);
    }
    PersonDay {
        dives: planned,
        interval: up.map_or(Minutes(0.0), |up| between(up, now)),
    }
}

/// Minutes from one moment to the other; none where they come the other way round.
fn between(from: DateTime<FixedOffset>, to: DateTime<FixedOffset>) -> Minutes {
    let seconds = u32::try_from((to - from).num_seconds()).unwrap_or(0);
    // A week at the surface says no more than a longer time does, and is the table's end.
    Minutes::from(Seconds(f64::from(seconds.min(7 * 24 * 3_600))))
}
