//! Kept files: the bytes of photographs and sounds, each once, in pieces. Which of them a course
//! names stands in rows that are built from its entries; what no course names any more goes.

use std::collections::BTreeMap;

use rusqlite::{Connection, OptionalExtension as _, params};

use super::error::during;
use super::{Store, StoreError, named};
use crate::course::{LedgerId, Media};
use crate::entry::{DeviceKey, KeptFile, Sha256Hex};

/// A file that an entry names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct NamedFile {
    /// Which.
    pub file: KeptFile,
    /// The device that signed the entry.
    pub device: DeviceKey,
}

/// How much of a file is here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FileState {
    /// Nothing, or not all of it.
    OnItsWay {
        /// So many bytes of its beginning.
        have: u32,
    },
    /// All of it, and its bytes gave its digest.
    Whole,
    /// All of it, and its bytes do not give its digest any more. It is fetched again.
    Hurt,
    /// It came, and is not of the kind that its entry says: it is not kept.
    Refused,
}

impl FileState {
    const fn number(self) -> i64 {
        match self {
            Self::OnItsWay { .. } => 0,
            Self::Whole => 1,
            Self::Hurt => 2,
            Self::Refused => 3,
        }
    }

    const fn of(number: i64, have: u32) -> Option<Self> {
        match number {
            0 => Some(Self::OnItsWay { have }),
            1 => Some(Self::Whole),
            2 => Some(Self::Hurt),
            3 => Some(Self::Refused),
            _ => None,
        }
    }
}

/// A file that is named here and not whole here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LackingFile {
    /// The course that names it.
    pub ledger: LedgerId,
    /// Which, and who signed for it.
    pub named: NamedFile,
    /// How many bytes of its beginning are here.
    pub have: u32,
}

const KEEP: &str = "store a photograph or a sound";
const READ: &str = "read a photograph or a sound";
/// A file's row beside one that names it: its state and how much of it is here.
const STATE: &str = "coalesce(f.state, 0),
    coalesce((SELECT sum(length(bytes)) FROM kept_piece WHERE file = f.number), 0)";

impl Store {
    /// Puts a whole file in, in pieces of so many bytes; one that is whole already is left, and
    /// what there is of any other is replaced. All of it or nothing.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn put_file(
        &mut self,
        file: &KeptFile,
        bytes: &[u8],
        piece: usize,
    ) -> Result<(), StoreError> {
        let step = during(KEEP);
        let transaction = self.begin(KEEP)?;
        let (number, state) = begun(&transaction, file).map_err(step)?;
        if state != FileState::Whole.number() {
            drop_pieces(&transaction, number).map_err(step)?;
            let mut begins = 0_usize;
            for bytes in bytes.chunks(piece.max(1)) {
                put_piece(&transaction, number, begins, bytes).map_err(step)?;
                begins += bytes.len();
            }
            set_state(&transaction, number, FileState::Whole).map_err(step)?;
        }
        transaction.commit().map_err(step)
    }

    /// Puts in the next piece of a file that is on its way. Of one that is hurt the first piece
    /// takes the place of all that is here. `false`, with nothing changed, for a piece that does
    /// not begin where the one before it ended, or leads past the end.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn add_piece(
        &mut self,
        file: &KeptFile,
        begins: u32,
        bytes: &[u8],
    ) -> Result<bool, StoreError> {
        let step = during(KEEP);
        let transaction = self.begin(KEEP)?;
        let (number, state) = begun(&transaction, file).map_err(step)?;
        if state == FileState::Hurt.number() && begins == 0 {
            drop_pieces(&transaction, number).map_err(step)?;
            set_state(&transaction, number, FileState::OnItsWay { have: 0 }).map_err(step)?;
        } else if state != 0 {
            return Ok(false);
        }
        let have = have(&transaction, number).map_err(step)?;
        let length = u32::try_from(bytes.len()).unwrap_or(u32::MAX);
        let fits = have == begins && length > 0 && length <= file.bytes.saturating_sub(have);
        if fits {
            let begins = usize::try_from(begins).unwrap_or(usize::MAX);
            put_piece(&transaction, number, begins, bytes).map_err(step)?;
            transaction.commit().map_err(step)?;
        }
        Ok(fits)
    }

    /// The bytes of a file that are here, joined; `None` where nothing of it is, or it is
    /// refused. Whether they give its digest is for whoever asks.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn file_bytes(&self, file: &KeptFile) -> Result<Option<Vec<u8>>, StoreError> {
        let step = during(READ);
        let mut statement = self
            .connection
            .prepare_cached(
                "SELECT p.bytes FROM kept_piece p JOIN kept_file f ON f.number = p.file
                 WHERE f.digest = ?1 AND f.size = ?2 ORDER BY p.begins",
            )
            .map_err(step)?;
        let mut rows = statement
            .query(params![file.sha256.0, file.bytes])
            .map_err(step)?;
        let mut bytes = None;
        while let Some(row) = rows.next().map_err(step)? {
            let piece = row.get_ref(0).and_then(|value| Ok(value.as_blob()?));
            bytes
                .get_or_insert_with(Vec::new)
                .extend_from_slice(piece.map_err(step)?);
        }
        Ok(bytes)
    }

    /// The piece of a whole file in which this byte stands, from that byte on; `None` where the
    /// file is not whole here or ends before it.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn file_piece(&self, file: &KeptFile, from: u32) -> Result<Option<Vec<u8>>, StoreError> {
        let found: Option<(u32, Vec<u8>)> = self
            .connection
            .prepare_cached(
                "SELECT p.begins, p.bytes FROM kept_piece p JOIN kept_file f ON f.number = p.file
                 WHERE f.digest = ?1 AND f.size = ?2 AND f.state = 1 AND p.begins <= ?3
                 ORDER BY p.begins DESC LIMIT 1",
            )
            .and_then(|mut statement| {
                let given = params![file.sha256.0, file.bytes, from];
                let row = statement.query_row(given, |row| Ok((row.get(0)?, row.get(1)?)));
                row.optional()
            })
            .map_err(during(READ))?;
        let Some((begins, mut bytes)) = found else {
            return Ok(None);
        };
        let into = usize::try_from(from - begins).unwrap_or(usize::MAX);
        if into >= bytes.len() {
            return Ok(None);
        }
        bytes.drain(..into);
        Ok(Some(bytes))
    }

    /// Says how a file stands that has come, or was looked at. One that is on its way begins
    /// anew: its pieces go; so do those of one that is refused.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn set_file(&mut self, file: &KeptFile, state: FileState) -> Result<(), StoreError> {
        let step = during(KEEP);
        let transaction = self.begin(KEEP)?;
        let (number, _) = begun(&transaction, file).map_err(step)?;
        if matches!(state, FileState::OnItsWay { .. } | FileState::Refused) {
            drop_pieces(&transaction, number).map_err(step)?;
        }
        set_state(&transaction, number, state).map_err(step)?;
        transaction.commit().map_err(step)
    }

    /// The files that a course names, each with how much of it is here.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn files_of(&self, ledger: &LedgerId) -> Result<BTreeMap<KeptFile, FileState>, StoreError> {
        let step = during(READ);
        let sql = format!(
            "SELECT n.digest, n.size, n.media, {STATE} FROM names_file n
             JOIN ledger l ON l.number = n.ledger
             LEFT JOIN kept_file f ON f.digest = n.digest AND f.size = n.size
             WHERE l.name = ?1"
        );
        let mut statement = self.connection.prepare_cached(&sql).map_err(step)?;
        let rows = statement
            .query_map([ledger.to_string()], |row| {
                let state: (i64, u32) = (row.get(3)?, row.get(4)?);
                Ok((row.get(0)?, row.get(1)?, row.get::<_, String>(2)?, state))
            })
            .map_err(step)?;
        rows.map(|row| {
            let (digest, size, media, (state, have)) = row.map_err(step)?;
            let state = FileState::of(state, have).ok_or(StoreError::Damaged)?;
            Ok((kept(digest, size, &media)?, state))
        })
        .collect()
    }

    /// Every file that a course names and that is not whole here, the shortest first; at most
    /// so many.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn lacking_files(&self, most: u32) -> Result<Vec<LackingFile>, StoreError> {
        let step = during(READ);
        let sql = format!(
            "SELECT l.name, n.digest, n.size, n.media, n.device, {STATE} FROM names_file n
             JOIN ledger l ON l.number = n.ledger
             LEFT JOIN kept_file f ON f.digest = n.digest AND f.size = n.size
             WHERE coalesce(f.state, 0) IN (0, 2) ORDER BY n.size, n.digest, l.name LIMIT ?1"
        );
        let mut statement = self.connection.prepare_cached(&sql).map_err(step)?;
        let rows = statement
            .query_map([most], |row| {
                let ledger: String = row.get(0)?;
                let file: ([u8; 32], u32, String) = (row.get(1)?, row.get(2)?, row.get(3)?);
                let state: (i64, u32) = (row.get(5)?, row.get(6)?);
                Ok((ledger, file, row.get::<_, [u8; 32]>(4)?, state))
            })
            .map_err(step)?;
        rows.map(|row| {
            let (ledger, (digest, size, media), device, (state, have)) = row.map_err(step)?;
            let hurt = state == FileState::Hurt.number();
            Ok(LackingFile {
                ledger: named(&ledger)?,
                named: NamedFile {
                    file: kept(digest, size, &media)?,
                    device: DeviceKey(device),
                },
                have: if hurt { 0 } else { have },
            })
        })
        .collect()
    }

    /// Every file that is whole here, or was.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn whole_files(&self) -> Result<Vec<(KeptFile, FileState)>, StoreError> {
        let step = during(READ);
        let mut statement = self
            .connection
            .prepare_cached(
                "SELECT DISTINCT f.digest, f.size, n.media, f.state FROM kept_file f
                 JOIN names_file n ON n.digest = f.digest AND n.size = f.size
                 WHERE f.state IN (1, 2) ORDER BY f.number",
            )
            .map_err(step)?;
        let rows = statement
            .query_map([], |row| {
                let media: String = row.get(2)?;
                Ok((row.get(0)?, row.get(1)?, media, row.get(3)?))
            })
            .map_err(step)?;
        rows.map(|row| {
            let (digest, size, media, state) = row.map_err(step)?;
            let state = FileState::of(state, size).ok_or(StoreError::Damaged)?;
            Ok((kept(digest, size, &media)?, state))
        })
        .collect()
    }

    /// The courses that name a file.
    ///
    /// # Errors
    /// [`StoreError`].
    pub fn naming(&self) -> Result<Vec<LedgerId>, StoreError> {
        let step = during(READ);
        let mut statement = self
            .connection
            .prepare_cached(
                "SELECT name FROM ledger WHERE number IN (SELECT ledger FROM names_file)",
            )
            .map_err(step)?;
        let rows = statement
            .query_map([], |row| row.get::<_, String>(0))
            .map_err(step)?;
        rows.map(|row| named(&row.map_err(step)?)).collect()
    }

    /// Drops every file that no course names: overwritten in the file and gone from its log when
    /// this returns. Answers how many went. Nothing goes while it is not known of every ledger
    /// what it names.
    ///
    /// # Errors
    /// [`StoreError`]. After [`StoreError::Locked`] the bytes may still be in the log, since
    /// another program is reading: the next one that is dropped takes them along.
    pub fn drop_unnamed_files(&mut self) -> Result<usize, StoreError> {
        let what = "drop a photograph or a sound";
        let step = during(what);
        let transaction = self.begin(what)?;
        let gone: Vec<i64> = {
            let mut statement = transaction
                .prepare_cached(
                    "SELECT number FROM kept_file f WHERE NOT EXISTS (
                         SELECT 1 FROM names_file n WHERE n.digest = f.digest AND n.size = f.size
                     ) AND NOT EXISTS (SELECT 1 FROM ledger WHERE entries IS NULL)",
                )
                .map_err(step)?;
            let rows = statement.query_map([], |row| row.get(0)).map_err(step)?;
            rows.collect::<Result<_, _>>().map_err(step)?
        };
        if gone.is_empty() {
            return Ok(0);
        }
        for number in &gone {
            drop_pieces(&transaction, *number)
                .and_then(|()| {
                    transaction.execute("DELETE FROM kept_file WHERE number = ?1", [number])
                })
                .map_err(step)?;
        }
        transaction.commit().map_err(step)?;
        self.empty_log(what)?;
        Ok(gone.len())
    }
}

/// Writes which files a course names, in place of what was there.
pub(super) fn write_named(
    connection: &Connection,
    number: i64,
    files: &[NamedFile],
) -> rusqlite::Result<()> {
    connection
        .prepare_cached("DELETE FROM names_file WHERE ledger = ?1")?
        .execute([number])?;
    let mut statement = connection.prepare_cached(
        "INSERT INTO names_file (ledger, digest, size, media, device)
         VALUES (?1, ?2, ?3, ?4, ?5) ON CONFLICT DO NOTHING",
    )?;
    for NamedFile { file, device } in files {
        let (digest, media) = (file.sha256.0, file.media.name());
        statement.execute(params![number, digest, file.bytes, media, device.0])?;
    }
    Ok(())
}

fn kept(digest: [u8; 32], bytes: u32, media: &str) -> Result<KeptFile, StoreError> {
    let media = Media::ALL.into_iter().find(|one| one.name() == media);
    Ok(KeptFile {
        sha256: Sha256Hex(digest),
        bytes,
        media: media.ok_or(StoreError::Damaged)?,
    })
}

/// The row of a file, begun if it is not there: its number and its state.
fn begun(connection: &Connection, file: &KeptFile) -> rusqlite::Result<(i64, i64)> {
    let given = params![file.sha256.0, file.bytes];
    connection
        .prepare_cached(
            "INSERT INTO kept_file (digest, size) VALUES (?1, ?2) ON CONFLICT DO NOTHING",
        )?
        .execute(given)?;
    connection
        .prepare_cached("SELECT number, state FROM kept_file WHERE digest = ?1 AND size = ?2")?
        .query_row(given, |row| Ok((row.get(0)?, row.get(1)?)))
}

fn have(connection: &Connection, number: i64) -> rusqlite::Result<u32> {
    connection
        .prepare_cached("SELECT coalesce(sum(length(bytes)), 0) FROM kept_piece WHERE file = ?1")?
        .query_row([number], |row| row.get(0))
}

fn put_piece(
    connection: &Connection,
    number: i64,
    begins: usize,
    bytes: &[u8],
) -> rusqlite::Result<()> {
    let begins = i64::try_from(begins).unwrap_or(i64::MAX);
    connection
        .prepare_cached("INSERT INTO kept_piece (file, begins, bytes) VALUES (?1, ?2, ?3)")?
        .execute(params![number, begins, bytes])
        .map(|_| ())
}

fn drop_pieces(connection: &Connection, number: i64) -> rusqlite::Result<()> {
    connection
        .prepare_cached("DELETE FROM kept_piece WHERE file = ?1")?
        .execute([number])
        .map(|_| ())
}

fn set_state(connection: &Connection, number: i64, state: FileState) -> rusqlite::Result<()> {
    connection
        .prepare_cached("UPDATE kept_file SET state = ?2 WHERE number = ?1")?
        .execute(params![number, state.number()])
        .map(|_| ())
}
