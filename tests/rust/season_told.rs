//! The season: lines timed by the marks of six pool days, the same on every device; what is
//! proposed of them, and the school's outline once a person has accepted it.

use chrono::Duration;
use tallywater_core::desk::{DeskError, Request, Scope};
use tallywater_core::entry::{Mark, Refusal};
use tallywater_core::view::{ProposedChange, SeasonTold, SeasonView, Units};

use crate::support::devices::{Device, School, plan, time};

/// Two take and give gas as a pair: three minutes to show, three for the turn.
const SKILL: &str = "gas-take";

fn season(device: &Device) -> SeasonView {
    let told = device.desk.ask_courses(&mut || true, SeasonTold::of);
    let told = told.unwrap().unwrap();
    let seen = device
        .desk
        .look_at_shop(Units::Metric, |reader| SeasonView::of(&told, reader));
    seen.unwrap()
}

/// One pool day after the other, on each of which the line takes nine minutes.
fn pool_days(school: &School, days: i64) {
    let by = &school.instructor;
    by.stamps.shift(Duration::minutes(65));
    for n in 0..days {
        let starts = time("2026-06-06T10:00:00+02:00") + Duration::days(n);
        let mut plan = plan(
            &school.students,
            &[school.renate],
            tallywater_core::course::Setting::Confined,
            "2026-06-06T10:00:00+02:00",
        );
        plan.starts = starts;
        let planned = by.record(Request::PlanSession {
            course: school.course,
            session: None,
            plan,
        });
        let session = planned.made.unwrap().parse().unwrap();
        let mark = |student: usize, skill: &str| {
            let mut tap = school.tap(by, student, skill, Mark::Met);
            tap.session = Some(session);
            by.record(Request::Mark(tap));
        };
        mark(0, "mask-full");
        by.stamps.shift(Duration::minutes(9));
        mark(0, SKILL);
        mark(1, SKILL);
        by.stamps.shift(Duration::minutes(24 * 60 - 9));
    }
}

fn minutes(school: &School, device: &Device) -> (u16, u16) {
    let skill = SKILL.parse().unwrap();
    let of = |outline: &tallywater_core::course::Outline| {
        let skill = outline.skill(&skill).unwrap();
        (skill.setup_minutes(), skill.turn_minutes())
    };
    let course = device
        .desk
        .with_course(&school.course, |course| of(course.outline().unwrap()));
    assert_eq!(course.unwrap(), (3, 3), "a course keeps its outline");
    let shop = device
        .desk
        .look_at_shop(Units::Metric, |reader| of(reader.shop.outline().unwrap().1));
    shop.unwrap()
}

#[test]
fn of_five_lines_nothing_is_said_and_of_six_the_minutes_they_took() {
    let school = School::new(2);
    pool_days(&school, 5);
    let five = season(&school.instructor);
    assert_eq!((five.courses, five.minutes.len()), (1, 0));
    assert_eq!((five.minutes_few, five.least), (1, 6));
    assert_eq!(five.proposals, []);

    let school = School::new(2);
    pool_days(&school, 6);
    let six = season(&school.instructor);
    let row = &six.minutes[0];
    assert_eq!((row.skill.as_str(), row.lines), (SKILL, 6));
    // The clock moves by a second a reading: nine minutes and a little.
    assert_eq!(row.planned, 36);
    assert!((54..=57).contains(&row.taken), "{row:?}");
    assert!(150 <= row.low && row.low <= row.percent, "{row:?}");
    assert!(row.percent <= row.high && row.high <= 160, "{row:?}");
    assert_eq!(six.proposals.len(), 1);
    let one = &six.proposals[0];
    assert_eq!(one.id, format!("minutes:{SKILL}"));
    assert!(matches!(
        one.what,
        ProposedChange::Minutes {
            setup_now: 3,
            setup: 5,
            turn_now: 3,
            turn: 5,
            lines: 6,
            ..
        }
    ));

    // Both were tried again on five days; the mask by one student alone.
    assert_eq!((six.again.len(), six.again_few), (1, 1));
    let again = &six.again[0];
    assert_eq!(again.skill.as_str(), SKILL);
    assert_eq!(
        (again.all.held, again.all.of, again.all.high),
        (10, 10, 100)
    );
    // Wilson, ten of ten: 0.722.
    assert_eq!(again.all.low, 72);
    assert_eq!((again.places.len(), again.spans.len()), (1, 1));

    // Every device that holds the course says the same.
    school.meet_all();
    for device in [&school.shop, &school.assistant] {
        let same = season(device);
        assert_eq!(
            (&same.minutes, &same.proposals),
            (&six.minutes, &six.proposals)
        );
    }
}

#[test]
fn what_is_accepted_is_recorded_by_a_person_and_not_proposed_again() {
    let school = School::new(2);
    pool_days(&school, 6);
    school.meet_all();
    let seen = season(&school.shop);
    let ids = [seen.proposals[0].id.clone()];
    assert_eq!(
        minutes(&school, &school.shop),
        (3, 3),
        "looking changes nothing"
    );
    let with = |ids: &[String]| {
        let of = |reader: &tallywater_core::view::Reader<'_>| {
            seen.outline_with(reader.shop.outline().unwrap().1, ids)
        };
        school.shop.desk.look_at_shop(Units::Metric, of).unwrap()
    };
    let unknown = "minutes:no-such-skill".to_owned();
    assert_eq!(with(std::slice::from_ref(&unknown)), Err(unknown));
    let outline = with(&ids).unwrap();
    // An assistant may not set the school's outline.
    let set = |outline| Request::SetOutline {
        scope: Scope::Shop,
        outline,
        why: Some("six lines took half as long again".into()),
    };
    let refused = school.assistant.desk.record(set(outline.clone()));
    let refusal = match refused {
        Err(DeskError::Refused(refusal)) => refusal,
        other => panic!("an assistant set it: {other:?}"),
    };
    assert!(matches!(refusal, Refusal::Role { .. }), "{refusal:?}");
    school.shop.record(set(outline));
    assert_eq!(minutes(&school, &school.shop), (5, 5));
    // Nine minutes are nearest to what ten minutes planned come to: nothing is left to say.
    let after = season(&school.shop);
    assert!((90..=96).contains(&after.minutes[0].percent));
    assert_eq!(after.proposals, []);
}

#[test]
fn whoever_does_not_wait_for_it_is_not_kept() {
    let school = School::new(2);
    let told = school
        .instructor
        .desk
        .ask_courses(&mut || false, SeasonTold::of);
    assert_eq!(told.unwrap(), None);
}
