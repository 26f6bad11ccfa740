//! Shared: one slot that serves two courses, where neither would be through sooner without it.

use chrono::{DateTime, FixedOffset};

/// Whom a free slot could serve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SlotServes {
    /// When it starts.
    pub starts: DateTime<FixedOffset>,
    /// The one course alone.
    pub own: bool,
    /// The other alone.
    pub other: bool,
    /// Both at once.
    pub both: bool,
}

/// What can be said of two courses and the free slots.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SharedIn {
    /// This slot serves both; with a slot for each, the later of the two is not through sooner.
    Slot(usize),
    /// No slot serves both.
    Nowhere,
    /// One does, and each in a slot of its own is through sooner.
    SoonerApart,
}

/// The earliest slot that serves both at once. It is worth having as long as two slots, one for
/// each, would not see both through before it: then it is one slot instead of two, and later for
/// neither than for the later of them.
pub fn shared_slot(slots: &[SlotServes]) -> SharedIn {
    let serving = slots.iter().enumerate().filter(|(_, slot)| slot.both);
    let earliest = serving.min_by_key(|(at, slot)| (slot.starts, *at));
    let Some((at, slot)) = earliest else {
        return SharedIn::Nowhere;
    };
    let through = |own: usize, one: &SlotServes| {
        let others = slots.iter().enumerate();
        let others = others.filter(|(other, there)| *other != own && there.other);
        let first = others.map(|(_, there)| there.starts).min()?;
        Some(first.max(one.starts))
    };
    let own = slots.iter().enumerate().filter(|(_, slot)| slot.own);
    let apart = own.filter_map(|(own, one)| through(own, one)).min();
    if apart.is_some_and(|apart| apart < slot.starts) {
        SharedIn::SoonerApart
    } else {
        SharedIn::Slot(at)
    }
}
