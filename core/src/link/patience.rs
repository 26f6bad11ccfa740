//! Patience: how long the link waits, for what.

use std::time::Duration;

/// How long the link waits. The defaults are for people and pools; tests shorten them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Patience {
    /// For a stranger's handshake, and for the first word of whoever wants to pair: on a
    /// local network both take a fraction of a second.
    pub handshake: Duration,
    /// For a connection to be made, and for its first frame.
    pub connect: Duration,
    /// For a frame, from its first byte to its last, and for one to be written. A whole
    /// frame of a ledger's sync is about 128 KiB: 35 kbit/s will do.
    pub frame: Duration,
    /// For any sign of life from a connected device.
    pub idle: Duration,
    /// For a whole pairing, from the connection to the welcome.
    pub pairing: Duration,
    /// How long a code is good.
    pub code_life: Duration,
    /// Before a device that was not reached is tried again, the first time; doubled each
    /// time after.
    pub redial_first: Duration,
    /// The longest such wait.
    pub redial_most: Duration,
    /// Between two tries at what was refused, and two looks at the list of devices.
    pub tick: Duration,
}

impl Default for Patience {
    fn default() -> Self {
        Self {
            handshake: Duration::from_secs(4),
            connect: Duration::from_secs(10),
            frame: Duration::from_secs(30),
            idle: Duration::from_secs(15),
            pairing: Duration::from_secs(20),
            code_life: Duration::from_secs(120),
            redial_first: Duration::from_secs(1),
            redial_most: Duration::from_secs(30),
            tick: Duration::from_secs(60),
        }
    }
}
