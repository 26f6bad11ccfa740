//! Peers: the devices this one has met, and what each has said it has stored. "Held by the
//! shop" on a screen is what stands here and nothing else.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use rusqlite::{Connection, params};

use super::error::during;
use super::{Store, StoreError};
use crate::course::LedgerId;
use crate::entry::DeviceKey;
use crate::ledger::Heads;

/// What devices have said they have stored, by ledger and device.
pub type Said = BTreeMap<(LedgerId, DeviceKey), Heads>;

/// A device this one has met.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PeerRow {
    /// Its signing key.
    pub key: DeviceKey,
    /// Its key on the network; `None` before it is known.
    pub link: Option<DeviceKey>,
    /// Where it was last reached: address and port.
    pub address: Option<String>,
    /// When it was last met.
    pub seen: Option<DateTime<FixedOffset>>,
}

impl Store {
    /// Writes a peer, over what was known of it.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn put_peer(&mut self, peer: &PeerRow) -> Result<(), StoreError> {
        self.connection
            .prepare_cached(
                "INSERT INTO peer (key, link, address, seen) VALUES (?1, ?2, ?3, ?4)
                 ON CONFLICT (key) DO UPDATE SET link = excluded.link,
                 address = excluded.address, seen = excluded.seen",
            )
            .and_then(|mut statement| {
                statement.execute(params![
                    peer.key.0,
                    peer.link.map(|key| key.0),
                    peer.address,
                    peer.seen.map(|seen| seen.to_rfc3339()),
                ])
            })
            .map(|_| ())
            .map_err(during("store a peer"))
    }

    /// Every peer, in order of key.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn peers(&self) -> Result<Vec<PeerRow>, StoreError> {
        let step = during("read the peers");
        let mut statement = self
            .connection
            .prepare_cached("SELECT key, link, address, seen FROM peer ORDER BY key")
            .map_err(step)?;
        let rows = statement
            .query_map([], |row| {
                Ok((
                    row.get::<_, [u8; 32]>(0)?,
                    row.get::<_, Option<[u8; 32]>>(1)?,
                    row.get::<_, Option<String>>(2)?,
                    row.get::<_, Option<String>>(3)?,
                ))
            })
            .map_err(step)?;
        rows.map(|row| {
            let (key, link, address, seen) = row.map_err(step)?;
            let seen = seen
                .map(|text| DateTime::parse_from_rfc3339(&text))
                .transpose()
                .map_err(|_| StoreError::Damaged)?;
            Ok(PeerRow {
                key: DeviceKey(key),
                link: link.map(DeviceKey),
                address,
                seen,
            })
        })
        .collect()
    }

    /// Writes down that a peer has stored a ledger up to these heads.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn put_held(
        &mut self,
        peer: &DeviceKey,
        ledger: &LedgerId,
        heads: &Heads,
    ) -> Result<(), StoreError> {
        write_held(&self.connection, peer, ledger, heads).map_err(during("store what a peer holds"))
    }

    /// Writes down what peers have said they have stored, all of it or nothing.
    ///
    /// # Errors
    /// [`StoreError`]; nothing was written.
    pub fn put_all_held(&mut self, said: &Said) -> Result<(), StoreError> {
        let step = during("store what a peer holds");
        let transaction = self.begin("store what a peer holds")?;
        write_all_held(&transaction, said).map_err(step)?;
        transaction.commit().map_err(step)
    }

    /// What each peer has said it has stored of a ledger, in order of key. A peer that is
    /// not in the list has said nothing: not known, which is not the same as nothing held.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn held(&self, ledger: &LedgerId) -> Result<Vec<(DeviceKey, Heads)>, StoreError> {
        let step = during("read what the peers hold");
        let mut statement = self
            .connection
            .prepare_cached("SELECT peer, heads FROM held WHERE ledger = ?1 ORDER BY peer")
            .map_err(step)?;
        let rows = statement
            .query_map([ledger.to_string()], |row| {
                Ok((row.get::<_, [u8; 32]>(0)?, row.get::<_, Vec<u8>>(1)?))
            })
            .map_err(step)?;
        rows.map(|row| {
            let (peer, heads) = row.map_err(step)?;
            let heads = Heads::from_bytes(&heads).ok_or(StoreError::Damaged)?;
            Ok((DeviceKey(peer), heads))
        })
        .collect()
    }

    /// Forgets what a peer has said it holds, of every ledger: after it was restored from
    /// an old copy, or revoked.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn drop_held(&mut self, peer: &DeviceKey) -> Result<(), StoreError> {
        self.connection
            .execute("DELETE FROM held WHERE peer = ?1", [peer.0])
            .map(|_| ())
            .map_err(during("drop what a peer holds"))
    }
}

/// Writes what peers hold, in the caller's transaction.
pub(super) fn write_all_held(connection: &Connection, said: &Said) -> rusqlite::Result<()> {
    said.iter()
        .try_for_each(|((ledger, peer), heads)| write_held(connection, peer, ledger, heads))
}

/// Writes what a peer holds, in the caller's transaction if there is one.
pub(super) fn write_held(
    connection: &Connection,
    peer: &DeviceKey,
    ledger: &LedgerId,
    heads: &Heads,
) -> rusqlite::Result<()> {
    connection
        .prepare_cached(
            "INSERT INTO held (ledger, peer, heads) VALUES (?1, ?2, ?3)
             ON CONFLICT (ledger, peer) DO UPDATE SET heads = excluded.heads",
        )?
        .execute(params![ledger.to_string(), peer.0, heads.to_bytes()])
        .map(|_| ())
}
