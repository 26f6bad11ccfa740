//! The two sides of a pairing as steps: bytes in, bytes out, no socket and no clock. Each
//! step consumes the one before, so none can be left out or done twice.

use hmac::{Hmac, KeyInit as _, Mac as _};
use sha2::{Digest as _, Sha256};
use spake2::{Ed25519Group, Identity, Password, Spake2};

use super::card::{Card, Paired, is_name};
use super::code::Code;
use super::wire::{sealed, sealed_with};
use super::{Joined, PairingError, Welcome};
use crate::entry::DeviceKey;
use crate::trust::{PAIRING_DOMAIN, is_consented, is_signed_as};

/// The version of the pairing this program speaks.
pub const PAIRING_VERSION: u16 = 2;

/// The connection that a pairing is bound to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Channel {
    /// Keying material exported from this TLS connection; both ends see the same, and
    /// nobody in between.
    pub exported: [u8; 32],
    /// The joiner's link key, as its TLS handshake proved it.
    pub joiner: DeviceKey,
    /// The shower's.
    pub shower: DeviceKey,
}

impl Channel {
    /// What a card made for this connection must sign. It names the side, so that one
    /// side's signature cannot be sent back as the other's.
    pub fn proof(&self, of_joiner: bool) -> [u8; 32] {
        let side: &[u8] = if of_joiner { b"joiner" } else { b"shower" };
        Sha256::new()
            .chain_update(b"tallywater pairing card 1\0")
            .chain_update(self.exported)
            .chain_update(self.joiner.0)
            .chain_update(self.shower.0)
            .chain_update(side)
            .finalize()
            .into()
    }

    fn identities(&self) -> (Identity, Identity) {
        let of = |side: &[u8], key: &DeviceKey| Identity::new(&[side, &key.0].concat());
        (of(b"joiner ", &self.joiner), of(b"shower ", &self.shower))
    }
}

/// The key that both sides have if, and only if, both know the code and share the channel.
struct Shared([u8; 32]);

impl Shared {
    fn of(spake: &[u8], channel: &Channel, joiner: &[u8; 33], shower: &[u8; 33]) -> Self {
        Self(mac(
            spake,
            &[
                b"tallywater pairing key 1\0",
                &channel.exported,
                &channel.joiner.0,
                &channel.shower.0,
                joiner,
                shower,
            ],
        ))
    }

    fn say(&self, what: &[u8], bytes: &[u8]) -> [u8; 32] {
        mac(&self.0, &[what, b"\0", bytes])
    }

    /// Compares in constant time.
    fn holds(&self, what: &[u8], bytes: &[u8], said: &[u8; 32]) -> bool {
        let Ok(mut mac) = Hmac::<Sha256>::new_from_slice(&self.0) else {
            return false;
        };
        [what, b"\0", bytes]
            .iter()
            .for_each(|part| mac.update(part));
        mac.verify_slice(said).is_ok()
    }
}

fn mac(key: &[u8], parts: &[&[u8]]) -> [u8; 32] {
    match Hmac::<Sha256>::new_from_slice(key) {
        Ok(mut mac) => {
            parts.iter().for_each(|part| mac.update(part));
            mac.finalize().into_bytes().into()
        }
        // HMAC takes a key of any length; were it ever not so, nothing would verify.
        Err(_) => [0; 32],
    }
}

const JOINER_PROOF: &[u8] = b"joiner knows the code";
const SHOWER_PROOF: &[u8] = b"shower knows the code";
const JOINER_CARD: &[u8] = b"joiner card";
const SHOWER_CARD: &[u8] = b"shower card";

/// The device that typed the code, after its first message.
pub struct Joiner {
    channel: Channel,
    spake: Spake2<Ed25519Group>,
    message: [u8; 33],
}

/// The joiner after it has proved that it knows the code.
pub struct JoinerProved {
    channel: Channel,
    shared: Shared,
}

impl Joiner {
    /// Begins, with the first message.
    ///
    /// # Errors
    /// [`PairingError::Broken`], which no version of the library brings about.
    pub fn begin(code: &Code, channel: Channel) -> Result<(Self, [u8; 33]), PairingError> {
        let (joiner, shower) = channel.identities();
        let (spake, message) = Spake2::start_a(&Password::new(code.bytes()), &joiner, &shower);
        let message = message.try_into().map_err(|_| PairingError::Broken)?;
        let begun = Self {
            channel,
            spake,
            message,
        };
        Ok((begun, message))
    }

    /// Takes the shower's answer and proves the code.
    ///
    /// # Errors
    /// [`PairingError::Broken`] for an answer that is no point of the group.
    pub fn answered(self, answer: &[u8; 33]) -> Result<(JoinerProved, [u8; 32]), PairingError> {
        let spake = self
            .spake
            .finish(answer)
            .map_err(|_| PairingError::Broken)?;
        let shared = Shared::of(&spake, &self.channel, &self.message, answer);
        let proof = shared.say(JOINER_PROOF, b"");
        let proved = JoinerProved {
            channel: self.channel,
            shared,
        };
        Ok((proved, proof))
    }
}

impl JoinerProved {
    /// Checks the shower's proof and seals this device's card and what it brings along.
    ///
    /// # Errors
    /// [`PairingError::Impostor`] if the other does not know the code.
    pub fn card(
        &self,
        proof: &[u8; 32],
        card: &Card,
        brought: &[u8],
    ) -> Result<[u8; 32], PairingError> {
        if self.shared.holds(SHOWER_PROOF, b"", proof) {
            Ok(self.shared.say(JOINER_CARD, &sealed_with(card, brought)))
        } else {
            Err(PairingError::Impostor)
        }
    }

    /// Takes the welcome.
    ///
    /// # Errors
    /// [`PairingError::Impostor`] if seal or signature do not hold,
    /// [`PairingError::Broken`] for a name that cannot be shown.
    pub fn welcomed(
        self,
        root: DeviceKey,
        card: Card,
        seal: &[u8; 32],
    ) -> Result<Joined, PairingError> {
        let sealed = sealed(Some(&root), &card);
        if !self.shared.holds(SHOWER_CARD, &sealed, seal) {
            return Err(PairingError::Impostor);
        }
        check(&card, &self.channel, false)?;
        Ok(Joined {
            root,
            signing: card.signing,
            link: self.channel.shower,
            device: card.device,
            at: None,
        })
    }
}

/// The device that shows the code, after its answer.
pub struct Shower {
    channel: Channel,
    shared: Shared,
}

/// The shower after both have proved the code.
pub struct ShowerProved {
    channel: Channel,
    shared: Shared,
}

impl Shower {
    /// Takes the joiner's first message and answers it.
    ///
    /// # Errors
    /// [`PairingError::Broken`] for a message that is no point of the group.
    pub fn answer(
        code: &Code,
        channel: Channel,
        message: &[u8; 33],
    ) -> Result<(Self, [u8; 33]), PairingError> {
        let (joiner, shower) = channel.identities();
        let (spake, answer) =
            Spake2::<Ed25519Group>::start_b(&Password::new(code.bytes()), &joiner, &shower);
        let answer: [u8; 33] = answer.try_into().map_err(|_| PairingError::Broken)?;
        let spake = spake.finish(message).map_err(|_| PairingError::Broken)?;
        let shared = Shared::of(&spake, &channel, message, &answer);
        Ok((Self { channel, shared }, answer))
    }

    /// Checks the joiner's proof and proves the code in turn; `None` for a wrong code.
    pub fn check(self, proof: &[u8; 32]) -> Option<(ShowerProved, [u8; 32])> {
        if !self.shared.holds(JOINER_PROOF, b"", proof) {
            return None;
        }
        let own = self.shared.say(SHOWER_PROOF, b"");
        let proved = ShowerProved {
            channel: self.channel,
            shared: self.shared,
        };
        Some((proved, own))
    }
}

impl ShowerProved {
    /// Takes the joiner's card and what it brought: who is to be certified.
    ///
    /// # Errors
    /// [`PairingError::Broken`] if seal or signature do not hold or the name cannot be
    /// shown.
    pub fn card(
        &self,
        card: Card,
        brought: Vec<u8>,
        seal: &[u8; 32],
    ) -> Result<Paired, PairingError> {
        let sealed = sealed_with(&card, &brought);
        if !self.shared.holds(JOINER_CARD, &sealed, seal) {
            return Err(PairingError::Broken);
        }
        check(&card, &self.channel, true)?;
        let (joiner, shower) = (&self.channel.joiner, &self.channel.shower);
        if !is_consented(&card.consent, &card.signing, joiner, shower) {
            return Err(PairingError::Broken);
        }
        Ok(Paired {
            consent: card.consent,
            signing: card.signing,
            link: self.channel.joiner,
            device: card.device,
            brought,
        })
    }

    /// Seals the welcome.
    pub fn welcome(self, welcome: Welcome, card: &Card) -> [u8; 32] {
        self.shared
            .say(SHOWER_CARD, &sealed(Some(&welcome.root), card))
    }
}

fn check(card: &Card, channel: &Channel, of_joiner: bool) -> Result<(), PairingError> {
    let proof = channel.proof(of_joiner);
    let signed = is_signed_as(PAIRING_DOMAIN, &card.signing, &card.signature, &proof);
    if signed && is_name(&card.device) {
        Ok(())
    } else {
        Err(PairingError::Broken)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trust::SecretKey;

    fn channel(exported: u8) -> Channel {
        Channel {
            exported: [exported; 32],
            joiner: SecretKey::from_seed(&[11; 32]).public(),
            shower: SecretKey::from_seed(&[12; 32]).public(),
        }
    }

    fn code(text: &str) -> Code {
        Code::typed(text).unwrap()
    }

    fn card(seed: u8, device: &str, channel: &Channel, of_joiner: bool) -> Card {
        let key = SecretKey::from_seed(&[seed; 32]);
        Card {
            signing: key.public(),
            device: device.into(),
            signature: key.sign(PAIRING_DOMAIN, &channel.proof(of_joiner)),
            consent: crate::trust::consent(&key, &SecretKey::from_seed(&[11; 32]), &channel.shower),
        }
    }

    /// Both sides up to the proofs; `None` for a wrong code.
    fn prove(
        typed: &str,
        joiner_sees: Channel,
        shower_sees: Channel,
    ) -> Option<(JoinerProved, ShowerProved, [u8; 32])> {
        let (joiner, message) = Joiner::begin(&code(typed), joiner_sees).unwrap();
        let (shower, answer) = Shower::answer(&code("123456"), shower_sees, &message).unwrap();
        let (joiner, proof) = joiner.answered(&answer).unwrap();
        let (shower, own) = shower.check(&proof)?;
        Some((joiner, shower, own))
    }

    #[test]
    fn the_right_code_pairs_and_both_learn_the_others_keys() {
        let channel = channel(1);
        let (joiner, shower, own) = prove("123456", channel, channel).unwrap();
        let tablet = card(21, "Blue tablet", &channel, true);
        let seal = joiner.card(&own, &tablet, b"").unwrap();
        let paired = shower.card(tablet.clone(), Vec::new(), &seal).unwrap();
        assert_eq!(paired.signing, tablet.signing);
        assert_eq!(paired.link, channel.joiner);
        assert_eq!(paired.device, "Blue tablet");
        let root = SecretKey::from_seed(&[30; 32]).public();
        let shop = card(22, "Shop", &channel, false);
        let seal = shower.welcome(Welcome { root }, &shop);
        let joined = joiner.welcomed(root, shop.clone(), &seal).unwrap();
        assert_eq!((joined.root, joined.link), (root, channel.shower));
        assert_eq!(joined.signing, shop.signing);
    }

    #[test]
    fn a_wrong_code_proves_nothing() {
        assert!(prove("123457", channel(1), channel(1)).is_none());
        assert!(prove("000000", channel(1), channel(1)).is_none());
    }

    #[test]
    fn a_man_in_the_middle_who_passes_everything_on_fails() {
        // Two TLS connections export two different secrets.
        assert!(prove("123456", channel(1), channel(2)).is_none());
        // With the same secret, other link keys would do.
        let mut other = channel(1);
        other.joiner = SecretKey::from_seed(&[99; 32]).public();
        assert!(prove("123456", channel(1), other).is_none());
        let mut other = channel(1);
        other.shower = SecretKey::from_seed(&[99; 32]).public();
        assert!(prove("123456", other, channel(1)).is_none());
    }

    #[test]
    fn a_recorded_pairing_cannot_be_played_again() {
        let channel = channel(1);
        let (joiner, message) = Joiner::begin(&code("123456"), channel).unwrap();
        let (shower, answer) = Shower::answer(&code("123456"), channel, &message).unwrap();
        let (_, proof) = joiner.answered(&answer).unwrap();
        assert!(shower.check(&proof).is_some());
        // The same messages to the same code on the same channel: the shower's own part is
        // fresh, so the recorded proof does not hold.
        let (shower, _) = Shower::answer(&code("123456"), channel, &message).unwrap();
        assert!(shower.check(&proof).is_none());
    }

    #[test]
    fn an_impostor_that_sends_back_our_own_proof_is_found_out() {
        let channel = channel(1);
        let (joiner, message) = Joiner::begin(&code("123456"), channel).unwrap();
        let (_, answer) = Shower::answer(&code("999999"), channel, &message).unwrap();
        let (joiner, proof) = joiner.answered(&answer).unwrap();
        let tablet = card(21, "Blue tablet", &channel, true);
        for said in [proof, [0; 32]] {
            assert_eq!(
                joiner.card(&said, &tablet, b""),
                Err(PairingError::Impostor),
                "{said:?}"
            );
        }
    }

    #[test]
    fn a_card_of_another_connection_side_or_key_is_refused() {
        let own_channel = channel(1);
        let cases = [
            card(21, "Tablet", &channel(2), true),
            card(21, "Tablet", &own_channel, false),
            Card {
                signing: SecretKey::from_seed(&[50; 32]).public(),
                ..card(21, "Tablet", &own_channel, true)
            },
            Card {
                consent: card(22, "Tablet", &own_channel, true).consent,
                ..card(21, "Tablet", &own_channel, true)
            },
            card(21, "", &own_channel, true),
            card(21, "two\nlines", &own_channel, true),
            card(21, &"x".repeat(81), &own_channel, true),
        ];
        for bad in cases {
            let (joiner, shower, own) = prove("123456", own_channel, own_channel).unwrap();
            let seal = joiner.card(&own, &bad, b"").unwrap();
            let refused = shower.card(bad.clone(), Vec::new(), &seal);
            assert_eq!(refused, Err(PairingError::Broken), "{:?}", bad.device);
        }
    }

    #[test]
    fn a_card_changed_on_the_way_is_refused() {
        let channel = channel(1);
        let (joiner, shower, own) = prove("123456", channel, channel).unwrap();
        let tablet = card(21, "Blue tablet", &channel, true);
        let seal = joiner.card(&own, &tablet, b"").unwrap();
        let mut renamed = tablet.clone();
        renamed.device = "Red tablet".into();
        assert_eq!(
            shower.card(renamed, Vec::new(), &seal),
            Err(PairingError::Broken)
        );
        // Nor can anything be brought that the joiner did not bring, or less than it did.
        let slipped_in = shower.card(tablet.clone(), b"a school".to_vec(), &seal);
        assert_eq!(slipped_in, Err(PairingError::Broken));
        let seal = joiner.card(&own, &tablet, b"a school").unwrap();
        for other in [b"".to_vec(), b"a schoo".to_vec()] {
            let refused = shower.card(tablet.clone(), other, &seal);
            assert_eq!(refused, Err(PairingError::Broken));
        }
        assert!(shower.card(tablet, b"a school".to_vec(), &seal).is_ok());
    }

    #[test]
    fn a_message_that_is_no_point_is_refused_and_does_not_panic() {
        for bad in [[0u8; 33], [0xff; 33], [0x41; 33]] {
            let answered = Shower::answer(&code("123456"), channel(1), &bad);
            if let Ok((shower, _)) = answered {
                assert!(shower.check(&[0; 32]).is_none());
            }
        }
    }
}
