//! The machine's own microphone where the program is built for it, on a device of ALSA's that
//! hears nothing and swallows what is played: `cargo test -p tallywater --features microphone
//! --test alsa`.
#![cfg(target_os = "linux")]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a broken expectation is a failed test"
)]

use std::time::{Duration, Instant};

use tallywater::microphone::loudness;
use tallywater::system::{System as _, ThisMachine};

/// Long after which a test that waits has failed. Nothing is measured against it.
const GUARD: Duration = Duration::from_secs(30);

const NULL: &str = "pcm.!default { type null }\n";

#[test]
fn a_note_is_heard_bounded_and_played_by_the_machine_itself() {
    let folder = tempfile::tempdir().unwrap();
    let config = folder.path().join("asound.conf");
    std::fs::write(&config, NULL).unwrap();
    // The only test of this program: nothing else reads the environment meanwhile.
    #[allow(unsafe_code, reason = "the environment is set once, before it is read")]
    unsafe {
        std::env::set_var("ALSA_CONFIG_PATH", &config);
    }
    let microphone = ThisMachine.microphone().expect("a microphone");
    let mut recording = microphone.record(4_000).unwrap();
    let mut note = Vec::new();
    let begun = Instant::now();
    while note.is_empty() {
        assert!(begun.elapsed() < GUARD, "nothing was ever heard");
        std::thread::sleep(Duration::from_millis(20));
        let heard = recording.heard().unwrap();
        assert!(heard.len() <= 4_000, "more waited than was asked for");
        note.extend(heard);
    }
    drop(recording);
    assert_eq!(loudness(&note), 0);
    note.truncate(1_600);
    let mut playing = microphone.play(&note).unwrap();
    let begun = Instant::now();
    while !playing.over() {
        assert!(begun.elapsed() < GUARD, "it was never over");
        std::thread::sleep(Duration::from_millis(20));
    }
}
