//! Midday: every test lives in a place where it is about noon, whatever the hour is here.
//! What is planned *in half an hour* or *at one past midnight* is then the same day's, and a
//! test that passes at ten in the morning passes at five to twelve at night.

use std::sync::Once;
use std::time::{SystemTime, UNIX_EPOCH};

/// Puts this process, and each that it starts, where it is between twelve and one. The date
/// there is the date in UTC.
pub(crate) fn keep() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap();
        let zone = zone(since.as_secs() / 3600 % 24);
        // Before any other thread of the test asks for the time: guarded by the `Once`.
        #[allow(unsafe_code, reason = "the environment is set once, before it is read")]
        unsafe {
            std::env::set_var("TZ", zone);
        }
    });
}

/// The zone, as POSIX writes `TZ` (hours west of Greenwich count up), in which it is twelve
/// when it is this hour in UTC.
fn zone(hour: u64) -> String {
    match hour {
        0..=12 => format!("<+{:02}>-{}", 12 - hour, 12 - hour),
        _ => format!("<-{:02}>{}", hour - 12, hour - 12),
    }
}

#[test]
fn it_is_midday_at_every_hour() {
    assert_eq!(zone(0), "<+12>-12");
    assert_eq!(zone(9), "<+03>-3");
    assert_eq!(zone(12), "<+00>-0");
    assert_eq!(zone(23), "<-11>11");
}
