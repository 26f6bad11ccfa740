//! Spread: many possible numbers of sessions, as a person can read them.

/// Possible numbers of sessions, least first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spread(Vec<u32>);

impl Spread {
    /// Of what came out, way by way.
    pub fn of(mut all: Vec<u32>) -> Self {
        all.sort_unstable();
        Self(all)
    }

    /// The least number that this many of a hundred do not exceed.
    pub fn quantile(&self, percent: u32) -> u32 {
        let count = u64::try_from(self.0.len()).unwrap_or(u64::MAX);
        let place = (count * u64::from(percent.min(100)))
            .div_ceil(100)
            .saturating_sub(1);
        let place = usize::try_from(place).unwrap_or(usize::MAX);
        self.0.get(place).or(self.0.last()).copied().unwrap_or(0)
    }

    /// Half of all ways lie between these, as nearly as whole sessions within
    /// [`most`](Self::most) allow.
    pub fn half(&self) -> (u32, u32) {
        self.about_the_middle(25, self.most())
    }

    /// Four in five lie between these, as nearly as whole sessions allow.
    pub fn most(&self) -> (u32, u32) {
        self.about_the_middle(10, (0, u32::MAX))
    }

    /// From the quantile with so many of a hundred below it to the one with as many above, or
    /// one end or both a session further in: whichever holds most nearly what lies between.
    /// Both ends counted in would mostly hold more. Of equals the one that ends later: a
    /// course that was told too short is the worse mistake.
    fn about_the_middle(&self, tail: u32, (least, last): (u32, u32)) -> (u32, u32) {
        let (from, to) = (self.quantile(tail), self.quantile(100 - tail));
        let (from, to) = (from.max(least), to.min(last));
        let middle = self.quantile(50);
        let percent = usize::try_from(100 - 2 * tail).unwrap_or(100);
        let wanted = self.0.len().saturating_mul(percent);
        let further = [
            (from, to),
            (from.saturating_add(1), to),
            (from, to.saturating_sub(1)),
            (from.saturating_add(1), to.saturating_sub(1)),
        ];
        let around = |(from, to): &(u32, u32)| (*from..=*to).contains(&middle);
        let best = further.into_iter().filter(around).min_by_key(|(from, to)| {
            let held = self.between(*from, *to).saturating_mul(100);
            (held.abs_diff(wanted), std::cmp::Reverse(*to), *from)
        });
        best.unwrap_or((from, to))
    }

    /// How many lie between two numbers, both included.
    fn between(&self, from: u32, to: u32) -> usize {
        let below = self.0.partition_point(|one| *one < from);
        let within = self.0.partition_point(|one| *one <= to);
        within.saturating_sub(below)
    }

    /// Of a thousand ways, how many end within so many sessions, rounded down.
    pub fn within_per_mille(&self, sessions: u32) -> u32 {
        let within = self.0.partition_point(|one| *one <= sessions);
        let of = self.0.len().max(1);
        u32::try_from(within * 1_000 / of).unwrap_or(1_000)
    }

    /// Every number, least first.
    pub fn all(&self) -> &[u32] {
        &self.0
    }
}
