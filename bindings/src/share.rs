//! Shares: how far along a count is, for a line that is drawn so long.

/// So many of so many, as a share of one; 0 of nothing.
#[uniffi::export]
pub fn share_of(part: u32, whole: u32) -> f32 {
    let exact = |many: u32| f32::from(u16::try_from(many).unwrap_or(u16::MAX));
    exact(part) / exact(whole.max(1))
}
