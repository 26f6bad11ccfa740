//! Bundle: a whole course as one signed file, for a referral, an archive or a check.
//!
//! ```text
//! "tallywater file\n" (16) | version (1) | root key (32) | made, RFC 3339 (25)
//! | number of ledgers (2) | each: signed form (17), length (8), bytes
//! | of version 2: number of photographs and sounds (4) | each: SHA-256 (32), length (4), bytes
//! | device key (32) | signature (64) over all before it
//! ```
//! Numbers are big-endian; a ledger's bytes are its changes, plain and joined end to end, so
//! that what they claim can be looked at before the engine unpacks anything. In it are the course's ledger, what of the shop's ledger it takes
//! to check it, and, if wanted, the students' own ledgers and what is kept of them beside it. Reading believes nothing: every
//! length is bounded, every ledger is opened behind the guard, every signature is checked,
//! and a single changed byte anywhere makes the file refused.

mod open;
mod public;
mod seal;

pub use open::{BundleFile, BundleStanding, OpenBundle, read_bundle};
#[cfg(test)]
pub(crate) use public::is_public;
pub use public::public_part;
pub(crate) use seal::read_back;
pub use seal::{BundleParts, Signing, write_bundle, write_bundle_of};

use crate::course::LedgerId;
use crate::ledger::LedgerError;
use crate::ledger::plain::NotPlain;

const MAGIC: &[u8; 16] = b"tallywater file\n";
const VERSION: u8 = 2;
/// A photograph's or a sound's digest and length before its bytes.
const AROUND_FILE: usize = 32 + 4;
const DOMAIN: &[u8] = b"tallywater bundle 1\0";
/// Length of a time with seconds and offset: `2026-06-02T10:15:00+02:00`.
const MADE: usize = 25;
/// A course of 10,000 entries is some 10 MB; far above it is no course.
const MOST_BYTES: usize = 512 << 20;

/// Why a file was refused, or could not be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BundleError {
    /// Another kind of file.
    #[error("this is not a course file")]
    NotABundle,
    /// From a newer version.
    #[error("the course file is of format {found}, and this version knows up to {known}")]
    Newer {
        /// The version found.
        found: u8,
        /// The newest known.
        known: u8,
    },
    /// Cut off, or with something behind its end.
    #[error("the course file is damaged: its {what} does not fit its length")]
    Damaged {
        /// Which part.
        what: &'static str,
    },
    /// Larger than any course.
    #[error("the course file is larger than {most} bytes")]
    TooLarge {
        /// The most that is read.
        most: usize,
    },
    /// More ledgers than a file can count.
    #[error("the course has more than {most} students with details")]
    TooMany {
        /// The most that a file holds.
        most: usize,
    },
    /// The file was made, and could not be read back as what it was made from.
    #[error("the course file, read back, was not the same; it was not handed out")]
    Unsound,
    /// The signature over the whole does not hold: a byte was changed.
    #[error("the course file was changed after it was signed")]
    Tampered,
    /// The signing device has no certificate of the shop.
    #[error("the course file was signed by the device {key}, which the shop has not admitted")]
    Stranger {
        /// The first digits of its key.
        key: String,
    },
    /// The key it names as the shop's is another shop's.
    #[error("the course file names a root key that is not its shop's")]
    OtherRoot,
    /// The course says it belongs to another shop.
    #[error("the course belongs to another shop than the file says")]
    OtherShop,
    /// Not exactly one of these.
    #[error("the course file must hold exactly one {what}")]
    NotOne {
        /// Of which ledger.
        what: &'static str,
    },
    /// A ledger is there twice.
    #[error("the ledger {ledger} is in the course file twice")]
    Twice {
        /// Which.
        ledger: LedgerId,
    },
    /// A photograph or a sound that the course does not name, or that has other bytes.
    #[error("the course file holds a photograph or a sound that its course does not name")]
    NotNamed,
    /// A person's ledger without an enrolment.
    #[error("the ledger {ledger} is of nobody enrolled in the course")]
    NotEnrolled {
        /// Which.
        ledger: LedgerId,
    },
    /// Changes that no honest device writes, and that could exhaust this one.
    #[error("the ledger {ledger} in the course file holds a change that is not taken: {source}")]
    NotPlain {
        /// Which.
        ledger: LedgerId,
        /// Why.
        source: NotPlain,
    },
    /// A ledger in it cannot be opened.
    #[error("the ledger {ledger} in the course file cannot be opened: {source}")]
    Ledger {
        /// Which.
        ledger: LedgerId,
        /// Why.
        source: LedgerError,
    },
}
