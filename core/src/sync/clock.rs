//! Clock: how far two devices' clocks differ. It decides nothing; it is only said.

use chrono::{DateTime, FixedOffset};

/// The difference up to which nothing is said, in seconds.
pub const MOST_CLOCK_GAP_SECONDS: u64 = 120;

/// The other device's clock against ours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClockGap {
    /// Seconds by which the other device's clock is ahead; negative when it is behind.
    pub seconds: i64,
}

impl ClockGap {
    /// The gap between our clock and the other's, given as milliseconds since 1970; `None`
    /// when it is too small to mention. The way of the message counts into it, which is
    /// far below what is mentioned.
    pub fn worth_saying(ours: DateTime<FixedOffset>, theirs: i64) -> Option<Self> {
        let seconds = theirs.saturating_sub(ours.timestamp_millis()) / 1000;
        (seconds.unsigned_abs() > MOST_CLOCK_GAP_SECONDS).then_some(Self { seconds })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_minutes_pass_and_more_is_said_in_both_directions() {
        let ours = DateTime::parse_from_rfc3339("2026-06-02T10:15:00+02:00").unwrap();
        let at = |seconds: i64| ours.timestamp_millis() + seconds * 1000;
        assert_eq!(ClockGap::worth_saying(ours, at(120)), None);
        assert_eq!(ClockGap::worth_saying(ours, at(-120)), None);
        assert_eq!(
            ClockGap::worth_saying(ours, at(121)),
            Some(ClockGap { seconds: 121 })
        );
        assert_eq!(
            ClockGap::worth_saying(ours, at(-3600)),
            Some(ClockGap { seconds: -3600 })
        );
        assert!(ClockGap::worth_saying(ours, i64::MIN).is_some());
        assert!(ClockGap::worth_saying(ours, i64::MAX).is_some());
    }
}
