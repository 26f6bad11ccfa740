//! Picture: a chart with its words, drawn on paper and into a file. The shapes come from
//! [`crate::view::Chart`]; here stands how each line is told from the others without colour,
//! and what is said for whoever cannot see it.

mod svg;

use super::words::Words;
use crate::view::{Chart, FactIs, LineIs, Shows};

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pen {
    /// In points at a width of 170 mm.
    pub(crate) thick: f32,
    /// In dashes.
    pub(crate) dashed: bool,
}

/// Each line by its thickness and dashes, so that no two of a chart look alike in one ink.
pub(crate) const fn pen(is: LineIs) -> Pen {
    let (thick, dashed) = match is {
        LineIs::Depth | LineIs::Pressure | LineIs::NoStop | LineIs::Met => (1.4, false),
        LineIs::TooFast => (4.0, false),
        LineIs::Stop => (3.0, true),
        LineIs::Turn => (0.8, true),
        LineIs::Reserve | LineIs::NoLimit | LineIs::Required => (0.8, false),
    };
    Pen { thick, dashed }
}

impl Words {
    /// What a chart shows.
    pub(crate) const fn chart_title(&self, shows: Shows) -> &'static str {
        match shows {
            Shows::Profile => self.chart_profile,
            Shows::Gas => self.chart_gas,
            Shows::NoStop => self.chart_no_stop,
            Shows::Tries => self.chart_tries,
            Shows::Way => self.chart_way,
            Shows::Minutes => self.season_minutes,
        }
    }

    /// What a line is.
    pub(crate) const fn chart_line(&self, is: LineIs) -> &'static str {
        match is {
            LineIs::Depth => self.line_depth,
            LineIs::TooFast => self.line_too_fast,
            LineIs::Stop => self.line_stop,
            LineIs::Pressure => self.line_pressure,
            LineIs::Turn => self.line_turn,
            LineIs::Reserve => self.line_reserve,
            LineIs::NoStop => self.line_no_stop,
            LineIs::NoLimit => self.line_no_limit,
            LineIs::Met => self.line_met,
            LineIs::Required => self.line_required,
        }
    }

    const fn chart_fact(&self, is: FactIs) -> &'static str {
        match is {
            FactIs::Deepest => self.deepest,
            FactIs::Lasted => self.time,
            FactIs::Fastest => self.fact_fastest,
            FactIs::FastestAllowed => self.fact_allowed,
            FactIs::StoppedFor => self.fact_stopped,
            FactIs::Fill => self.fact_fill,
            FactIs::TurnAt => self.line_turn,
            FactIs::KeptBack => self.line_reserve,
            FactIs::UntilTurn => self.fact_until_turn,
            FactIs::UntilAscent => self.fact_until_ascent,
            FactIs::AskedDepth => self.line_depth,
            FactIs::LeftAtFirst => self.fact_left_first,
            FactIs::LeftAtLast => self.fact_left_last,
            FactIs::NoLimitAtFirst => self.fact_free_first,
            FactIs::NoLimitAtLast => self.fact_free_last,
            FactIs::DrawnUpTo => self.fact_drawn_to,
            FactIs::SkillsMet => self.line_met,
            FactIs::SkillsRequired => self.line_required,
        }
    }

    /// The whole chart in one sentence: what it shows, then figure by figure, then bar by bar.
    pub(crate) fn chart_said(&self, chart: &Chart) -> String {
        let facts = chart.facts.iter();
        let facts = facts.map(|one| format!("{} {}", self.chart_fact(one.what), one.figure));
        let bars = chart.bars.iter().map(|bar| self.bar_said(bar));
        let said: Vec<String> = facts.chain(bars).collect();
        let title = self.chart_title(chart.shows);
        if said.is_empty() {
            title.to_owned()
        } else {
            format!("{title}: {}", said.join(" · "))
        }
    }

    /// A bar in words.
    pub(crate) fn bar_said(&self, bar: &crate::view::ChartBar) -> String {
        if let Some(minutes) = &bar.minutes {
            let said = super::words::fill(
                self.bar_minutes,
                &[
                    ("planned", &minutes.planned.to_string()),
                    ("taken", &minutes.taken.to_string()),
                    ("percent", &minutes.percent.to_string()),
                    ("low", &minutes.low.to_string()),
                    ("high", &minutes.high.to_string()),
                ],
            );
            return format!("{} ({}): {said}", bar.name, bar.of);
        }
        let percent = |at: &u16| format!("{} %", (u32::from(*at) + 5) / 10);
        let shares: Vec<String> = bar.parts.iter().map(percent).collect();
        let said = match shares.as_slice() {
            [first, second, third, all] => super::words::fill(
                self.bar_shares,
                &[
                    ("first", first),
                    ("second", second),
                    ("third", third),
                    ("all", all),
                ],
            ),
            _ => self.bar_too_few.to_owned(),
        };
        format!("{} ({}): {said}", bar.name, bar.of)
    }
}
