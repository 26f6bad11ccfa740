//! A row of figures: what was measured, beside what is allowed.

use std::time::Duration;

/// What has been measured so far.
pub(crate) struct Report {
    asked: Option<String>,
    within: bool,
}

impl Report {
    /// A report of the rows whose name has this word, or of all.
    pub(crate) const fn new(asked: Option<String>) -> Self {
        Self {
            asked,
            within: true,
        }
    }

    /// Whether rows of this name are to be measured.
    pub(crate) fn wants(&self, name: &str) -> bool {
        self.asked.as_ref().is_none_or(|word| name.contains(word))
    }

    /// One cost as a multiple of another, taken in the same run.
    pub(crate) fn ratio(&mut self, name: &str, ours: Duration, bare: Duration, budget: f64) {
        let ratio = ours.as_secs_f64() / bare.as_secs_f64();
        println!(
            "{name}: {} beside {} bare = {ratio:.3} x (budget {budget:.2} x){}",
            shown(ours),
            shown(bare),
            self.judge(ratio <= budget)
        );
    }

    /// One cost against a budget in time.
    pub(crate) fn time(&mut self, name: &str, ours: Duration, budget: Duration) {
        println!(
            "{name}: {} (budget {}){}",
            shown(ours),
            shown(budget),
            self.judge(ours <= budget)
        );
    }

    /// So many done in a time, against how many a second are wanted at least.
    #[allow(dead_code, reason = "not every bench counts by the second")]
    pub(crate) fn rate(&mut self, name: &str, done: usize, time: Duration, budget: f64) {
        let rate = f64::from(u32::try_from(done).unwrap_or(u32::MAX)) / time.as_secs_f64();
        println!(
            "{name}: {rate:.0} a second, {} in all (budget {budget:.0} a second){}",
            shown(time),
            self.judge(rate >= budget)
        );
    }

    /// A figure that has no budget and explains another.
    pub(crate) fn note(&self, name: &str, ours: Duration) {
        println!("{name}: {}", shown(ours));
    }

    /// A figure as a share of another, which explains it.
    pub(crate) fn share(&self, name: &str, part: Duration, whole: Duration) {
        let share = part.as_secs_f64() / whole.as_secs_f64() * 100.0;
        println!("{name}: {}, {share:.0} % of it", shown(part));
    }

    fn judge(&mut self, holds: bool) -> &'static str {
        self.within &= holds;
        if holds { "" } else { "  OVER BUDGET" }
    }

    /// Whether every row so far was within its budget.
    pub(crate) const fn within(&self) -> bool {
        self.within
    }
}

/// The value below which that share of the measurements lies.
pub(crate) fn percentile(measured: &mut [Duration], percent: usize) -> Duration {
    measured.sort_unstable();
    measured[(measured.len() - 1) * percent / 100]
}

fn shown(time: Duration) -> String {
    if time < Duration::from_millis(1) {
        format!("{:.1} us", time.as_secs_f64() * 1e6)
    } else {
        format!("{:.2} ms", time.as_secs_f64() * 1e3)
    }
}
