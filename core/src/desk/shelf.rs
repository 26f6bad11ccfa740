//! Shelf: the ledgers that are open, each with what it comes to.
//!
//! Whatever is here can be dropped and opened again from the store: after a commit that
//! failed, that is just what happens.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::NaiveDate;

use super::device::Device;
use super::{DeskError, KeyStore};
use crate::course::{CourseId, LedgerId, PersonDetails, StudentId};
use crate::entry::{Body, DeviceKey, Kind};
use crate::ledger::{Heads, Ledger};
use crate::stamp::Stamps;
use crate::standing::{CourseStanding, ShopStanding, Touched};
use crate::store::Store;
use crate::trust::{Line, TrustBook, Verdict};

/// A course that is open.
#[derive(Debug, Clone)]
pub(super) struct OpenCourse {
    pub(super) ledger: Ledger,
    pub(super) standing: CourseStanding,
}

/// A person whose ledger is open.
#[derive(Debug)]
pub(super) struct OpenPerson {
    pub(super) ledger: Ledger,
    /// The latest details that count; `None` while none has arrived.
    pub(super) details: Option<PersonDetails>,
}

/// The shop, open.
#[derive(Debug)]
pub(super) struct OpenShop {
    pub(super) ledger: Ledger,
    pub(super) standing: ShopStanding,
}

/// Everything the desk holds.
pub(super) struct Shelf {
    pub(super) store: Store,
    pub(super) stamps: Arc<dyn Stamps>,
    pub(super) keys: Box<dyn KeyStore>,
    pub(super) device: Device,
    pub(super) book: Option<TrustBook>,
    pub(super) shop: Option<OpenShop>,
    pub(super) courses: BTreeMap<CourseId, OpenCourse>,
    pub(super) people: BTreeMap<StudentId, OpenPerson>,
    /// How many people stayed open when those of no open course were last closed.
    pub(super) kept_people: usize,
    /// Open courses in the order of their last use.
    pub(super) used: Vec<CourseId>,
    /// Whether the store is known to say where every ledger stands.
    pub(super) placed: bool,
    /// Whether the shop's next commit says otherwise whose entries count.
    pub(super) rereads: bool,
}

/// Whether an entry stood behind heads in this ledger, for [`TrustBook`].
fn behind<'a>(
    ledger: &'a Ledger,
) -> impl Fn(&LedgerId, &crate::course::EntryId, &[String]) -> bool + 'a {
    move |id, entry, heads| {
        id == ledger.id()
            && Heads::from_hex(heads).is_some_and(|heads| ledger.behind(entry, &heads))
    }
}

/// The verdict on a line of this ledger.
pub(super) fn verdict(
    book: &TrustBook,
    ledger: &Ledger,
    id: &crate::course::EntryId,
    line: &Line,
) -> Verdict {
    book.verdict(ledger.id(), id, line, &behind(ledger))
}

/// Whom an entry may bring into a course.
enum Joins {
    Nobody,
    One(StudentId),
    Anyone,
}

fn joins(body: &Body) -> Joins {
    if let Body::Enrolment(enrolment) = body {
        Joins::One(enrolment.student)
    } else if let Body::Withdrawal(_) = body {
        Joins::Anyone
    } else {
        Joins::Nobody
    }
}

fn read_course(book: &TrustBook, ledger: &Ledger, id: CourseId) -> CourseStanding {
    let lines = ledger.lines().iter();
    CourseStanding::read(
        id,
        lines.map(|(entry, line)| (*entry, line, verdict(book, ledger, entry, line))),
    )
}

fn read_shop(book: &TrustBook, ledger: &Ledger) -> ShopStanding {
    let lines = ledger.lines().iter();
    ShopStanding::read(
        lines.map(|(entry, line)| (*entry, line, verdict(book, ledger, entry, line))),
    )
}

/// The latest details of a person's ledger: those no other were written after.
fn read_person(book: &TrustBook, ledger: &Ledger) -> Option<PersonDetails> {
    let mut tally = crate::standing::Tally::default();
    for (id, line) in ledger.lines() {
        tally.take(*id, line, verdict(book, ledger, id, line));
    }
    let ids: Vec<_> = tally
        .iter()
        .filter(|one| one.entry.body.kind() == Kind::Details)
        .map(|one| one.entry.id)
        .collect();
    if let Body::Details(details) = &tally.latest_one(&ids, |_| ())?.entry.body {
        Some(details.details.clone())
    } else {
        None
    }
}

impl Shelf {
    /// The shop, the trust book; [`DeskError::NotStarted`] before the device has a shop.
    pub(super) fn shop(&self) -> Result<(&OpenShop, &TrustBook), DeskError> {
        self.shop
            .as_ref()
            .zip(self.book.as_ref())
            .ok_or(DeskError::NotStarted)
    }

    /// Today, where the device is.
    pub(super) fn today(&self) -> NaiveDate {
        self.stamps.today()
    }

    /// Opens the shop's ledger, or begins it, and reads who may write.
    pub(super) fn open_shop(&mut self) -> Result<(), DeskError> {
        let Some(root) = self.device.shop else {
            return Ok(());
        };
        let ledger = self.open_ledger(&self.device.shop_ledger()?)?;
        self.set_shop(root, ledger);
        Ok(())
    }

    fn set_shop(&mut self, root: DeviceKey, ledger: Ledger) {
        let book = TrustBook::read(root, ledger.lines(), &behind(&ledger));
        let standing = read_shop(&book, &ledger);
        self.shop = Some(OpenShop { ledger, standing });
        // Whoever may write has changed: what was read with the old book is read again.
        if self.book.as_ref() != Some(&book) {
            self.rereads |=
                (self.book.as_ref()).is_some_and(|before| !before.shuts_out_like(&book));
            for (id, course) in &mut self.courses {
                course.standing = read_course(&book, &course.ledger, *id);
            }
            for person in self.people.values_mut() {
                person.details = read_person(&book, &person.ledger);
            }
        }
        self.book = Some(book);
    }

    /// A ledger from the store; a new one if the store has none.
    pub(super) fn open_ledger(&self, id: &LedgerId) -> Result<Ledger, DeskError> {
        let actor = self.stamps.actor()?;
        match self.store.load(id)? {
            Some(stored) => Ok(Ledger::load(*id, actor, &stored.bytes, &stored.unsigned)?),
            None => Ok(Ledger::new(*id, actor)?),
        }
    }

    /// Whether the store holds the ledger.
    pub(super) fn holds(&self, id: &LedgerId) -> Result<bool, DeskError> {
        Ok(self.store.holds(id)?)
    }

    /// A ledger that this device holds, opened if need be; none is begun.
    pub(super) fn held_ledger(&mut self, id: &LedgerId) -> Result<&mut Ledger, DeskError> {
        if self.holds(id)? {
            self.ledger(id)
        } else {
            Err(DeskError::NotFound {
                what: "ledger",
                id: id.to_string(),
            })
        }
    }

    /// Opens a course that this device holds.
    pub(super) fn course(&mut self, id: &CourseId) -> Result<&OpenCourse, DeskError> {
        if !self.courses.contains_key(id) {
            if !self.holds(&LedgerId::Course(*id))? {
                return Err(DeskError::NotFound {
                    what: "course",
                    id: id.to_string(),
                });
            }
            self.open_course(*id)?;
        }
        self.use_course(*id);
        self.courses.get(id).ok_or(DeskError::NotFound {
            what: "course",
            id: id.to_string(),
        })
    }

    /// Opens a course, or begins it, with the people in it.
    pub(super) fn open_course(&mut self, id: CourseId) -> Result<(), DeskError> {
        let ledger = self.open_ledger(&LedgerId::Course(id))?;
        let book = self.book.as_ref().ok_or(DeskError::NotStarted)?;
        let standing = read_course(book, &ledger, id);
        let students = standing.students();
        self.courses.insert(id, OpenCourse { ledger, standing });
        for student in students {
            self.open_person(student)?;
        }
        Ok(())
    }

    /// Opens a person's ledger if it is not open and this device holds it.
    pub(super) fn open_person(&mut self, id: StudentId) -> Result<(), DeskError> {
        if self.people.contains_key(&id) {
            return Ok(());
        }
        let ledger_id = LedgerId::Person(id);
        let Some(stored) = self.store.load(&ledger_id)? else {
            return Ok(());
        };
        let ledger = Ledger::load(
            ledger_id,
            self.stamps.actor()?,
            &stored.bytes,
            &stored.unsigned,
        )?;
        let book = self.book.as_ref().ok_or(DeskError::NotStarted)?;
        let details = read_person(book, &ledger);
        self.people.insert(id, OpenPerson { ledger, details });
        Ok(())
    }

    /// A person's details, without leaving the person's ledger open.
    pub(super) fn details_of(
        &self,
        student: &StudentId,
    ) -> Result<Option<PersonDetails>, DeskError> {
        if let Some(open) = self.people.get(student) {
            return Ok(open.details.clone());
        }
        let id = LedgerId::Person(*student);
        if !self.holds(&id)? {
            return Ok(None);
        }
        let ledger = self.open_ledger(&id)?;
        let book = self.book.as_ref().ok_or(DeskError::NotStarted)?;
        Ok(read_person(book, &ledger))
    }

    /// A course as it stands, without leaving it open, and without its people.
    pub(super) fn course_copy(&mut self, id: &CourseId) -> Result<OpenCourse, DeskError> {
        if let Some(open) = self.courses.get(id) {
            return Ok(open.clone());
        }
        if !self.holds(&LedgerId::Course(*id))? {
            return Err(DeskError::NotFound {
                what: "course",
                id: id.to_string(),
            });
        }
        let ledger = self.open_ledger(&LedgerId::Course(*id))?;
        let book = self.book.as_ref().ok_or(DeskError::NotStarted)?;
        let standing = read_course(book, &ledger, *id);
        Ok(OpenCourse { ledger, standing })
    }

    /// The open ledger of this id, opened or begun if need be.
    pub(super) fn ledger(&mut self, id: &LedgerId) -> Result<&mut Ledger, DeskError> {
        let missing = || DeskError::NotFound {
            what: "ledger",
            id: id.to_string(),
        };
        match id {
            LedgerId::Shop(_) => {
                let shop = self.shop.as_mut().ok_or(DeskError::NotStarted)?;
                if shop.ledger.id() == id {
                    Ok(&mut shop.ledger)
                } else {
                    Err(missing())
                }
            }
            LedgerId::Course(course) => {
                if !self.courses.contains_key(course) {
                    self.open_course(*course)?;
                }
                self.use_course(*course);
                self.courses
                    .get_mut(course)
                    .map(|open| &mut open.ledger)
                    .ok_or_else(missing)
            }
            LedgerId::Person(student) => {
                if !self.people.contains_key(student) {
                    let ledger = self.open_ledger(id)?;
                    self.people.insert(
                        *student,
                        OpenPerson {
                            ledger,
                            details: None,
                        },
                    );
                }
                self.people
                    .get_mut(student)
                    .map(|open| &mut open.ledger)
                    .ok_or_else(missing)
            }
        }
    }

    /// Reads what one more line of a ledger means.
    pub(super) fn take_line(
        &mut self,
        ledger: &LedgerId,
        entry: crate::course::EntryId,
    ) -> Result<Touched, DeskError> {
        let wider = Touched {
            wider: true,
            ..Touched::default()
        };
        match ledger {
            LedgerId::Shop(_) => {
                let root = self.device.shop.ok_or(DeskError::NotStarted)?;
                if let Some(shop) = self.shop.take() {
                    self.set_shop(root, shop.ledger);
                }
                Ok(wider)
            }
            LedgerId::Course(id) => {
                let book = self.book.as_ref().ok_or(DeskError::NotStarted)?;
                let Some(open) = self.courses.get_mut(id) else {
                    return Ok(wider);
                };
                let Some(line) = open.ledger.lines().get(&entry) else {
                    return Ok(wider);
                };
                let verdict = verdict(book, &open.ledger, &entry, line);
                let joins = line.entry().map(|entry| joins(&entry.body));
                let touched = open.standing.take(entry, line, verdict);
                let joined = match joins {
                    None | Some(Joins::Nobody) => Vec::new(),
                    Some(Joins::One(student)) => vec![student],
                    Some(Joins::Anyone) => open.standing.students(),
                };
                for student in joined {
                    self.open_person(student)?;
                }
                Ok(touched)
            }
            LedgerId::Person(id) => {
                let book = self.book.as_ref().ok_or(DeskError::NotStarted)?;
                if let Some(open) = self.people.get_mut(id) {
                    open.details = read_person(book, &open.ledger);
                }
                Ok(wider)
            }
        }
    }

    /// Reads a whole ledger anew.
    pub(super) fn read_again(&mut self, ledger: &LedgerId) -> Result<(), DeskError> {
        if let LedgerId::Course(id) = ledger {
            let book = self.book.as_ref().ok_or(DeskError::NotStarted)?;
            if let Some(open) = self.courses.get_mut(id) {
                open.standing = read_course(book, &open.ledger, *id);
                for student in open.standing.students() {
                    self.open_person(student)?;
                }
            }
            return Ok(());
        }
        // The shop's and a person's ledgers are small and read whole each time.
        self.take_line(ledger, crate::course::EntryId::new(uuid::Uuid::nil()))
            .map(|_| ())
    }

    /// Forgets what is open of a ledger: the next question opens it from the store. After
    /// a commit that failed, memory must not know more than the disk.
    pub(super) fn close(&mut self, ledger: &LedgerId) -> Result<(), DeskError> {
        match ledger {
            LedgerId::Shop(_) => {
                self.shop = None;
                self.open_shop()
            }
            LedgerId::Course(id) => {
                self.courses.remove(id);
                Ok(())
            }
            LedgerId::Person(id) => {
                self.people.remove(id);
                Ok(())
            }
        }
    }
}
