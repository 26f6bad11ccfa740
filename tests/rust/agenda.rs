//! The school's slots and who is away: taken from a calendar once, however often it is read;
//! known on every device; no session is worked out for whoever is away; and a day that is lost.

use tallywater_core::course::{Away, SessionId, Setting, Slot};
use tallywater_core::desk::paper::ReadIs;
use tallywater_core::desk::{DeskError, Request};
use tallywater_core::entry::{Kind, Refusal, Who};
use tallywater_core::view::{
    AgendaView, AheadAsked, LostDayView, OutlookAhead, OutlookView, ProposalView, SessionListView,
    SessionState, SessionView, Units,
};

use crate::support::devices::{Device, School, meet, plan, time};

const POOL: &str = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\n\
    BEGIN:VEVENT\r\nUID:one@pool\r\nDTSTART:20260609T160000Z\r\nDTEND:20260609T183000Z\r\n\
    LOCATION:Hollow Lane pool\r\nEND:VEVENT\r\n\
    BEGIN:VEVENT\r\nUID:two@pool\r\nDTSTART:20260610T080000Z\r\nDTEND:20260610T103000Z\r\n\
    LOCATION:Hollow Lane pool\r\nEND:VEVENT\r\n\
    BEGIN:VEVENT\r\nUID:bad@pool\r\nDTSTART:some day\r\nEND:VEVENT\r\n\
    END:VCALENDAR\r\n";

/// Takes from a calendar what is to be taken; answers how each event stood.
fn take_slots(by: &Device, calendar: &str) -> Vec<ReadIs> {
    let read = by
        .desk
        .look_at_slots(calendar.as_bytes(), Setting::Confined);
    let read = read.unwrap();
    let stands = read.rows.iter().map(|row| row.stands).collect();
    let wanted = read.rows.into_iter().filter_map(|row| {
        let dropped = row.stands == ReadIs::Dropped;
        let wanted = !matches!(row.stands, ReadIs::Here | ReadIs::LeftOut);
        wanted.then_some(Request::SetSlot {
            slot: row.slot,
            dropped,
        })
    });
    let wanted: Vec<Request> = wanted.collect();
    if !wanted.is_empty() {
        by.desk.would_record(wanted.clone()).unwrap();
        by.desk.record_all(wanted).unwrap();
    }
    stands
}

fn agenda(school: &School, by: &Device) -> AgendaView {
    let seen = by
        .desk
        .look_among(&school.course, Units::Metric, AgendaView::of);
    seen.unwrap()
}

fn away(from: &str, until: &str) -> Away {
    Away {
        uid: String::new(),
        from: time(from),
        until: time(until),
    }
}

#[test]
fn a_calendar_that_is_read_twice_doubles_nothing_and_one_that_changed_changes_its_slot() {
    let school = School::new(2);
    let shop = &school.shop;
    let bad = shop.desk.look_at_slots(POOL.as_bytes(), Setting::Confined);
    let faults = bad.unwrap().faults;
    assert_eq!(faults.iter().map(|one| one.line).collect::<Vec<_>>(), [15]);
    assert_eq!(take_slots(shop, POOL), [ReadIs::New, ReadIs::New]);
    assert_eq!(take_slots(shop, POOL), [ReadIs::Here, ReadIs::Here]);
    let seen = agenda(&school, shop);
    assert_eq!((seen.slots.len(), seen.free), (2, 2));
    assert_eq!(seen.slots[0].slot.minutes, 150);
    println!("## One moves, the other is called off");
    let moved = POOL
        .replace("20260609T160000Z", "20260609T150000Z")
        .replace("UID:two@pool\r\n", "UID:two@pool\r\nSTATUS:CANCELLED\r\n");
    assert_eq!(take_slots(shop, &moved), [ReadIs::Changed, ReadIs::Dropped]);
    assert_eq!(take_slots(shop, &moved), [ReadIs::Here, ReadIs::LeftOut]);
    meet(&school.shop, &school.instructor);
    let there = agenda(&school, &school.instructor);
    assert_eq!(there.slots.len(), 1);
    assert_eq!(there.slots[0].slot.minutes, 210);
    println!("## A table without ids: the same hours at the same place are the same slot");
    let table = "date,start,end,place\n2026-06-12,18:00,20:00,Hollow Lane pool\n";
    assert_eq!(take_slots(shop, table), [ReadIs::New]);
    assert_eq!(take_slots(shop, table), [ReadIs::Here]);
    println!("## An assistant writes none down");
    let refused = school.assistant.desk.record(Request::SetSlot {
        slot: seen.slots[0].slot.clone(),
        dropped: true,
    });
    assert!(matches!(
        refused,
        Err(DeskError::Refused(Refusal::Role {
            kind: Kind::SlotSet,
            ..
        }))
    ));
}

#[test]
fn a_slot_or_an_absence_that_cannot_be_is_refused_and_names_what_is_wrong() {
    let school = School::new(1);
    let slot = Slot {
        uid: String::new(),
        setting: Setting::Confined,
        site: "Hollow Lane pool".into(),
        starts: time("2026-06-12T18:00:00+02:00"),
        minutes: 0,
        price: None,
    };
    let set = |slot: Slot| {
        let dropped = false;
        let refused = school.shop.desk.record(Request::SetSlot { slot, dropped });
        let DeskError::Refused(refusal) = refused.unwrap_err() else {
            panic!("not refused by a rule");
        };
        refusal
    };
    assert!(matches!(
        set(slot.clone()),
        Refusal::OutOfBounds {
            field: "minutes",
            ..
        }
    ));
    let nowhere = Slot {
        site: "  ".into(),
        minutes: 60,
        ..slot
    };
    assert_eq!(set(nowhere), Refusal::TextEmpty { field: "site" });
    let set = |course, who, away| {
        let dropped = false;
        let refused = school.shop.desk.record(Request::SetAway {
            course,
            who,
            away,
            dropped,
        });
        let DeskError::Refused(refusal) = refused.unwrap_err() else {
            panic!("not refused by a rule");
        };
        refusal
    };
    let week = away("2026-06-12T00:00:00+02:00", "2026-06-19T00:00:00+02:00");
    let back = away("2026-06-12T00:00:00+02:00", "2026-06-11T00:00:00+02:00");
    let (student, staff) = (Who::Student(school.students[0]), Who::Staff(school.renate));
    let ends = Refusal::EndsBeforeItBegins { field: "absence" };
    assert_eq!(set(Some(school.course), student, back), ends);
    println!("## A student's absence is never written into the school's book, nor the other way");
    let kind = Kind::AwaySet;
    let wrong = Refusal::WrongLedger { kind };
    assert_eq!(set(None, student, week.clone()), wrong);
    assert_eq!(set(Some(school.course), staff, week), wrong);
}

#[test]
fn who_is_away_is_said_on_the_plan_and_no_session_is_worked_out_for_them() {
    let school = School::new(3);
    let desk = &school.instructor.desk;
    let calendar = "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:leave\nDTSTART;VALUE=DATE:20260605\n\
        DTEND;VALUE=DATE:20260608\nEND:VEVENT\nEND:VCALENDAR\n";
    let who = Who::Student(school.students[1]);
    let read = desk.look_at_away(Some(&school.course), who, calendar.as_bytes());
    let row = read.unwrap().rows.remove(0);
    assert_eq!(row.stands, ReadIs::New);
    school.instructor.record(Request::SetAway {
        course: Some(school.course),
        who,
        away: row.away.clone(),
        dropped: false,
    });
    let again = desk.look_at_away(Some(&school.course), who, calendar.as_bytes());
    assert_eq!(again.unwrap().rows[0].stands, ReadIs::Here);
    school.instructor.record(Request::SetAway {
        course: None,
        who: Who::Staff(school.bo),
        away: away("2026-06-06T00:00:00+02:00", "2026-06-07T00:00:00+02:00"),
        dropped: false,
    });
    let (view, found) = desk
        .look(&school.course, Units::Metric, |course, reader| {
            let view = SessionView::of(course, reader, &school.session).unwrap();
            let plan = &course.sessions()[&school.session].plan;
            let found = ProposalView::of(course, reader, plan, &[], &[]);
            (view, found)
        })
        .unwrap();
    let said: Vec<Who> = view.away.iter().map(|who| who.who()).collect();
    assert_eq!(said, [who, Who::Staff(school.bo)]);
    assert_eq!(found.lacking, None);
    let stations = &found.plan.stations;
    assert!(stations.iter().all(|one| one.staff == school.renate));
    let mut tries = stations.iter().flat_map(|one| &one.runs);
    assert!(tries.all(|run| !run.students.contains(&school.students[1])));
    println!("## They come after all");
    school.instructor.record(Request::SetAway {
        course: Some(school.course),
        who,
        away: row.away,
        dropped: true,
    });
    meet(&school.shop, &school.instructor);
    let seen = agenda(&school, &school.shop);
    assert_eq!(seen.away.len(), 1);
    assert!(seen.away[0].whole_days);
    assert_eq!(seen.away[0].until.day.date, seen.away[0].from.day.date);
}

fn lost(school: &School, session: SessionId) -> LostDayView {
    let seen = school
        .shop
        .desk
        .look_among(&school.course, Units::Metric, |course, all, reader| {
            LostDayView::of(course, all, reader, session, 0).unwrap()
        });
    seen.unwrap()
}

#[test]
fn a_lost_day_goes_into_free_slots_is_shown_first_and_leaves_what_is_held_in_others_alone() {
    let school = School::new(2);
    let record = |request| school.shop.record(request);
    // A second session in the evening of the lost day, and one that stands at the first slot.
    let planned = |starts| {
        let plan = plan(
            &school.students,
            &[school.renate],
            Setting::Confined,
            starts,
        );
        let made = record(Request::PlanSession {
            course: school.course,
            session: None,
            plan,
        });
        made.made.unwrap().parse::<SessionId>().unwrap()
    };
    let evening = planned("2026-06-06T18:00:00+02:00");
    let stands = planned("2026-06-09T18:00:00+02:00");
    for (uid, starts, site) in [
        ("same-day", "2026-06-06T20:00:00+02:00", "Hollow Lane pool"),
        ("taken", "2026-06-09T18:00:00+02:00", "hollow lane POOL"),
        ("near", "2026-06-07T08:00:00+02:00", "Another pool"),
        ("first", "2026-06-08T10:00:00+02:00", "Hollow Lane pool"),
        ("second", "2026-06-08T18:00:00+02:00", "Hollow Lane pool"),
    ] {
        let slot = Slot {
            uid: uid.into(),
            setting: Setting::Confined,
            site: site.into(),
            starts: time(starts),
            minutes: 120,
            price: Some("40 EUR".into()),
        };
        record(Request::SetSlot {
            slot,
            dropped: false,
        });
    }
    let view = lost(&school, evening);
    assert_eq!((view.rows.len(), view.unplaced, view.free), (2, 0, 3));
    assert!(view.proven);
    let after = |n: usize| view.rows[n].after.clone().unwrap();
    assert_eq!(view.rows[0].session, school.session);
    assert_eq!(after(0).starts.at, time("2026-06-08T10:00:00+02:00"));
    assert_eq!(after(1).starts.at, time("2026-06-08T18:00:00+02:00"));
    assert_eq!(after(0).price.as_deref(), Some("40 EUR"));
    assert_eq!(view.rows[0].before.at, time("2026-06-06T10:00:00+02:00"));
    assert_eq!(view.rows[0].students.len(), 2);
    assert_eq!(view.rows[0].staff.len(), 2);
    println!("## Nothing has moved by being looked at");
    let state = |id: SessionId| {
        let list = school
            .shop
            .desk
            .look(&school.course, Units::Metric, SessionListView::of)
            .unwrap();
        let row = list.rows.into_iter().find(|row| row.session == id);
        let row = row.unwrap();
        (row.starts.at, row.state)
    };
    assert_eq!(state(school.session).0, time("2026-06-06T10:00:00+02:00"));
    println!("## Somebody is away on Monday: another pool before a class that is not whole");
    record(Request::SetAway {
        course: Some(school.course),
        who: Who::Student(school.students[0]),
        away: away("2026-06-08T00:00:00+02:00", "2026-06-08T12:00:00+02:00"),
        dropped: false,
    });
    let view = lost(&school, school.session);
    let first = view.rows[0].after.clone().unwrap();
    assert_eq!(first.site, "Another pool");
    assert!(view.rows.iter().all(|row| row.away.is_empty()));
    println!("## Accepted: moved in one, and undone in one");
    let requests = view.requests(school.course, "Thunder");
    school.shop.desk.record_all(requests).unwrap();
    assert_eq!(state(school.session).0, first.starts.at);
    assert_eq!(state(stands).0, time("2026-06-09T18:00:00+02:00"));
    let held = agenda(&school, &school.shop);
    let near = held.slots.iter().find(|row| row.slot.uid == "near");
    assert!(near.unwrap().held.is_some(), "the slot is taken now");
    println!("## A day with nothing left of it");
    record(Request::CancelSession {
        course: school.course,
        session: stands,
        why: "Thunder".into(),
    });
    assert_eq!(state(stands).1, SessionState::Cancelled);
    assert!(lost(&school, stands).rows.is_empty());
}

#[test]
fn with_no_slot_a_lost_session_is_said_to_have_none() {
    let school = School::new(1);
    let view = lost(&school, school.session);
    assert_eq!((view.unplaced, view.free), (1, 0));
    assert_eq!(view.rows[0].after, None);
}

#[test]
fn the_end_of_the_course_is_told_in_days_as_far_as_free_slots_reach() {
    let school = School::new(1);
    let spaced = |days_between| -> OutlookView {
        let asked = AheadAsked {
            days_between,
            ..AheadAsked::default()
        };
        let seen = school.shop.desk.look_among(
            &school.course,
            Units::Metric,
            |course, courses, reader| OutlookAhead::of(course, courses, reader, asked, Vec::new()),
        );
        seen.unwrap().answer(&mut || true).unwrap()
    };
    let ahead = || spaced(0);
    let before = ahead();
    assert_eq!(before.class.slots, 0);
    assert_eq!(before.class.most_days, None, "no dates reach so far");
    // A slot each day, in turn in the pool, in open water and on land.
    let settings = [Setting::Confined, Setting::Open, Setting::Classroom];
    let first = time("2026-06-07T10:00:00+02:00");
    let requests = (0..180_i64).map(|n| Request::SetSlot {
        slot: Slot {
            uid: format!("day {n}"),
            setting: settings[usize::try_from(n % 3).unwrap()],
            site: "Somewhere".into(),
            starts: first + chrono::TimeDelta::days(n),
            minutes: 120,
            price: None,
        },
        dropped: false,
    });
    school.shop.desk.record_all(requests.collect()).unwrap();
    let after = ahead();
    assert_eq!(after.class.slots, 180);
    assert_eq!(after.class.dates, after.class.planned + 180);
    let (half, most) = (
        after.class.half_days.unwrap(),
        after.class.most_days.unwrap(),
    );
    assert!(most.from.date <= half.from.date && half.to.date <= most.to.date);
    // With two days between, every second slot, from two days after the planned session.
    assert_eq!(spaced(2).class.slots, 90);
    let sessions = i64::from(after.class.most_to);
    let last = (most.to.date - first.date_naive()).num_days();
    // One session is planned the day before the first slot.
    assert_eq!(last + 2, sessions, "a session a day");
}
