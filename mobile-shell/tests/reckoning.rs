//! Reckoning: how long somebody who knows what to type would take, by the keystroke-level model.
//!
//! Card, Moran and Newell, "The keystroke-level model for user performance time with interactive
//! systems", Communications of the ACM 23(7), 1980, pages 396 to 410. The times of its operators
//! are those of a later table of the model; the paper itself was not read. The model was made
//! for a mouse and a keyboard: a finger on glass is taken for a mouse that points.

use crate::hands::{By, Hands};

/// One key or button, in seconds: somebody who types without having learned it, 40 words a minute.
const KEY: f64 = 0.28;

/// Pointing at something on a screen, in seconds.
const POINT: f64 = 1.10;

/// Making up one's mind before an act, in seconds.
const MIND: f64 = 1.35;

/// What was done so far, in seconds: for each tap and field a mind made up, a finger pointed and
/// a press; for each letter a key.
///
/// What the program itself takes is not in it, nor is drawing the page up: the model has no
/// operator for that, and these hands look for things more blindly than a person does.
pub(crate) fn seconds(hands: &Hands) -> f64 {
    let acts = f64::from(hands.taps + hands.fields);
    let pointed = match hands.by {
        By::Touch => acts,
        By::Keys => 0.0,
    };
    acts * MIND + pointed * (POINT + KEY) + f64::from(hands.struck.get()) * KEY
}
