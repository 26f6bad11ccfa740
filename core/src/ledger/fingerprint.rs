//! Fingerprint: 32 bytes that stand for exactly these entries, printed on every record.
//!
//! SHA-256 (FIPS 180-4) over a tag, the ledger's signed form and then, in order of the time
//! that each says it was written (what says none comes last) and of id where those agree,
//! each id (16 bytes), the length of its envelope (8 bytes, big-endian) and the envelope as
//! it stands in the ledger. Whoever holds the ledger can work it out anew, with this program
//! or without it. It knows nothing of what the entries say: a name is not in it, so a record
//! of a forgotten student still verifies.

use std::collections::BTreeSet;
use std::fmt;
use std::str::FromStr;

use sha2::{Digest as _, Sha256};

use super::{Ledger, State};
use crate::course::{BadId, EntryId, LedgerId, StudentId};

const DOMAIN: &[u8] = b"tallywater fingerprint 2\0";
const RECORD_DOMAIN: &[u8] = b"tallywater record 1\0";

/// A fingerprint of entries.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Fingerprint(pub [u8; 32]);

/// How a fingerprint compares with a ledger.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Likeness {
    /// It is of exactly these entries.
    Same,
    /// It is of so many of them; these came later.
    Before {
        /// How many entries it stands for.
        entries: usize,
        /// What has been added since, in the order of the clocks that wrote it.
        since: Vec<EntryId>,
    },
    /// It is of other entries: one is missing, one is there that was not, or one was changed.
    Other,
}

impl Fingerprint {
    /// Of every entry of a ledger, counted or not: what the bytes are, not what they mean.
    pub fn of(ledger: &Ledger) -> Self {
        Self::over(ledger, ledger.lines().keys())
    }

    /// Of some entries of a ledger; ids that it does not hold are passed over.
    pub fn over<'i>(ledger: &Ledger, ids: impl IntoIterator<Item = &'i EntryId>) -> Self {
        let ids: BTreeSet<&EntryId> = ids.into_iter().collect();
        let mut order = ledger.in_order();
        order.retain(|id| ids.contains(id));
        Self::feeding(begun(ledger.id()), ledger, &order)
    }

    /// Of what a ledger holds about one student, or of one part of it. The student and the
    /// part's word are in the digest: one record's fingerprint is never another's, though both
    /// rest on the same sessions. Its entries stand in order of id, which no clock says; so
    /// everybody's records of a course cost no more than its entries.
    pub fn of_record<'i>(
        ledger: &Ledger,
        student: &StudentId,
        part: Option<&str>,
        ids: impl IntoIterator<Item = &'i EntryId>,
    ) -> Self {
        let begun = Sha256::new()
            .chain_update(RECORD_DOMAIN)
            .chain_update(ledger.id().signed_form())
            .chain_update(student.bytes())
            .chain_update(part.unwrap_or_default())
            .chain_update([0_u8]);
        let ids: BTreeSet<&EntryId> = ids.into_iter().collect();
        Self::feeding(begun, ledger, ids)
    }

    fn feeding<'i>(
        mut digest: Sha256,
        ledger: &Ledger,
        order: impl IntoIterator<Item = &'i EntryId>,
    ) -> Self {
        for id in order {
            if let Some(bytes) = ledger.bytes_of(id) {
                feed(&mut digest, id, &bytes);
            }
        }
        Self(digest.finalize().into())
    }

    /// Compares it with what a ledger holds now.
    pub fn compare(&self, ledger: &Ledger) -> Likeness {
        let mut digest = begun(ledger.id());
        let mut found = None;
        let order = ledger.in_order();
        for (count, id) in order.iter().enumerate() {
            if self.0 == <[u8; 32]>::from(digest.clone().finalize()) {
                found = Some(count);
            }
            if let Some(bytes) = ledger.bytes_of(id) {
                feed(&mut digest, id, &bytes);
            }
        }
        if self.0 == <[u8; 32]>::from(digest.finalize()) {
            return Likeness::Same;
        }
        match found {
            Some(entries) => Likeness::Before {
                entries,
                since: order.into_iter().skip(entries).collect(),
            },
            None => Likeness::Other,
        }
    }

    /// Compares it with what a ledger held in a state that was printed beside it.
    pub fn compare_at(&self, state: &State, ledger: &Ledger) -> Likeness {
        let mut moments = state.moments(ledger).into_iter();
        let Some(then) = moments.find(|then| *self == Self::over(ledger, then)) else {
            return Likeness::Other;
        };
        let all = ledger.in_order().into_iter();
        let since: Vec<EntryId> = all.filter(|id| !then.contains(id)).collect();
        if since.is_empty() {
            Likeness::Same
        } else {
            Likeness::Before {
                entries: then.len(),
                since,
            }
        }
    }

    /// All 64 digits in groups of four, for a person to read out.
    pub fn grouped(&self) -> String {
        let digits: Vec<char> = self.to_string().chars().collect();
        let groups: Vec<String> = digits
            .chunks(4)
            .map(|group| group.iter().collect())
            .collect();
        groups.join(" ")
    }

    /// The first 16 digits in groups of four: for the foot of a page.
    pub fn short(&self) -> String {
        self.grouped().chars().take(19).collect()
    }

    /// The first eight digits: for a part of a record.
    pub fn check(&self) -> String {
        self.grouped().chars().take(9).collect()
    }
}

fn begun(ledger: &LedgerId) -> Sha256 {
    Sha256::new()
        .chain_update(DOMAIN)
        .chain_update(ledger.signed_form())
}

fn feed(digest: &mut Sha256, id: &EntryId, bytes: &[u8]) {
    // A length that does not fit 64 bits is not of this world.
    let length = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    digest.update(id.bytes());
    digest.update(length.to_be_bytes());
    digest.update(bytes);
}

impl fmt::Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

/// Reads one as it was typed off a page: spaces and capitals do not matter.
impl FromStr for Fingerprint {
    type Err = BadId;
    fn from_str(text: &str) -> Result<Self, BadId> {
        let digits: String = text
            .chars()
            .filter(|c| !c.is_whitespace())
            .flat_map(char::to_lowercase)
            .collect();
        crate::entry::hex32(&digits).map(Self).ok_or(BadId {
            what: "fingerprint",
        })
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::course::CourseId;
    use crate::ledger::sample::add;

    /// A ledger of entries: the second in which each says it was written, and what it says.
    fn ledger(entries: &[(u128, &str)]) -> Ledger {
        let id = LedgerId::Course(CourseId::new(Uuid::from_u128(7)));
        let mut ledger = Ledger::new(id, [1; 16]).unwrap();
        for (second, text) in entries {
            add(&mut ledger, *second, text);
        }
        ledger
    }

    #[test]
    fn it_is_the_same_whatever_the_order_in_which_the_entries_came() {
        let one = ledger(&[(1, "a"), (2, "bc")]);
        let other = ledger(&[(2, "bc"), (1, "a")]);
        assert_eq!(Fingerprint::of(&one), Fingerprint::of(&other));
        assert_ne!(
            Fingerprint::of(&one),
            Fingerprint::of(&ledger(&[(1, "ab"), (2, "c")]))
        );
    }

    #[test]
    fn a_ledger_that_has_grown_is_recognised_and_a_changed_one_is_not() {
        let printed = Fingerprint::of(&ledger(&[(1, "a"), (2, "b")]));
        let mut grown = ledger(&[(1, "a"), (2, "b")]);
        assert_eq!(printed.compare(&grown), Likeness::Same);
        let since = (3..40).map(|n| add(&mut grown, n, "c")).collect();
        assert_eq!(
            printed.compare(&grown),
            Likeness::Before { entries: 2, since }
        );
        assert_eq!(
            printed.compare(&ledger(&[(1, "a"), (2, "x")])),
            Likeness::Other
        );
        assert_eq!(printed.compare(&ledger(&[(2, "b")])), Likeness::Other);
    }

    #[test]
    fn it_can_be_typed_off_the_page() {
        let fingerprint = Fingerprint::of(&ledger(&[(1, "a")]));
        let typed = fingerprint.grouped().to_uppercase();
        assert_eq!(typed.parse(), Ok(fingerprint));
        assert_eq!(fingerprint.short().len(), 19);
        assert!("12 34".parse::<Fingerprint>().is_err());
    }

    /// Worked out with Python's hashlib:
    /// `sha256(b"tallywater fingerprint 2\0" + bytes([2]) + (7).to_bytes(16,"big")
    /// + id + (1).to_bytes(8,"big") + b"a").hexdigest()`, where `id` is the 16 bytes of the
    /// entry's id as [`crate::entry::content_id`] is worked out.
    #[test]
    fn anyone_can_work_it_out_without_this_program() {
        let mut ledger = ledger(&[]);
        ledger.add(b"a").unwrap();
        assert_eq!(
            Fingerprint::of(&ledger).to_string(),
            "b025280db9655daf3d9084d5133f7623acdd4df90eceffcaa151508e7b6ef713"
        );
    }
}
