//! Exposure: what each one has dived on a day, by the air table, what is left for the next
//! dive, the wait before flying, and vertical ascents against the house's limit.
//!
//! A logged dive counts with its deepest depth for the whole time under water, which is
//! more than it can have cost. A log notes no height above the sea: sea level is taken.

use chrono::{DateTime, FixedOffset, NaiveDate, TimeDelta};

use super::gas::metres;
use super::reader::count;
use super::{Limit, Reader, WhoName};
use crate::calc::no_stop::{
    DayPlan, DivesBefore, FlyingWait, Limit as NoStopLimit, NoStopSite, PersonDay, PlannedDive,
    class_limit, day_plan, flying_wait,
};
use crate::calc::unit::{Feet, Metres, Minutes, Seconds};
use crate::course::{DiveLog, Rule};
use crate::entry::{Body, Kind, Who};
use crate::standing::CourseStanding;

/// Dives further back than this weigh nothing by the table: 15:50 h after group Z.
const LOOK_BACK: TimeDelta = TimeDelta::hours(24);
/// A commercial flight's cabin.
const CABIN: Feet = Feet(8_000.0);

/// Everybody's day.
#[derive(Debug, Clone, PartialEq)]
pub struct ExposureView {
    /// Which day.
    pub day: super::Day,
    /// Each one who dived in the 24 hours before its end, students before staff.
    pub people: Vec<ExposureRow>,
    /// How deep the next dive is asked for.
    pub depth: Metres,
    /// The shortest of what is left for them at that depth, were they to go in now.
    pub limit: Option<NoStopLimit>,
    /// Whose that is, where it is someone's.
    pub shortest: Option<WhoName>,
}

/// One person's day.
#[derive(Debug, Clone, PartialEq)]
pub struct ExposureRow {
    /// Who.
    pub who: WhoName,
    /// Dives counted, from the evening before on.
    pub dives: u32,
    /// Dive by dive, as the table sees it; `None` where a log lies beyond the table.
    pub plan: Option<DayPlan>,
    /// What is left at the asked depth now; `None` where it cannot be said: then nothing is.
    pub next: Option<NoStopLimit>,
    /// The wait before flying, from the last dive on.
    pub flying: Option<FlyingWait>,
    /// When that last dive ended.
    pub last_up: super::Moment,
    /// Vertical ascents of the day, each dive at least one.
    pub ascents: u32,
    /// Against the house's limit, for a member of staff.
    pub ascents_limit: Limit,
}

impl ExposureView {
    /// Everybody's day, with the next dive asked for at this depth.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, day: NaiveDate, depth: Metres) -> Self {
        let mut dived: std::collections::BTreeMap<Who, Vec<&DiveLog>> =
            std::collections::BTreeMap::new();
        for one in course.of_kind(Kind::DiveLogged) {
            if let Body::DiveLogged(dive) = &one.entry.body
                && dive.log.down.date_naive() <= day
            {
                dived.entry(dive.who).or_default().push(&dive.log);
            }
        }
        let mut people = Vec::new();
        let mut days = Vec::new();
        for (who, mut logs) in dived {
            logs.sort_by_key(|log| log.down);
            let Some(last) = logs.iter().map(|log| log.up).max() else {
                continue;
            };
            let since = last - LOOK_BACK;
            let recent: Vec<&DiveLog> = logs.iter().copied().filter(|log| log.up > since).collect();
            if recent.iter().all(|log| log.down.date_naive() != day) {
                continue;
            }
            let person = person(&recent, last, reader.now);
            people.push(row(course, reader, who, &logs, &recent, last, day, depth));
            days.push(person);
        }
        let class = class_limit(&days, depth, NoStopSite::SEA).ok();
        let place = class.as_ref().and_then(|class| class.shortest);
        let shortest = place
            .and_then(|place| people.get(usize::try_from(place).ok()?))
            .map(|row: &ExposureRow| row.who.clone());
        Self {
            day: reader.day(day),
            people,
            depth,
            limit: class.map(|class| class.limit),
            shortest,
        }
    }
}

#[expect(clippy::too_many_arguments, reason = "one person's day and who asks")]
fn row(
    course: &CourseStanding,
    reader: &Reader<'_>,
    who: Who,
    logs: &[&DiveLog],
    recent: &[&DiveLog],
    last: DateTime<FixedOffset>,
    day: NaiveDate,
    depth: Metres,
) -> ExposureRow {
    let person = person(recent, last, reader.now);
    let plan = day_plan(&person.dives, NoStopSite::SEA).ok();
    let next = class_limit(&[person], depth, NoStopSite::SEA);
    let two_days = last - TimeDelta::hours(48);
    let several = logs.iter().filter(|log| log.up > two_days).count() > 1;
    let before = match &plan {
        Some(plan) if plan.beyond.is_none() && !several => DivesBefore::SingleNoStop,
        Some(plan) if plan.beyond.is_none() => DivesBefore::Repetitive,
        // Beyond the table: nobody knows that it needed no stop.
        Some(_) | None => DivesBefore::WithStops,
    };
    // Without a whole day on the table the heaviest group is taken.
    let highest = plan
        .as_ref()
        .filter(|plan| plan.beyond.is_none())
        .and_then(|plan| plan.highest);
    let of_day = recent.iter().filter(|log| log.down.date_naive() == day);
    let ascents = of_day.map(|log| u32::from(log.ascents.unwrap_or(1))).sum();
    ExposureRow {
        who: reader.who(&who),
        dives: count(recent.len()),
        plan,
        next: next.ok().map(|class| class.limit),
        flying: flying_wait(before, highest, CABIN.into()).ok(),
        last_up: reader.when(last),
        ascents,
        ascents_limit: match who {
            Who::Student(_) => Limit::NoRule,
            Who::Staff(_) => house_limit(course, ascents),
        },
    }
}

/// The dives as the table takes them, and the time since: none where that lies ahead.
fn person(logs: &[&DiveLog], last: DateTime<FixedOffset>, now: DateTime<FixedOffset>) -> PersonDay {
    let mut up: Option<DateTime<FixedOffset>> = None;
    let mut dives = Vec::with_capacity(logs.len());
    for log in logs {
        dives.push(PlannedDive {
            interval: up.map_or(Minutes(0.0), |up| between(up, log.down)),
            depth: metres(log.max_depth_cm),
            bottom: between(log.down, log.up),
        });
        up = Some(up.map_or(log.up, |before| before.max(log.up)));
    }
    PersonDay {
        dives,
        interval: between(last, now),
    }
}

/// Minutes from one moment to the other; none where they come the other way round.
fn between(from: DateTime<FixedOffset>, to: DateTime<FixedOffset>) -> Minutes {
    let seconds = u32::try_from((to - from).num_seconds()).unwrap_or(0);
    // A week at the surface says no more than a longer time does, and is the table's end.
    Minutes::from(Seconds(f64::from(seconds.min(7 * 24 * 3_600))))
}

fn house_limit(course: &CourseStanding, ascents: u32) -> Limit {
    let rules = course
        .policy()
        .into_iter()
        .flat_map(|one| &one.policy.rules);
    for rule in rules {
        if let Rule::AscentsPerDay { most } = rule.rule {
            return super::water::against(course, &rule.id, ascents <= u32::from(most));
        }
    }
    Limit::NoRule
}
