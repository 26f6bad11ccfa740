//! The school's slots, absences and kit as they are stored.

use tallywater_core::course::{Away, KitKind, KitPiece, PieceId, Setting, Slot};
use tallywater_core::entry::{
    AwaySet, KitFault, KitIssued, KitMended, KitRetired, KitReturned, KitSet, SlotSet, Who,
};

use super::*;

#[test]
fn slots_and_absences_are_written_as_they_always_were() {
    let id = ID;
    let when = chrono::DateTime::parse_from_rfc3339("2026-06-02T10:15:00+02:00").unwrap();
    let slot = Slot {
        uid: "a@pool".into(),
        setting: Setting::Confined,
        site: "Hollow Lane pool".into(),
        starts: when,
        minutes: 90,
        price: None,
    };
    let priced = Slot {
        price: Some("40 EUR".into()),
        ..slot.clone()
    };
    let away = Away {
        uid: "b".into(),
        from: when,
        until: when + chrono::TimeDelta::hours(1),
    };
    let hours = r#""from":"2026-06-02T10:15:00+02:00","until":"2026-06-02T11:15:00+02:00""#;
    let cases: [(Body, &str, String); 3] = [
        (
            SlotSet { slot, dropped: true }.into(),
            "slot_set",
            r#"{"slot":{"uid":"a@pool","setting":"confined","site":"Hollow Lane pool","starts":"2026-06-02T10:15:00+02:00","minutes":90},"dropped":true}"#.to_owned(),
        ),
        (
            SlotSet { slot: priced, dropped: false }.into(),
            "slot_set",
            r#"{"slot":{"uid":"a@pool","setting":"confined","site":"Hollow Lane pool","starts":"2026-06-02T10:15:00+02:00","minutes":90,"price":"40 EUR"},"dropped":false}"#.to_owned(),
        ),
        (
            AwaySet {
                who: Who::Student(StudentId::new(id)),
                away,
                dropped: false,
            }
            .into(),
            "away_set",
            format!(r#"{{"who":{{"student":"UUID"}},"away":{{"uid":"b",{hours}}},"dropped":false}}"#),
        ),
    ];
    for (body, kind, kept) in cases {
        assert_written(body, kind, &kept);
    }
}

#[test]
fn kit_is_written_as_it_always_was() {
    let id = ID;
    let (piece, entry) = (PieceId::new(id), EntryId::new(id));
    let when = chrono::DateTime::parse_from_rfc3339("2026-06-02T10:15:00+02:00").unwrap();
    let details = |size: &str, service_due| KitPiece {
        kind: KitKind::Bcd,
        number: "B-7".into(),
        size: size.into(),
        serial: String::new(),
        serviced: None,
        service_due,
        test_due: None,
        note: String::new(),
    };
    let cases: [(Body, &str, &str); 7] = [
        (
            KitSet {
                piece,
                details: details("", None),
            }
            .into(),
            "kit_set",
            r#"{"piece":"UUID","details":{"kind":"bcd","number":"B-7"}}"#,
        ),
        (
            KitSet {
                piece,
                details: details("M", Some(when.date_naive())),
            }
            .into(),
            "kit_set",
            r#"{"piece":"UUID","details":{"kind":"bcd","number":"B-7","size":"M","service_due":"2026-06-02"}}"#,
        ),
        (
            KitRetired {
                piece,
                why: "sold".into(),
            }
            .into(),
            "kit_retired",
            r#"{"piece":"UUID","why":"sold"}"#,
        ),
        (
            KitFault {
                piece,
                what: "leaks".into(),
                when,
            }
            .into(),
            "kit_fault",
            r#"{"piece":"UUID","what":"leaks","when":"2026-06-02T10:15:00+02:00"}"#,
        ),
        (
            KitMended {
                fault: entry,
                how: "new valve".into(),
                when,
            }
            .into(),
            "kit_mended",
            r#"{"fault":"UUID","how":"new valve","when":"2026-06-02T10:15:00+02:00"}"#,
        ),
        (
            KitIssued {
                piece,
                to: Who::Student(StudentId::new(id)),
                session: SessionId::new(id),
                when,
                despite: None,
            }
            .into(),
            "kit_issued",
            r#"{"piece":"UUID","to":{"student":"UUID"},"session":"UUID","when":"2026-06-02T10:15:00+02:00"}"#,
        ),
        (
            KitReturned { issue: entry, when }.into(),
            "kit_returned",
            r#"{"issue":"UUID","when":"2026-06-02T10:15:00+02:00"}"#,
        ),
    ];
    for (body, kind, kept) in cases {
        assert_written(body, kind, kept);
    }
}
