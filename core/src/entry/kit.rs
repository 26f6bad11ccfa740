//! The school's kit: pieces, their faults, who has which; and whether that may be recorded.
//!
//! What a piece is and what is wrong with it stands in the shop's ledger, which every device
//! has; who has it stands in the course's, for it names a person.

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};

use super::bounds::{self, NOTE};
use super::rules::{Asked, Rule, open};
use super::{Kind, Refusal, Who};
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

impl KitSet {
    /// The days that it names.
    pub(super) fn days(&self) -> impl Iterator<Item = NaiveDate> {
        let one = &self.details;
        let due = [one.serviced, one.service_due, one.test_due];
        due.into_iter().flatten()
    }
}

impl Asked<'_> {
    /// Whether a piece is in use; `false` where it is retired.
    fn piece(&self, piece: &PieceId) -> Result<bool, Refusal> {
        let in_use = self.facts.piece_in_use(piece);
        in_use.ok_or(Refusal::Unknown { what: "piece" })
    }
}

impl Rule for KitSet {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        bounds::kit(&self.details)?;
        let (kind, number) = (self.details.kind, &self.details.number);
        let others = at.facts.pieces_numbered(kind, number);
        match others.into_iter().find(|other| *other != self.piece) {
            Some(piece) => Err(Refusal::PieceNumber {
                kind,
                number: number.clone(),
                piece,
            }),
            None => Ok(()),
        }
    }
}

impl Rule for KitRetired {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        bounds::text("reason", &self.why, NOTE)?;
        open(at.piece(&self.piece)?)
    }
}

impl Rule for KitFault {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.piece(&self.piece)?;
        bounds::text("fault", &self.what, NOTE)?;
        bounds::clock("time", self.when.date_naive())
    }
}

impl Rule for KitMended {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.entry(&self.fault, Kind::KitFault, "fault")?;
        bounds::text("mended", &self.how, NOTE)?;
        bounds::clock("time", self.when.date_naive())?;
        open(!at.facts.is_mended(&self.fault))
    }
}

/// A piece that somebody has, or that is retired, is not issued; one that is faulty or past a
/// date only with a reason.
impl Rule for KitIssued {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.who(&self.to)?;
        at.open_session(&self.session)?;
        if !at.piece(&self.piece)? {
            return Err(Refusal::Closed { what: "piece" });
        }
        if let Some((issue, who)) = at.facts.piece_out(&self.piece) {
            return Err(Refusal::PieceOut { who, issue });
        }
        bounds::optional("reason", self.despite.as_ref(), NOTE)?;
        bounds::clock("time", self.when.date_naive())?;
        let wrong = at.facts.piece_wrong(&self.piece, &self.session);
        match wrong.first() {
            Some(why) if self.despite.is_none() => Err(Refusal::PieceAsks {
                piece: self.piece,
                why: *why,
            }),
            Some(_) | None => Ok(()),
        }
    }
}

impl Rule for KitReturned {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        at.entry(&self.issue, Kind::KitIssued, "issue")?;
        bounds::clock("time", self.when.date_naive())?;
        open(!at.facts.is_returned(&self.issue))
    }
}
