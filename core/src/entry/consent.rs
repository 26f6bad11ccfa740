//! Consent: the word of a device that it lets another admit it.

use serde::{Deserialize, Serialize};

use crate::course::BadId;

/// Two signatures over who is admitted by whom: by the key that signs the device's entries and
/// by the key that opens its connections. Nobody else can certify either of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Consent {
    /// By the key that signs entries.
    pub key: [u8; 64],
    /// By the key that opens connections.
    pub link: [u8; 64],
}

impl Consent {
    /// Both, one behind the other.
    pub fn bytes(&self) -> [u8; 128] {
        let mut bytes = [0; 128];
        let both = self.key.iter().chain(&self.link);
        bytes
            .iter_mut()
            .zip(both)
            .for_each(|(to, from)| *to = *from);
        bytes
    }

    /// Both out of what [`Consent::bytes`] made.
    pub fn of(bytes: &[u8; 128]) -> Self {
        let (mut key, mut link) = ([0; 64], [0; 64]);
        let both = key.iter_mut().chain(&mut link);
        both.zip(bytes).for_each(|(to, from)| *to = *from);
        Self { key, link }
    }
}

impl TryFrom<String> for Consent {
    type Error = BadId;
    fn try_from(text: String) -> Result<Self, BadId> {
        let bytes = super::hex_bytes(&text).and_then(|bytes| bytes.try_into().ok());
        bytes
            .map(|bytes: [u8; 128]| Self::of(&bytes))
            .ok_or(BadId { what: "consent" })
    }
}

impl From<Consent> for String {
    fn from(consent: Consent) -> Self {
        super::to_hex(&consent.bytes())
    }
}

/// Hexadecimal digits in one text: no text of an entry is as long as an envelope may be.
const DIGITS: usize = 8_192;

/// An entry's envelope, carried inside another entry: hexadecimal in JSON, in pieces.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "Vec<String>", into = "Vec<String>")]
pub struct Carried(pub Vec<u8>);

impl TryFrom<Vec<String>> for Carried {
    type Error = BadId;
    fn try_from(pieces: Vec<String>) -> Result<Self, BadId> {
        let bytes = super::hex_bytes(&pieces.concat());
        bytes.map(Self).ok_or(BadId {
            what: "carried entry",
        })
    }
}

impl From<Carried> for Vec<String> {
    fn from(carried: Carried) -> Self {
        let pieces = carried.0.chunks(DIGITS / 2);
        pieces.map(super::to_hex).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_carried_is_read_as_it_was_written_and_nothing_else_is() {
        let mut bytes = [0; 128];
        (0..).zip(&mut bytes).for_each(|(n, byte)| *byte = n);
        let consent = Consent::of(&bytes);
        assert_eq!(consent.bytes(), bytes);
        let text = serde_json::to_string(&consent).unwrap();
        assert_eq!(serde_json::from_str::<Consent>(&text).unwrap(), consent);
        for length in [0, 1, 4_096, 4_097, 100_000] {
            let carried = Carried(vec![0xa5; length]);
            let text = serde_json::to_string(&carried).unwrap();
            assert_eq!(serde_json::from_str::<Carried>(&text).unwrap(), carried);
            let pieces = Vec::<String>::from(carried);
            assert!(pieces.iter().all(|piece| piece.len() <= DIGITS));
        }
        for bad in ["\"0\"", "\"0g\"", "\"AA\"", "7"] {
            let listed = format!("[{bad}]");
            assert!(serde_json::from_str::<Carried>(&listed).is_err(), "{bad}");
            assert!(serde_json::from_str::<Consent>(bad).is_err(), "{bad}");
        }
        assert!(serde_json::from_str::<Consent>("\"0011\"").is_err());
    }
}
