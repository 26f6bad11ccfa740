//! Tallywater: one device's desk, as a shell holds it.
//!
//! Every method may be called from any thread. Whatever it answers has left the desk's
//! lock as a plain value, and listeners are called with no lock held.

use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tallywater_core::desk::{Desk, DeskError, FileKeyStore, LANGUAGE, Stopwatch};
use tallywater_core::stamp::{DeviceStamps, Stamps};

use crate::clock::ShellClock;
use crate::cross::Shown;
use crate::key_store::ShellKeyStore;
use crate::listener::Told;
use crate::paper::Presses;
use crate::{CellKey, Change, DeviceClock, Fault, KeyStore, Listener, Role, StaffName, Units};

/// The preference that the units are kept under.
const UNITS: &str = "units";

/// The word that a folder of the demo school is marked with.
pub(crate) const DEMO: &str = "demo";

/// One device's desk: everything it holds and may do.
#[derive(uniffi::Object)]
pub struct Tallywater {
    pub(crate) desk: Arc<Desk>,
    folder: String,
    units: Mutex<Units>,
    pub(crate) stopwatch: Stopwatch,
    pub(crate) online: Mutex<Option<Arc<tallywater_core::desk::Online>>>,
    pub(crate) presses: Mutex<Presses>,
}

/// How far this device has come.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct StateView {
    /// What it is ready for.
    pub stage: Stage,
    /// The shop's name, once it is known here.
    pub shop: Option<String>,
    /// Who this device acts for; `None` while it is not admitted or after it was revoked.
    pub me: Option<Me>,
    /// Hurt stores that were set aside in this device's folder, oldest first.
    pub set_aside: Vec<String>,
    /// Whether it is a school that was started alone, and may join a shop with all it has.
    pub lone: bool,
    /// Whether it may go over to another shop: alone, or after its instructor's tablet.
    pub may_move: bool,
    /// Whether it is a device of the demo school: everybody on it is invented.
    pub demo: bool,
}

/// What a device is ready for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Enum)]
pub enum Stage {
    /// It belongs to no shop: open one, start alone, or be admitted to one.
    FirstStart,
    /// It belongs to a shop that has not admitted it, or has shut it out: it may only read.
    NotAdmitted,
    /// It may work.
    Ready,
}

/// Who a device acts for.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Me {
    /// The person.
    pub name: StaffName,
    /// In which role.
    pub role: Role,
    /// What the device is called.
    pub device: String,
}

#[uniffi::export]
impl Tallywater {
    /// Opens the desk in a folder, making what is missing. Keys lie in files that their
    /// owner alone may read. A damaged store is refused and left as it is.
    #[uniffi::constructor]
    pub fn open(folder: String) -> Result<Arc<Self>, Fault> {
        Self::open_with(folder, None, None)
    }

    /// The same, with the platform's own key store and with another clock, where one is
    /// given.
    #[uniffi::constructor]
    pub fn open_with(
        folder: String,
        keys: Option<Arc<dyn KeyStore>>,
        clock: Option<Arc<dyn DeviceClock>>,
    ) -> Result<Arc<Self>, Fault> {
        let at = Path::new(&folder);
        let keys: Box<dyn tallywater_core::desk::KeyStore> = match keys {
            Some(keys) => Box::new(ShellKeyStore(keys)),
            None => Box::new(FileKeyStore::new(&at.join("keys"))),
        };
        let stamps: Arc<dyn Stamps> = match clock {
            Some(clock) => Arc::new(ShellClock(clock)),
            None => Arc::new(DeviceStamps),
        };
        let desk = Arc::new(Desk::open(at, keys, stamps)?);
        Self::over(desk, folder)
    }

    /// Opens the desk in a folder to look at it, though another program may have it in use.
    /// What it answers is as it was at this moment, and nothing can be recorded.
    #[uniffi::constructor]
    pub fn open_to_read(folder: String) -> Result<Arc<Self>, Fault> {
        let at = Path::new(&folder);
        let keys = Box::new(FileKeyStore::new(&at.join("keys")));
        let desk = Desk::open_to_read(at, keys, Arc::new(DeviceStamps))?;
        Self::over(Arc::new(desk), folder)
    }

    /// The folder that this desk was opened in.
    pub fn folder(&self) -> String {
        self.folder.clone()
    }

    /// Opens a shop on this computer, run by this person from its office, and answers the
    /// person's id. Shops never judge.
    pub fn start_shop(&self, shop: String, person: String) -> Result<String, Fault> {
        Ok(self.desk.start_shop(&shop, &person)?.shown())
    }

    /// Starts alone: this instructor's tablet is its own shop until it is joined to one.
    /// Answers the person's id.
    pub fn start_alone(&self, shop: String, person: String) -> Result<String, Fault> {
        Ok(self.desk.start_alone(&shop, &person)?.shown())
    }

    /// How far this device has come.
    pub fn state(&self) -> Result<StateView, Fault> {
        let aside = self.desk.set_aside().into_iter();
        let mut state = StateView {
            stage: Stage::FirstStart,
            shop: None,
            me: None,
            set_aside: aside.map(|file| file.display().to_string()).collect(),
            lone: self.desk.is_lone(),
            may_move: self.desk.may_move(),
            demo: self.desk.preference(DEMO)?.is_some(),
        };
        if self.desk.shop_root().is_none() {
            return Ok(state);
        }
        let key = self.desk.own_key();
        let (shop, me) = self.desk.look_at_shop(self.units(), |reader| {
            let me = reader.writer().map(|writer| Me {
                name: reader.people.staff_name(&writer.staff),
                role: writer.role,
                device: reader
                    .trust
                    .certificate(&key)
                    .map_or_else(|| key.short(), |certificate| certificate.device.clone()),
            });
            (reader.shop.name().map(str::to_owned), me)
        })?;
        state.stage = if me.is_some() {
            Stage::Ready
        } else {
            Stage::NotAdmitted
        };
        (state.shop, state.me) = (shop, me);
        Ok(state)
    }

    /// The units that every figure is shown and read in.
    pub fn units(&self) -> Units {
        *self.units_lock()
    }

    /// Works in these units from now on, and after the next start.
    pub fn set_units(&self, units: Units) -> Result<(), Fault> {
        self.desk.keep_preference(UNITS, word(units))?;
        *self.units_lock() = units;
        Ok(())
    }

    /// What the shell kept on this device under this word. Under `language` it keeps `en` or
    /// `de`: the core reads what is the starter outline's own in it, and opens courses in it.
    pub fn preference(&self, word: String) -> Result<Option<String>, Fault> {
        Ok(self.desk.preference(&kept_as(word))?)
    }

    /// Keeps a text of the shell's on this device: which hand, which theme. An empty one
    /// drops it.
    pub fn keep_preference(&self, word: String, text: String) -> Result<(), Fault> {
        Ok(self.desk.keep_preference(&kept_as(word), &text)?)
    }

    /// Tells this listener of every change from now on.
    pub fn listen(&self, listener: Arc<dyn Listener>) {
        self.desk.listen(Arc::new(Told(listener)));
    }
}

impl Tallywater {
    fn over(desk: Arc<Desk>, folder: String) -> Result<Arc<Self>, Fault> {
        let kept = desk.preference(UNITS)?;
        let units = [Units::Metric, Units::Imperial]
            .into_iter()
            .find(|units| kept.as_deref() == Some(word(*units)))
            .unwrap_or_default();
        let stopwatch = Stopwatch::of(&desk);
        Ok(Arc::new(Self {
            desk,
            folder,
            units: Mutex::new(units),
            stopwatch,
            online: Mutex::new(None),
            presses: Mutex::new(Presses::default()),
        }))
    }

    /// The desk behind it, for the other parts of the program: the link, the papers.
    pub fn desk(&self) -> &Arc<Desk> {
        &self.desk
    }

    /// Why the desk said no, with figures in the reader's units.
    pub(crate) fn refused(&self, error: DeskError) -> Fault {
        Fault::of_desk(error, self.units())
    }

    fn units_lock(&self) -> MutexGuard<'_, Units> {
        self.units.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

const fn word(units: Units) -> &'static str {
    match units {
        Units::Metric => "metric",
        Units::Imperial => "imperial",
    }
}

/// A change as it is told.
impl Shown<Change> for &tallywater_core::desk::Change {
    fn shown(self) -> Change {
        use tallywater_core::course::LedgerId;
        let tallywater_core::desk::Change {
            ledger,
            cells,
            wider,
            from_elsewhere,
        } = self;
        Change {
            ledger: ledger.shown(),
            course: match ledger {
                LedgerId::Course(id) => Some(id.shown()),
                LedgerId::Shop(_) | LedgerId::Person(_) => None,
            },
            shop: matches!(ledger, LedgerId::Shop(_)),
            person: match ledger {
                LedgerId::Person(id) => Some(id.shown()),
                LedgerId::Course(_) | LedgerId::Shop(_) => None,
            },
            cells: cells
                .iter()
                .map(|(student, skill)| CellKey {
                    student: *student,
                    skill: skill.clone(),
                })
                .collect(),
            wider: *wider,
            from_elsewhere: *from_elsewhere,
        }
    }
}

/// Under which of the desk's words one of the shell's is kept: its own, but for the language,
/// which the core heeds as well.
fn kept_as(word: String) -> String {
    if word == LANGUAGE {
        word
    } else {
        format!("own.{word}")
    }
}
