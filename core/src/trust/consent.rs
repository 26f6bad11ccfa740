//! Consent: whether a device let another admit it.
//!
//! An instructor's certificate counts only with it. Without, whoever may admit assistants could
//! certify a colleague's device as something else, or name the shop's own connection as that of
//! a device of theirs.

use sha2::{Digest as _, Sha256};

use super::{SecretKey, is_signed_as};
use crate::entry::{Certificate, Consent, DeviceKey};

/// What the signatures of a pairing start with.
pub const PAIRING_DOMAIN: &[u8] = b"tallywater pairing 1\0";

/// What a device signs with both its keys: which they are, and the link key of the device that
/// may admit it.
pub fn consent_form(key: &DeviceKey, link: &DeviceKey, by: &DeviceKey) -> [u8; 32] {
    Sha256::new()
        .chain_update(b"tallywater admission 1\0")
        .chain_update(key.0)
        .chain_update(link.0)
        .chain_update(by.0)
        .finalize()
        .into()
}

/// The consent of a device that holds these keys to be admitted by the device with that link
/// key.
pub fn consent(key: &SecretKey, link: &SecretKey, by: &DeviceKey) -> Consent {
    let form = consent_form(&key.public(), &link.public(), by);
    Consent {
        key: key.sign(PAIRING_DOMAIN, &form),
        link: link.sign(PAIRING_DOMAIN, &form),
    }
}

/// Whether the device with these keys lets the device with that link key admit it.
pub fn is_consented(consent: &Consent, key: &DeviceKey, link: &DeviceKey, by: &DeviceKey) -> bool {
    let form = consent_form(key, link, by);
    is_signed_as(PAIRING_DOMAIN, key, &consent.key, &form)
        && is_signed_as(PAIRING_DOMAIN, link, &consent.link, &form)
}

/// Whether a certificate has the consent of the device that it names.
pub(super) fn has_consent(certificate: &Certificate, by: &DeviceKey) -> bool {
    let both = certificate.consent.as_ref().zip(certificate.link.as_ref());
    both.is_some_and(|(consent, link)| is_consented(consent, &certificate.key, link, by))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn consent_is_of_these_two_keys_to_this_one_device() {
        let key = |n| SecretKey::from_seed(&[n; 32]);
        let given = consent(&key(1), &key(2), &key(3).public());
        let public = |n| key(n).public();
        assert!(is_consented(&given, &public(1), &public(2), &public(3)));
        for (k, l, by) in [(4, 2, 3), (1, 4, 3), (1, 2, 4), (2, 1, 3)] {
            assert!(!is_consented(&given, &public(k), &public(l), &public(by)));
        }
        let mut bent = given;
        bent.link[0] ^= 1;
        assert!(!is_consented(&bent, &public(1), &public(2), &public(3)));
    }
}
