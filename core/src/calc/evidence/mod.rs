//! What a class's marks can and cannot say.
//!
//! Counts first, intervals beside them, never a pass: an entry-level class gives one to six tries
//! of a skill, which proves nothing about one student. Knows no student and no skill.

mod agreement;
mod attempts;
mod level;
mod median;
mod posterior;
mod share;

pub use agreement::{Agreement, Kappa, agreement};
pub use attempts::{AttemptCurve, AttemptEnd, AttemptStep, Tries, attempt_curve};
pub use level::{Interval, Level};
pub use median::{Middle, middle};
pub use posterior::{Posterior, posterior};
pub use share::{ShareMet, share_met};
