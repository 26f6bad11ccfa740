//! Stamp: the one door for the clock, chance and new ids.
//!
//! Nothing else in the core reads a clock or draws a random number (`core/clippy.toml`
//! forbids it), so a test can set the day and get the same ids twice.

use chrono::{
    DateTime, FixedOffset, NaiveDate, NaiveDateTime, Offset as _, TimeDelta, TimeZone as _,
};
use uuid::Uuid;

/// Where time and chance come from.
pub trait Stamps: Send + Sync {
    /// Now, with the device's own offset.
    fn now(&self) -> DateTime<FixedOffset>;
    /// Fills the bytes with chance fit for keys and salts.
    ///
    /// # Errors
    /// [`NoChance`] when the operating system gives none.
    fn chance(&self, bytes: &mut [u8]) -> Result<(), NoChance>;
    /// The offset that the device's place has at a local time: a dive of July has the summer's,
    /// whenever its log is read. The present one where nothing better is known.
    fn offset_at(&self, local: NaiveDateTime) -> FixedOffset {
        let _ = local;
        *self.now().offset()
    }
}

/// The operating system gave no random bytes; nothing can be signed or named safely.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("the operating system gave no random bytes")]
pub struct NoChance;

impl dyn Stamps + '_ {
    /// A new id: UUID version 7 (RFC 9562), from this moment and 74 random bits.
    ///
    /// # Errors
    /// [`NoChance`].
    pub fn id(&self) -> Result<Uuid, NoChance> {
        let mut chance = [0; 10];
        self.chance(&mut chance)?;
        let millis = u64::try_from(self.now().timestamp_millis()).unwrap_or(0);
        Ok(uuid::Builder::from_unix_timestamp_millis(millis, &chance).into_uuid())
    }

    /// 16 random bytes: the actor of a document that has just been opened.
    ///
    /// # Errors
    /// [`NoChance`].
    pub fn actor(&self) -> Result<[u8; 16], NoChance> {
        let mut actor = [0; 16];
        self.chance(&mut actor).map(|()| actor)
    }

    /// 32 random bytes: a key's seed or a salt.
    ///
    /// # Errors
    /// [`NoChance`].
    pub fn secret(&self) -> Result<[u8; 32], NoChance> {
        let mut secret = [0; 32];
        self.chance(&mut secret).map(|()| secret)
    }

    /// Today, where the device is.
    pub fn today(&self) -> NaiveDate {
        self.now().date_naive()
    }
}

/// The device's own clock and chance.
#[derive(Debug, Clone, Copy, Default)]
pub struct DeviceStamps;

impl Stamps for DeviceStamps {
    #[expect(clippy::disallowed_methods, reason = "this is the door")]
    fn now(&self) -> DateTime<FixedOffset> {
        chrono::Local::now().fixed_offset()
    }

    fn offset_at(&self, local: NaiveDateTime) -> FixedOffset {
        let of = |local: &NaiveDateTime| chrono::Local.offset_from_local_datetime(local).earliest();
        // An hour that a clock put forward skips has the offset of the hour before.
        let before = || of(&local.checked_sub_signed(TimeDelta::hours(1))?);
        let found = of(&local).or_else(before);
        found.map_or_else(|| *self.now().offset(), |offset| offset.fix())
    }

    #[expect(clippy::disallowed_methods, reason = "this is the door")]
    fn chance(&self, bytes: &mut [u8]) -> Result<(), NoChance> {
        getrandom::fill(bytes).map_err(|_| NoChance)
    }
}
