//! Pairs, zones and incidents as they are stored.

use tallywater_core::entry::{
    AlarmEnd, AlarmEnded, Begun, FactAbout, Happening, Incident, IncidentFact, IncidentMoment,
    IncidentPerson, IncidentReport, IncidentReported, PartIn, Teams, TeamsSet, Who, Zone,
};

use super::*;

#[test]
fn pairs_zones_and_incidents_are_written_as_they_always_were() {
    let id = ID;
    let (entry, staff) = (EntryId::new(id), StaffId::new(id));
    let student = StudentId::new(id);
    let when = chrono::DateTime::parse_from_rfc3339("2026-06-02T10:15:00+02:00").unwrap();
    let day = when.date_naive();
    let cases: [(Body, &str, &str); 10] = [
        (
            TeamsSet {
                session: SessionId::new(id),
                teams: Teams {
                    pairs: vec![vec![Who::Student(student), Who::Staff(staff)]],
                    zones: vec![Zone {
                        staff,
                        watches: vec![student],
                    }],
                },
            }
            .into(),
            "teams_set",
            r#"{"session":"UUID","teams":{"pairs":[[{"student":"UUID"},{"staff":"UUID"}]],"zones":[{"staff":"UUID","watches":["UUID"]}]}}"#,
        ),
        (
            AlarmRaised {
                session: SessionId::new(id),
                what: Alarm::LostBuddy,
                when,
                missing: vec![Who::Student(student)],
                reported_by: Some(Who::Staff(staff)),
            }
            .into(),
            "alarm_raised",
            r#"{"session":"UUID","what":"lost_buddy","when":"2026-06-02T10:15:00+02:00","missing":[{"student":"UUID"}],"reported_by":{"staff":"UUID"}}"#,
        ),
        (
            AlarmEnded {
                alarm: entry,
                how: AlarmEnd::TakenOver,
                when,
            }
            .into(),
            "alarm_ended",
            r#"{"alarm":"UUID","how":"taken_over","when":"2026-06-02T10:15:00+02:00"}"#,
        ),
        (
            incident(when, None).into(),
            "incident",
            r#"{"who":[],"when":"2026-06-02T10:15:00+02:00","happened":"Cramp","done":"Rest"}"#,
        ),
        (
            incident(when, Some(Begun { from: Some(entry) })).into(),
            "incident",
            r#"{"who":[],"when":"2026-06-02T10:15:00+02:00","happened":"Cramp","done":"Rest","begun":{"from":"UUID"}}"#,
        ),
        (
            IncidentMoment {
                incident: entry,
                what: Happening::OxygenBegun,
                when,
                who: None,
                text: None,
            }
            .into(),
            "incident_moment",
            r#"{"incident":"UUID","what":"oxygen_begun","when":"2026-06-02T10:15:00+02:00"}"#,
        ),
        (
            IncidentPerson {
                incident: entry,
                part: PartIn::Witness,
                who: None,
                text: Some("A lifeguard".into()),
            }
            .into(),
            "incident_person",
            r#"{"incident":"UUID","part":"witness","text":"A lifeguard"}"#,
        ),
        (
            IncidentFact {
                incident: entry,
                about: FactAbout::Kept,
                text: "Mask".into(),
            }
            .into(),
            "incident_fact",
            r#"{"incident":"UUID","about":"kept","text":"Mask"}"#,
        ),
        (
            IncidentReport {
                incident: entry,
                to: "The insurer".into(),
                by: Some(day),
            }
            .into(),
            "incident_report",
            r#"{"incident":"UUID","to":"The insurer","by":"2026-06-02"}"#,
        ),
        (
            IncidentReported {
                report: entry,
                on: day,
            }
            .into(),
            "incident_reported",
            r#"{"report":"UUID","on":"2026-06-02"}"#,
        ),
    ];
    for (body, kind, kept) in cases {
        assert_written(body, kind, kept);
    }
}

fn incident(when: chrono::DateTime<chrono::FixedOffset>, begun: Option<Begun>) -> Incident {
    Incident {
        session: None,
        who: Vec::new(),
        when,
        happened: "Cramp".into(),
        done: "Rest".into(),
        reported: None,
        begun,
    }
}
