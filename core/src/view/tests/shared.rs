//! Two courses in one water: counted once, and a make-up in one slot.

use chrono::{Datelike, TimeDelta};
use proptest::prelude::*;
use uuid::Uuid;

use super::{Eyes, named};
use crate::course::{
    Away, Block, ClearanceKind, CourseId, Role, SessionPlan, Setting, ShopId, Slot, StaffId,
};
use crate::entry::{
    Assignment, AwaySet, Body, ClearanceResult, CourseOpened, Mark, OutlineSet, Passage, PolicySet,
    SessionPlanned, SlotSet, Who,
};
use crate::standing::CourseStanding;
use crate::standing::sample::{
    ODD, OFFICE, PELLE, RENATE, Sample, day, outline, plan, policy, session, shop, skill_id,
    student, time,
};
use crate::view::{
    ApartBecause, HeadcountView, Limit, LostApart, LostDayView, NotSharedBecause, RatioReason,
    Reader, SessionView, SharedView,
};

const RUN_LIST: [&str; 2] = ["once", "both"];

/// A course whose students need all of a block that was held yesterday.
pub(super) fn course(n: u128, students: &[u128], staff: &[(StaffId, Role)]) -> Sample {
    let mut sample = Sample::of(CourseId::new(Uuid::from_u128(0xc0 + n)));
    sample.add(
        OFFICE,
        &[],
        CourseOpened {
            place: None,
            title: format!("Course {n}"),
            shop: ShopId::new(Uuid::from_u128(0x54)),
            starts: day("2026-06-01"),
        },
    );
    let mut outline = outline();
    outline.blocks = vec![Block {
        id: "pool-1".parse().unwrap(),
        title: "Pool 1".to_owned(),
        setting: Setting::Confined,
        run_list: RUN_LIST.map(skill_id).to_vec(),
        minutes: 90,
    }];
    sample.add(OFFICE, &[], OutlineSet { outline, why: None });
    for (staff, role) in staff.iter().copied() {
        sample.add(OFFICE, &[], Assignment { staff, role });
    }
    sample.add(
        OFFICE,
        &[],
        PolicySet {
            policy: policy(),
            confirmed: Vec::new(),
            proofs: Vec::new(),
        },
    );
    sample.confirm_rules();
    for one in students {
        sample.enrol(*one);
        sample.clear(*one, ClearanceKind::Health, ClearanceResult::Cleared);
    }
    let mut held = plan(Setting::Confined, "2026-06-01T10:00:00+02:00");
    held.block = Some("pool-1".parse().unwrap());
    held.students = students.iter().map(|n| student(*n)).collect();
    held.staff = staff.iter().map(|(id, _)| *id).collect();
    planned(&mut sample, n * 10 + 1, held);
    sample
}

pub(super) fn planned(sample: &mut Sample, n: u128, plan: SessionPlan) {
    let session = session(n);
    sample.add(OFFICE, &[], SessionPlanned { session, plan });
}

pub(super) const RENATE_LEADS: (StaffId, Role) = (RENATE.staff, Role::Instructor);
pub(super) const ODD_LEADS: (StaffId, Role) = (ODD.staff, Role::Instructor);
const PELLE_HELPS: (StaffId, Role) = (PELLE.staff, Role::Assistant);

/// The reader's knowledge: everybody is of age, and these are the school's slots.
pub(super) fn eyes(slots: &[(&str, u16)]) -> Eyes {
    let mut eyes = Eyes::new();
    for n in 1..12 {
        let details = named(&format!("Student {n}"), Some("1990-05-05"));
        eyes.people.students.insert(student(n), details);
    }
    eyes.shop = shop(
        slots
            .iter()
            .map(|(starts, minutes)| slot(starts, *minutes))
            .collect(),
    );
    eyes
}

fn slot(starts: &str, minutes: u16) -> Body {
    Body::from(SlotSet {
        slot: Slot {
            uid: starts.to_owned(),
            setting: Setting::Confined,
            site: "Hollow Lane pool".to_owned(),
            starts: time(starts),
            minutes,
            price: None,
        },
        dropped: false,
    })
}

pub(super) const EVENING: &str = "2026-06-04T18:00:00+02:00";

fn look(eyes: &Eyes, courses: &[&CourseStanding]) -> SharedView {
    let reader = Reader {
        courses,
        ..eyes.reader(RENATE)
    };
    SharedView::of(courses[0], courses, &reader)
}

#[test]
fn one_slot_serves_two_courses_and_once_accepted_the_ratio_counts_both() {
    let mut one = course(1, &[1, 2], &[RENATE_LEADS, PELLE_HELPS]);
    let mut other = course(2, &[3, 4], &[RENATE_LEADS]);
    let eyes = eyes(&[(EVENING, 60)]);
    let found = look(&eyes, &[&one.now, &other.now]);
    assert_eq!((found.rows.len(), found.free), (1, 1), "{found:?}");
    let row = &found.rows[0];
    assert_eq!((row.students, row.ceiling), (4, Some(4)));
    let staff: Vec<StaffId> = row.staff.iter().map(|one| one.staff).collect();
    assert_eq!(staff, [RENATE.staff], "Pelle is in one of them alone");
    assert_eq!(row.starts.at, time(EVENING));
    let [own, theirs] = row.sides.as_slice() else {
        panic!("two sides: {row:?}");
    };
    assert_eq!(
        (own.course, theirs.course),
        (*one.now.id(), *other.now.id())
    );
    assert_eq!(own.plan.students, [student(1), student(2)]);
    assert_eq!(theirs.plan.students, [student(3), student(4)]);
    assert_eq!(own.plan.run_list, RUN_LIST.map(skill_id));
    assert!(own.makes_up && theirs.makes_up);
    assert_eq!((&own.plan.site, own.plan.minutes), (&theirs.plan.site, 60));
    // Seen from the other course it is the same slot.
    let there = look(&eyes, &[&other.now, &one.now]);
    assert_eq!(there.rows[0].starts, row.starts);
    // Accepted.
    planned(&mut one, 15, own.plan.clone());
    planned(&mut other, 25, theirs.plan.clone());
    let courses = [&one.now, &other.now];
    let reader = Reader {
        courses: &courses,
        ..eyes.reader(RENATE)
    };
    let view = SessionView::of(&one.now, &reader, &session(15)).unwrap();
    let ratio = view.ratio.unwrap();
    assert_eq!((ratio.students, ratio.ceiling), (4, Some(4)));
    assert_eq!((ratio.instructors, ratio.limit), (1, Limit::Within));
    assert_eq!(ratio.reasons.last(), Some(&RatioReason::OtherCourses(2)));
    let again = SharedView::of(&one.now, &courses, &reader);
    assert_eq!(
        (again.rows, again.others),
        (Vec::new(), Vec::new()),
        "none is needed twice"
    );
    // Without the other course the two stand alone: whoever holds one course counts one.
    let alone = SessionView::of(&one.now, &eyes.reader(RENATE), &session(15)).unwrap();
    assert_eq!(alone.ratio.unwrap().students, 2);
}

#[test]
fn whoever_is_in_the_same_water_now_is_counted_with_it() {
    let mut one = course(1, &[1], &[RENATE_LEADS, PELLE_HELPS]);
    let mut other = course(2, &[3, 4, 5, 6], &[RENATE_LEADS]);
    let eyes = eyes(&[]).at("2026-06-04T18:10:00+02:00");
    for (sample, n, students) in [(&mut one, 15, vec![1]), (&mut other, 25, vec![3, 4, 5, 6])] {
        let mut shared = plan(Setting::Confined, EVENING);
        shared.students = students.iter().map(|n| student(*n)).collect();
        shared.staff = vec![RENATE.staff];
        planned(sample, n, shared);
        for n_student in students {
            let who = Who::Student(student(n_student));
            sample.pass(who, n, Passage::In, "2026-06-04T18:05:00+02:00");
        }
    }
    let renate = Who::Staff(RENATE.staff);
    one.pass(renate, 15, Passage::In, "2026-06-04T18:05:00+02:00");
    let courses = [&one.now, &other.now];
    let reader = Reader {
        courses: &courses,
        ..eyes.reader(RENATE)
    };
    let ratio = HeadcountView::of(&one.now, &reader, &session(15))
        .unwrap()
        .ratio
        .unwrap();
    assert_eq!((ratio.students, ratio.instructors), (5, 1));
    assert_eq!((ratio.ceiling, ratio.limit), (Some(4), Limit::Over));
    assert_eq!(ratio.reasons.last(), Some(&RatioReason::OtherCourses(4)));
    // One of another hour, another place or other staff is another water.
    let mut apart = other.clone();
    let mut elsewhere = plan(Setting::Confined, EVENING);
    elsewhere.site = "Another pool".to_owned();
    elsewhere.students = vec![student(3)];
    elsewhere.staff = vec![RENATE.staff];
    let id = session(25);
    let after = apart.now.session_entries(&id);
    let moved = SessionPlanned {
        session: id,
        plan: elsewhere,
    };
    apart.add(OFFICE, &after, moved);
    let courses = [&one.now, &apart.now];
    let reader = Reader {
        courses: &courses,
        ..eyes.reader(RENATE)
    };
    let ratio = HeadcountView::of(&one.now, &reader, &session(15))
        .unwrap()
        .ratio
        .unwrap();
    assert_eq!(ratio.students, 1);
}

#[test]
fn what_cannot_be_shared_says_why() {
    let eyes = eyes(&[(EVENING, 60)]);
    let because = |eyes: &Eyes, one: &Sample, other: &Sample| {
        let found = look(eyes, &[&one.now, &other.now]);
        assert_eq!(found.rows, []);
        let others = found.others.iter();
        others.map(|one| one.because).collect::<Vec<_>>()
    };
    let one = course(1, &[1, 2], &[RENATE_LEADS]);
    let many = course(2, &[3, 4, 5], &[RENATE_LEADS]);
    assert_eq!(
        because(&eyes, &one, &many),
        [NotSharedBecause::Rules],
        "five, and four may"
    );
    let odds = course(2, &[3], &[ODD_LEADS]);
    assert_eq!(because(&eyes, &one, &odds), [NotSharedBecause::Staff]);
    let few = course(2, &[3], &[RENATE_LEADS]);
    let short = self::eyes(&[(EVENING, 5)]);
    assert_eq!(because(&short, &one, &few), [NotSharedBecause::Slot]);
    // Each alone fits into a short slot of its own, and both are through before the long one.
    let slots = [
        ("2026-06-03T10:00:00+02:00", 18),
        ("2026-06-03T18:00:00+02:00", 18),
        ("2026-06-05T18:00:00+02:00", 90),
    ];
    let sooner = self::eyes(&slots);
    let helped = course(2, &[3, 4], &[RENATE_LEADS]);
    let because = because(&sooner, &one, &helped);
    assert_eq!(because, [NotSharedBecause::SoonerApart]);
    // Nobody needs the same.
    let mut done = course(2, &[3], &[RENATE_LEADS]);
    for skill in RUN_LIST {
        done.mark(RENATE, 3, skill, Mark::Met, 21);
    }
    let found = look(&eyes, &[&one.now, &done.now]);
    assert_eq!((found.rows, found.others), (Vec::new(), Vec::new()));
}

#[test]
fn whoever_lacks_a_paper_is_kept_out_of_it_and_named() {
    let one = course(1, &[1, 2], &[RENATE_LEADS]);
    let mut other = course(2, &[3], &[RENATE_LEADS]);
    other.enrol(4);
    let eyes = eyes(&[(EVENING, 60)]);
    let found = look(&eyes, &[&one.now, &other.now]);
    let theirs = &found.rows[0].sides[1];
    assert_eq!(theirs.plan.students, [student(3)]);
    assert_eq!(theirs.kept_out.len(), 1);
    assert_eq!(theirs.kept_out[0].student, student(4));
}

/// A session of these students in the pool, led by Renate.
pub(super) fn led(starts: &str, students: &[u128]) -> SessionPlan {
    let mut led = plan(Setting::Confined, starts);
    led.site = "Hollow Lane pool".to_owned();
    led.students = students.iter().map(|n| student(*n)).collect();
    led.staff = vec![RENATE.staff];
    led.run_list = RUN_LIST.map(skill_id).to_vec();
    led
}

#[test]
fn a_lost_session_without_a_slot_goes_into_the_water_of_another_course_or_nowhere() {
    const NEXT: &str = "2026-06-05T18:00:00+02:00";
    let eyes = eyes(&[]);
    let lost = |courses: &[&CourseStanding]| {
        let reader = Reader {
            courses,
            ..eyes.reader(RENATE)
        };
        LostDayView::of(courses[0], courses, &reader, session(15), 0).unwrap()
    };
    let mut one = course(1, &[1, 2], &[RENATE_LEADS]);
    planned(&mut one, 15, led(EVENING, &[1, 2]));
    let mut many = course(2, &[3, 4, 5], &[RENATE_LEADS]);
    planned(&mut many, 25, led(NEXT, &[3, 4, 5]));
    let view = lost(&[&one.now, &many.now]);
    assert_eq!(
        (view.unplaced, &view.rows[0].together),
        (1, &None),
        "five, and four may"
    );
    let mut other = course(2, &[3, 4], &[RENATE_LEADS]);
    planned(&mut other, 25, led(NEXT, &[3, 4]));
    let view = lost(&[&one.now, &other.now]);
    assert_eq!(view.unplaced, 0);
    let row = &view.rows[0];
    assert_eq!((&row.after, row.apart.len()), (&None, 0));
    let held = row.together.clone().unwrap();
    assert_eq!((held.students, held.ceiling), (4, Some(4)));
    assert_eq!(held.course_title, "Course 2");
    assert_eq!(held.plan.starts, time(NEXT));
    assert_eq!(held.plan.students, [student(1), student(2)]);
    // Accepted, and then that day is lost too: the two share their water.
    let id = session(15);
    let after = one.now.session_entries(&id);
    let plan = held.plan;
    one.add(OFFICE, &after, SessionPlanned { session: id, plan });
    let view = lost(&[&one.now, &other.now]);
    let apart = LostApart {
        course_title: "Course 2".to_owned(),
        because: ApartBecause::Slot,
    };
    assert_eq!(view.rows[0].along, []);
    assert_eq!(view.rows[0].apart, [apart]);
    assert_eq!((view.unplaced, &view.rows[0].together), (1, &None));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    /// Of whatever two courses, slots and absences: what is proposed breaks no rule of either,
    /// takes nobody who is away, and is for everybody and of everything that each course would
    /// have had a slot of its own for.
    #[test]
    fn what_is_shared_breaks_no_rule_and_leaves_nobody_and_nothing_out(
        here in 1_u128..5,
        there in 1_u128..5,
        both in (any::<bool>(), any::<bool>()),
        slots in prop::collection::vec((3_u32..7, 8_u32..20, 5_u16..80), 0..5),
        away in prop::collection::vec((0_u128..12, 3_u32..7), 0..4),
    ) {
        let staff = |odd: bool, pelle: bool| -> Vec<(StaffId, Role)> {
            let more = [(odd, ODD_LEADS), (pelle, PELLE_HELPS)];
            let more = more.into_iter().filter(|(on, _)| *on).map(|(_, one)| one);
            std::iter::once(RENATE_LEADS).chain(more).collect()
        };
        let of_one: Vec<u128> = (1..=here).collect();
        let of_other: Vec<u128> = (6..6 + there).collect();
        let mut one = course(1, &of_one, &staff(true, true));
        let mut other = course(2, &of_other, &staff(both.0, both.1));
        let mut bodies: Vec<Body> = slots
            .iter()
            .enumerate()
            .map(|(n, (day, hour, minutes))| {
                // Hours of one pool do not overlap: one slot a day and hour.
                let starts = format!("2026-06-{day:02}T{hour:02}:{n:02}:00+02:00");
                slot(&starts, *minutes)
            })
            .collect();
        let mut absent: Vec<(Who, u32)> = Vec::new();
        for (n, day) in away {
            let from = time(&format!("2026-06-{day:02}T00:00:00+02:00"));
            let away = Away { uid: format!("{n} {day}"), from, until: from + TimeDelta::days(1) };
            let who = match n {
                0 => Who::Staff(RENATE.staff),
                11 => Who::Staff(ODD.staff),
                n => Who::Student(student(n)),
            };
            let set = AwaySet { who, away, dropped: false };
            match who {
                Who::Staff(_) => bodies.push(Body::from(set)),
                Who::Student(_) if n < 6 => {
                    one.add(OFFICE, &[], set);
                }
                Who::Student(_) => {
                    other.add(OFFICE, &[], set);
                }
            }
            absent.push((who, day));
        }
        let mut eyes = eyes(&[]);
        eyes.shop = shop(bodies);
        let found = look(&eyes, &[&one.now, &other.now]);
        prop_assert!(found.rows.len() + found.others.len() == 1);
        let Some(row) = found.rows.first() else { return Ok(()) };
        let on = row.starts.at.day();
        // Its slot is one of the school's, and all of it fits.
        let hours = slots.iter().enumerate().find(|(n, (day, hour, _))| {
            row.starts.at == time(&format!("2026-06-{day:02}T{hour:02}:{n:02}:00+02:00"))
        });
        prop_assert!(row.minutes <= u32::from(hours.unwrap().1.2));
        // Who leads and helps is on both courses, and nobody is away.
        let roles: Vec<_> = [&one, &other].iter().map(|one| one.now.staff()).collect();
        let is = |id: &StaffId, role| roles.iter().all(|of| of.get(id) == Some(&role));
        let ids: Vec<StaffId> = row.staff.iter().map(|one| one.staff).collect();
        prop_assert!(ids.iter().all(|id| roles.iter().all(|of| of.contains_key(id))));
        let leads = ids.iter().filter(|id| is(id, Role::Instructor)).count();
        let helps = ids.iter().filter(|id| is(id, Role::Assistant)).count();
        prop_assert!(leads > 0);
        let all = here + there;
        prop_assert_eq!(u128::from(row.students), all);
        let most = (leads * 4 + helps * 2).min(7);
        prop_assert!(all <= u128::try_from(most).unwrap());
        prop_assert_eq!(row.ceiling, u32::try_from(most).ok());
        let mut people = ids.iter().map(|id| Who::Staff(*id)).chain(
            row.sides.iter().flat_map(|side| &side.plan.students).map(|id| Who::Student(*id)),
        );
        prop_assert!(people.all(|who| !absent.contains(&(who, on))));
        // Nobody and nothing is left out, and both are the same water.
        for (side, students) in row.sides.iter().zip([&of_one, &of_other]) {
            prop_assert_eq!(side.plan.students.len(), students.len());
            prop_assert_eq!(&side.plan.run_list, &RUN_LIST.map(skill_id).to_vec());
            prop_assert_eq!(side.plan.starts, row.starts.at);
            prop_assert_eq!(&side.plan.staff, &ids);
        }
        prop_assert_eq!(&row.sides[0].plan.water, &row.sides[1].plan.water);
    }
}
