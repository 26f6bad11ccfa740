//! In a ledger's history the adversary writes whatever it likes, takes over other devices'
//! sessions, and hands what it made to whom it likes. Whatever it does, no honest mark
//! changes, and honest devices come in step.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use automerge::transaction::{CommitOptions, Transactable as _};
use automerge::{ActorId, Automerge, ObjType, ROOT, ReadDoc as _};
use proptest::prelude::*;
use tallywater_core::course::{EntryId, LedgerId, Role, ShopId, StaffId};
use tallywater_core::entry::{
    Body, Certificate, Entry, Revocation, StaffJoined, Withdrawal, content_id, write,
};
use tallywater_core::ledger::{Ledger, Written};
use tallywater_core::trust::{SecretKey, TrustBook, Verdict, shop_id};
use uuid::Uuid;

use super::{runner, schedules};
use crate::support::entries::{attempt, course, key};
use crate::support::hostile::put;

/// How many honest devices there are; the one after them is the adversary's.
const HONEST: usize = 3;

#[derive(Debug, Clone)]
enum Act {
    /// A device marks something.
    Mark(usize),
    /// Two devices give each other what they have.
    Meet(usize, usize),
    /// The adversary takes a copy of what a device has.
    Learn(usize),
    /// The adversary does something to its copy and gives all of it to a device.
    Attack(Attack, usize),
    /// A device is switched off and on.
    Restart(usize),
    /// The shop shuts the adversary out, by what the first device has of it.
    ShutOut,
}

#[derive(Debug, Clone)]
enum Attack {
    /// A mark of its own, properly written.
    Honest,
    /// Its own mark, or bytes nobody signed, under another's id; hanging on all it knows, or
    /// on the first change alone.
    Overwrite {
        at: usize,
        signed: bool,
        early: bool,
    },
    Delete(usize),
    Root,
    Empty,
    /// An entry that says it is another's.
    Impostor,
    /// The same, with the other's key upon it and no signature of that.
    Forged,
    /// It takes another's mark back.
    TakeBack(usize),
    /// An entry with one bit changed, under the id of that.
    Bent(usize),
    /// The next number in the session of whoever wrote last.
    Steal,
    /// A mark that was written already, wrapped once more.
    Again(usize),
    /// Only its last change, without what it hangs on.
    Torn,
}

fn attack() -> impl Strategy<Value = Attack> {
    let at = 0..64_usize;
    prop_oneof![
        2 => Just(Attack::Honest),
        3 => (at.clone(), any::<bool>(), any::<bool>())
            .prop_map(|(at, signed, early)| Attack::Overwrite { at, signed, early }),
        2 => at.clone().prop_map(Attack::Delete),
        1 => Just(Attack::Root),
        1 => Just(Attack::Empty),
        1 => Just(Attack::Impostor),
        1 => Just(Attack::Forged),
        1 => at.clone().prop_map(Attack::TakeBack),
        1 => at.clone().prop_map(Attack::Bent),
        3 => Just(Attack::Steal),
        1 => at.prop_map(Attack::Again),
        1 => Just(Attack::Torn),
    ]
}

fn act() -> impl Strategy<Value = Act> {
    let one = 0..HONEST;
    prop_oneof![
        4 => one.clone().prop_map(Act::Mark),
        3 => (one.clone(), one.clone()).prop_map(|(a, b)| Act::Meet(a, b)),
        2 => one.clone().prop_map(Act::Learn),
        5 => (attack(), one.clone()).prop_map(|(attack, to)| Act::Attack(attack, to)),
        1 => one.prop_map(Act::Restart),
        1 => Just(Act::ShutOut),
    ]
}

/// The devices, and what the honest ones were told is saved.
struct World {
    honest: Vec<Ledger>,
    bad: Automerge,
    saved: BTreeMap<EntryId, Vec<u8>>,
    /// What the adversary ever sealed, in order.
    made: Vec<EntryId>,
    /// The book once it was shut out, and how much of that it had sealed by then.
    after: Option<(TrustBook, usize)>,
    number: u64,
    actor: u8,
}

/// What every schedule begins with, made once.
struct Beginning {
    keys: Vec<SecretKey>,
    book: TrustBook,
    honest: Vec<Ledger>,
    bad: Automerge,
}

static BEGINNING: LazyLock<Beginning> = LazyLock::new(|| {
    let honest = (1..=HONEST).map(|n| Ledger::new(course(1), [u8::try_from(n).unwrap(); 16]));
    let first = Ledger::new(course(1), [0xaa; 16]).unwrap();
    Beginning {
        keys: (0..=HONEST)
            .map(|n| key(u8::try_from(n).unwrap() + 1))
            .collect(),
        book: book(None),
        honest: honest.map(Result::unwrap).collect(),
        bad: Automerge::load(&first.plain().unwrap()).unwrap(),
    }
});

fn device_key(n: usize) -> &'static SecretKey {
    &BEGINNING.keys[n]
}

fn staff(n: usize) -> StaffId {
    StaffId::new(Uuid::from_u128(0x100 + u128::try_from(n).unwrap()))
}

/// A shop that admitted all of them, the adversary as an assistant; and shut it out, if these
/// are the last entries it had of it.
fn book(shut_out: Option<Vec<EntryId>>) -> TrustBook {
    let root = SecretKey::from_seed(&[0x70; 32]);
    let shop = LedgerId::Shop(ShopId::new(shop_id(&root.public()).uuid()));
    let mut ledger = Ledger::new(shop, [9; 16]).unwrap();
    for n in 0..=HONEST {
        let role = if n == HONEST {
            Role::Assistant
        } else {
            Role::Instructor
        };
        let (name, device) = (format!("Judge {n}"), format!("tablet {n}"));
        let joined = Body::from(StaffJoined {
            staff: staff(n),
            name,
        });
        let certificate = Body::from(Certificate {
            staff: staff(n),
            role,
            device,
            key: key(u8::try_from(n).unwrap() + 1).public(),
            link: None,
            from: "2026-01-01".parse().unwrap(),
            until: None,
            consent: None,
        });
        for body in [joined, certificate] {
            add(&mut ledger, &root, body);
        }
    }
    if let Some(last) = shut_out {
        let revocation = Body::from(Revocation {
            key: key(u8::try_from(HONEST).unwrap() + 1).public(),
            why: "left on the boat".into(),
            held: [(course(1), last)].into(),
        });
        add(&mut ledger, &root, revocation);
    }
    TrustBook::read(root.public(), ledger.lines(), &|_, _, _, _| false)
}

fn add(ledger: &mut Ledger, root: &SecretKey, body: Body) {
    let by = StaffId::new(shop_id(&root.public()).uuid());
    let (_, sealed) = root.seal(ledger.id(), None, &write(&entry(by, body)).unwrap());
    ledger.add(&sealed).unwrap();
}

fn entry(by: StaffId, body: Body) -> Entry {
    Entry {
        id: EntryId::new(Uuid::nil()),
        at: "2026-06-06T10:00:00+02:00".parse().unwrap(),
        by,
        after: Vec::new(),
        body,
    }
}

impl World {
    fn new() -> Self {
        Self {
            honest: BEGINNING.honest.clone(),
            bad: BEGINNING.bad.clone(),
            saved: BTreeMap::new(),
            made: Vec::new(),
            after: None,
            number: 0,
            actor: 0x40,
        }
    }

    fn mark(&mut self, by: usize) -> Body {
        self.number += 1;
        let mut mark = attempt(self.number);
        mark.by = staff(by);
        mark.body
    }

    fn act(&mut self, act: &Act) {
        match act {
            Act::Mark(n) => {
                let body = self.mark(*n);
                let own = device_key(*n);
                let ledger = &mut self.honest[*n];
                let prev = ledger.last_of(&own.public()).pop();
                let payload = write(&entry(staff(*n), body)).unwrap();
                let (id, sealed) = own.seal(&course(1), prev, &payload);
                assert_eq!(ledger.add(&sealed).unwrap().entry, id);
                self.saved.insert(id, sealed);
            }
            Act::Meet(a, b) => self.meet(*a, *b),
            Act::Learn(n) => {
                self.bad = Automerge::load(&self.honest[*n].plain().unwrap()).unwrap();
            }
            Act::Restart(n) => {
                self.actor += 1;
                let bytes = self.honest[*n].plain().unwrap();
                let unsigned = self.honest[*n].lines().iter();
                let unsigned = unsigned.filter(|(_, line)| !line.signed);
                let unsigned = unsigned.map(|(id, _)| *id).collect();
                self.honest[*n] =
                    Ledger::load(course(1), [self.actor; 16], &bytes, &unsigned).unwrap();
            }
            Act::ShutOut => {
                if self.after.is_none() {
                    let last = self.honest[0].last_of(&device_key(HONEST).public());
                    self.after = Some((book(Some(last)), self.made.len()));
                }
            }
            Act::Attack(attack, to) => {
                let bytes = self.attack(attack);
                if let Ok(taken) = self.honest[*to].take_or_carry(&bytes) {
                    self.honest[*to].adopt(taken);
                }
            }
        }
    }

    /// What two devices do whose histories may not go together.
    fn meet(&mut self, a: usize, b: usize) {
        if a == b || self.honest[a].heads() == self.honest[b].heads() {
            return;
        }
        for (from, to) in [(a, b), (b, a)] {
            let bytes = self.honest[from].plain().unwrap();
            if let Ok(taken) = self.honest[to].take_or_carry(&bytes) {
                self.honest[to].adopt(taken);
            }
        }
    }

    /// The bytes that the adversary hands out.
    fn attack(&mut self, attack: &Attack) -> Vec<u8> {
        let (_, entries) = self.bad.get(ROOT, "entries").unwrap().unwrap();
        let keys: Vec<String> = self.bad.keys(&entries).collect();
        let pick = |at: usize| (!keys.is_empty()).then(|| keys[at % keys.len()].clone());
        let bad = device_key(HONEST);
        self.actor = self.actor.wrapping_add(1);
        let mut actor = ActorId::from(vec![self.actor; 16]);
        let (mut under, mut bytes) = {
            let body = self.mark(HONEST);
            let payload = write(&entry(staff(HONEST), body)).unwrap();
            // Behind its last, or one further back, or none.
            let prev = self.made.iter().rev().nth(self.made.len() % 3).copied();
            let (id, sealed) = bad.seal(&course(1), prev, &payload);
            self.made.push(id);
            (id.to_string(), sealed)
        };
        let before = self.bad.get_heads();
        let mut torn = false;
        match attack {
            Attack::Honest => {}
            Attack::Overwrite { at, signed, early } => {
                if *early {
                    self.bad = BEGINNING.bad.clone();
                    actor = ActorId::from(vec![0, self.actor]);
                }
                if !signed {
                    bytes = b"nobody signed this".to_vec();
                }
                if let Some(key) = pick(*at) {
                    under = key;
                }
            }
            Attack::Delete(at) => {
                if let Some(key) = pick(*at) {
                    return self.change(&actor, |change| {
                        change.delete(&entries, key.as_str()).unwrap();
                    });
                }
            }
            Attack::Root => {
                return self.change(&actor, |change| {
                    change.put_object(ROOT, "entries", ObjType::Map).unwrap();
                });
            }
            Attack::Empty => {
                self.bad.set_actor(actor);
                self.bad.empty_commit(CommitOptions::default().with_time(0));
                return self.all(&[]);
            }
            Attack::Impostor | Attack::Forged => {
                let body = self.mark(0);
                let payload = write(&entry(staff(0), body)).unwrap();
                let (_, mut sealed) = bad.seal(&course(1), None, &payload);
                if matches!(attack, Attack::Forged) {
                    sealed[1..33].copy_from_slice(&device_key(0).public().0);
                }
                under = content_id(&course(1), &sealed).to_string();
                bytes = sealed;
            }
            Attack::TakeBack(at) => {
                if let Some(key) = pick(*at) {
                    let entry_of = key.parse().unwrap();
                    let body = Body::from(Withdrawal {
                        entry: entry_of,
                        why: None,
                    });
                    let payload = write(&entry(staff(HONEST), body)).unwrap();
                    let (id, sealed) = bad.seal(&course(1), None, &payload);
                    self.made.push(id);
                    (under, bytes) = (id.to_string(), sealed);
                }
            }
            Attack::Bent(at) => {
                if let Some((_, good)) = self.saved.iter().nth(*at % self.saved.len().max(1)) {
                    let mut bent = good.clone();
                    *bent.last_mut().unwrap() ^= 1;
                    under = content_id(&course(1), &bent).to_string();
                    bytes = bent;
                }
            }
            Attack::Steal => {
                let all = self.bad.get_changes(&[]);
                if let Some(last) = all.last().filter(|_| all.len() > 1) {
                    actor = last.actor_id().clone();
                }
            }
            Attack::Again(at) => {
                if let Some((id, good)) = self.saved.iter().nth(*at % self.saved.len().max(1)) {
                    (under, bytes) = (id.to_string(), good.clone());
                }
            }
            Attack::Torn => torn = true,
        }
        let (_, entries) = self.bad.get(ROOT, "entries").unwrap().unwrap();
        let whole = self.change(&actor, |change| put(change, &entries, &under, &bytes));
        if torn { self.all(&before) } else { whole }
    }

    fn change(
        &mut self,
        actor: &ActorId,
        what: impl FnOnce(&mut automerge::transaction::Transaction<'_>),
    ) -> Vec<u8> {
        self.bad.set_actor(actor.clone());
        let mut change = self.bad.transaction();
        what(&mut change);
        change.commit_with(CommitOptions::default().with_time(0));
        self.all(&[])
    }

    /// Every change since these heads.
    fn all(&self, since: &[automerge::ChangeHash]) -> Vec<u8> {
        let changes = self.bad.get_changes(since);
        changes
            .iter()
            .flat_map(|one| one.raw_bytes().to_vec())
            .collect()
    }

    fn verdicts(&self, ledger: &Ledger) -> BTreeMap<EntryId, Verdict> {
        let written = Written::of(vec![ledger]);
        let lines = ledger.lines().iter();
        lines
            .map(|(id, line)| {
                let after = self.after.as_ref().map(|(book, _)| book);
                let book = after.unwrap_or(&BEGINNING.book);
                let verdict = book.verdict(&course(1), id, line, &|l, e, k, last| {
                    written.had(l, e, k, last)
                });
                (*id, verdict)
            })
            .collect()
    }

    /// What must hold after every act.
    fn check(&self, touched: &[usize]) -> Result<(), TestCaseError> {
        for ledger in touched.iter().map(|n| &self.honest[*n]) {
            for (id, line) in ledger.lines() {
                let bytes = ledger.bytes_of(id).unwrap();
                prop_assert_eq!(content_id(&course(1), &bytes), *id, "an id is its content");
                if let Some(saved) = self.saved.get(id) {
                    prop_assert_eq!(&bytes, saved, "a saved mark is what it was");
                    prop_assert!(line.signed);
                }
            }
            for (id, verdict) in self.verdicts(ledger) {
                if let Verdict::Counts(writer) = verdict {
                    let by = ledger.lines()[&id].entry().map(|entry| entry.by);
                    prop_assert_eq!(by, Some(writer.staff), "in nobody else's name");
                    let honest = self.saved.contains_key(&id);
                    prop_assert_eq!(
                        honest,
                        writer.role == Role::Instructor,
                        "nobody gains a role or another's name"
                    );
                    if let Some((_, made)) = self.after.as_ref().filter(|_| !honest) {
                        prop_assert!(self.made[..*made].contains(&id), "what came after");
                    }
                }
            }
        }
        Ok(())
    }
}

impl Act {
    /// The honest devices that it may change.
    fn touches(&self) -> Vec<usize> {
        match self {
            Self::Mark(n) | Self::Restart(n) | Self::Attack(_, n) => vec![*n],
            Self::Meet(a, b) => vec![*a, *b],
            Self::Learn(_) => Vec::new(),
            Self::ShutOut => vec![0, 1, 2],
        }
    }
}

/// Runs one schedule.
fn run(acts: &[Act]) -> Result<(), TestCaseError> {
    let mut world = World::new();
    for act in acts {
        let touched = act.touches();
        let here = |world: &World, n: &usize| -> BTreeSet<EntryId> {
            world.honest[*n].lines().keys().copied().collect()
        };
        let before: Vec<_> = touched.iter().map(|n| here(&world, n)).collect();
        world.act(act);
        world.check(&touched)?;
        for (n, before) in touched.iter().zip(before) {
            let now = here(&world, n);
            prop_assert!(now.is_superset(&before), "nothing goes, after {act:?}");
        }
    }
    for (a, b) in [(0, 1), (1, 2), (0, 1)] {
        world.meet(a, b);
    }
    world.check(&[0, 1, 2])?;
    let digests: BTreeSet<[u8; 32]> = world.honest.iter().map(Ledger::digest).collect();
    prop_assert_eq!(digests.len(), 1, "honest devices come in step");
    for id in world.saved.keys() {
        prop_assert!(
            world.honest[0].lines().contains_key(id),
            "every mark is there"
        );
    }
    Ok(())
}

#[test]
fn whatever_one_device_writes_no_honest_mark_changes_and_all_come_in_step() {
    let mut runner = runner(schedules(), "rust/regressions/adversary.txt");
    let acts = prop::collection::vec(act(), 1..20);
    runner.run(&acts, |acts| run(&acts)).unwrap();
}

/// A pair of sessions with one number, each taken by another device: what the two know of
/// each other goes entry by entry, and a third has both.
#[test]
fn a_stolen_number_on_either_side_of_a_meeting() {
    use Act::{Attack as Does, Learn, Mark, Meet};
    let stolen = |to| Does(Attack::Steal, to);
    for acts in [
        vec![
            Mark(0),
            Learn(0),
            stolen(1),
            Mark(0),
            Meet(0, 1),
            Mark(1),
            Meet(1, 2),
            Mark(2),
        ],
        vec![
            Mark(0),
            Meet(0, 1),
            Learn(1),
            stolen(1),
            Mark(0),
            Mark(1),
            Meet(2, 1),
            Meet(0, 2),
        ],
        vec![
            Mark(0),
            Learn(0),
            stolen(0),
            Mark(0),
            Learn(0),
            stolen(0),
            Mark(0),
            Meet(0, 1),
        ],
    ] {
        run(&acts).unwrap();
    }
}
