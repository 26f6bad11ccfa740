//! Cross: how a value of the core becomes one of the border, and back.
//!
//! Two small traits and a macro. [`Shown`] cannot fail: whatever the core holds can be
//! shown. [`Asked`] can: an id or a date comes back as the text that it crossed as, and
//! text may be anything. `mirror!` writes a border type beside the core's own and both
//! ways between them, taking the core's type apart without `..`: a field that is added
//! there does not compile here until it has been thought of.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset, NaiveDate};
use tallywater_core::course;
use tallywater_core::entry::DeviceKey;

use crate::Fault;

/// A value of the core, ready to cross outwards.
pub(crate) trait Shown<T> {
    /// As it crosses.
    fn shown(self) -> T;
}

/// A value from outside, as the core has it.
pub(crate) trait Asked<T> {
    /// As the core has it; the fault names what was wrong and never repeats it, for the
    /// text could be anything.
    fn asked(self) -> Result<T, Fault>;
}

macro_rules! same {
    ($($t:ty),* $(,)?) => { $(
        impl Shown<$t> for $t {
            fn shown(self) -> $t { self }
        }
        impl Asked<$t> for $t {
            fn asked(self) -> Result<$t, Fault> { Ok(self) }
        }
    )* };
}
same!(bool, u8, u16, u32, i16, String);

// The core's own, which cross as they are.
same!(
    crate::Alarm,
    crate::AlarmEnd,
    crate::AscentsOf,
    crate::AttendanceRow,
    crate::Before,
    crate::BoardColumn,
    crate::BoardCounts,
    crate::BoardGroup,
    crate::BodyMeasures,
    crate::BuildsOn,
    crate::CapExample,
    crate::CapOf,
    crate::CellState,
    crate::ClearanceKind,
    crate::ClearanceResult,
    crate::ClearanceRow,
    crate::Columns,
    crate::CompletionView,
    crate::Condition,
    crate::ConditionRow,
    crate::CourseState,
    crate::Day,
    crate::DebriefText,
    crate::DemandView,
    crate::DetailsView,
    crate::DiveRow,
    crate::EmergencyContact,
    crate::EmergencyPlan,
    crate::FactAbout,
    crate::Family,
    crate::Figure,
    crate::GapRow,
    crate::GapsView,
    crate::GasUsed,
    crate::Gate,
    crate::Happening,
    crate::HeadcountRow,
    crate::HeldAnew,
    crate::HistoryLine,
    crate::Hold,
    crate::InSweep,
    crate::KeptWhat,
    crate::KitFaultRow,
    crate::KitField,
    crate::KitKind,
    crate::KitKindRow,
    crate::KitOutRow,
    crate::KitRetiredRow,
    crate::KitRowReason,
    crate::KitState,
    crate::KitWrong,
    crate::Lacking,
    crate::Leave,
    crate::LeftRow,
    crate::LostAlong,
    crate::LostApart,
    crate::LostRow,
    crate::Mark,
    crate::MarkedHere,
    crate::Measured,
    crate::MethodsNeeded,
    crate::MinuteRange,
    crate::Moment,
    crate::Neighbours,
    crate::NotShared,
    crate::NoteRow,
    crate::Outcome,
    crate::OutlineName,
    crate::OwnDiveRow,
    crate::PairRow,
    crate::PairingView,
    crate::PartIn,
    crate::Passage,
    crate::PolicyFault,
    crate::Presence,
    crate::Printed,
    crate::Prior,
    crate::RatioView,
    crate::RecordClass,
    crate::RecordState,
    crate::ReferredStudent,
    crate::Requirement,
    crate::Role,
    crate::RosterField,
    crate::RowReason,
    crate::RuleConfirmation,
    crate::RunBy,
    crate::RunForm,
    crate::RunPlace,
    crate::RunRow,
    crate::SaidBy,
    crate::SessionStaff,
    crate::SessionState,
    crate::SessionStudent,
    crate::SessionWater,
    crate::SetBy,
    crate::Setting,
    crate::Site,
    crate::SiteMissing,
    crate::SkillCard,
    crate::SkillNamed,
    crate::StaffName,
    crate::StaffPaper,
    crate::StationRow,
    crate::StudentName,
    crate::TeamOf,
    crate::TimeSpan,
    crate::Twin,
    crate::WatchGroup,
    crate::WaterKind,
    crate::WaterPlan,
    crate::WeightCheck,
    crate::WeightRow,
    crate::WhoName,
    crate::Whose,
    crate::WhyRow,
    crate::ZoneRow,
);

macro_rules! ids {
    ($($t:ty = $what:literal),* $(,)?) => { $(
        impl Shown<String> for $t {
            fn shown(self) -> String { self.to_string() }
        }
        impl Asked<$t> for String {
            fn asked(self) -> Result<$t, Fault> {
                self.parse().map_err(|_| Fault::rule("bad_id").what($what))
            }
        }
    )* };
}
ids!(
    course::CourseId = "course",
    course::PieceId = "piece",
    course::StudentId = "student",
    course::StaffId = "staff",
    course::SessionId = "session",
    course::SiteId = "site",
    course::EntryId = "entry",
    course::SkillId = "skill",
    course::MethodId = "method",
    course::SlipId = "slip",
    course::RuleId = "rule",
    course::BlockId = "block",
    course::LedgerId = "ledger",
    DeviceKey = "device",
    tallywater_core::paper::SlateNumber = "slate",
);

impl Shown<String> for NaiveDate {
    fn shown(self) -> String {
        self.to_string()
    }
}

impl Asked<NaiveDate> for String {
    fn asked(self) -> Result<NaiveDate, Fault> {
        self.parse().map_err(|_| Fault::rule("bad_date"))
    }
}

impl Shown<String> for DateTime<FixedOffset> {
    fn shown(self) -> String {
        self.to_rfc3339()
    }
}

impl Asked<DateTime<FixedOffset>> for String {
    fn asked(self) -> Result<DateTime<FixedOffset>, Fault> {
        DateTime::parse_from_rfc3339(&self).map_err(|_| Fault::rule("bad_time"))
    }
}

impl Shown<String> for &'static str {
    fn shown(self) -> String {
        self.to_owned()
    }
}

impl Shown<u32> for usize {
    fn shown(self) -> u32 {
        u32::try_from(self).unwrap_or(u32::MAX)
    }
}

impl<A: Shown<B>, B> Shown<Option<B>> for Option<A> {
    fn shown(self) -> Option<B> {
        self.map(Shown::shown)
    }
}

impl<A: Asked<B>, B> Asked<Option<B>> for Option<A> {
    fn asked(self) -> Result<Option<B>, Fault> {
        self.map(Asked::asked).transpose()
    }
}

impl<A: Shown<B>, B> Shown<Vec<B>> for Vec<A> {
    fn shown(self) -> Vec<B> {
        self.into_iter().map(Shown::shown).collect()
    }
}

impl<A: Shown<B>, B> Shown<Vec<B>> for BTreeSet<A> {
    fn shown(self) -> Vec<B> {
        self.into_iter().map(Shown::shown).collect()
    }
}

impl<A: Asked<B>, B> Asked<Vec<B>> for Vec<A> {
    fn asked(self) -> Result<Vec<B>, Fault> {
        self.into_iter().map(Asked::asked).collect()
    }
}

impl<A: Asked<B>, B: Ord> Asked<BTreeSet<B>> for Vec<A> {
    fn asked(self) -> Result<BTreeSet<B>, Fault> {
        self.into_iter().map(Asked::asked).collect()
    }
}

/// Writes border types beside the core's own.
///
/// `shown` crosses outwards alone, `both` comes back as well; `private` has no `Debug` of
/// its fields, so that what a person wrote cannot reach a log. A tuple's places get names.
macro_rules! mirror {
    () => {};

    ($(#[$m:meta])* shown record $name:ident = $core:ty { $($f:ident : $t:ty),* $(,)? } $($rest:tt)*) => {
        mirror!(@record [Debug] $(#[$m])* $name = $core { $($f: $t),* });
        mirror!(@shown $name = $core { $($f),* });
        mirror!($($rest)*);
    };
    ($(#[$m:meta])* shown private record $name:ident = $core:ty { $($f:ident : $t:ty),* $(,)? } $($rest:tt)*) => {
        mirror!(@record [] $(#[$m])* $name = $core { $($f: $t),* });
        mirror!(@private $name);
        mirror!(@shown $name = $core { $($f),* });
        mirror!($($rest)*);
    };
    ($(#[$m:meta])* both record $name:ident = $core:ty { $($f:ident : $t:ty),* $(,)? } $($rest:tt)*) => {
        mirror!(@record [Debug] $(#[$m])* $name = $core { $($f: $t),* });
        mirror!(@shown $name = $core { $($f),* });
        mirror!(@asked $name = $core { $($f),* });
        mirror!($($rest)*);
    };
    ($(#[$m:meta])* both private record $name:ident = $core:ty { $($f:ident : $t:ty),* $(,)? } $($rest:tt)*) => {
        mirror!(@record [] $(#[$m])* $name = $core { $($f: $t),* });
        mirror!(@private $name);
        mirror!(@shown $name = $core { $($f),* });
        mirror!(@asked $name = $core { $($f),* });
        mirror!($($rest)*);
    };
    ($(#[$m:meta])* asked private record $name:ident = $core:ty { $($f:ident : $t:ty),* $(,)? } $($rest:tt)*) => {
        mirror!(@record [] $(#[$m])* $name = $core { $($f: $t),* });
        mirror!(@private $name);
        mirror!(@asked $name = $core { $($f),* });
        mirror!($($rest)*);
    };
    ($(#[$m:meta])* asked record $name:ident = $core:ty { $($f:ident : $t:ty),* $(,)? } $($rest:tt)*) => {
        mirror!(@record [Debug] $(#[$m])* $name = $core { $($f: $t),* });
        mirror!(@asked $name = $core { $($f),* });
        mirror!($($rest)*);
    };

    ($(#[$m:meta])* shown tuple $name:ident = $core:ty { $($f:ident : $t:ty),* $(,)? } $($rest:tt)*) => {
        mirror!(@record [Debug] $(#[$m])* $name = $core { $($f: $t),* });
        mirror!(@shown_tuple $name = $core { $($f),* });
        mirror!($($rest)*);
    };
    ($(#[$m:meta])* both tuple $name:ident = $core:ty { $($f:ident : $t:ty),* $(,)? } $($rest:tt)*) => {
        mirror!(@record [Debug] $(#[$m])* $name = $core { $($f: $t),* });
        mirror!(@shown_tuple $name = $core { $($f),* });
        impl $crate::cross::Asked<$core> for $name {
            fn asked(self) -> Result<$core, $crate::Fault> {
                let Self { $($f),* } = self;
                Ok(($($crate::cross::Asked::asked($f)?),*))
            }
        }
        mirror!($($rest)*);
    };

    ($(#[$m:meta])* shown enum $name:ident = $core:ty {
        $($v:ident $({ $($f:ident : $t:ty),* })? $(( $($g:ident : $u:ty),* ))?),* $(,)?
    } $($rest:tt)*) => {
        mirror!(@enum [Debug] $(#[$m])* $name = $core { $($v $({ $($f: $t),* })? $(( $($g: $u),* ))?),* });
        mirror!(@shown_enum $name = $core { $($v $({ $($f),* })? $(( $($g),* ))?),* });
        mirror!($($rest)*);
    };
    ($(#[$m:meta])* both enum $name:ident = $core:ty {
        $($v:ident $({ $($f:ident : $t:ty),* })? $(( $($g:ident : $u:ty),* ))?),* $(,)?
    } $($rest:tt)*) => {
        mirror!(@enum [Debug] $(#[$m])* $name = $core { $($v $({ $($f: $t),* })? $(( $($g: $u),* ))?),* });
        mirror!(@shown_enum $name = $core { $($v $({ $($f),* })? $(( $($g),* ))?),* });
        mirror!(@asked_enum $name = $core { $($v $({ $($f),* })? $(( $($g),* ))?),* });
        mirror!($($rest)*);
    };
    ($(#[$m:meta])* asked private enum $name:ident = $core:ty {
        $($v:ident $({ $($f:ident : $t:ty),* $(,)? })? $(( $($g:ident : $u:ty),* ))?),* $(,)?
    } $($rest:tt)*) => {
        mirror!(@enum [] $(#[$m])* $name = $core { $($v $({ $($f: $t),* })? $(( $($g: $u),* ))?),* });
        mirror!(@private $name);
        mirror!(@asked_enum $name = $core { $($v $({ $($f),* })? $(( $($g),* ))?),* });
        mirror!($($rest)*);
    };
    ($(#[$m:meta])* asked enum $name:ident = $core:ty {
        $($v:ident $({ $($f:ident : $t:ty),* })? $(( $($g:ident : $u:ty),* ))?),* $(,)?
    } $($rest:tt)*) => {
        mirror!(@enum [Debug] $(#[$m])* $name = $core { $($v $({ $($f: $t),* })? $(( $($g: $u),* ))?),* });
        mirror!(@asked_enum $name = $core { $($v $({ $($f),* })? $(( $($g),* ))?),* });
        mirror!($($rest)*);
    };

    (@record [$($debug:ident)?] $(#[$m:meta])* $name:ident = $core:ty { $($f:ident : $t:ty),* }) => {
        $(#[$m])*
        #[allow(missing_docs, reason = "each field is the core's own, documented there")]
        #[derive($($debug,)? Clone, PartialEq, uniffi::Record)]
        pub struct $name { $(pub $f: $t),* }
    };
    (@private $name:ident) => {
        /// Written by hand so that what a person wrote cannot reach a log through `{:?}`.
        impl std::fmt::Debug for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(concat!(stringify!($name), "(..)"))
            }
        }
    };
    (@shown $name:ident = $core:ty { $($f:ident),* }) => {
        impl $crate::cross::Shown<$name> for $core {
            fn shown(self) -> $name {
                type Core = $core;
                let Core { $($f),* } = self;
                $name { $($f: $crate::cross::Shown::shown($f)),* }
            }
        }
    };
    (@asked $name:ident = $core:ty { $($f:ident),* }) => {
        impl $crate::cross::Asked<$core> for $name {
            fn asked(self) -> Result<$core, $crate::Fault> {
                type Core = $core;
                let Self { $($f),* } = self;
                Ok(Core { $($f: $crate::cross::Asked::asked($f).map_err(|fault| fault.of(stringify!($f)))?),* })
            }
        }
    };
    (@shown_tuple $name:ident = $core:ty { $($f:ident),* }) => {
        impl $crate::cross::Shown<$name> for $core {
            fn shown(self) -> $name {
                let ($($f),*) = self;
                $name { $($f: $crate::cross::Shown::shown($f)),* }
            }
        }
    };
    (@enum [$($debug:ident)?] $(#[$m:meta])* $name:ident = $core:ty {
        $($v:ident $({ $($f:ident : $t:ty),* })? $(( $($g:ident : $u:ty),* ))?),*
    }) => {
        $(#[$m])*
        #[allow(missing_docs, reason = "each variant is the core's own, documented there")]
        #[derive($($debug,)? Clone, PartialEq, uniffi::Enum)]
        pub enum $name { $($v $({ $($f: $t),* })? $({ $($g: $u),* })?),* }
    };
    (@shown_enum $name:ident = $core:ty { $($v:ident $({ $($f:ident),* })? $(( $($g:ident),* ))?),* }) => {
        impl $crate::cross::Shown<$name> for $core {
            fn shown(self) -> $name {
                type Core = $core;
                match self {
                    $(Core::$v $({ $($f),* })? $(( $($g),* ))? => $name::$v
                        $({ $($f: $crate::cross::Shown::shown($f)),* })?
                        $({ $($g: $crate::cross::Shown::shown($g)),* })?),*
                }
            }
        }
    };
    (@asked_enum $name:ident = $core:ty { $($v:ident $({ $($f:ident),* })? $(( $($g:ident),* ))?),* }) => {
        impl $crate::cross::Asked<$core> for $name {
            fn asked(self) -> Result<$core, $crate::Fault> {
                type Core = $core;
                Ok(match self {
                    $(Self::$v $({ $($f),* })? $({ $($g),* })? => Core::$v
                        $({ $($f: $crate::cross::Asked::asked($f).map_err(|fault| fault.of(stringify!($f)))?),* })?
                        $(( $($crate::cross::Asked::asked($g)?),* ))?),*
                })
            }
        }
    };
}
pub(crate) use mirror;
