//! Ids: every one a type of its own, so that a student can never be passed where a
//! session is meant. They are UUIDs (version 7 where the device makes them, see
//! [`crate::stamp`]) or, for what an outline names, short words.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// A text that is not the id it was given for.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("not a valid {what} id")]
pub struct BadId {
    /// Which kind of id was meant.
    pub what: &'static str,
}

/// An id equals the text that it prints as: whoever holds ids as texts, as a screen does, finds
/// by them.
macro_rules! equals_its_text {
    ($name:ident) => {
        impl PartialEq<str> for $name {
            fn eq(&self, text: &str) -> bool {
                self.is_text(text)
            }
        }

        impl PartialEq<&str> for $name {
            fn eq(&self, text: &&str) -> bool {
                self.is_text(text)
            }
        }

        impl PartialEq<String> for $name {
            fn eq(&self, text: &String) -> bool {
                self.is_text(text)
            }
        }

        impl PartialEq<$name> for String {
            fn eq(&self, id: &$name) -> bool {
                id.is_text(self)
            }
        }

        impl PartialEq<$name> for str {
            fn eq(&self, id: &$name) -> bool {
                id.is_text(self)
            }
        }
    };
}
pub(crate) use equals_its_text;

macro_rules! uuid_id {
    ($(#[$doc:meta])* $name:ident, $what:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(Uuid);

        impl $name {
            /// The id over this UUID.
            pub const fn new(id: Uuid) -> Self {
                Self(id)
            }
            /// The UUID inside.
            pub const fn uuid(&self) -> Uuid {
                self.0
            }
            /// The 16 bytes, as they are signed and stored.
            pub const fn bytes(&self) -> &[u8; 16] {
                self.0.as_bytes()
            }

            fn is_text(&self, text: &str) -> bool {
                let mut room = Uuid::encode_buffer();
                self.0.as_hyphenated().encode_lower(&mut room) == text
            }
        }

        equals_its_text!($name);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }

        impl From<$name> for String {
            fn from(id: $name) -> String {
                id.to_string()
            }
        }

        impl FromStr for $name {
            type Err = BadId;
            fn from_str(text: &str) -> Result<Self, BadId> {
                Uuid::parse_str(text).map(Self).map_err(|_| BadId { what: $what })
            }
        }
    };
}

macro_rules! word_id {
    ($(#[$doc:meta])* $name:ident, $what:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub struct $name(std::sync::Arc<str>);

        impl $name {
            /// The word itself.
            pub fn as_str(&self) -> &str {
                &self.0
            }

            fn is_text(&self, text: &str) -> bool {
                self.as_str() == text
            }
        }

        equals_its_text!($name);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }

        impl FromStr for $name {
            type Err = BadId;
            fn from_str(text: &str) -> Result<Self, BadId> {
                if is_word(text) { Ok(Self(text.into())) } else { Err(BadId { what: $what }) }
            }
        }

        impl TryFrom<String> for $name {
            type Error = BadId;
            fn try_from(text: String) -> Result<Self, BadId> {
                text.parse()
            }
        }

        impl From<$name> for String {
            fn from(id: $name) -> String {
                id.0.as_ref().to_owned()
            }
        }
    };
}

/// A word id: 1 to 48 of `a-z`, `0-9` and `-`, so that it can stand in a file name or a
/// column head as it is.
fn is_word(text: &str) -> bool {
    (1..=48).contains(&text.len())
        && text
            .bytes()
            .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-')
}

uuid_id!(
    /// One site of the school.
    SiteId,
    "site"
);
uuid_id!(
    /// One piece of the school's kit.
    PieceId,
    "piece"
);
uuid_id!(
    /// One course; also the UUID of its ledger.
    CourseId,
    "course"
);
uuid_id!(
    /// One student; also the UUID of the person's own ledger.
    StudentId,
    "student"
);
uuid_id!(
    /// A member of staff, or the shop's office itself.
    StaffId,
    "staff"
);
uuid_id!(
    /// One planned meeting.
    SessionId,
    "session"
);
uuid_id!(
    /// One signed line of a ledger.
    EntryId,
    "entry"
);
uuid_id!(
    /// A shop; derived from its root key, so it cannot be claimed by another.
    ShopId,
    "shop"
);
word_id!(
    /// A skill, by the word its outline gives it: `mask-full`.
    SkillId,
    "skill"
);
word_id!(
    /// One way of doing a skill: `purge`.
    MethodId,
    "method"
);
word_id!(
    /// A common fault of a skill: `head-up`.
    SlipId,
    "slip"
);
word_id!(
    /// One rule of a policy: `ratio-confined`.
    RuleId,
    "rule"
);
word_id!(
    /// A session of an outline, before it is planned: `pool-2`.
    BlockId,
    "block"
);

/// Which ledger: the shop's, a course's or a person's.
///
/// Written as `shop:…`, `course:…` or `person:…`; signed as a kind byte and the UUID.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum LedgerId {
    /// Staff, devices, policies, outlines and the list of courses.
    Shop(ShopId),
    /// Everything that happened in one course.
    Course(CourseId),
    /// One student's details, apart, so that they can be forgotten.
    Person(StudentId),
}

impl LedgerId {
    /// The form that is signed: a kind byte, then the UUID.
    pub fn signed_form(&self) -> [u8; 17] {
        let (kind, id) = match self {
            Self::Shop(id) => (1, id.bytes()),
            Self::Course(id) => (2, id.bytes()),
            Self::Person(id) => (3, id.bytes()),
        };
        let mut form = [kind; 17];
        let (_, rest) = form.split_at_mut(1);
        rest.copy_from_slice(id);
        form
    }
}

impl fmt::Display for LedgerId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Shop(id) => write!(f, "shop:{id}"),
            Self::Course(id) => write!(f, "course:{id}"),
            Self::Person(id) => write!(f, "person:{id}"),
        }
    }
}

impl FromStr for LedgerId {
    type Err = BadId;
    fn from_str(text: &str) -> Result<Self, BadId> {
        let bad = BadId { what: "ledger" };
        let (kind, id) = text.split_once(':').ok_or_else(|| bad.clone())?;
        match kind {
            "shop" => id.parse().map(Self::Shop).map_err(|_| bad),
            "course" => id.parse().map(Self::Course).map_err(|_| bad),
            "person" => id.parse().map(Self::Person).map_err(|_| bad),
            _ => Err(bad),
        }
    }
}

impl TryFrom<String> for LedgerId {
    type Error = BadId;
    fn try_from(text: String) -> Result<Self, BadId> {
        text.parse()
    }
}

impl From<LedgerId> for String {
    fn from(id: LedgerId) -> String {
        id.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_id_takes_only_small_letters_digits_and_hyphens() {
        assert!("mask-full".parse::<SkillId>().is_ok());
        for bad in ["", "Mask", "mask full", "masque-é", &"a".repeat(49)] {
            assert_eq!(
                bad.parse::<SkillId>(),
                Err(BadId { what: "skill" }),
                "{bad:?}"
            );
        }
    }

    #[test]
    fn an_id_equals_the_text_that_it_prints_as_and_no_other() {
        let id = StudentId::new(Uuid::from_u128(0x3f2a));
        assert!(id == id && *id.to_string() == id);
        assert!(id != id.to_string().to_uppercase() && id != "");
        let skill: SkillId = "mask-full".parse().unwrap();
        assert!(skill == "mask-full" && skill != "mask");
    }

    #[test]
    fn a_bad_word_inside_json_is_refused_on_reading() {
        assert!(serde_json::from_str::<SkillId>("\"mask-full\"").is_ok());
        assert!(serde_json::from_str::<SkillId>("\"Mask Full\"").is_err());
    }
}
