//! Plan: each thing that can be missing, and what may be run next.

mod gap;
mod next;
