//! Beside: a desk that only looks, in a folder that another desk has in use. It sees
//! everything that was stored when it was opened, and records nothing.

use std::path::Path;
use std::sync::{Arc, Mutex};

use zeroize::Zeroizing;

use super::device::Device;
use super::shelf::Shelf;
use super::{Desk, DeskError, KeyStore, KeyStoreError, STORE_FILE, post};
use crate::stamp::Stamps;
use crate::store::{Beside, Store};

/// Keys that are read and never made: a device that has none yet is not looked at.
struct AsTheyAre(Box<dyn KeyStore>);

impl KeyStore for AsTheyAre {
    fn load(&self, name: &str) -> Result<Option<Zeroizing<Vec<u8>>>, KeyStoreError> {
        self.0.load(name)
    }

    fn save(&self, _: &str, _: &[u8]) -> Result<(), KeyStoreError> {
        Err(KeyStoreError {
            during: "look at a device",
            detail: "it has no keys".into(),
        })
    }
}

impl Desk {
    /// Opens the desk in a folder to look at it, whether another desk has the folder in use or
    /// not. What it answers is as it was at this moment; [`Desk::record`] fails.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if the folder is no device's, [`DeskError::Store`], as locked
    /// where its file must first be brought up to date by [`Desk::open`].
    pub fn open_to_read(
        folder: &Path,
        keys: Box<dyn KeyStore>,
        stamps: Arc<dyn Stamps>,
    ) -> Result<Self, DeskError> {
        let file = folder.join(STORE_FILE);
        if !file.is_file() {
            return Err(DeskError::NotFound {
                what: "device folder",
                id: post::last_part(folder),
            });
        }
        let store = Store::open_beside(&file, Beside::Read)?;
        let keys: Box<dyn KeyStore> = Box::new(AsTheyAre(keys));
        let device = Device::open(keys.as_ref(), &store, stamps.as_ref())?;
        let mut shelf = Shelf::new(store, stamps, keys, device);
        shelf.open_shop()?;
        Ok(Self {
            shelf: Mutex::new(shelf),
            listeners: Mutex::new(Vec::new()),
            folder: folder.to_owned(),
            _in_use: None,
        })
    }
}
