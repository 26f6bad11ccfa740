//! A table that comes in as a file, a roster or a list of kit: how it is named and read, and
//! what is said of it whatever stands in it.

use std::path::PathBuf;

use clap::Args;
use tallywater_bindings::RosterHints;

use super::catalogue::tr;
use super::turn::Turn;

/// The file, and how to read it.
#[derive(Debug, Args)]
pub(super) struct TableFile {
    /// The file; `-` for the standard input.
    pub(super) file: PathBuf,
    /// Show what would be taken, and take nothing.
    #[arg(long)]
    pub(super) preview: bool,
    /// The encoding, if it is not found out right: utf-8, windows-1252, shift_jis.
    #[arg(long)]
    encoding: Option<String>,
    /// What stands between the fields, if it is not found out right.
    #[arg(long)]
    delimiter: Option<String>,
}

impl TableFile {
    /// How it is read.
    pub(super) fn hints(&self) -> RosterHints {
        RosterHints {
            encoding: self.encoding.clone(),
            delimiter: self.delimiter.clone(),
        }
    }
}

/// Says how a table was read, and what each of its columns was taken for.
pub(super) fn show<'a>(
    (encoding, delimiter): (&str, &str),
    columns: impl Iterator<Item = (&'a str, Option<&'static str>)>,
    turn: &Turn,
) {
    let delimiter = match delimiter {
        "\t" => tr!("a tab"),
        other => other.to_owned(),
    };
    turn.say(tr!(
        "Read as {encoding}, fields parted by {delimiter}",
        encoding = encoding,
        delimiter = delimiter
    ));
    for (head, field) in columns {
        turn.say(match field {
            Some(field) => tr!("  {head} is the {field}", head = head, field = field),
            None => tr!("  {head} is left alone", head = head),
        });
    }
}

/// A text of a row is too long.
pub(super) fn too_long(field: &str, found: usize, most: usize) -> String {
    tr!(
        "the {field} has {found} characters, and {most} are kept",
        field = field,
        found = found,
        most = most
    )
}

/// A row has another number of fields than the first line.
pub(super) fn other_fields(found: usize, expected: usize) -> String {
    tr!(
        "it has {found} fields, and the first line has {expected}",
        found = found,
        expected = expected
    )
}

/// A row holds what is no text.
pub(super) fn undecodable() -> String {
    tr!("it holds bytes that are no text in this encoding: try --encoding")
}

/// A field goes on over its line.
pub(super) fn quotes() -> String {
    tr!("a field goes on over the end of the line: a quote may not be closed")
}
