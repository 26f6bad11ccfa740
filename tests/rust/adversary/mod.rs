//! An adversary: whoever holds a device that the shop admitted, with its keys and a program of
//! their own. It is played at four heights, each driven by chance over what it may do, between
//! devices that go about their work: [`ledger`] what it writes into a ledger's history,
//! [`book`] what it signs for the shop's ledger, [`meaning`] what it says of a course, [`link`]
//! what it sends over a real connection.
//!
//! After each schedule: nothing honest that was saved is gone or means something else, on no
//! honest device; whoever was shut out stays out; nobody has a role that the shop did not give;
//! honest devices come in step. The first three hold no socket and no disk, so that more
//! than ten thousand schedules fit into the one check; over the link it is a hundredth of that.
//!
//! `ADVERSARY_SCHEDULES=100000` runs that many of each, and a hundredth over the link. A
//! schedule that failed is kept in `rust/regressions` and played first ever after.

mod book;
mod course;
mod ledger;
mod link;
mod meaning;

use proptest::test_runner::{Config, FileFailurePersistence, TestRunner};

/// How many schedules are played at each height that needs no connection.
fn schedules() -> u32 {
    crate::support::asked("ADVERSARY_SCHEDULES", 4_000)
}

/// A runner of so many schedules that plays the kept ones first.
fn runner(cases: u32, kept: &'static str) -> TestRunner {
    TestRunner::new(Config {
        cases,
        failure_persistence: Some(Box::new(FileFailurePersistence::Direct(kept))),
        ..Config::default()
    })
}
