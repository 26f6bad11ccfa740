//! A lost day of a session that shares its water with another course's: they move together, or it
//! is said why not.

use chrono::{Datelike, TimeDelta};
use proptest::prelude::*;

use super::Eyes;
use super::shared::{EVENING, ODD_LEADS, RENATE_LEADS, course, eyes, led, planned};
use crate::course::{Away, StudentId};
use crate::desk::Request;
use crate::entry::{AwaySet, Who, Writer};
use crate::standing::sample::{ODD, OFFICE, PELLE, RENATE, Sample, session, student, time};
use crate::view::{ApartBecause, Leave, LostDayRow, LostDayView, Reader};

const FRIDAY: &str = "2026-06-05T18:00:00+02:00";
const SUNDAY: &str = "2026-06-07T18:00:00+02:00";
const MONDAY: &str = "2026-06-08T18:00:00+02:00";

/// Session 15 of the first course and 25 of the second in one water on the lost evening, ninety
/// minutes and these.
fn two(of_one: &[u128], of_other: &[u128], minutes: u16) -> (Sample, Sample) {
    let mut one = course(1, of_one, &[RENATE_LEADS]);
    planned(&mut one, 15, led(EVENING, of_one));
    let mut other = course(2, of_other, &[RENATE_LEADS, ODD_LEADS]);
    let mut beside = led(EVENING, of_other);
    beside.minutes = minutes;
    planned(&mut other, 25, beside);
    (one, other)
}

fn seen(
    eyes: &Eyes,
    by: Writer,
    (one, other): (&Sample, &Sample),
    n: u128,
    days_between: u16,
) -> LostDayView {
    let courses = [&one.now, &other.now];
    let reader = Reader {
        courses: &courses,
        ..eyes.reader(by)
    };
    LostDayView::of(&one.now, &courses, &reader, session(n), days_between).unwrap()
}

/// The one row, as an instructor sees it.
fn row(eyes: &Eyes, one: &Sample, other: &Sample) -> LostDayRow {
    let view = seen(eyes, RENATE, (one, other), 15, 0);
    assert_eq!(view.rows.len(), 1);
    view.rows.into_iter().next().unwrap()
}

fn because(row: &LostDayRow) -> Vec<ApartBecause> {
    row.apart.iter().map(|one| one.because).collect()
}

fn students(ids: &[u128]) -> Vec<StudentId> {
    ids.iter().map(|n| student(*n)).collect()
}

/// Another session of the second course, led by its other instructor elsewhere.
fn elsewhere(other: &mut Sample, starts: &str, of: &[u128]) {
    let mut apart = led(starts, of);
    apart.site = "Another pool".to_owned();
    apart.staff = vec![ODD.staff];
    planned(other, 26, apart);
}

#[test]
fn sessions_that_share_one_water_move_together_into_a_slot_that_suits_both() {
    let (one, other) = two(&[1, 2], &[3, 4], 100);
    // Friday is long enough for the first alone.
    let eyes = eyes(&[(FRIDAY, 95), (SUNDAY, 120)]);
    let view = seen(&eyes, RENATE, (&one, &other), 15, 0);
    assert_eq!((view.unplaced, view.proven, view.rows.len()), (0, true, 1));
    let row = &view.rows[0];
    assert_eq!((&row.together, row.apart.len()), (&None, 0));
    let after = row.after.clone().unwrap();
    assert_eq!(after.starts.at, time(SUNDAY));
    assert_eq!(after.ends.at, time(SUNDAY) + TimeDelta::minutes(90));
    let [along] = row.along.as_slice() else {
        panic!("one of the other course: {row:?}");
    };
    assert_eq!(
        (along.course, along.session),
        (*other.now.id(), session(25))
    );
    assert_eq!(along.course_title, "Course 2");
    assert_eq!(along.before.at, time(EVENING));
    assert_eq!(
        (&along.after.starts, &along.after.site),
        (&after.starts, &after.site)
    );
    assert_eq!(along.after.ends.at, time(SUNDAY) + TimeDelta::minutes(100));
    let told: Vec<StudentId> = along.students.iter().map(|name| name.student).collect();
    assert_eq!(told, students(&[3, 4]));
    assert_eq!((along.staff.len(), along.away.len()), (1, 0));
    // Asked of the other course it is the same slot.
    let there = seen(&eyes, RENATE, (&other, &one), 25, 0);
    assert_eq!(there.rows[0].after.clone().unwrap().starts, after.starts);
    assert_eq!(there.rows[0].along[0].session, session(15));
}

#[test]
fn where_they_cannot_move_together_it_says_why_and_the_one_moves_alone() {
    let eyes = eyes(&[(FRIDAY, 95)]);
    let alone = |row: &LostDayRow| {
        assert_eq!(row.along, []);
        let after = row.after.clone().unwrap();
        assert_eq!(after.starts.at, time(FRIDAY));
        because(row)
    };
    let (one, other) = two(&[1, 2], &[3, 4], 100);
    assert_eq!(alone(&row(&eyes, &one, &other)), [ApartBecause::Slot]);
    let (one, many) = two(&[1, 2], &[3, 4, 5], 90);
    assert_eq!(
        alone(&row(&eyes, &one, &many)),
        [ApartBecause::Rules],
        "five, and four may"
    );
    let (one, other) = two(&[1, 2], &[3, 4], 90);
    assert_eq!(because(&row(&eyes, &one, &other)), []);
    let view = seen(&eyes, PELLE, (&one, &other), 15, 0);
    assert_eq!(view.may_plan, Leave::Role);
    assert_eq!(alone(&view.rows[0]), [ApartBecause::MayNot]);
    // The other's has begun half an hour before this one.
    let mut one = course(1, &[1], &[RENATE_LEADS]);
    planned(&mut one, 15, led("2026-06-04T18:30:00+02:00", &[1]));
    let mut other = course(2, &[3], &[RENATE_LEADS]);
    planned(&mut other, 25, led(EVENING, &[3]));
    let later = eyes.at("2026-06-04T18:10:00+02:00");
    assert_eq!(alone(&row(&later, &one, &other)), [ApartBecause::Begun]);
    assert_eq!(
        because(&row(&super::shared::eyes(&[]), &one, &other)),
        [ApartBecause::Slot]
    );
}

#[test]
fn who_is_in_another_session_then_bars_a_slot_for_both_and_who_is_away_makes_it_worse() {
    let (one, mut other) = two(&[1, 2], &[3, 4], 90);
    elsewhere(&mut other, "2026-06-07T19:00:00+02:00", &[3]);
    let away = Away {
        uid: "leave".to_owned(),
        from: time("2026-06-08T00:00:00+02:00"),
        until: time("2026-06-09T00:00:00+02:00"),
    };
    let who = Who::Student(student(4));
    let dropped = false;
    other.add(OFFICE, &[], AwaySet { who, away, dropped });
    let tuesday = "2026-06-09T18:00:00+02:00";
    let starts = |row: &LostDayRow| row.along[0].after.starts.at;
    let whole = eyes(&[(SUNDAY, 120), (MONDAY, 120), (tuesday, 120)]);
    assert_eq!(starts(&row(&whole, &one, &other)), time(tuesday));
    let found = row(&eyes(&[(SUNDAY, 120), (MONDAY, 120)]), &one, &other);
    assert_eq!(starts(&found), time(MONDAY));
    let missing: Vec<Who> = found.along[0].away.iter().map(|name| name.who()).collect();
    assert_eq!((missing, found.away.len()), (vec![who], 0));
}

#[test]
fn the_days_between_are_left_for_the_students_of_both() {
    let (one, mut other) = two(&[1, 2], &[3, 4], 90);
    elsewhere(&mut other, "2026-06-08T10:00:00+02:00", &[4]);
    let friday_week = "2026-06-12T18:00:00+02:00";
    let eyes = eyes(&[(SUNDAY, 120), (friday_week, 120)]);
    let starts = |days_between| {
        let view = seen(&eyes, RENATE, (&one, &other), 15, days_between);
        view.rows[0].along[0].after.starts.at
    };
    assert_eq!(starts(1), time(SUNDAY));
    assert_eq!(starts(2), time(friday_week));
}

#[test]
fn what_it_asks_for_moves_both_or_plans_one_beside_another_or_cancels_it() {
    let (one, other) = two(&[1, 2], &[3, 4], 90);
    let here = *one.now.id();
    let lost =
        |slots: &[(&str, u16)], other: &Sample| seen(&eyes(slots), RENATE, (&one, other), 15, 0);
    let moved = |course, n| Request::MoveSession {
        course,
        session: session(n),
        starts: time(SUNDAY),
        site: "Hollow Lane pool".to_owned(),
        why: "Thunder".to_owned(),
    };
    assert_eq!(
        lost(&[(SUNDAY, 120)], &other).requests(here, "Thunder"),
        [moved(here, 15), moved(*other.now.id(), 25)]
    );
    let mut later = course(2, &[3, 4], &[RENATE_LEADS]);
    planned(&mut later, 25, led(FRIDAY, &[3, 4]));
    let view = lost(&[], &later);
    let beside = Request::PlanSession {
        course: here,
        session: Some(session(15)),
        plan: view.rows[0].together.clone().unwrap().plan,
    };
    assert_eq!(view.requests(here, "Thunder"), [beside]);
    let cancelled = Request::CancelSession {
        course: here,
        session: session(15),
        why: "Thunder".to_owned(),
    };
    assert_eq!(lost(&[], &other).requests(here, "Thunder"), [cancelled]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    /// Of whatever two courses and slots: they move together just where a slot suits both by
    /// plain reckoning, then into one that does, and else it is said why and the one that was
    /// asked about takes what suits it alone.
    #[test]
    fn they_move_together_just_where_a_slot_suits_both(
        here in 1_u128..4,
        there in 1_u128..4,
        minutes in 60_u16..120,
        slots in prop::collection::vec((4_u32..10, 16_u32..20, 70_u16..130), 0..5),
        busy in 5_u32..10,
        days_between in 0_u16..4,
    ) {
        let of_one: Vec<u128> = (1..=here).collect();
        let of_other: Vec<u128> = (6..6 + there).collect();
        let (one, mut other) = two(&of_one, &of_other, minutes);
        let taken = time(&format!("2026-06-{busy:02}T18:00:00+02:00"));
        elsewhere(&mut other, &taken.to_rfc3339(), &[6]);
        // Hours of one pool do not overlap: one slot a day and hour.
        let slots: Vec<(String, u16)> = slots
            .iter()
            .enumerate()
            .map(|(n, (day, hour, long))| (format!("2026-06-{day:02}T{hour:02}:{n:02}:00+02:00"), *long))
            .collect();
        let given: Vec<(&str, u16)> = slots.iter().map(|(at, long)| (at.as_str(), *long)).collect();
        let eyes = eyes(&given);
        let view = seen(&eyes, RENATE, (&one, &other), 15, days_between);
        let row = &view.rows[0];
        prop_assert_eq!(row.along.len() + row.apart.len(), 1);
        // Not on the lost day; long enough; the other's student 6 is not elsewhere.
        let lost = time(EVENING).date_naive();
        let open = |(at, long): &&(String, u16)| {
            let from = time(at);
            let until = from + TimeDelta::minutes(minutes.into());
            let twice = from < taken + TimeDelta::minutes(90) && taken < until;
            from.date_naive() != lost && *long >= minutes.max(90) && !twice
        };
        let spaced = |(at, _): &&(String, u16)| {
            let apart = time(at).day().abs_diff(busy);
            apart >= u32::from(days_between)
        };
        let few = here + there <= 4;
        let suiting: Vec<_> = slots.iter().filter(open).filter(spaced).collect();
        let alone = slots.iter().filter(|(at, long)| time(at).date_naive() != lost && *long >= 90);
        match row.along.first() {
            Some(along) => {
                prop_assert!(few);
                prop_assert_eq!(along.session, session(25));
                let after = row.after.as_ref().unwrap();
                prop_assert_eq!(along.after.starts.at, after.starts.at);
                prop_assert!(suiting.iter().any(|(at, _)| time(at) == after.starts.at));
                prop_assert!(along.away.is_empty() && row.away.is_empty());
            }
            None => {
                prop_assert!(!few || suiting.is_empty());
                prop_assert_eq!(row.after.is_some(), alone.count() > 0);
                let by_rule = !few && slots.iter().any(|slot| open(&slot));
                let why = if by_rule { ApartBecause::Rules } else { ApartBecause::Slot };
                prop_assert_eq!(because(row), [why]);
            }
        }
    }
}
