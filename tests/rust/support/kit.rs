//! Kit of a test: a piece that says no more than what it is, and how a device comes by it.

use tallywater_core::course::{KitKind, KitPiece, PieceId};
use tallywater_core::desk::Request;

use super::devices::Device;

/// A piece without a serial number, a date or a note.
pub(crate) fn piece(kind: KitKind, number: &str, size: &str) -> KitPiece {
    KitPiece {
        kind,
        number: number.into(),
        size: size.into(),
        serial: String::new(),
        serviced: None,
        service_due: None,
        test_due: None,
        note: String::new(),
    }
}

/// Has a device of the shop write it down, as a piece that was not there before.
pub(crate) fn describe(by: &Device, details: KitPiece) -> PieceId {
    let made = by.record(Request::SetKit {
        piece: None,
        details,
    });
    made.made.unwrap().parse().unwrap()
}
