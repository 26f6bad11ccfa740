//! Multiples: the strict check of a signature for keys that wrote much, by multiples of the key
//! that are worked out once.
//!
//! The equation is that of RFC 8032, section 5.1.7, without the cofactor: R is `S·B - k·A`. The
//! library's strict check goes through the whole of it for each signature; where multiples of
//! both points are at hand it takes two thirds of that. Points are multiplied, added and written
//! by the library beneath it, `curve25519-dalek`; the equation alone is put together here. What
//! does not hold by it is asked of the strict check, so that nothing is refused on our word, and
//! what holds by it is held to that check by 914 published signatures made to tell two checks
//! apart.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use curve25519_dalek::constants::ED25519_BASEPOINT_TABLE;
use curve25519_dalek::edwards::{CompressedEdwardsY, EdwardsBasepointTable};
use curve25519_dalek::scalar::Scalar;
use curve25519_dalek::traits::BasepointTable as _;
use ed25519_dalek::{Signature, VerifyingKey};
use sha2::{Digest as _, Sha512};

use crate::entry::DeviceKey;

/// From so many signatures of a key on its multiples are worth what they cost: they take as
/// long as 23 strict checks, and save a third of each.
const WORTH: u32 = 64;

/// So many keys at most are remembered, 30 KiB each.
const MOST: usize = 32;

/// Multiples of a key.
struct Multiples {
    key: DeviceKey,
    /// Of the point with the other sign: it is subtracted.
    of: EdwardsBasepointTable,
}

impl Multiples {
    /// Nothing for a key that the strict check refuses whatever it signed.
    fn of(key: &VerifyingKey) -> Option<Self> {
        if key.is_weak() {
            return None;
        }
        let point = CompressedEdwardsY(key.to_bytes()).decompress()?;
        Some(Self {
            key: DeviceKey(key.to_bytes()),
            of: EdwardsBasepointTable::create(&-point),
        })
    }

    /// Whether the strict equation holds.
    fn holds(&self, message: &[u8], signature: &Signature) -> bool {
        let s = Scalar::from_canonical_bytes(*signature.s_bytes());
        let Some(s) = Option::<Scalar>::from(s) else {
            return false;
        };
        let hash = Sha512::new()
            .chain_update(signature.r_bytes())
            .chain_update(self.key.0)
            .chain_update(message)
            .finalize();
        let k = Scalar::from_bytes_mod_order_wide(&hash.into());
        let r = ED25519_BASEPOINT_TABLE * &s + &self.of * &k;
        r.compress().0 == *signature.r_bytes() && !r.is_small_order()
    }
}

/// A key that signed something, and its multiples once they are worth it.
struct Met {
    key: DeviceKey,
    held: u32,
    multiples: Option<Arc<Multiples>>,
}

/// The keys that signed most lately, the last one last.
struct Often(Vec<Met>);

/// Those that this program met.
static OFTEN: Mutex<Often> = Mutex::new(Often(Vec::new()));

impl Often {
    /// What is remembered of a key, which is then the last one met.
    fn take(&mut self, key: &DeviceKey) -> Option<Met> {
        let place = self.0.iter().position(|one| one.key == *key)?;
        Some(self.0.remove(place))
    }

    /// The multiples of a key, where there are some.
    fn multiples_of(&mut self, key: &DeviceKey) -> Option<Arc<Multiples>> {
        let one = self.take(key)?;
        let multiples = one.multiples.clone();
        self.0.push(one);
        multiples
    }

    /// A signature of this key held once more: its multiples, where by now they are worth it.
    fn held(&mut self, key: &VerifyingKey) -> Option<Arc<Multiples>> {
        let of = DeviceKey(key.to_bytes());
        let mut one = self.take(&of).unwrap_or(Met {
            key: of,
            held: 0,
            multiples: None,
        });
        one.held = one.held.saturating_add(1);
        if one.held >= WORTH && one.multiples.is_none() {
            one.multiples = Multiples::of(key).map(Arc::new);
        }
        let multiples = one.multiples.clone();
        if self.0.len() >= MOST {
            self.0.remove(0);
        }
        self.0.push(one);
        multiples
    }
}

/// What is remembered, which one thread at a time looks at.
fn often() -> MutexGuard<'static, Often> {
    OFTEN.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A key as something is checked by it.
pub(super) struct Checker {
    key: VerifyingKey,
    multiples: Option<Arc<Multiples>>,
}

impl Checker {
    /// Nothing for bytes that are no key.
    pub(super) fn of(key: &DeviceKey) -> Option<Self> {
        Some(Self {
            key: VerifyingKey::from_bytes(&key.0).ok()?,
            multiples: often().multiples_of(key),
        })
    }

    /// Whether the key signed the message, as the library's strict check has it.
    pub(super) fn holds(&mut self, message: &[u8], signature: &[u8; 64]) -> bool {
        let signature = Signature::from_bytes(signature);
        let by_multiples = |all: &Arc<Multiples>| all.holds(message, &signature);
        if self.multiples.as_ref().is_some_and(by_multiples) {
            return true;
        }
        let holds = self.key.verify_strict(message, &signature).is_ok();
        if holds && self.multiples.is_none() {
            self.multiples = often().held(&self.key);
        }
        holds
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::trust::SecretKey;

    fn bytes<const N: usize>(hex: &str) -> [u8; N] {
        let digits: Vec<char> = hex.chars().collect();
        let byte = |pair: &[char]| u8::from_str_radix(&pair.iter().collect::<String>(), 16);
        let all: Vec<u8> = digits.chunks(2).map(|pair| byte(pair).unwrap()).collect();
        all.try_into().unwrap()
    }

    /// Community Cryptography Test Vectors, ed25519: points of small order, with a part of small
    /// order, and in second forms.
    #[test]
    fn the_published_edge_cases_are_judged_as_by_the_strict_check() {
        let text = include_str!("../../../fixtures/published/ed25519_edge_cases.csv");
        let mut rows = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .from_reader(text.as_bytes());
        let (mut all, mut strict) = (0, 0);
        for row in rows.records() {
            let row = row.unwrap();
            let (key, signature, message) = (bytes(&row[0]), bytes(&row[1]), row[2].as_bytes());
            let published = &row[3] == "yes";
            let read = VerifyingKey::from_bytes(&key).ok();
            let signed = Signature::from_bytes(&signature);
            let library = read.is_some_and(|key| key.verify_strict(message, &signed).is_ok());
            assert_eq!(library, published, "{all}: the library's own check");
            let multiples = read.and_then(|key| Multiples::of(&key));
            let ours = multiples.is_some_and(|of| of.holds(message, &signed));
            assert_eq!(ours, published, "{all}: by multiples");
            let mut checker = Checker::of(&DeviceKey(key));
            let both = checker
                .as_mut()
                .is_some_and(|key| key.holds(message, &signature));
            assert_eq!(both, published, "{all}: by both");
            all += 1;
            strict += u32::from(published);
        }
        assert_eq!((all, strict), (914, 43));
    }

    #[test]
    fn after_many_signatures_a_key_has_multiples_and_who_was_not_met_for_long_is_let_go() {
        let key = |seed: usize| {
            let secret = SecretKey::from_seed(&[u8::try_from(seed).unwrap(); 32]);
            VerifyingKey::from_bytes(&secret.public().0).unwrap()
        };
        let (often, first) = (&mut Often(Vec::new()), DeviceKey(key(0).to_bytes()));
        for held in 1..=WORTH {
            assert!(often.multiples_of(&first).is_none(), "{held}");
            let multiples = often.held(&key(0));
            assert_eq!(multiples.is_some(), held == WORTH, "{held}");
        }
        for seed in 1..MOST {
            often.held(&key(seed));
        }
        assert_eq!(often.0.len(), MOST);
        assert!(often.multiples_of(&first).is_some(), "met again");
        for seed in MOST..2 * MOST - 1 {
            often.held(&key(seed));
        }
        assert!(often.multiples_of(&first).is_some());
        for seed in 0..MOST {
            often.held(&key(2 * MOST + seed));
        }
        assert!(often.multiples_of(&first).is_none());
        assert_eq!(often.0.len(), MOST);
    }

    #[test]
    fn a_checker_says_the_same_before_and_after_it_has_multiples() {
        let secret = SecretKey::from_seed(&[0xa1; 32]);
        let signature = secret.sign(b"", b"one");
        let mut checker = Checker::of(&secret.public()).unwrap();
        for with in [false, true] {
            if with {
                checker.multiples = Multiples::of(&checker.key).map(Arc::new);
                assert!(checker.multiples.is_some());
            }
            assert!(checker.holds(b"one", &signature));
            assert!(!checker.holds(b"another", &signature));
        }
    }

    proptest! {
        #[test]
        fn whatever_is_changed_both_checks_say_the_same(
            seed: [u8; 32],
            message: Vec<u8>,
            at in 0..64_usize,
            bit in 0..8_u8,
        ) {
            let secret = SecretKey::from_seed(&seed);
            let key = VerifyingKey::from_bytes(&secret.public().0).unwrap();
            let multiples = Multiples::of(&key).unwrap();
            let mut signature = secret.sign(b"", &message);
            prop_assert!(multiples.holds(&message, &Signature::from_bytes(&signature)));
            signature[at] ^= 1 << bit;
            let changed = Signature::from_bytes(&signature);
            prop_assert_eq!(
                multiples.holds(&message, &changed),
                key.verify_strict(&message, &changed).is_ok()
            );
        }
    }
}
