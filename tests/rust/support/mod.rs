//! What tests share: devices, clocks, a school; and entries that are the same every time.

pub(crate) mod devices;
pub(crate) mod entries;
pub(crate) mod files;
pub(crate) mod hostile;
pub(crate) mod links;
pub(crate) mod media;
pub(crate) mod stamps;
pub(crate) mod stranger;

/// How many cases a property tries: what `PROPTEST_CASES` asks for, else this many.
pub(crate) fn cases(usual: u32) -> u32 {
    let asked = std::env::var("PROPTEST_CASES").ok();
    asked.and_then(|text| text.parse().ok()).unwrap_or(usual)
}
