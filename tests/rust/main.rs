//! Everything with two devices, a disk, a border or a published value; one binary, so that
//! it links once.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::wildcard_enum_match_arm,
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a broken expectation is a failed test"
)]

mod adversary;
mod agenda;
mod android_manifest;
mod bad_input;
mod border;
mod border_names;
mod calc_properties;
mod convergence;
mod course_work;
mod crafted_entries;
mod debriefing;
mod demo_school;
mod directions;
mod dive_import;
mod foreign_readers;
mod formats;
mod found_by;
mod growth;
mod hostile_files;
mod incident;
mod keeping;
mod kept_files;
mod kit;
mod ledger_fuzz;
mod ledger_log;
mod link_attacks;
mod link_frames;
mod link_handover;
mod link_meeting;
mod link_pairing;
mod link_trouble;
mod link_turns;
mod migrations;
mod one_bad_day;
mod one_bad_device;
mod one_door;
mod paper_bundle;
mod paper_data;
mod paper_desk;
mod paper_record;
mod paper_retention;
mod paper_roster;
mod paper_school;
mod paper_slate;
mod paper_tools;
mod paper_workbook;
mod pool_day;
mod power_cut;
mod printed_gate;
mod printed_record;
mod published_values;
mod read_in;
mod recovery;
mod refusals;
mod salvage;
mod season;
mod season_told;
mod site_plan;
mod staff_names;
mod store;
mod store_faults;
mod stored_cells;
mod support;
mod surface;
mod take_home;
mod teams;
mod tight_places;
mod two_offices;
mod whole_or_none;
