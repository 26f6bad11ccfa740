//! Which column is which, by its head; and which kind a word means.

use std::fmt;

use crate::course::KitKind;
use crate::paper::roster::plain;

/// What a column can hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum KitField {
    /// What the piece is.
    Kind,
    /// The number on it.
    Number,
    /// Its size.
    Size,
    /// The maker's serial.
    Serial,
    /// When it was last serviced.
    Serviced,
    /// The last day before its next service.
    ServiceDue,
    /// The last day before its next test.
    TestDue,
    /// A remark about the piece.
    Note,
}

impl fmt::Display for KitField {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Kind => "kind",
            Self::Number => "number",
            Self::Size => "size",
            Self::Serial => "serial",
            Self::Serviced => "day of the last service",
            Self::ServiceDue => "day of the next service",
            Self::TestDue => "day of the next test",
            Self::Note => "note",
        })
    }
}

/// Heads in small letters and figures alone, English and German.
const HEADS: &[(KitField, &[&str])] = &[
    (
        KitField::Kind,
        &[
            "kind",
            "type",
            "item",
            "equipment",
            "art",
            "typ",
            "gerat",
            "ausrustung",
        ],
    ),
    (
        KitField::Number,
        &[
            "number",
            "no",
            "nr",
            "nummer",
            "inventorynumber",
            "inventarnummer",
        ],
    ),
    (
        KitField::Size,
        &["size", "grosse", "große", "konfektionsgrosse"],
    ),
    (
        KitField::Serial,
        &[
            "serial",
            "serialnumber",
            "serialno",
            "sn",
            "seriennummer",
            "seriennr",
        ],
    ),
    (
        KitField::Serviced,
        &[
            "serviced",
            "lastservice",
            "servicedon",
            "gewartet",
            "letztewartung",
            "gewartetam",
        ],
    ),
    (
        KitField::ServiceDue,
        &[
            "servicedue",
            "nextservice",
            "servicenext",
            "wartungfallig",
            "nachstewartung",
            "wartungbis",
        ],
    ),
    (
        KitField::TestDue,
        &[
            "testdue",
            "nexttest",
            "testedto",
            "inspectiondue",
            "pruffungfallig",
            "prufungfallig",
            "nachsteprufung",
        ],
    ),
    (
        KitField::Note,
        &["note", "notes", "remark", "remarks", "notiz", "bemerkung"],
    ),
];

/// Words for each kind, likewise, the one that is written first.
const KINDS: &[(KitKind, &[&str])] = &[
    (
        KitKind::Suit,
        &[
            "suit",
            "wetsuit",
            "drysuit",
            "anzug",
            "tauchanzug",
            "neoprenanzug",
            "trockentauchanzug",
        ],
    ),
    (
        KitKind::Boots,
        &[
            "boots",
            "boot",
            "booties",
            "fußlinge",
            "fusslinge",
            "schuhe",
        ],
    ),
    (KitKind::Fins, &["fins", "fin", "flossen", "flosse"]),
    (KitKind::Mask, &["mask", "maske", "tauchmaske"]),
    (
        KitKind::Bcd,
        &["bcd", "bc", "jacket", "tarierjacket", "wing"],
    ),
    (
        KitKind::Regulator,
        &[
            "regulator",
            "reg",
            "regs",
            "regulators",
            "atemregler",
            "lungenautomat",
            "automat",
        ],
    ),
    (
        KitKind::Cylinder,
        &[
            "cylinder",
            "tank",
            "bottle",
            "flasche",
            "tauchflasche",
            "druckluftflasche",
        ],
    ),
    (
        KitKind::Weights,
        &["weights", "weight", "weightbelt", "blei", "bleigurt"],
    ),
    (
        KitKind::Computer,
        &["computer", "divecomputer", "tauchcomputer"],
    ),
    (KitKind::Other, &["other", "anderes", "sonstiges"]),
];

impl KitField {
    /// The field that a head names; `None` for a column that is left alone.
    pub(super) fn of_head(head: &str) -> Option<Self> {
        found(HEADS, head)
    }
}

/// The kind that a word means.
pub(in crate::paper) fn kind_of(word: &str) -> Option<KitKind> {
    found(KINDS, word)
}

fn found<T: Copy>(table: &[(T, &[&str])], text: &str) -> Option<T> {
    let plain = plain(text);
    let mut table = table.iter();
    let found = table.find(|(_, words)| words.contains(&plain.as_str()));
    found.map(|(one, _)| *one)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_kind_is_read_back_by_the_word_it_is_written_as() {
        for kind in KitKind::ALL {
            assert_eq!(kind_of(kind.word()), Some(kind));
        }
        assert_eq!(kind_of("Füßlinge"), Some(KitKind::Boots));
        assert_eq!(kind_of("ATEMREGLER"), Some(KitKind::Regulator));
        assert_eq!(kind_of("snorkel"), None);
        assert_eq!(KitField::of_head("Service due"), Some(KitField::ServiceDue));
        assert_eq!(KitField::of_head("Prüfung fällig"), Some(KitField::TestDue));
        assert_eq!(KitField::of_head("Größe"), Some(KitField::Size));
        assert_eq!(KitField::of_head("piece_id"), None);
    }

    #[test]
    fn no_word_means_two_things() {
        let (mut heads, mut kinds) = (BTreeSet::new(), BTreeSet::new());
        let all = HEADS.iter().flat_map(|(_, words)| *words);
        all.for_each(|word| assert!(heads.insert(*word) && plain(word) == *word, "{word}"));
        let all = KINDS.iter().flat_map(|(_, words)| *words);
        all.for_each(|word| assert!(kinds.insert(*word) && plain(word) == *word, "{word}"));
    }
}
