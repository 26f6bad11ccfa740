//! The school's kit: pieces, their faults, who has which; and whether that may be recorded.
//!
//! What a piece is and what is wrong with it stands in the shop's ledger, which every device
//! has; who has it stands in the course's, for it names a person.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::bounds::{self, NOTE};
use super::{Facts, Kind, Refusal, Who, events};
use crate::course::{EntryId, KitPiece, PieceId, SessionId};

/// A piece of kit is described, or described anew; one that was retired is in use again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KitSet {
    /// Which.
    pub piece: PieceId,
    /// What is known of it.
    pub details: KitPiece,
}

/// A piece is out of use for good: sold, lost, worn out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KitRetired {
    /// Which.
    pub piece: PieceId,
    /// Why, in words.
    pub why: String,
}

/// Something is wrong with a piece: it stays out of the water until somebody mends it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KitFault {
    /// Which.
    pub piece: PieceId,
    /// What is wrong, in words about the piece.
    pub what: String,
    /// When it was found.
    pub when: DateTime<FixedOffset>,
}

/// A fault is mended.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KitMended {
    /// The entry that reported it.
    pub fault: EntryId,
    /// How, in words about the piece.
    pub how: String,
    /// When.
    pub when: DateTime<FixedOffset>,
}

/// A piece is issued for a session, and kept until it is returned.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KitIssued {
    /// Which.
    pub piece: PieceId,
    /// To whom, student or staff.
    pub to: Who,
    /// For which session.
    pub session: SessionId,
    /// When.
    pub when: DateTime<FixedOffset>,
    /// Why, although it is faulty or past a date of its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub despite: Option<String>,
}

/// A piece is back.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KitReturned {
    /// The entry that issued it.
    pub issue: EntryId,
    /// When.
    pub when: DateTime<FixedOffset>,
}

/// Whether a piece is in use; `Some(false)` where it is retired, `None` where nobody
/// described it.
fn described(facts: &dyn Facts, piece: &PieceId) -> Result<bool, Refusal> {
    facts
        .piece_in_use(piece)
        .ok_or(Refusal::Unknown { what: "piece" })
}

pub(super) fn set(facts: &dyn Facts, asked: &KitSet) -> Result<(), Refusal> {
    bounds::kit(&asked.details)?;
    let (kind, number) = (asked.details.kind, &asked.details.number);
    let others = facts.pieces_numbered(kind, number);
    match others.into_iter().find(|other| *other != asked.piece) {
        Some(piece) => Err(Refusal::PieceNumber {
            kind,
            number: number.clone(),
            piece,
        }),
        None => Ok(()),
    }
}

pub(super) fn retired(facts: &dyn Facts, asked: &KitRetired) -> Result<(), Refusal> {
    bounds::text("reason", &asked.why, NOTE)?;
    if described(facts, &asked.piece)? {
        Ok(())
    } else {
        Err(Refusal::NothingOpen)
    }
}

pub(super) fn fault(facts: &dyn Facts, asked: &KitFault) -> Result<(), Refusal> {
    described(facts, &asked.piece)?;
    bounds::text("fault", &asked.what, NOTE)?;
    bounds::clock("time", asked.when.date_naive())
}

pub(super) fn mended(facts: &dyn Facts, asked: &KitMended) -> Result<(), Refusal> {
    still_there(facts, &asked.fault, Kind::KitFault, "fault")?;
    bounds::text("mended", &asked.how, NOTE)?;
    bounds::clock("time", asked.when.date_naive())?;
    ended(facts.is_mended(&asked.fault))
}

/// A piece that somebody has, or that is retired, is not issued; one that is faulty or past a
/// date only with a reason.
pub(super) fn issued(facts: &dyn Facts, asked: &KitIssued) -> Result<(), Refusal> {
    events::who(facts, &asked.to)?;
    match facts.session_open(&asked.session) {
        Some(true) => {}
        Some(false) => return Err(Refusal::Closed { what: "session" }),
        None => return Err(Refusal::Unknown { what: "session" }),
    }
    if !described(facts, &asked.piece)? {
        return Err(Refusal::Closed { what: "piece" });
    }
    if let Some((issue, who)) = facts.piece_out(&asked.piece) {
        return Err(Refusal::PieceOut { who, issue });
    }
    bounds::optional("reason", asked.despite.as_ref(), NOTE)?;
    bounds::clock("time", asked.when.date_naive())?;
    let wrong = facts.piece_wrong(&asked.piece, &asked.session);
    match wrong.first() {
        Some(why) if asked.despite.is_none() => Err(Refusal::PieceAsks {
            piece: asked.piece,
            why: *why,
        }),
        Some(_) | None => Ok(()),
    }
}

pub(super) fn returned(facts: &dyn Facts, asked: &KitReturned) -> Result<(), Refusal> {
    still_there(facts, &asked.issue, Kind::KitIssued, "issue")?;
    bounds::clock("time", asked.when.date_naive())?;
    ended(facts.is_returned(&asked.issue))
}

fn still_there(
    facts: &dyn Facts,
    entry: &EntryId,
    kind: Kind,
    what: &'static str,
) -> Result<(), Refusal> {
    match facts.entry(entry) {
        Some((found, _, true)) if found == kind => Ok(()),
        Some((found, _, false)) if found == kind => Err(Refusal::CountsNot { entry: *entry }),
        Some(_) | None => Err(Refusal::Unknown { what }),
    }
}

const fn ended(is: bool) -> Result<(), Refusal> {
    if is {
        Err(Refusal::NothingOpen)
    } else {
        Ok(())
    }
}
