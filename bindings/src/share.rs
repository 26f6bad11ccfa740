//! Shares: how far along a count is, for a line that is drawn so long.

/// So many of so many, in whole per cent; 0 of nothing.
#[uniffi::export]
pub fn percent_of(part: u32, whole: u32) -> u32 {
    let percent = (u64::from(part) * 100).checked_div(u64::from(whole));
    u32::try_from(percent.unwrap_or(0)).unwrap_or(u32::MAX)
}
