//! Bounds of a person's details and of a piece of kit.

use chrono::NaiveDate;

use super::{NAME, NOTE, between, date, inside, longest, optional, text};
use crate::course::{KitPiece, PersonDetails, Sizes};
use crate::entry::{Refusal, within};

pub(in crate::entry) fn details(details: &PersonDetails, today: NaiveDate) -> Result<(), Refusal> {
    text("name", &details.name, NAME)?;
    optional("called", details.called.as_ref(), 40)?;
    optional("contact", details.contact.as_ref(), NAME)?;
    if let Some(emergency) = &details.emergency {
        text("emergency contact", &emergency.name, NAME)?;
        text("emergency contact", &emergency.reach, NAME)?;
    }
    if let Some(seen) = &details.adult {
        text("identity seen by", &seen.by, NAME)?;
        between(
            "identity seen on",
            seen.on,
            NaiveDate::from_ymd_opt(2000, 1, 1),
            Some(today),
        )?;
    }
    if let Some(body) = details.body {
        inside(
            "body height",
            i64::from(body.height_mm),
            within::BODY_HEIGHT,
        )?;
        inside("body weight", i64::from(body.weight_g), within::BODY_WEIGHT)?;
    }
    details.sizes.as_ref().map_or(Ok(()), sizes)?;
    match details.born {
        Some(born) => between(
            "birth date",
            born,
            NaiveDate::from_ymd_opt(1900, 1, 1),
            // A clock that fell back to its beginning would call everybody unborn.
            NaiveDate::from_ymd_opt(2026, 1, 1).map(|least| today.max(least)),
        ),
        None => Ok(()),
    }
}

/// The sizes that somebody wears: each short enough for a label.
fn sizes(sizes: &Sizes) -> Result<(), Refusal> {
    let mut parts = sizes.parts().into_iter();
    parts.try_for_each(|(field, size)| longest(field, size, within::KIT_SIZE))
}

/// A piece of kit has a number, and dates that can be meant.
pub(in crate::entry) fn kit(piece: &KitPiece) -> Result<(), Refusal> {
    text("number", &piece.number, within::KIT_NUMBER)?;
    longest("size", &piece.size, within::KIT_SIZE)?;
    longest("serial", &piece.serial, within::KIT_SERIAL)?;
    longest("note", &piece.note, NOTE)?;
    let dates = [
        ("serviced", piece.serviced),
        ("service due", piece.service_due),
        ("test due", piece.test_due),
    ];
    let mut dates = dates.into_iter();
    dates.try_for_each(|(field, given)| given.map_or(Ok(()), |given| date(field, given)))
}
