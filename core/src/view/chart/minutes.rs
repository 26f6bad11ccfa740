//! Skill by skill, how long its lines took of the minutes that the outline plans for them: the
//! middle line and how sure that is, on an axis on which the plan is 100 %.

use super::scale::{Scale, ticks, whole};
use super::{BarMinutes, Chart, ChartBar, Shows};
use crate::view::MinutesRow;

/// The axis ends at twice the plan; what took longer reaches to its end.
const MOST: f64 = 200.0;

impl Chart {
    /// These skills in their order; `None` where enough lines were timed of none.
    pub fn minutes(rows: &[MinutesRow]) -> Option<Self> {
        let scale = Scale::across(0.0, MOST);
        let place = |percent: u32| scale.place(f64::from(percent));
        let bar = |row: &MinutesRow| ChartBar {
            name: row.name.clone(),
            parts: [row.low, row.percent, row.high].map(place).to_vec(),
            of: row.lines,
            minutes: Some(BarMinutes {
                planned: row.planned,
                taken: row.taken,
                percent: row.percent,
                low: row.low,
                high: row.high,
            }),
        };
        (!rows.is_empty()).then(|| Self {
            shows: Shows::Minutes,
            across: ticks(
                MOST,
                50.0,
                |figure| scale.place(figure),
                |figure| format!("{} %", whole(figure)),
            ),
            down: Vec::new(),
            lines: Vec::new(),
            bars: rows.iter().map(bar).collect(),
            facts: Vec::new(),
        })
    }
}
