//! Envelope: the bytes of an entry as they stand in a ledger.
//!
//! ```text
//! version (1 byte, 1) | device key (32) | signature (64) | payload (JSON, to the end)
//! ```
//! The payload is kept exactly as it was written: parsing it and writing it again could
//! change a byte, and the signature would no longer hold.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use super::FormatError;
use crate::course::BadId;

/// The newest envelope this program writes and reads.
pub const ENVELOPE_VERSION: u8 = 1;

/// The longest payload, in bytes; an outline of 120 skills stays well below.
pub const MOST_PAYLOAD: usize = 1 << 20;

/// A device's Ed25519 public key: it names who signed.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct DeviceKey(pub [u8; 32]);

impl DeviceKey {
    /// The first eight hexadecimal digits, for a person to compare.
    pub fn short(&self) -> String {
        self.to_string().chars().take(8).collect()
    }
}

impl fmt::Display for DeviceKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for DeviceKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "DeviceKey({self})")
    }
}

impl FromStr for DeviceKey {
    type Err = BadId;
    fn from_str(text: &str) -> Result<Self, BadId> {
        hex32(text).map(Self).ok_or(BadId { what: "device key" })
    }
}

impl TryFrom<String> for DeviceKey {
    type Error = BadId;
    fn try_from(text: String) -> Result<Self, BadId> {
        text.parse()
    }
}

impl From<DeviceKey> for String {
    fn from(key: DeviceKey) -> String {
        key.to_string()
    }
}

/// 64 hexadecimal digits as 32 bytes; `None` for anything else.
pub(crate) fn hex32(text: &str) -> Option<[u8; 32]> {
    let digits = text.as_bytes();
    if digits.len() != 64 {
        return None;
    }
    let nibble = |digit: u8| match digit {
        b'0'..=b'9' => Some(digit - b'0'),
        b'a'..=b'f' => Some(digit - b'a' + 10),
        _ => None,
    };
    let mut bytes = [0; 32];
    for (byte, pair) in bytes.iter_mut().zip(digits.chunks_exact(2)) {
        let &[high, low] = pair else { return None };
        *byte = nibble(high)? << 4 | nibble(low)?;
    }
    Some(bytes)
}

/// An entry's bytes, taken apart; nothing in it has been believed yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Envelope<'a> {
    /// Who claims to have signed.
    pub key: DeviceKey,
    /// The signature over the domain tag, ledger, entry id and payload.
    pub signature: [u8; 64],
    /// The payload as written.
    pub payload: &'a [u8],
}

impl<'a> Envelope<'a> {
    /// Takes the bytes apart.
    ///
    /// # Errors
    /// [`FormatError::Newer`] for a later envelope version, [`FormatError::Malformed`]
    /// for bytes that are too short or too long to be one.
    pub fn open(bytes: &'a [u8]) -> Result<Self, FormatError> {
        let malformed = FormatError::Malformed {
            what: "entry envelope",
        };
        let (&version, rest) = bytes.split_first().ok_or(malformed.clone())?;
        if version > ENVELOPE_VERSION {
            return Err(FormatError::Newer {
                found: u32::from(version),
                known: u32::from(ENVELOPE_VERSION),
            });
        }
        let (key, rest) = rest.split_first_chunk::<32>().ok_or(malformed.clone())?;
        let (signature, payload) = rest.split_first_chunk::<64>().ok_or(malformed.clone())?;
        if version != ENVELOPE_VERSION || payload.is_empty() || payload.len() > MOST_PAYLOAD {
            return Err(malformed);
        }
        Ok(Self {
            key: DeviceKey(*key),
            signature: *signature,
            payload,
        })
    }

    /// Puts the bytes together.
    pub fn seal(&self) -> Vec<u8> {
        let mut bytes = Vec::with_capacity(97 + self.payload.len());
        bytes.push(ENVELOPE_VERSION);
        bytes.extend_from_slice(&self.key.0);
        bytes.extend_from_slice(&self.signature);
        bytes.extend_from_slice(self.payload);
        bytes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_envelope_comes_apart_as_it_was_put_together() {
        let envelope = Envelope {
            key: DeviceKey([7; 32]),
            signature: [9; 64],
            payload: b"{}",
        };
        assert_eq!(Envelope::open(&envelope.seal()), Ok(envelope));
    }

    #[test]
    fn every_cut_of_an_envelope_is_malformed_and_a_later_version_is_newer() {
        let whole = Envelope {
            key: DeviceKey([7; 32]),
            signature: [9; 64],
            payload: b"{",
        }
        .seal();
        for length in 0..whole.len() {
            let cut = whole.get(..length).unwrap();
            assert!(
                matches!(Envelope::open(cut), Err(FormatError::Malformed { .. })),
                "{length}"
            );
        }
        let mut newer = whole;
        newer[0] = 2;
        assert_eq!(
            Envelope::open(&newer),
            Err(FormatError::Newer { found: 2, known: 1 })
        );
    }

    #[test]
    fn a_key_is_64_small_hexadecimal_digits() {
        let key = DeviceKey([0xa5; 32]);
        assert_eq!(key.to_string().parse(), Ok(key));
        assert!("A5".repeat(32).parse::<DeviceKey>().is_err());
        assert!("a5".repeat(31).parse::<DeviceKey>().is_err());
    }
}
