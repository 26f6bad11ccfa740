//! No-stop limits: the table first, a model beside it, the shorter one counts.

use tallywater_core::calc;

use crate::calc::reckon::{Given as _, Told, outside, reckon};
use crate::{
    Caution, DiveLink, DivesBefore, Fault, Figure, NoStopGroup, Recommendation, ShorterOpinion,
    Units, WaterChoice,
};

reckon! {
    /// How long a dive may last without a stop.
    told enum NoStopLimit = calc::no_stop::Limit {
        Unlimited,
        Minutes(minutes: Figure),
    }

    /// What a surface interval leaves.
    told enum AfterInterval = calc::no_stop::AfterInterval {
        SameDive,
        Group(group: NoStopGroup),
        NotRepetitive,
    }

    /// The nitrogen that a dive begins with, as time on its row.
    told enum ResidualTime = calc::no_stop::Residual {
        None,
        Minutes(minutes: Figure),
        GroupStays,
        At30(minutes: Figure),
    }

    /// What the table says before a dive.
    told record NoStop = calc::no_stop::NoStop {
        row: Figure,
        residual: ResidualTime,
        limit: NoStopLimit,
        caution: Caution,
    }

    /// What the table says after a dive.
    told record DiveEnd = calc::no_stop::DiveEnd {
        bottom: Figure,
        equivalent: Option<Figure>,
        group: NoStopGroup,
    }

    /// One dive of a day.
    given record PlannedDive = calc::no_stop::PlannedDive {
        interval: f64,
        depth: f64,
        bottom: f64,
    }

    /// One dive as the table sees it.
    told record DayLine = calc::no_stop::DayLine {
        link: DiveLink,
        depth: Figure,
        row: Figure,
        before: Option<NoStopGroup>,
        residual: ResidualTime,
        limit: NoStopLimit,
        bottom: Figure,
        equivalent: Option<Figure>,
        group: NoStopGroup,
    }

    /// The dive that would go beyond its limit.
    told record BeyondLimit = calc::no_stop::BeyondLimit {
        dive: u32,
        asked: Figure,
        limit: Figure,
    }

    /// A day as the table sees it.
    told record DayPlan = calc::no_stop::DayPlan {
        lines: Vec<DayLine>,
        beyond: Option<BeyondLimit>,
        highest: Option<NoStopGroup>,
        caution: Caution,
    }

    /// One person's day so far, staff as well as students.
    given record PersonDay = calc::no_stop::PersonDay {
        dives: Vec<PlannedDive>,
        interval: f64,
    }

    /// The next dive of the class.
    told record ClassLimit = calc::no_stop::ClassLimit {
        days: Vec<DayPlan>,
        before: Vec<Option<NoStopGroup>>,
        limits: Vec<NoStopLimit>,
        limit: NoStopLimit,
        shortest: Option<u32>,
        caution: Caution,
    }

    /// Where the day is dived.
    given record NoStopSite = calc::no_stop::NoStopSite {
        altitude: f64,
        since_arrival: Option<f64>,
    }

    /// How long to wait.
    told record FlyingWait = calc::no_stop::FlyingWait {
        workshop: PublishedWait,
        navy: PublishedWait,
        wait: PublishedWait,
        longer: Recommendation,
        caution: Caution,
    }

    /// How much of the model's allowance may be used, 10 to 100 % each, the low not above the high.
    both record GradientFactors = calc::no_stop::GradientFactors {
        low: f64,
        high: f64,
    }

    /// How long the model would let a diver stay.
    told enum ModelLimit = calc::no_stop::ModelLimit {
        Minutes(minutes: Figure),
        LongerThan(minutes: Figure),
    }

    /// The table's limit with the model's beside it.
    told record SecondOpinion = calc::no_stop::SecondOpinion {
        table: NoStopLimit,
        model: ModelLimit,
        limit: NoStopLimit,
        shorter: ShorterOpinion,
        factors: GradientFactors,
        caution: Caution,
    }
}

/// One published wait, in hours and minutes.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum PublishedWait {
    /// At least this long.
    AtLeast {
        /// How long.
        wait: Figure,
    },
    /// Substantially longer than this; how much was not published.
    LongerThan {
        /// Than what.
        wait: Figure,
    },
    /// The source says nothing for this altitude.
    Silent,
}

impl Told<PublishedWait> for calc::no_stop::PublishedWait {
    fn told(self, _: Units) -> PublishedWait {
        let hours = |minutes: calc::unit::MinutesWhole| Figure::hours(minutes.0);
        match self {
            Self::AtLeast(wait) => PublishedWait::AtLeast { wait: hours(wait) },
            Self::LongerThan(wait) => PublishedWait::LongerThan { wait: hours(wait) },
            Self::Silent => PublishedWait::Silent,
        }
    }
}

/// What the table says before a dive: a first one, or from a group.
#[uniffi::export]
pub fn no_stop(units: Units, depth: f64, before: Option<NoStopGroup>) -> Result<NoStop, Fault> {
    let answer = calc::no_stop::no_stop(depth.given(units), before);
    Ok(answer.map_err(outside(units))?.told(units))
}

/// What the table says after a dive.
#[uniffi::export]
pub fn no_stop_end(
    units: Units,
    depth: f64,
    before: Option<NoStopGroup>,
    bottom: f64,
) -> Result<DiveEnd, Fault> {
    let end = calc::no_stop::no_stop_end(depth.given(units), before, bottom.given(units));
    Ok(end.map_err(outside(units))?.told(units))
}

/// What a surface interval, in minutes, leaves of a group.
#[uniffi::export]
pub fn after_interval(group: NoStopGroup, interval: f64) -> Result<AfterInterval, Fault> {
    let units = Units::Metric;
    let left = calc::no_stop::after_interval(group, interval.given(units));
    Ok(left.map_err(outside(units))?.told(units))
}

/// The group that a diver brings along who has just come up to an altitude.
#[uniffi::export]
pub fn arrival_group(units: Units, altitude: f64) -> Result<Option<NoStopGroup>, Fault> {
    calc::no_stop::arrival_group(altitude.given(units)).map_err(outside(units))
}

/// One person's day of dives by the table.
#[uniffi::export]
pub fn day_plan(units: Units, dives: Vec<PlannedDive>, site: NoStopSite) -> Result<DayPlan, Fault> {
    let dives: Vec<calc::no_stop::PlannedDive> = dives.given(units);
    let plan = calc::no_stop::day_plan(&dives, site.given(units));
    Ok(plan.map_err(outside(units))?.told(units))
}

/// What is left for a whole class on its next dive: the shortest of everybody's.
#[uniffi::export]
pub fn class_limit(
    units: Units,
    people: Vec<PersonDay>,
    depth: f64,
    site: NoStopSite,
) -> Result<ClassLimit, Fault> {
    let people: Vec<calc::no_stop::PersonDay> = people.given(units);
    let limit = calc::no_stop::class_limit(&people, depth.given(units), site.given(units));
    Ok(limit.map_err(outside(units))?.told(units))
}

/// The table's limit with a model's beside it: the shorter one counts. Without factors,
/// a usual setting of computers.
#[uniffi::export]
pub fn second_opinion(
    units: Units,
    person: PersonDay,
    depth: f64,
    site: NoStopSite,
    water: WaterChoice,
    temperature: f64,
    factors: Option<GradientFactors>,
) -> Result<SecondOpinion, Fault> {
    let no = outside(units);
    let density = calc::water::density(water.given(units), temperature.given(units));
    let factors = factors.given(units);
    let opinion = calc::no_stop::second_opinion(
        &person.given(units),
        depth.given(units),
        site.given(units),
        density.map_err(&no)?,
        factors.unwrap_or(calc::no_stop::GradientFactors::USUAL),
    );
    Ok(opinion.map_err(no)?.told(units))
}

/// How long to wait before flying, or before driving to an altitude.
#[uniffi::export]
pub fn flying_wait(
    units: Units,
    dives: DivesBefore,
    highest: Option<NoStopGroup>,
    altitude: f64,
) -> Result<FlyingWait, Fault> {
    let wait = calc::no_stop::flying_wait(dives, highest, altitude.given(units));
    Ok(wait.map_err(outside(units))?.told(units))
}
