//! The wait before flying.

use tallywater_core::calc::no_stop::{DivesBefore, Group, PublishedWait, flying_wait};
use tallywater_core::calc::unit::{Feet, Metres, MinutesWhole};

use super::{Check, hold, published};

pub(super) fn checks() -> Vec<Check> {
    [navy(), workshop()].into_iter().flatten().collect()
}

fn wait(wait: PublishedWait) -> f64 {
    match wait {
        PublishedWait::AtLeast(MinutesWhole(minutes))
        | PublishedWait::LongerThan(MinutesWhole(minutes)) => f64::from(minutes),
        PublishedWait::Silent => -1.0,
    }
}

fn navy() -> Vec<Check> {
    let source = "U.S. Navy Diving Manual, Revision 7, 2016, table 9-6, column 8,000 ft";
    [
        (Group::A, 0, 0), (Group::C, 0, 0), (Group::D, 1, 45), (Group::E, 4, 39), (Group::F, 7, 6), (Group::G, 9, 13), (Group::H, 11, 4),
        (Group::I, 12, 44), (Group::J, 14, 13), (Group::K, 15, 35), (Group::L, 16, 50), (Group::M, 18, 0), (Group::N, 19, 4), (Group::O, 20, 5), (Group::Z, 21, 1),
    ]
    .into_iter()
    .map(|(group, hours, minutes): (Group, u32, u32)| {
        let ours = flying_wait(DivesBefore::SingleNoStop, Some(group), Metres::from(Feet(8000.0))).unwrap();
        published! { source: source, given: format!("group {}", group.letter()), ours: wait(ours.navy), expect: f64::from(hours * 60 + minutes), within: 0.0 }
    })
    .collect()
}

fn workshop() -> Vec<Check> {
    let source = "Sheffield and Vann (editors), Flying After Recreational Diving, workshop 2002, proceedings 2004";
    [(DivesBefore::SingleNoStop, 12.0), (DivesBefore::Repetitive, 18.0), (DivesBefore::WithStops, 18.0)]
        .into_iter()
        .map(|(dives, hours)| {
            let ours = flying_wait(dives, Some(Group::A), Metres::from(Feet(8000.0))).unwrap();
            published! { source: source, given: format!("{dives:?}"), ours: wait(ours.workshop), expect: hours * 60.0, within: 0.0 }
        })
        .collect()
}

#[test]
fn waits_are_the_published_ones() {
    hold(&checks());
}

#[test]
fn a_dive_with_stops_waits_longer_than_the_published_hours() {
    let ours = flying_wait(
        DivesBefore::WithStops,
        Some(Group::A),
        Metres::from(Feet(8000.0)),
    )
    .unwrap();
    assert_eq!(ours.wait, PublishedWait::LongerThan(MinutesWhole(18 * 60)));
}
