//! Tabular: a table of facts before it becomes CSV, with what its columns mean.

use super::safe::guard;

/// The tables that can be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TableName {
    /// Students.
    Roster,
    /// Every mark.
    Marks,
    /// Every dive.
    Dives,
    /// What staff did.
    Activity,
    /// The school's kit.
    Kit,
}

impl TableName {
    /// Those of a course.
    pub const ALL: [Self; 4] = [Self::Roster, Self::Marks, Self::Dives, Self::Activity];

    /// The file's name: `roster.csv`.
    pub const fn file(self) -> &'static str {
        match self {
            Self::Roster => "roster.csv",
            Self::Marks => "marks.csv",
            Self::Dives => "dives.csv",
            Self::Activity => "staff-activity.csv",
            Self::Kit => "kit.csv",
        }
    }
}

/// What a column holds, in the words of XML Schema.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Datatype {
    Text,
    Integer,
    Decimal,
    Date,
    DateTime,
    Boolean,
}

impl Datatype {
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Text => "string",
            Self::Integer => "integer",
            Self::Decimal => "decimal",
            Self::Date => "date",
            Self::DateTime => "dateTimeStamp",
            Self::Boolean => "boolean",
        }
    }
}

/// A column.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Head {
    pub(crate) name: &'static str,
    pub(crate) says: &'static str,
    pub(crate) datatype: Datatype,
    pub(crate) required: bool,
}

/// A table as bytes, and what describes it.
#[derive(Debug, Clone)]
pub struct Tabular {
    /// Which.
    pub name: TableName,
    /// The CSV file (RFC 4180, UTF-8 with a byte order mark, which spreadsheets want).
    pub csv: Vec<u8>,
    pub(crate) heads: &'static [Head],
    pub(crate) key: &'static [&'static str],
}

/// A field: texts are guarded, what this program writes itself needs no guard.
pub(crate) enum Field {
    Text(String),
    Plain(String),
    Empty,
}

impl Field {
    pub(crate) fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }

    pub(crate) fn plain(value: impl ToString) -> Self {
        Self::Plain(value.to_string())
    }

    pub(crate) fn maybe<T: ToString>(value: Option<T>) -> Self {
        value.map_or(Self::Empty, |value| Self::Plain(value.to_string()))
    }

    pub(crate) fn maybe_text(value: Option<String>) -> Self {
        value.map_or(Self::Empty, Self::Text)
    }

    pub(crate) fn cell(&self) -> String {
        match self {
            Self::Text(text) => guard(text),
            Self::Plain(text) => text.clone(),
            Self::Empty => String::new(),
        }
    }
}
