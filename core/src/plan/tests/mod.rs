//! Plan: each thing that can be missing, what may be run next, and the solver behind it.

mod expect;
mod gap;
mod next;
mod solve;
