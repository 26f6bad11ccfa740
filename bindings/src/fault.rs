//! Fault: everything that can go wrong across the border, by what a shell can do about it.
//!
//! Fields and no sentences: the words live in the shell, in its own language. No field
//! ever holds a name or a note's text.

use tallywater_core::calc::OutsideTable;
use tallywater_core::desk::DeskError;
use tallywater_core::entry::{FormatError, Refusal, Who};
use tallywater_core::ledger::LedgerError;
use tallywater_core::store::StoreError;
use tallywater_core::view::{Bounded, Units};

use crate::bounds;

/// Why something could not be done. Nothing has been recorded then.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error, uniffi::Error)]
pub enum Fault {
    /// No room left on the device.
    #[error("the device is full")]
    DeviceFull,
    /// Another program holds the file: try again.
    #[error("another program is using the file")]
    Busy,
    /// A rule forbids it. `rule` is a word that stays the same across versions.
    #[error("refused by the rule {rule}")]
    Refused {
        /// Which rule: "out_of_bounds", "gaps_open", "bad_id".
        rule: String,
        /// Which field was wrong.
        field: Option<String>,
        /// What was given, or how many; a figure in the unit that `what` names.
        value: Option<String>,
        /// Lowest allowed, in the same unit.
        least: Option<String>,
        /// Highest allowed, in the same unit.
        most: Option<String>,
        /// What it is about: a kind of thing or of entry, or the unit of a figure: the
        /// reader's, where a person types it in. None for a bare number and for a time on a
        /// stopwatch, as 1:05.
        what: Option<String>,
        /// The entry, skill or file it is about.
        id: Option<String>,
    },
    /// Written by a newer version of this program: kept, and not touched.
    #[error("version {found} was found, and this program knows up to {known}")]
    NewerVersion {
        /// The version found.
        found: u32,
        /// The newest known.
        known: u32,
    },
    /// The content is broken. What was there is kept as it is.
    #[error("the file is damaged")]
    Damaged {
        /// How the device's own store is hurt, if it is that: "gone", "log_alone", "short" or
        /// "content". The program does not go on in that folder; see `Rescue`.
        how: Option<String>,
    },
    /// Something named that is not on this device.
    #[error("there is no such {what} on this device")]
    NotFound {
        /// What was named: "course", "student", "session".
        what: String,
        /// Its id.
        id: String,
    },
    /// Anything that a person can only report.
    #[error("{detail}")]
    Internal {
        /// What was being done, and what the system said.
        detail: String,
    },
}

impl Fault {
    /// A refusal by this rule and nothing said about it yet.
    #[must_use]
    pub fn rule(rule: &str) -> Self {
        Self::Refused {
            rule: rule.to_owned(),
            field: None,
            value: None,
            least: None,
            most: None,
            what: None,
            id: None,
        }
    }

    /// Something named that is not here.
    pub(crate) fn not_found(what: &str, id: &str) -> Self {
        Self::NotFound {
            what: what.to_owned(),
            id: id.to_owned(),
        }
    }

    /// The same, about this kind of thing.
    #[must_use]
    pub fn what(mut self, word: &str) -> Self {
        if let Self::Refused { what, .. } = &mut self {
            *what = Some(word.to_owned());
        }
        self
    }

    /// The same, about this id.
    #[must_use]
    pub fn id(mut self, named: impl ToString) -> Self {
        if let Self::Refused { id, .. } = &mut self {
            *id = Some(named.to_string());
        }
        self
    }

    /// The same, of this field; the innermost name stays.
    #[must_use]
    pub fn of(mut self, name: &str) -> Self {
        if let Self::Refused { field, .. } = &mut self {
            field.get_or_insert_with(|| name.to_owned());
        }
        self
    }

    /// The same, with what was given.
    #[must_use]
    pub fn value(mut self, given: impl ToString) -> Self {
        if let Self::Refused { value, .. } = &mut self {
            *value = Some(given.to_string());
        }
        self
    }

    /// The same, with what is allowed.
    pub(crate) fn bounds(mut self, from: Option<String>, to: Option<String>) -> Self {
        if let Self::Refused { least, most, .. } = &mut self {
            (*least, *most) = (from, to);
        }
        self
    }
}

impl From<DeskError> for Fault {
    fn from(error: DeskError) -> Self {
        Self::of_desk(error, Units::Metric)
    }
}

impl Fault {
    /// What the desk answered, with figures in these units.
    pub(crate) fn of_desk(error: DeskError, units: Units) -> Self {
        match error {
            DeskError::Refused(refusal) => Self::of_refusal(refusal, units),
            DeskError::Store(error) => error.into(),
            DeskError::Ledger(error) => error.into(),
            DeskError::Format(error) => error.into(),
            DeskError::NoChance(error) => Self::Internal {
                detail: error.to_string(),
            },
            DeskError::Keys(error) => Self::Internal {
                detail: error.to_string(),
            },
            DeskError::NotFound { what, id } => Self::not_found(what, &id),
            DeskError::NotStarted => Self::rule("not_set_up"),
            DeskError::Stopped => Self::rule("stopped"),
            DeskError::Started => Self::rule("set_up_already"),
        }
    }
}

impl From<Refusal> for Fault {
    fn from(refusal: Refusal) -> Self {
        Self::of_refusal(refusal, Units::Metric)
    }
}

impl Fault {
    /// Why a rule said no, with figures in these units.
    fn of_refusal(refusal: Refusal, units: Units) -> Self {
        let fault = Self::rule(refusal.rule());
        match refusal {
            Refusal::NotAdmitted
            | Refusal::AlreadyEnrolled
            | Refusal::NothingOpen
            | Refusal::LookedAtEarlier
            | Refusal::OtherDesk
            | Refusal::StillRunning => fault,
            Refusal::Role { role: _, kind } | Refusal::WrongLedger { kind } => {
                fault.what(kind.word())
            }
            Refusal::TextEmpty { field }
            | Refusal::EndsBeforeItBegins { field }
            | Refusal::StillToCome { field } => fault.of(field),
            Refusal::TextTooLong { field, found, most } => fault
                .of(field)
                .value(found)
                .bounds(None, Some(most.to_string())),
            Refusal::OutOfBounds {
                field,
                value,
                least,
                most,
            } => fault
                .of(field)
                .bounded(Bounded::of_field(field, value, [least, most], units)),
            Refusal::DateOutOfBounds {
                field,
                date,
                from,
                to,
            } => fault
                .of(field)
                .value(date)
                .bounds(Some(from.to_string()), Some(to.to_string())),
            Refusal::Unknown { what } | Refusal::Closed { what } | Refusal::Twice { what } => {
                fault.what(what)
            }
            Refusal::PieceOut { who, issue } => {
                let fault = match who {
                    Who::Student(id) => fault.what("student").id(id),
                    Who::Staff(id) => fault.what("staff").id(id),
                };
                fault.value(issue)
            }
            Refusal::PieceAsks { piece, why } => fault.what(why.word()).id(piece),
            Refusal::PieceNumber {
                kind,
                number,
                piece,
            } => fault.what(kind.word()).value(number).id(piece),
            Refusal::Held { what, entry } => fault.what(what).id(entry),
            Refusal::NotMeasured { skill } => fault.what("skill").id(skill),
            Refusal::BelowRequirement {
                skill,
                measured,
                asked,
            } => fault
                .of("measure")
                .id(skill)
                .bounded(Bounded::below(measured, &asked, units)),
            Refusal::NotYours { entry }
            | Refusal::CountsNot { entry }
            | Refusal::MarkedAlready { entry } => fault.what("entry").id(entry),
            Refusal::GapsOpen { count } => fault.what("gap").value(count),
            Refusal::Outline(faults) => fault.what("fault").value(faults.len()),
            Refusal::Policy(faults) => bounds::of_policy(&faults, units),
            Refusal::Media(why) => fault.what("file").value(why),
        }
    }
}

impl From<StoreError> for Fault {
    fn from(error: StoreError) -> Self {
        let detail = error.to_string();
        match error {
            StoreError::Full { during: _ } => Self::DeviceFull,
            StoreError::Locked { during: _ } => Self::Busy,
            StoreError::ReadOnly { during } => Self::rule("read_only").what(during),
            StoreError::Damaged => Self::Damaged { how: None },
            StoreError::Hurt { how } => Self::Damaged {
                how: Some(how.word().to_owned()),
            },
            StoreError::Newer { found, known } => Self::NewerVersion {
                found: u32::try_from(found).unwrap_or(u32::MAX),
                known: u32::try_from(known).unwrap_or(u32::MAX),
            },
            StoreError::Older { found, least: _ } => Self::rule("older_format").value(found),
            StoreError::Foreign { found: _ } => Self::rule("other_program"),
            StoreError::Exists { name } => Self::rule("file_exists").id(name),
            StoreError::Ledger { during: _, source } => source.into(),
            StoreError::Unsound | StoreError::File { .. } | StoreError::Sqlite { .. } => {
                Self::Internal { detail }
            }
        }
    }
}

impl From<LedgerError> for Fault {
    fn from(error: LedgerError) -> Self {
        match error {
            LedgerError::OtherLedger => Self::rule("other_ledger"),
            LedgerError::Taken { entry } => Self::rule("taken").what("entry").id(entry),
            LedgerError::Format(error) => error.into(),
            // Bytes that no sound device sent, or a file that has rotted.
            LedgerError::Irregular(_) => Self::Damaged { how: None },
            LedgerError::Engine {
                during: _,
                detail: _,
            } => Self::Damaged { how: None },
        }
    }
}

impl From<FormatError> for Fault {
    fn from(error: FormatError) -> Self {
        match error {
            FormatError::Newer { found, known } => Self::NewerVersion { found, known },
            FormatError::Older { found, least: _ } => Self::rule("older_format").value(found),
            FormatError::Malformed { what: _ } => Self::Damaged { how: None },
        }
    }
}

impl From<OutsideTable> for Fault {
    fn from(outside: OutsideTable) -> Self {
        let OutsideTable {
            what,
            asked,
            lowest,
            highest,
        } = outside;
        Self::rule("outside_table")
            .of(what.word())
            .value(asked.value)
            .bounds(
                Some(lowest.value.to_string()),
                Some(highest.value.to_string()),
            )
            .what(asked.unit.symbol())
    }
}

/// The shell's own code threw where nothing may be thrown. What it said is left where it
/// is: it could be anything, a name too.
impl From<uniffi::UnexpectedUniFFICallbackError> for Fault {
    fn from(_: uniffi::UnexpectedUniFFICallbackError) -> Self {
        Self::Internal {
            detail: "the shell's own part failed".to_owned(),
        }
    }
}
