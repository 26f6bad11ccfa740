//! Verdict: whether a line counts, and if not, why.

use crate::entry::Writer;

/// Whether a line counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// It counts, written by this person in this role.
    Counts(Writer),
    /// From a newer version: kept, counted apart, shown as such.
    Newer,
    /// Kept and shown as unverified; counts for nothing.
    Unverified(Doubt),
}

/// Why a line counts for nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Doubt {
    /// The bytes are no entry.
    Malformed,
    /// The signature does not hold.
    Signature,
    /// No certificate of this shop names the key.
    NoCertificate,
    /// The certificate is another person's than the entry claims, or it names another without
    /// that one's signature.
    NotTheWriter,
    /// The role does not write this kind, or not in this ledger.
    Role,
    /// The device was revoked, and the shop did not hold this entry then.
    Late,
}
