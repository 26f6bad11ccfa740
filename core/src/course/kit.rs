//! Kit: what the school lends, piece by piece, and the sizes that a person wears.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::{PieceId, clean_line, folded};

/// What a piece of kit is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum KitKind {
    /// A wet or dry suit.
    Suit,
    /// Boots.
    Boots,
    /// Fins.
    Fins,
    /// A mask.
    Mask,
    /// A buoyancy compensator.
    Bcd,
    /// First and second stages, with their gauge.
    Regulator,
    /// A cylinder.
    Cylinder,
    /// A belt or a set of weights.
    Weights,
    /// A dive computer.
    Computer,
    /// Anything else.
    Other,
}

impl KitKind {
    /// All of them, in the order in which a diver puts them on.
    pub const ALL: [Self; 10] = [
        Self::Suit,
        Self::Boots,
        Self::Fins,
        Self::Mask,
        Self::Bcd,
        Self::Regulator,
        Self::Cylinder,
        Self::Weights,
        Self::Computer,
        Self::Other,
    ];

    /// The word it goes by in files and refusals.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Suit => "suit",
            Self::Boots => "boots",
            Self::Fins => "fins",
            Self::Mask => "mask",
            Self::Bcd => "bcd",
            Self::Regulator => "regulator",
            Self::Cylinder => "cylinder",
            Self::Weights => "weights",
            Self::Computer => "computer",
            Self::Other => "other",
        }
    }

    /// Whether it must fit the person: without a size there is none to propose.
    pub const fn is_worn(self) -> bool {
        match self {
            Self::Suit | Self::Boots | Self::Fins | Self::Mask | Self::Bcd => true,
            Self::Regulator | Self::Cylinder | Self::Weights | Self::Computer | Self::Other => {
                false
            }
        }
    }
}

/// A piece of the school's kit; what nobody knows is left empty.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KitPiece {
    /// What it is.
    pub kind: KitKind,
    /// The number on it: one of its kind among the pieces in use.
    pub number: String,
    /// Its size, as it stands on it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub size: String,
    /// The maker's serial.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub serial: String,
    /// When it was last serviced.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serviced: Option<NaiveDate>,
    /// The last day before its next service.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub service_due: Option<NaiveDate>,
    /// The last day before its next test, as a cylinder has them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub test_due: Option<NaiveDate>,
    /// A remark about the piece.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

impl KitPiece {
    /// As it is kept: lines composed, and without what cannot be seen.
    #[must_use]
    pub fn cleaned(mut self) -> Self {
        for line in [
            &mut self.number,
            &mut self.size,
            &mut self.serial,
            &mut self.note,
        ] {
            *line = clean_line(line);
        }
        self
    }

    /// Whether it carries this number, however that is typed.
    pub fn is_numbered(&self, kind: KitKind, number: &str) -> bool {
        self.kind == kind && folded(&self.number) == folded(number)
    }

    /// Whether it is of a size, however that is typed.
    pub fn is_of_size(&self, size: &str) -> bool {
        folded(&self.size) == folded(&clean_line(size))
    }

    /// Its dates that are past on a day.
    pub fn overdue(&self, on: NaiveDate) -> Vec<KitWrong> {
        let past = |due: Option<NaiveDate>| due.filter(|due| *due < on);
        let service = past(self.service_due).map(KitWrong::ServiceOverdue);
        let test = past(self.test_due).map(KitWrong::TestOverdue);
        service.into_iter().chain(test).collect()
    }

    /// What lists are sorted by: the kind, then the number, its digits as numbers: 9 before 10.
    pub fn place(&self) -> (KitKind, String) {
        let (mut key, mut digits) = (String::new(), String::new());
        for sign in folded(&self.number).chars().chain(['\0']) {
            if sign.is_ascii_digit() {
                digits.push(sign);
                continue;
            }
            if !digits.is_empty() {
                key.push_str(&format!("{:0>20}", digits.trim_start_matches('0')));
                digits.clear();
            }
            key.push(sign);
        }
        (self.kind, key)
    }
}

/// Which piece, as it is called out: its kind, number and size.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct KitName {
    /// Which.
    pub piece: PieceId,
    /// What it is.
    pub kind: KitKind,
    /// The number on it.
    pub number: String,
    /// Its size; empty where nobody said.
    pub size: String,
}

impl KitName {
    /// The name of a piece.
    pub fn of(piece: PieceId, details: &KitPiece) -> Self {
        Self {
            piece,
            kind: details.kind,
            number: details.number.clone(),
            size: details.size.clone(),
        }
    }
}

/// Why a piece should not go into the water.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum KitWrong {
    /// Somebody found a fault, and nobody has said that it is mended.
    Faulty,
    /// Its service was due until this day.
    ServiceOverdue(#[cfg_attr(feature = "border", uniffi(name = "until"))] NaiveDate),
    /// Its test was due until this day.
    TestOverdue(#[cfg_attr(feature = "border", uniffi(name = "until"))] NaiveDate),
    /// It is out of use for good.
    Retired,
}

impl KitWrong {
    /// A short word, as a refusal carries it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Faulty => "faulty",
            Self::ServiceOverdue(_) => "service",
            Self::TestOverdue(_) => "test",
            Self::Retired => "retired",
        }
    }

    /// The last day that a date of the piece counted, where it is one.
    pub const fn until(self) -> Option<NaiveDate> {
        match self {
            Self::ServiceOverdue(day) | Self::TestOverdue(day) => Some(day),
            Self::Faulty | Self::Retired => None,
        }
    }
}

/// The sizes that a person wears, as they were typed; empty where nobody knows.
#[derive(Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sizes {
    /// Of a suit.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub suit: String,
    /// Of boots.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub boots: String,
    /// Of fins.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub fins: String,
    /// Of a mask.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub mask: String,
    /// Of a BCD.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub bcd: String,
    /// Kinds that the person brings.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub own: BTreeSet<KitKind>,
}

/// Written by hand, as for height and weight: what a person wears reaches no log.
impl std::fmt::Debug for Sizes {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Sizes(..)")
    }
}

impl Sizes {
    /// The size wanted of a kind; empty where nobody knows, or where the kind has none.
    pub fn of(&self, kind: KitKind) -> &str {
        match kind {
            KitKind::Suit => &self.suit,
            KitKind::Boots => &self.boots,
            KitKind::Fins => &self.fins,
            KitKind::Mask => &self.mask,
            KitKind::Bcd => &self.bcd,
            KitKind::Regulator
            | KitKind::Cylinder
            | KitKind::Weights
            | KitKind::Computer
            | KitKind::Other => "",
        }
    }

    /// The sizes, each with the field's name.
    pub const fn parts(&self) -> [(&'static str, &String); 5] {
        [
            ("suit size", &self.suit),
            ("boots size", &self.boots),
            ("fins size", &self.fins),
            ("mask size", &self.mask),
            ("BCD size", &self.bcd),
        ]
    }

    /// As they are kept.
    #[must_use]
    pub fn cleaned(mut self) -> Self {
        for size in [
            &mut self.suit,
            &mut self.boots,
            &mut self.fins,
            &mut self.mask,
            &mut self.bcd,
        ] {
            *size = clean_line(size);
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(number: &str) -> KitPiece {
        KitPiece {
            kind: KitKind::Regulator,
            number: number.to_owned(),
            size: String::new(),
            serial: String::new(),
            serviced: None,
            service_due: None,
            test_due: None,
            note: String::new(),
        }
    }

    #[test]
    fn numbers_are_found_however_they_are_typed_and_listed_as_people_count() {
        assert!(piece("R-7").is_numbered(KitKind::Regulator, "r-7"));
        assert!(!piece("R-7").is_numbered(KitKind::Cylinder, "R-7"));
        let mut pieces = ["10", "9", "A12", "a2", "07b"].map(piece);
        pieces.sort_by_key(KitPiece::place);
        let order = pieces.each_ref().map(|one| one.number.as_str());
        assert_eq!(order, ["07b", "9", "10", "a2", "A12"]);
    }

    #[test]
    fn a_piece_counts_until_its_day_and_not_the_day_after() {
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        let mut one = piece("7");
        assert_eq!(one.overdue(day("2026-06-06")), []);
        one.service_due = Some(day("2026-06-06"));
        one.test_due = Some(day("2026-06-05"));
        let test = KitWrong::TestOverdue(day("2026-06-05"));
        assert_eq!(one.overdue(day("2026-06-06")), [test]);
        let service = KitWrong::ServiceOverdue(day("2026-06-06"));
        assert_eq!(one.overdue(day("2026-06-07")), [service, test]);
    }

    #[test]
    fn sizes_are_asked_by_kind_and_reach_no_debug_text() {
        let sizes = Sizes {
            suit: "ML long".into(),
            own: [KitKind::Mask].into(),
            ..Sizes::default()
        };
        assert_eq!(sizes.of(KitKind::Suit), "ML long");
        assert_eq!(sizes.of(KitKind::Regulator), "");
        assert_eq!(format!("{sizes:?}"), "Sizes(..)");
        let read: Sizes = serde_json::from_str("{}").unwrap();
        assert_eq!(read, Sizes::default());
    }
}
