//! Values that nobody can have meant.

use super::*;

#[test]
fn absurd_values_are_refused_by_name_and_nothing_is_recorded() {
    let school = School::new(2);
    let (desk, course) = (&school.shop.desk, school.course);
    let before = everything(desk);
    let enrol = |details: PersonDetails| Request::Enrol {
        course,
        details,
        referred_from: None,
    };
    let dive = |max_depth_cm, up| Request::LogDive {
        course,
        who: Who::Student(school.students[0]),
        session: Some(school.session),
        log: DiveLog {
            down: time("2026-06-06T10:20:00+02:00"),
            up: time(up),
            max_depth_cm,
            mean_depth_cm: None,
            ascents: None,
            gas: None,
            water: WaterKind::Fresh,
            temperature_dc: None,
            profile: Vec::new(),
        },
    };
    let of_age = |by: &str, on| PersonDetails {
        born: None,
        adult: Some(AdultSeen {
            by: by.to_owned(),
            on: day(on),
        }),
        ..details("Wilma Oldacre")
    };
    let confirm = |title: &str, clause, on| Request::ConfirmRules {
        scope: Scope::Course(course),
        rules: vec!["ratio-open".parse().unwrap()],
        read: RuleText {
            title: title.to_owned(),
            edition: None,
            clause,
            on: day(on),
        },
    };
    let cases = [
        (dive(400_000, "2026-06-06T10:50:00+02:00"), "out_of_bounds"),
        (
            dive(1_000, "2026-06-06T10:10:00+02:00"),
            "ends_before_it_begins",
        ),
        (enrol(details("")), "text_empty"),
        (enrol(details(" \t ")), "text_empty"),
        (enrol(details(&"ö".repeat(10_000))), "text_too_long"),
        (
            enrol(PersonDetails {
                born: Some(day("1870-05-01")),
                ..details("Wilma Oldacre")
            }),
            "date_out_of_bounds",
        ),
        (
            enrol(PersonDetails {
                born: Some(day("2190-05-01")),
                ..details("Wilma Oldacre")
            }),
            "date_out_of_bounds",
        ),
        (confirm("", None, "2026-05-20"), "text_empty"),
        (
            confirm("House decision", Some("ö".repeat(81)), "2026-05-20"),
            "text_too_long",
        ),
        (
            confirm("House decision", None, "2190-05-20"),
            "date_out_of_bounds",
        ),
        (
            confirm("House decision", None, "1989-12-31"),
            "date_out_of_bounds",
        ),
        (enrol(of_age("", "2026-06-01")), "text_empty"),
        (enrol(of_age("Renate", "2190-05-01")), "date_out_of_bounds"),
        (enrol(of_age("Renate", "1999-12-31")), "date_out_of_bounds"),
        (
            enrol(of_age(&"ö".repeat(10_000), "2026-06-01")),
            "text_too_long",
        ),
        (enrol(details("ottilie  BRANDVOLL")), "already_enrolled"),
        (
            Request::EnrolAgain {
                course,
                student: school.students[0],
                referred_from: None,
            },
            "already_enrolled",
        ),
        (
            Request::OpenCourse {
                place: None,
                outline: Default::default(),
                title: String::new(),
                starts: day("2026-06-06"),
                staff: vec![],
            },
            "text_empty",
        ),
        (
            Request::OpenCourse {
                place: None,
                outline: Default::default(),
                title: "A course long ago".into(),
                starts: day("1870-01-01"),
                staff: vec![],
            },
            "date_out_of_bounds",
        ),
        (
            Request::PlanSession {
                course,
                session: None,
                plan: plan(
                    &[],
                    &[StaffId::new(Uuid::from_u128(9))],
                    Setting::Open,
                    "2026-07-01T10:00:00Z",
                ),
            },
            "unknown",
        ),
        (
            Request::Pass {
                course,
                session: school.session,
                who: Who::Student(tallywater_core::course::StudentId::new(Uuid::from_u128(9))),
                passage: Passage::In,
                when: None,
            },
            "unknown",
        ),
    ];
    for (request, rule) in cases {
        let text = format!("{request:?}");
        assert_eq!(refused(desk, request).rule(), rule, "{text}");
    }
    assert_eq!(everything(desk), before, "nothing was recorded");
}
