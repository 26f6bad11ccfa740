//! Calendar: the hours of pool and site that the school has, and when somebody is away.

use chrono::{DateTime, FixedOffset, TimeDelta};
use serde::{Deserialize, Serialize};

use super::{Setting, clean_line, folded, is_blank};

/// Hours of a pool or a site that the school may use.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Slot {
    /// By what a calendar knows it for good (RFC 5545, UID); read again it is the same slot.
    pub uid: String,
    /// What is held there.
    pub setting: Setting,
    /// The pool, lake or beach, in words, as sessions name it.
    pub site: String,
    /// From when.
    pub starts: DateTime<FixedOffset>,
    /// For how long.
    pub minutes: u16,
    /// What it costs, in the school's own words: "40 EUR". Nothing is reckoned from it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<String>,
}

impl Slot {
    /// Until when; its start, where the calendar ends before it does.
    pub fn ends(&self) -> DateTime<FixedOffset> {
        let length = TimeDelta::minutes(self.minutes.into());
        self.starts
            .checked_add_signed(length)
            .unwrap_or(self.starts)
    }

    /// As it is kept: texts composed, and without what cannot be seen. One that no calendar
    /// knows is known by its start and place.
    #[must_use]
    pub fn cleaned(mut self) -> Self {
        self.site = clean_line(&self.site);
        self.uid = if is_blank(&self.uid) {
            format!("{} {}", self.starts.to_rfc3339(), folded(&self.site))
        } else {
            clean_line(&self.uid)
        };
        let price = self.price.map(|price| clean_line(&price));
        self.price = price.filter(|price| !price.is_empty());
        self
    }
}

/// A time when somebody does not come. Why is nobody's business, and is not kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Away {
    /// By what a calendar knows it for good (RFC 5545, UID).
    pub uid: String,
    /// From when.
    pub from: DateTime<FixedOffset>,
    /// Until when; of whole days the midnight after the last.
    pub until: DateTime<FixedOffset>,
}

impl Away {
    /// As it is kept. One that no calendar knows is known by its beginning and end.
    #[must_use]
    pub fn cleaned(mut self) -> Self {
        self.uid = if is_blank(&self.uid) {
            format!("{} {}", self.from.to_rfc3339(), self.until.to_rfc3339())
        } else {
            clean_line(&self.uid)
        };
        self
    }

    /// Whether it takes any of these hours.
    pub fn meets(&self, from: DateTime<FixedOffset>, until: DateTime<FixedOffset>) -> bool {
        self.from < until && from < self.until
    }
}
