//! One count of the dives in open water, for the plan and for the log.

use crate::course::Rule;
use crate::entry::Who;
use crate::plan::{counting_dives, dive_number, open_water_dives};
use crate::standing::sample::{RENATE, Sample, student, time};

const OTTILIE: Who = Who::Student(student(1));

fn at(clock: &str) -> chrono::DateTime<chrono::FixedOffset> {
    time(&format!("2026-06-06T{clock}:00+02:00"))
}

#[test]
fn a_dive_in_a_pool_has_no_number_and_moves_nobody_elses() {
    let mut sample = Sample::with_rules(Vec::new());
    sample.dive(OTTILIE, Some(1), ("08:00", "08:30"), 300);
    sample.dive(OTTILIE, None, ("08:40", "08:50"), 900);
    sample.dive(Who::Student(student(2)), Some(3), ("09:00", "09:30"), 900);
    sample.dive(Who::Staff(RENATE.staff), Some(3), ("09:00", "09:30"), 900);
    let first = sample.dive(OTTILIE, Some(3), ("09:30", "09:55"), 900);
    assert_eq!(counting_dives(&sample.now, &OTTILIE).len(), 1);
    assert_eq!(
        dive_number(&sample.now, &OTTILIE, at("09:30"), Some(first)),
        1
    );
    assert_eq!(dive_number(&sample.now, &OTTILIE, at("11:00"), None), 2);
}

#[test]
fn a_dive_that_the_policy_does_not_count_is_one_of_the_day_and_none_of_the_course() {
    let counts = Rule::DiveCounts {
        least_cm: 500,
        least_minutes: 20,
    };
    let mut sample = Sample::with_rules(vec![("counts", counts)]);
    sample.dive(OTTILIE, Some(3), ("09:00", "09:19"), 900);
    sample.dive(OTTILIE, Some(3), ("10:00", "10:30"), 499);
    let full = sample.dive(OTTILIE, Some(3), ("11:00", "11:20"), 500);
    assert_eq!(open_water_dives(&sample.now, &OTTILIE).len(), 3);
    let counting = counting_dives(&sample.now, &OTTILIE);
    assert_eq!(counting.len(), 1);
    assert_eq!(counting[0].0.entry.id, full);
    assert_eq!(
        dive_number(&sample.now, &OTTILIE, at("11:00"), Some(full)),
        1
    );
}
