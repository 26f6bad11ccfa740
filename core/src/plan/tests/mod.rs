//! Plan: each thing that can be missing, what may be run next, and the solver behind it.

mod counting;
mod expect;
mod gap;
mod gate;
mod kit;
mod lost;
mod next;
mod running;
mod season;
mod shared;
mod shortfall;
mod solve;
mod what_if;
