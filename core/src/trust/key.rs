//! Keys: a device's signing key, and the check of a signature.
//!
//! Ed25519 (RFC 8032) by `ed25519-dalek`, with its strict check, which refuses the weak
//! keys and second forms that would let two different byte strings verify as one.

use std::collections::BTreeMap;

use ed25519_dalek::{Signer as _, SigningKey};
use zeroize::Zeroizing;

use super::multiples::Checker;
use crate::course::{EntryId, LedgerId, ShopId};
use crate::entry::{DeviceKey, Envelope, content_id, prev_form};

/// What every entry's signature starts with, so that it can never be taken for the
/// signature of something else.
const ENTRY_DOMAIN: &[u8] = b"tallywater entry 2\0";

/// A secret signing key. It is wiped when dropped and never printed.
pub struct SecretKey(SigningKey);

impl SecretKey {
    /// The key over 32 random bytes.
    pub fn from_seed(seed: &[u8; 32]) -> Self {
        Self(SigningKey::from_bytes(seed))
    }

    /// The 32 bytes, for the device's own key store.
    pub fn seed(&self) -> Zeroizing<[u8; 32]> {
        Zeroizing::new(self.0.to_bytes())
    }

    /// The public half.
    pub fn public(&self) -> DeviceKey {
        DeviceKey(self.0.verifying_key().to_bytes())
    }

    /// Signs a payload as an entry of this ledger, after the last one of this key there:
    /// the entry's id and the envelope's bytes, of which the id is a digest.
    pub fn seal(
        &self,
        ledger: &LedgerId,
        prev: Option<EntryId>,
        payload: &[u8],
    ) -> (EntryId, Vec<u8>) {
        let signature = self
            .0
            .sign(&entry_message(ledger, prev, payload))
            .to_bytes();
        let sealed = Envelope {
            key: self.public(),
            prev,
            signature,
            payload,
        }
        .seal();
        (content_id(ledger, &sealed), sealed)
    }

    /// Signs bytes under another domain, such as a bundle.
    pub fn sign(&self, domain: &[u8], bytes: &[u8]) -> [u8; 64] {
        self.0.sign(&[domain, bytes].concat()).to_bytes()
    }
}

impl std::fmt::Debug for SecretKey {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "SecretKey of {}", self.public())
    }
}

/// The exact bytes an entry's signature covers: domain tag, ledger, previous entry, payload.
/// An envelope moved to another ledger or behind another entry does not verify there.
pub(super) fn entry_message(ledger: &LedgerId, prev: Option<EntryId>, payload: &[u8]) -> Vec<u8> {
    let prev = prev_form(prev);
    [ENTRY_DOMAIN, &ledger.signed_form(), &prev, payload].concat()
}

/// Whether the envelope was signed by the key it names, as an entry of this ledger.
pub fn is_signed(ledger: &LedgerId, envelope: &Envelope<'_>) -> bool {
    verifies(
        &envelope.key,
        &envelope.signature,
        &entry_message(ledger, envelope.prev, envelope.payload),
    )
}

/// Checks many envelopes of one ledger, each as [`is_signed`] does: a key is read once, however
/// much it wrote.
pub(crate) struct Checks<'a> {
    ledger: &'a LedgerId,
    /// The keys that were met; nothing for bytes that are no key.
    keys: BTreeMap<DeviceKey, Option<Checker>>,
}

impl<'a> Checks<'a> {
    pub(crate) const fn of(ledger: &'a LedgerId) -> Self {
        Self {
            ledger,
            keys: BTreeMap::new(),
        }
    }

    /// Which ledger.
    pub(crate) const fn ledger(&self) -> &'a LedgerId {
        self.ledger
    }

    /// Whether the envelope was signed by the key it names.
    pub(super) fn is_signed(&mut self, envelope: &Envelope<'_>) -> bool {
        let key = self.keys.entry(envelope.key);
        let key = key.or_insert_with(|| Checker::of(&envelope.key));
        let message = entry_message(self.ledger, envelope.prev, envelope.payload);
        key.as_mut()
            .is_some_and(|key| key.holds(&message, &envelope.signature))
    }
}

/// Whether the bytes were signed by the key under this domain.
pub fn is_signed_as(domain: &[u8], key: &DeviceKey, signature: &[u8; 64], bytes: &[u8]) -> bool {
    verifies(key, signature, &[domain, bytes].concat())
}

fn verifies(key: &DeviceKey, signature: &[u8; 64], message: &[u8]) -> bool {
    Checker::of(key).is_some_and(|mut key| key.holds(message, signature))
}

/// The shop's id, from its root key: whoever names the shop names the key.
pub fn shop_id(root: &DeviceKey) -> ShopId {
    use sha2::{Digest as _, Sha256};
    let digest = Sha256::new()
        .chain_update(b"tallywater shop 1\0")
        .chain_update(root.0)
        .finalize();
    let mut half = [0; 16];
    half.iter_mut()
        .zip(digest.iter())
        .for_each(|(to, from)| *to = *from);
    ShopId::new(uuid::Builder::from_custom_bytes(half).into_uuid())
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::course::CourseId;

    /// RFC 8032, section 7.1, test 2 (message 0x72), and test 1 (empty message).
    #[test]
    fn signatures_are_those_of_rfc_8032() {
        let hex = |text: &str| -> Vec<u8> {
            let digits: Vec<char> = text.chars().collect();
            let byte =
                |pair: &[char]| u8::from_str_radix(&pair.iter().collect::<String>(), 16).unwrap();
            digits.chunks(2).map(byte).collect()
        };
        let cases = [
            (
                "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
                "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
                "",
                "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
            ),
            (
                "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
                "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
                "72",
                "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
            ),
        ];
        for (seed, public, message, signature) in cases {
            let key = SecretKey::from_seed(&hex(seed).try_into().unwrap());
            assert_eq!(key.public().to_string(), public);
            assert_eq!(key.sign(b"", &hex(message)).to_vec(), hex(signature));
        }
    }

    #[test]
    fn many_checks_say_of_each_what_one_says() {
        let ledger = LedgerId::Course(CourseId::new(Uuid::from_u128(1)));
        let mut sealed: Vec<Vec<u8>> = (0..12_u8)
            .map(|n| {
                let key = SecretKey::from_seed(&[n % 3; 32]);
                key.seal(&ledger, None, &[n, b'x']).1
            })
            .collect();
        // A changed payload, another's key, and bytes that are no key at all.
        if let Some(last) = sealed[2].last_mut() {
            *last ^= 1;
        }
        sealed[5][1..33].copy_from_slice(&SecretKey::from_seed(&[9; 32]).public().0);
        sealed[7][1..33].fill(0xff);
        sealed[8][1..33].fill(0xff);
        let mut checks = Checks::of(&ledger);
        let said: Vec<bool> = sealed
            .iter()
            .map(|bytes| checks.is_signed(&Envelope::open(bytes).unwrap()))
            .collect();
        let alone = |bytes: &Vec<u8>| is_signed(&ledger, &Envelope::open(bytes).unwrap());
        assert_eq!(said, sealed.iter().map(alone).collect::<Vec<_>>());
        assert_eq!(said.iter().filter(|signed| **signed).count(), 8);
    }

    #[test]
    fn an_envelope_moved_to_another_ledger_or_changed_anywhere_does_not_verify() {
        let key = SecretKey::from_seed(&[1; 32]);
        let ledger = |n| LedgerId::Course(CourseId::new(Uuid::from_u128(n)));
        let entry = |n| EntryId::new(Uuid::from_u128(n));
        let (id, sealed) = key.seal(&ledger(1), Some(entry(1)), b"{}");
        let envelope = Envelope::open(&sealed).unwrap();
        assert!(is_signed(&ledger(1), &envelope));
        assert!(!is_signed(&ledger(2), &envelope));
        for byte in 1..sealed.len() {
            let mut forged = sealed.clone();
            forged[byte] ^= 1;
            assert!(
                !is_signed(&ledger(1), &Envelope::open(&forged).unwrap()),
                "{byte}"
            );
            assert_ne!(content_id(&ledger(1), &forged), id, "{byte}");
        }
    }
}
