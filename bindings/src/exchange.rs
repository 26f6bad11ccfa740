//! Exchange without a network: ledgers out and in as bytes, and a device admitted by hand.

use tallywater_core::course::LedgerId;
use tallywater_core::entry::DeviceKey;

use crate::cross::{Asked as _, Shown as _};
use crate::{CourseSummary, Fault, Tallywater};

/// What a device hands to one that is being admitted.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Welcome {
    /// The shop's root key.
    pub shop: String,
    /// The shop's ledger.
    pub ledger: Vec<u8>,
}

/// The ledger of a course, as a withdrawal names it.
#[uniffi::export]
pub fn course_ledger(course: String) -> Result<String, Fault> {
    Ok(LedgerId::Course(course.asked()?).shown())
}

#[uniffi::export]
impl Tallywater {
    /// This device's key: what it shows of itself to be admitted.
    pub fn card(&self) -> String {
        self.desk.card().key.shown()
    }

    /// What a device that was admitted needs to join.
    pub fn welcome(&self) -> Result<Welcome, Fault> {
        let shop = self.desk.shop_root();
        Ok(Welcome {
            shop: shop.ok_or_else(|| Fault::rule("not_set_up"))?.shown(),
            ledger: self.desk.shop_ledger()?,
        })
    }

    /// Joins the shop. The ledger is believed only as far as the shop's key reaches.
    pub fn join(&self, welcome: Welcome) -> Result<(), Fault> {
        let shop: DeviceKey = welcome.shop.asked()?;
        Ok(self.desk.join_shop(shop, &welcome.ledger)?)
    }

    /// Every ledger this device holds: the shop's first, which says who may write.
    pub fn ledgers(&self) -> Result<Vec<String>, Fault> {
        let mut ledgers = self.desk.ledgers()?;
        ledgers.sort_unstable();
        Ok(ledgers.shown())
    }

    /// A ledger as bytes, whole.
    pub fn save_ledger(&self, ledger: String) -> Result<Vec<u8>, Fault> {
        let ledger: LedgerId = ledger.asked()?;
        Ok(self.desk.save_ledger(&ledger)?)
    }

    /// Merges a ledger's bytes into what this device holds: nothing is overwritten.
    pub fn merge(&self, ledger: String, bytes: Vec<u8>) -> Result<(), Fault> {
        let ledger: LedgerId = ledger.asked()?;
        Ok(self.desk.merge(&ledger, &bytes)?)
    }

    /// The stored list of courses, newest start first.
    pub fn course_summaries(&self) -> Result<Vec<CourseSummary>, Fault> {
        Ok(self.desk.course_summaries()?)
    }
}
