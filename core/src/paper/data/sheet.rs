//! Tabular: a table of facts before it becomes CSV, with what its columns mean.

use super::DataError;
use super::opened::opened_table;
use super::safe::guard;

/// The tables that can be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
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

/// A column that may be empty.
pub(super) const fn head(name: &'static str, says: &'static str, datatype: Datatype) -> Head {
    Head {
        name,
        says,
        datatype,
        required: false,
    }
}

/// A column that every row fills.
pub(super) const fn needed(name: &'static str, says: &'static str, datatype: Datatype) -> Head {
    Head {
        name,
        says,
        datatype,
        required: true,
    }
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

/// The rows as a CSV file, read back before it is given out.
pub(super) fn table(
    name: TableName,
    heads: &'static [Head],
    key: &'static [&'static str],
    rows: Vec<Vec<Field>>,
) -> Result<Tabular, DataError> {
    let failed = DataError::of("table");
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(b"\xef\xbb\xbf".to_vec());
    let names: Vec<&str> = heads.iter().map(|head| head.name).collect();
    let written = rows.len();
    writer
        .write_record(&names)
        .map_err(|error| failed(error.to_string()))?;
    for row in rows {
        let cells: Vec<String> = row.iter().map(Field::cell).collect();
        writer
            .write_record(&cells)
            .map_err(|error| failed(error.to_string()))?;
    }
    let csv = writer
        .into_inner()
        .map_err(|error| failed(error.error().to_string()))?;
    let table = Tabular {
        name,
        csv,
        heads,
        key,
    };
    opened_table(table, written)
}
