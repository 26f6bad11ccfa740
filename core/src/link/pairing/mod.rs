//! Pairing: how a device is let in with a six-digit code.
//!
//! One device *shows* a code (the shop, or an instructor who admits an assistant), the
//! other *joins*. Both speak over a connection that is encrypted but belongs to nobody yet:
//!
//! ```text
//! length (2 bytes, at most 1024) | kind (1) | body
//!
//! joiner -> shower   1  version (2), SPAKE2 message (33)
//! shower -> joiner   2  SPAKE2 message (33)
//! joiner -> shower   3  proof (32)             a wrong code ends here, and costs a try
//! shower -> joiner   4  proof (32)
//! joiner -> shower   8  a part of what it brings along; none, or as many as it takes
//! joiner -> shower   5  card, seal (32)
//! shower -> joiner   6  shop's root key (32), card, seal (32)
//! either             7  no (1), tries left (1)
//!
//! card: signing key (32), signature (64), consent (128), device name (UTF-8, to the seal)
//! ```
//! SPAKE2 (Ed25519 group, identities the two link keys) makes a key from the code; a wrong
//! code makes another key and nothing can be learnt from it, so a guess costs a try. Proofs
//! and seals are HMAC-SHA-256 under that key, mixed with keying material exported from this
//! very TLS connection and both link keys: whoever sits in between has two connections, and
//! neither fits the other. The joiner proves itself first, so that nobody can test a guess
//! against what the shower says. A card's signature, over the same material, shows that the
//! signing key is the device's own. The joiner's consent, signed with both its keys, says that
//! this shower may admit it; it is kept in the certificate (D90).
//!
//! A lone instructor's tablet brings its school along (see `desk::handover`): the joiner's
//! seal covers it. A version that does not know message 8 says no, and nothing is joined.
//!
//! The shower issues the certificate before it answers with message 6. If that answer is
//! lost, the certificate stands for a device that never came: the list of devices shows it
//! as not met, and pairing again is safe.

mod card;
mod code;
mod handshake;
mod wire;

pub use crate::trust::PAIRING_DOMAIN;
pub(crate) use card::is_name;
pub use card::{Card, Guest, Joined, Paired, Welcome};
pub use code::{Code, MOST_TRIES, PairingEnd, Showing, Try};
pub use handshake::{Channel, Joiner, JoinerProved, PAIRING_VERSION, Shower, ShowerProved};
pub use wire::{MOST_BROUGHT, MOST_PAIRING_FRAME, No, PairingFrame};

/// Why a device could not join.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, thiserror::Error)]
pub enum PairingError {
    /// The code was wrong; so many tries are left before it is no longer good.
    #[error("the code is wrong, and {left} tries are left")]
    WrongCode {
        /// How many.
        left: u8,
    },
    /// The other device shows no code, or no longer: ask for a new one.
    #[error("the other device shows no code, or it is no longer good")]
    NoCode,
    /// The other device is busy with somebody else's try.
    #[error("the other device is busy with another try")]
    Busy,
    /// The other device was not found or did not answer.
    #[error("the other device was not reached")]
    NotReached,
    /// The other device does not know the code itself: it is not the one that shows it.
    #[error("the other device is not the one that shows the code")]
    Impostor,
    /// A device name that cannot be shown: one line of 1 to 80 characters.
    #[error("a device name is one line of 1 to 80 characters")]
    Name,
    /// The two speak no common version.
    #[error("the other device has another version")]
    Version,
    /// What the other device said made no sense.
    #[error("the other device said something that makes no sense")]
    Broken,
    /// The other device could not store the certificate, or would not issue it.
    #[error("the other device did not admit this one")]
    NotAdmitted,
    /// The code was right, and it is another shop's than the one this device belongs to.
    #[error("this device belongs to another shop")]
    OtherShop,
    /// This device could not read or write its own store.
    #[error("this device could not store the pairing")]
    OwnStore,
}
