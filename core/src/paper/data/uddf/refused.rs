//! Refused: what a figure of a dive may be, and why a file was not taken.

use super::number::scaled;

/// Why a file of dives was refused. Nothing of it was taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum UddfError {
    /// Longer than any log of a person.
    #[error("the file is longer than {most} bytes")]
    TooLong {
        /// The most that is read.
        most: usize,
    },
    /// Not XML.
    #[error("the file is not well-formed XML, at byte {at}")]
    NotXml {
        /// Where reading stopped.
        at: u64,
    },
    /// XML, and something else.
    #[error("the file is not a UDDF document: its outermost element is not uddf")]
    NotUddf,
    /// A version that this program does not know.
    #[error("the file is UDDF {found}, and this version reads 3.0 to 3.3")]
    OtherVersion {
        /// What it says, at most 16 characters of it.
        found: String,
    },
    /// A dive lacks something that it must have.
    #[error("dive {dive}: {element} is missing")]
    Missing {
        /// Counted from 1.
        dive: usize,
        /// The element.
        element: &'static str,
    },
    /// A text that should be a figure or a time.
    #[error("dive {dive}: {element} cannot be read")]
    Unreadable {
        /// Counted from 1.
        dive: usize,
        /// The element.
        element: &'static str,
    },
    /// A dive that has not ended yet by the device's clock.
    #[error("dive {dive}: it has not been made yet")]
    StillToCome {
        /// Counted from 1.
        dive: usize,
    },
    /// A figure that cannot be, and what was likely meant.
    #[error("dive {dive}: {element} is outside {least} to {most} {unit}; {hint}")]
    OutOfBounds {
        /// Counted from 1.
        dive: usize,
        /// The element.
        element: &'static str,
        /// Lowest that can be.
        least: &'static str,
        /// Highest that can be.
        most: &'static str,
        /// In this unit.
        unit: &'static str,
        /// What was likely meant.
        hint: &'static str,
    },
}

/// What a figure of a dive may be, in the unit of the file.
pub(super) struct Bounds {
    pub(super) element: &'static str,
    pub(super) places: i32,
    pub(super) least: (i64, &'static str),
    pub(super) most: (i64, &'static str),
    pub(super) unit: &'static str,
    pub(super) hint: &'static str,
}

impl Bounds {
    /// The figure in these places, if it can be.
    pub(super) fn read(&self, dive: usize, text: &str) -> Result<i64, UddfError> {
        let element = self.element;
        let value = scaled(text, self.places).ok_or(UddfError::Unreadable { dive, element })?;
        if (self.least.0..=self.most.0).contains(&value) {
            Ok(value)
        } else {
            Err(UddfError::OutOfBounds {
                dive,
                element,
                least: self.least.1,
                most: self.most.1,
                unit: self.unit,
                hint: self.hint,
            })
        }
    }
}

/// A depth in centimetres.
pub(super) const fn depth(element: &'static str) -> Bounds {
    Bounds {
        element,
        places: 2,
        least: (0, "0"),
        most: (10_000, "100"),
        unit: "m",
        hint: "depths are metres, not feet or centimetres",
    }
}

/// A pressure in pascal.
pub(super) const fn pressure(element: &'static str, least: (i64, &'static str)) -> Bounds {
    Bounds {
        element,
        places: 0,
        least,
        most: (35_000_000, "35000000"),
        unit: "Pa",
        hint: "pressures are pascal: 200 bar is 20000000",
    }
}
