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

    /// Half of all ways lie between these.
    pub fn half(&self) -> (u32, u32) {
        (self.quantile(25), self.quantile(75))
    }

    /// Four in five lie between these.
    pub fn most(&self) -> (u32, u32) {
        (self.quantile(10), self.quantile(90))
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
