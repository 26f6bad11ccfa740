//! What entries mean, told as small stories; and the same in any order.

pub(crate) mod order;
mod story;
