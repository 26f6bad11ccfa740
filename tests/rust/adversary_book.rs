//! The same adversary over the shop's ledger: an instructor's device that signs certificates,
//! revocations, names, lines of the list of courses and withdrawals of its own making, naming
//! whatever is there, in an order of chance. Whatever it writes, nobody else's role, device or
//! course becomes another's.
//!
//! `ADVERSARY_SCHEDULES=10000` runs that many schedules.

use std::collections::{BTreeMap, BTreeSet};

use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use tallywater_core::course::{CourseId, EntryId, LedgerId, Role, ShopId, StaffId};
use tallywater_core::entry::{
    Body, Certificate, Consent, CourseDropped, CourseListed, CourseState, DeviceKey, Entry,
    LateAccepted, Revocation, StaffJoined, Withdrawal, Writer, course_id, write,
};
use tallywater_core::ledger::{Ledger, Written};
use tallywater_core::standing::ShopStanding;
use tallywater_core::trust::{SecretKey, TrustBook, consent, shop_id};
use uuid::Uuid;

/// Who is honest: the shop's computer, two instructors and an assistant whom the first of them
/// admitted. The adversary is an instructor too, and has devices of its own besides.
const SHOP: usize = 0;
const FIRST: usize = 1;
const SECOND: usize = 2;
const ASSISTANT: usize = 3;
const BAD: usize = 4;
const OWN: usize = 5;
const DEVICES: usize = 7;

fn key(n: usize) -> SecretKey {
    SecretKey::from_seed(&[u8::try_from(n).unwrap() + 1; 32])
}

fn link(n: usize) -> SecretKey {
    SecretKey::from_seed(&[u8::try_from(n).unwrap() + 101; 32])
}

fn staff(n: usize) -> StaffId {
    StaffId::new(Uuid::from_u128(0x100 + u128::try_from(n).unwrap()))
}

fn root() -> SecretKey {
    SecretKey::from_seed(&[0x70; 32])
}

/// What the adversary writes; numbers pick among what there is.
#[derive(Debug, Clone)]
enum Act {
    Certify {
        who: usize,
        role: u8,
        key: usize,
        link: usize,
        consent: u8,
        over: bool,
    },
    Revoke(usize),
    Name(usize),
    List {
        course: usize,
        staff: Vec<usize>,
        after: Vec<usize>,
    },
    TakeBack(usize),
    Drop(usize),
    Accept(usize),
}

/// An act, and as whom another key of its own signs it, if not its first key.
fn act() -> impl Strategy<Value = (Act, Option<usize>)> {
    let device = 0..DEVICES;
    let some = || prop::collection::vec(0..64_usize, 0..4);
    let certify = (
        device.clone(),
        0..3_u8,
        device.clone(),
        device.clone(),
        0..5_u8,
        any::<bool>(),
    );
    let acts = prop_oneof![
        6 => certify.prop_map(|(who, role, key, link, consent, over)| Act::Certify {
            who,
            role,
            key,
            link,
            consent,
            over,
        }),
        1 => device.clone().prop_map(Act::Revoke),
        1 => device.clone().prop_map(Act::Name),
        6 => (0..3_usize, prop::collection::vec(device, 0..4), some())
            .prop_map(|(course, staff, after)| Act::List { course, staff, after }),
        3 => (0..64_usize).prop_map(Act::TakeBack),
        1 => (0..3_usize).prop_map(Act::Drop),
        1 => (0..64_usize).prop_map(Act::Accept),
    ];
    (acts, prop::option::of(0..DEVICES))
}

struct Book {
    ledger: Ledger,
    id: LedgerId,
    courses: [CourseId; 3],
    written: Vec<EntryId>,
}

impl Book {
    /// A shop with its people, their devices, and a course each of the shop's and of two
    /// instructors; the adversary was on the first and is no more.
    fn new() -> Self {
        let id = LedgerId::Shop(ShopId::new(shop_id(&root().public()).uuid()));
        let opened = |n: u128, by: usize| course_id(Uuid::from_u128(n), &key(by).public());
        let mut book = Self {
            ledger: Ledger::new(id, [9; 16]).unwrap(),
            id,
            courses: [opened(1, SHOP), opened(2, FIRST), opened(3, BAD)],
            written: Vec::new(),
        };
        let office = StaffId::new(shop_id(&root().public()).uuid());
        for n in [SHOP, FIRST, SECOND, ASSISTANT, BAD] {
            let name = format!("Judge {n}");
            let joined = StaffJoined {
                staff: staff(n),
                name,
            };
            book.write(&root(), office, Vec::new(), joined);
        }
        for (n, role) in [
            (SHOP, Role::Shop),
            (FIRST, Role::Instructor),
            (SECOND, Role::Instructor),
            (BAD, Role::Instructor),
        ] {
            let one = certificate(staff(n), role, n, n, None);
            book.write(&root(), office, Vec::new(), one);
        }
        let given = consent(&key(ASSISTANT), &link(ASSISTANT), &link(FIRST).public());
        let (n, given) = (ASSISTANT, Some(given));
        let one = certificate(staff(n), Role::Assistant, n, n, given);
        book.write(&key(FIRST), staff(FIRST), Vec::new(), one);
        let [shops, firsts, bads] = book.courses;
        let with = book.list(SHOP, shops, &[FIRST, ASSISTANT, BAD], Vec::new());
        book.list(SHOP, shops, &[FIRST, ASSISTANT], vec![with]);
        book.list(FIRST, firsts, &[FIRST], Vec::new());
        book.list(BAD, bads, &[BAD], Vec::new());
        book
    }

    fn list(&mut self, by: usize, course: CourseId, on: &[usize], after: Vec<EntryId>) -> EntryId {
        let says = listed(course, on);
        self.write(&key(by), staff(by), after, says)
    }

    fn write(
        &mut self,
        key: &SecretKey,
        by: StaffId,
        after: Vec<EntryId>,
        body: impl Into<Body>,
    ) -> EntryId {
        let at = "2026-06-06T10:00:00+02:00".parse().unwrap();
        let entry = Entry {
            id: EntryId::new(Uuid::nil()),
            at,
            by,
            after,
            body: body.into(),
        };
        let prev = self.ledger.last_of(&key.public()).pop();
        let (id, sealed) = key.seal(&self.id, prev, &write(&entry).unwrap());
        if self.ledger.add(&sealed).is_ok() {
            self.written.push(id);
        }
        id
    }

    fn act(&mut self, act: &Act, as_whom: Option<usize>) {
        let by = if as_whom.is_some() { OWN } else { BAD };
        let pick = |at: &usize| self.written[*at % self.written.len()];
        let (after, body): (Vec<EntryId>, Body) = match act {
            Act::Certify {
                who,
                role,
                key: named,
                link: connects,
                consent: given,
                over,
            } => {
                let role = [Role::Shop, Role::Instructor, Role::Assistant][usize::from(*role)];
                let own = link(BAD).public();
                let given = match given {
                    0 => None,
                    // What an honest device gave to another.
                    1 => Some(consent(
                        &key(ASSISTANT),
                        &link(ASSISTANT),
                        &link(FIRST).public(),
                    )),
                    // With the keys it has.
                    2 => Some(consent(&key(OWN), &link(OWN), &own)),
                    3 => Some(consent(&key(BAD), &link(BAD), &own)),
                    _ => Some(Consent::of(&[7; 128])),
                };
                let mut one = certificate(staff(*who), role, *named, *connects, given);
                if *over {
                    one.until = Some("2026-01-02".parse().unwrap());
                }
                (Vec::new(), one.into())
            }
            Act::Revoke(n) => {
                let one = Revocation {
                    key: key(*n).public(),
                    why: "because".into(),
                    held: BTreeMap::new(),
                };
                (Vec::new(), one.into())
            }
            Act::Name(n) => {
                let name = "Somebody Else".into();
                let staff = staff(*n);
                (Vec::new(), StaffJoined { staff, name }.into())
            }
            Act::List {
                course,
                staff,
                after,
            } => {
                let says = listed(self.courses[*course], staff);
                (after.iter().map(pick).collect(), says.into())
            }
            Act::TakeBack(at) => {
                let entry = pick(at);
                (vec![entry], Withdrawal { entry, why: None }.into())
            }
            Act::Drop(course) => {
                let course = self.courses[*course];
                let why = "kept long enough".into();
                (Vec::new(), CourseDropped { course, why }.into())
            }
            Act::Accept(at) => {
                let entries = vec![pick(at)];
                let ledger = self.id;
                (Vec::new(), LateAccepted { ledger, entries }.into())
            }
        };
        self.write(&key(by), staff(as_whom.unwrap_or(BAD)), after, body);
    }

    fn read(&self) -> (TrustBook, ShopStanding) {
        let written = Written::of(vec![&self.ledger]);
        let had =
            |l: &LedgerId, e: &EntryId, k: &DeviceKey, last: &[EntryId]| written.had(l, e, k, last);
        let book = TrustBook::read(root().public(), self.ledger.lines(), &had);
        let lines = self.ledger.lines().iter();
        let judged = lines.map(|(id, line)| (*id, line, book.verdict(&self.id, id, line, &had)));
        let judged: Vec<_> = judged.collect();
        let shop = ShopStanding::read(judged);
        (book, shop)
    }
}

fn certificate(
    staff: StaffId,
    role: Role,
    named: usize,
    connects: usize,
    consent: Option<Consent>,
) -> Certificate {
    Certificate {
        staff,
        role,
        device: "a tablet".into(),
        key: key(named).public(),
        link: Some(link(connects).public()),
        from: "2026-01-01".parse().unwrap(),
        until: None,
        consent,
    }
}

fn listed(course: CourseId, on: &[usize]) -> CourseListed {
    CourseListed {
        course,
        title: "First dives".into(),
        starts: "2026-06-06".parse().unwrap(),
        staff: on.iter().map(|n| staff(*n)).collect(),
        state: CourseState::Running,
    }
}

/// Who holds the honest devices' keys, by what connection, and who is on the courses that are
/// not the adversary's.
type Seen = (
    Vec<(Option<Writer>, Option<Certificate>, bool)>,
    BTreeMap<DeviceKey, BTreeSet<DeviceKey>>,
    Vec<Option<CourseListed>>,
);

fn seen(book: &Book) -> Seen {
    let (trust, shop) = book.read();
    let honest = [SHOP, FIRST, SECOND, ASSISTANT];
    let devices = honest.map(|n| {
        let key = key(n).public();
        let certificate = trust.certificate(&key).cloned();
        (trust.writer(&key), certificate, trust.is_revoked(&key))
    });
    let links = honest.map(|n| {
        let own = link(n).public();
        let named = trust.certificates().map(|(_, one)| one);
        let named = named.filter(|one| one.link == Some(own));
        (own, named.map(|one| one.key).collect())
    });
    let courses = book.courses[..2].iter().map(|id| shop.course(id).cloned());
    assert!(shop.dropped().is_empty());
    for (_, one) in trust.certificates() {
        let made = honest.iter().all(|n| key(*n).public() != one.key);
        let own = one.key == key(BAD).public();
        assert!(
            !made || own || one.role == Role::Assistant,
            "nobody gains a role"
        );
    }
    (
        devices.to_vec(),
        links.into_iter().collect(),
        courses.collect(),
    )
}

#[test]
fn whatever_an_instructor_signs_nobody_elses_role_device_or_course_becomes_anothers() {
    let asked = std::env::var("ADVERSARY_SCHEDULES").ok();
    let cases = asked.and_then(|text| text.parse().ok()).unwrap_or(200);
    let mut runner = TestRunner::new(ProptestConfig {
        cases,
        failure_persistence: Some(Box::new(
            proptest::test_runner::FileFailurePersistence::Direct(
                "rust/regressions/adversary_book.txt",
            ),
        )),
        ..ProptestConfig::default()
    });
    let before = seen(&Book::new());
    let on: Vec<Vec<StaffId>> = before
        .2
        .iter()
        .map(|one| one.as_ref().unwrap().staff.clone())
        .collect();
    assert_eq!(
        on,
        [vec![staff(FIRST), staff(ASSISTANT)], vec![staff(FIRST)]]
    );
    let schedules = prop::collection::vec(act(), 1..24);
    runner
        .run(&schedules, |acts| {
            let mut book = Book::new();
            for (act, as_whom) in &acts {
                book.act(act, *as_whom);
            }
            prop_assert_eq!(seen(&book), before.clone());
            Ok(())
        })
        .unwrap();
}
