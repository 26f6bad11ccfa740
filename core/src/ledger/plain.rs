//! Plain: a look at changes from elsewhere before the engine sees them.
//!
//! The guard around Automerge catches a panic, but not a change that unpacks to gigabytes
//! or claims a thousand billion operations: those would end the program or never end. An
//! honest device sends uncompressed changes of one operation each, so anything far from
//! that is refused here, by reading lengths and counts only.
//!
//! ```text
//! chunk:  85 6f 4a 83 | checksum (4) | type (1) | length (LEB128) | data
//! change: deps | actor | seq | start | time | message | other actors | columns | …
//! ```

/// The most operations, and the most predecessors, that one change may have.
const MOST_OPERATIONS: u64 = 1_000;
/// The longest change, in bytes: twice the longest entry, and half the longest frame, so
/// that what was taken can always be passed on.
pub const MOST_CHANGE: usize = 2 << 20;

const MAGIC: [u8; 4] = [0x85, 0x6f, 0x4a, 0x83];
/// The chunk type of one uncompressed change.
const CHANGE: u8 = 1;
/// The columns that say how many rows there are: column id shifted by four, and its type.
const ACTION_COLUMN: u64 = 4 << 4 | 2;
const PREDECESSOR_COLUMN: u64 = 7 << 4;

/// Why a change is not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NotPlain {
    /// The bytes are not a row of changes.
    #[error("the bytes are no changes")]
    Malformed,
    /// Compressed, or a whole document: it could unpack to any size.
    #[error("it is packed")]
    Packed,
    /// Longer than any entry.
    #[error("it is too long")]
    TooLong,
    /// More operations than any entry.
    #[error("it has too many operations")]
    TooManyOperations,
}

/// Looks at changes joined end to end and says how many there are.
///
/// # Errors
/// [`NotPlain`] for the first that no honest device sends.
pub fn count(bytes: &[u8]) -> Result<usize, NotPlain> {
    let mut rest = bytes;
    let mut count = 0;
    while !rest.is_empty() {
        let (head, after) = rest.split_first_chunk::<9>().ok_or(NotPlain::Malformed)?;
        let (magic, kind) = (head.first_chunk::<4>(), head.last());
        if magic != Some(&MAGIC) {
            return Err(NotPlain::Malformed);
        }
        if kind != Some(&CHANGE) {
            return Err(NotPlain::Packed);
        }
        let mut reader = Reader(after);
        let change = reader.prefixed()?;
        if change.len() > MOST_CHANGE {
            return Err(NotPlain::TooLong);
        }
        look(change)?;
        rest = reader.0;
        count += 1;
    }
    Ok(count)
}

fn look(change: &[u8]) -> Result<(), NotPlain> {
    let mut reader = Reader(change);
    let deps = reader.number()?;
    for _ in 0..deps {
        reader.take(32)?;
    }
    reader.prefixed()?;
    for _ in 0..3 {
        // Sequence number, first operation and time; the time is signed, which makes no
        // difference to where it ends.
        reader.number()?;
    }
    reader.prefixed()?;
    let actors = reader.number()?;
    for _ in 0..actors {
        reader.prefixed()?;
    }
    let columns = reader.number()?;
    let mut sizes = Vec::new();
    for _ in 0..columns {
        sizes.push((reader.number()?, reader.length()?));
    }
    for (column, size) in sizes {
        let data = reader.take(size)?;
        match column {
            ACTION_COLUMN => rows(data, |_| 1)?,
            PREDECESSOR_COLUMN => rows(data, |value| value.max(1))?,
            _ => (),
        }
    }
    Ok(())
}

/// Adds up what a run-length column claims: `weight` says what one row of a value costs.
fn rows(column: &[u8], weight: impl Fn(u64) -> u64) -> Result<(), NotPlain> {
    let mut reader = Reader(column);
    let mut sum = 0u64;
    let mut add = |rows: u64, value: u64| {
        sum = sum.saturating_add(rows.saturating_mul(weight(value)));
        if sum > MOST_OPERATIONS {
            Err(NotPlain::TooManyOperations)
        } else {
            Ok(())
        }
    };
    while !reader.0.is_empty() {
        match reader.signed()? {
            0 => add(reader.number()?, 0)?,
            run if run > 0 => add(run.unsigned_abs(), reader.number()?)?,
            literal => {
                for _ in 0..literal.unsigned_abs() {
                    add(1, reader.number()?)?;
                }
            }
        }
    }
    Ok(())
}

struct Reader<'a>(&'a [u8]);

impl<'a> Reader<'a> {
    fn take(&mut self, length: usize) -> Result<&'a [u8], NotPlain> {
        let (taken, rest) = self.0.split_at_checked(length).ok_or(NotPlain::Malformed)?;
        self.0 = rest;
        Ok(taken)
    }

    /// The bits of a LEB128 number, and how many there are.
    fn bits(&mut self) -> Result<(u64, u32, u8), NotPlain> {
        let (mut value, mut shift) = (0u64, 0u32);
        loop {
            let (&byte, rest) = self.0.split_first().ok_or(NotPlain::Malformed)?;
            self.0 = rest;
            if shift > 63 {
                return Err(NotPlain::Malformed);
            }
            value |= u64::from(byte & 0x7f) << shift;
            shift += 7;
            if byte & 0x80 == 0 {
                return Ok((value, shift, byte));
            }
        }
    }

    fn number(&mut self) -> Result<u64, NotPlain> {
        self.bits().map(|(value, _, _)| value)
    }

    fn signed(&mut self) -> Result<i64, NotPlain> {
        let (value, shift, last) = self.bits()?;
        let value = value.cast_signed();
        let negative = last & 0x40 != 0 && shift < 64;
        Ok(if negative {
            value | (-1i64).wrapping_shl(shift)
        } else {
            value
        })
    }

    fn length(&mut self) -> Result<usize, NotPlain> {
        usize::try_from(self.number()?).map_err(|_| NotPlain::Malformed)
    }

    fn prefixed(&mut self) -> Result<&'a [u8], NotPlain> {
        let length = self.length()?;
        self.take(length)
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::course::{CourseId, LedgerId};
    use crate::ledger::Ledger;

    fn change(payload: usize) -> Vec<u8> {
        let id = LedgerId::Course(CourseId::new(Uuid::from_u128(7)));
        let mut ledger = Ledger::new(id, [1; 16]).unwrap();
        ledger.add(&vec![b'x'; payload]).unwrap();
        let last = ledger.document().get_last_local_change().unwrap();
        last.raw_bytes().to_vec()
    }

    #[test]
    fn what_an_honest_device_writes_is_plain() {
        assert_eq!(count(b""), Ok(0));
        let short = change(600);
        let long = change(1 << 20);
        assert_eq!(count(&short), Ok(1));
        assert_eq!(count(&[short, long].concat()), Ok(2));
    }

    #[test]
    fn a_packed_change_and_a_whole_document_are_refused() {
        let mut packed = change(600);
        packed[8] = 2;
        assert_eq!(count(&packed), Err(NotPlain::Packed));
        let id = LedgerId::Course(CourseId::new(Uuid::from_u128(7)));
        let document = Ledger::new(id, [1; 16]).unwrap().save().unwrap();
        assert_eq!(count(&document), Err(NotPlain::Packed));
    }

    #[test]
    fn every_cut_is_malformed() {
        let whole = change(40);
        for length in 1..whole.len() {
            assert_eq!(
                count(&whole[..length]),
                Err(NotPlain::Malformed),
                "{length}"
            );
        }
    }

    #[test]
    fn a_change_longer_than_any_entry_is_refused() {
        assert_eq!(count(&change(MOST_CHANGE)), Err(NotPlain::TooLong));
    }

    #[test]
    fn a_column_that_claims_a_thousand_billion_rows_is_refused() {
        // A run of 2^40: one byte each of nothing would fill a terabyte.
        let run = [0x80, 0x80, 0x80, 0x80, 0x80, 0x20, 0x01];
        assert_eq!(rows(&run, |_| 1), Err(NotPlain::TooManyOperations));
        let nulls = [0x00, 0x80, 0x80, 0x80, 0x80, 0x80, 0x20];
        assert_eq!(rows(&nulls, |_| 1), Err(NotPlain::TooManyOperations));
        // One row with 2^40 predecessors.
        let predecessors = [0x7f, 0x80, 0x80, 0x80, 0x80, 0x80, 0x20];
        assert_eq!(rows(&predecessors, |_| 1), Ok(()));
        assert_eq!(
            rows(&predecessors, |value| value.max(1)),
            Err(NotPlain::TooManyOperations)
        );
        // A literal run that claims more than the column has.
        let literal = [0x80, 0x80, 0x80, 0x80, 0x80, 0x60, 0x01];
        assert_eq!(rows(&literal, |_| 1), Err(NotPlain::Malformed));
    }
}
