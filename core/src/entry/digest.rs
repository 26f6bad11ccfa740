//! DetailsDigest: a student's details as a course knows them.

use std::fmt;

use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

use super::hex32;
use crate::course::{BadId, EntryId};

/// Which entry of the person's ledger holds the details, and the SHA-256 of that entry's
/// payload. The payload carries 32 random bytes, so the digest gives nothing away; when
/// the person is forgotten, the course still shows that it knew something definite.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct DetailsDigest {
    /// The entry in the person's ledger.
    pub entry: EntryId,
    /// SHA-256 of its payload.
    pub sha256: Sha256Hex,
}

impl DetailsDigest {
    /// A digest of nothing yet: the desk puts the true one in its place before signing.
    pub(crate) const fn unknown() -> Self {
        Self {
            entry: EntryId::new(uuid::Uuid::nil()),
            sha256: Sha256Hex([0; 32]),
        }
    }

    /// The digest of a details entry, over its payload as written.
    pub fn of(entry: EntryId, payload: &[u8]) -> Self {
        Self {
            entry,
            sha256: Sha256Hex(Sha256::digest(payload).into()),
        }
    }
}

/// 32 bytes, written as 64 hexadecimal digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Sha256Hex(pub [u8; 32]);

impl fmt::Display for Sha256Hex {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl TryFrom<String> for Sha256Hex {
    type Error = BadId;
    fn try_from(text: String) -> Result<Self, BadId> {
        hex32(&text).map(Self).ok_or(BadId { what: "digest" })
    }
}

impl From<Sha256Hex> for String {
    fn from(digest: Sha256Hex) -> String {
        digest.to_string()
    }
}
