//! A lost buddy, and an incident with its timeline.

use super::Eyes;
use crate::course::Alarm;
use crate::entry::{
    AlarmEnd, AlarmEnded, AlarmRaised, Begun, FactAbout, Happening, Incident, IncidentFact,
    IncidentMoment, IncidentPerson, IncidentReport, IncidentReported, PartIn, Who,
};
use crate::standing::sample::{ODD, PELLE, RENATE, Sample, day, session, student, time};
use crate::view::{EmergencyView, HeadcountView, IncidentView, IncidentsView, TimelineWhat};

fn lost(sample: &mut Sample, when: &str) -> crate::course::EntryId {
    let raised = AlarmRaised {
        session: session(1),
        what: Alarm::LostBuddy,
        when: time(when),
        missing: vec![Who::Student(student(1))],
        reported_by: Some(Who::Student(student(2))),
    };
    sample.add(PELLE, &[], raised)
}

#[test]
fn a_lost_buddy_stands_on_the_waters_screen_until_it_is_over() {
    let mut sample = Sample::new();
    let alarm = lost(&mut sample, "2026-06-02T10:20:00+02:00");
    let eyes = Eyes::new().at("2026-06-02T10:22:30+02:00");
    let shown = |sample: &Sample| {
        let reader = eyes.reader(RENATE);
        HeadcountView::of(&sample.now, &reader, &session(1))
            .unwrap()
            .lost
    };
    let rows = shown(&sample);
    assert_eq!(rows.len(), 1);
    assert_eq!((rows[0].entry, rows[0].elapsed.all_minutes), (alarm, 2));
    assert_eq!(rows[0].missing[0].name(), "Ottilie Brandvoll");
    assert_eq!(rows[0].reported_by.as_ref().unwrap().name(), "Émile Aasen");
    assert_eq!(rows[0].by.name, "Pelle Strand");
    let end = |how, when: &str| AlarmEnded {
        alarm,
        how,
        when: time(when),
    };
    let later = end(AlarmEnd::TakenOver, "2026-06-02T10:40:00+02:00");
    sample.add(ODD, &[alarm], later);
    let found = end(AlarmEnd::Found, "2026-06-02T10:24:00+02:00");
    let entry = sample.add(RENATE, &[alarm], found);
    assert!(shown(&sample).is_empty());
    let reader = eyes.reader(RENATE);
    let emergency = EmergencyView::of(&sample.now, &reader, &session(1)).unwrap();
    let ended = emergency.alarms[0].ended.as_ref().unwrap();
    assert_eq!((ended.entry, ended.how), (entry, AlarmEnd::Found));
    sample.withdraw(RENATE, entry);
    let held = sample.now.alarm_end(&alarm).unwrap().1;
    assert_eq!(held.how, AlarmEnd::TakenOver, "the other one stands");
}

#[test]
fn an_alarm_waits_for_an_incident_while_it_goes_on_and_none_that_stands_grew_out_of_it() {
    let mut sample = Sample::new();
    let eyes = Eyes::new().at("2026-06-02T10:30:00+02:00");
    let unreported = |sample: &Sample| {
        let reader = eyes.reader(RENATE);
        let view = EmergencyView::of(&sample.now, &reader, &session(1)).unwrap();
        view.unreported
    };
    assert_eq!(unreported(&sample), None);
    lost(&mut sample, "2026-06-02T10:10:00+02:00");
    let alarm = lost(&mut sample, "2026-06-02T10:20:00+02:00");
    assert_eq!(unreported(&sample), Some(alarm), "the latest");
    let begun = |from| Incident {
        session: Some(session(1)),
        who: Vec::new(),
        when: time("2026-06-02T10:21:00+02:00"),
        happened: String::new(),
        done: String::new(),
        reported: None,
        begun: Some(Begun { from }),
    };
    sample.add(PELLE, &[], begun(None));
    assert_eq!(unreported(&sample), Some(alarm), "that one is of no alarm");
    let grown = sample.add(PELLE, &[alarm], begun(Some(alarm)));
    assert_eq!(unreported(&sample), None, "it is an incident by now");
    sample.withdraw(PELLE, grown);
    assert_eq!(unreported(&sample), Some(alarm));
    let found = AlarmEnded {
        alarm,
        how: AlarmEnd::Found,
        when: time("2026-06-02T10:24:00+02:00"),
    };
    sample.add(RENATE, &[alarm], found);
    assert_eq!(unreported(&sample), None, "it has ended");
}

#[test]
fn moments_stand_in_the_order_of_the_time_that_was_meant_with_when_they_were_written() {
    let mut sample = Sample::new();
    sample.clock("2026-06-02T10:20:00+02:00");
    let alarm = lost(&mut sample, "2026-06-02T10:20:00+02:00");
    let incident = sample.add(
        PELLE,
        &[alarm],
        Incident {
            session: Some(session(1)),
            who: vec![Who::Student(student(1))],
            when: time("2026-06-02T10:20:00+02:00"),
            happened: String::new(),
            done: String::new(),
            reported: None,
            begun: Some(Begun { from: Some(alarm) }),
        },
    );
    let moment = |what, when: &str, text: Option<&str>| IncidentMoment {
        incident,
        what,
        when: time(when),
        who: None,
        text: text.map(str::to_owned),
    };
    sample.clock("2026-06-02T10:26:00+02:00");
    let oxygen = moment(Happening::OxygenBegun, "2026-06-02T10:26:00+02:00", None);
    let oxygen = sample.add(PELLE, &[], oxygen);
    let called = moment(
        Happening::EmergencyCalled,
        "2026-06-02T10:27:00+02:00",
        None,
    );
    let called = sample.add(RENATE, &[], called);
    // Written an hour later, and meant before the oxygen.
    sample.clock("2026-06-02T11:30:00+02:00");
    let out = moment(
        Happening::OutOfWater,
        "2026-06-02T10:24:00+02:00",
        Some("By the ladder"),
    );
    sample.add(RENATE, &[], out);
    sample.add(
        ODD,
        &[],
        IncidentFact {
            incident,
            about: FactAbout::Happened,
            text: "Lost sight at the platform".to_owned(),
        },
    );
    sample.add(
        ODD,
        &[],
        IncidentPerson {
            incident,
            part: PartIn::Witness,
            who: None,
            text: Some("A lifeguard".to_owned()),
        },
    );
    let report = |to: &str, by: Option<&str>| IncidentReport {
        incident,
        to: to.to_owned(),
        by: by.map(day),
    };
    let insurer = sample.add(RENATE, &[], report("The insurer", Some("2026-06-05")));
    sample.add(RENATE, &[], report("The pool", Some("2026-06-01")));
    sample.withdraw(RENATE, called);
    let eyes = Eyes::new().at("2026-06-02T12:00:00+02:00");
    let of = |sample: &Sample| {
        let reader = eyes.reader(RENATE);
        IncidentView::of(&sample.now, &reader, &incident).unwrap()
    };
    let view = of(&sample);
    let told: Vec<_> = view
        .moments
        .iter()
        .map(|row| (row.what, row.afterwards, row.withdrawn.is_some()))
        .collect();
    assert_eq!(
        told,
        [
            (TimelineWhat::Raised(Alarm::LostBuddy), false, false),
            (TimelineWhat::Happened(Happening::OutOfWater), true, false),
            (TimelineWhat::Happened(Happening::OxygenBegun), false, false),
            (
                TimelineWhat::Happened(Happening::EmergencyCalled),
                false,
                true
            ),
        ]
    );
    assert_eq!(view.moments[1].text.as_deref(), Some("By the ladder"));
    assert_eq!(
        (view.moments[1].written.hour, view.moments[2].entry),
        (11, oxygen)
    );
    assert_eq!(
        view.concerned[0].who.as_ref().unwrap().name(),
        "Ottilie Brandvoll"
    );
    assert_eq!(view.witnesses[0].text.as_deref(), Some("A lifeguard"));
    assert_eq!(view.facts[0].text, "Lost sight at the platform");
    assert_eq!(view.incident.happened, "Lost sight at the platform");
    let due: Vec<_> = view
        .reports
        .iter()
        .map(|row| (row.to.as_str(), row.late))
        .collect();
    assert_eq!(due, [("The pool", true), ("The insurer", false)]);
    assert_eq!(view.reports_due, 2);
    let made = IncidentReported {
        report: insurer,
        on: day("2026-06-02"),
    };
    sample.add(RENATE, &[insurer], made);
    let view = of(&sample);
    assert_eq!(view.reports_due, 1);
    assert_eq!(
        view.reports[1].made_by.as_ref().unwrap().name,
        "Renate Solberg"
    );
    // The list shows the words that came later; none of them reaches a log.
    let list = IncidentsView::of(&sample.now, &eyes.reader(RENATE));
    assert_eq!(list.rows[0].happened, "Lost sight at the platform");
    for said in [format!("{view:?}"), format!("{:?}", sample.lines)] {
        for word in ["ladder", "platform", "lifeguard", "insurer"] {
            assert!(!said.contains(word), "{word}");
        }
    }
}

#[test]
fn a_report_in_words_has_a_timeline_too_and_what_is_none_has_not() {
    let mut sample = Sample::new();
    let incident = sample.add(
        PELLE,
        &[],
        Incident {
            session: Some(session(1)),
            who: Vec::new(),
            when: time("2026-06-02T10:30:00+02:00"),
            happened: "Cramp at three metres".to_owned(),
            done: "Brought up, rested".to_owned(),
            reported: Some("The office".to_owned()),
            begun: None,
        },
    );
    let eyes = Eyes::new();
    let reader = eyes.reader(RENATE);
    let view = IncidentView::of(&sample.now, &reader, &incident).unwrap();
    assert_eq!(view.moments[0].what, TimelineWhat::Begun);
    let about: Vec<_> = view.facts.iter().map(|row| row.about).collect();
    assert_eq!(about, [FactAbout::Happened, FactAbout::Done]);
    assert_eq!(
        (view.reports[0].to.as_str(), view.reports_due),
        ("The office", 0)
    );
    let other = sample.now.session_entries(&session(1))[0];
    assert!(IncidentView::of(&sample.now, &reader, &other).is_none());
}
