//! The preview: every piece as it would be described, every bad row with its reason, every
//! piece whose number is in use already.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::field::kind_of;
use super::{KitField, KitListFault, KitRowFault, KitRowReason};
use crate::course::{KitKind, KitPiece, PieceId, folded};
use crate::entry::within;
use crate::paper::data::unguard;
use crate::paper::preview::{self, Preview, RowRead};
use crate::paper::roster::Hints;
use crate::paper::roster::date::{self, NoDay, Order};
use crate::paper::roster::sheet::read_sheet;
use crate::standing::ShopStanding;

/// A list of kit as it was read; nothing has been taken yet.
pub type KitListPreview = Preview<KitField, KitListRow, KitRowReason>;

/// A good row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitListRow {
    /// Counted from 1, as an editor shows it.
    pub line: u64,
    /// The piece.
    pub details: KitPiece,
    /// The piece in use that carries this number already.
    pub there: Option<PieceId>,
    /// Whether that piece is described just so.
    pub same: bool,
}

/// What happens to rows whose number is in use already.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum KitThere {
    /// They are left out.
    #[default]
    LeaveOut,
    /// The piece is described anew, where the row says something else of it.
    Renew,
}

/// A list of kit that may be taken.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct KitAccepted {
    /// What is described: a new piece, or one that is there.
    pub pieces: Vec<(Option<PieceId>, KitPiece)>,
    /// The lines that were left out.
    pub left_out: Vec<u64>,
}

impl KitListPreview {
    /// The pieces to describe.
    ///
    /// # Errors
    /// [`KitListFault::BadRows`] while any row is bad: all or nothing.
    pub fn accept(self, there: KitThere) -> Result<KitAccepted, KitListFault> {
        if !self.faults.is_empty() {
            return Err(KitListFault::BadRows {
                count: self.faults.len(),
            });
        }
        let mut accepted = KitAccepted::default();
        for row in self.rows {
            match (row.there, there) {
                (None, _) => accepted.pieces.push((None, row.details)),
                (Some(piece), KitThere::Renew) if !row.same => {
                    accepted.pieces.push((Some(piece), row.details));
                }
                (Some(_), KitThere::Renew | KitThere::LeaveOut) => accepted.left_out.push(row.line),
            }
        }
        Ok(accepted)
    }
}

/// Reads a list of kit from a CSV file of any usual encoding and delimiter.
///
/// # Errors
/// [`KitListFault`] when the file as a whole cannot be one.
pub fn read_kit_list(
    bytes: &[u8],
    hints: Hints<'_>,
    shop: &ShopStanding,
) -> Result<KitListPreview, KitListFault> {
    let sheet = read_sheet(bytes, hints)?;
    let columns = columns(&sheet.heads)?;
    let dated = |(_, field): &(String, Option<KitField>)| {
        matches!(
            field,
            Some(KitField::Serviced | KitField::ServiceDue | KitField::TestDue)
        )
    };
    // One office writes all its dates alike, whatever column they stand in.
    let order = date::order(sheet.records.iter().flat_map(|(_, record)| {
        let cells = columns.iter().zip(record);
        cells
            .filter(|(column, _)| dated(column))
            .map(|(_, cell)| unguard(cell.trim()).trim())
    }));
    let mut seen: BTreeMap<(KitKind, String), u64> = BTreeMap::new();
    Ok(preview::rows(&sheet, columns, |read| {
        let line = read.line;
        let details = row(read, order)?;
        let number = (details.kind, folded(&details.number));
        if let Some(first) = seen.get(&number) {
            return Err(vec![KitRowFault {
                line,
                field: Some(KitField::Number),
                reason: KitRowReason::TwiceInFile { first: *first },
            }]);
        }
        seen.insert(number, line);
        let there = shop.pieces_numbered(details.kind, &details.number);
        let there = there.first().copied();
        let known = there.and_then(|id| shop.piece(&id));
        Ok(KitListRow {
            line,
            same: known.is_some_and(|now| *now.details == details),
            there,
            details,
        })
    }))
}

fn columns(heads: &csv::StringRecord) -> Result<Vec<(String, Option<KitField>)>, KitListFault> {
    let columns = preview::columns(heads, KitField::of_head, |_| false)?;
    for wanted in [KitField::Kind, KitField::Number] {
        if !columns.iter().any(|(_, field)| *field == Some(wanted)) {
            return Err(KitListFault::NoColumn {
                field: wanted,
                columns: columns.len(),
            });
        }
    }
    Ok(columns)
}

fn row(
    mut read: RowRead<'_, KitField, KitRowReason>,
    order: Order,
) -> Result<KitPiece, Vec<KitRowFault>> {
    let cells: BTreeMap<KitField, &str> = read.cells.iter().copied().collect();
    let mut fault = |field, reason: KitRowReason| read.fault(field, reason);
    let kind = match cells.get(&KitField::Kind) {
        None => {
            fault(Some(KitField::Kind), KitRowReason::NoKind);
            None
        }
        Some(word) => {
            let kind = kind_of(word);
            if kind.is_none() {
                fault(Some(KitField::Kind), KitRowReason::UnknownKind);
            }
            kind
        }
    };
    let mut day = |field| {
        let read = date::day(cells.get(&field)?, order);
        let read = read.and_then(|date| match within_bounds(date) {
            true => Ok(date),
            false => Err(NoDay::Outside),
        });
        read.map_err(|no| fault(Some(field), no.into())).ok()
    };
    let dates = [KitField::Serviced, KitField::ServiceDue, KitField::TestDue].map(&mut day);
    let [serviced, service_due, test_due] = dates;
    let text = |field| cells.get(&field).copied().unwrap_or_default().to_owned();
    let piece = KitPiece {
        kind: kind.unwrap_or(KitKind::Other),
        number: text(KitField::Number),
        size: text(KitField::Size),
        serial: text(KitField::Serial),
        serviced,
        service_due,
        test_due,
        note: text(KitField::Note),
    };
    let piece = piece.cleaned();
    if piece.number.is_empty() {
        fault(Some(KitField::Number), KitRowReason::NoNumber);
    }
    for (field, text, most) in [
        (KitField::Number, &piece.number, within::KIT_NUMBER),
        (KitField::Size, &piece.size, within::KIT_SIZE),
        (KitField::Serial, &piece.serial, within::KIT_SERIAL),
        (KitField::Note, &piece.note, within::REMARK),
    ] {
        let found = text.chars().count();
        if found > most {
            fault(Some(field), KitRowReason::TooLong { field, found, most });
        }
    }
    read.end(piece)
}

/// What the rules take as a date of a piece.
fn within_bounds(date: NaiveDate) -> bool {
    use chrono::Datelike as _;
    (2_000..=2_199).contains(&date.year())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<KitListPreview, KitListFault> {
        read_kit_list(text.as_bytes(), Hints::default(), &ShopStanding::default())
    }

    #[test]
    fn a_list_is_read_in_either_language_and_its_dates_by_the_whole_file() {
        let english = read(
            "Kind,Number,Size,Service due,Colour\nRegulator,7,,25/06/2027,blue\nsuit,12,ML,3/4/2027,\n",
        )
        .unwrap();
        assert_eq!(english.faults, []);
        let [first, second] = english.rows.as_slice() else {
            panic!("{english:?}");
        };
        assert_eq!((first.line, first.details.kind), (2, KitKind::Regulator));
        assert_eq!(second.details.size, "ML");
        let due = |row: &KitListRow| row.details.service_due.unwrap().to_string();
        assert_eq!([due(first), due(second)], ["2027-06-25", "2027-04-03"]);
        let german = read("Art;Nr.;Prüfung fällig\nFlasche;3;31.12.2027\n").unwrap();
        assert_eq!(german.rows.len(), 1, "{german:?}");
        assert_eq!(german.rows[0].details.kind, KitKind::Cylinder);
    }

    #[test]
    fn every_bad_row_is_named_with_its_line_and_nothing_is_taken() {
        let text = "kind,number,size,service_due\n\
            snorkel,1,,\n\
            ,2,,\n\
            fins,,,\n\
            fins,F1,,3/4/2027\n\
            fins,f1,,1999-01-01\n\
            mask,M1,this size is longer than a label,\n\
            mask,M2,,\n\
            Mask,m2,,\n";
        let read = read(text).unwrap();
        let found: Vec<(u64, KitRowReason)> = (read.faults.iter())
            .map(|fault| (fault.line, fault.reason.clone()))
            .collect();
        let too_long = KitRowReason::TooLong {
            field: KitField::Size,
            found: 32,
            most: 20,
        };
        assert_eq!(
            found,
            [
                (2, KitRowReason::UnknownKind),
                (3, KitRowReason::NoKind),
                (4, KitRowReason::NoNumber),
                (5, KitRowReason::TwoDates),
                (6, KitRowReason::OtherCentury),
                (7, too_long),
                (9, KitRowReason::TwiceInFile { first: 8 }),
            ]
        );
        let refused = read.accept(KitThere::Renew);
        assert_eq!(refused, Err(KitListFault::BadRows { count: 7 }));
    }

    #[test]
    fn a_table_that_is_no_list_of_kit_says_which_column_it_wants() {
        let no = |text: &str| read(text).unwrap_err();
        let number = KitListFault::NoColumn {
            field: KitField::Number,
            columns: 2,
        };
        assert_eq!(no("kind,colour\nsuit,blue\n"), number);
        let twice = KitListFault::TwoColumns(preview::TwoColumns {
            first: 2,
            second: 3,
            field: KitField::Number,
        });
        assert_eq!(no("kind,no,number\nsuit,1,2\n"), twice);
        assert!(matches!(no(""), KitListFault::Sheet(_)));
    }
}
