//! Scaffold.
fn main() {}
