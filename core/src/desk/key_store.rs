//! Key store: where a device keeps its secrets.

use std::path::{Path, PathBuf};

use zeroize::Zeroizing;

use super::KeyStoreError;
use crate::store::private::make_folder;

/// Keeps secrets by name. On mobile the shell supplies the platform's own; on desktop
/// [`FileKeyStore`] does.
pub trait KeyStore: Send + Sync {
    /// The secret under this name; `None` if there is none.
    ///
    /// # Errors
    /// [`KeyStoreError`] when the store cannot be read; never for a missing name.
    fn load(&self, name: &str) -> Result<Option<Zeroizing<Vec<u8>>>, KeyStoreError>;
    /// Keeps a secret under this name.
    ///
    /// # Errors
    /// [`KeyStoreError`].
    fn save(&self, name: &str, secret: &[u8]) -> Result<(), KeyStoreError>;
}

/// One file a secret, readable by its owner alone.
#[derive(Debug, Clone)]
pub struct FileKeyStore {
    folder: PathBuf,
}

impl FileKeyStore {
    /// A key store in this folder, which is made when the first secret is kept.
    pub fn new(folder: &Path) -> Self {
        Self {
            folder: folder.to_owned(),
        }
    }

    fn file(&self, name: &str) -> PathBuf {
        self.folder.join(format!("{name}.key"))
    }
}

fn failed(during: &'static str) -> impl FnOnce(std::io::Error) -> KeyStoreError {
    move |error| KeyStoreError {
        during,
        detail: error.kind().to_string(),
    }
}

impl KeyStore for FileKeyStore {
    fn load(&self, name: &str) -> Result<Option<Zeroizing<Vec<u8>>>, KeyStoreError> {
        match std::fs::read(self.file(name)) {
            Ok(secret) => Ok(Some(Zeroizing::new(secret))),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(failed("read a key")(error)),
        }
    }

    /// Writes beside and renames: a power cut leaves the old secret or the new one.
    fn save(&self, name: &str, secret: &[u8]) -> Result<(), KeyStoreError> {
        use std::io::Write as _;
        make_folder(&self.folder, "device.key").map_err(failed("make the key folder"))?;
        let beside = self.folder.join(format!("{name}.new"));
        let mut options = std::fs::OpenOptions::new();
        options.write(true).create(true).truncate(true);
        #[cfg(unix)]
        {
            use std::os::unix::fs::OpenOptionsExt as _;
            options.mode(0o600);
        }
        let mut file = options.open(&beside).map_err(failed("write a key"))?;
        file.write_all(secret).map_err(failed("write a key"))?;
        file.sync_all().map_err(failed("write a key"))?;
        std::fs::rename(&beside, self.file(name)).map_err(failed("write a key"))
    }
}
