//! Many: the signatures of many entries of the same few keys, checked together.
//!
//! Each is checked by itself, and by the strict rule of [`super::is_signed`]: the point that
//! the signature must name is worked out as RFC 8032, section 5.1.7, has it, without the
//! cofactor, and compared byte by byte. Only the way to the point is shorter: the multiples
//! of the base point and of the writer's key are looked up in tables, which a single
//! signature would not be worth, and the points are written as bytes together.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use curve25519_dalek::constants::ED25519_BASEPOINT_POINT;
use curve25519_dalek::edwards::{CompressedEdwardsY, EdwardsPoint};
use curve25519_dalek::scalar::Scalar;
use curve25519_dalek::traits::Identity as _;
use sha2::{Digest as _, Sha512};

use super::key::{entry_message, is_signed};
use crate::course::LedgerId;
use crate::entry::{DeviceKey, Envelope};

/// From how many signatures of one key on a table of it is worth making: it costs as much as
/// some fifteen single checks.
const WORTH_A_TABLE: usize = 48;

/// The keys that wrote many of some envelopes, ready to be looked up.
pub(super) struct Writers(BTreeMap<DeviceKey, Writer>);

impl Writers {
    /// Those of these envelopes.
    pub(super) fn of<'a>(envelopes: impl Iterator<Item = &'a Envelope<'a>>) -> Self {
        let mut times: BTreeMap<DeviceKey, usize> = BTreeMap::new();
        for envelope in envelopes {
            *times.entry(envelope.key).or_default() += 1;
        }
        let many = times
            .into_iter()
            .filter(|(_, times)| *times >= WORTH_A_TABLE);
        Self(many.map(|(key, _)| (key, Writer::of(&key))).collect())
    }

    /// Which of these envelopes were signed by the key that each names, as entries of this
    /// ledger: for each the answer of [`is_signed`]. `None` stands for none, and was not.
    pub(super) fn signed(
        &self,
        ledger: &LedgerId,
        envelopes: &[Option<Envelope<'_>>],
    ) -> Vec<bool> {
        let mut signed = vec![false; envelopes.len()];
        let mut points = Vec::with_capacity(envelopes.len());
        let mut named = Vec::with_capacity(envelopes.len());
        for (envelope, signed) in envelopes.iter().zip(&mut signed) {
            let Some(envelope) = envelope else {
                continue;
            };
            let Some(writer) = self.0.get(&envelope.key) else {
                *signed = is_signed(ledger, envelope);
                continue;
            };
            let message = entry_message(ledger, envelope.prev, envelope.payload);
            let (begin, _) = envelope.signature.split_at(32);
            if let Some(point) = writer.point(&envelope.signature, &message) {
                points.push(point);
                named.push((signed, begin));
            }
        }
        let bytes = EdwardsPoint::compress_batch_alloc(&points);
        for ((signed, begin), bytes) in named.into_iter().zip(bytes) {
            *signed = bytes.as_bytes() == begin;
        }
        signed
    }
}

/// A key whose signatures are looked at.
struct Writer {
    key: DeviceKey,
    /// Multiples of the key's point turned round; `None` for a key that signs nothing: no
    /// point, or one of the eight of small order.
    away: Option<Multiples>,
}

impl Writer {
    fn of(key: &DeviceKey) -> Self {
        let point = CompressedEdwardsY(key.0).decompress();
        let point = point.filter(|point| !point.is_small_order());
        Self {
            key: *key,
            away: point.map(|point| Multiples::of(&-point)),
        }
    }

    /// The point that the first half of a signature over this message must name; `None` where
    /// none can: the second half is not below the order of the base point, or the point would
    /// be one of small order.
    fn point(&self, signature: &[u8; 64], message: &[u8]) -> Option<EdwardsPoint> {
        let away = self.away.as_ref()?;
        let (begin, end) = signature.split_at(32);
        let end: Option<Scalar> = Scalar::from_canonical_bytes(end.try_into().ok()?).into();
        let digest: [u8; 64] = Sha512::new()
            .chain_update(begin)
            .chain_update(self.key.0)
            .chain_update(message)
            .finalize()
            .into();
        let times = Scalar::from_bytes_mod_order_wide(&digest);
        let point = base().add_to(EdwardsPoint::identity(), &end?);
        let point = away.add_to(point, &times);
        (!point.is_small_order()).then_some(point)
    }
}

fn base() -> &'static Multiples {
    static BASE: OnceLock<Multiples> = OnceLock::new();
    BASE.get_or_init(|| Multiples::of(&ED25519_BASEPOINT_POINT))
}

/// How many bits of a number are looked up together. With more the tables, of 220 kB, would
/// outgrow what a core keeps beside itself, with fewer there is more to add.
const BITS: u32 = 6;
/// What one place is worth in the place before it.
const WHOLE: i8 = 1 << BITS;
/// Multiples for one place: the others are these, turned round.
const HALF: usize = 32;
/// Places in a number of 256 bits.
const PLACES: usize = 43;

/// Multiples of a point: for each place of six bits, the point times 1 to 32 times what the
/// place is worth.
struct Multiples(Vec<[EdwardsPoint; HALF]>);

impl Multiples {
    fn of(point: &EdwardsPoint) -> Self {
        let mut worth = *point;
        let places = (0..PLACES).map(|_| {
            let mut row = [worth; HALF];
            let mut sum = worth;
            for multiple in row.iter_mut().skip(1) {
                sum += worth;
                *multiple = sum;
            }
            worth = sum + sum;
            row
        });
        Self(places.collect())
    }

    /// A sum and so many times the point. Takes longer for some numbers than for others, which
    /// tells nothing: they are of a signature, and public.
    fn add_to(&self, mut sum: EdwardsPoint, times: &Scalar) -> EdwardsPoint {
        for (row, digit) in self.0.iter().zip(digits(times)) {
            let at = usize::from(digit.unsigned_abs());
            if let Some(multiple) = at.checked_sub(1).and_then(|at| row.get(at)) {
                if digit > 0 {
                    sum += multiple;
                } else {
                    sum -= multiple;
                }
            }
        }
        sum
    }
}

/// A number below 2²⁵⁵ in places of six bits, the lowest first, each from -31 to 32.
fn digits(number: &Scalar) -> [i8; PLACES] {
    let mut digits = [0; PLACES];
    let mut bytes = number.as_bytes().iter();
    let (mut held, mut bits, mut carry) = (0_u16, 0, 0);
    for digit in &mut digits {
        if bits < BITS {
            held |= u16::from(bytes.next().copied().unwrap_or(0)) << bits;
            bits += 8;
        }
        let [low, _] = (held & 0x3f).to_le_bytes();
        held >>= BITS;
        bits -= BITS;
        *digit = low.cast_signed() + carry;
        carry = i8::from(*digit > WHOLE / 2);
        *digit -= carry * WHOLE;
    }
    digits
}

#[cfg(test)]
mod tests {
    use curve25519_dalek::constants::EIGHT_TORSION;
    use uuid::Uuid;

    use super::*;
    use crate::course::CourseId;
    use crate::trust::SecretKey;

    fn ledger() -> LedgerId {
        LedgerId::Course(CourseId::new(Uuid::from_u128(7)))
    }

    /// What a crafted signature is made of. A hostile device knows its own secret, so it can
    /// make every one of these.
    #[derive(Debug, Clone, Copy)]
    struct Craft {
        /// Which point of small order is added to the key's.
        in_key: usize,
        /// Which to the point that the signature names.
        in_point: usize,
        /// Whether the secret is nought, so that only the point of small order is left.
        no_secret: bool,
        /// The same of the point.
        no_point: bool,
        /// Which way the bytes are written that can be written in two ways.
        odd: Odd,
    }

    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    enum Odd {
        Plain,
        /// The number of the second half is the order of the base point more.
        NumberAgain,
        /// The sign of the point is turned.
        Sign,
        /// The number is one more.
        Number,
        /// The message is another.
        Message,
    }

    /// The order of the base point, RFC 8032, section 5.1, the lowest byte first.
    const ORDER: [u8; 32] = [
        0xed, 0xd3, 0xf5, 0x5c, 0x1a, 0x63, 0x12, 0x58, 0xd6, 0x9c, 0xf7, 0xa2, 0xde, 0xf9, 0xde,
        0x14, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0x10,
    ];

    fn plus(a: [u8; 32], b: [u8; 32]) -> [u8; 32] {
        let mut carry = 0;
        std::array::from_fn(|at| {
            let sum = u16::from(a[at]) + u16::from(b[at]) + carry;
            carry = sum >> 8;
            sum.to_le_bytes()[0]
        })
    }

    fn number(n: u64) -> Scalar {
        let digest: [u8; 64] = Sha512::digest(n.to_le_bytes()).into();
        Scalar::from_bytes_mod_order_wide(&digest)
    }

    fn crafted(craft: Craft, n: u64) -> (DeviceKey, [u8; 64], Vec<u8>) {
        let secret = if craft.no_secret {
            Scalar::ZERO
        } else {
            number(0)
        };
        let once = if craft.no_point {
            Scalar::ZERO
        } else {
            number(n + 1)
        };
        let key = ED25519_BASEPOINT_POINT * secret + EIGHT_TORSION[craft.in_key];
        let key = DeviceKey(key.compress().0);
        let mut begin = (ED25519_BASEPOINT_POINT * once + EIGHT_TORSION[craft.in_point])
            .compress()
            .0;
        if craft.odd == Odd::Sign {
            begin[31] ^= 0x80;
        }
        let mut payload = format!("{{\"n\":{n}}}").into_bytes();
        let digest: [u8; 64] = Sha512::new()
            .chain_update(begin)
            .chain_update(key.0)
            .chain_update(entry_message(&ledger(), None, &payload))
            .finalize()
            .into();
        let mut end = (once + Scalar::from_bytes_mod_order_wide(&digest) * secret).to_bytes();
        match craft.odd {
            Odd::Plain | Odd::Sign => (),
            Odd::NumberAgain => end = plus(end, ORDER),
            Odd::Number => {
                end = (Scalar::from_canonical_bytes(end).unwrap() + Scalar::ONE).to_bytes();
            }
            Odd::Message => payload.push(b' '),
        }
        let mut signature = [0; 64];
        signature[..32].copy_from_slice(&begin);
        signature[32..].copy_from_slice(&end);
        (key, signature, payload)
    }

    /// Every answer is that of the strict check of each by itself, whatever a device crafts:
    /// among 7,680 are some that hold only where the cofactor is multiplied in, which a sum
    /// over many signatures would take or not by chance.
    #[test]
    fn many_signatures_are_answered_as_each_by_itself() {
        let (mut held, mut nearly) = (0, 0);
        for in_key in 0..8 {
            for (no_secret, no_point) in [(false, false), (false, true), (true, false)] {
                let mut all = Vec::new();
                for in_point in 0..8 {
                    for odd in [
                        Odd::Plain,
                        Odd::NumberAgain,
                        Odd::Sign,
                        Odd::Number,
                        Odd::Message,
                    ] {
                        let craft = Craft {
                            in_key,
                            in_point,
                            no_secret,
                            no_point,
                            odd,
                        };
                        let made = (0..8).map(|n| (craft, crafted(craft, n)));
                        all.extend(made);
                    }
                }
                let envelopes: Vec<Option<Envelope<'_>>> = all
                    .iter()
                    .map(|(_, (key, signature, payload))| {
                        Some(Envelope {
                            key: *key,
                            prev: None,
                            signature: *signature,
                            payload,
                        })
                    })
                    .collect();
                let writers = Writers::of(envelopes.iter().flatten());
                assert_eq!(writers.0.len(), 1, "one key wrote them all");
                let together = writers.signed(&ledger(), &envelopes);
                for ((craft, _), (envelope, together)) in
                    all.iter().zip(envelopes.iter().flatten().zip(together))
                {
                    let alone = is_signed(&ledger(), envelope);
                    assert_eq!(together, alone, "{craft:?}");
                    held += usize::from(alone);
                    nearly += usize::from(!alone && craft.odd == Odd::Plain);
                }
            }
        }
        assert!(held > 50, "some hold: {held}");
        assert!(
            nearly > 400,
            "some hold but for a point of small order: {nearly}"
        );
    }

    #[test]
    fn honest_ones_hold_and_one_altered_byte_is_found_among_many() {
        let (one, other) = (
            SecretKey::from_seed(&[1; 32]),
            SecretKey::from_seed(&[2; 32]),
        );
        let sealed: Vec<Vec<u8>> = (0..200_u32)
            .map(|n| {
                let key = if n % 9 == 0 { &other } else { &one };
                let mut sealed = key.seal(&ledger(), None, n.to_string().as_bytes()).1;
                if n % 50 == 7 {
                    let at = usize::try_from(n).unwrap() % 64 + 49;
                    sealed[at] ^= 4;
                }
                sealed
            })
            .collect();
        let mut envelopes: Vec<Option<Envelope<'_>>> =
            sealed.iter().map(|one| Envelope::open(one).ok()).collect();
        envelopes.push(None);
        let writers = Writers::of(envelopes.iter().flatten());
        assert_eq!(writers.0.len(), 1, "the other wrote too few");
        let signed = writers.signed(&ledger(), &envelopes);
        for (n, (signed, envelope)) in signed.iter().zip(&envelopes).enumerate() {
            assert_eq!(*signed, n % 50 != 7 && n < 200, "{n}");
            let alone = envelope.is_some_and(|one| is_signed(&ledger(), &one));
            assert_eq!(*signed, alone, "{n}");
        }
    }

    #[test]
    fn a_number_is_the_sum_of_its_places() {
        let mut numbers: Vec<Scalar> = (0..200).map(number).collect();
        numbers.extend([Scalar::ZERO, Scalar::ONE, -Scalar::ONE]);
        for number in numbers {
            let mut sum = Scalar::ZERO;
            for digit in digits(&number).into_iter().rev() {
                assert!((-31..=32).contains(&digit));
                sum *= Scalar::from(64_u8);
                let size = Scalar::from(digit.unsigned_abs());
                sum += if digit < 0 { -size } else { size };
            }
            assert_eq!(sum, number);
        }
    }
}
