//! A lost day, planned anew.

use std::collections::BTreeSet;

use chrono::TimeDelta;
use proptest::prelude::*;
use uuid::Uuid;

use crate::course::{CourseId, Setting, StudentId};
use crate::plan::{self, Changes, LostSession, MovedDay, Offer, Spacing, StayingSession};
use crate::standing::sample::{COURSE, RENATE, student, time};

/// Another course.
const OTHER: CourseId = CourseId::new(Uuid::from_u128(0xc1));

/// Plans them anew where the same is asked of each.
fn move_lost(
    lost: &[LostSession],
    offers: &[Offer],
    others: &[StayingSession],
    spacing: Spacing,
) -> MovedDay {
    let asked = lost.iter().cloned();
    let asked: Vec<LostSession> = asked.map(|one| LostSession { spacing, ..one }).collect();
    plan::move_lost(&asked, offers, others)
}

fn lost(starts: &str, setting: Setting) -> LostSession {
    LostSession {
        courses: [COURSE].into(),
        starts: time(starts),
        minutes: 60,
        setting,
        site: "Old mill pond".to_owned(),
        students: [student(1)].into(),
        staff: BTreeSet::new(),
        spacing: ANY,
    }
}

/// A session that stays, of the same student.
fn stays(starts: &str) -> StayingSession {
    StayingSession {
        course: COURSE,
        starts: time(starts),
        setting: Setting::Open,
        students: [student(1)].into(),
    }
}

/// Nothing is asked of how close sessions lie.
const ANY: Spacing = Spacing {
    days_between: 0,
    dives_a_day: None,
};

fn offer(starts: &str, site: &str) -> Offer {
    Offer {
        starts: time(starts),
        minutes: 120,
        setting: Setting::Open,
        site: site.to_owned(),
        away: Vec::new(),
        barred: BTreeSet::new(),
    }
}

const MORNING: &str = "2026-06-06T09:00:00+02:00";
const NOON: &str = "2026-06-06T12:00:00+02:00";

#[test]
fn the_same_place_and_time_of_day_is_taken_before_an_earlier_day() {
    let lost = [lost(MORNING, Setting::Open)];
    let offers = [
        offer("2026-06-07T15:00:00+02:00", "old mill POND"),
        offer("2026-06-08T09:00:00+02:00", "Another lake"),
        offer("2026-06-09T09:00:00+02:00", "Old mill pond"),
        offer("2026-06-10T09:00:00+02:00", "Old mill pond"),
    ];
    let moved = move_lost(&lost, &offers, &[], ANY);
    assert_eq!(moved.held_in, [Some(2)]);
    assert!(moved.proven);
    let days_only = Changes {
        days: 3,
        ..Changes::default()
    };
    assert_eq!(moved.changes, days_only);
}

#[test]
fn two_sessions_keep_their_order_and_each_has_a_slot_of_its_own() {
    let lost = [lost(MORNING, Setting::Open), lost(NOON, Setting::Open)];
    let site = "Old mill pond";
    let one = [offer("2026-06-07T09:00:00+02:00", site)];
    let moved = move_lost(&lost, &one, &[], ANY);
    assert_eq!(moved.held_in.iter().flatten().count(), 1);
    assert_eq!(moved.changes.unplaced, 1);
    // Noon is free only before the morning's only other slot: the order counts for more.
    let two = [
        offer("2026-06-07T12:00:00+02:00", site),
        offer("2026-06-08T09:00:00+02:00", site),
        offer("2026-06-08T14:00:00+02:00", site),
    ];
    let moved = move_lost(&lost, &two, &[], ANY);
    assert_eq!(moved.changes.out_of_order, 0);
    assert_eq!(moved.held_in, [Some(1), Some(2)]);
}

#[test]
fn it_does_not_come_behind_a_session_that_it_was_before_while_another_slot_is_free() {
    let lost = [lost(MORNING, Setting::Open)];
    let site = "Old mill pond";
    let offers = [
        offer("2026-06-10T09:00:00+02:00", site),
        offer("2026-06-08T18:00:00+02:00", "Another lake"),
    ];
    let others = [stays("2026-06-09T09:00:00+02:00")];
    assert_eq!(move_lost(&lost, &offers, &others, ANY).held_in, [Some(1)]);
    assert_eq!(move_lost(&lost, &offers, &[], ANY).held_in, [Some(0)]);
}

#[test]
fn who_cannot_come_counts_for_more_than_the_place_and_no_slot_is_taken_that_does_not_suit() {
    let lost = [lost(MORNING, Setting::Open)];
    let mut full = offer("2026-06-07T09:00:00+02:00", "Old mill pond");
    full.away = vec![1];
    let elsewhere = offer("2026-06-07T18:00:00+02:00", "Another lake");
    let moved = move_lost(&lost, &[full.clone(), elsewhere], &[], ANY);
    assert_eq!(moved.held_in, [Some(1)]);
    let mut short = offer("2026-06-07T09:00:00+02:00", "Old mill pond");
    short.minutes = 59;
    let mut pool = offer("2026-06-07T09:00:00+02:00", "Old mill pond");
    pool.setting = Setting::Confined;
    let moved = move_lost(&lost, &[short, pool.clone(), full], &[], ANY);
    assert_eq!((moved.held_in, moved.changes.away), (vec![Some(2)], 1));
    let mut surface = lost[0].clone();
    surface.setting = Setting::Surface;
    assert_eq!(move_lost(&[surface], &[pool], &[], ANY).held_in, [Some(0)]);
}

#[test]
fn sessions_that_go_together_are_laid_as_one_by_what_all_of_them_ask() {
    let site = "Old mill pond";
    // With it goes a longer one of another course, of another student.
    let mut together = lost(MORNING, Setting::Open);
    together.courses.insert(OTHER);
    together.students.insert(student(2));
    together.minutes = 100;
    let day = |day: u32| format!("2026-06-{day:02}T09:00:00+02:00");
    let mut offers: Vec<Offer> = (7..12).map(|n| offer(&day(n), site)).collect();
    // Too short for the longer; barred for both; then one dive of the other's student.
    offers[0].minutes = 90;
    offers[1].barred.insert(0);
    let mut theirs = stays("2026-06-09T15:00:00+02:00");
    theirs.course = OTHER;
    theirs.students = [student(2)].into();
    let (two, one) = (Some(2), Some(1));
    let spacing = |dives_a_day| Spacing { dives_a_day, ..ANY };
    let others = std::slice::from_ref(&theirs);
    together.spacing = spacing(two).and(spacing(one));
    assert_eq!(together.spacing.dives_a_day, one, "the narrower of the two");
    let asked = std::slice::from_ref(&together);
    let moved = plan::move_lost(asked, &offers, others);
    assert_eq!((moved.held_in, moved.proven), (vec![Some(3)], true));
    // The other course's order counts for it, and not for a session that goes alone.
    assert_eq!(moved.changes.out_of_order, 1);
    let alone = [lost(MORNING, Setting::Open)];
    let moved = plan::move_lost(&alone, &offers[3..], others);
    assert_eq!(
        (moved.held_in, moved.changes.out_of_order),
        (vec![Some(0)], 0)
    );
}

#[test]
fn nobody_is_in_two_sessions_of_a_lost_day_at_once() {
    let mut lost = [lost(MORNING, Setting::Open), lost(NOON, Setting::Open)];
    lost[1].students = [student(2)].into();
    let offers = [
        offer("2026-06-07T09:00:00+02:00", "Old mill pond"),
        offer("2026-06-07T09:30:00+02:00", "Another lake"),
        offer("2026-06-08T13:00:00+02:00", "Another lake"),
    ];
    assert_eq!(
        move_lost(&lost, &offers, &[], ANY).held_in,
        [Some(0), Some(1)]
    );
    // The same instructor, and then the same student.
    let mut led = lost.clone();
    for one in &mut led {
        one.staff.insert(RENATE.staff);
    }
    assert_eq!(
        move_lost(&led, &offers, &[], ANY).held_in,
        [Some(0), Some(2)]
    );
    lost[1].students.insert(student(1));
    assert_eq!(
        move_lost(&lost, &offers, &[], ANY).held_in,
        [Some(0), Some(2)]
    );
    let both = move_lost(&led, &offers[..2], &[], ANY);
    assert_eq!(both.changes.unplaced, 1);
}

#[test]
fn nothing_lost_and_nothing_free_are_answers_too() {
    let nothing = MovedDay {
        held_in: Vec::new(),
        changes: Changes::default(),
        proven: true,
    };
    assert_eq!(move_lost(&[], &[], &[], ANY), nothing);
    let moved = move_lost(&[lost(MORNING, Setting::Open)], &[], &[], ANY);
    assert_eq!((moved.held_in, moved.changes.unplaced), (vec![None], 1));
}

#[test]
fn with_more_ways_than_are_looked_at_it_answers_and_does_not_call_it_the_best() {
    let lost: Vec<LostSession> = (0..12)
        .map(|n| {
            lost(
                &format!("2026-06-06T{:02}:00:00+02:00", 8 + n),
                Setting::Open,
            )
        })
        .collect();
    // All alike but for the last figure, so that little can be left out of the search.
    let offers: Vec<Offer> = (0..24)
        .map(|n| {
            offer(
                &format!("2026-06-{:02}T07:30:00+02:00", 7 + n % 20),
                "A lake",
            )
        })
        .collect();
    let moved = move_lost(&lost, &offers, &[], ANY);
    assert!(!moved.proven);
    assert_eq!(moved.held_in.len(), 12);
}

#[test]
fn no_day_takes_more_dives_than_the_rule_allows_however_well_its_slot_suits() {
    let lost = [lost(MORNING, Setting::Open), lost(NOON, Setting::Open)];
    let site = "Old mill pond";
    let offers = [
        offer("2026-06-07T09:00:00+02:00", site),
        offer("2026-06-07T12:00:00+02:00", site),
        offer("2026-06-09T12:00:00+02:00", "Another lake"),
    ];
    let two = Spacing {
        dives_a_day: Some(2),
        ..ANY
    };
    assert_eq!(
        move_lost(&lost, &offers, &[], two).held_in,
        [Some(0), Some(1)]
    );
    let one = Spacing {
        dives_a_day: Some(1),
        ..ANY
    };
    assert_eq!(
        move_lost(&lost, &offers, &[], one).held_in,
        [Some(0), Some(2)]
    );
    // One that stays counts, if it is of the same student.
    let mut evening = stays("2026-06-07T18:00:00+02:00");
    let moved = move_lost(&lost, &offers, std::slice::from_ref(&evening), two);
    assert_eq!(moved.held_in, [Some(0), Some(2)]);
    evening.students = [student(2)].into();
    let moved = move_lost(&lost, &offers, std::slice::from_ref(&evening), two);
    assert_eq!(moved.held_in, [Some(0), Some(1)]);
}

#[test]
fn the_days_between_that_are_asked_for_are_left_or_the_session_has_no_slot() {
    let lost = [lost(MORNING, Setting::Open)];
    let site = "Old mill pond";
    let offers = [
        offer("2026-06-08T09:00:00+02:00", site),
        offer("2026-06-11T09:00:00+02:00", "Another lake"),
    ];
    let others = [stays("2026-06-09T09:00:00+02:00")];
    let asked = |days_between| Spacing {
        days_between,
        ..ANY
    };
    assert_eq!(
        move_lost(&lost, &offers, &others, asked(1)).held_in,
        [Some(0)]
    );
    assert_eq!(
        move_lost(&lost, &offers, &others, asked(2)).held_in,
        [Some(1)]
    );
    let moved = move_lost(&lost, &offers, &others, asked(3));
    assert_eq!((moved.held_in, moved.changes.unplaced), (vec![None], 1));
}

/// Whether a way leaves every student's sessions as far apart as is asked and nobody in two at
/// once, from its plain meaning: of all pairs of one student, and of all days.
fn keeps(
    lost: &[LostSession],
    offers: &[Offer],
    others: &[StayingSession],
    held: &[Option<usize>],
    spacing: Spacing,
) -> bool {
    let moved: Vec<_> = lost
        .iter()
        .zip(held)
        .filter_map(|(one, held)| Some((one, &offers[(*held)?])))
        .map(|(one, offer)| (offer.starts.date_naive(), one.setting, &one.students))
        .collect();
    let stay: Vec<_> = others
        .iter()
        .map(|one| (one.starts.date_naive(), one.setting, &one.students))
        .collect();
    let hours: Vec<_> = lost
        .iter()
        .zip(held)
        .filter_map(|(one, held)| Some((one, offers[(*held)?].starts)))
        .map(|(one, starts)| (starts, starts + TimeDelta::minutes(one.minutes.into()), one))
        .collect();
    let twice = hours.iter().enumerate().any(|(at, (from, until, one))| {
        hours[at + 1..].iter().any(|(other, end, beside)| {
            let same = one.students.intersection(&beside.students).count() > 0;
            same && other < until && from < end
        })
    });
    if twice {
        return false;
    }
    moved.iter().enumerate().all(|(at, (day, _, students))| {
        students.iter().all(|student| {
            let beside: Vec<_> = moved
                .iter()
                .enumerate()
                .filter(|(other, _)| *other != at)
                .map(|(_, one)| one)
                .chain(&stay)
                .filter(|(_, _, students)| students.contains(student))
                .collect();
            let near = beside.iter().any(|(other, ..)| {
                (*other - *day).num_days().abs() < i64::from(spacing.days_between)
            });
            let dives = beside.iter().filter(|(other, ..)| other == day).count() + 1;
            !near
                && spacing
                    .dives_a_day
                    .is_none_or(|most| dives <= usize::from(most))
        })
    })
}

/// The changes of one way, from their plain meaning.
fn changes_of(
    lost: &[LostSession],
    offers: &[Offer],
    others: &[StayingSession],
    held: &[Option<usize>],
) -> Changes {
    let mut changes = Changes::default();
    let mut times: Vec<_> = others.iter().map(|one| (one.starts, one.starts)).collect();
    let mut moved = Vec::new();
    for (at, (session, held)) in lost.iter().zip(held).enumerate() {
        let Some(offer) = held.map(|place| &offers[place]) else {
            changes.unplaced += 1;
            continue;
        };
        moved.push((session.starts, offer.starts));
        changes.away += offer.away.get(at).copied().unwrap_or(0);
        changes.places += u32::from(offer.site != session.site);
        changes.hours += u32::from(offer.starts.time() != session.starts.time());
        let days = (offer.starts.date_naive() - session.starts.date_naive()).num_days();
        changes.days += u32::try_from(days.abs()).unwrap();
    }
    for one in moved {
        let turned = times
            .iter()
            .filter(|other| (one.0 < other.0) != (one.1 < other.1));
        changes.out_of_order += u32::try_from(turned.count()).unwrap();
        times.push(one);
    }
    changes
}

/// Every way there is, each slot at most once.
fn ways(lost: &[LostSession], offers: &[Offer]) -> Vec<Vec<Option<usize>>> {
    let mut all = vec![Vec::new()];
    for session in lost {
        let mut longer = Vec::new();
        for way in &all {
            let fits = (0..offers.len()).filter(|place| {
                let offer: &Offer = &offers[*place];
                !way.contains(&Some(*place)) && offer.minutes >= session.minutes
            });
            for next in fits.map(Some).chain([None]) {
                let mut one: Vec<Option<usize>> = way.clone();
                one.push(next);
                longer.push(one);
            }
        }
        all = longer;
    }
    all
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// None of all ways that keep what is asked changes less, and the figures that it is told
    /// with are true.
    #[test]
    fn no_other_way_changes_less(
        days in prop::collection::vec((6_u32..9, 8_u32..12, 1_u128..4), 1..4),
        free in prop::collection::vec((7_u32..20, 8_u32..12, 0_u32..2, 30_u16..120, 0_u32..3), 0..5),
        fixed in prop::collection::vec((5_u32..20, 1_u128..4), 0..3),
        days_between in 0_u16..4,
        dives_a_day in prop::option::of(1_u8..3),
    ) {
        let spacing = Spacing { days_between, dives_a_day };
        // Of the first student, the second or both.
        let whose = |n: u128| -> BTreeSet<StudentId> {
            (1..3).filter(|bit| n & bit != 0).map(student).collect()
        };
        let lost: Vec<LostSession> = days
            .iter()
            .map(|(day, hour, n)| LostSession {
                students: whose(*n),
                ..lost(&format!("2026-06-{day:02}T{hour:02}:00:00+02:00"), Setting::Open)
            })
            .collect();
        let offers: Vec<Offer> = free
            .iter()
            .map(|(day, hour, site, minutes, away)| Offer {
                minutes: *minutes,
                away: vec![*away; lost.len()],
                ..offer(
                    &format!("2026-06-{day:02}T{hour:02}:00:00+02:00"),
                    if *site == 0 { "Old mill pond" } else { "Another lake" },
                )
            })
            .collect();
        let others: Vec<_> = fixed
            .iter()
            .map(|(day, n)| StayingSession {
                students: whose(*n),
                ..stays(&format!("2026-06-{day:02}T20:00:00+02:00"))
            })
            .collect();
        let moved = move_lost(&lost, &offers, &others, spacing);
        prop_assert!(moved.proven);
        prop_assert_eq!(moved.changes, changes_of(&lost, &offers, &others, &moved.held_in));
        prop_assert!(keeps(&lost, &offers, &others, &moved.held_in, spacing));
        let mut all = ways(&lost, &offers);
        all.retain(|way| keeps(&lost, &offers, &others, way, spacing));
        let best = all.iter().map(|way| changes_of(&lost, &offers, &others, way)).min();
        prop_assert_eq!(Some(moved.changes), best);
    }
}
