//! Nearby: devices on the local network that show a code, as mDNS tells.
//!
//! What is announced is that a code is shown, never the code and never a name: the network
//! at a pool belongs to somebody else. The first digits of the key on both screens tell two
//! devices apart.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use iroh::Endpoint;
use iroh_mdns_address_lookup::{DiscoveryEvent, MdnsAddressLookup};
use n0_future::StreamExt as _;

use super::Place;
use super::hub::{Note, Shared};
use crate::entry::DeviceKey;

/// What a device announces while it shows a code.
const SHOWS_CODE: &str = "shows-code";
/// The most devices remembered; what is more is noise or worse.
const MOST: usize = 256;

/// Who shows a code right now.
#[derive(Debug, Clone, Default)]
pub(super) struct Nearby(Arc<Mutex<BTreeMap<DeviceKey, Place>>>);

impl Nearby {
    pub(super) fn all(&self) -> Vec<Place> {
        let seen = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        seen.values().cloned().collect()
    }

    fn saw(&self, place: Place, shows_code: bool) {
        let mut seen = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if !shows_code {
            seen.remove(&place.key);
        } else if seen.len() < MOST || seen.contains_key(&place.key) {
            seen.insert(place.key, place);
        }
    }

    fn lost(&self, key: &DeviceKey) {
        let mut seen = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        seen.remove(key);
    }
}

/// Announces, or no longer, that a code is shown.
pub(super) fn announce(endpoint: &Endpoint, shows_code: bool) {
    let data = if shows_code { SHOWS_CODE } else { "" };
    endpoint.set_user_data_for_address_lookup(data.parse().ok());
}

/// Watches the network: who shows a code, and which paired device has just come near.
pub(super) async fn watch(mdns: MdnsAddressLookup, nearby: Nearby, shared: Arc<Shared>) {
    let mut events = mdns.subscribe().await;
    while let Some(event) = events.next().await {
        match event {
            DiscoveryEvent::Discovered { endpoint_info, .. } => {
                let key = DeviceKey(*endpoint_info.endpoint_id.as_bytes());
                let addresses: Vec<_> = endpoint_info.ip_addrs().copied().collect();
                let data = endpoint_info.user_data();
                let shows_code = data.is_some_and(|data| data.as_ref() == SHOWS_CODE);
                let place = Place { key, addresses };
                nearby.saw(place.clone(), shows_code);
                shared.note(Note::Near(place.key, place.addresses));
            }
            DiscoveryEvent::Expired { endpoint_id } => {
                nearby.lost(&DeviceKey(*endpoint_id.as_bytes()));
            }
            _ => (),
        }
    }
}
