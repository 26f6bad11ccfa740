//! The depth of a dive over its time, as its computer recorded it.

use super::scale::{Scale, step, ticks, whole};
use super::{Chart, ChartFact, ChartLine, FactIs, LineIs, Shows, Spot, WIDTH};
use crate::calc::ascent::{NAVY_RATE, Resolution, ascent_report};
use crate::calc::unit::{Measured as _, Metres};
use crate::course::DiveLog;
use crate::view::climb::stopwatch;
use crate::view::figure::{self, Of};
use crate::view::gas::{metres, samples};
use crate::view::{Figure, Units};

impl Chart {
    /// A recorded dive, with what came up too fast and the stay of a stop drawn over it; `None`
    /// where fewer than two samples are kept, or they never left the surface.
    ///
    /// However many samples there are, each of the box's columns keeps its shallowest and its
    /// deepest: a thinned line never hides how deep it was.
    pub fn profile(log: &DiveLog, units: Units) -> Option<Self> {
        let last = log.profile.iter().map(|(second, _)| *second).max()?;
        let deepest = log.profile.iter().map(|(_, cm)| *cm).max()?;
        if log.profile.len() < 2 || last == 0 || deepest == 0 {
            return None;
        }
        let time = Scale::across(0.0, f64::from(last));
        let shown = |depth: Metres| depth.0 * per_metre(units);
        let depths = {
            let span = shown(metres(deepest));
            let by = step(span, 5.0, 1.0);
            (Scale::down(0.0, (span / by).ceil() * by), by, span)
        };
        let (depth, by, span) = depths;
        let spot = |(second, cm): (u32, u32)| Spot {
            x: time.place(f64::from(second)),
            y: depth.place(shown(metres(cm))),
        };
        let mut lines = vec![ChartLine {
            what: LineIs::Depth,
            spots: thinned(log.profile.iter().map(|sample| spot(*sample))),
        }];
        let mut facts = vec![
            fact(FactIs::Deepest, Of::Depth.show(deepest, units)),
            fact(FactIs::Lasted, figure::clock(last)),
        ];
        if let Ok(report) = ascent_report(&samples(log), NAVY_RATE, Resolution::USUAL) {
            let within = |from: f64, until: f64| {
                let inside =
                    |(second, _): &&(u32, u32)| (from..=until).contains(&f64::from(*second));
                let part = log.profile.iter().filter(inside);
                let spots = thinned(part.map(|sample| spot(*sample)));
                (spots.len() > 1).then_some(spots)
            };
            for fast in &report.too_fast {
                lines.extend(within(fast.from.0, fast.until.0).map(|spots| ChartLine {
                    what: LineIs::TooFast,
                    spots,
                }));
            }
            facts.push(fact(
                FactIs::Fastest,
                Figure::of(report.sustained.amount(), units),
            ));
            facts.push(fact(
                FactIs::FastestAllowed,
                Figure::of(NAVY_RATE.amount(), units),
            ));
            if let Some(stop) = report.stop {
                lines.extend(within(stop.from.0, stop.from.0 + stop.time.0).map(|spots| {
                    ChartLine {
                        what: LineIs::Stop,
                        spots,
                    }
                }));
                facts.push(fact(FactIs::StoppedFor, stopwatch(stop.time)));
            }
        }
        let minutes = f64::from(last) / 60.0;
        let unit = figure::unit(Of::Depth, units).symbol();
        Some(Self {
            shows: Shows::Profile,
            across: ticks(
                minutes,
                step(minutes, 6.0, 1.0),
                |minute| time.place(minute * 60.0),
                |minute| format!("{} min", whole(minute)),
            ),
            down: ticks(
                (span / by).ceil() * by,
                by,
                |figure| depth.place(figure),
                |figure| format!("{} {unit}", whole(figure)),
            ),
            lines,
            bars: Vec::new(),
            facts,
        })
    }
}

/// Of the spots of each column the first, the highest, the lowest and the last.
fn thinned(spots: impl Iterator<Item = Spot>) -> Vec<Spot> {
    let mut kept: Vec<Spot> = Vec::with_capacity(usize::from(WIDTH));
    let mut column: Vec<Spot> = Vec::new();
    let close = |column: &mut Vec<Spot>, kept: &mut Vec<Spot>| {
        let low = column.iter().map(|spot| spot.y).min();
        let high = column.iter().map(|spot| spot.y).max();
        let last = column.len().saturating_sub(1);
        let mut seen = [false; 2];
        for (place, spot) in column.drain(..).enumerate() {
            let [least, most] = &mut seen;
            let is_least = !*least && Some(spot.y) == low;
            let is_most = !*most && Some(spot.y) == high;
            *least |= is_least;
            *most |= is_most;
            if (place == 0 || place == last || is_least || is_most)
                && kept.last().is_none_or(|before| *before != spot)
            {
                kept.push(spot);
            }
        }
    };
    for spot in spots {
        if column.last().is_some_and(|before| before.x != spot.x) {
            close(&mut column, &mut kept);
        }
        column.push(spot);
    }
    close(&mut column, &mut kept);
    kept
}

/// Shown units in a metre. A foot is 0.3048 m, exactly.
const fn per_metre(units: Units) -> f64 {
    match units {
        Units::Metric => 1.0,
        Units::Imperial => 1.0 / 0.3048,
    }
}

fn fact(what: FactIs, figure: Figure) -> ChartFact {
    ChartFact { what, figure }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::course::WaterKind;
    use crate::standing::sample::time;
    use crate::view::chart::HEIGHT;

    fn log(profile: &[(u32, u32)]) -> DiveLog {
        DiveLog {
            down: time("2026-06-06T10:00:00+02:00"),
            up: time("2026-06-06T10:20:00+02:00"),
            max_depth_cm: 1_000,
            mean_depth_cm: None,
            ascents: None,
            gas: None,
            water: WaterKind::Fresh,
            temperature_dc: None,
            profile: profile.to_vec(),
        }
    }

    fn line(chart: &Chart, what: LineIs) -> Option<&ChartLine> {
        chart.lines.iter().find(|line| line.what == what)
    }

    #[test]
    fn a_dive_fills_the_box_down_to_the_next_round_depth() {
        let chart =
            Chart::profile(&log(&[(0, 0), (600, 1_000), (1_200, 0)]), Units::Metric).unwrap();
        let spots = &line(&chart, LineIs::Depth).unwrap().spots;
        let spots: Vec<(u16, u16)> = spots.iter().map(|spot| (spot.x, spot.y)).collect();
        assert_eq!(spots, [(0, 0), (500, HEIGHT), (WIDTH, 0)]);
        let said = |ticks: &[super::super::Tick]| -> Vec<String> {
            ticks.iter().map(|tick| tick.says.clone()).collect()
        };
        assert_eq!(
            said(&chart.down),
            ["0 m", "2 m", "4 m", "6 m", "8 m", "10 m"]
        );
        assert_eq!(
            said(&chart.across),
            ["0 min", "5 min", "10 min", "15 min", "20 min"]
        );
        assert_eq!(chart.facts[0].figure.to_string(), "10.0 m");
        assert_eq!(chart.facts[1].figure.to_string(), "20:00");
    }

    #[test]
    fn feet_have_round_feet_on_their_axis() {
        let dive = log(&[(0, 0), (600, 1_000), (1_200, 0)]);
        let chart = Chart::profile(&dive, Units::Imperial).unwrap();
        let last = chart.down.last().unwrap();
        assert_eq!((last.says.as_str(), last.at), ("40 ft", HEIGHT));
    }

    #[test]
    fn samples_that_say_nothing_are_no_picture() {
        for profile in [
            &[][..],
            &[(0, 0), (60, 0)],
            &[(0, 900), (0, 900)],
            &[(60, 900)],
        ] {
            assert!(Chart::profile(&log(profile), Units::Metric).is_none());
        }
    }

    #[test]
    fn what_came_up_too_fast_and_the_stop_lie_on_the_line() {
        // 18 m, up to 5 m at 26 m/min, three minutes there, and up at 8 m/min.
        let mut dive = vec![(0, 0), (60, 1_800)];
        dive.extend((0..=600).step_by(5).map(|second| (100 + second, 1_800)));
        dive.extend((1..=6).map(|step| (700 + step * 5, 1_800 - step * 1_300 / 6)));
        dive.extend((1..=36).map(|step| (730 + step * 5, 500)));
        dive.extend((1..=8).map(|step| (910 + step * 5, 500 - step * 62)));
        let chart = Chart::profile(&log(&dive), Units::Metric).unwrap();
        let depth = line(&chart, LineIs::Depth).unwrap();
        let fast = line(&chart, LineIs::TooFast).unwrap();
        let stop = line(&chart, LineIs::Stop).unwrap();
        let lies_on = |part: &ChartLine| part.spots.iter().all(|spot| depth.spots.contains(spot));
        assert!(lies_on(fast) && lies_on(stop));
        assert!(fast.spots.first().unwrap().y > fast.spots.last().unwrap().y);
        let band = 60..=120; // 3 to 6 m of the 20 that the box is deep
        assert!(
            stop.spots.iter().all(|spot| band.contains(&spot.y)),
            "{stop:?}"
        );
        let stopped = chart
            .facts
            .iter()
            .find(|one| one.what == FactIs::StoppedFor);
        assert_eq!(
            stopped.unwrap().figure.to_string(),
            "3:15",
            "with the way from 5 to 3 m"
        );
    }

    #[test]
    fn thousands_of_samples_are_thinned_and_the_deepest_stays() {
        let depth = |second: u32| {
            if second == 4_321 {
                2_950
            } else {
                1_000 + second % 7
            }
        };
        let dive: Vec<(u32, u32)> = (0..20_000).map(|second| (second, depth(second))).collect();
        let chart = Chart::profile(&log(&dive), Units::Metric).unwrap();
        let spots = &line(&chart, LineIs::Depth).unwrap().spots;
        assert!(spots.len() <= 4 * usize::from(WIDTH) + 4, "{}", spots.len());
        let lowest = spots.iter().map(|spot| spot.y).max().unwrap();
        assert_eq!(lowest, Scale::down(0.0, 30.0).place(29.5));
        assert!(spots.windows(2).all(|pair| pair[0].x <= pair[1].x));
    }
}
