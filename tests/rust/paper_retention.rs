//! What has been kept long enough, what must be kept on, and which texts a person must read
//! before someone is forgotten.

use std::collections::BTreeMap;

use tallywater_core::course::{Policy, PolicyRule, RecordClass, Rule};
use tallywater_core::entry::{
    CourseListed, CourseState, FactAbout, IncidentFact, Kind, Note, Outcome, PolicySet,
    RuleConfirmed,
};
use tallywater_core::paper::Record;
use tallywater_core::paper::retention::{Hold, Kept, KeptWhat, kept, texts_to_read};

use crate::paper_school::{School, day};

fn rules(confirmed: bool, school: &School) -> PolicySet {
    let rule = |id: &str, class, years, minors_to_age| PolicyRule {
        id: id.parse().unwrap(),
        rule: Rule::Keep {
            class,
            years,
            minors_to_age,
        },
        source: "House decision.".into(),
    };
    let rules = vec![
        rule("keep-details", RecordClass::Details, 2, None),
        rule("keep-training", RecordClass::Training, 7, Some(25)),
        rule("keep-incident", RecordClass::Incident, 10, Some(25)),
    ];
    let confirmed = rules
        .iter()
        .filter(|_| confirmed)
        .map(|rule| RuleConfirmed {
            rule: rule.id.clone(),
            by: school.instructor.staff,
            on: day(2026, 1, 1),
            read: tallywater_core::entry::RuleText {
                title: "House decision".into(),
                edition: None,
                clause: None,
                on: day(2026, 1, 1),
            },
        })
        .collect();
    PolicySet {
        policy: Policy {
            title: "Keeping".into(),
            edition: 2,
            rules,
        },
        confirmed,
        proofs: Vec::new(),
    }
}

/// Four students; the last one is a minor. The course is over.
fn ended(confirmed: bool) -> School {
    let mut school = School::open(&["Bo Li", "Kilian Röhrig", "Ana Sol", "Tiny Minor"]);
    let after = school.standings().course.all_of_kind(Kind::PolicySet);
    let set = rules(confirmed, &school);
    school.by_instructor_after(set.into(), after);
    for student in school.students.clone() {
        school.complete(student, Outcome::Left);
    }
    let course = school.course_id;
    school.at_shop(
        CourseListed {
            course,
            title: "First dives, June".into(),
            starts: day(2026, 6, 1),
            staff: Vec::new(),
            state: CourseState::Closed,
        }
        .into(),
    );
    school
}

fn listed(school: &School, holds: &BTreeMap<tallywater_core::entry::HoldOn, String>) -> Vec<Kept> {
    let standings = school.standings();
    let source = school.source(&standings);
    kept(standings.course.policy(), &[source], holds)
}

#[test]
fn details_are_due_after_their_years_and_the_course_after_the_youngest_is_of_age() {
    let school = ended(true);
    let list = listed(&school, &BTreeMap::new());
    assert_eq!(list.len(), 5);
    let of = |what: KeptWhat| list.iter().find(|kept| kept.what == what).unwrap();
    let details = of(KeptWhat::Person(school.students[0]));
    assert_eq!(details.until, Some(day(2028, 6, 1)));
    assert!(!details.is_due(day(2028, 6, 1)));
    assert!(details.is_due(day(2028, 6, 2)));
    // Born on 9 March 2012: to 25, which is later than seven years.
    let course = of(KeptWhat::Course(school.course_id));
    assert_eq!(course.until, Some(day(2037, 3, 9)));
    assert!(course.rules.contains(&"keep-training".parse().unwrap()));
}

#[test]
fn an_unconfirmed_rule_makes_nothing_due() {
    let school = ended(false);
    for kept in listed(&school, &BTreeMap::new()) {
        assert_eq!((kept.until, kept.rules.len()), (None, 0));
        assert!(!kept.is_due(day(2199, 1, 1)));
    }
}

#[test]
fn a_legal_hold_and_a_running_course_keep_what_is_due() {
    let school = ended(true);
    let held = school.students[1];
    let holds = BTreeMap::from([(
        tallywater_core::entry::HoldOn::Student(held),
        "claim of 2027".to_owned(),
    )]);
    let list = listed(&school, &holds);
    let far = day(2190, 1, 1);
    for kept in &list {
        let expect = match kept.what {
            KeptWhat::Person(student) => student != held,
            KeptWhat::Course(_) => false,
        };
        assert_eq!(kept.is_due(far), expect, "{kept:?}");
    }
    assert_eq!(
        list.iter()
            .filter(|kept| kept.held == Some(Hold::Legal("claim of 2027".into())))
            .count(),
        2
    );
    let running = School::open(&["Bo Li"]);
    let list = listed(&running, &BTreeMap::new());
    assert!(
        list.iter()
            .all(|kept| kept.held == Some(Hold::Running(running.course_id)))
    );
    assert!(list.iter().all(|kept| !kept.is_due(far)));
}

#[test]
fn an_incident_keeps_its_course_by_its_own_clock() {
    let mut school = School::open(&["Bo Li"]);
    school.teach();
    school.trouble();
    let after = school.standings().course.all_of_kind(Kind::PolicySet);
    let set = rules(true, &school);
    school.by_instructor_after(set.into(), after);
    let list = listed(&school, &BTreeMap::new());
    let course = list
        .iter()
        .find(|kept| matches!(kept.what, KeptWhat::Course(_)))
        .unwrap();
    assert!(course.rules.contains(&"keep-incident".parse().unwrap()));
    assert_eq!(course.until, Some(day(2036, 6, 12)));
}

#[test]
fn what_is_added_to_an_incident_is_kept_as_long_as_the_incident_itself() {
    let mut school = School::open(&["Bo Li"]);
    school.teach();
    school.trouble();
    let after = school.standings().course.all_of_kind(Kind::PolicySet);
    let set = rules(true, &school);
    school.by_instructor_after(set.into(), after);
    let incident = school.standings().course.all_of_kind(Kind::Incident)[0];
    school.now += chrono::Duration::days(365);
    school.by_instructor(
        IncidentFact {
            incident,
            about: FactAbout::Done,
            text: "The insurer asked once more.".into(),
        }
        .into(),
    );
    let list = listed(&school, &BTreeMap::new());
    let course = list
        .iter()
        .find(|kept| matches!(kept.what, KeptWhat::Course(_)))
        .unwrap();
    assert_eq!(course.until, Some(day(2037, 6, 12)));
}

#[test]
fn a_forgotten_person_is_not_listed_again_and_the_course_still_verifies() {
    let mut school = ended(true);
    let student = school.students[0];
    let before = {
        let standings = school.standings();
        Record::of(&school.source(&standings), student).proof
    };
    school.forget(student);
    let list = listed(&school, &BTreeMap::new());
    assert!(
        list.iter()
            .all(|kept| kept.what != KeptWhat::Person(student))
    );
    let standings = school.standings();
    assert_eq!(
        Record::of(&school.source(&standings), student).proof,
        before
    );
}

#[test]
fn texts_that_hold_a_name_are_listed_for_a_person_to_read() {
    let mut school = School::open(&["Odile Färber-Østergård", "Bo Li", "黒潮 美波"]);
    school.teach();
    let (odile, kuroshio) = (school.students[0], school.students[2]);
    let note = |school: &mut School, student, text: &str| {
        school.by_instructor(
            Note {
                student,
                skill: None,
                session: None,
                entry: None,
                text: text.into(),
            }
            .into(),
        )
    };
    let named = note(&mut school, None, "färber asked twice about the gauge");
    let about = note(&mut school, Some(odile), "prefers the left lane");
    let other = note(
        &mut school,
        None,
        "the lane rope is torn; li is no word here",
    );
    let script = note(&mut school, None, "黒潮さん was cold");
    let standings = school.standings();
    let source = school.source(&standings);
    let list = texts_to_read(&source, odile, school.names.get(&odile));
    let found: Vec<_> = list.iter().map(|text| (text.entry, text.names)).collect();
    assert!(found.contains(&(named, true)));
    assert!(found.contains(&(about, false)));
    assert!(
        !found
            .iter()
            .any(|(entry, _)| *entry == other || *entry == script)
    );
    let list = texts_to_read(&source, kuroshio, school.names.get(&kuroshio));
    assert!(list.iter().any(|text| text.entry == script && text.names));
}
