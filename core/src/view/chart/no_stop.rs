//! The no-stop time that one diver has left at one depth, over the clock: after a dive little,
//! and more with every hour at the surface.

use chrono::{DateTime, FixedOffset, TimeDelta, Timelike as _};

use super::scale::{Scale, step, ticks, whole};
use super::{Chart, ChartFact, ChartLine, FactIs, LineIs, Shows, Spot, level};
use crate::calc::no_stop::Limit as NoStopLimit;
use crate::calc::unit::{Measured as _, MinutesWhole};
use crate::entry::Who;
use crate::standing::CourseStanding;
use crate::view::exposure::{left, weighing};
use crate::view::{Figure, NextDive, Units};

/// How far ahead it looks: after that the table has forgotten an ordinary day's dives.
const AHEAD: TimeDelta = TimeDelta::hours(12);
/// From one point to the next.
const EVERY: TimeDelta = TimeDelta::minutes(15);
/// A longer limit than this, or none, is drawn as this, and the picture says so: nobody of these
/// courses is at depth for longer.
const TOP: u32 = 120;

impl Chart {
    /// What a person has left at the depth of a dive, from its begin on for twelve hours; `None`
    /// where it cannot be said for that person, and then nothing is left.
    ///
    /// Dives in these other courses count as well. What was dived elsewhere nobody here knows.
    pub fn no_stop(
        course: &CourseStanding,
        others: &[&CourseStanding],
        next: &NextDive,
        who: Who,
        units: Units,
    ) -> Option<Self> {
        let dives = weighing(course, others, who, next);
        let mut all = Vec::new();
        let mut at = next.at;
        while at <= next.at + AHEAD {
            let later = NextDive { at, ..*next };
            let opinion = left(&dives, &later)?;
            all.push((at, opinion.limit));
            at += EVERY;
        }
        Self::over(&all, next, units)
    }

    fn over(
        all: &[(DateTime<FixedOffset>, NoStopLimit)],
        next: &NextDive,
        units: Units,
    ) -> Option<Self> {
        let minutes = |limit: &NoStopLimit| match limit {
            NoStopLimit::Unlimited => TOP,
            NoStopLimit::Minutes(MinutesWhole(minutes)) => (*minutes).min(TOP),
        };
        let most = all.iter().map(|(_, limit)| minutes(limit)).max()?;
        let by = step(f64::from(most.max(1)), 5.0, 1.0);
        let top = (f64::from(most.max(1)) / by).ceil() * by;
        let scale = Scale::down(0.0, top);
        let whole_span = f64::from(u32::try_from(AHEAD.num_minutes()).ok()?);
        let time = Scale::across(0.0, whole_span);
        let after = |at: &DateTime<FixedOffset>| {
            u32::try_from((*at - next.at).num_minutes()).map_or(0.0, f64::from)
        };
        let spots = all.iter().map(|(at, limit)| Spot {
            x: time.place(after(at)),
            y: scale.place_up(f64::from(minutes(limit))),
        });
        let clock = |minute: f64| {
            #[expect(clippy::cast_possible_truncation, reason = "minutes of twelve hours")]
            let at = next.at + TimeDelta::minutes(minute as i64);
            format!("{:02}:{:02}", at.hour(), at.minute())
        };
        let depth = || Figure::of(next.depth.amount(), units);
        let said = |limit: &NoStopLimit, left: FactIs, free: FactIs| match limit {
            NoStopLimit::Unlimited => (free, depth()),
            NoStopLimit::Minutes(minutes) => (left, Figure::of(minutes.amount(), units)),
        };
        let first = all
            .first()
            .map(|(_, limit)| said(limit, FactIs::LeftAtFirst, FactIs::NoLimitAtFirst));
        let last = all
            .last()
            .map(|(_, limit)| said(limit, FactIs::LeftAtLast, FactIs::NoLimitAtLast));
        let cut = all.iter().any(|(_, limit)| match limit {
            NoStopLimit::Unlimited => true,
            NoStopLimit::Minutes(MinutesWhole(minutes)) => *minutes > TOP,
        });
        let highest = (
            FactIs::DrawnUpTo,
            Figure::of(MinutesWhole(TOP).amount(), units),
        );
        let facts = [
            Some((FactIs::AskedDepth, depth())),
            first,
            last,
            cut.then_some(highest),
        ];
        let mut lines = vec![ChartLine {
            what: LineIs::NoStop,
            spots: spots.collect(),
        }];
        if cut {
            lines.push(level(LineIs::NoLimit, scale.place_up(f64::from(TOP))));
        }
        Some(Self {
            shows: Shows::NoStop,
            across: ticks(whole_span, 120.0, |minute| time.place(minute), clock),
            down: ticks(
                top,
                by,
                |figure| scale.place_up(figure),
                |figure| format!("{} min", whole(figure)),
            ),
            lines,
            bars: Vec::new(),
            facts: facts
                .into_iter()
                .flatten()
                .map(|(is, figure)| ChartFact { what: is, figure })
                .collect(),
        })
    }
}
