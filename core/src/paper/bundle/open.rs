//! Opening a bundle: nothing in it is believed.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset};

use super::{BundleError, DOMAIN, MADE, MAGIC, MOST_BYTES, VERSION};
use crate::course::{CourseId, EntryId, LedgerId, ShopId, StudentId};
use crate::entry::{Body, DeviceKey, KeptFile, Sha256Hex, Writer};
use crate::ledger::{Ledger, Written, plain};
use crate::standing::{CourseStanding, ShopStanding};
use crate::trust::{TrustBook, is_signed_as, shop_id};

/// A bundle that was opened and holds together.
#[derive(Debug, Clone)]
pub struct OpenBundle {
    /// The shop's root key, which its id was made from.
    pub root: DeviceKey,
    /// When it was made, by the making device's clock.
    pub made: DateTime<FixedOffset>,
    /// The device that signed the whole.
    pub by: DeviceKey,
    /// Whose device that is.
    pub writer: Writer,
    /// Whether the shop has revoked that device since; its entries are judged one by one.
    pub revoked: bool,
    /// The shop's ledger, or the part of it that the course needs.
    pub shop: Ledger,
    /// The course's ledger.
    pub course: Ledger,
    /// The students' own ledgers that came with it.
    pub people: Vec<Ledger>,
    /// Photographs and sounds that came with it.
    pub files: Vec<BundleFile>,
}

/// A photograph or a sound that came with a bundle.
#[derive(Clone, PartialEq, Eq)]
pub struct BundleFile {
    /// As an entry of the course names it.
    pub file: KeptFile,
    /// Its bytes, which give its digest.
    pub bytes: Vec<u8>,
}

/// Written by hand: what is seen on a photograph is nothing for a log.
impl std::fmt::Debug for BundleFile {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "BundleFile({})", self.file.sha256)
    }
}

/// What the entries of a bundle come to.
#[derive(Debug, Clone)]
pub struct BundleStanding {
    /// Who may write.
    pub trust: TrustBook,
    /// The shop.
    pub shop: ShopStanding,
    /// The course.
    pub course: CourseStanding,
}

impl OpenBundle {
    /// Which course.
    pub fn course_id(&self) -> Option<CourseId> {
        match self.course.id() {
            LedgerId::Course(id) => Some(*id),
            LedgerId::Shop(_) | LedgerId::Person(_) => None,
        }
    }

    /// What the entries come to, by the shop's own certificates.
    pub fn standing(&self) -> BundleStanding {
        let written = Written::of(vec![&self.shop, &self.course]);
        let had =
            |l: &LedgerId, e: &EntryId, k: &DeviceKey, last: &[EntryId]| written.had(l, e, k, last);
        let trust = TrustBook::read(self.root, self.shop.lines(), &had);
        let verdicts = |ledger: &Ledger| -> Vec<_> {
            ledger
                .lines()
                .iter()
                .map(|(id, line)| (*id, trust.verdict(ledger.id(), id, line, &had)))
                .collect()
        };
        let (of_shop, of_course) = (verdicts(&self.shop), verdicts(&self.course));
        let lines = |ledger: &'_ Ledger, verdicts: &[(_, _)]| -> Vec<_> {
            verdicts
                .iter()
                .filter_map(|(id, verdict)| Some((*id, ledger.lines().get(id)?.clone(), *verdict)))
                .collect()
        };
        let shop = lines(&self.shop, &of_shop);
        let course = lines(&self.course, &of_course);
        let id = self
            .course_id()
            .unwrap_or_else(|| CourseId::new(uuid::Uuid::nil()));
        BundleStanding {
            shop: ShopStanding::read(shop.iter().map(|(id, line, verdict)| (*id, line, *verdict))),
            course: CourseStanding::read(
                id,
                course
                    .iter()
                    .map(|(id, line, verdict)| (*id, line, *verdict)),
            ),
            trust,
        }
    }
}

/// Opens a bundle. `actor` is fresh chance, as for any ledger that is opened.
///
/// # Errors
/// [`BundleError`], naming what was wrong; nothing of the file is used then.
pub fn read_bundle(bytes: &[u8], actor: [u8; 16]) -> Result<OpenBundle, BundleError> {
    if bytes.len() > MOST_BYTES {
        return Err(BundleError::TooLarge { most: MOST_BYTES });
    }
    let mut from = Cursor { rest: bytes };
    let magic = from
        .array::<16>("beginning")
        .map_err(|_| BundleError::NotABundle)?;
    if &magic != MAGIC {
        return Err(BundleError::NotABundle);
    }
    let [version] = from.array("version")?;
    if version > VERSION {
        return Err(BundleError::Newer {
            found: version,
            known: VERSION,
        });
    }
    // The signature first: whatever else is wrong with a changed file is of no interest.
    let (signed, signature) = bytes
        .split_last_chunk::<64>()
        .ok_or(BundleError::Damaged { what: "signature" })?;
    let (_, by) = signed
        .split_last_chunk::<32>()
        .ok_or(BundleError::Damaged { what: "signature" })?;
    let by = DeviceKey(*by);
    if !is_signed_as(DOMAIN, &by, signature, signed) {
        return Err(BundleError::Tampered);
    }
    let root = DeviceKey(from.array("root key")?);
    let made = from.array::<MADE>("time")?;
    let made = std::str::from_utf8(&made)
        .ok()
        .and_then(|text| DateTime::parse_from_rfc3339(text.trim_end()).ok())
        .ok_or(BundleError::Damaged { what: "time" })?;
    let count = u16::from_be_bytes(from.array("number of ledgers")?);
    let mut ledgers = Vec::new();
    let mut seen = BTreeSet::new();
    for _ in 0..count {
        let id = ledger_id(from.array::<17>("ledger id")?)?;
        let length = u64::from_be_bytes(from.array("ledger length")?);
        let length = usize::try_from(length).map_err(|_| BundleError::Damaged {
            what: "ledger length",
        })?;
        let bytes = from.take(length, "ledger")?;
        if !seen.insert(id) {
            return Err(BundleError::Twice { ledger: id });
        }
        plain::count(bytes).map_err(|source| BundleError::NotPlain { ledger: id, source })?;
        let of = |source| BundleError::Ledger { ledger: id, source };
        let ledger = Ledger::load_foreign(actor, bytes).map_err(of)?;
        if *ledger.id() != id {
            return Err(of(crate::ledger::LedgerError::OtherLedger));
        }
        ledgers.push(ledger);
    }
    let mut files = Vec::new();
    if version >= 2 {
        let count = u32::from_be_bytes(from.array("number of photographs and sounds")?);
        for _ in 0..count {
            let sha256 = Sha256Hex(from.array("digest")?);
            let length = u32::from_be_bytes(from.array("length of a photograph or a sound")?);
            let length = usize::try_from(length).unwrap_or(usize::MAX);
            files.push((sha256, from.take(length, "photograph or sound")?));
        }
    }
    if from.rest.len() != 32 + 64 {
        return Err(BundleError::Damaged { what: "end" });
    }
    let mut bundle = assemble(root, made, by, ledgers)?;
    bundle.files = named_files(&bundle.course, files)?;
    Ok(bundle)
}

/// The files of a bundle, each as an entry of the course names it.
fn named_files(
    course: &Ledger,
    files: Vec<(Sha256Hex, &[u8])>,
) -> Result<Vec<BundleFile>, BundleError> {
    let entries = course.lines().values().filter_map(|line| line.entry());
    let named: BTreeSet<KeptFile> = entries
        .filter_map(|entry| {
            if let Body::Attachment(attachment) = &entry.body {
                Some(attachment.file)
            } else {
                None
            }
        })
        .collect();
    let known = |(sha256, bytes): (Sha256Hex, &[u8])| {
        let mut named = named.iter();
        let file = named.find(|file| file.sha256 == sha256 && file.is(bytes))?;
        Some(BundleFile {
            file: *file,
            bytes: bytes.to_vec(),
        })
    };
    let files = files.into_iter();
    files
        .map(|one| known(one).ok_or(BundleError::NotNamed))
        .collect()
}

fn assemble(
    root: DeviceKey,
    made: DateTime<FixedOffset>,
    by: DeviceKey,
    ledgers: Vec<Ledger>,
) -> Result<OpenBundle, BundleError> {
    let (mut shop, mut course, mut people) = (None, None, Vec::new());
    for ledger in ledgers {
        let before = match *ledger.id() {
            LedgerId::Shop(_) => shop.replace(ledger),
            LedgerId::Course(_) => course.replace(ledger),
            LedgerId::Person(_) => {
                people.push(ledger);
                None
            }
        };
        if before.is_some() {
            return Err(BundleError::NotOne {
                what: "shop and course",
            });
        }
    }
    let shop = shop.ok_or(BundleError::NotOne { what: "shop" })?;
    let course = course.ok_or(BundleError::NotOne { what: "course" })?;
    if *shop.id() != LedgerId::Shop(shop_id(&root)) {
        return Err(BundleError::OtherRoot);
    }
    let mut students: BTreeSet<StudentId> = BTreeSet::new();
    let mut shops: BTreeSet<ShopId> = BTreeSet::new();
    for line in course.lines().values() {
        match line.entry().map(|entry| &entry.body) {
            Some(Body::Enrolment(enrolment)) => {
                students.insert(enrolment.student);
            }
            Some(Body::CourseOpened(opened)) => {
                shops.insert(opened.shop);
            }
            _ => {}
        }
    }
    if shops.iter().any(|shop| *shop != shop_id(&root)) {
        return Err(BundleError::OtherShop);
    }
    for person in &people {
        let enrolled = match person.id() {
            LedgerId::Person(student) => students.contains(student),
            LedgerId::Shop(_) | LedgerId::Course(_) => false,
        };
        if !enrolled {
            return Err(BundleError::NotEnrolled {
                ledger: *person.id(),
            });
        }
    }
    let (writer, revoked) = {
        let written = Written::of(vec![&shop, &course]);
        let trust = TrustBook::read(root, shop.lines(), &|l, e, k, last| {
            written.had(l, e, k, last)
        });
        (trust.writer(&by), trust.is_revoked(&by))
    };
    let writer = writer.ok_or_else(|| BundleError::Stranger { key: by.short() })?;
    Ok(OpenBundle {
        root,
        made,
        by,
        writer,
        revoked,
        shop,
        course,
        people,
        files: Vec::new(),
    })
}

fn ledger_id(form: [u8; 17]) -> Result<LedgerId, BundleError> {
    let [kind, id @ ..] = form;
    let id = uuid::Uuid::from_bytes(id);
    match kind {
        1 => Ok(LedgerId::Shop(ShopId::new(id))),
        2 => Ok(LedgerId::Course(CourseId::new(id))),
        3 => Ok(LedgerId::Person(StudentId::new(id))),
        _ => Err(BundleError::Damaged { what: "ledger id" }),
    }
}

/// Reads on through the bytes, and never past their end.
struct Cursor<'a> {
    rest: &'a [u8],
}

impl<'a> Cursor<'a> {
    fn array<const N: usize>(&mut self, what: &'static str) -> Result<[u8; N], BundleError> {
        let (taken, rest) = self
            .rest
            .split_first_chunk::<N>()
            .ok_or(BundleError::Damaged { what })?;
        self.rest = rest;
        Ok(*taken)
    }

    fn take(&mut self, length: usize, what: &'static str) -> Result<&'a [u8], BundleError> {
        let (taken, rest) = self
            .rest
            .split_at_checked(length)
            .ok_or(BundleError::Damaged { what })?;
        self.rest = rest;
        Ok(taken)
    }
}
