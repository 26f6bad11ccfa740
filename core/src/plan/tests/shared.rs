//! One slot for two courses.

use chrono::TimeDelta;
use proptest::prelude::*;

use crate::plan::{SharedIn, SlotServes, shared_slot};
use crate::standing::sample::time;

/// Slots by their hour, and whom each serves: the one, the other, both at once.
fn slots(of: &[(i64, bool, bool, bool)]) -> Vec<SlotServes> {
    let first = time("2026-06-06T00:00:00+02:00");
    of.iter()
        .map(|(hour, own, other, both)| SlotServes {
            starts: first + TimeDelta::hours(*hour),
            own: *own,
            other: *other,
            both: *both,
        })
        .collect()
}

#[test]
fn one_slot_is_shared_where_two_would_not_be_sooner() {
    let one = slots(&[(1, true, true, true)]);
    assert_eq!(shared_slot(&one), SharedIn::Slot(0), "the only one");
    let later = slots(&[(1, true, true, false), (2, true, true, true)]);
    assert_eq!(
        shared_slot(&later),
        SharedIn::Slot(1),
        "the second is needed anyway"
    );
    let sooner = slots(&[
        (1, true, false, false),
        (2, false, true, false),
        (3, true, true, true),
    ]);
    assert_eq!(shared_slot(&sooner), SharedIn::SoonerApart);
    let nobody = slots(&[(1, true, true, false)]);
    assert_eq!(shared_slot(&nobody), SharedIn::Nowhere);
    assert_eq!(shared_slot(&[]), SharedIn::Nowhere);
}

proptest! {
    /// What is shared is the earliest that serves both, and of all pairs of slots apart none
    /// has both through before it; what is not shared is so for one of the two reasons.
    #[test]
    fn sharing_is_never_later_than_the_later_of_two_slots_apart(
        of in prop::collection::vec((0_i64..6, any::<bool>(), any::<bool>(), any::<bool>()), 0..7)
    ) {
        let slots = slots(&of);
        let mut apart = Vec::new();
        for (a, own) in slots.iter().enumerate().filter(|(_, slot)| slot.own) {
            for (b, other) in slots.iter().enumerate().filter(|(_, slot)| slot.other) {
                if a != b {
                    apart.push(own.starts.max(other.starts));
                }
            }
        }
        let both = slots.iter().filter(|slot| slot.both).map(|slot| slot.starts).min();
        match shared_slot(&slots) {
            SharedIn::Slot(at) => {
                prop_assert!(slots[at].both);
                prop_assert_eq!(Some(slots[at].starts), both);
                prop_assert!(apart.iter().all(|through| *through >= slots[at].starts));
            }
            SharedIn::Nowhere => prop_assert_eq!(both, None),
            SharedIn::SoonerApart => {
                prop_assert!(apart.iter().any(|through| Some(*through) < both));
            }
        }
    }
}
