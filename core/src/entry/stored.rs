//! The stored form of an entry's payload, and its version.
//!
//! ```json
//! {"v":1,"kind":"attempt","at":"2026-06-02T10:15:00+02:00","by":"…","after":["…"],"body":{…}}
//! ```
//! A reader of a later day needs no program of ours: it is JSON with plain words. A field
//! may be added with a default; nothing changes meaning or goes. What cannot be added that
//! way raises [`PAYLOAD_VERSION`].

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use super::{Body, FormatError, Kind, bounds};
use crate::course::{EntryId, StaffId};

/// The newest payload this program writes and reads.
pub const PAYLOAD_VERSION: u32 = 1;

/// An entry, read; whether it counts is for [`crate::trust`] and [`crate::standing`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Its id within the ledger: a digest of what stands there.
    pub id: EntryId,
    /// The writing device's own clock: sorts the list on screen and decides nothing.
    pub at: DateTime<FixedOffset>,
    /// Who claims to have written it; believed only if the key's certificate agrees.
    pub by: StaffId,
    /// What the writer had on screen: the entries of the same cell.
    pub after: Vec<EntryId>,
    /// What it says.
    pub body: Body,
}

/// What reading a payload gave.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reading {
    /// An entry of a kind we know.
    Known(std::sync::Arc<Entry>),
    /// One from a newer version: kept and counted.
    Newer {
        /// Its kind, in the newer version's word.
        kind: String,
        /// When it says it was written: its place in a list, if it says so as we do.
        at: Option<DateTime<FixedOffset>>,
    },
    /// Not an entry.
    Malformed,
}

#[derive(Serialize)]
struct Written<'a> {
    v: u32,
    kind: &'static str,
    at: DateTime<FixedOffset>,
    by: StaffId,
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    after: &'a [EntryId],
    body: &'a Body,
}

#[derive(Deserialize)]
struct Head<'a> {
    v: u32,
    #[serde(borrow)]
    kind: std::borrow::Cow<'a, str>,
    at: DateTime<FixedOffset>,
    by: StaffId,
    #[serde(default)]
    after: Vec<EntryId>,
    #[serde(borrow)]
    body: &'a RawValue,
}

/// All that a newer version's payload must still have.
#[derive(Deserialize)]
struct NewerHead {
    v: u32,
    kind: String,
    #[serde(default)]
    at: serde_json::Value,
}

/// The payload of an entry. Its id is not in it: the id is a digest of what is sealed over it.
///
/// # Errors
/// [`FormatError::Malformed`] if it cannot be written as JSON, which no entry of a known
/// kind brings about.
pub fn write(entry: &Entry) -> Result<Vec<u8>, FormatError> {
    let Entry {
        at,
        by,
        after,
        body,
        ..
    } = entry;
    let written = Written {
        v: PAYLOAD_VERSION,
        kind: body.kind().word(),
        at: *at,
        by: *by,
        after,
        body,
    };
    serde_json::to_vec(&written).map_err(|_| FormatError::Malformed { what: "entry" })
}

/// Reads a payload that stands under this id.
pub fn read(id: EntryId, payload: &[u8]) -> Reading {
    let Ok(text) = std::str::from_utf8(payload) else {
        return Reading::Malformed;
    };
    let newer = || match serde_json::from_str::<NewerHead>(text) {
        Ok(head) if head.v > PAYLOAD_VERSION || Kind::of_word(&head.kind).is_none() => {
            Reading::Newer {
                kind: head.kind,
                at: serde_json::from_value(head.at).ok(),
            }
        }
        Ok(_) | Err(_) => Reading::Malformed,
    };
    let Ok(head) = serde_json::from_str::<Head<'_>>(text) else {
        return newer();
    };
    if head.v > PAYLOAD_VERSION {
        return newer();
    }
    let Some(kind) = Kind::of_word(&head.kind) else {
        return newer();
    };
    match Body::read(kind, head.body) {
        Some(body) if !bounds::bears_reading(head.at, &body, text) => Reading::Malformed,
        Some(body) => Reading::Known(std::sync::Arc::new(Entry {
            id,
            at: head.at,
            by: head.by,
            after: head.after,
            body,
        })),
        None => Reading::Malformed,
    }
}
