//! How sure an interval is to be.
//!
//! Source of the quantiles: Abramowitz, M. and Stegun, I. A., Handbook of Mathematical Functions,
//! 1964, table 26.5 (normal quantiles); here to sixteen figures.

use crate::calc::unit::Share;

/// The level of a two-sided interval.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Enum),
    uniffi(name = "EvidenceLevel")
)]
pub enum Level {
    /// 80 %.
    Eighty,
    /// 90 %.
    Ninety,
    /// 95 %, the usual one.
    NinetyFive,
    /// 99 %.
    NinetyNine,
}

impl Level {
    /// The share of one that lies below the interval, and above it.
    pub(super) fn tail(self) -> f64 {
        match self {
            Self::Eighty => 0.1,
            Self::Ninety => 0.05,
            Self::NinetyFive => 0.025,
            Self::NinetyNine => 0.005,
        }
    }

    /// The normal quantile that leaves that tail.
    pub(super) fn z(self) -> f64 {
        match self {
            Self::Eighty => 1.281_551_565_544_600_4,
            Self::Ninety => 1.644_853_626_951_472_2,
            Self::NinetyFive => 1.959_963_984_540_054,
            Self::NinetyNine => 2.575_829_303_548_900_4,
        }
    }
}

/// A two-sided interval of a share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Its lower end.
    pub low: Share,
    /// Its upper end.
    pub high: Share,
}
