//! Evidence: raw counts out of the marks.

use tallywater_core::{course, entry, view};

use crate::Mark;
use crate::cross::mirror;

mirror! {
    /// Raw counts of a course.
    shown record EvidenceView = view::EvidenceView {
        skills: Vec<SkillEvidence>,
        pairs: Vec<MarkPair>,
    }

    /// How many tries a skill took.
    shown record SkillEvidence = view::SkillEvidence {
        skill: String,
        name: String,
        until_met: Vec<u32>,
        still_trying: Vec<u32>,
    }

    /// Two people's marks of what may have been the same try.
    shown record MarkPair = view::MarkPair {
        skill: String,
        judges: JudgePair,
        marks: MarksGiven,
    }

    /// Two who judged.
    shown tuple JudgePair = (course::StaffId, course::StaffId) {
        first: String,
        second: String,
    }

    /// Their marks.
    shown tuple MarksGiven = (entry::Mark, entry::Mark) {
        first: Mark,
        second: Mark,
    }
}
