//! Desk: the only room with state. A request comes in, the rules are asked, one commit is
//! made, what changed goes out.
//!
//! Everything happens under one lock, which is never held while a listener runs or a
//! network waits. The way of one tap: [`Desk::record`] -> `draft` (a request as entries)
//! -> `record` (rules, signature, ledger, meaning, commit) -> [`Listener::changed`].

mod absorb;
mod beside;
mod calendar;
mod care;
mod change;
mod closing;
mod depot;
mod device;
mod draft;
mod drafts;
mod error;
mod events;
mod exchange;
mod fetch;
mod forget;
mod generations;
mod handover;
mod held;
mod kept;
mod key_store;
mod kit;
mod lock;
mod look;
mod lost_day;
mod marking;
mod mishap;
mod on_hand;
mod online;
mod opening;
pub mod paper;
mod post;
mod preference;
mod projection;
mod proving;
mod quota;
mod record;
mod request;
mod rescue;
mod said;
mod season;
mod shelf;
mod start;
mod stopwatch;
mod sweep;
mod take_back;
mod teams;
mod tidy;
mod times;

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

pub use care::{Cared, Checked, Generation};
pub use change::{Change, Listener};
pub use depot::LinkBell;
use device::Device;
use drafts::Drafts;
pub use error::{DeskError, KeyStoreError};
pub use held::HeldRow;
pub use kept::{AttachmentOf, FileHere};
pub use key_store::{FileKeyStore, KeyStore};
pub use online::{DeviceMet, Online, ShowError, ShownCode};
pub use post::Question;
pub use preference::LANGUAGE;
pub use request::{Admission, Again, InWater, MarkTap, OutlineFrom, Recorded, Request, Scope};
pub use rescue::{BackupSeen, Readable, Rescue, SalvageTaken};
use shelf::Shelf;
pub use start::DeviceCard;
pub use stopwatch::{Stopwatch, StopwatchView, Timed};
pub use tidy::MANY_LOOSE;

use crate::stamp::Stamps;
use crate::store::{Store, StoreError};

/// The name of the store's file in the desk's folder.
const STORE_FILE: &str = "tallywater.db";

/// One device's desk: everything it holds and may do.
pub struct Desk {
    shelf: Mutex<Shelf>,
    listeners: Mutex<Vec<Arc<dyn Listener>>>,
    folder: PathBuf,
    /// Held as long as this desk has the folder.
    _in_use: Option<std::fs::File>,
}

impl Drop for Desk {
    /// What other devices have said goes into the store: one that is opened again knows it.
    fn drop(&mut self) {
        let shelf = self.shelf.get_mut();
        // Where it cannot be written they say it again at the next meeting.
        let _ = shelf.unwrap_or_else(PoisonError::into_inner).write_said();
    }
}

impl Desk {
    /// Opens the desk in a folder, making what is missing. A damaged store, or none where the
    /// device has been in use, is refused and left as it is: see [`Rescue`].
    ///
    /// # Errors
    /// [`DeskError::Store`], as locked when another desk has the folder and as hurt when its store
    /// cannot be worked on, and [`DeskError::Keys`].
    pub fn open(
        folder: &Path,
        keys: Box<dyn KeyStore>,
        stamps: Arc<dyn Stamps>,
    ) -> Result<Self, DeskError> {
        // A folder that cannot be made or closed says so when it is written to.
        let _ = crate::store::private::make_folder(folder, STORE_FILE);
        let in_use = lock::take(folder)?;
        if let Some(how) = rescue::hurt(folder, keys.as_ref())? {
            return Err(StoreError::Hurt { how }.into());
        }
        let mut store = Store::open(&folder.join(STORE_FILE))?.store;
        post::clear(&mut store)?;
        let device = Device::open(keys.as_ref(), &store, stamps.as_ref())?;
        let mut shelf = Shelf::new(store, stamps, keys, device);
        shelf.open_shop()?;
        shelf.drop_former()?;
        shelf.forget_all_due()?;
        Ok(Self {
            shelf: Mutex::new(shelf),
            listeners: Mutex::new(Vec::new()),
            folder: folder.to_owned(),
            _in_use: in_use,
        })
    }

    /// Tells this listener of every change from now on.
    pub fn listen(&self, listener: Arc<dyn Listener>) {
        self.listeners
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .push(listener);
    }

    /// Records what a person asks for: signed, stored, and only then said to be done.
    ///
    /// # Errors
    /// [`DeskError::Refused`] names the rule; for any error nothing has been recorded.
    pub fn record(&self, request: Request) -> Result<Recorded, DeskError> {
        let (recorded, changes) = self.shelf().record(request)?;
        self.tell(&changes);
        Ok(recorded)
    }

    /// The store itself, through which a test brings about a fault. Nothing else may use it.
    #[doc(hidden)]
    pub fn store_for_faults(&self, of: impl FnOnce(&mut Store)) {
        of(&mut self.shelf().store);
    }

    /// Records several requests in one transaction: all of them or none. None may rest on
    /// another: each is drafted as things stand before the first.
    ///
    /// # Errors
    /// The first that fails; nothing has been recorded then.
    pub fn record_all(&self, requests: Vec<Request>) -> Result<Recorded, DeskError> {
        let (recorded, changes) = self.shelf().record_all(requests)?;
        self.tell(&changes);
        Ok(recorded)
    }

    /// Whether [`Desk::record_all`] would record these requests: the same rules are asked, and
    /// nothing is recorded. What a preview asks.
    ///
    /// # Errors
    /// What [`Desk::record_all`] would fail with before it commits.
    pub fn would_record(&self, requests: Vec<Request>) -> Result<(), DeskError> {
        self.shelf().would_record(requests)
    }

    /// The shelf. A thread that panicked while holding it left nothing half-done that a
    /// reader could take for true: what is stored is whole, and the rest is rebuilt from it.
    fn shelf(&self) -> MutexGuard<'_, Shelf> {
        let mut shelf = self.shelf.lock().unwrap_or_else(|poisoned| {
            self.shelf.clear_poison();
            let mut shelf = poisoned.into_inner();
            shelf.courses.clear();
            shelf.people.clear();
            // An error here is met again, and answered, by whoever asks next.
            let _ = shelf.open_shop();
            shelf
        });
        shelf.close_unused();
        shelf
    }

    /// Tells every listener, with no lock held.
    fn tell(&self, changes: &[Change]) {
        self.tell_each(changes, |listener, change| listener.changed(change));
    }

    /// The same of what the link brought.
    fn tell_arrived(&self, changes: &[Change]) {
        self.tell_each(changes, |listener, change| listener.arrived(change));
    }

    fn tell_each(&self, changes: &[Change], tell: impl Fn(&dyn Listener, &Change)) {
        let listeners = self
            .listeners
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone();
        for change in changes {
            for listener in &listeners {
                tell(listener.as_ref(), change);
            }
        }
    }
}
