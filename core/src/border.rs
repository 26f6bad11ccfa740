//! Border: how what the core holds crosses into other languages, as it is and under its own
//! name. Only with the feature `border`; `tallywater-bindings` is the room that asks for it.
//!
//! A record or a choice that crosses derives it where it is written. What is no plain value
//! crosses as a text: an id as it prints, a day as `2026-06-06`, a moment as RFC 3339 with its
//! offset. No view takes one back: what a person asks for comes through `tallywater-bindings`,
//! which has a fault for a text that is none.

use chrono::{DateTime, FixedOffset, NaiveDate, Weekday};

use crate::course::{
    BlockId, CourseId, EntryId, LedgerId, MethodId, PieceId, RuleId, SessionId, SiteId, SkillId,
    SlipId, StaffId, StudentId,
};
use crate::entry::{DeviceKey, Sha256Hex};
use crate::paper::SlateNumber;

/// Where a type says that it is at home. UniFFI makes one module of each crate in every
/// language; by this name the core's types are in the one of `tallywater-bindings`, and an app
/// has one module. Rooms that come after this one in `lib.rs` see it instead of Rust's own.
macro_rules! module_path {
    () => {
        "tallywater_bindings"
    };
}

/// What UniFFI tells one crate's ways of crossing from another's by.
#[derive(Debug, Clone, Copy)]
pub struct UniFfiTag;

macro_rules! ids {
    ($($(#[$doc:meta])* $id:ident),* $(,)?) => { $(
        uniffi::custom_type!(
            $(#[$doc])*
            $id, String, {
            lower: |id| id.to_string(),
            try_lift: |text| Ok(text.parse()?),
        });
    )* };
}
ids!(
    /// A course's id.
    CourseId,
    /// The id of a piece of kit.
    PieceId,
    /// A student's id.
    StudentId,
    /// The id of a member of staff, or of the shop's office.
    StaffId,
    /// A session's id.
    SessionId,
    /// A site's id.
    SiteId,
    /// The id of one signed line of a ledger.
    EntryId,
    /// A skill, by the word its outline gives it: `mask-full`.
    SkillId,
    /// A method of a skill, by the word its outline gives it.
    MethodId,
    /// A slip, by the word its outline gives it.
    SlipId,
    /// A rule of a policy, by its word.
    RuleId,
    /// A block of an outline, by its word.
    BlockId,
    /// A ledger: whose, and of what.
    LedgerId,
    /// The key of a device, as it is printed.
    DeviceKey,
    /// The number of a printed slate.
    SlateNumber,
);

/// A day of the week.
#[uniffi::remote(Enum)]
pub enum Weekday {
    /// Monday.
    Mon,
    /// Tuesday.
    Tue,
    /// Wednesday.
    Wed,
    /// Thursday.
    Thu,
    /// Friday.
    Fri,
    /// Saturday.
    Sat,
    /// Sunday.
    Sun,
}

uniffi::custom_type!(
    /// A SHA-256 sum, as 64 hexadecimal digits.
    Sha256Hex, String, {
    lower: |sum| sum.to_string(),
    try_lift: |text| Ok(text.try_into()?),
});

type IsoDate = NaiveDate;
type IsoTime = DateTime<FixedOffset>;

uniffi::custom_type!(
    /// A day, as `2026-06-06`.
    IsoDate, String, {
    remote,
    lower: |date| date.to_string(),
    try_lift: |text| Ok(text.parse()?),
});
uniffi::custom_type!(
    /// A moment by the clock of its place, as RFC 3339: `2026-06-06T10:00:00+02:00`.
    IsoTime, String, {
    remote,
    lower: |time| time.to_rfc3339(),
    try_lift: |text| Ok(DateTime::parse_from_rfc3339(&text)?),
});

type Count = usize;

uniffi::custom_type!(
    /// How many.
    Count, u32, {
    remote,
    lower: |count| u32::try_from(count).unwrap_or(u32::MAX),
    try_lift: |count| Ok(usize::try_from(count)?),
});
