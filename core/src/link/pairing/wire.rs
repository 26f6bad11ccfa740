//! The frames of a pairing, as [`super`] lays them out.

use sha2::{Digest as _, Sha256};

use super::card::{Card, MOST_NAME};
use crate::entry::{Consent, DeviceKey};

/// The longest pairing frame, in bytes, without its length.
pub const MOST_PAIRING_FRAME: usize = 1024;
/// The most that a joiner brings along, in bytes.
pub const MOST_BROUGHT: usize = 4 * 1024 * 1024;
/// The most of it in one frame.
const MOST_PART: usize = MOST_PAIRING_FRAME - 1;

/// One frame of a pairing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PairingFrame {
    /// The joiner begins.
    Begin {
        /// The version it speaks.
        version: u16,
        /// Its SPAKE2 message.
        message: [u8; 33],
    },
    /// The shower answers with its SPAKE2 message.
    Answer([u8; 33]),
    /// The joiner's proof that it knows the code.
    JoinerProof([u8; 32]),
    /// The shower's.
    ShowerProof([u8; 32]),
    /// The joiner's card and seal.
    Card(Card, [u8; 32]),
    /// The shop's root key, the shower's card, and seal.
    Welcome(DeviceKey, Card, [u8; 32]),
    /// A part of what the joiner brings along, before its card.
    Brought(Vec<u8>),
    /// It will not go on.
    No {
        /// Why.
        why: No,
        /// How many tries are left.
        left: u8,
    },
}

/// Why a device does not go on with a pairing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum No {
    /// The code was wrong.
    WrongCode,
    /// No code is shown, or it is no longer good.
    NoCode,
    /// All tries are under way.
    Busy,
    /// The version is not spoken.
    Version,
    /// What came made no sense.
    Broken,
    /// The device could not be admitted.
    NotAdmitted,
}

impl PairingFrame {
    /// What a joiner brings along, in frames.
    pub fn brought(bytes: &[u8]) -> impl Iterator<Item = Self> {
        let parts = bytes.chunks(MOST_PART);
        parts.map(|part| Self::Brought(part.to_vec()))
    }

    /// The frame as it is sent, its length first.
    pub fn encode(&self) -> Vec<u8> {
        let mut body = Vec::new();
        match self {
            Self::Begin { version, message } => {
                body.push(1);
                body.extend(version.to_be_bytes());
                body.extend(message);
            }
            Self::Answer(message) => {
                body.push(2);
                body.extend(message);
            }
            Self::JoinerProof(proof) => {
                body.push(3);
                body.extend(proof);
            }
            Self::ShowerProof(proof) => {
                body.push(4);
                body.extend(proof);
            }
            Self::Card(card, seal) => {
                body.push(5);
                body.extend(sealed(None, card));
                body.extend(seal);
            }
            Self::Welcome(root, card, seal) => {
                body.push(6);
                body.extend(sealed(Some(root), card));
                body.extend(seal);
            }
            Self::Brought(part) => {
                body.push(8);
                body.extend(part);
            }
            Self::No { why, left } => body.extend([7, why.number(), *left]),
        }
        let length = u16::try_from(body.len()).unwrap_or(0);
        [length.to_be_bytes().as_slice(), &body].concat()
    }

    /// Reads a frame without its length; `None` for anything else than what
    /// [`PairingFrame::encode`] makes.
    pub fn decode(bytes: &[u8]) -> Option<Self> {
        let (&kind, body) = bytes.split_first()?;
        match kind {
            1 => {
                let (version, message) = body.split_first_chunk()?;
                Some(Self::Begin {
                    version: u16::from_be_bytes(*version),
                    // A newer version may say more after the message.
                    message: *message.first_chunk()?,
                })
            }
            2 => Some(Self::Answer(body.try_into().ok()?)),
            3 => Some(Self::JoinerProof(body.try_into().ok()?)),
            4 => Some(Self::ShowerProof(body.try_into().ok()?)),
            5 => {
                let (card, seal) = body.split_last_chunk()?;
                Some(Self::Card(card_of(card)?, *seal))
            }
            6 => {
                let (root, rest) = body.split_first_chunk()?;
                let (card, seal) = rest.split_last_chunk()?;
                Some(Self::Welcome(DeviceKey(*root), card_of(card)?, *seal))
            }
            8 if body.len() <= MOST_PART => Some(Self::Brought(body.to_vec())),
            7 => {
                let &[why, left] = body else { return None };
                Some(Self::No {
                    why: No::of(why),
                    left,
                })
            }
            _ => None,
        }
    }
}

/// What the joiner's seal covers: its card, and what it brings along.
pub(super) fn sealed_with(card: &Card, brought: &[u8]) -> Vec<u8> {
    let mut bytes = sealed(None, card);
    if !brought.is_empty() {
        bytes.push(0);
        bytes.extend(Sha256::digest(brought));
    }
    bytes
}

/// What a seal covers.
pub(super) fn sealed(root: Option<&DeviceKey>, card: &Card) -> Vec<u8> {
    let mut bytes = root.map(|root| root.0.to_vec()).unwrap_or_default();
    bytes.extend(card.signing.0);
    bytes.extend(card.signature);
    bytes.extend(card.consent.bytes());
    bytes.extend(card.device.as_bytes());
    bytes
}

fn card_of(bytes: &[u8]) -> Option<Card> {
    let (signing, rest) = bytes.split_first_chunk()?;
    let (signature, rest) = rest.split_first_chunk()?;
    let (consent, device) = rest.split_first_chunk()?;
    if device.len() > MOST_NAME {
        return None;
    }
    Some(Card {
        signing: DeviceKey(*signing),
        device: std::str::from_utf8(device).ok()?.to_owned(),
        signature: *signature,
        consent: Consent::of(consent),
    })
}

impl No {
    const fn number(self) -> u8 {
        match self {
            Self::WrongCode => 1,
            Self::NoCode => 2,
            Self::Busy => 3,
            Self::Version => 4,
            Self::Broken => 5,
            Self::NotAdmitted => 6,
        }
    }

    const fn of(number: u8) -> Self {
        match number {
            1 => Self::WrongCode,
            2 => Self::NoCode,
            3 => Self::Busy,
            4 => Self::Version,
            6 => Self::NotAdmitted,
            _ => Self::Broken,
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn frames_are_read_as_they_were_written() {
        let card = Card {
            signing: DeviceKey([7; 32]),
            device: "Blaues Tablet é".into(),
            signature: [9; 64],
            consent: Consent::of(&[3; 128]),
        };
        let frames = [
            PairingFrame::Begin {
                version: 1,
                message: [1; 33],
            },
            PairingFrame::Answer([2; 33]),
            PairingFrame::JoinerProof([3; 32]),
            PairingFrame::ShowerProof([4; 32]),
            PairingFrame::Card(card.clone(), [5; 32]),
            PairingFrame::Welcome(DeviceKey([6; 32]), card, [7; 32]),
            PairingFrame::Brought(vec![8; MOST_PART]),
            PairingFrame::No {
                why: No::WrongCode,
                left: 2,
            },
        ];
        for frame in frames {
            let bytes = frame.encode();
            let (length, body) = bytes.split_first_chunk().unwrap();
            assert_eq!(usize::from(u16::from_be_bytes(*length)), body.len());
            assert!(body.len() <= MOST_PAIRING_FRAME);
            assert_eq!(PairingFrame::decode(body), Some(frame));
        }
    }

    proptest! {
        #[test]
        fn any_bytes_are_a_frame_or_none_and_never_a_panic(
            bytes in prop::collection::vec(any::<u8>(), 0..400)
        ) {
            if let Some(frame) = PairingFrame::decode(&bytes) {
                prop_assert!(PairingFrame::decode(&frame.encode()[2..]).is_some());
            }
        }
    }
}
