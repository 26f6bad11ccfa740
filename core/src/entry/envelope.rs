//! Envelope: the bytes of an entry as they stand in a ledger.
//!
//! ```text
//! version (1 byte, 2) | device key (32) | previous entry (16) | signature (64) | payload (JSON, to the end)
//! ```
//! The payload is kept exactly as it was written: parsing it and writing it again could
//! change a byte, and the signature would no longer hold.
//!
//! An entry's id is the beginning of the SHA-256 of these bytes and of the ledger they stand
//! in ([`content_id`]). So an id names content: under one id there can be one value only,
//! nothing can be put in its place, and whoever names an entry (`after`, a confirmation, a
//! withdrawal) names what it says. The previous entry is the last that this key wrote in
//! this ledger, all zeros for the first: a row in which nothing can be slipped in later,
//! and by which a device that is shut out is held to what it had written by then.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use sha2::{Digest as _, Sha256};
use uuid::Uuid;

use super::FormatError;
use crate::course::{BadId, EntryId, LedgerId};

/// The newest envelope this program writes and reads.
pub const ENVELOPE_VERSION: u8 = 2;

/// The longest payload, in bytes; an outline of 120 skills stays well below.
pub const MOST_PAYLOAD: usize = 1 << 20;

/// What stands before the payload: version, key, the entry before it, signature.
const BEFORE_PAYLOAD: usize = 1 + 32 + 16 + 64;

/// A device's Ed25519 public key: it names who signed.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct DeviceKey(pub [u8; 32]);

impl DeviceKey {
    /// The first eight hexadecimal digits, for a person to compare.
    pub fn short(&self) -> String {
        self.to_string().chars().take(8).collect()
    }

    fn is_text(&self, text: &str) -> bool {
        let own = self.to_string();
        own == text
    }
}

crate::course::equals_its_text!(DeviceKey);

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
    hex_bytes(text)?.try_into().ok()
}

/// Small hexadecimal digits, two a byte; `None` for anything else.
pub(crate) fn hex_bytes(text: &str) -> Option<Vec<u8>> {
    let digits = text.as_bytes();
    let nibble = |digit: u8| match digit {
        b'0'..=b'9' => Some(digit - b'0'),
        b'a'..=b'f' => Some(digit - b'a' + 10),
        _ => None,
    };
    let byte = |pair: &[u8]| {
        let &[high, low] = pair else { return None };
        Some(nibble(high)? << 4 | nibble(low)?)
    };
    digits.chunks(2).map(byte).collect()
}

/// Bytes as small hexadecimal digits.
pub(crate) fn to_hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    let mut text = String::with_capacity(2 * bytes.len());
    for byte in bytes {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
    }
    text
}

/// An entry's bytes, taken apart; nothing in it has been believed yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Envelope<'a> {
    /// Who claims to have signed.
    pub key: DeviceKey,
    /// The last entry that this key wrote in this ledger before; none for its first.
    pub prev: Option<EntryId>,
    /// The signature over the domain tag, ledger, previous entry and payload.
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
        let (prev, rest) = rest.split_first_chunk::<16>().ok_or(malformed.clone())?;
        let (signature, payload) = rest.split_first_chunk::<64>().ok_or(malformed.clone())?;
        if version != ENVELOPE_VERSION || payload.is_empty() || payload.len() > MOST_PAYLOAD {
            return Err(malformed);
        }
        Ok(Self {
            key: DeviceKey(*key),
            prev: (*prev != [0; 16]).then(|| EntryId::new(Uuid::from_bytes(*prev))),
            signature: *signature,
            payload,
        })
    }

    /// Puts the bytes together.
    pub fn seal(&self) -> Vec<u8> {
        let mut bytes = Vec::with_capacity(113 + self.payload.len());
        bytes.push(ENVELOPE_VERSION);
        bytes.extend_from_slice(&self.key.0);
        bytes.extend_from_slice(&prev_form(self.prev));
        bytes.extend_from_slice(&self.signature);
        bytes.extend_from_slice(self.payload);
        bytes
    }
}

/// The previous entry as it is stored and signed.
pub(crate) fn prev_form(prev: Option<EntryId>) -> [u8; 16] {
    prev.map_or([0; 16], |prev| *prev.bytes())
}

/// What every entry's digest starts with.
const ID_DOMAIN: &[u8] = b"tallywater entry id 2\0";

/// The id of an entry: a UUID of version 8 (RFC 9562) made of the first bytes of SHA-256
/// (FIPS 180-4) over a tag, the ledger and the envelope. 122 bits of the digest are in it:
/// to find two entries with one id takes some 2^61 tries, to find a second one for an id
/// that is given 2^122.
pub fn content_id(ledger: &LedgerId, sealed: &[u8]) -> EntryId {
    let digest: [u8; 32] = Sha256::new()
        .chain_update(ID_DOMAIN)
        .chain_update(ledger.signed_form())
        .chain_update(sealed)
        .finalize()
        .into();
    let mut half = [0; 16];
    half.iter_mut()
        .zip(digest)
        .for_each(|(to, from)| *to = from);
    EntryId::new(uuid::Builder::from_custom_bytes(half).into_uuid())
}

/// How long the envelope is that begins here, as its payload says: one JSON object, read no
/// further than the longest payload; `None` where none begins. Nothing else of it is looked at.
pub fn length_as_read(bytes: &[u8]) -> Option<usize> {
    let longest = bytes.len().min(BEFORE_PAYLOAD + MOST_PAYLOAD);
    let payload = bytes.get(BEFORE_PAYLOAD..longest)?;
    if payload.first() != Some(&b'{') {
        return None;
    }
    let values = serde_json::Deserializer::from_slice(payload);
    let mut values = values.into_iter::<serde::de::IgnoredAny>();
    values.next()?.ok()?;
    Some(BEFORE_PAYLOAD + values.byte_offset())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::course::CourseId;

    /// Worked out with Python's hashlib: the first 16 bytes of
    /// `sha256(b"tallywater entry id 2\0" + bytes([2]) + (7).to_bytes(16,"big") + b"a")`,
    /// the four bits of the version set to 8 and the two of the variant to binary 10.
    #[test]
    fn anyone_can_work_an_id_out_without_this_program() {
        let ledger = LedgerId::Course(CourseId::new(Uuid::from_u128(7)));
        assert_eq!(
            content_id(&ledger, b"a").to_string(),
            "66a814f2-be80-8b87-8e3d-da9f0d02cd4a"
        );
    }

    #[test]
    fn an_id_is_of_these_bytes_in_this_ledger_and_of_no_others() {
        let ledger = |n| LedgerId::Course(CourseId::new(Uuid::from_u128(n)));
        let id = content_id(&ledger(7), b"abc");
        assert_eq!(id, content_id(&ledger(7), b"abc"));
        assert_ne!(id, content_id(&ledger(8), b"abc"));
        assert_ne!(id, content_id(&ledger(7), b"abd"));
        assert_eq!(id.uuid().get_version_num(), 8);
    }

    #[test]
    fn an_envelope_comes_apart_as_it_was_put_together() {
        let envelope = Envelope {
            key: DeviceKey([7; 32]),
            prev: None,
            signature: [9; 64],
            payload: b"{}",
        };
        assert_eq!(Envelope::open(&envelope.seal()), Ok(envelope));
        let second = Envelope {
            prev: Some(EntryId::new(Uuid::from_u128(5))),
            ..envelope
        };
        assert_eq!(Envelope::open(&second.seal()), Ok(second));
    }

    #[test]
    fn every_cut_of_an_envelope_is_malformed_and_a_later_version_is_newer() {
        let whole = Envelope {
            key: DeviceKey([7; 32]),
            prev: None,
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
        newer[0] = 3;
        assert_eq!(
            Envelope::open(&newer),
            Err(FormatError::Newer { found: 3, known: 2 })
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
