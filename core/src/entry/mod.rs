//! Entry: an immutable signed line. Here are its kinds, the rules that say whether it may
//! be recorded, and its stored form. Pure: no clock, no disk, no Automerge.
//!
//! Comes after [`crate::course`]; [`crate::ledger`] keeps entries, [`crate::trust`] signs
//! and checks them, [`crate::standing`] says what they mean.

mod attachment;
mod authority;
mod body;
mod bounds;
mod calendar;
mod consent;
mod debrief;
mod digest;
mod envelope;
mod events;
mod facet;
mod gate;
mod incident;
mod judging;
mod kit;
mod opener;
mod planning;
mod refusal;
mod rules;
mod shop;
mod shortfall;
mod site;
mod stored;
mod teams;
mod water;
pub mod within;

pub use attachment::{Attachment, AttachmentText, KeptFile};
pub use authority::{Authority, Hand};
pub use body::{Body, Kind};
pub use bounds::check_name;
pub use calendar::{AwaySet, SlotSet};
pub use consent::{Carried, Consent};
pub use debrief::{Debrief, DebriefText};
pub use digest::{DetailsDigest, Sha256Hex};
pub use envelope::{
    DeviceKey, ENVELOPE_VERSION, Envelope, MOST_PAYLOAD, content_id, length_as_read,
};
pub(crate) use envelope::{hex_bytes, hex32, prev_form, to_hex};
pub use facet::{About, Home, InRecord, KeptAs, Part, Public, Said, TakenBack, Writers};
pub use gate::Override;
pub use incident::{
    Begun, FactAbout, Happening, IncidentFact, IncidentMoment, IncidentPerson, IncidentReport,
    IncidentReported, PartIn,
};
pub use judging::{
    Attempt, Completion, Confirmation, Exemption, JudgedElsewhere, Mark, Measured, MetElsewhere,
    Origin, Outcome, Resolution, Withdrawal,
};
pub use kit::{KitFault, KitIssued, KitMended, KitRetired, KitReturned, KitSet};
pub use opener::{course_id, opened_by};
pub use planning::{
    Amendment, Assignment, Clearance, ClearanceResult, CourseOpened, Enrolment, OutlineSet,
    PolicyConfirmed, PolicySet, RuleConfirmed, RuleText, SessionCancelled, SessionMoved,
    SessionPlanned,
};
pub use refusal::Refusal;
pub use rules::{Facts, Sort, Writer, may_record, may_withdraw, may_write};
pub use shop::{
    Certificate, CourseDropped, CourseListed, CourseState, Details, HoldOn, HoldSet, LateAccepted,
    PersonForgotten, Revocation, ShopOpened, StaffJoined, StaffRenewed,
};
pub use shortfall::{falls_short, suits};
pub use site::{AlarmEnd, AlarmEnded, AlarmRaised, EmergencyConfirmed, EmergencySet, SiteSet};
pub use stored::{Entry, PAYLOAD_VERSION, Reading, read, write};
pub use teams::{LARGEST_PAIR, Teams, TeamsSet, Zone};
pub use water::{Attendance, DiveLogged, Incident, Note, OwnDive, Passage, WeightChecked, Who};

/// Stored bytes that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FormatError {
    /// Written by a newer version: kept, never guessed.
    #[error("written in format {found}, and this version knows up to {known}")]
    Newer {
        /// The version found.
        found: u32,
        /// The newest known.
        known: u32,
    },
    /// Written in a format from before the first release, which is not read any more.
    #[error("written in format {found}, and this version reads from {least} on")]
    Older {
        /// The version found.
        found: u32,
        /// The oldest that is read.
        least: u32,
    },
    /// Not what it claims to be.
    #[error("malformed {what}")]
    Malformed {
        /// What was being read.
        what: &'static str,
    },
}
