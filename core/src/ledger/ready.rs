//! Ready: of changes from elsewhere, those that can be applied now. The engine would keep
//! the others in memory until what they hang on comes, which may be never: whoever sends
//! enough of them fills a device.

use std::collections::BTreeMap;

use automerge::{Change, ChangeHash};

/// Sorts changes into those that can be applied, in an order in which they can, and the
/// rest. `has` says of a change whether it is there. In so many steps as there are changes
/// and mentions of changes, whatever their order.
pub(crate) fn ready(
    changes: Vec<Change>,
    has: impl Fn(&ChangeHash) -> bool,
) -> (Vec<Change>, Vec<Change>) {
    let places: BTreeMap<ChangeHash, usize> = (0..)
        .zip(&changes)
        .map(|(at, one)| (one.hash(), at))
        .collect();
    let mut waits = vec![0_usize; changes.len()];
    let mut followers: Vec<Vec<usize>> = vec![Vec::new(); changes.len()];
    for (at, (change, waits)) in changes.iter().zip(&mut waits).enumerate() {
        for dep in change.deps().iter().filter(|dep| !has(dep)) {
            *waits += 1;
            if let Some(list) = places.get(dep).and_then(|place| followers.get_mut(*place)) {
                list.push(at);
            }
        }
    }
    let free = (0..).zip(&waits).filter(|(_, waits)| **waits == 0);
    let mut next: std::collections::VecDeque<usize> = free.map(|(at, _)| at).collect();
    let mut order = BTreeMap::new();
    while let Some(at) = next.pop_front() {
        order.insert(at, order.len());
        for follower in followers
            .get_mut(at)
            .map(std::mem::take)
            .unwrap_or_default()
        {
            if let Some(waits) = waits.get_mut(follower) {
                *waits -= 1;
                if *waits == 0 {
                    next.push_back(follower);
                }
            }
        }
    }
    let (mut first, mut rest) = (BTreeMap::new(), Vec::new());
    for (at, change) in (0..).zip(changes) {
        match order.get(&at) {
            Some(place) => {
                first.insert(*place, change);
            }
            None => rest.push(change),
        }
    }
    (first.into_values().collect(), rest)
}
