//! When and where a plan begins before a person says otherwise.

use uuid::Uuid;

use super::Eyes;
use crate::course::{CourseId, Setting, Slot};
use crate::entry::{Body, SessionPlanned, SlotSet};
use crate::standing::sample::{OFFICE, RENATE, Sample, session, shop, time};
use crate::view::{Reader, draft};

#[test]
fn a_plan_begins_in_the_next_free_slot_for_its_water_with_its_place_and_minutes() {
    let sample = Sample::new();
    let slot = |uid: &str, setting, starts: &str| {
        Body::from(SlotSet {
            slot: Slot {
                uid: uid.to_owned(),
                setting,
                site: "Hollow Lane pool".to_owned(),
                starts: time(starts),
                minutes: 75,
                price: None,
            },
            dropped: false,
        })
    };
    let mut eyes = Eyes::new();
    eyes.shop = shop(vec![
        slot("past", Setting::Confined, "2026-06-02T08:00:00+02:00"),
        slot("lake", Setting::Open, "2026-06-02T16:00:00+02:00"),
        // The course is at the pond at that hour.
        slot("busy", Setting::Confined, "2026-06-03T10:30:00+02:00"),
        slot("next", Setting::Confined, "2026-06-04T18:00:00+02:00"),
        slot("later", Setting::Confined, "2026-06-05T18:00:00+02:00"),
    ]);
    let plan = draft(&sample.now, &eyes.reader(RENATE), None);
    assert_eq!(plan.starts, time("2026-06-04T18:00:00+02:00"));
    assert_eq!((plan.site.as_str(), plan.minutes), ("Hollow Lane pool", 75));
    // Another course of the device is in it.
    let mut other = Sample::of(CourseId::new(Uuid::from_u128(0xc1)));
    other.add(
        OFFICE,
        &[],
        SessionPlanned {
            session: session(21),
            plan: plan.clone(),
        },
    );
    let courses = [&other.now];
    let reader = Reader {
        courses: &courses,
        ..eyes.reader(RENATE)
    };
    let plan = draft(&sample.now, &reader, None);
    assert_eq!(plan.starts, time("2026-06-05T18:00:00+02:00"));
}

#[test]
fn late_in_the_evening_a_plan_begins_tomorrow_at_nine_and_never_at_midnight() {
    let nothing = Sample::empty();
    for (now, begins) in [
        ("2026-06-02T23:10:00+02:00", "2026-06-02T23:30:00+02:00"),
        ("2026-06-02T23:30:00+02:00", "2026-06-02T23:30:00+02:00"),
        ("2026-06-02T23:31:00+02:00", "2026-06-03T09:00:00+02:00"),
        ("2026-06-02T00:00:00+02:00", "2026-06-02T00:00:00+02:00"),
    ] {
        let eyes = Eyes::new().at(now);
        let plan = draft(&nothing.now, &eyes.reader(RENATE), None);
        assert_eq!(plan.starts, time(begins), "at {now}");
    }
}
