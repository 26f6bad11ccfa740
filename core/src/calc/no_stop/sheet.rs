//! The printed tables, read from fixtures/tables while compiling: a file that is not a table does
//! not build, and at the poolside there is nothing left to go wrong.

/// One cell of a printed table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Cell {
    /// Nothing is printed there.
    Blank,
    /// A number, or `h:mm` as minutes.
    Number(u32),
    /// `h:mm-h:mm`, both ends included, as minutes.
    Span(u32, u32),
    /// `*`, the highest group that the depth can reach.
    Highest,
    /// `**`, a residual time that cannot be determined.
    Undetermined,
    /// A dagger, printed here as `+`: read the 30 fsw row.
    ReadAt30,
    /// The word unlimited.
    Unlimited,
    /// A group's letter.
    Letter(u8),
}

/// Table 9-7: depth, limit, then the sixteen groups from A to Z.
pub(super) static LIMITS: [[Cell; 18]; 24] = read(include_str!(
    "../../../../fixtures/tables/us_navy_rev7_table_9_7.csv"
));
/// Table 9-8, upper part: group, then the new groups from Z to A, then the end of repetition.
pub(super) static INTERVALS: [[Cell; 18]; 16] = read(include_str!(
    "../../../../fixtures/tables/us_navy_rev7_table_9_8_interval.csv"
));
/// Table 9-8, lower part: depth, then the groups from Z to A.
pub(super) static RESIDUALS: [[Cell; 17]; 24] = read(include_str!(
    "../../../../fixtures/tables/us_navy_rev7_table_9_8_residual.csv"
));
/// Table 9-6: group, then 1,000 to 10,000 ft.
pub(super) static FLYING: [[Cell; 11]; 16] = read(include_str!(
    "../../../../fixtures/tables/us_navy_rev7_table_9_6.csv"
));
/// Table 9-5: altitude in feet, group on arrival.
pub(super) static ARRIVAL: [[Cell; 2]; 10] = read(include_str!(
    "../../../../fixtures/tables/us_navy_rev7_table_9_5.csv"
));

/// Reads exactly `ROWS` lines of `COLUMNS` cells after the head and its `#` lines.
#[expect(
    clippy::indexing_slicing,
    reason = "runs only while compiling: a malformed table is a build that fails"
)]
const fn read<const ROWS: usize, const COLUMNS: usize>(text: &str) -> [[Cell; COLUMNS]; ROWS] {
    let bytes = text.as_bytes();
    let mut rows = [[Cell::Blank; COLUMNS]; ROWS];
    let mut row = 0;
    let mut at = 0;
    let mut head_seen = false;
    while at < bytes.len() {
        let mut end = at;
        while end < bytes.len() && bytes[end] != b'\n' {
            end += 1;
        }
        if bytes[at] != b'#' {
            if head_seen {
                assert!(row < ROWS, "a table has more lines than it should");
                rows[row] = line(bytes, at, end);
                row += 1;
            }
            head_seen = true;
        }
        at = end + 1;
    }
    assert!(row == ROWS, "a table has fewer lines than it should");
    rows
}

#[expect(clippy::indexing_slicing, reason = "runs only while compiling")]
const fn line<const COLUMNS: usize>(bytes: &[u8], from: usize, until: usize) -> [Cell; COLUMNS] {
    let mut cells = [Cell::Blank; COLUMNS];
    let mut column = 0;
    let mut start = from;
    let mut at = from;
    while at <= until {
        if at == until || bytes[at] == b',' {
            assert!(column < COLUMNS, "a line has more cells than it should");
            cells[column] = cell(bytes, start, at);
            column += 1;
            start = at + 1;
        }
        at += 1;
    }
    assert!(column == COLUMNS, "a line has fewer cells than it should");
    cells
}

#[expect(clippy::indexing_slicing, reason = "runs only while compiling")]
const fn cell(bytes: &[u8], from: usize, until: usize) -> Cell {
    if from == until {
        return Cell::Blank;
    }
    match bytes[from] {
        b'*' if until - from == 1 => Cell::Highest,
        b'*' => Cell::Undetermined,
        b'+' => Cell::ReadAt30,
        b'u' => Cell::Unlimited,
        letter @ b'A'..=b'Z' if until - from == 1 => Cell::Letter(letter),
        _ => number(bytes, from, until),
    }
}

#[expect(
    clippy::indexing_slicing,
    clippy::panic,
    reason = "runs only while compiling: a malformed table is a build that fails"
)]
const fn number(bytes: &[u8], from: usize, until: usize) -> Cell {
    let mut first: Option<u32> = None;
    let mut hours = 0;
    let mut value = 0;
    let mut at = from;
    while at < until {
        match bytes[at] {
            digit @ b'0'..=b'9' => value = value * 10 + (digit - b'0') as u32,
            b':' => {
                hours = value;
                value = 0;
            }
            b'-' => {
                first = Some(hours * 60 + value);
                hours = 0;
                value = 0;
            }
            _ => panic!("a cell is neither a number, a time, a group nor a mark"),
        }
        at += 1;
    }
    match first {
        Some(first) => Cell::Span(first, hours * 60 + value),
        None => Cell::Number(hours * 60 + value),
    }
}
