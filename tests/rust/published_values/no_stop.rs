//! The tables against the manual's other tables and examples.

use tallywater_core::calc::no_stop::{
    AfterInterval, DayPlan, Group, Limit, NoStopSite, PlannedDive, Residual, after_interval,
    arrival_group, day_plan, no_stop, no_stop_end, table_limit,
};
use tallywater_core::calc::unit::{Feet, Metres, Minutes, MinutesWhole};

use super::{Check, hold, published};

pub(super) fn checks() -> Vec<Check> {
    [decompression_table(), arrival(), at_altitude(), by_hand()]
        .into_iter()
        .flatten()
        .collect()
}

fn feet(feet: f64) -> Metres {
    Metres::from(Feet(feet))
}

fn minutes(limit: Limit) -> f64 {
    match limit {
        Limit::Unlimited => f64::INFINITY,
        Limit::Minutes(minutes) => f64::from(minutes.0),
    }
}

fn place(group: Group) -> f64 {
    f64::from(u32::from(group.letter()))
}

/// The first line of each depth of the air decompression table has no stop: its time is the limit of
/// table 9-7 and its group the group there. Two tables of one book, typed from two pages.
fn decompression_table() -> Vec<Check> {
    let source = "U.S. Navy Diving Manual, Revision 7, 2016, table 9-9, first line of each depth";
    [
        (30, 371, 'Z'), (35, 232, 'Z'), (40, 163, 'O'), (45, 125, 'N'), (50, 92, 'M'), (55, 74, 'L'), (60, 63, 'K'), (70, 48, 'K'),
        (80, 39, 'J'), (90, 33, 'J'), (100, 25, 'H'), (110, 20, 'H'), (120, 15, 'F'), (130, 12, 'F'), (140, 10, 'E'), (150, 8, 'E'),
        (160, 7, 'E'), (170, 6, 'D'), (180, 6, 'E'), (190, 5, 'D'),
    ]
    .into_iter()
    .flat_map(|(fsw, limit, group): (u32, u32, char)| {
        let depth = feet(f64::from(fsw));
        let end = no_stop_end(depth, None, MinutesWhole(limit).exact()).unwrap();
        [
            published! { source: source, given: format!("limit at {fsw} fsw"), ours: minutes(table_limit(depth).unwrap()), expect: f64::from(limit), within: 0.0 },
            published! { source: source, given: format!("group at {fsw} fsw after {limit} min"), ours: place(end.group), expect: f64::from(u32::from(group)), within: 0.0 },
        ]
    })
    .collect()
}

fn arrival() -> Vec<Check> {
    let source = "U.S. Navy Diving Manual, Revision 7, 2016, table 9-5";
    [(3000.0, 'B'), (5000.0, 'D'), (8000.0, 'G')]
        .into_iter()
        .map(|(altitude, group)| {
            published! { source: source, given: format!("arriving at {altitude} ft"),
                ours: arrival_group(feet(altitude)).unwrap().map_or(0.0, place), expect: f64::from(u32::from(group)), within: 0.0 }
        })
        .collect()
}

/// The manual's example of a dive at altitude; its depth correction is older than the tables and has
/// not changed: 85 fsw at 8,000 ft are dived as 120 fsw.
fn at_altitude() -> Vec<Check> {
    let source =
        "U.S. Navy Diving Manual, Revision 4, Change A, p. 9-44, example of a dive at 7,750 ft";
    let lake = NoStopSite {
        altitude: feet(8000.0),
        since_arrival: None,
    };
    let dive = PlannedDive {
        interval: Minutes(0.0),
        depth: feet(85.0),
        bottom: Minutes(5.0),
    };
    let row = day_plan(&[dive], lake).unwrap().lines[0].row.0;
    vec![
        published! { source: source, given: "85 fsw at 8,000 ft", ours: row, expect: 120.0, within: 0.0 },
    ]
}

/// Days looked up by hand in the printed cells.
fn by_hand() -> Vec<Check> {
    let source =
        "U.S. Navy Diving Manual, Revision 7, 2016, tables 9-7 and 9-8, cells looked up by hand";
    let day = |first: Metres,
               first_bottom: f64,
               interval: f64,
               second: Metres,
               second_bottom: f64|
     -> DayPlan {
        day_plan(
            &[
                PlannedDive {
                    interval: Minutes(0.0),
                    depth: first,
                    bottom: Minutes(first_bottom),
                },
                PlannedDive {
                    interval: Minutes(interval),
                    depth: second,
                    bottom: Minutes(second_bottom),
                },
            ],
            NoStopSite::SEA,
        )
        .unwrap()
    };
    [
        ("60 fsw 40, 1:30, 50 fsw 40", day(feet(60.0), 40.0, 90.0, feet(50.0), 40.0), 'H', 'G', 49.0, 43.0, 89.0, 'L'),
        ("18 m 35, 1:00, 18 m 25", day(Metres(18.0), 35.0, 60.0, Metres(18.0), 25.0), 'G', 'F', 35.0, 28.0, 60.0, 'K'),
        ("40 fsw 30, 0:45, 40 fsw 30", day(feet(40.0), 30.0, 45.0, feet(40.0), 30.0), 'D', 'D', 37.0, 126.0, 67.0, 'H'),
    ]
    .into_iter()
    .flat_map(|(given, day, first, before, residual, limit, equivalent, last)| {
        let letter = |group: char| f64::from(u32::from(group));
        let line = day.lines[1];
        let carried = match line.residual {
            Residual::Minutes(minutes) => f64::from(minutes.0),
            Residual::None | Residual::GroupStays | Residual::At30(_) => -1.0,
        };
        [
            published! { source: source, given: format!("{given}: first group"), ours: place(day.lines[0].group), expect: letter(first), within: 0.0 },
            published! { source: source, given: format!("{given}: group after the interval"), ours: line.before.map_or(0.0, place), expect: letter(before), within: 0.0 },
            published! { source: source, given: format!("{given}: residual"), ours: carried, expect: residual, within: 0.0 },
            published! { source: source, given: format!("{given}: limit"), ours: minutes(line.limit), expect: limit, within: 0.0 },
            published! { source: source, given: format!("{given}: equivalent"), ours: line.equivalent.map_or(0.0, |time| f64::from(time.0)), expect: equivalent, within: 0.0 },
            published! { source: source, given: format!("{given}: last group"), ours: place(line.group), expect: letter(last), within: 0.0 },
        ]
    })
    .collect()
}

#[test]
fn the_tables_are_the_manuals() {
    hold(&checks());
}

#[test]
fn eighteen_metres_and_a_foot_more_are_on_different_rows() {
    // 18 m is 59.06 ft, 18.3 m is 60.04 ft, 20 m is 65.6 ft, 30 m is 98.4 ft.
    let limit = |depth: Metres| table_limit(depth).unwrap();
    let whole = |minutes| Limit::Minutes(MinutesWhole(minutes));
    assert_eq!(
        [18.0, 18.3, 20.0, 30.0].map(|metres| limit(Metres(metres))),
        [63, 48, 48, 25].map(whole)
    );
    assert_eq!(limit(feet(60.0)), whole(63));
}

#[test]
fn the_manuals_example_of_a_shallow_dive_in_a_high_group() {
    // Revision 7, 9-9.1 item 8: group N, thirty minutes later 20 fsw: no limit, and group N again.
    assert_eq!(
        after_interval(Group::N, Minutes(30.0)).unwrap(),
        AfterInterval::Group(Group::N)
    );
    assert_eq!(
        no_stop(feet(20.0), Some(Group::N)).unwrap().limit,
        Limit::Unlimited
    );
    assert_eq!(
        no_stop_end(feet(20.0), Some(Group::N), Minutes(90.0))
            .unwrap()
            .group,
        Group::N
    );
}

#[test]
fn a_table_that_was_read_cell_by_cell_does_not_change_unseen() {
    // The sum of every figure, counted over another copy than the one that was typed from. Whoever corrects a cell against the print changes its sum in the same commit.
    let sum = |text: &str| -> u64 {
        text.lines()
            .filter(|line| !line.starts_with('#'))
            .flat_map(|line| line.split(|letter: char| !letter.is_ascii_digit()))
            .filter_map(|figure| figure.parse::<u64>().ok())
            .sum()
    };
    let tables = [
        include_str!("../../../fixtures/tables/us_navy_rev7_table_9_7.csv"),
        include_str!("../../../fixtures/tables/us_navy_rev7_table_9_8_interval.csv"),
        include_str!("../../../fixtures/tables/us_navy_rev7_table_9_8_residual.csv"),
        include_str!("../../../fixtures/tables/us_navy_rev7_table_9_6.csv"),
    ];
    assert_eq!(tables.map(sum), [21855, 10532, 23041, 58968]);
}
