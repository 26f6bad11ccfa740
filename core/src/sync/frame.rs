//! Frame: the unit on the wire between two paired devices.
//!
//! ```text
//! length (4 bytes, of what follows, 1 to 4 MiB) | kind (1) | body
//!
//! kind  body
//!  1    hello    version (2) | least version spoken (2) | clock, ms since 1970 (8)
//!  2    offer    ledger (17) | turn (4) | entries (4) | heads (32 each, to the end)
//!  3    listed   nothing: everything there is to offer has been offered
//!  4    message  ledger (17) | turn (4) | 1 if more follows, else 0 (1) | automerge sync message
//!  5    stored   as offer: what the sender has committed to its disk
//!  6    refused  ledger (17) | reason (1)
//!  7    level    ledger (17) | turn (4) | entries (4) | digest of all their ids (32)
//!  8    list     ledger (17) | turn (4) | ids (16 each, to the end)
//!  9    entries  ledger (17) | turn (4) | each: length (4) | sealed entry
//! 10    ask      ledger (17) | digest (32) | length (4) | first byte wanted (4)
//! 11    piece    ledger (17) | digest (32) | length (4) | its first byte (4) | bytes, 1 to 128 KiB
//! 12    lacking  ledger (17) | digest (32) | length (4)
//! ```
//! A turn counts what the sender has said at this meeting. Frames travel on several streams
//! and overtake each other: what a lower turn says of a ledger is older than what is known,
//! and without it a device could seem to have lost what it has just stored.
//!
//! Kinds 7 to 9 carry a ledger over entry by entry, between two devices whose histories of it
//! do not go together: an entry is named by its content, so a set of them needs no history.
//!
//! Kinds 10 to 12 fetch a photograph or a sound that an entry of the ledger names. A device asks
//! for one piece at a time, and only while both hold the same of everything they share: so no
//! mark ever waits for more than one piece. An older version passes over the question.
//!
//! Numbers are big-endian; a ledger is its kind byte and UUID as it is signed. A kind that
//! is not known, or a ledger of a kind that is not known, comes from a newer version: the
//! frame is skipped and the rest goes on. A reason that is not known is kept as its number.

use uuid::Uuid;

use super::conversation::FILE_PIECE_BYTES;
use crate::course::{CourseId, EntryId, LedgerId, ShopId, StudentId};
use crate::entry::Sha256Hex;
use crate::ledger::Heads;

/// The newest version of the protocol this program speaks.
pub const PROTOCOL_VERSION: u16 = 2;
/// The oldest it speaks.
pub const PROTOCOL_LEAST: u16 = 2;
/// The longest frame, in bytes, without its length.
pub const MOST_FRAME: usize = 4 << 20;

/// One frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Frame {
    /// The first frame each side sends.
    Hello {
        /// The newest version spoken.
        version: u16,
        /// The oldest version spoken.
        least: u16,
        /// The sender's clock, in milliseconds since 1970.
        clock: i64,
    },
    /// A ledger the receiver may have, and what the sender has stored of it.
    Offer {
        /// When, in the sender's own count.
        turn: u32,
        /// What is stored, of which ledger.
        position: Position,
    },
    /// Everything there is to offer has been offered.
    Listed,
    /// A message of `automerge::sync` about one ledger.
    Message {
        /// Which ledger.
        ledger: LedgerId,
        /// When, in the sender's own count.
        turn: u32,
        /// Whether this is a piece and more follow: the receiver stores it and waits.
        more: bool,
        /// The message, or this piece of it.
        bytes: Vec<u8>,
    },
    /// What the sender has committed to its disk, said after the commit.
    Stored {
        /// When, in the sender's own count.
        turn: u32,
        /// What is committed, of which ledger.
        position: Position,
    },
    /// What the sender has committed, where histories do not go together: a digest of the
    /// ids. Two devices with the same digest hold the same.
    Level {
        /// Which ledger.
        ledger: LedgerId,
        /// When, in the sender's own count.
        turn: u32,
        /// How many entries, for showing.
        entries: u32,
        /// SHA-256 over all ids, in order.
        digest: [u8; 32],
    },
    /// Every entry that the sender has committed, by id: whoever has more sends it.
    List {
        /// Which ledger.
        ledger: LedgerId,
        /// When, in the sender's own count.
        turn: u32,
        /// The ids, 16 bytes each.
        ids: Vec<EntryId>,
    },
    /// Entries by themselves.
    Entries {
        /// Which ledger.
        ledger: LedgerId,
        /// When, in the sender's own count.
        turn: u32,
        /// Each as it stands in the ledger.
        sealed: Vec<Vec<u8>>,
    },
    /// A photograph or a sound is lacking here, from this byte on.
    Ask(FilePlace),
    /// A piece of one, from that byte on.
    Piece {
        /// Of which, from where on.
        at: FilePlace,
        /// Its bytes, 1 to 128 KiB.
        bytes: Vec<u8>,
    },
    /// What was asked for is not whole here, or not the asker's to have.
    Lacking {
        /// Named by which ledger.
        ledger: LedgerId,
        /// Which.
        file: FileId,
    },
    /// Nothing more about this ledger at this meeting.
    Refused {
        /// Which ledger.
        ledger: LedgerId,
        /// Why.
        why: Refused,
    },
}

/// A photograph or a sound by what an entry says of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId {
    /// SHA-256 of its bytes.
    pub sha256: Sha256Hex,
    /// How many they are.
    pub bytes: u32,
}

/// A place in a photograph or a sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FilePlace {
    /// Named by which ledger.
    pub ledger: LedgerId,
    /// Which.
    pub file: FileId,
    /// From which byte on.
    pub from: u32,
}

/// What a device has stored of one ledger.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Position {
    /// Which ledger.
    pub ledger: LedgerId,
    /// How many entries, for showing progress and nothing else.
    pub entries: u32,
    /// Hashes of the latest changes.
    pub heads: Heads,
}

/// Why a device will not exchange a ledger.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Refused {
    /// Not one the receiver may have; the same answer whether or not it exists.
    NotYours,
    /// The sender's disk is full.
    Full,
    /// The sender could not store what came.
    CannotStore,
    /// What came could not be read or taken.
    Malformed,
    /// The receiver has brought more into it than a device may in a day.
    TooMuch,
    /// A reason from a newer version.
    Newer(u8),
}

/// Bytes that are no frame. The connection is closed; no ledger is touched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum FrameError {
    /// Longer than allowed, or empty.
    #[error("a frame of {length} bytes, and 1 to {MOST_FRAME} are allowed")]
    Length {
        /// The length claimed, in bytes.
        length: usize,
    },
    /// The body is not one of its kind.
    #[error("a malformed frame of kind {kind}")]
    Malformed {
        /// Its kind: the body's first byte.
        kind: u8,
    },
}

impl Frame {
    /// The frame as it is sent, its length first.
    ///
    /// # Errors
    /// [`FrameError::Length`] if it would be longer than a frame may be.
    pub fn encode(&self) -> Result<Vec<u8>, FrameError> {
        let mut bytes = vec![0; 4];
        match self {
            Self::Hello {
                version,
                least,
                clock,
            } => {
                bytes.push(1);
                bytes.extend(version.to_be_bytes());
                bytes.extend(least.to_be_bytes());
                bytes.extend(clock.to_be_bytes());
            }
            Self::Offer { turn, position } => position.encode(2, *turn, &mut bytes),
            Self::Listed => bytes.push(3),
            Self::Message {
                ledger,
                turn,
                more,
                bytes: message,
            } => {
                bytes.push(4);
                bytes.extend(ledger.signed_form());
                bytes.extend(turn.to_be_bytes());
                bytes.push(u8::from(*more));
                bytes.extend(message);
            }
            Self::Stored { turn, position } => position.encode(5, *turn, &mut bytes),
            Self::Ask(at) => at.encode(10, &mut bytes),
            Self::Piece { at, bytes: piece } => {
                at.encode(11, &mut bytes);
                bytes.extend(piece);
            }
            Self::Lacking { ledger, file } => {
                bytes.push(12);
                bytes.extend(ledger.signed_form());
                file.encode(&mut bytes);
            }
            Self::Refused { ledger, why } => {
                bytes.push(6);
                bytes.extend(ledger.signed_form());
                bytes.push(why.number());
            }
            Self::Level {
                ledger,
                turn,
                entries,
                digest,
            } => {
                bytes.push(7);
                bytes.extend(ledger.signed_form());
                bytes.extend(turn.to_be_bytes());
                bytes.extend(entries.to_be_bytes());
                bytes.extend(digest);
            }
            Self::List { ledger, turn, ids } => {
                bytes.push(8);
                bytes.extend(ledger.signed_form());
                bytes.extend(turn.to_be_bytes());
                ids.iter().for_each(|id| bytes.extend(id.bytes()));
            }
            Self::Entries {
                ledger,
                turn,
                sealed,
            } => {
                bytes.push(9);
                bytes.extend(ledger.signed_form());
                bytes.extend(turn.to_be_bytes());
                for one in sealed {
                    // Longer than that it would not fit a frame, which is refused below.
                    let length = u32::try_from(one.len()).unwrap_or(u32::MAX);
                    bytes.extend(length.to_be_bytes());
                    bytes.extend(one);
                }
            }
        }
        let length = bytes.len().saturating_sub(4);
        let within = u32::try_from(length).ok().filter(|_| length <= MOST_FRAME);
        let prefix = within.ok_or(FrameError::Length { length })?.to_be_bytes();
        bytes
            .iter_mut()
            .zip(prefix)
            .for_each(|(to, from)| *to = from);
        Ok(bytes)
    }

    /// How long the frame is whose length prefix this is.
    ///
    /// # Errors
    /// [`FrameError::Length`]; nothing has been allocated for it.
    pub fn length(prefix: [u8; 4]) -> Result<usize, FrameError> {
        let length = usize::try_from(u32::from_be_bytes(prefix)).unwrap_or(usize::MAX);
        if (1..=MOST_FRAME).contains(&length) {
            Ok(length)
        } else {
            Err(FrameError::Length { length })
        }
    }

    /// Reads a frame without its length; `None` for one of a newer version, to be skipped.
    ///
    /// # Errors
    /// [`FrameError`].
    pub fn decode(bytes: &[u8]) -> Result<Option<Self>, FrameError> {
        let (&kind, body) = bytes
            .split_first()
            .ok_or(FrameError::Length { length: 0 })?;
        let malformed = FrameError::Malformed { kind };
        let ledger = || -> Result<(Option<LedgerId>, &[u8]), FrameError> {
            let (form, rest) = body.split_first_chunk::<17>().ok_or(malformed)?;
            Ok((ledger(form), rest))
        };
        let frame = match kind {
            1 => {
                let (version, rest) = body.split_first_chunk().ok_or(malformed)?;
                let (least, rest) = rest.split_first_chunk().ok_or(malformed)?;
                let (clock, _) = rest.split_first_chunk().ok_or(malformed)?;
                Some(Self::Hello {
                    version: u16::from_be_bytes(*version),
                    least: u16::from_be_bytes(*least),
                    clock: i64::from_be_bytes(*clock),
                })
            }
            2 | 5 => {
                let (ledger, rest) = ledger()?;
                let (turn, rest) = rest.split_first_chunk().ok_or(malformed)?;
                let (entries, heads) = rest.split_first_chunk().ok_or(malformed)?;
                let turn = u32::from_be_bytes(*turn);
                let heads = Heads::from_bytes(heads).ok_or(malformed)?;
                let entries = u32::from_be_bytes(*entries);
                ledger.map(|ledger| {
                    let position = Position {
                        ledger,
                        entries,
                        heads,
                    };
                    if kind == 2 {
                        Self::Offer { turn, position }
                    } else {
                        Self::Stored { turn, position }
                    }
                })
            }
            3 => Some(Self::Listed),
            4 => {
                let (ledger, rest) = ledger()?;
                let (turn, rest) = rest.split_first_chunk().ok_or(malformed)?;
                let (&more, message) = rest.split_first().ok_or(malformed)?;
                ledger.map(|ledger| Self::Message {
                    ledger,
                    turn: u32::from_be_bytes(*turn),
                    more: more == 1,
                    bytes: message.to_vec(),
                })
            }
            6 => {
                let (ledger, rest) = ledger()?;
                let &why = rest.first().ok_or(malformed)?;
                ledger.map(|ledger| Self::Refused {
                    ledger,
                    why: Refused::of(why),
                })
            }
            7 => {
                let (ledger, rest) = ledger()?;
                let (turn, rest) = rest.split_first_chunk().ok_or(malformed)?;
                let (entries, rest) = rest.split_first_chunk().ok_or(malformed)?;
                let (digest, _) = rest.split_first_chunk::<32>().ok_or(malformed)?;
                ledger.map(|ledger| Self::Level {
                    ledger,
                    turn: u32::from_be_bytes(*turn),
                    entries: u32::from_be_bytes(*entries),
                    digest: *digest,
                })
            }
            8 => {
                let (ledger, rest) = ledger()?;
                let (turn, rest) = rest.split_first_chunk().ok_or(malformed)?;
                let (ids, rest) = rest.as_chunks::<16>();
                if !rest.is_empty() {
                    return Err(malformed);
                }
                let id = |bytes: &[u8; 16]| EntryId::new(Uuid::from_bytes(*bytes));
                ledger.map(|ledger| Self::List {
                    ledger,
                    turn: u32::from_be_bytes(*turn),
                    ids: ids.iter().map(id).collect(),
                })
            }
            9 => {
                let (ledger, rest) = ledger()?;
                let (turn, rest) = rest.split_first_chunk().ok_or(malformed)?;
                let sealed = sealed(rest).ok_or(malformed)?;
                ledger.map(|ledger| Self::Entries {
                    ledger,
                    turn: u32::from_be_bytes(*turn),
                    sealed,
                })
            }
            10 | 11 => {
                let (ledger, rest) = ledger()?;
                let (file, rest) = FileId::decode(rest).ok_or(malformed)?;
                let (from, rest) = rest.split_first_chunk().ok_or(malformed)?;
                let from = u32::from_be_bytes(*from);
                if kind == 11 && !(1..=FILE_PIECE_BYTES).contains(&rest.len()) {
                    return Err(malformed);
                }
                ledger.map(|ledger| {
                    let at = FilePlace { ledger, file, from };
                    if kind == 10 {
                        Self::Ask(at)
                    } else {
                        let bytes = rest.to_vec();
                        Self::Piece { at, bytes }
                    }
                })
            }
            12 => {
                let (ledger, rest) = ledger()?;
                let (file, _) = FileId::decode(rest).ok_or(malformed)?;
                ledger.map(|ledger| Self::Lacking { ledger, file })
            }
            _ => None,
        };
        Ok(frame)
    }
}

impl FileId {
    fn encode(&self, bytes: &mut Vec<u8>) {
        bytes.extend(self.sha256.0);
        bytes.extend(self.bytes.to_be_bytes());
    }

    fn decode(bytes: &[u8]) -> Option<(Self, &[u8])> {
        let (sha256, rest) = bytes.split_first_chunk()?;
        let (length, rest) = rest.split_first_chunk()?;
        let file = Self {
            sha256: Sha256Hex(*sha256),
            bytes: u32::from_be_bytes(*length),
        };
        Some((file, rest))
    }
}

impl FilePlace {
    fn encode(&self, kind: u8, bytes: &mut Vec<u8>) {
        bytes.push(kind);
        bytes.extend(self.ledger.signed_form());
        self.file.encode(bytes);
        bytes.extend(self.from.to_be_bytes());
    }
}

impl Position {
    fn encode(&self, kind: u8, turn: u32, bytes: &mut Vec<u8>) {
        bytes.push(kind);
        bytes.extend(self.ledger.signed_form());
        bytes.extend(turn.to_be_bytes());
        bytes.extend(self.entries.to_be_bytes());
        bytes.extend(self.heads.to_bytes());
    }
}

/// Entries one after the other, each with its length; `None` if they do not end where the
/// bytes do, or one is empty.
fn sealed(mut bytes: &[u8]) -> Option<Vec<Vec<u8>>> {
    let mut found = Vec::new();
    while !bytes.is_empty() {
        let (length, rest) = bytes.split_first_chunk()?;
        let length = usize::try_from(u32::from_be_bytes(*length)).ok()?;
        let (one, rest) = rest.split_at_checked(length).filter(|_| length > 0)?;
        found.push(one.to_vec());
        bytes = rest;
    }
    Some(found)
}

/// The ledger of its signed form; `None` for a kind of ledger that is not known.
fn ledger(form: &[u8; 17]) -> Option<LedgerId> {
    let (kind, rest) = form.split_first_chunk::<1>()?;
    let id = Uuid::from_slice(rest).ok()?;
    match kind {
        [1] => Some(LedgerId::Shop(ShopId::new(id))),
        [2] => Some(LedgerId::Course(CourseId::new(id))),
        [3] => Some(LedgerId::Person(StudentId::new(id))),
        _ => None,
    }
}

impl Refused {
    const fn number(self) -> u8 {
        match self {
            Self::NotYours => 1,
            Self::Full => 2,
            Self::CannotStore => 3,
            Self::Malformed => 4,
            Self::TooMuch => 5,
            Self::Newer(number) => number,
        }
    }

    const fn of(number: u8) -> Self {
        match number {
            1 => Self::NotYours,
            2 => Self::Full,
            3 => Self::CannotStore,
            4 => Self::Malformed,
            5 => Self::TooMuch,
            _ => Self::Newer(number),
        }
    }
}

#[cfg(test)]
mod tests;
