//! Plan: each thing that can be missing, what may be run next, and the solver behind it.

mod counting;
mod expect;
mod gap;
mod gate;
mod kit;
mod next;
mod running;
mod shortfall;
mod solve;
