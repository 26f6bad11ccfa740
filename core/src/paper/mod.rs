//! Paper: the record and everything else that leaves the program as a file, and what comes
//! in as one. Facts in, bytes out; bytes in, facts out, and nothing believed on the way.
//!
//! [`Source`] brings what the entries come to; [`Record`] is one student's course as a plain
//! structure; [`Press`] prints it and its neighbours as PDF; [`data`] writes the same facts for
//! other programs, [`bundle`] a whole course for a referral, [`verify()`] holds a printed record
//! against one, [`roster`] reads a list of students, [`agenda`] a calendar, [`retention`] lists what has been kept
//! long enough. It never reads a clock, a disk or the network; the one thing it may ask the
//! device for is a font ([`Fonts`]).

mod activity;
pub mod agenda;
mod alarm;
pub mod bundle;
pub mod data;
pub mod kit_list;
mod pdf;
mod picture;
mod preview;
mod print;
mod proofs;
mod record;
pub mod retention;
pub mod roster;
mod say;
mod slate;
mod source;
mod student_page;
mod teams;
#[cfg(test)]
mod tests;
mod verify;
mod words;

pub use crate::entry::Part;
pub use activity::{Activity, Counting, Exposure, StaffDay};
pub use alarm::{AlarmCard, alarm_cards};
pub use pdf::{Fonts, PdfError, Sheet, Turn};
pub use preview::{BadRow, Preview, TwoColumns};
pub use print::{Go, JobStep, Press, SlateSize};
pub use proofs::{Grounds, Proofs};
pub use record::{
    DiveLine, MarkLine, MarkWhat, OutlineLine, PaperLine, Place, PolicyLine, Proof, Record,
    RecordState, SessionLine, SkillLine, WeightLine,
};
pub use slate::{
    PrintedSlate, Slate, SlateBox, SlateCounted, SlateNumber, SlateSkill, SlateStudent, Supervision,
};
pub use source::{Names, Signer, Source};
pub use student_page::{NextSession, PageDive, PageSkill, StudentPage};
pub(crate) use verify::details;
pub use verify::{Claim, Printed, RecordCheck, Verification, verify, verify_course};
pub use words::Language;
