//! Uddf: dives in and out as Universal Dive Data Format 3.2 (XML), element by element in the
//! order of its published schema, version 3.2.3 of 14 November 2018.
//!
//! Its units are those of the SI: metres, seconds, pascal, kelvin, cubic metres, shares of
//! one. That is where files go wrong: a file with 200 for a pressure or 14 for a temperature
//! has written bar or degrees Celsius. Such a dive is refused by name; nothing is guessed.

mod number;
mod read;
mod refused;
mod write;

pub use read::{Home, ReadDive, ReadLog, read_dive_log, read_uddf};
pub use refused::UddfError;
pub use write::{DiveFor, UddfDive, uddf_dives, write_uddf};

/// The namespace of UDDF 3.2.
const NAMESPACE: &str = "http://www.streit.cc/uddf/3.2/";

/// How a note says what UDDF has no element for.
const ASCENTS: &str = "vertical ascents: ";

/// How a note says who logged a dive, or took it in, and when.
const SIGNED: &str = "logged by: ";

/// What a note says of a dive that is none of a course.
const OWN: &str = "own dive, not of the course";

/// How a note says which of the three waters it was; the density alone could be anyone's.
const WATER: &str = "water: ";
