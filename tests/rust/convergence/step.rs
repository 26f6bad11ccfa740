//! Schedules: what three devices do and what becomes of their messages.

use proptest::prelude::*;

/// What a device may do; numbers pick among what is there, modulo how many there are.
#[derive(Debug, Clone)]
pub(super) enum Step {
    Mark {
        device: u8,
        student: u8,
        skill: u8,
        mark: u8,
    },
    Withdraw {
        device: u8,
        which: u8,
    },
    Confirm {
        which: u8,
    },
    Resolve {
        student: u8,
        skill: u8,
        met: bool,
    },
    Exempt {
        student: u8,
        skill: u8,
    },
    Remark {
        device: u8,
    },
    /// One change that `from` once made reaches `to`, perhaps again, perhaps before another.
    Carry {
        from: u8,
        to: u8,
        which: u8,
    },
    /// Everything `from` holds reaches `to`.
    Meet {
        from: u8,
        to: u8,
    },
    /// Switched off and on: what was waiting for a missing change is gone.
    Reopen {
        device: u8,
    },
    /// A backup is kept, and later put back.
    Keep {
        device: u8,
    },
    Restore {
        device: u8,
    },
    /// The clock jumps by years.
    Shift {
        device: u8,
        years: i8,
    },
}

fn step() -> impl Strategy<Value = Step> {
    let d = || 0..3_u8;
    prop_oneof![
        6 => (d(), 0..3_u8, 0..3_u8, 0..4_u8)
            .prop_map(|(device, student, skill, mark)| Step::Mark { device, student, skill, mark }),
        2 => (d(), any::<u8>()).prop_map(|(device, which)| Step::Withdraw { device, which }),
        1 => any::<u8>().prop_map(|which| Step::Confirm { which }),
        1 => (0..3_u8, 0..3_u8, any::<bool>())
            .prop_map(|(student, skill, met)| Step::Resolve { student, skill, met }),
        1 => (0..3_u8, 0..3_u8).prop_map(|(student, skill)| Step::Exempt { student, skill }),
        1 => d().prop_map(|device| Step::Remark { device }),
        5 => (d(), d(), any::<u8>()).prop_map(|(from, to, which)| Step::Carry { from, to, which }),
        2 => (d(), d()).prop_map(|(from, to)| Step::Meet { from, to }),
        1 => d().prop_map(|device| Step::Reopen { device }),
        1 => d().prop_map(|device| Step::Keep { device }),
        1 => d().prop_map(|device| Step::Restore { device }),
        1 => (d(), -3..4_i8).prop_map(|(device, years)| Step::Shift { device, years }),
    ]
}

pub(super) fn schedule() -> impl Strategy<Value = Vec<Step>> {
    prop::collection::vec(step(), 1..40)
}
