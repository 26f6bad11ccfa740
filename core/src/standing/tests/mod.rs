//! What entries mean, told as small stories; and the same in any order.

mod order;
mod story;
