//! The preview: every row as it would be taken, every bad row with its reason, every person
//! who seems to be there already.

use std::collections::{BTreeMap, HashMap};

use chrono::NaiveDate;

use super::date::{self, Order};
use super::sheet::{MOST_BYTES, MOST_ROWS, Sheet, read_sheet};
use super::sizes::{SIZES, sizes};
use super::text::Hints;
use super::{RosterFault, RosterField, RowFault, RowReason, SheetFault};
use crate::course::{EmergencyContact, PersonDetails, StudentId, composed, is_blank};
use crate::entry::within;
use crate::paper::preview::{self, Preview, RowRead};

const LONGEST_NAME: usize = 200;
const LONGEST_CALLED: usize = 40;

/// A roster as it was read; nothing has been taken yet.
pub type RosterPreview = Preview<RosterField, RosterRow, RowReason>;

/// A good row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RosterRow {
    /// Counted from 1, as an editor shows it.
    pub line: u64,
    /// Who.
    pub details: PersonDetails,
    /// Who it seems to be, if not someone new.
    pub twin: Option<Twin>,
}

/// A person who seems to be there already: the same name, and nothing that speaks against it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Twin {
    /// An earlier line of the same file.
    Line(#[cfg_attr(feature = "border", uniffi(name = "line"))] u64),
    /// A student this shop knows.
    Student(#[cfg_attr(feature = "border", uniffi(name = "student"))] StudentId),
}

/// A student this shop knows already.
#[derive(Debug, Clone)]
pub struct Known {
    /// Who.
    pub student: StudentId,
    /// The details in force.
    pub details: PersonDetails,
}

/// What happens to rows that seem to be someone who is there already.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Twins {
    /// They are left out.
    #[default]
    LeaveOut,
    /// They are taken as other people of the same name.
    Take,
    /// They are taken as the people they seem to be, with the details the shop has. A second
    /// line for one person of the same file is left out.
    Again,
}

/// Someone to enrol.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Joins {
    /// Someone new.
    New(Box<PersonDetails>),
    /// Someone the shop knows.
    Again {
        /// Who.
        student: StudentId,
        /// The line of the file.
        line: u64,
    },
}

/// A roster that may be taken.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Accepted {
    /// Who joins, in the order of the file.
    pub joins: Vec<Joins>,
    /// The lines that were left out.
    pub left_out: Vec<u64>,
}

impl RosterPreview {
    /// The people to enrol.
    ///
    /// # Errors
    /// [`RosterFault::BadRows`] while any row is bad: all or nothing.
    pub fn accept(self, twins: Twins) -> Result<Accepted, RosterFault> {
        if !self.faults.is_empty() {
            return Err(RosterFault::BadRows {
                count: self.faults.len(),
            });
        }
        let mut accepted = Accepted::default();
        for row in self.rows {
            match (row.twin, twins) {
                (None, _) | (Some(_), Twins::Take) => {
                    accepted.joins.push(Joins::New(Box::new(row.details)));
                }
                (Some(Twin::Student(student)), Twins::Again) => {
                    let line = row.line;
                    accepted.joins.push(Joins::Again { student, line });
                }
                (Some(Twin::Line(_)), Twins::Again) | (Some(_), Twins::LeaveOut) => {
                    accepted.left_out.push(row.line);
                }
            }
        }
        Ok(accepted)
    }
}

/// Reads a roster from a CSV file of any usual encoding and delimiter.
///
/// # Errors
/// [`RosterFault`] when the file as a whole cannot be a roster.
pub fn read_roster(
    bytes: &[u8],
    hints: Hints<'_>,
    known: &[Known],
    today: NaiveDate,
) -> Result<RosterPreview, RosterFault> {
    let sheet = read_sheet(bytes, hints)?;
    let columns = columns(&sheet.heads)?;
    let born = columns
        .iter()
        .position(|(_, field)| *field == Some(RosterField::Born));
    let cells = sheet.records.iter();
    let order = date::order(cells.filter_map(|(_, record)| record.get(born?)));
    Ok(rows(&sheet, columns, known, order, today))
}

/// Every row of a sheet, and whom each seems to be.
fn rows(
    sheet: &Sheet,
    columns: Vec<(String, Option<RosterField>)>,
    known: &[Known],
    order: Order,
    today: NaiveDate,
) -> RosterPreview {
    let mut namesakes = Namesakes::of(known);
    preview::rows(sheet, columns, |read| {
        let line = read.line;
        let details = row(read, order, today)?;
        let twin = namesakes.twin_or_new(&details, line);
        Ok(RosterRow {
            line,
            details,
            twin,
        })
    })
}

/// Reads a list that was pasted: one name a line, as the person writes it. Where the first line
/// names columns it is a roster like any other.
///
/// # Errors
/// [`RosterFault`] when the list as a whole cannot be one.
pub fn read_names(
    text: &str,
    known: &[Known],
    today: NaiveDate,
) -> Result<RosterPreview, RosterFault> {
    if text.len() > MOST_BYTES {
        return Err(SheetFault::TooLong { most: MOST_BYTES }.into());
    }
    if text.trim().is_empty() {
        return Err(SheetFault::Empty.into());
    }
    match read_roster(text.as_bytes(), Hints::default(), known, today) {
        Err(RosterFault::NoNameColumn { .. } | RosterFault::TwoColumns(_)) => {}
        read => return read,
    }
    let mut records = Vec::new();
    for (line, text) in (1..)
        .zip(text.lines())
        .filter(|(_, text)| !text.trim().is_empty())
    {
        if records.len() == MOST_ROWS {
            return Err(SheetFault::TooManyRows { most: MOST_ROWS }.into());
        }
        // Out of a sheet, the name stands before the first tab.
        let name = text
            .split('\t')
            .map(str::trim)
            .find(|cell| !cell.is_empty());
        let record = csv::StringRecord::from(vec![name.unwrap_or_default()]);
        records.push((line, record));
    }
    let sheet = Sheet {
        encoding: "UTF-8",
        delimiter: '\t',
        heads: csv::StringRecord::new(),
        records,
    };
    let columns = vec![(String::new(), Some(RosterField::Name))];
    Ok(rows(&sheet, columns, known, Order::Unknown, today))
}

fn columns(heads: &csv::StringRecord) -> Result<Vec<(String, Option<RosterField>)>, RosterFault> {
    // Telephone and e-mail may both be there; they are joined.
    let often = |field: RosterField| field == RosterField::Contact;
    let columns = preview::columns(heads, RosterField::of_head, often)?;
    let named = [
        RosterField::Name,
        RosterField::GivenName,
        RosterField::FamilyName,
    ];
    let is_name = |(_, field): &(String, Option<RosterField>)| {
        field.is_some_and(|field| named.contains(&field))
    };
    if columns.iter().any(is_name) {
        Ok(columns)
    } else {
        Err(RosterFault::NoNameColumn {
            columns: columns.len(),
        })
    }
}

fn row(
    mut read: RowRead<'_, RosterField, RowReason>,
    order: Order,
    today: NaiveDate,
) -> Result<PersonDetails, Vec<RowFault>> {
    let mut cells: BTreeMap<RosterField, String> = BTreeMap::new();
    for (field, cell) in &read.cells {
        cells
            .entry(*field)
            .and_modify(|there| *there = format!("{there}, {cell}"))
            .or_insert_with(|| (*cell).to_owned());
    }
    let mut fault = |field, reason: RowReason| read.fault(field, reason);
    let name = cells.get(&RosterField::Name).cloned().or_else(|| {
        let parts: Vec<&str> = [RosterField::GivenName, RosterField::FamilyName]
            .iter()
            .filter_map(|field| cells.get(field).map(String::as_str))
            .collect();
        (!parts.is_empty()).then(|| parts.join(" "))
    });
    if name.as_deref().is_none_or(is_blank) {
        fault(Some(RosterField::Name), RowReason::NoName);
    }
    let mut bounded = |field: RosterField, text: Option<&String>, most: usize| {
        let found = text.map_or(0, |text| text.chars().count());
        if found > most {
            fault(Some(field), RowReason::TooLong { field, found, most });
        }
    };
    bounded(RosterField::Name, name.as_ref(), LONGEST_NAME);
    for (field, most) in [
        (RosterField::Called, LONGEST_CALLED),
        (RosterField::Contact, LONGEST_NAME),
        (RosterField::EmergencyName, LONGEST_NAME),
        (RosterField::EmergencyReach, LONGEST_NAME),
    ] {
        bounded(field, cells.get(&field), most);
    }
    for field in SIZES {
        bounded(field, cells.get(&field), within::KIT_SIZE);
    }
    let born = match cells.get(&RosterField::Born) {
        Some(text) => match date::read(text, order, today) {
            Ok(born) => Some(born),
            Err(no) => {
                fault(Some(RosterField::Born), no.into());
                None
            }
        },
        None => None,
    };
    let emergency = match (
        cells.remove(&RosterField::EmergencyName),
        cells.remove(&RosterField::EmergencyReach),
    ) {
        (Some(name), Some(reach)) => Some(EmergencyContact { name, reach }),
        (None, None) => None,
        (Some(_), None) | (None, Some(_)) => {
            fault(Some(RosterField::EmergencyName), RowReason::HalfContact);
            None
        }
    };
    let sizes = sizes(&mut cells).unwrap_or_else(|reason| {
        fault(Some(RosterField::OwnKit), reason);
        None
    });
    let details = PersonDetails {
        name: name.unwrap_or_default(),
        called: cells.remove(&RosterField::Called),
        born,
        adult: None,
        contact: cells.remove(&RosterField::Contact),
        emergency,
        body: None,
        sizes,
    };
    read.end(details.cleaned())
}

/// Everyone by name, however it is spaced and capitalised; in the order in which they came, so
/// that a student the shop knows is found before a line of the file.
#[derive(Default)]
struct Namesakes(HashMap<String, Vec<(Option<NaiveDate>, Twin)>>);

impl Namesakes {
    fn of(known: &[Known]) -> Self {
        let mut namesakes = Self::default();
        for one in known {
            namesakes.add(&one.details, Twin::Student(one.student));
        }
        namesakes
    }

    fn add(&mut self, details: &PersonDetails, who: Twin) {
        let of_name = self.0.entry(plain(&details.name)).or_default();
        of_name.push((details.born, who));
    }

    /// Whom a line of the file seems to be: the first of the same name with no birth date that
    /// differs. The line is one of them from then on.
    fn twin_or_new(&mut self, details: &PersonDetails, line: u64) -> Option<Twin> {
        let of_name = self.0.entry(plain(&details.name)).or_default();
        let alike = |(born, _): &&(Option<NaiveDate>, Twin)| match (born, details.born) {
            (Some(one), Some(other)) => *one == other,
            (None, _) | (_, None) => true,
        };
        let twin = of_name.iter().find(alike).map(|(_, who)| *who);
        of_name.push((details.born, Twin::Line(line)));
        twin
    }
}

fn plain(name: &str) -> String {
    let words: Vec<&str> = name.split_whitespace().collect();
    composed(&words.join(" ")).to_lowercase()
}
