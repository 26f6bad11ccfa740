//! Numbers in, numbers out: every calculation of the job as a pure function.
//!
//! Quantities are newtypes ([`mod@unit`]), choices are enums, a result is a plain record.
//! What a formula cannot answer it refuses with the bounds ([`OutsideTable`]): nothing
//! is clamped and nothing is ever `NaN`. A result that can hurt someone carries its
//! [`Caution`]; the words for it live in the shell.
//!
//! This room knows no student, no entry, no clock and no disk, and imports nothing but
//! itself. Each file opens with the source of what it computes. No result here is
//! permission to dive.

pub mod ascent;
pub mod breathing;
pub mod caution;
pub mod check;
pub mod cylinder;
pub mod evidence;
pub mod lead;
pub mod light;
pub mod no_stop;
pub mod outside;
pub mod profile;
pub mod reserve;
pub mod source;
pub mod spread;
pub mod suit;
pub mod supervision;
pub mod unit;
pub mod water;

pub use caution::{Caution, Origin};
pub use outside::{OutsideTable, Quantity};
pub use spread::Spread;
