//! Parting: why a meeting ended, or did not come about, as something a person can act on;
//! and the code that a connection is closed with.

/// Why.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Parting {
    /// This device stopped.
    Stopped,
    /// The other device stopped.
    TheyStopped,
    /// The other device was not found, or no answer came: it is off, asleep, on another
    /// network, or a firewall is in the way.
    NotReached,
    /// The connection broke off: out of range, or the other device was switched off.
    Lost,
    /// The other device was too slow to go on with.
    Slow,
    /// The other device does not admit this one: it has not heard of the pairing yet, or
    /// this device's certificate was revoked or has ended.
    NotAdmitted,
    /// This device does not admit the other, or not any more.
    TurnedAway,
    /// The two speak no common version: one of them must be updated.
    Version,
    /// What the other device said made no sense here.
    Broken,
    /// The other device could make no sense of what this one said.
    BrokenThere,
    /// Another connection between the same two devices took its place.
    Replaced,
    /// This device could not read or write its own store.
    OwnStore,
    /// The other device closed the connection for a reason of a newer version, or is busy.
    Other,
}

const STOPPING: u8 = 1;
const VERSION: u8 = 2;
const NOT_ADMITTED: u8 = 3;
const BROKEN: u8 = 4;
const REPLACED: u8 = 5;
const SLOW: u8 = 6;

impl Parting {
    /// The code the connection is closed with on this side.
    pub(super) const fn code(self) -> u8 {
        match self {
            Self::Stopped
            | Self::TheyStopped
            | Self::NotReached
            | Self::Lost
            | Self::OwnStore
            | Self::Other => STOPPING,
            Self::Slow => SLOW,
            Self::NotAdmitted | Self::TurnedAway => NOT_ADMITTED,
            Self::Version => VERSION,
            Self::Broken | Self::BrokenThere => BROKEN,
            Self::Replaced => REPLACED,
        }
    }

    /// What the other side's code means here.
    pub(super) fn of_code(code: u64) -> Self {
        match u8::try_from(code) {
            Ok(STOPPING) => Self::TheyStopped,
            Ok(VERSION) => Self::Version,
            Ok(NOT_ADMITTED) => Self::NotAdmitted,
            Ok(BROKEN) => Self::BrokenThere,
            Ok(REPLACED) => Self::Replaced,
            Ok(SLOW) => Self::Lost,
            Ok(_) | Err(_) => Self::Other,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_side_names_the_same_end_in_its_own_words() {
        let said = |parting: Parting| Parting::of_code(u64::from(parting.code()));
        assert_eq!(said(Parting::Stopped), Parting::TheyStopped);
        assert_eq!(said(Parting::TurnedAway), Parting::NotAdmitted);
        assert_eq!(said(Parting::Broken), Parting::BrokenThere);
        assert_eq!(said(Parting::Version), Parting::Version);
        assert_eq!(said(Parting::Replaced), Parting::Replaced);
        assert_eq!(said(Parting::Slow), Parting::Lost);
        assert_eq!(Parting::of_code(0), Parting::Other);
        assert_eq!(Parting::of_code(u64::MAX), Parting::Other);
    }
}
