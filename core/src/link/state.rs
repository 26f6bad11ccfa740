//! State: what the link knows of each paired device right now, for a screen.

use std::collections::BTreeMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

use super::Parting;
use crate::entry::DeviceKey;

/// How things stand with one paired device.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PeerState {
    /// Whether it is connected.
    pub connected: bool,
    /// Whether both hold the same of all they share.
    pub in_step: bool,
    /// Why it is not connected, if it was tried.
    pub parted: Option<Parting>,
}

/// The states, shared between the link's thread and its handle.
#[derive(Debug, Default)]
pub(super) struct States(Mutex<BTreeMap<DeviceKey, PeerState>>);

impl States {
    fn lock(&self) -> MutexGuard<'_, BTreeMap<DeviceKey, PeerState>> {
        // Plain values: a panic elsewhere leaves them as good as they were.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub(super) fn all(&self) -> BTreeMap<DeviceKey, PeerState> {
        self.lock().clone()
    }

    pub(super) fn is_connected(&self, peer: &DeviceKey) -> bool {
        self.lock().get(peer).is_some_and(|state| state.connected)
    }

    pub(super) fn met(&self, peer: DeviceKey) {
        self.lock().insert(
            peer,
            PeerState {
                connected: true,
                ..PeerState::default()
            },
        );
    }

    pub(super) fn in_step(&self, peer: &DeviceKey, in_step: bool) {
        if let Some(state) = self.lock().get_mut(peer) {
            state.in_step = in_step;
        }
    }

    /// Notes why a device is not connected; whether that is news.
    pub(super) fn parted(&self, peer: DeviceKey, why: Parting) -> bool {
        let state = PeerState {
            parted: Some(why),
            ..PeerState::default()
        };
        self.lock().insert(peer, state) != Some(state)
    }
}
