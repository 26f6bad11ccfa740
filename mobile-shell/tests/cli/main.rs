//! The command line as a person uses it: the real program over a demo school, its files opened
//! by tools that others wrote, and wrong input of every kind.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::print_stdout,
    reason = "a broken expectation is a failed test"
)]

mod after;
mod agenda;
mod attachment;
mod bad_figures;
mod calculate;
mod careful;
mod clashes;
mod conditions;
mod confirmed;
mod course_file;
mod data;
mod demo;
mod despite;
mod figures;
#[path = "../folder.rs"]
mod folder;
mod gate;
mod gate_paper;
mod group_gas;
mod incident;
mod json;
mod keep;
mod kit;
mod limits;
#[path = "../midday.rs"]
mod midday;
mod next;
mod own_dives;
mod paper;
mod picture;
mod read_in;
mod requests;
mod rescue;
mod season;
mod shared;
mod stranger;
mod support;
mod surface;
mod teams;
mod way;
mod wrong_input;
