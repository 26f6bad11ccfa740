//! Writing what was made: a file, or several into a folder; never over what is there unless
//! the person said so.

use std::path::{Path, PathBuf};

use clap::Args;
use tallywater_bindings::{Fault, save_file};

/// Where it goes.
#[derive(Debug, Clone, Args)]
pub(super) struct Out {
    /// The file to write, or the folder for several files. A file that is there is left as it
    /// is.
    #[arg(long, short, value_name = "PATH")]
    pub(super) out: PathBuf,
    /// Write over a file that is there already.
    #[arg(long)]
    replace: bool,
}

impl Out {
    /// Writes the one file, and says so.
    pub(super) fn file(&self, bytes: Vec<u8>) -> Result<(), Fault> {
        self.write(&self.out, bytes)?;
        println!("{}", self.out.display());
        Ok(())
    }

    /// Writes a file into the folder, which is made if it is not there, and says so.
    pub(super) fn to_folder(&self, name: &str, bytes: Vec<u8>) -> Result<(), Fault> {
        std::fs::create_dir_all(&self.out).map_err(|error| Fault::Internal {
            detail: format!("could not make {}: {}", self.out.display(), error.kind()),
        })?;
        let path = self.out.join(name);
        self.write(&path, bytes)?;
        println!("{}", path.display());
        Ok(())
    }

    fn write(&self, path: &Path, bytes: Vec<u8>) -> Result<(), Fault> {
        save_file(path.display().to_string(), bytes, self.replace)
    }
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
