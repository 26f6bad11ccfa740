//! Microphone: what a machine hears, for a spoken note.
//!
//! A note is heard in memory and nowhere else until a person keeps it: one channel of 16 bits,
//! 16,000 times a second (the rate of wideband telephony, ITU-T G.722, from memory), which is
//! 32 kB a second. What is kept is a WAV file of it.

#[cfg(any(
    target_os = "windows",
    target_os = "macos",
    all(target_os = "linux", feature = "microphone")
))]
mod machine;
mod rate;

use std::io::Cursor;

use tallywater_bindings::most_sound_bytes;

#[cfg(any(
    target_os = "windows",
    target_os = "macos",
    all(target_os = "linux", feature = "microphone")
))]
pub use machine::of_this_machine;
pub use rate::{Rate, mean};

/// Samples a second of a note.
pub const RATE: u32 = 16_000;

/// Whether this program was built with a way to a microphone; the machine may have none all the
/// same.
pub const BUILT_IN: bool = cfg!(any(
    target_os = "windows",
    target_os = "macos",
    all(target_os = "linux", feature = "microphone")
));

/// Bytes of a WAV file before its samples.
const HEAD: usize = 44;

/// The microphone and the loudspeaker of a machine; a test puts others in their place.
pub trait Microphone {
    /// Begins to hear, until what it answers is dropped. What nobody has asked for waits, at most
    /// so many samples of it.
    ///
    /// # Errors
    /// [`NoSound`].
    fn record(&self, most: usize) -> Result<Box<dyn Recording>, NoSound>;
    /// Plays a note, until what it answers is dropped.
    ///
    /// # Errors
    /// [`NoSound`].
    fn play(&self, note: &[i16]) -> Result<Box<dyn Playing>, NoSound>;
}

/// A note that is being heard.
pub trait Recording {
    /// The samples since this was last asked.
    ///
    /// # Errors
    /// [`NoSound`] when the machine hears nothing any more. What was heard before it was asked
    /// for already.
    fn heard(&mut self) -> Result<Vec<i16>, NoSound>;
}

/// A note that is being played.
pub trait Playing {
    /// Whether all of it was.
    fn over(&mut self) -> bool;
}

/// Why nothing is heard or played.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoSound {
    /// The machine has no such device, or lost it.
    NotThere,
    /// The system does not let this program.
    NotAllowed,
    /// The device could not be worked; another program may have it.
    Failed,
}

/// How loud the loudest of these samples is, from 0 for silence to 15: each step is twice as
/// loud.
pub fn loudness(samples: &[i16]) -> i32 {
    let peak = samples.iter().map(|sample| sample.unsigned_abs()).max();
    let bits = u16::BITS - peak.unwrap_or(0).leading_zeros();
    i32::try_from(bits.min(15)).unwrap_or(0)
}

/// So many samples of a note fit into a WAV file of so many bytes.
pub fn most_samples(bytes: u32) -> usize {
    let bytes = usize::try_from(bytes).unwrap_or(usize::MAX);
    bytes.saturating_sub(HEAD) / 2
}

/// The longest note that is kept, in samples.
pub fn longest() -> usize {
    most_samples(most_sound_bytes())
}

/// Whole seconds of a note.
pub fn seconds(samples: usize) -> u64 {
    u64::try_from(samples).unwrap_or(u64::MAX) / u64::from(RATE)
}

/// A note as a WAV file; `None` where it is too long for one.
pub fn wav(note: &[i16]) -> Option<Vec<u8>> {
    let spec = hound::WavSpec {
        channels: 1,
        sample_rate: RATE,
        bits_per_sample: 16,
        sample_format: hound::SampleFormat::Int,
    };
    let mut bytes = Cursor::new(Vec::with_capacity(HEAD + note.len() * 2));
    let mut file = hound::WavWriter::new(&mut bytes, spec).ok()?;
    for sample in note {
        file.write_sample(*sample).ok()?;
    }
    file.finalize().ok()?;
    Some(bytes.into_inner())
}
