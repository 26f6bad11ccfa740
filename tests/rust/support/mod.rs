//! What tests share: devices, clocks, a school; and entries that are the same every time.

pub(crate) mod devices;
pub(crate) mod entries;
pub(crate) mod files;
pub(crate) mod hostile;
pub(crate) mod links;
pub(crate) mod media;
pub(crate) mod stamps;
pub(crate) mod stranger;
