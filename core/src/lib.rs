//! Tallywater's core: what happens between a tap at the pool and a record that stands up
//! years later. It has no window; the shell comes in through `tallywater-bindings`.
//!
//! ```text
//! tap -> entry -> ledger -> store -> standing -> view          sync: bytes <-> ledger
//! ```
//! One tap, stop by stop:
//!
//! 1. [`desk`] takes the [`Request`](desk::Request) under its one lock and turns it into an
//!    entry: the only room with state.
//! 2. [`stamp`] gives the time and the id: the one door for the clock and for chance.
//! 3. [`entry`] says whether it may be recorded ([`may_record`](entry::may_record)) and how
//!    it is written: JSON that can be read without this program.
//! 4. [`trust`] signs it with the device's key and says of every other entry whether it
//!    counts, and why not.
//! 5. [`ledger`] adds it to the course's Automerge document, which grows and never changes.
//! 6. [`store`] commits it to SQLite with what it comes to, in one transaction. Only then is
//!    it said to be saved.
//! 7. [`standing`] works out what all entries mean, the same in any order: open, trying,
//!    shown, met, two views.
//! 8. [`plan`] asks what is missing before water and before completion.
//! 9. [`view`] shows it, worked out to the last figure.
//!
//! Beside the path: [`course`] holds the trade's words as types; [`calc`] the dive
//! calculations, each with what it rests on ([`calc::source`]: published, common practice, memory
//! or an estimate of our own) and how it was checked ([`calc::check`]); [`sync`] and [`link`]
//! carry ledgers between paired devices; [`media`] makes a photograph or a sound into what is
//! kept; [`paper`] prints and exports the record; [`words`] holds
//! what a person reads, once, in each language; [`demo`] builds a school of our own
//! invention through the same requests.
//!
//! Rules never touch the disk or the clock. The truth is append-only; everything else can be
//! thrown away and rebuilt from it.

// Before `border`, whose macro must not name what these log by.
pub mod ledger;
pub mod link;

#[cfg(feature = "border")]
#[macro_use]
mod border;

pub mod calc;
pub mod course;
pub mod demo;
pub mod desk;
pub mod entry;
mod hands;
pub mod media;
pub mod paper;
pub mod plan;
pub mod stamp;
pub mod standing;
pub mod store;
pub mod sync;
pub mod trust;
pub mod view;
pub mod words;

#[cfg(feature = "border")]
#[doc(hidden)]
pub use border::UniFfiTag;
