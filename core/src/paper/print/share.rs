//! Share: rows and columns shared out over sheets.

/// A count as a length.
pub(super) fn steps(count: usize) -> f32 {
    f32::from(u16::try_from(count).unwrap_or(u16::MAX))
}

/// How many whole times, at least once.
pub(super) fn whole(times: f32) -> usize {
    let mut count = 1_u16;
    while count < 200 && f32::from(count + 1) <= times {
        count += 1;
    }
    usize::from(count)
}

/// Shares a number out evenly over as few sheets as hold so many each.
pub(super) fn even(count: usize, most: usize) -> usize {
    let sheets = count.div_ceil(most.max(1)).max(1);
    count.div_ceil(sheets).max(1)
}

/// The list in parts; one empty part for an empty list.
pub(super) fn chunks(list: &[usize], size: usize) -> Vec<&[usize]> {
    if list.is_empty() {
        vec![list]
    } else {
        list.chunks(size.max(1)).collect()
    }
}
