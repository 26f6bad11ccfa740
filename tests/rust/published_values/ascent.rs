//! Rates of ascent.

use tallywater_core::calc::ascent::{NAVY_RATE, Resolution, ascent_report};
use tallywater_core::calc::profile::Sample;
use tallywater_core::calc::unit::{FeetPerMinute, Metres, MetresPerMinute, Seconds};

use super::{Check, hold, published};

pub(super) fn checks() -> Vec<Check> {
    let navy = "U.S. Navy Diving Manual, Revision 7, 2016, table 9-9, head: ascent rate 30 FPM";
    let hand = "distance by time, worked by hand: 13 m in 87 s are 8.97 m/min, in 60 s 13.0";
    let way = |seconds: f64| {
        let dive = [(0.0, 18.0), (seconds, 5.0)].map(|(time, depth)| Sample {
            time: Seconds(time),
            depth: Metres(depth),
        });
        ascent_report(&dive, NAVY_RATE, Resolution::USUAL)
            .unwrap()
            .sustained
            .0
    };
    vec![
        published! { source: navy, given: "the limit to begin with, m/min", ours: NAVY_RATE.0, expect: MetresPerMinute::from(FeetPerMinute(30.0)).0, within: 1e-12 },
        published! { source: hand, given: "18 to 5 m in 87 s", ours: way(87.0), expect: 8.97, within: 0.005 },
        published! { source: hand, given: "18 to 5 m in 60 s", ours: way(60.0), expect: 13.0, within: 1e-9 },
    ]
}

#[test]
fn rates_are_distance_by_time() {
    hold(&checks());
}
