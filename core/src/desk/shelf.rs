//! Shelf: the ledgers that are open, each with what it comes to.
//!
//! Whatever is here can be dropped and opened again from the store: after a commit that
//! failed, that is just what happens.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use chrono::NaiveDate;

use super::device::Device;
use super::{DeskError, KeyStore};
use crate::course::starter::Tongue;
use crate::course::{CourseId, EntryId, LedgerId, PersonDetails, StudentId};
use crate::entry::{Body, DeviceKey, Kind};
use crate::ledger::{Ledger, Written};
use crate::stamp::Stamps;
use crate::standing::{CourseStanding, ShopStanding, Touched};
use crate::store::{Said, Store};
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
    /// The entry that gives them.
    pub(super) latest: Option<EntryId>,
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
    /// What other devices have said they hold and is not written down yet.
    pub(super) said: Said,
    /// What has come from other devices today.
    pub(super) quota: super::quota::Quota,
    /// Photographs and sounds that have come today.
    pub(super) fetched: super::fetch::Fetched,
    /// Whether the store is known to say where every ledger stands.
    pub(super) placed: bool,
    /// Whether the shop's next commit says otherwise whose entries count.
    pub(super) rereads: bool,
}

/// The verdict on every line of a ledger.
fn verdicts<'a>(
    book: &'a TrustBook,
    ledger: &'a Ledger,
) -> impl Iterator<Item = (EntryId, &'a Line, Verdict)> {
    let written = Written::of(vec![ledger]);
    ledger.lines().iter().map(move |(id, line)| {
        let had =
            |l: &LedgerId, e: &EntryId, k: &DeviceKey, last: &[EntryId]| written.had(l, e, k, last);
        (*id, line, book.verdict(ledger.id(), id, line, &had))
    })
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

fn read_course(
    book: &TrustBook,
    ledger: &Ledger,
    id: CourseId,
    tongue: Option<Tongue>,
) -> CourseStanding {
    let mut standing = CourseStanding::read(id, verdicts(book, ledger));
    standing.speak(tongue);
    standing
}

fn read_shop(book: &TrustBook, ledger: &Ledger) -> ShopStanding {
    ShopStanding::read(verdicts(book, ledger))
}

/// The latest details of a person's ledger, and the entry that gives them: the one that no
/// other was written after.
fn read_person(book: &TrustBook, ledger: &Ledger) -> Option<(EntryId, PersonDetails)> {
    let mut tally = crate::standing::Tally::default();
    for (id, line, verdict) in verdicts(book, ledger) {
        tally.take(id, line, verdict);
    }
    let ids: Vec<_> = tally
        .iter()
        .filter(|one| one.entry.body.kind() == Kind::Details)
        .map(|one| one.entry.id)
        .collect();
    let latest = &tally.latest_one(&ids, |_| ())?.entry;
    if let Body::Details(details) = &latest.body {
        Some((latest.id, details.details.clone()))
    } else {
        None
    }
}

impl OpenPerson {
    /// Reads who the person is.
    fn read(&mut self, book: &TrustBook) {
        let (latest, details) = read_person(book, &self.ledger).unzip();
        self.latest = latest;
        self.details = details;
    }
}

impl Shelf {
    /// Nothing is open yet.
    pub(super) fn new(
        store: Store,
        stamps: Arc<dyn Stamps>,
        keys: Box<dyn KeyStore>,
        device: Device,
    ) -> Self {
        Self {
            store,
            stamps,
            keys,
            device,
            book: None,
            shop: None,
            courses: BTreeMap::new(),
            people: BTreeMap::new(),
            kept_people: 0,
            used: Vec::new(),
            said: Said::new(),
            quota: super::quota::Quota::default(),
            fetched: super::fetch::Fetched::default(),
            placed: false,
            rereads: false,
        }
    }

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
        let book = {
            let written = Written::of(vec![&ledger]);
            TrustBook::read(root, ledger.lines(), &|l, e, k, last| {
                written.had(l, e, k, last)
            })
        };
        let standing = read_shop(&book, &ledger);
        self.shop = Some(OpenShop { ledger, standing });
        // Whoever may write has changed: what was read with the old book is read again.
        if self.book.as_ref() != Some(&book) {
            self.rereads |=
                (self.book.as_ref()).is_some_and(|before| !before.shuts_out_like(&book));
            for (id, course) in &mut self.courses {
                let tongue = course.standing.tongue();
                course.standing = read_course(&book, &course.ledger, *id, tongue);
            }
            for person in self.people.values_mut() {
                person.read(&book);
            }
        }
        self.book = Some(book);
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
        let tongue = self.tongue()?;
        let book = self.book.as_ref().ok_or(DeskError::NotStarted)?;
        let standing = read_course(book, &ledger, id, tongue);
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
        if !self.holds(&ledger_id)? {
            return Ok(());
        }
        let ledger = self.open_ledger(&ledger_id)?;
        let book = self.book.as_ref().ok_or(DeskError::NotStarted)?;
        let mut person = OpenPerson {
            ledger,
            details: None,
            latest: None,
        };
        person.read(book);
        self.people.insert(id, person);
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
        let ledger = self.peek(&id)?;
        let book = self.book.as_ref().ok_or(DeskError::NotStarted)?;
        Ok(read_person(book, &ledger).map(|(_, details)| details))
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
        let tongue = self.tongue()?;
        let book = self.book.as_ref().ok_or(DeskError::NotStarted)?;
        let standing = read_course(book, &ledger, *id, tongue);
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
                            latest: None,
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
        entry: EntryId,
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
            LedgerId::Course(_) => self.take_lines(ledger, &[entry]),
            LedgerId::Person(id) => {
                let book = self.book.as_ref().ok_or(DeskError::NotStarted)?;
                if let Some(open) = self.people.get_mut(id) {
                    open.read(book);
                }
                Ok(wider)
            }
        }
    }

    /// Reads what more lines of a course mean, each cell that they touch once.
    pub(super) fn take_lines(
        &mut self,
        ledger: &LedgerId,
        entries: &[EntryId],
    ) -> Result<Touched, DeskError> {
        let book = self.book.as_ref().ok_or(DeskError::NotStarted)?;
        let LedgerId::Course(id) = ledger else {
            return Ok(Touched::default());
        };
        let Some(open) = self.courses.get_mut(id) else {
            return Ok(Touched {
                wider: true,
                ..Touched::default()
            });
        };
        let here = &open.ledger;
        let written = Written::of(vec![here]);
        let had =
            |l: &LedgerId, e: &EntryId, k: &DeviceKey, last: &[EntryId]| written.had(l, e, k, last);
        let lines: Vec<_> = entries
            .iter()
            .filter_map(|entry| Some((*entry, here.lines().get(entry)?)))
            .map(|(entry, line)| (entry, line, book.verdict(ledger, &entry, line, &had)))
            .collect();
        let mut joined = BTreeSet::new();
        let mut anyone = false;
        for (_, line, _) in &lines {
            match line.entry().map(|entry| joins(&entry.body)) {
                None | Some(Joins::Nobody) => {}
                Some(Joins::One(student)) => {
                    joined.insert(student);
                }
                Some(Joins::Anyone) => anyone = true,
            }
        }
        let lacking = lines.len() < entries.len();
        let mut touched = open.standing.take_all(lines);
        touched.wider |= lacking;
        if anyone {
            joined.extend(open.standing.students());
        }
        for student in joined {
            self.open_person(student)?;
        }
        Ok(touched)
    }

    /// Reads a whole ledger anew.
    pub(super) fn read_again(&mut self, ledger: &LedgerId) -> Result<(), DeskError> {
        if let LedgerId::Course(id) = ledger {
            let book = self.book.as_ref().ok_or(DeskError::NotStarted)?;
            if let Some(open) = self.courses.get_mut(id) {
                let tongue = open.standing.tongue();
                open.standing = read_course(book, &open.ledger, *id, tongue);
                for student in open.standing.students() {
                    self.open_person(student)?;
                }
            }
            return Ok(());
        }
        // The shop's and a person's ledgers are small and read whole each time.
        self.take_line(ledger, EntryId::new(uuid::Uuid::nil()))
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
