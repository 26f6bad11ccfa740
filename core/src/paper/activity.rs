//! Activity: what each member of staff did under water, day by day. Counts what was logged;
//! whether someone may dive again is for no list to say.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::source::Source;
use crate::calc::no_stop::{NoStopSite, PlannedDive, day_plan};
use crate::calc::unit::{Metres, Minutes};
use crate::course::{AscentsOf, Rule, StaffId};
use crate::entry::{Body, Kind, Who};
use crate::standing::{Dive, altitude, each_once};

/// Staff by day.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Activity {
    /// One line a person and day, by day and then by person.
    pub days: Vec<StaffDay>,
}

/// One person's day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StaffDay {
    /// The day on which the dives began.
    pub day: NaiveDate,
    /// Who.
    pub staff: StaffId,
    /// The name, where it is known.
    pub name: Option<String>,
    /// Dives, each once.
    pub dives: usize,
    /// Ascents counted.
    pub ascents: u32,
    /// Dives for which nobody counted ascents.
    pub uncounted: usize,
    /// Whole minutes under water.
    pub minutes: i64,
    /// Deepest, in centimetres.
    pub deepest_cm: u32,
    /// The strictest confirmed house limit of ascents a day; none while nobody confirmed one.
    pub limit: Option<u8>,
    /// What the US Navy's air tables make of the day, every dive's whole time taken for
    /// bottom time and the highest of its waters for all of them: more than it was, never
    /// less. A planning aid.
    pub exposure: Exposure,
    /// Each dive of the day, by time; one that was logged twice is one.
    pub profile: Vec<Dive>,
}

/// A day's exposure by the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Exposure {
    /// A dive is not on the table, or nothing was logged.
    #[default]
    NotOnTable,
    /// Within the no-stop limits; the repetitive group after the last dive.
    Group(char),
    /// A dive goes beyond the no-stop limit, reckoned this way.
    BeyondLimit,
}

fn exposure(dives: &[Dive]) -> Exposure {
    let minutes = |count: i64| u32::try_from(count.max(0)).map_or(f64::MAX, f64::from);
    let mut planned = Vec::new();
    let mut last_up: Option<chrono::DateTime<chrono::FixedOffset>> = None;
    for dive in dives {
        let interval = last_up.map_or(0, |up| (dive.down - up).num_minutes());
        planned.push(PlannedDive {
            interval: Minutes(minutes(interval)),
            depth: Metres(f64::from(dive.deepest_cm) / 100.0),
            bottom: Minutes(minutes(dive.minutes())),
        });
        last_up = Some(dive.up);
    }
    let highest = dives.iter().filter_map(|dive| dive.altitude_m).max();
    let site = NoStopSite {
        altitude: Metres(f64::from(highest.unwrap_or(0))),
        since_arrival: None,
    };
    match day_plan(&planned, site) {
        Ok(day) if day.beyond.is_some() => Exposure::BeyondLimit,
        Ok(day) => day.lines.last().map_or(Exposure::NotOnTable, |line| {
            Exposure::Group(line.group.letter())
        }),
        Err(_) => Exposure::NotOnTable,
    }
}

impl StaffDay {
    /// Makes one of what was logged twice, and adds up what is left.
    fn add_up(&mut self) {
        self.profile = each_once(std::mem::take(&mut self.profile));
        self.dives = self.profile.len();
        for dive in &self.profile {
            match dive.ascents {
                Some(ascents) => self.ascents += u32::from(ascents),
                None => self.uncounted += 1,
            }
            self.minutes += dive.minutes();
            self.deepest_cm = self.deepest_cm.max(dive.deepest_cm);
        }
        self.exposure = exposure(&self.profile);
    }

    /// Whether more ascents were counted than the house allows. A dive without a count can
    /// only add to them.
    pub fn is_over(&self) -> bool {
        self.limit
            .is_some_and(|limit| self.ascents > u32::from(limit))
    }
}

impl Activity {
    /// Of all these courses together: one person may teach in several on one day.
    pub fn of<'a>(sources: impl IntoIterator<Item = &'a Source<'a>>) -> Self {
        let mut counting = Counting::default();
        for source in sources {
            counting.take(source);
        }
        counting.activity()
    }
}

/// The same, course by course: a shop's thousands of courses never lie in memory at once.
#[derive(Debug, Default)]
pub struct Counting(BTreeMap<(NaiveDate, StaffId), StaffDay>);

impl Counting {
    /// Takes one course into account.
    pub fn take(&mut self, source: &Source<'_>) {
        let limit = limit(source);
        for one in source.course.of_kind(Kind::DiveLogged) {
            let Body::DiveLogged(dive) = &one.entry.body else {
                continue;
            };
            let Who::Staff(staff) = dive.who else {
                continue;
            };
            let day = dive.log.down.date_naive();
            let line = self.0.entry((day, staff)).or_insert_with(|| StaffDay {
                day,
                staff,
                name: source.staff_name(&staff),
                dives: 0,
                ascents: 0,
                uncounted: 0,
                minutes: 0,
                deepest_cm: 0,
                limit: None,
                exposure: Exposure::NotOnTable,
                profile: Vec::new(),
            });
            line.limit = match (line.limit, limit) {
                (Some(one), Some(other)) => Some(one.min(other)),
                (one, other) => one.or(other),
            };
            let altitude = altitude(source.course, dive);
            line.profile.push(Dive::of(&dive.log, altitude));
        }
    }

    /// Staff by day.
    pub fn activity(self) -> Activity {
        let mut days: Vec<StaffDay> = self.0.into_values().collect();
        for day in &mut days {
            day.add_up();
        }
        Activity { days }
    }
}

fn limit(source: &Source<'_>) -> Option<u8> {
    let now = source.course.policy()?;
    now.policy
        .rules
        .iter()
        .filter(|rule| now.confirmed.contains_key(&rule.id))
        .filter_map(|rule| {
            if let Rule::AscentsPerDay {
                most,
                of: AscentsOf::Staff,
            } = &rule.rule
            {
                Some(*most)
            } else {
                None
            }
        })
        .min()
}
