//! Body: what an entry says, one variant a kind; and in which ledger each kind lives.

use serde::Serialize;
use serde_json::value::RawValue;

use super::judging::{Attempt, Completion, Confirmation, Exemption, Resolution, Withdrawal};
use super::planning::{
    Amendment, Assignment, Clearance, CourseOpened, Enrolment, OutlineSet, PolicyConfirmed,
    PolicySet, SessionCancelled, SessionMoved, SessionPlanned,
};
use super::shop::{
    Certificate, CourseDropped, CourseListed, Details, HoldSet, LateAccepted, PersonForgotten,
    Revocation, ShopOpened, StaffJoined,
};
use super::water::{Attendance, DiveLogged, Incident, Note, WeightChecked};
use crate::course::LedgerId;

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

macro_rules! kinds {
    ($($(#[$doc:meta])* $kind:ident($word:literal, $home:ident),)+) => {
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
    ShopOpened("shop_opened", Shop),
    /// Staff joins.
    StaffJoined("staff_joined", Shop),
    /// A device is admitted.
    Certificate("certificate", Shop),
    /// A device is shut out.
    Revocation("revocation", Shop),
    /// Late entries of a revoked device are accepted.
    LateAccepted("late_accepted", Shop),
    /// A course is listed, closed or handed over.
    CourseListed("course_listed", Shop),
    /// A person is to be forgotten.
    PersonForgotten("person_forgotten", Shop),
    /// A person's or a course's records are held back from deletion.
    HoldSet("hold_set", Shop),
    /// A course is to be dropped.
    CourseDropped("course_dropped", Shop),
    /// A person's details.
    Details("details", Person),
    /// A course begins.
    CourseOpened("course_opened", Course),
    /// A student joins.
    Enrolment("enrolment", Course),
    /// A student's details change.
    Amendment("amendment", Course),
    /// Staff is assigned.
    Assignment("assignment", Course),
    /// An outline is adopted or adapted.
    OutlineSet("outline_set", ShopOrCourse),
    /// A policy is adopted.
    PolicySet("policy_set", ShopOrCourse),
    /// Rules of a policy are confirmed.
    PolicyConfirmed("policy_confirmed", ShopOrCourse),
    /// A session is planned.
    SessionPlanned("session_planned", Course),
    /// A session moves.
    SessionMoved("session_moved", Course),
    /// A session is cancelled.
    SessionCancelled("session_cancelled", Course),
    /// A paper or a test before water.
    Clearance("clearance", Course),
    /// In or out of the water.
    Attendance("attendance", Course),
    /// A try, judged.
    Attempt("attempt", Course),
    /// An assistant's attempts are confirmed.
    Confirmation("confirmation", Course),
    /// Two views or a slip since are settled.
    Resolution("resolution", Course),
    /// A skill need not be shown.
    Exemption("exemption", Course),
    /// An entry shall not count.
    Withdrawal("withdrawal", Any),
    /// A remark.
    Note("note", Course),
    /// A weight check.
    WeightChecked("weight_checked", Course),
    /// A dive.
    DiveLogged("dive_logged", Course),
    /// Something went wrong.
    Incident("incident", Course),
    /// A student's course ends.
    Completion("completion", Course),
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
