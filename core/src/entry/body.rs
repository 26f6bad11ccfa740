//! Body: what an entry says, one variant a kind; and in which ledger each kind lives.

use serde::Serialize;
use serde_json::value::RawValue;

use super::attachment::{Attachment, AttachmentText};
use super::calendar::{AwaySet, SlotSet};
use super::debrief::Debrief;
use super::gate::Override;
use super::incident::{
    IncidentFact, IncidentMoment, IncidentPerson, IncidentReport, IncidentReported,
};
use super::judging::{Attempt, Completion, Confirmation, Exemption, Resolution, Withdrawal};
use super::kit::{KitFault, KitIssued, KitMended, KitRetired, KitReturned, KitSet};
use super::planning::{
    Amendment, Assignment, Clearance, CourseOpened, Enrolment, OutlineSet, PolicyConfirmed,
    PolicySet, SessionCancelled, SessionMoved, SessionPlanned,
};
use super::shop::{
    Certificate, CourseDropped, CourseListed, Details, HoldSet, LateAccepted, PersonForgotten,
    Revocation, ShopOpened, StaffJoined, StaffRenewed,
};
use super::site::{AlarmEnded, AlarmRaised, EmergencyConfirmed, EmergencySet, SiteSet};
use super::teams::TeamsSet;
use super::water::{Attendance, DiveLogged, Incident, Note, OwnDive, WeightChecked};
use crate::course::{LedgerId, Role};

/// In which ledgers a kind of entry may stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Home {
    /// The shop's only.
    Shop,
    /// A course's only.
    Course,
    /// A person's only.
    Person,
    /// The shop's and a course's.
    ShopOrCourse,
    /// Any of the three.
    Any,
}

impl Home {
    /// Whether an entry of this home may stand in that ledger.
    pub const fn takes(self, ledger: &LedgerId) -> bool {
        matches!(
            (self, ledger),
            (Self::Any, _)
                | (Self::Shop | Self::ShopOrCourse, LedgerId::Shop(_))
                | (Self::Course | Self::ShopOrCourse, LedgerId::Course(_))
                | (Self::Person, LedgerId::Person(_))
        )
    }
}

/// In which roles a kind of entry is written. The shop plans and keeps, and never judges; an
/// assistant works at the pool.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Writers {
    /// The shop alone.
    Shop,
    /// The shop and instructors.
    Office,
    /// Instructors and assistants.
    Judges,
    /// Instructors alone.
    Instructor,
    /// Everyone who is admitted.
    Anyone,
}

impl Writers {
    /// Whether a role is among them.
    pub const fn include(self, role: Role) -> bool {
        match (self, role) {
            (Self::Anyone, _)
            | (Self::Shop | Self::Office, Role::Shop)
            | (Self::Office | Self::Judges | Self::Instructor, Role::Instructor)
            | (Self::Judges, Role::Assistant) => true,
            (Self::Shop, Role::Instructor | Role::Assistant)
            | (Self::Office | Self::Instructor, Role::Assistant)
            | (Self::Judges | Self::Instructor, Role::Shop) => false,
        }
    }
}

macro_rules! kinds {
    ($($(#[$doc:meta])* $kind:ident($word:literal, $home:ident, $writers:ident),)+) => {
        /// The kinds of entry, each with the word it is stored under.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Kind {
            $($(#[$doc])* $kind,)+
        }

        /// What an entry says.
        #[derive(Debug, Clone, PartialEq, Eq, Serialize)]
        #[serde(untagged)]
        pub enum Body {
            $($(#[$doc])* $kind($kind),)+
        }

        impl Kind {
            /// Every kind.
            pub const ALL: &'static [Self] = &[$(Self::$kind,)+];

            /// The word it is stored under; never changed once written.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$kind => $word,)+ }
            }

            /// Where it may stand.
            pub const fn home(self) -> Home {
                match self { $(Self::$kind => Home::$home,)+ }
            }

            /// Who may write it.
            pub const fn writers(self) -> Writers {
                match self { $(Self::$kind => Writers::$writers,)+ }
            }

            /// The kind stored under this word; `None` for one of a newer version.
            pub fn of_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$kind),)+ _ => None }
            }
        }

        impl Body {
            /// Its kind.
            pub const fn kind(&self) -> Kind {
                match self { $(Self::$kind(_) => Kind::$kind,)+ }
            }

            /// Reads the body of a kind; `None` when the JSON does not fit it.
            pub(super) fn read(kind: Kind, raw: &RawValue) -> Option<Self> {
                match kind { $(Kind::$kind => serde_json::from_str(raw.get()).ok().map(Self::$kind),)+ }
            }
        }

        $(impl From<$kind> for Body {
            fn from(body: $kind) -> Self { Self::$kind(body) }
        })+
    };
}

kinds! {
    /// The shop opens.
    ShopOpened("shop_opened", Shop, Shop),
    /// Staff joins.
    StaffJoined("staff_joined", Shop, Office),
    /// Something that staff renews was seen.
    StaffRenewed("staff_renewed", Shop, Office),
    /// A device is admitted.
    Certificate("certificate", Shop, Office),
    /// A device is shut out.
    Revocation("revocation", Shop, Shop),
    /// Late entries of a revoked device are accepted.
    LateAccepted("late_accepted", Shop, Shop),
    /// A course is listed, closed or handed over.
    CourseListed("course_listed", Shop, Office),
    /// A person is to be forgotten.
    PersonForgotten("person_forgotten", Shop, Shop),
    /// A person's or a course's records are held back from deletion.
    HoldSet("hold_set", Shop, Shop),
    /// A course is to be dropped.
    CourseDropped("course_dropped", Shop, Shop),
    /// A person's details.
    Details("details", Person, Office),
    /// A course begins.
    CourseOpened("course_opened", Course, Office),
    /// A student joins.
    Enrolment("enrolment", Course, Office),
    /// A student's details change.
    Amendment("amendment", Course, Office),
    /// Staff is assigned.
    Assignment("assignment", Course, Office),
    /// An outline is adopted or adapted.
    OutlineSet("outline_set", ShopOrCourse, Office),
    /// A policy is adopted.
    PolicySet("policy_set", ShopOrCourse, Office),
    /// Rules of a policy are confirmed.
    PolicyConfirmed("policy_confirmed", ShopOrCourse, Office),
    /// A session is planned.
    SessionPlanned("session_planned", Course, Office),
    /// A session moves.
    SessionMoved("session_moved", Course, Office),
    /// A session is cancelled.
    SessionCancelled("session_cancelled", Course, Office),
    /// A paper or a test before water.
    Clearance("clearance", Course, Office),
    /// In or out of the water.
    Attendance("attendance", Course, Anyone),
    /// A try, judged.
    Attempt("attempt", Course, Judges),
    /// An assistant's attempts are confirmed.
    Confirmation("confirmation", Course, Instructor),
    /// Two views or a slip since are settled.
    Resolution("resolution", Course, Instructor),
    /// A skill need not be shown.
    Exemption("exemption", Course, Instructor),
    /// A student goes in without a skill that a rule asks for first.
    Override("override", Course, Instructor),
    /// An entry shall not count.
    Withdrawal("withdrawal", Any, Anyone),
    /// A remark.
    Note("note", Course, Anyone),
    /// A weight check.
    WeightChecked("weight_checked", Course, Judges),
    /// A dive.
    DiveLogged("dive_logged", Course, Anyone),
    /// Something went wrong.
    Incident("incident", Course, Anyone),
    /// A student's course ends.
    Completion("completion", Course, Instructor),
    /// What is said to a student after a session.
    Debrief("debrief", Course, Judges),
    /// A site is described.
    SiteSet("site_set", Shop, Office),
    /// What is done at a site in an emergency.
    EmergencySet("emergency_set", Shop, Office),
    /// The emergency plan of a site is confirmed.
    EmergencyConfirmed("emergency_confirmed", Shop, Office),
    /// Something went wrong in the water.
    AlarmRaised("alarm_raised", Course, Anyone),
    /// What was raised is over.
    AlarmEnded("alarm_ended", Course, Anyone),
    /// Who dives beside whom, and who watches whom.
    TeamsSet("teams_set", Course, Judges),
    /// A moment of an incident.
    IncidentMoment("incident_moment", Course, Anyone),
    /// Somebody whom an incident concerns, or who saw it.
    IncidentPerson("incident_person", Course, Anyone),
    /// Something that is said of an incident in words.
    IncidentFact("incident_fact", Course, Anyone),
    /// A report that is due.
    IncidentReport("incident_report", Course, Anyone),
    /// A report was made.
    IncidentReported("incident_reported", Course, Anyone),
    /// A photograph or a sound is kept.
    Attachment("attachment", Course, Anyone),
    /// What a person says of a photograph, or heard in a sound.
    AttachmentText("attachment_text", Course, Anyone),
    /// The school has hours of a pool or a site, or has them no more.
    SlotSet("slot_set", Shop, Office),
    /// Somebody is away, or comes after all.
    AwaySet("away_set", ShopOrCourse, Office),
    /// A dive of a student's own, not of the course.
    OwnDive("own_dive", Course, Anyone),
    /// A piece of kit is described.
    KitSet("kit_set", Shop, Office),
    /// A piece of kit is out of use for good.
    KitRetired("kit_retired", Shop, Office),
    /// Something is wrong with a piece of kit.
    KitFault("kit_fault", Shop, Anyone),
    /// A fault is mended.
    KitMended("kit_mended", Shop, Office),
    /// A piece of kit is issued.
    KitIssued("kit_issued", Course, Anyone),
    /// A piece of kit is back.
    KitReturned("kit_returned", Course, Anyone),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_is_found_again_by_its_word() {
        for &kind in Kind::ALL {
            assert_eq!(Kind::of_word(kind.word()), Some(kind));
        }
        assert_eq!(Kind::of_word("stowage"), None);
    }
}
