//! Sheet: what stands on an attempt sheet beside the marks.

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    AttemptSheetView, HistoryKind, HistoryLine, LineCounts, Mark, StopwatchView,
};

use super::count;
use crate::ui::{self, App, WatchView, Words};

/// What is demanded beside one met try, and what it builds on; empty where nothing is.
pub(crate) fn demand(ui: &App, sheet: &AttemptSheetView) -> SharedString {
    let words = ui.global::<Words>();
    let demand = &sheet.demand;
    let mut parts = Vec::new();
    if demand.times > 1 {
        parts.push(words.invoke_demand_times(count(demand.times_met), count(demand.times)));
    }
    if demand.sessions > 1 {
        parts
            .push(words.invoke_demand_sessions(count(demand.sessions_met), count(demand.sessions)));
    }
    let still = demand.settings.iter().filter(|one| !one.met);
    parts.extend(still.map(|one| words.invoke_demand_setting(super::setting(&one.setting))));
    let first = sheet.builds_on.iter();
    parts.extend(first.map(|one| words.invoke_builds_on(one.name.clone().into())));
    parts.join(" · ").into()
}

/// What a line of the history looks like.
pub(crate) const fn line_look(line: &HistoryLine) -> ui::Look {
    match (&line.what, &line.counts, &line.mark) {
        (HistoryKind::Exemption, _, _) => ui::Look::Exempt,
        (_, LineCounts::Waits, Some(Mark::Met)) => ui::Look::Shown,
        (_, _, Some(Mark::Met)) => ui::Look::Met,
        (_, _, Some(Mark::Nearly)) => ui::Look::Nearly,
        (_, _, Some(Mark::NotYet)) => ui::Look::NotYet,
        (_, _, Some(Mark::SatOut)) => ui::Look::SatOut,
        (_, _, None) => ui::Look::Open,
    }
}

/// The stopwatch, digit by digit.
pub(crate) fn watch(view: &StopwatchView) -> WatchView {
    let (minutes, seconds) = view.time.text.rsplit_once(':').unwrap_or(("0", "00"));
    let mut digits = seconds.chars();
    let mut digit = || digits.next().unwrap_or('0').to_string().into();
    WatchView {
        running: view.running,
        minutes: minutes.into(),
        seconds_tens: digit(),
        seconds_ones: digit(),
        tenth: view.tenths.to_string().into(),
        started: true,
        reached: view.reached.unwrap_or(false),
    }
}
