//! `tallywater`: the command line of the shop computer and of whoever wants to look.

#![expect(
    clippy::result_large_err,
    reason = "the border's fault is passed on once, to be printed"
)]

mod cli;

fn main() -> std::process::ExitCode {
    cli::run()
}
