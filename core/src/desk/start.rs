//! Start: how a device comes to belong to a shop.

use super::drafts::Drafts;
use super::shelf::Shelf;
use super::{Change, Desk, DeskError};
use crate::course::starter::{self, StarterError};
use crate::course::{LedgerId, Outline, Policy, Role, StaffId, clean_line};
use crate::entry::{
    Certificate, Consent, DeviceKey, FormatError, Kind, OutlineSet, PolicySet, ShopOpened,
    StaffJoined, Writer,
};
use crate::ledger::Ledger;
use crate::trust::{SecretKey, consent};

/// What a device shows of itself to be admitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DeviceCard {
    /// The key that signs.
    pub key: DeviceKey,
    /// The key that opens its connections.
    pub link: DeviceKey,
}

impl Shelf {
    /// The first entries of a shop, all of them or none.
    fn begin_shop(
        &mut self,
        shop: &str,
        person: &str,
        role: Role,
        device: &str,
        (outline, policy): (Outline, Policy),
    ) -> Result<(StaffId, Vec<Change>), DeskError> {
        self.open_shop()?;
        let ledger = self.device.shop_ledger()?;
        let staff = StaffId::new(self.stamps.id()?);
        let certificate = Certificate {
            staff,
            role,
            device: device.to_owned(),
            key: self.device.key.public(),
            link: Some(self.device.link_key()),
            from: self.today(),
            until: None,
            consent: None,
        };
        let drafts = Drafts::one(
            ledger,
            ShopOpened {
                name: shop.to_owned(),
            },
            Vec::new(),
        )
        .and(
            ledger,
            StaffJoined {
                staff,
                name: person.to_owned(),
            },
            Vec::new(),
        )
        .and(ledger, certificate, Vec::new());
        let drafts = drafts
            .and(ledger, OutlineSet { outline, why: None }, Vec::new())
            .and(
                ledger,
                PolicySet {
                    policy,
                    confirmed: Vec::new(),
                    proofs: Vec::new(),
                },
                Vec::new(),
            );
        let (_, changes) = self.write_down(drafts)?;
        Ok((staff, changes))
    }
}

impl Desk {
    /// Opens a shop on this computer, run by this person from its office. Shops never judge.
    ///
    /// # Errors
    /// [`DeskError::Started`] if the device belongs to a shop already.
    pub fn start_shop(&self, shop: &str, person: &str) -> Result<StaffId, DeskError> {
        self.found(shop, person, Role::Shop, "Shop computer")
    }

    /// Starts alone: this instructor's tablet is its own shop until it is joined to one.
    ///
    /// # Errors
    /// [`DeskError::Started`] if the device belongs to a shop already.
    pub fn start_alone(&self, shop: &str, person: &str) -> Result<StaffId, DeskError> {
        self.found(shop, person, Role::Instructor, "First tablet")
    }

    fn found(
        &self,
        shop: &str,
        person: &str,
        role: Role,
        device: &str,
    ) -> Result<StaffId, DeskError> {
        let mut guard = self.shelf();
        let shelf = &mut *guard;
        if shelf.device.shop.is_some() {
            return Err(DeskError::Started);
        }
        // Asked before anything is kept: a shop with no name must not come into being.
        let (shop, person) = (&clean_line(shop), &clean_line(person));
        crate::entry::check_name("shop", shop)?;
        crate::entry::check_name("name", person)?;
        // A starter that this program carries and cannot read is said, and no shop begins
        // without its rules.
        let built_wrong = |error: StarterError| FormatError::Malformed { what: error.what };
        let outline = shelf.starter_outline()?.map_err(built_wrong)?;
        let policy = starter::policy().map_err(built_wrong)?;
        shelf
            .device
            .found(shelf.keys.as_ref(), &mut shelf.store, shelf.stamps.as_ref())?;
        let begun = shelf.begin_shop(shop, person, role, device, (outline, policy));
        if begun.is_err() {
            // As if nothing had been asked: it can be tried again.
            shelf.device.leave(&mut shelf.store)?;
            shelf.shop = None;
            shelf.book = None;
        }
        let (staff, changes) = begun?;
        drop(guard);
        self.tell(&changes);
        Ok(staff)
    }

    /// Joins the shop whose root key and ledger were handed over at pairing. The ledger is
    /// believed only as far as the root key reaches.
    ///
    /// # Errors
    /// [`DeskError::Started`] if the device belongs to a shop already, [`DeskError::Ledger`]
    /// if the bytes are not that shop's ledger.
    pub fn join_shop(&self, root: DeviceKey, shop_ledger: &[u8]) -> Result<(), DeskError> {
        let mut guard = self.shelf();
        let shelf = &mut *guard;
        if shelf.device.shop.is_some() {
            return Err(DeskError::Started);
        }
        let id = LedgerId::Shop(crate::trust::shop_id(&root));
        let empty = Ledger::new(id, shelf.stamps.actor()?)?;
        let taken = empty.take_bytes(shop_ledger)?;
        shelf.device.join(root, &mut shelf.store)?;
        shelf.open_shop()?;
        shelf.absorb(taken)?;
        shelf.open_shop()
    }

    /// What this device shows of itself.
    pub fn card(&self) -> DeviceCard {
        let shelf = self.shelf();
        DeviceCard {
            key: shelf.device.key.public(),
            link: shelf.device.link_key(),
        }
    }

    /// This device's word that the device with that link key may admit it.
    pub fn consent_to(&self, by: &DeviceKey) -> Consent {
        let shelf = self.shelf();
        let link = SecretKey::from_seed(&shelf.device.link);
        consent(&shelf.device.key, &link, by)
    }

    /// Who this device acts for; `None` while it is not admitted or after it was revoked.
    pub fn me(&self) -> Option<Writer> {
        let shelf = self.shelf();
        let book = shelf.book.as_ref()?;
        let key = shelf.device.key.public();
        if book.is_revoked(&key) {
            None
        } else {
            book.writer(&key)
        }
    }

    /// The shop's root key; `None` before the device belongs to one.
    pub fn shop_root(&self) -> Option<DeviceKey> {
        self.shelf().device.shop
    }

    /// The shop's ledger as bytes, for a device that is being admitted.
    ///
    /// # Errors
    /// [`DeskError::NotStarted`].
    pub fn shop_ledger(&self) -> Result<Vec<u8>, DeskError> {
        let shelf = self.shelf();
        let (shop, _) = shelf.shop()?;
        Ok(shop.ledger.save()?)
    }

    /// The seed of the shop's root key, for the printed recovery sheet; `None` where the key
    /// is not on this device.
    pub fn recovery_seed(&self) -> Option<zeroize::Zeroizing<[u8; 32]>> {
        self.shelf().device.root.as_ref().map(SecretKey::seed)
    }

    /// Restores the shop's root key on a new computer from the recovery sheet's seed, then
    /// admits this computer as the shop's, for this person. What the shop had comes from
    /// any paired device's copy.
    ///
    /// # Errors
    /// [`DeskError::Started`] if the device belongs to another shop.
    pub fn restore_shop(&self, seed: &[u8; 32], person: &str) -> Result<StaffId, DeskError> {
        let mut guard = self.shelf();
        let shelf = &mut *guard;
        let root = SecretKey::from_seed(seed).public();
        if shelf.device.shop.is_some_and(|shop| shop != root) {
            return Err(DeskError::Started);
        }
        let person = &clean_line(person);
        crate::entry::check_name("name", person)?;
        shelf.device.restore_root(shelf.keys.as_ref(), seed)?;
        shelf.device.join(root, &mut shelf.store)?;
        shelf.open_shop()?;
        let ledger = shelf.device.shop_ledger()?;
        let staff = StaffId::new(shelf.stamps.id()?);
        let certificate = Certificate {
            staff,
            role: Role::Shop,
            device: "Shop computer".to_owned(),
            key: shelf.device.key.public(),
            link: Some(shelf.device.link_key()),
            from: shelf.today(),
            until: None,
            consent: None,
        };
        let drafts = Drafts::one(
            ledger,
            StaffJoined {
                staff,
                name: person.clone(),
            },
            Vec::new(),
        )
        .and(ledger, certificate, Vec::new());
        let (_, changes) = shelf.write_down(drafts)?;
        drop(guard);
        self.tell(&changes);
        Ok(staff)
    }

    /// Whether anything of the shop is known beyond its key: its name has arrived.
    pub fn knows_shop(&self) -> bool {
        self.shelf()
            .shop()
            .is_ok_and(|(shop, _)| !shop.standing.all_of_kind(Kind::ShopOpened).is_empty())
    }
}
