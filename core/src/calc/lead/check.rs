//! What the check in the water must confirm.
//!
//! Source: common practice of the trade, no published source. The order is the order of doing.

/// One thing to confirm in the water, before anyone dives on the figure.
///
/// ```
/// use tallywater_core::calc::lead::InWaterCheck;
/// assert_eq!(InWaterCheck::ALL.len(), 7);
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum InWaterCheck {
    /// All the kit of the dive is worn, and the jacket is empty.
    JacketEmpty,
    /// Upright, still, holding a normal breath, the diver floats at eye level.
    FloatsAtEyeLevel,
    /// Breathing out, the diver sinks slowly.
    SinksBreathingOut,
    /// The gauge's reading is written down with the figure: a full cylinder hides its gas.
    PressureNoted,
    /// Near reserve the diver can hold the stop without swimming down.
    HoldsStopAtReserve,
    /// With the weights dropped and the jacket empty the diver is positive.
    DropLeavesPositive,
    /// Water, suit and cylinder are recorded with the figure.
    CircumstancesNoted,
}

impl InWaterCheck {
    /// All of them, in the order of doing.
    pub const ALL: [Self; 7] = [
        Self::JacketEmpty,
        Self::FloatsAtEyeLevel,
        Self::SinksBreathingOut,
        Self::PressureNoted,
        Self::HoldsStopAtReserve,
        Self::DropLeavesPositive,
        Self::CircumstancesNoted,
    ];
}
