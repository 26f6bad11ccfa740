//! Scaffold.
