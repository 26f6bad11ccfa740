//! Files: photographs and sounds, after everything else.
//!
//! ```text
//! in step     ask for the next piece of what is lacking, one at a time
//! ask         in step: send the piece, or say that it is lacking · else: when in step again
//! piece       commit, ask for the next
//! lacking     ask for another file
//! ```
//! Neither side says anything of a file while a ledger is apart. A mark that is made while a
//! photograph is on its way therefore waits for one piece at most, which was said before it; the
//! photograph waits until the mark is stored.

use tracing::warn;

use super::depot::{DepotError, PieceTaken};
use super::exchange::own_store;
use super::{Exchange, LinkEvent, Parting};
use crate::sync::{FILE_PIECE_BYTES, FileId, FilePlace, Frame};

/// How many ticks an answer is waited for. An older version gives none, and is not asked again.
const PATIENT_TICKS: u8 = 2;

/// What is on its way between two devices.
#[derive(Debug, Default)]
pub(super) struct Files {
    /// What was asked for and has not come, with the ticks since.
    asked: Option<(FilePlace, u8)>,
    /// What the peer asked for while a ledger was apart: the last it said.
    owed: Option<FilePlace>,
    /// What the peer has not whole, until the next tick.
    passed: std::collections::BTreeSet<FileId>,
    /// Whether nothing was lacking when that was last asked.
    looked: bool,
    /// Whether the peer gives no answer, or this disk has no room: nothing more is asked for.
    over: bool,
}

impl Exchange {
    /// Something may be lacking now that was not before, or may be had that could not.
    pub(super) fn look_for_files(&mut self) {
        self.files.looked = false;
    }

    /// After every step: while both are in step, answers what was asked and asks for what is
    /// lacking.
    pub(super) fn go_on_with_files(&mut self) -> Result<(), Parting> {
        if !self.all_in_step() {
            return Ok(());
        }
        if let Some(at) = self.files.owed.take() {
            self.answer(at)?;
        }
        if self.files.asked.is_some() || self.files.looked || self.files.over {
            return Ok(());
        }
        let lacking = self.depot.lacks(&self.peer, &self.files.passed);
        match lacking.map_err(|error| own_store(&error))? {
            Some(at) => {
                self.files.asked = Some((at, 0));
                self.push(Frame::Ask(at));
            }
            None => self.files.looked = true,
        }
        Ok(())
    }

    fn answer(&mut self, at: FilePlace) -> Result<(), Parting> {
        let piece = self.depot.piece(&self.peer, &at);
        let frame = match piece.map_err(|error| own_store(&error))? {
            Some(bytes) => Frame::Piece { at, bytes },
            None => Frame::Lacking {
                ledger: at.ledger,
                file: at.file,
            },
        };
        self.push(frame);
        Ok(())
    }

    /// The peer lacks a piece. One question is open at a time: a second one takes its place.
    pub(super) const fn hear_ask(&mut self, at: FilePlace) {
        self.files.owed = Some(at);
    }

    /// A piece came. What was not asked for is passed over: nobody fills this disk unasked.
    pub(super) fn hear_piece(&mut self, at: FilePlace, bytes: &[u8]) -> Result<(), Parting> {
        if self.files.asked.is_none_or(|(asked, _)| asked != at) {
            return Ok(());
        }
        if bytes.is_empty() || bytes.len() > FILE_PIECE_BYTES {
            return Err(Parting::Broken);
        }
        self.files.asked = None;
        match self.depot.take_piece(&self.peer, &at, bytes) {
            Ok(PieceTaken::Taken) => {}
            Ok(PieceTaken::Wrong) => {
                self.files.passed.insert(at.file);
            }
            Err(DepotError::Closed) => return Err(Parting::Stopped),
            Err(error) => {
                warn!(peer = %self.peer.short(), %error, "a piece of a file was not stored");
                let (peer, ledger) = (self.peer, at.ledger);
                let full = error == DepotError::Full;
                self.events
                    .push(LinkEvent::NotStored { peer, ledger, full });
                self.files.over = true;
            }
        }
        Ok(())
    }

    /// The peer has not got it whole, or this device may not have it.
    pub(super) fn hear_lacking(&mut self, file: FileId) {
        if self
            .files
            .asked
            .is_some_and(|(asked, _)| asked.file == file)
        {
            self.files.asked = None;
            self.files.passed.insert(file);
        }
    }

    /// Some time has passed: what the peer had not may have come to it by now.
    pub(super) fn tick_files(&mut self) {
        self.files.passed.clear();
        self.files.looked = false;
        if let Some((_, ticks)) = &mut self.files.asked {
            *ticks += 1;
            if *ticks >= PATIENT_TICKS && self.apart.is_empty() {
                self.files.asked = None;
                self.files.over = true;
            }
        }
    }
}
