//! The course that [`super::meaning`] plays on: people, their keys, what it begins with, and
//! what a set of entries comes to.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use tallywater_core::course::{
    CourseId, EntryId, LedgerId, Outline, Role, SessionId, Setting, ShopId, SkillId, StaffId,
    StudentId, starter,
};
use tallywater_core::entry::{
    Body, Certificate, CourseOpened, DetailsDigest, DeviceKey, Enrolment, Entry, OutlineSet,
    Revocation, SessionPlanned, StaffJoined, write,
};
use tallywater_core::standing::CourseStanding;
use tallywater_core::trust::{Line, SecretKey, TrustBook, Verdict, shop_id};
use uuid::Uuid;

use crate::support::devices::{day, plan, time};

/// Who there is: the office, two instructors and an assistant who are honest, the adversary, and
/// a key that no certificate names.
pub(super) const OFFICE: usize = 0;
pub(super) const RENATE: usize = 1;
pub(super) const ODD: usize = 2;
pub(super) const PELLE: usize = 3;
pub(super) const BAD: usize = 4;
pub(super) const STRANGER: usize = 5;

pub(super) const SKILLS: [&str; 3] = ["mask-full", "swim-200", "partner-check"];
pub(super) const COURSE: CourseId = CourseId::new(Uuid::from_u128(0xc0));
pub(super) const SESSION: SessionId = SessionId::new(Uuid::from_u128(0x5e));

pub(super) fn staff(n: usize) -> StaffId {
    StaffId::new(Uuid::from_u128(0x100 + u128::try_from(n).unwrap()))
}

pub(super) fn student(n: usize) -> StudentId {
    StudentId::new(Uuid::from_u128(0x200 + u128::try_from(n).unwrap()))
}

pub(super) fn skill(n: usize) -> SkillId {
    SKILLS[n].parse().unwrap()
}

pub(super) const fn ledger() -> LedgerId {
    LedgerId::Course(COURSE)
}

/// The lines of a ledger.
pub(super) type Lines = BTreeMap<EntryId, Line>;

/// What every schedule begins with, made once.
pub(super) struct Beginning {
    pub(super) keys: Vec<SecretKey>,
    pub(super) public: Vec<DeviceKey>,
    root: SecretKey,
    pub(super) shop: LedgerId,
    /// The shop's ledger where the adversary is an assistant, and where an instructor.
    pub(super) books: [(Lines, TrustBook); 2],
    /// The first entries of the course.
    pub(super) course: Lines,
}

pub(super) static BEGINNING: LazyLock<Beginning> = LazyLock::new(Beginning::new);

impl Beginning {
    fn new() -> Self {
        let keys: Vec<SecretKey> = (1..=6).map(|n| SecretKey::from_seed(&[n; 32])).collect();
        let root = SecretKey::from_seed(&[0x70; 32]);
        let shop = LedgerId::Shop(ShopId::new(shop_id(&root.public()).uuid()));
        let mut made = Self {
            public: keys.iter().map(SecretKey::public).collect(),
            keys,
            shop,
            books: [Role::Assistant, Role::Instructor].map(|_| {
                let book = TrustBook::new(root.public());
                (Lines::new(), book)
            }),
            root,
            course: Lines::new(),
        };
        made.books = [Role::Assistant, Role::Instructor].map(|bad| made.book(bad));
        made.course = made.begun();
        made
    }

    fn by_root(&self, body: Body) -> (EntryId, Line) {
        let by = StaffId::new(shop_id(&self.root.public()).uuid());
        let (id, sealed) = self.root.seal(
            &self.shop,
            None,
            &write(&entry(by, Vec::new(), body)).unwrap(),
        );
        (id, Line::check(&self.shop, id, &sealed))
    }

    fn book(&self, bad: Role) -> (Lines, TrustBook) {
        let roles = [
            Role::Shop,
            Role::Instructor,
            Role::Instructor,
            Role::Assistant,
            bad,
        ];
        let mut lines = Lines::new();
        for (n, role) in roles.into_iter().enumerate() {
            let name = format!("Judge {n}");
            lines.extend([
                self.by_root(
                    StaffJoined {
                        staff: staff(n),
                        name,
                    }
                    .into(),
                ),
                self.by_root(
                    Certificate {
                        staff: staff(n),
                        role,
                        device: format!("tablet {n}"),
                        key: self.public[n],
                        link: None,
                        from: day("2026-01-01"),
                        until: None,
                        consent: None,
                    }
                    .into(),
                ),
            ]);
        }
        let book = TrustBook::read(self.root.public(), &lines, &|_, _, _, _| false);
        (lines, book)
    }

    /// The book once the adversary was shut out, when these were its last entries.
    pub(super) fn shut_out(&self, instructor: bool, last: Vec<EntryId>) -> TrustBook {
        let mut lines = self.books[usize::from(instructor)].0.clone();
        lines.extend([self.by_root(
            Revocation {
                key: self.public[BAD],
                why: "left on the boat".into(),
                held: [(ledger(), last)].into(),
            }
            .into(),
        )]);
        TrustBook::read(self.root.public(), &lines, &|_, _, _, _| false)
    }

    fn begun(&self) -> Lines {
        let students = [student(0), student(1)];
        let mut first: Vec<Body> = vec![
            CourseOpened {
                title: "First dives".into(),
                shop: shop_id(&self.root.public()),
                starts: day("2026-06-06"),
                place: None,
            }
            .into(),
            OutlineSet {
                outline: outline(),
                why: None,
            }
            .into(),
            SessionPlanned {
                session: SESSION,
                plan: plan(
                    &students,
                    &[staff(RENATE)],
                    Setting::Confined,
                    "2026-06-06T10:00:00+02:00",
                ),
            }
            .into(),
        ];
        for student in students {
            first.push(enrolment(student));
        }
        let mut lines = Lines::new();
        let mut prev = None;
        for body in first {
            let payload = write(&entry(staff(OFFICE), Vec::new(), body)).unwrap();
            let (id, sealed) = self.keys[OFFICE].seal(&ledger(), prev, &payload);
            lines.insert(id, Line::check(&ledger(), id, &sealed));
            prev = Some(id);
        }
        lines
    }
}

/// Three skills of the starter outline, each to be met once.
pub(super) fn outline() -> Outline {
    let mut outline = starter::outline().unwrap();
    outline
        .skills
        .retain(|one| SKILLS.contains(&one.id.as_str()));
    for one in &mut outline.skills {
        one.needs.clear();
        one.methods.clear();
        one.demand = Default::default();
    }
    outline.blocks.clear();
    assert_eq!(outline.skills.len(), SKILLS.len());
    outline
}

pub(super) fn enrolment(student: StudentId) -> Body {
    Enrolment {
        student,
        details: DetailsDigest::of(EntryId::new(Uuid::nil()), b"no details"),
        referred_from: None,
        known_there_as: None,
    }
    .into()
}

pub(super) fn entry(by: StaffId, after: Vec<EntryId>, body: Body) -> Entry {
    Entry {
        id: EntryId::new(Uuid::nil()),
        at: time("2026-06-06T10:00:00+02:00"),
        by,
        after,
        body,
    }
}

/// The entries of a key among these that none of its others names: what a shutting-out names.
pub(super) fn last_of(lines: &Lines, here: &BTreeSet<EntryId>, key: &DeviceKey) -> Vec<EntryId> {
    let own = || {
        here.iter()
            .filter_map(|id| Some((id, lines.get(id)?)))
            .filter(|(_, line)| line.signed && line.key == Some(*key))
    };
    let named: BTreeSet<EntryId> = own().filter_map(|(_, line)| line.prev).collect();
    own()
        .map(|(id, _)| *id)
        .filter(|id| !named.contains(id))
        .collect()
}

/// Whether an entry of a key is one of these last ones, or before them.
fn is_before(
    lines: &Lines,
    here: &BTreeSet<EntryId>,
    id: &EntryId,
    key: &DeviceKey,
    last: &[EntryId],
) -> bool {
    last.iter().any(|end| {
        let mut at = Some(*end);
        while let Some(one) = at {
            let line = lines.get(&one).filter(|_| here.contains(&one));
            let line = line.filter(|line| line.signed && line.key == Some(*key));
            if line.is_some() && one == *id {
                return true;
            }
            at = line.and_then(|line| line.prev);
        }
        false
    })
}

/// What each of these entries is worth by a book.
pub(super) fn verdicts(
    book: &TrustBook,
    lines: &Lines,
    here: &BTreeSet<EntryId>,
) -> BTreeMap<EntryId, Verdict> {
    here.iter()
        .map(|id| {
            let verdict = book.verdict(&ledger(), id, &lines[id], &|_, id, key, last| {
                is_before(lines, here, id, key, last)
            });
            (*id, verdict)
        })
        .collect()
}

/// What these entries come to.
pub(super) fn standing(
    lines: &Lines,
    verdicts: &BTreeMap<EntryId, Verdict>,
    of: impl Fn(&EntryId) -> bool,
) -> CourseStanding {
    let some = verdicts.iter().filter(|(id, _)| of(id));
    CourseStanding::read(
        COURSE,
        some.map(|(id, verdict)| (*id, &lines[id], *verdict)),
    )
}
