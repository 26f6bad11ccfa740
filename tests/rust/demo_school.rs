//! The demo school: built through the same requests, and every state it promises is there.

use std::sync::Arc;

use tallywater_core::desk::{Desk, FileKeyStore};
use tallywater_core::view::{AlertKind, Units};

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
    let today = shop.today(Units::Metric).unwrap();
    assert_eq!(today.courses.len(), 4);
    assert!(today.courses.iter().any(|course| course.completed == 4));
    assert!(
        tallywater_core::demo::build(folder.path(), time(now), &|_| {}).is_err(),
        "a folder with something in it is left alone"
    );
}
