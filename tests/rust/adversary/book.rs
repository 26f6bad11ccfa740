//! For the shop's ledger the adversary signs certificates, revocations, names, lines of the
//! list of courses and withdrawals of its own making, naming whatever is there. An instructor's
//! device gives nobody else's role, device, name or course to another. One of the office is the
//! shop, and still shuts out neither the computer that admitted it nor the root; and whichever
//! it is, from where it is shut out nothing that it writes counts.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use proptest::prelude::*;
use tallywater_core::course::{CourseId, EntryId, LedgerId, Role, ShopId, StaffId};
use tallywater_core::entry::{
    Body, Certificate, Consent, CourseDropped, CourseListed, CourseState, DeviceKey, Entry,
    LateAccepted, Revocation, StaffJoined, Withdrawal, Writer, course_id, write,
};
use tallywater_core::ledger::{Ledger, Written};
use tallywater_core::standing::ShopStanding;
use tallywater_core::trust::{SecretKey, TrustBook, consent, shop_id};
use uuid::Uuid;

use super::{runner, schedules};

/// Who is honest: the shop's computer, two instructors and an assistant whom the first of them
/// admitted. The adversary is an instructor too, and has devices of its own besides.
const SHOP: usize = 0;
const FIRST: usize = 1;
const SECOND: usize = 2;
const ASSISTANT: usize = 3;
const BAD: usize = 4;
const OWN: usize = 5;
const DEVICES: usize = 7;

static KEYS: LazyLock<Vec<SecretKey>> =
    LazyLock::new(|| (1..=7).map(|n| SecretKey::from_seed(&[n; 32])).collect());
static LINKS: LazyLock<Vec<SecretKey>> = LazyLock::new(|| {
    (101..=107)
        .map(|n| SecretKey::from_seed(&[n; 32]))
        .collect()
});
static ROOT: LazyLock<SecretKey> = LazyLock::new(|| SecretKey::from_seed(&[0x70; 32]));
/// The beginnings of all schedules: the adversary is an instructor, or of the office.
static BEGINNINGS: LazyLock<[Book; 2]> =
    LazyLock::new(|| [Role::Instructor, Role::Shop].map(Book::new));

fn key(n: usize) -> &'static SecretKey {
    &KEYS[n]
}

fn link(n: usize) -> &'static SecretKey {
    &LINKS[n]
}

fn staff(n: usize) -> StaffId {
    StaffId::new(Uuid::from_u128(0x100 + u128::try_from(n).unwrap()))
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
        2 => (0..=DEVICES).prop_map(Act::Revoke),
        1 => device.clone().prop_map(Act::Name),
        6 => (0..3_usize, prop::collection::vec(device, 0..4), some())
            .prop_map(|(course, staff, after)| Act::List { course, staff, after }),
        3 => (0..64_usize).prop_map(Act::TakeBack),
        1 => (0..3_usize).prop_map(Act::Drop),
        1 => (0..64_usize).prop_map(Act::Accept),
    ];
    (acts, prop::option::of(0..DEVICES))
}

#[derive(Clone)]
struct Book {
    ledger: Ledger,
    id: LedgerId,
    courses: [CourseId; 3],
    written: Vec<EntryId>,
}

impl Book {
    /// A shop with its people, their devices, and a course each of the shop's and of two
    /// instructors; the adversary was on the first and is no more.
    fn new(role: Role) -> Self {
        let id = LedgerId::Shop(ShopId::new(shop_id(&ROOT.public()).uuid()));
        let opened = |n: u128, by: usize| course_id(Uuid::from_u128(n), &key(by).public());
        let mut book = Self {
            ledger: Ledger::new(id, [9; 16]).unwrap(),
            id,
            courses: [opened(1, SHOP), opened(2, FIRST), opened(3, BAD)],
            written: Vec::new(),
        };
        let office = StaffId::new(shop_id(&ROOT.public()).uuid());
        for n in [SHOP, FIRST, SECOND, ASSISTANT, BAD] {
            let name = format!("Judge {n}");
            let joined = StaffJoined {
                staff: staff(n),
                name,
            };
            book.write(&ROOT, office, Vec::new(), joined);
        }
        for (n, role) in [
            (SHOP, Role::Shop),
            (FIRST, Role::Instructor),
            (SECOND, Role::Instructor),
        ] {
            let one = certificate(staff(n), role, n, n, None);
            book.write(&ROOT, office, Vec::new(), one);
        }
        let one = certificate(staff(BAD), role, BAD, BAD, None);
        book.write(key(SHOP), staff(SHOP), Vec::new(), one);
        let given = consent(key(ASSISTANT), link(ASSISTANT), &link(FIRST).public());
        let (n, given) = (ASSISTANT, Some(given));
        let one = certificate(staff(n), Role::Assistant, n, n, given);
        book.write(key(FIRST), staff(FIRST), Vec::new(), one);
        let [shops, firsts, bads] = book.courses;
        let with = book.list(SHOP, shops, &[FIRST, ASSISTANT, BAD], Vec::new());
        book.list(SHOP, shops, &[FIRST, ASSISTANT], vec![with]);
        book.list(FIRST, firsts, &[FIRST], Vec::new());
        book.list(BAD, bads, &[BAD], Vec::new());
        book
    }

    fn list(&mut self, by: usize, course: CourseId, on: &[usize], after: Vec<EntryId>) -> EntryId {
        let says = listed(course, on);
        self.write(key(by), staff(by), after, says)
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

    /// The first office computer shuts out the adversary, and whomever that admitted.
    fn shut_out(&mut self) {
        let honest = [SHOP, FIRST, SECOND, ASSISTANT].map(|n| key(n).public());
        let (trust, _) = self.read();
        let known = trust.certificates().map(|(_, one)| one.key);
        let out: Vec<DeviceKey> = known.filter(|key| !honest.contains(key)).collect();
        for key_of in out {
            let revocation = Revocation {
                key: key_of,
                why: "stolen".into(),
                held: [(self.id, self.ledger.last_of(&key_of))].into(),
            };
            self.write(key(SHOP), staff(SHOP), Vec::new(), revocation);
        }
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
                        key(ASSISTANT),
                        link(ASSISTANT),
                        &link(FIRST).public(),
                    )),
                    // With the keys it has.
                    2 => Some(consent(key(OWN), link(OWN), &own)),
                    3 => Some(consent(key(BAD), link(BAD), &own)),
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
                    key: KEYS.get(*n).unwrap_or(&ROOT).public(),
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
        self.write(key(by), staff(as_whom.unwrap_or(BAD)), after, body);
    }

    fn read(&self) -> (TrustBook, ShopStanding) {
        let written = Written::of(vec![&self.ledger]);
        let had =
            |l: &LedgerId, e: &EntryId, k: &DeviceKey, last: &[EntryId]| written.had(l, e, k, last);
        let book = TrustBook::read(ROOT.public(), self.ledger.lines(), &had);
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

/// Who holds the honest devices' keys, by what connection, the staff's names, and who is on
/// the courses that are not the adversary's.
type Seen = (
    Vec<(Option<Writer>, Option<Certificate>, bool)>,
    BTreeMap<DeviceKey, BTreeSet<DeviceKey>>,
    Vec<Option<String>>,
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
    let names = honest.map(|n| shop.staff_name(&staff(n)).map(str::to_owned));
    let courses = book.courses[..2].iter().map(|id| shop.course(id).cloned());
    (
        devices.to_vec(),
        links.into_iter().collect(),
        names.to_vec(),
        courses.collect(),
    )
}

/// Everything that the book and the list come to.
fn everything(book: &Book) -> (TrustBook, Vec<CourseListed>, BTreeMap<StaffId, String>) {
    let (trust, shop) = book.read();
    let courses = shop.courses().cloned().collect();
    let names = shop.staff();
    (trust, courses, names)
}

/// Runs one schedule; from one of its acts on the adversary is shut out.
fn run(role: Role, acts: &[(Act, Option<usize>)], from: usize) -> Result<(), TestCaseError> {
    let [instructor, office] = &*BEGINNINGS;
    let first = if role == Role::Shop {
        office
    } else {
        instructor
    };
    let mut book = first.clone();
    let (before, after) = acts.split_at(from.min(acts.len()));
    for (act, as_whom) in before {
        book.act(act, *as_whom);
    }
    let (trust, shop) = book.read();
    let own = |n: usize| key(n).public();
    prop_assert!(trust.writer(&own(SHOP)).is_some() && !trust.is_revoked(&own(SHOP)));
    prop_assert!(
        !trust.is_revoked(&ROOT.public()),
        "nobody shuts out the root"
    );
    if role != Role::Shop {
        prop_assert_eq!(seen(&book), seen(first));
        prop_assert!(shop.dropped().is_empty());
        let honest = [SHOP, FIRST, SECOND, ASSISTANT].map(own);
        for (_, one) in trust.certificates() {
            let given = honest.contains(&one.key) || one.key == own(BAD);
            prop_assert!(given || one.role == Role::Assistant, "nobody gains a role");
        }
    }
    book.shut_out();
    let out = everything(&book);
    prop_assert!(out.0.is_revoked(&own(BAD)), "it is out");
    for (act, as_whom) in after {
        book.act(act, *as_whom);
    }
    prop_assert!(everything(&book) == out, "and stays out");
    Ok(())
}

#[test]
fn whatever_a_device_signs_for_the_shop_nobody_elses_becomes_its_own_and_out_is_out() {
    let mut runner = runner(schedules(), "rust/regressions/adversary_book.txt");
    let (.., courses) = seen(&BEGINNINGS[0]);
    let on: Vec<Vec<StaffId>> = courses
        .iter()
        .map(|one| one.as_ref().unwrap().staff.clone())
        .collect();
    assert_eq!(
        on,
        [vec![staff(FIRST), staff(ASSISTANT)], vec![staff(FIRST)]]
    );
    let acts = (
        any::<bool>(),
        prop::collection::vec(act(), 1..20),
        0..20_usize,
    );
    runner
        .run(&acts, |(office, acts, from)| {
            let role = if office { Role::Shop } else { Role::Instructor };
            run(role, &acts, from)
        })
        .unwrap();
}

#[test]
fn who_was_taken_off_clears_no_list_by_two_lines_that_answer_the_one_they_stood_on() {
    let empty = |after: &[usize]| {
        let after = after.to_vec();
        let staff = Vec::new();
        let course = 0;
        (
            Act::List {
                course,
                staff,
                after,
            },
            None,
        )
    };
    // The tenth has the adversary on it, the next takes it off, the fourteenth is its first.
    run(Role::Instructor, &[empty(&[10]), empty(&[10, 14])], 2).unwrap();
}
