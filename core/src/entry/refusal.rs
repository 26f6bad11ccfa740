//! Refusal: why something may not be recorded. An answer, not an error: nothing happened.

use super::{Kind, Measured, Who};
use crate::course::{
    EntryId, KitKind, KitWrong, Measure, MediaFault, OutlineFault, PieceId, PolicyFault, Role,
    SkillId,
};

/// Why an entry may not be recorded. It names fields, ids and bounds, never a person's
/// name or a note's text.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// The role does not write this kind.
    #[error("{role:?} may not record {}", kind.word())]
    Role {
        /// The writer's role.
        role: Role,
        /// What was tried.
        kind: Kind,
    },
    /// This device has no certificate, so it may record nothing that counts.
    #[error("this device is not admitted to the shop")]
    NotAdmitted,
    /// A text that must be there and is not.
    #[error("{field} is empty")]
    TextEmpty {
        /// Which field.
        field: &'static str,
    },
    /// A text longer than can be shown and printed.
    #[error("{field} has {found} characters, at most {most} are kept")]
    TextTooLong {
        /// Which field.
        field: &'static str,
        /// Characters found.
        found: usize,
        /// The most allowed.
        most: usize,
    },
    /// A figure outside what can be meant.
    #[error("{field} is {value}, which is outside {least} to {most}")]
    OutOfBounds {
        /// Which field.
        field: &'static str,
        /// What was given, in the field's base unit.
        value: i64,
        /// Lowest allowed.
        least: i64,
        /// Highest allowed.
        most: i64,
    },
    /// A date that cannot be meant.
    #[error("{field} is {date}, which is outside {from} to {to}")]
    DateOutOfBounds {
        /// Which field.
        field: &'static str,
        /// What was given.
        date: chrono::NaiveDate,
        /// Earliest allowed.
        from: chrono::NaiveDate,
        /// Latest allowed.
        to: chrono::NaiveDate,
    },
    /// An end before its beginning.
    #[error("{field} ends before it begins")]
    EndsBeforeItBegins {
        /// Which field.
        field: &'static str,
    },
    /// A time at which something was seen, and which is still to come.
    #[error("{field} is a time that is still to come")]
    StillToCome {
        /// Which field.
        field: &'static str,
    },
    /// Something named that the ledger does not have.
    #[error("there is no such {what} here")]
    Unknown {
        /// What was named: "student", "skill", "session", "method", "slip", "entry", "staff".
        what: &'static str,
    },
    /// The student is in the course already, under this name and birth date or this id.
    #[error("this student is enrolled already")]
    AlreadyEnrolled,
    /// The skill of a figure cannot be measured that way.
    #[error("{skill} has no such figure to measure")]
    NotMeasured {
        /// Which skill.
        skill: SkillId,
    },
    /// *Met* on a figure below what is asked, and no reason for it.
    #[error("a figure of {skill} is below what is asked, and no reason is given")]
    BelowRequirement {
        /// Which skill.
        skill: SkillId,
        /// What was measured.
        measured: Measured,
        /// The part of the requirement that it answers and does not reach.
        asked: Measure,
    },
    /// Only the writer or an instructor may withdraw an entry, and not every kind.
    #[error("the entry {entry} may not be withdrawn by this person")]
    NotYours {
        /// The entry that was to be withdrawn.
        entry: EntryId,
    },
    /// The entry does not count as it is, so there is nothing to withdraw or confirm.
    #[error("the entry {entry} does not count already")]
    CountsNot {
        /// The entry that was to be withdrawn or confirmed.
        entry: EntryId,
    },
    /// Nothing is open that this would settle.
    #[error("there is nothing to settle here")]
    NothingOpen,
    /// Completion while something is missing.
    #[error("{count} gaps are open")]
    GapsOpen {
        /// How many.
        count: usize,
    },
    /// The set considered is not the set that counts now.
    #[error("something was recorded since this was looked at")]
    LookedAtEarlier,
    /// An outline with faults.
    #[error("the outline has {} faults, the first: {}", .0.len(), .0.first().map(ToString::to_string).unwrap_or_default())]
    Outline(Vec<OutlineFault>),
    /// A policy with faults.
    #[error("the policy has {} faults, the first: {}", .0.len(), .0.first().map(ToString::to_string).unwrap_or_default())]
    Policy(Vec<PolicyFault>),
    /// The kind does not live in this ledger.
    #[error("{} does not belong in this ledger", kind.word())]
    WrongLedger {
        /// What was tried.
        kind: Kind,
    },
    /// The same thing is there twice, in one request.
    #[error("the same {what} is there twice")]
    Twice {
        /// What is there twice: "mark".
        what: &'static str,
    },
    /// The same person marked this already in this session: another try, or a correction?
    #[error("this was marked already: say whether it is another try or a correction")]
    MarkedAlready {
        /// The mark that stands.
        entry: EntryId,
    },
    /// What it answers was drawn by another device, where something else may have been on
    /// screen.
    #[error("this was drawn by another device")]
    OtherDesk,
    /// A hold keeps it from being deleted.
    #[error("a hold keeps the {what} from being deleted")]
    Held {
        /// What is held: "person" or "course".
        what: &'static str,
        /// The entry that set the hold.
        entry: EntryId,
    },
    /// A course is not dropped while it is worked on.
    #[error("the course is still worked on")]
    StillRunning,
    /// A photograph or a sound that is not taken.
    #[error(transparent)]
    Media(MediaFault),
    /// Somebody has the piece of kit: it is returned first.
    #[error("the piece is out by the entry {issue}")]
    PieceOut {
        /// Who has it.
        who: Who,
        /// The entry that issued it.
        issue: EntryId,
    },
    /// The piece of kit is faulty or past a date of its own, and no reason is given.
    #[error("the piece {piece} asks for a reason: {}", why.word())]
    PieceAsks {
        /// Which.
        piece: PieceId,
        /// What is wrong with it.
        why: KitWrong,
    },
    /// Another piece of kit in use carries this number.
    #[error("the piece {piece} is {} {number} already", kind.word())]
    PieceNumber {
        /// Of which kind.
        kind: KitKind,
        /// The number.
        number: String,
        /// The piece that carries it.
        piece: PieceId,
    },
    /// The ledger holds an entry that overrides this one: a cancelled session, a
    /// forgotten person, a course that was handed over.
    #[error("the {what} is closed")]
    Closed {
        /// What is closed, in English words: "session".
        what: &'static str,
    },
}

impl Refusal {
    /// A short word for the rule, stable across versions: what the border carries.
    pub const fn rule(&self) -> &'static str {
        match self {
            Self::Role { .. } => "role",
            Self::NotAdmitted => "not_admitted",
            Self::TextEmpty { .. } => "text_empty",
            Self::TextTooLong { .. } => "text_too_long",
            Self::OutOfBounds { .. } => "out_of_bounds",
            Self::DateOutOfBounds { .. } => "date_out_of_bounds",
            Self::EndsBeforeItBegins { .. } => "ends_before_it_begins",
            Self::StillToCome { .. } => "still_to_come",
            Self::Unknown { .. } => "unknown",
            Self::AlreadyEnrolled => "already_enrolled",
            Self::NotMeasured { .. } => "not_measured",
            Self::BelowRequirement { .. } => "below_requirement",
            Self::NotYours { .. } => "not_yours",
            Self::CountsNot { .. } => "counts_not",
            Self::NothingOpen => "nothing_open",
            Self::GapsOpen { .. } => "gaps_open",
            Self::LookedAtEarlier => "looked_at_earlier",
            Self::Outline(_) => "outline",
            Self::Policy(_) => "policy",
            Self::WrongLedger { .. } => "wrong_ledger",
            Self::Twice { .. } => "twice",
            Self::MarkedAlready { .. } => "marked_already",
            Self::OtherDesk => "other_desk",
            Self::Held { .. } => "held",
            Self::StillRunning => "still_running",
            Self::Media(fault) => fault.rule(),
            Self::PieceOut { .. } => "piece_out",
            Self::PieceAsks { .. } => "piece_asks",
            Self::PieceNumber { .. } => "piece_number",
            Self::Closed { .. } => "closed",
        }
    }
}
