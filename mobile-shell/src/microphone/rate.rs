//! Rate: samples of one rate as samples of another, each the mean of what fell into its time.
//!
//! Plain enough for speech: what lies above half the new rate is damped by the mean and not cut
//! off. Whole numbers alone, so that nothing is lost between two pieces.

/// One channel, from one rate to another.
#[derive(Debug, Clone)]
pub struct Rate {
    /// How long a sample of each is, in the time that is a whole number of both.
    from: i64,
    into: i64,
    /// What is missing of the sample that is being made, and the sum so far.
    missing: i64,
    sum: i64,
}

impl Rate {
    /// From so many samples a second to so many; a rate of nought is taken for one.
    pub fn new(from: u32, into: u32) -> Self {
        let (from, into) = (i64::from(into.max(1)), i64::from(from.max(1)));
        Self {
            from,
            into,
            missing: into,
            sum: 0,
        }
    }

    /// One sample more; each that is done is handed on.
    pub fn push(&mut self, sample: i16, mut done: impl FnMut(i16)) {
        let mut left = self.from;
        while left > 0 {
            let taken = left.min(self.missing);
            self.sum += i64::from(sample) * taken;
            self.missing -= taken;
            left -= taken;
            if self.missing == 0 {
                done(i16::try_from(self.sum / self.into).unwrap_or(0));
                self.missing = self.into;
                self.sum = 0;
            }
        }
    }
}

/// The mean of one moment in every channel.
pub fn mean(channels: &[i16]) -> i16 {
    let sum: i64 = channels.iter().map(|sample| i64::from(*sample)).sum();
    let many = i64::try_from(channels.len()).unwrap_or(1).max(1);
    i16::try_from(sum / many).unwrap_or(0)
}
