//! Opener: a course's id says which device opened it.
//!
//! The first half of the id is chance, the second a digest of it and the opener's key. So the
//! shop's list can be read without a clock and without the course's own ledger: of a course
//! that nobody listed before, only the shop or the device that opened it writes the first line.

use sha2::{Digest as _, Sha256};
use uuid::{Builder, Uuid};

use super::DeviceKey;
use crate::course::CourseId;

/// What the digest starts with.
const DOMAIN: &[u8] = b"tallywater course id 1\0";

/// The id of a course that the device with this key opens. A UUID of version 8 (RFC 9562): 58
/// bits of chance, 62 of the digest.
pub fn course_id(chance: Uuid, key: &DeviceKey) -> CourseId {
    // The half of an id of chance that has no time in it.
    let half = chance.as_u128() << 64;
    let mut bytes = *Builder::from_custom_bytes(half.to_be_bytes())
        .into_uuid()
        .as_bytes();
    let (first, last) = bytes.split_at_mut(8);
    let digest = Sha256::new()
        .chain_update(DOMAIN)
        .chain_update(&*first)
        .chain_update(key.0)
        .finalize();
    last.iter_mut()
        .zip(digest)
        .for_each(|(to, from)| *to = from);
    CourseId::new(Builder::from_custom_bytes(bytes).into_uuid())
}

/// Whether the device with this key opened the course. To open one that says so of another's
/// key takes some 2^62 tries.
pub fn opened_by(course: &CourseId, key: &DeviceKey) -> bool {
    course_id(Uuid::from_u128(course.uuid().as_u128() >> 64), key) == *course
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked out with Python's hashlib: `sha256(b"tallywater course id 1\0" + first +
    /// bytes([7]) * 32)[:8]`, where `first` is 08 09 0a 0b 0c 0d 8e 0f (four bits of the seventh
    /// byte are the version), and the two highest bits of the ninth byte are binary 10.
    #[test]
    fn anyone_can_work_a_course_id_out_without_this_program() {
        let chance = Uuid::from_bytes([0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15]);
        let id = course_id(chance, &DeviceKey([7; 32]));
        assert_eq!(id.to_string(), "08090a0b-0c0d-8e0f-bbe9-0b41441b1e8c");
    }

    #[test]
    fn a_course_is_its_openers_and_nobody_elses() {
        let (own, other) = (DeviceKey([7; 32]), DeviceKey([8; 32]));
        for n in 0..100_u128 {
            let id = course_id(Uuid::from_u128(n << 60 | n), &own);
            assert!(opened_by(&id, &own));
            assert!(!opened_by(&id, &other));
            assert!(!opened_by(&CourseId::new(Uuid::from_u128(n)), &own));
        }
    }
}
