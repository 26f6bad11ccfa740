//! The demo school: built through the same requests, and every state it promises is there.

use std::sync::Arc;

use tallywater_core::course::Setting;
use tallywater_core::desk::{Desk, FileKeyStore};
use tallywater_core::view::{AlertKind, KitView, Units, WaterView};

use crate::support::devices::time;
use crate::support::stamps::SetStamps;

#[test]
fn the_demo_school_has_everything_that_can_wait_for_someone() {
    let folder = tempfile::tempdir().unwrap();
    let now = "2026-06-20T18:50:00+02:00";
    let school = tallywater_core::demo::build(folder.path(), time(now), &|_| {}).unwrap();
    let open = |folder: &std::path::Path| {
        let keys = Box::new(FileKeyStore::new(&folder.join("keys")));
        Desk::open(folder, keys, Arc::new(SetStamps::new(now, 77))).unwrap()
    };
    let instructor = open(&school.instructor);
    let today = instructor.today(Units::Metric).unwrap();
    let alerts: Vec<AlertKind> = today.alerts.iter().map(|alert| alert.what).collect();
    for what in [
        AlertKind::TwoViews,
        AlertKind::SlippedSince,
        AlertKind::ToConfirm,
        AlertKind::PaperBeforeWater,
    ] {
        assert!(
            alerts.contains(&what),
            "{what:?} is missing from {alerts:?}"
        );
    }
    assert!(today.unverified == 0 && today.newer == 0);
    assert_eq!(today.sessions.len(), 1, "one session today");
    assert_eq!(
        today.courses.len(),
        3,
        "an instructor sees only the courses they work on"
    );
    let shop = open(&school.shop);
    let kit = shop.look_at_kit(Units::Metric, KitView::of).unwrap();
    assert_eq!((kit.overdue, kit.faulty, kit.elsewhere), (1, 1, 0));
    assert!(
        kit.out > 5,
        "{} pieces are out on the pool evening",
        kit.out
    );
    assert!(
        kit.rows
            .iter()
            .all(|row| row.out.is_empty() || row.wrong.is_empty())
    );
    let today = shop.today(Units::Metric).unwrap();
    assert_eq!(today.courses.len(), 4);
    assert!(today.courses.iter().any(|course| course.completed == 4));
    assert!(
        tallywater_core::demo::build(folder.path(), time(now), &|_| {}).is_err(),
        "a folder with something in it is left alone"
    );
}

/// Common practice, no published source: a beginner breathes 12 to 30 litres a minute at the
/// surface, a pool is a few metres deep, and beginners dive open water by day.
#[test]
fn a_diver_believes_the_figures_of_the_demo_school() {
    let folder = tempfile::tempdir().unwrap();
    let now = "2026-06-20T18:50:00+02:00";
    let school = tallywater_core::demo::build(folder.path(), time(now), &|_| {}).unwrap();
    let keys = Box::new(FileKeyStore::new(&school.shop.join("keys")));
    let shop = Desk::open(&school.shop, keys, Arc::new(SetStamps::new(now, 78))).unwrap();
    let mut consumed = 0;
    let mut weighed = 0;
    for course in shop.today(Units::Metric).unwrap().courses {
        let (water, deepest) = shop
            .look(&course.course, Units::Metric, |course, reader| {
                let sessions = course.sessions().values();
                let pools = sessions
                    .filter(|one| one.plan.setting == Setting::Confined)
                    .filter_map(|one| one.plan.water.max_depth_cm);
                (WaterView::of(course, reader, None), pools.max())
            })
            .unwrap();
        assert!(
            deepest.is_none_or(|cm| cm <= 600),
            "a pool of {deepest:?} cm"
        );
        for dive in &water.dives {
            if let Some(rate) = &dive.consumption {
                let rate: f64 = rate.text.parse().unwrap();
                assert!((12.0..=30.0).contains(&rate), "{rate} L/min");
                consumed += 1;
            }
            if dive.setting == Some(Setting::Open) {
                let hour = dive.down.hour;
                assert!((7..19).contains(&hour), "a first dive at {hour} o'clock");
            }
        }
        weighed += water.weights.len();
        if !water.dives.is_empty() {
            assert!(!water.weights.is_empty(), "{} weighed nobody", course.title);
        }
    }
    assert!(consumed > 4, "{consumed} dives say what was breathed");
    assert!(weighed > 4, "{weighed} weight checks");
}
