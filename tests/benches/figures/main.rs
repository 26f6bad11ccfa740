//! The figures of a tablet that is wet and in a hurry, each printed beside its budget.
//!
//! `cargo bench -p tallywater-tests` prints every row; a word after `--` picks the rows
//! whose name has it. A ratio is taken within one run, the two sides turn and turn about,
//! so that what else the machine is doing falls on both. A row over budget makes the run
//! fail.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "a broken expectation is a failed bench, and printing is what it is for"
)]

#[allow(dead_code, reason = "the tests ask for more of it than the benches")]
#[path = "../../rust/support/entries.rs"]
mod entries;
mod first_sync;
mod guards;
mod ledger;
mod list;
mod meaning;
mod plan;
mod report;
mod tick;

use report::Report;

fn main() {
    // Cargo passes flags of its own to a bench; only a plain word is ours.
    let asked = std::env::args().skip(1).find(|word| !word.starts_with('-'));
    let mut report = Report::new(asked);
    tick::run(&mut report);
    ledger::run(&mut report);
    guards::run(&mut report);
    first_sync::run(&report);
    meaning::run(&report);
    list::run(&mut report);
    plan::run(&mut report);
    if !report.within() {
        std::process::exit(1);
    }
}
