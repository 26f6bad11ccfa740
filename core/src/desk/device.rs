//! Device: this device's keys and the shop it belongs to.

use zeroize::Zeroizing;

use super::{DeskError, KeyStore, KeyStoreError};
use crate::course::{LedgerId, ShopId};
use crate::entry::DeviceKey;
use crate::stamp::Stamps;
use crate::store::Store;
use crate::trust::{SecretKey, shop_id};

/// Where the store keeps the shop's root key.
pub(super) const ROOT_SETTING: &str = "shop.root";

/// This device's keys and, once it is set up, its shop.
#[derive(Debug)]
pub(super) struct Device {
    /// Signs entries.
    pub(super) key: SecretKey,
    /// Seed of the key that opens connections.
    pub(super) link: Zeroizing<[u8; 32]>,
    /// The shop's root key, on the shop's own computer or a lone instructor's tablet.
    pub(super) root: Option<SecretKey>,
    /// The shop's root public key.
    pub(super) shop: Option<DeviceKey>,
}

impl Device {
    /// Opens the device's keys, making them the first time.
    pub(super) fn open(
        keys: &dyn KeyStore,
        store: &Store,
        stamps: &dyn Stamps,
    ) -> Result<Self, DeskError> {
        let key = SecretKey::from_seed(&*seed(keys, stamps, "device")?);
        let link = seed(keys, stamps, "link")?;
        let shop = match store.setting(ROOT_SETTING)? {
            Some(bytes) => Some(DeviceKey(bytes.try_into().map_err(|_| malformed())?)),
            None => None,
        };
        // One that was kept of a school that this device has left is no shop's any more.
        let root = load(keys, "root")?
            .map(|seed| SecretKey::from_seed(&seed))
            .filter(|root| shop.is_none_or(|shop| shop == root.public()));
        Ok(Self {
            key,
            link,
            root,
            shop,
        })
    }

    /// Makes a shop of its own: a root key, kept before anything is signed with it.
    pub(super) fn found(
        &mut self,
        keys: &dyn KeyStore,
        store: &mut Store,
        stamps: &dyn Stamps,
    ) -> Result<(), DeskError> {
        let root = SecretKey::from_seed(&*seed(keys, stamps, "root")?);
        self.join(root.public(), store)?;
        self.root = Some(root);
        Ok(())
    }

    /// Belongs to this shop from now on.
    pub(super) fn join(&mut self, root: DeviceKey, store: &mut Store) -> Result<(), DeskError> {
        store.put_setting(ROOT_SETTING, &root.0)?;
        self.shop = Some(root);
        Ok(())
    }

    /// Belongs to no shop again: what was begun could not be written.
    pub(super) fn leave(&mut self, store: &mut Store) -> Result<(), DeskError> {
        store.drop_setting(ROOT_SETTING)?;
        self.shop = None;
        self.root = None;
        Ok(())
    }

    /// Takes the shop's root key itself, from its recovery sheet.
    pub(super) fn restore_root(
        &mut self,
        keys: &dyn KeyStore,
        seed: &[u8; 32],
    ) -> Result<(), DeskError> {
        keys.save("root", seed)?;
        self.root = Some(SecretKey::from_seed(seed));
        Ok(())
    }

    /// The key that opens this device's connections.
    pub(super) fn link_key(&self) -> DeviceKey {
        SecretKey::from_seed(&self.link).public()
    }

    /// The shop's id.
    pub(super) fn shop_id(&self) -> Result<ShopId, DeskError> {
        self.shop.as_ref().map(shop_id).ok_or(DeskError::NotStarted)
    }

    /// The shop's ledger.
    pub(super) fn shop_ledger(&self) -> Result<LedgerId, DeskError> {
        self.shop_id().map(LedgerId::Shop)
    }
}

/// The shop's root key that is kept on this device, if one is.
pub(super) fn root_of(keys: &dyn KeyStore) -> Result<Option<DeviceKey>, DeskError> {
    let seed = load(keys, "root")?;
    Ok(seed.map(|seed| SecretKey::from_seed(&seed).public()))
}

fn malformed() -> KeyStoreError {
    KeyStoreError {
        during: "read a key",
        detail: "it is not 32 bytes long".into(),
    }
}

fn load(keys: &dyn KeyStore, name: &str) -> Result<Option<Zeroizing<[u8; 32]>>, DeskError> {
    match keys.load(name)? {
        None => Ok(None),
        Some(bytes) => {
            let seed: [u8; 32] = bytes.as_slice().try_into().map_err(|_| malformed())?;
            Ok(Some(Zeroizing::new(seed)))
        }
    }
}

fn seed(
    keys: &dyn KeyStore,
    stamps: &dyn Stamps,
    name: &str,
) -> Result<Zeroizing<[u8; 32]>, DeskError> {
    if let Some(seed) = load(keys, name)? {
        return Ok(seed);
    }
    let seed = Zeroizing::new(stamps.secret()?);
    keys.save(name, &*seed)?;
    Ok(seed)
}
