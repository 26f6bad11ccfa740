//! Salvage: every whole piece of a ledger out of a file that SQLite may no longer open.
//!
//! Nothing here trusts the file's own tables: each page is looked at by itself, a row is known by
//! its shape, and whatever begins like a piece of a ledger is handed on. Whether it is one, whole
//! and unchanged, its checksum and the signatures in it say, not the page it was found on. The
//! file is only read.
//!
//! Format: "Database File Format", sqlite.org/fileformat2.html, sections 1.3, 1.6, 2.1 and 4.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{Read as _, Seek as _, SeekFrom};
use std::path::Path;

use super::StoreError;
use super::error::file;
use super::open::with;
use crate::course::LedgerId;

/// What every piece of a ledger begins with.
const MAGIC: [u8; 4] = [0x85, 0x6f, 0x4a, 0x83];
/// The page size that SQLite chose for every store of ours; asked first where the header is gone.
const USUAL_PAGE: usize = 4096;
/// A piece longer than this is not followed: a hurt length must not fill the memory.
const LONGEST: usize = 256 * 1024 * 1024;
const LOG_HEADER: u64 = 32;
const FRAME_HEADER: u64 = 24;

/// What was found in a hurt file.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Found {
    /// Ledgers by the names that stand in the file.
    pub ledgers: BTreeSet<LedgerId>,
    /// What begins like a piece of a ledger; whether it is whole is not known yet.
    pub pieces: BTreeSet<Vec<u8>>,
    /// Values of the device's own settings.
    pub settings: BTreeMap<String, Vec<u8>>,
    /// Pages looked at.
    pub pages: u64,
}

/// Looks through a store's file and its log.
///
/// # Errors
/// [`StoreError::File`] if it cannot be read; never for what is in it.
pub fn search(path: &Path) -> Result<Found, StoreError> {
    let step = file("read a damaged file");
    let mut source = Source::open(path).map_err(step)?;
    let mut found = Found::default();
    for place in source.places() {
        let Some(page) = source.read(place).map_err(step)? else {
            continue;
        };
        found.pages += 1;
        for start in [0, 100] {
            // The first page begins after the file's own header.
            if start == 0 || place.is_first() {
                rows(&page, start, &mut source, &mut found).map_err(step)?;
            }
        }
        loose(&page, &mut found);
    }
    Ok(found)
}

/// Where a page stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    /// In the file, by number from one.
    File(u64),
    /// In the log, by frame from nought.
    Log(u64),
}

impl Place {
    const fn is_first(self) -> bool {
        matches!(self, Self::File(1) | Self::Log(_))
    }
}

/// The file and its log, page by page.
struct Source {
    file: Option<File>,
    log: Option<File>,
    size: usize,
    pages: u64,
    frames: u64,
    /// The latest frame of each page that is in the log.
    latest: BTreeMap<u64, u64>,
}

impl Source {
    fn open(path: &Path) -> std::io::Result<Self> {
        let maybe = |path: &Path| match File::open(path) {
            Ok(file) => Ok(Some(file)),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error),
        };
        let (mut file, mut log) = (maybe(path)?, maybe(&with(path, "-wal"))?);
        let size = page_size(&mut file, 16, 2)?;
        let size = match size {
            Some(size) => size,
            None => page_size(&mut log, 8, 4)?.unwrap_or(USUAL_PAGE),
        };
        let length = |file: &Option<File>| match file {
            Some(file) => file.metadata().map(|seen| seen.len()),
            None => Ok(0),
        };
        let each = u64::try_from(size).unwrap_or(u64::MAX);
        let mut source = Self {
            pages: length(&file)?.div_ceil(each),
            frames: length(&log)?
                .saturating_sub(LOG_HEADER)
                .div_ceil(each.saturating_add(FRAME_HEADER)),
            file,
            log,
            size,
            latest: BTreeMap::new(),
        };
        for frame in 0..source.frames {
            let mut number = [0; 4];
            let at = source.frame_at(frame);
            if let Some(log) = &mut source.log {
                log.seek(SeekFrom::Start(at))?;
                if log.read_exact(&mut number).is_ok() {
                    source
                        .latest
                        .insert(u32::from_be_bytes(number).into(), frame);
                }
            }
        }
        Ok(source)
    }

    fn frame_at(&self, frame: u64) -> u64 {
        let each = u64::try_from(self.size).unwrap_or(u64::MAX) + FRAME_HEADER;
        LOG_HEADER.saturating_add(frame.saturating_mul(each))
    }

    fn places(&self) -> impl Iterator<Item = Place> + use<> {
        let file = (1..=self.pages).map(Place::File);
        file.chain((0..self.frames).map(Place::Log))
    }

    /// One page, filled up with noughts where the file ends early.
    fn read(&mut self, place: Place) -> std::io::Result<Option<Vec<u8>>> {
        let each = u64::try_from(self.size).unwrap_or(u64::MAX);
        let (file, at) = match place {
            Place::File(number) => {
                let at = number.saturating_sub(1).saturating_mul(each);
                (&mut self.file, at)
            }
            Place::Log(frame) => {
                let at = self.frame_at(frame).saturating_add(FRAME_HEADER);
                (&mut self.log, at)
            }
        };
        let Some(file) = file else { return Ok(None) };
        file.seek(SeekFrom::Start(at))?;
        let mut page = Vec::with_capacity(self.size);
        file.take(each).read_to_end(&mut page)?;
        if page.is_empty() {
            return Ok(None);
        }
        page.resize(self.size, 0);
        Ok(Some(page))
    }

    /// A page by its number: as the log has it, else as the file does; or the other way about.
    fn numbered(&mut self, number: u64, log_first: bool) -> std::io::Result<Option<Vec<u8>>> {
        let logged = self.latest.get(&number).copied().map(Place::Log);
        let filed = (number >= 1 && number <= self.pages).then_some(Place::File(number));
        let place = if log_first {
            logged.or(filed)
        } else {
            filed.or(logged)
        };
        match place {
            Some(place) => self.read(place),
            None => Ok(None),
        }
    }
}

/// The page size that a header states; `None` if it states none that can be.
fn page_size(file: &mut Option<File>, at: u64, bytes: usize) -> std::io::Result<Option<usize>> {
    let Some(file) = file else { return Ok(None) };
    let mut stated = vec![0; bytes];
    file.seek(SeekFrom::Start(at))?;
    if file.read_exact(&mut stated).is_err() {
        return Ok(None);
    }
    let size = stated
        .iter()
        .fold(0_usize, |sum, byte| (sum << 8) | usize::from(*byte));
    let size = if size == 1 { 65_536 } else { size };
    Ok((size.is_power_of_two() && (512..=65_536).contains(&size)).then_some(size))
}

/// A number as SQLite writes it, and what follows it.
fn varint(bytes: &[u8]) -> Option<(u64, &[u8])> {
    let mut value: u64 = 0;
    for place in 0..9 {
        let byte = *bytes.get(place)?;
        if place == 8 {
            value = (value << 8) | u64::from(byte);
        } else {
            value = (value << 7) | u64::from(byte & 0x7f);
            if byte & 0x80 != 0 {
                continue;
            }
        }
        return Some((value, bytes.get(place + 1..)?));
    }
    None
}

/// Every row on a page that is a leaf of a table, or of one without row numbers.
fn rows(page: &[u8], start: usize, source: &mut Source, found: &mut Found) -> std::io::Result<()> {
    const TABLE_LEAF: u8 = 0x0d;
    const INDEX_LEAF: u8 = 0x0a;
    let Some(header) = page.get(start..) else {
        return Ok(());
    };
    let (table, count) = match (header.first(), header.get(3..5)) {
        (Some(&TABLE_LEAF), Some(&[a, b])) => (true, u16::from_be_bytes([a, b])),
        (Some(&INDEX_LEAF), Some(&[a, b])) => (false, u16::from_be_bytes([a, b])),
        _ => return Ok(()),
    };
    let pointers = header.get(8..).unwrap_or_default().chunks_exact(2);
    for pointer in pointers.take(count.into()) {
        let &[a, b] = pointer else { continue };
        let Some(cell) = page.get(usize::from(u16::from_be_bytes([a, b]))..) else {
            continue;
        };
        for log_first in [true, false] {
            if let Some(payload) = payload(cell, table, log_first, source)?
                && take(&payload, found)
            {
                break;
            }
        }
    }
    Ok(())
}

/// A row's bytes, gathered from the pages on which they run over.
fn payload(
    cell: &[u8],
    table: bool,
    log_first: bool,
    source: &mut Source,
) -> std::io::Result<Option<Vec<u8>>> {
    let Some((length, mut rest)) = varint(cell) else {
        return Ok(None);
    };
    let length = match usize::try_from(length) {
        Ok(length) if length <= LONGEST => length,
        Ok(_) | Err(_) => return Ok(None),
    };
    if table {
        match varint(rest) {
            Some((_, after)) => rest = after,
            None => return Ok(None),
        }
    }
    let usable = source.size;
    let most = if table {
        usable - 35
    } else {
        (usable - 12) * 64 / 255 - 23
    };
    let least = (usable - 12) * 32 / 255 - 23;
    let local = if length <= most {
        length
    } else {
        let fit = least + (length - least) % (usable - 4);
        if fit <= most { fit } else { least }
    };
    let Some(here) = rest.get(..local) else {
        return Ok(None);
    };
    let mut bytes = here.to_vec();
    let mut next = rest.get(local..local + 4).map(be32).unwrap_or_default();
    while bytes.len() < length {
        let Some(page) = source.numbered(next, log_first)? else {
            return Ok(None);
        };
        let Some((number, more)) = page.split_at_checked(4) else {
            return Ok(None);
        };
        next = be32(number);
        let missing = length - bytes.len();
        bytes.extend(more.iter().take(missing));
    }
    Ok(Some(bytes))
}

fn be32(bytes: &[u8]) -> u64 {
    bytes
        .iter()
        .fold(0, |sum, byte| (sum << 8) | u64::from(*byte))
}

/// One value of a row.
enum Value<'a> {
    Other,
    Text(&'a [u8]),
    Blob(&'a [u8]),
}

/// Reads a row; answers whether it was one of those looked for.
fn take(payload: &[u8], found: &mut Found) -> bool {
    let Some(values) = values(payload) else {
        return false;
    };
    match values.as_slice() {
        // The device's settings: a key and its value.
        [Value::Text(key), Value::Blob(value)] => {
            if let Ok(key) = std::str::from_utf8(key) {
                found.settings.insert(key.to_owned(), value.to_vec());
            }
            true
        }
        // A ledger's name under its number.
        [Value::Other, Value::Text(name), ..] => {
            let name = std::str::from_utf8(name).ok();
            let ledger: Option<LedgerId> = name.and_then(|name| name.parse().ok());
            found.ledgers.extend(ledger);
            ledger.is_some()
        }
        // A change whose beginning is hurt; what lies whole in it is looked for by its shape.
        [
            Value::Other,
            Value::Other,
            Value::Blob(hash),
            Value::Blob(bytes),
        ] if hash.len() == 32 && !bytes.starts_with(&MAGIC) => found.pieces.insert(bytes.to_vec()),
        _ => {
            let pieces = values.iter().filter_map(|value| match value {
                Value::Blob(bytes) if bytes.starts_with(&MAGIC) => Some(bytes.to_vec()),
                Value::Blob(_) | Value::Text(_) | Value::Other => None,
            });
            let before = found.pieces.len();
            found.pieces.extend(pieces);
            found.pieces.len() > before
        }
    }
}

/// The values of a row; `None` if its head does not fit its length.
fn values(payload: &[u8]) -> Option<Vec<Value<'_>>> {
    let (head, after) = varint(payload)?;
    let head = usize::try_from(head).ok()?;
    let own = payload.len().checked_sub(after.len())?;
    let mut types = after.get(..head.checked_sub(own)?)?;
    let mut body = payload.get(head..)?;
    let mut values = Vec::new();
    while !types.is_empty() && values.len() < 16 {
        let (kind, rest) = varint(types)?;
        types = rest;
        let size = match kind {
            0 | 8 | 9 => 0,
            1..=4 => usize::try_from(kind).ok()?,
            5 => 6,
            6 | 7 => 8,
            10 | 11 => return None,
            _ => usize::try_from((kind - 12) / 2).ok()?,
        };
        let (value, rest) = body.split_at_checked(size)?;
        body = rest;
        values.push(match kind {
            0..=11 => Value::Other,
            text if text % 2 == 1 => Value::Text(value),
            _ => Value::Blob(value),
        });
    }
    Some(values)
}

/// Pieces that lie whole on a page whose own lists are hurt.
fn loose(page: &[u8], found: &mut Found) {
    let starts = page.windows(MAGIC.len()).enumerate();
    for (at, _) in starts.filter(|(_, four)| **four == MAGIC) {
        let Some(rest) = page.get(at..) else { continue };
        if let Some(length) = stated_length(rest)
            && let Some(piece) = rest.get(..length)
        {
            found.pieces.insert(piece.to_vec());
        }
    }
}

/// How long a piece says it is: magic, four bytes of checksum, one of kind, then its length in
/// groups of seven bits, the lowest first.
fn stated_length(piece: &[u8]) -> Option<usize> {
    let mut length: usize = 0;
    for (place, byte) in piece.get(9..)?.iter().enumerate().take(4) {
        length |= usize::from(byte & 0x7f) << (7 * place);
        if byte & 0x80 == 0 {
            return length.checked_add(9 + place + 1);
        }
    }
    None
}
