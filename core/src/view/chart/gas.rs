//! The pressure in one diver's cylinder over the time at the planned depth, with the turn and
//! the reserve: what the plan of the gas comes to, drawn.

use super::scale::{Scale, step, ticks, whole};
use super::{Chart, ChartFact, ChartLine, FactIs, LineIs, Shows, Spot, level};
use crate::calc::reserve::{DiverReserve, Turn, TurnRule};
use crate::calc::unit::{GaugeBar, Measured as _};
use crate::view::figure::{self, Of};
use crate::view::{Figure, GasRow, Units};

impl Chart {
    /// One diver of a session's gas, breathed evenly at the planned depth from the fill until the
    /// ascent begins; `None` where no reserve was worked out, or nothing is left above it.
    ///
    /// An even rate at one depth is the plan's own reckoning. A dive is neither.
    pub fn gas(row: &GasRow, rule: TurnRule, units: Units) -> Option<Self> {
        let reserve = row.reserve.as_ref()?;
        let DiverReserve {
            reserve: kept,
            turn: Turn::At { pressure: turn, .. },
            until_turn,
            at_depth,
        } = reserve
        else {
            return None;
        };
        let minutes = f64::from(at_depth.0);
        if at_depth.0 == 0 || row.start.0 <= kept.pressure.0 {
            return None;
        }
        let shown = |bar: GaugeBar| bar.0 * per_bar(units);
        let by = step(shown(row.start), 5.0, 1.0);
        let top = (shown(row.start) / by).ceil() * by;
        let pressure = Scale::down(0.0, top);
        let time = Scale::across(0.0, minutes);
        let at = |bar: GaugeBar| pressure.place_up(shown(bar));
        let end = rule.swum_down_to(row.start, kept.pressure);
        let spot = |minute: f64, bar: GaugeBar| Spot {
            x: time.place(minute),
            y: at(bar),
        };
        let unit = figure::unit(Of::Pressure, units).symbol();
        let figure = |bar: GaugeBar| Figure::of(bar.amount(), units);
        let facts = [
            (FactIs::Fill, figure(row.start)),
            (FactIs::TurnAt, figure(*turn)),
            (FactIs::KeptBack, figure(kept.pressure)),
            (FactIs::UntilTurn, Figure::of(until_turn.amount(), units)),
            (FactIs::UntilAscent, Figure::of(at_depth.amount(), units)),
        ];
        Some(Self {
            shows: Shows::Gas,
            across: ticks(
                minutes,
                step(minutes, 6.0, 1.0),
                |minute| time.place(minute),
                |minute| format!("{} min", whole(minute)),
            ),
            down: ticks(
                top,
                by,
                |figure| pressure.place_up(figure),
                |figure| format!("{} {unit}", whole(figure)),
            ),
            lines: vec![
                ChartLine {
                    what: LineIs::Pressure,
                    spots: vec![spot(0.0, row.start), spot(minutes, end)],
                },
                level(LineIs::Turn, at(*turn)),
                level(LineIs::Reserve, at(kept.pressure)),
            ],
            bars: Vec::new(),
            facts: facts
                .into_iter()
                .map(|(is, figure)| ChartFact { what: is, figure })
                .collect(),
        })
    }
}

/// Shown units in a bar: as [`Of::Pressure`] has it.
const fn per_bar(units: Units) -> f64 {
    match units {
        Units::Metric => 1.0,
        Units::Imperial => 14.503_773_8,
    }
}
