//! Writing what was made: a file, several into a folder, or the standard output; never over
//! what is there unless the person said so, and never into a device's folder.

use std::path::{Path, PathBuf};

use clap::Args;
use tallywater_bindings::{Fault, is_in_device_folder, save_file};

use super::catalogue::tr;
use super::turn::{File, Turn};

/// Where it goes.
#[derive(Debug, Clone, Args)]
pub(super) struct Out {
    /// The file to write, `-` for the standard output, or the folder for several files. A file
    /// that is there is left as it is.
    #[arg(long, short, value_name = "PATH")]
    pub(super) out: PathBuf,
    /// Write over a file that is there already.
    #[arg(long)]
    replace: bool,
    /// Leave a file that is there as it is, and go on: for a run every night.
    #[arg(long, conflicts_with = "replace")]
    skip_existing: bool,
}

impl Out {
    /// Whether everything this would write is to be left out, since it is there.
    pub(super) fn skips(&self, turn: &Turn, name: Option<&str>) -> bool {
        let path = turn.path(&self.out);
        let path = name.map_or_else(|| path.clone(), |name| path.join(name));
        self.skip_existing && path.symlink_metadata().is_ok_and(|there| there.is_file())
    }

    /// Writes the one file of this kind (`pdf`, `csv`), and says so.
    pub(super) fn file(&self, turn: &Turn, kind: &str, bytes: Vec<u8>) -> Result<(), Fault> {
        self.digested(turn, kind, None, bytes)
    }

    /// The same, where its digest is known.
    pub(super) fn digested(
        &self,
        turn: &Turn,
        kind: &str,
        sha256: Option<&str>,
        bytes: Vec<u8>,
    ) -> Result<(), Fault> {
        if self.out == Path::new("-") {
            turn.put(&bytes);
            return Ok(());
        }
        if self.skips(turn, None) {
            left(turn, &self.out, kind);
            return Ok(());
        }
        let size = size(&bytes);
        self.write(&turn.path(&self.out), bytes)?;
        turn.wrote(&File {
            path: &self.out,
            kind,
            bytes: size,
            sha256,
            written: true,
        });
        Ok(())
    }

    /// Writes a file of this kind into the folder, which is made if it is not there, and says so.
    pub(super) fn to_folder(
        &self,
        turn: &Turn,
        kind: &str,
        name: &str,
        bytes: Vec<u8>,
    ) -> Result<(), Fault> {
        let folder = turn.path(&self.out);
        if self.skips(turn, Some(name)) {
            left(turn, &self.out.join(name), kind);
            return Ok(());
        }
        // Asked before the folder is made: none is made inside a device's folder.
        let first = folder.join(name).display().to_string();
        if is_in_device_folder(first) {
            return Err({
                // The folder alone: the file may be called after a person.
                let folder = self.out.display().to_string();
                super::find::refused("device_folder", "folder", Some(&folder))
            });
        }
        if !folder.is_dir() {
            std::fs::create_dir_all(&folder).map_err(|error| Fault::Internal {
                detail: format!("could not make {}: {}", self.out.display(), error.kind()),
            })?;
        }
        let size = size(&bytes);
        self.write(&folder.join(name), bytes)?;
        turn.wrote(&File {
            path: &self.out.join(name),
            kind,
            bytes: size,
            sha256: None,
            written: true,
        });
        Ok(())
    }

    fn write(&self, path: &Path, bytes: Vec<u8>) -> Result<(), Fault> {
        save_file(path.display().to_string(), bytes, self.replace)
    }
}

fn size(bytes: &[u8]) -> u64 {
    u64::try_from(bytes.len()).unwrap_or(u64::MAX)
}

/// Says of a file that it was there, and was left as it is.
fn left(turn: &Turn, path: &Path, kind: &str) {
    turn.warn(tr!(
        "There already, and left as it is: {path}",
        path = path.display()
    ));
    turn.wrote(&File {
        path,
        kind,
        bytes: turn.path(path).metadata().map_or(0, |there| there.len()),
        sha256: None,
        written: false,
    });
}

/// A text as part of a file's name.
pub(super) fn file_name(text: &str) -> String {
    let plain: String = text
        .chars()
        .map(|c| if c.is_alphanumeric() { c } else { ' ' })
        .collect();
    let words: Vec<&str> = plain.split_whitespace().collect();
    words.join("-").chars().take(60).collect()
}
