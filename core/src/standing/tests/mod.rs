//! What entries mean, told as small stories; and the same in any order.

mod answer;
pub(crate) mod order;
mod story;
