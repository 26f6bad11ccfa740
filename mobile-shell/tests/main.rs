//! Tests of the shell, without a display: real components, a mocked clock, real pixels.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::float_cmp,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    clippy::wildcard_enum_match_arm,
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a broken expectation is a failed test"
)]

mod account;
mod agenda;
mod at_a_desk;
mod chosen_later;
mod contrast;
mod every_screen;
mod figures;
mod folder;
mod from_nothing;
mod gates;
mod group_dive;
mod hands;
mod house;
mod house_and_course;
mod in_the_hand;
mod incident;
mod joining;
mod kept_files;
mod kinds;
mod kit;
mod large_names;
mod large_text;
mod limits;
mod line_up_keys;
mod midday;
mod own_dives;
mod pictures_of_figures;
mod pool_evening;
mod presses;
mod reckoning;
mod requests;
mod screen_reader;
mod season;
mod shared;
mod slate;
mod slate_and_keep;
mod slate_table;
mod spoken_note;
mod support;
mod surface;
mod taps;
mod teams;
mod to_printer;
mod trouble;
mod unconfirmed;
mod volume_keys;
mod weights;
mod what_now;
mod window;
mod wording;
