//! Crowd: how many may be under way at once, in all and from one address. One machine that
//! opens connections and says nothing takes its own few places and nobody else's; some
//! places are kept for addresses at which devices of the shop were met.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, PoisonError};

/// The places.
#[derive(Debug)]
pub(super) struct Crowd {
    /// How many in all.
    most: usize,
    /// How many of them for addresses that are known.
    kept: usize,
    /// How many from one address.
    each: usize,
    there: Mutex<BTreeMap<IpAddr, usize>>,
}

/// A place, until it is dropped.
#[derive(Debug)]
pub(super) struct Place {
    crowd: Arc<Crowd>,
    address: IpAddr,
}

impl Crowd {
    pub(super) fn new(most: usize, kept: usize, each: usize) -> Arc<Self> {
        Arc::new(Self {
            most,
            kept,
            each,
            there: Mutex::default(),
        })
    }

    /// How many there are.
    pub(super) fn count(&self) -> usize {
        let there = self.there.lock().unwrap_or_else(PoisonError::into_inner);
        there.values().sum()
    }

    /// A place for somebody from this address; `None` if there is none.
    pub(super) fn enter(self: &Arc<Self>, address: IpAddr, known: bool) -> Option<Place> {
        let address = address.to_canonical();
        let mut there = self.there.lock().unwrap_or_else(PoisonError::into_inner);
        let all: usize = there.values().sum();
        let most = if known {
            self.most
        } else {
            self.most.saturating_sub(self.kept)
        };
        let own = there.entry(address).or_default();
        let free = all < most && *own < self.each;
        if free {
            *own += 1;
        } else if *own == 0 {
            there.remove(&address);
        }
        drop(there);
        free.then(|| Place {
            crowd: Arc::clone(self),
            address,
        })
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut there = self
            .crowd
            .there
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        if let Some(own) = there.get_mut(&self.address) {
            *own = own.saturating_sub(1);
            if *own == 0 {
                there.remove(&self.address);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn address(n: u8) -> IpAddr {
        IpAddr::from([192, 0, 2, n])
    }

    #[test]
    fn one_address_takes_its_own_places_and_nobody_elses() {
        let crowd = Crowd::new(8, 2, 3);
        let held: Vec<_> = (0..9)
            .filter_map(|_| crowd.enter(address(1), false))
            .collect();
        assert_eq!(held.len(), 3);
        assert!(crowd.enter(address(2), false).is_some());
        drop(held);
        assert_eq!(crowd.count(), 0);
    }

    #[test]
    fn many_addresses_together_leave_the_places_that_are_kept() {
        let crowd = Crowd::new(8, 2, 3);
        let held: Vec<_> = (0..40)
            .filter_map(|n| crowd.enter(address(n), false))
            .collect();
        assert_eq!(held.len(), 6);
        assert!(crowd.enter(address(99), false).is_none());
        let known = (
            crowd.enter(address(99), true),
            crowd.enter(address(99), true),
        );
        assert!(known.0.is_some() && known.1.is_some());
        assert!(crowd.enter(address(98), true).is_none());
    }
}
