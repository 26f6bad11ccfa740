//! Trust: keys, certificates, roles; signing and checking. Pure: the secret comes in from
//! the device's key store, and nothing here reads a clock.
//!
//! Between [`crate::entry`], whose bytes it signs, and [`crate::ledger`], which keeps them.

mod book;
mod carried;
mod consent;
mod key;
mod line;
mod multiples;
mod recovery;
mod verdict;

pub use book::{Behind, TrustBook};
pub use consent::{PAIRING_DOMAIN, consent, consent_form, is_consented};
pub(crate) use key::Checks;
pub use key::{SecretKey, is_signed, is_signed_as, shop_id};
pub use line::Line;
pub use recovery::{BadSheet, RECOVERY_LINES, read_recovery, recovery_lines};
pub use verdict::{Doubt, Verdict};
