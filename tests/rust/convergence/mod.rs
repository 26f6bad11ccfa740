//! Properties of merging: whatever three devices do and however their messages fare, when
//! they have all met they hold the same and it means the same.
//!
//! The devices here are ledgers with what they mean and no disk, so thousands of schedules
//! run in seconds; `desk_convergence.rs` runs fewer over real stores.

use std::collections::{BTreeMap, BTreeSet};

use chrono::Duration;
use proptest::prelude::*;
use tallywater_core::course::{
    CourseId, EntryId, LedgerId, Outline, Role, SkillId, StaffId, StudentId,
};
use tallywater_core::entry::{
    Attempt, Authority, Body, Certificate, Confirmation, DetailsDigest, DeviceKey, Enrolment,
    Entry, Exemption, Mark, Note, Origin, OutlineSet, Resolution, StaffJoined, Withdrawal, write,
};
use tallywater_core::ledger::Ledger;
use tallywater_core::stamp::Stamps;
use tallywater_core::standing::{Cell, CellState, CourseStanding, ShopStanding};
use tallywater_core::trust::{SecretKey, TrustBook, Verdict};
use tallywater_core::view::{BoardOf, BoardView, People, Reader, Units};
use uuid::Uuid;

use crate::support::devices::{time, years};
use crate::support::stamps::SetStamps;

mod printed;
mod step;

use step::{Step, schedule};

const SKILLS: [&str; 3] = ["mask-full", "gas-take", "reg-clear"];

fn course() -> CourseId {
    CourseId::new(Uuid::from_u128(0x42))
}

fn student(n: u8) -> StudentId {
    StudentId::new(Uuid::from_u128(0x100 + u128::from(n % 3)))
}

fn skill(n: u8) -> SkillId {
    SKILLS[usize::from(n % 3)].parse().unwrap()
}

/// One device without a disk. `disk` is what it would find after being switched off.
struct Sim {
    key: SecretKey,
    staff: StaffId,
    stamps: SetStamps,
    ledger: Ledger,
    standing: CourseStanding,
    made: Vec<Vec<u8>>,
    kept: Option<Vec<u8>>,
}

/// The shop's book: two instructors' and an assistant's device, all admitted by the root.
fn book() -> (SecretKey, TrustBook, Vec<(SecretKey, StaffId)>) {
    let root = SecretKey::from_seed(&[7; 32]);
    let shop = LedgerId::Shop(tallywater_core::trust::shop_id(&root.public()));
    let office = TrustBook::new(root.public())
        .writer(&root.public())
        .unwrap()
        .staff;
    let mut ledger = Ledger::new(shop, [0; 16]).unwrap();
    let mut people = Vec::new();
    for (n, role) in [
        (1_u8, Role::Instructor),
        (2, Role::Assistant),
        (3, Role::Instructor),
    ] {
        let key = SecretKey::from_seed(&[n; 32]);
        let staff = StaffId::new(Uuid::from_u128(u128::from(n)));
        let certificate = Certificate {
            staff,
            role,
            device: format!("tablet {n}"),
            key: key.public(),
            link: None,
            from: "2026-01-01".parse().unwrap(),
            until: None,
            consent: None,
        };
        let joined = StaffJoined {
            staff,
            name: format!("Judge {n}"),
        };
        for body in [Body::from(joined), Body::from(certificate)] {
            let entry = Entry {
                id: EntryId::new(Uuid::nil()),
                at: "2026-06-06T08:00:00+02:00".parse().unwrap(),
                by: office,
                after: Vec::new(),
                body,
            };
            let (_, sealed) = root.seal(&shop, None, &write(&entry).unwrap());
            ledger.add(&sealed).unwrap();
        }
        people.push((key, staff));
    }
    let book = TrustBook::read(root.public(), ledger.lines(), &|_, _, _, _| true);
    (root, book, people)
}

fn verdicts(book: &TrustBook, ledger: &Ledger) -> Vec<(EntryId, Verdict)> {
    let lines = ledger.lines().iter();
    lines
        .map(|(id, line)| (*id, book.verdict(ledger.id(), id, line, &|_, _, _, _| true)))
        .collect()
}

fn rebuilt(book: &TrustBook, ledger: &Ledger) -> CourseStanding {
    let lines = verdicts(book, ledger).into_iter();
    CourseStanding::read(
        course(),
        lines.map(|(id, verdict)| (id, &ledger.lines()[&id], verdict)),
    )
}

/// An outline of three skills, of which two must be met twice.
fn outline() -> Outline {
    let mut outline = tallywater_core::course::starter::outline().unwrap();
    outline
        .skills
        .retain(|skill| SKILLS.contains(&skill.id.as_str()));
    for skill in &mut outline.skills {
        skill.needs.clear();
        skill.demand.each_of.clear();
        skill.demand.sessions = 1;
    }
    outline.blocks.clear();
    outline
}

struct World {
    book: TrustBook,
    sims: Vec<Sim>,
    recorded: BTreeSet<EntryId>,
    /// In the order of writing: picking by id would let the clock choose.
    written: Vec<EntryId>,
}

impl World {
    fn new(shifts: [i64; 3]) -> Self {
        let (root, book, people) = book();
        let ledger_id = LedgerId::Course(course());
        let mut first = Ledger::new(ledger_id, [0; 16]).unwrap();
        let office = book.writer(&root.public()).unwrap().staff;
        let mut bodies = vec![Body::from(OutlineSet {
            outline: outline(),
            why: None,
        })];
        for n in 0..3 {
            let details = DetailsDigest::of(EntryId::new(Uuid::nil()), &[n]);
            bodies.push(
                Enrolment {
                    student: student(n),
                    details,
                    referred_from: None,
                    known_there_as: None,
                }
                .into(),
            );
        }
        for body in bodies {
            let at = "2026-06-06T08:30:00+02:00".parse().unwrap();
            let entry = Entry {
                id: EntryId::new(Uuid::nil()),
                at,
                by: office,
                after: Vec::new(),
                body,
            };
            let (_, sealed) = root.seal(&ledger_id, None, &write(&entry).unwrap());
            first.add(&sealed).unwrap();
        }
        let start = first.save().unwrap();
        let sims = people
            .into_iter()
            .zip(shifts)
            .zip(1_u8..)
            .map(|(((key, staff), shift), n)| {
                let stamps = SetStamps::new("2026-06-06T09:00:00+02:00", u64::from(n));
                stamps.shift(years(shift));
                let ledger = Ledger::load(ledger_id, [n; 16], &start, &BTreeSet::new()).unwrap();
                let standing = rebuilt(&book, &ledger);
                Sim {
                    key,
                    staff,
                    stamps,
                    ledger,
                    standing,
                    made: Vec::new(),
                    kept: None,
                }
            })
            .collect();
        Self {
            book,
            sims,
            recorded: BTreeSet::new(),
            written: Vec::new(),
        }
    }

    fn write(&mut self, device: usize, after: Vec<EntryId>, body: Body) {
        let sim = &mut self.sims[device];
        let stamps: &dyn Stamps = &sim.stamps;
        let entry = Entry {
            id: EntryId::new(Uuid::nil()),
            at: stamps.now(),
            by: sim.staff,
            after,
            body,
        };
        let ledger = *sim.ledger.id();
        let prev = sim.ledger.last_of(&sim.key.public()).pop();
        let (id, bytes) = sim.key.seal(&ledger, prev, &write(&entry).unwrap());
        let added = sim.ledger.add(&bytes).unwrap();
        let line = &sim.ledger.lines()[&id];
        let verdict = self.book.verdict(&ledger, &id, line, &|_, _, _, _| true);
        sim.standing.take(id, line, verdict);
        sim.made.push(added.change);
        self.recorded.insert(id);
        self.written.push(id);
    }

    fn take(&mut self, to: usize, bytes: &[u8]) {
        let sim = &mut self.sims[to];
        let taken = sim.ledger.take_bytes(bytes).unwrap();
        let new = taken.entries.clone();
        sim.ledger.adopt(taken);
        for id in new {
            let line = &sim.ledger.lines()[&id];
            let verdict = self
                .book
                .verdict(sim.ledger.id(), &id, line, &|_, _, _, _| true);
            sim.standing.take(id, line, verdict);
        }
    }

    fn meet(&mut self, from: usize, to: usize) {
        let bytes = self.sims[from].ledger.save().unwrap();
        self.take(to, &bytes);
    }

    fn cell(&self, device: usize, key: &(StudentId, SkillId)) -> Cell {
        self.sims[device].standing.cells()[key].clone()
    }

    fn run(&mut self, step: &Step) {
        match step {
            Step::Mark {
                device,
                student: s,
                skill: k,
                mark,
            } => {
                let device = usize::from(*device);
                let key = (student(*s), skill(*k));
                let marks = [Mark::Met, Mark::Nearly, Mark::NotYet, Mark::SatOut];
                let attempt = Attempt {
                    student: key.0,
                    skill: key.1.clone(),
                    method: None,
                    mark: marks[usize::from(*mark)],
                    measured: Vec::new(),
                    slips: Vec::new(),
                    note: None,
                    despite: None,
                    session: None,
                    origin: Origin::Live,
                };
                let after = self.cell(device, &key).seen;
                self.write(device, after, attempt.into());
            }
            Step::Withdraw { device, which } => {
                let device = usize::from(*device);
                let sim = &self.sims[device];
                let is_own = |id: &&EntryId| {
                    sim.standing
                        .tally()
                        .get(id)
                        .is_some_and(|one| one.entry.by == sim.staff)
                };
                let own: Vec<EntryId> = self.written.iter().filter(is_own).copied().collect();
                if let Some(entry) = own.get(usize::from(*which) % own.len().max(1)) {
                    let entry = *entry;
                    self.write(device, vec![entry], Withdrawal { entry, why: None }.into());
                }
            }
            Step::Confirm { which } => {
                let cells = self.sims[0].standing.cells();
                let waits =
                    |id: &&EntryId| cells.values().any(|cell| cell.unconfirmed.contains(id));
                let waiting: Vec<EntryId> = self.written.iter().filter(waits).copied().collect();
                if let Some(attempt) = waiting.get(usize::from(*which) % waiting.len().max(1)) {
                    let attempts = vec![*attempt];
                    self.write(0, Vec::new(), Confirmation { attempts }.into());
                }
            }
            Step::Resolve {
                student: s,
                skill: k,
                met,
            } => {
                let key = (student(*s), skill(*k));
                let mark = if *met { Mark::Met } else { Mark::NotYet };
                let after = self.cell(0, &key).seen;
                let resolution = Resolution {
                    student: key.0,
                    skill: key.1,
                    mark,
                    why: "seen again".into(),
                };
                self.write(0, after, resolution.into());
            }
            Step::Exempt {
                student: s,
                skill: k,
            } => {
                let exemption = Exemption {
                    student: student(*s),
                    skill: skill(*k),
                    why: "done elsewhere".into(),
                    elsewhere: None,
                };
                self.write(2, Vec::new(), exemption.into());
            }
            Step::Remark { device } => {
                let note = Note {
                    student: None,
                    skill: None,
                    session: None,
                    entry: None,
                    text: "wind from the west".into(),
                };
                self.write(usize::from(*device), Vec::new(), note.into());
            }
            Step::Carry { from, to, which } => {
                let made = &self.sims[usize::from(*from)].made;
                if let Some(change) = made.get(usize::from(*which) % made.len().max(1)) {
                    let change = change.clone();
                    self.take(usize::from(*to), &change);
                }
            }
            Step::Meet { from, to } => self.meet(usize::from(*from), usize::from(*to)),
            Step::Reopen { device } => {
                let bytes = self.sims[usize::from(*device)].ledger.save().unwrap();
                self.open(usize::from(*device), &bytes);
            }
            Step::Keep { device } => {
                let sim = &mut self.sims[usize::from(*device)];
                sim.kept = Some(sim.ledger.save().unwrap());
            }
            Step::Restore { device } => {
                let device = usize::from(*device);
                let Some(bytes) = self.sims[device].kept.clone() else {
                    return;
                };
                let before: BTreeSet<EntryId> =
                    self.sims[device].ledger.lines().keys().copied().collect();
                self.open(device, &bytes);
                // What only this device held went with the disk it was on.
                let held: BTreeSet<EntryId> = self
                    .sims
                    .iter()
                    .flat_map(|sim| sim.ledger.lines().keys().copied())
                    .collect();
                for lost in before.difference(&held) {
                    self.recorded.remove(lost);
                }
                self.sims[device].made.clear();
            }
            Step::Shift { device, years: by } => {
                let by: Duration = years(i64::from(*by));
                self.sims[usize::from(*device)].stamps.shift(by);
            }
        }
    }

    fn open(&mut self, device: usize, bytes: &[u8]) {
        let sim = &mut self.sims[device];
        let actor = (&sim.stamps as &dyn Stamps).actor().unwrap();
        sim.ledger = Ledger::load(*sim.ledger.id(), actor, bytes, &BTreeSet::new()).unwrap();
        sim.standing = rebuilt(&self.book, &sim.ledger);
    }

    /// Everyone meets everyone until all hold the same.
    fn settle(&mut self) {
        for _ in 0..2 {
            for (from, to) in [(0, 1), (1, 2), (2, 0), (0, 2), (2, 1), (1, 0)] {
                self.meet(from, to);
            }
        }
    }

    /// The board as a screen shows it, whoever looks.
    fn board(&self, device: usize) -> String {
        let (shop, people) = (ShopStanding::default(), People::default());
        let reader = Reader {
            shop: &shop,
            trust: &self.book,
            people: &people,
            authority: Authority::default(),
            device: DeviceKey([0; 32]),
            now: time("2026-06-06T18:00:00+02:00"),
            units: Units::Metric,
            courses: &[],
        };
        let standing = &self.sims[device].standing;
        format!(
            "{:#?}",
            BoardView::of(standing, &reader, BoardOf::default())
        )
    }

    /// What every cell comes to, without the ids, which carry the clock.
    fn meaning(&self, device: usize) -> BTreeMap<(StudentId, SkillId), String> {
        let cells = self.sims[device].standing.cells().iter();
        cells.map(|(key, cell)| (key.clone(), text(cell))).collect()
    }
}

fn text(cell: &Cell) -> String {
    let Cell {
        state,
        met,
        of,
        tries,
        slipped_since,
        sat_out,
        last,
        latest,
        unconfirmed,
        seen,
    } = cell;
    let (latest, unconfirmed, seen) = (latest.len(), unconfirmed.len(), seen.len());
    format!(
        "{state:?} {met}/{of} after {tries}, slipped {slipped_since}, sat out {sat_out}, last {last:?}, \
         {latest} latest, {unconfirmed} waiting, {seen} seen"
    )
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: crate::support::cases(150),
        failure_persistence: Some(Box::new(
            proptest::test_runner::FileFailurePersistence::Direct("rust/regressions/convergence.txt"),
        )),
        ..ProptestConfig::default()
    })]

    #[test]
    fn three_devices_that_have_met_hold_the_same_and_mean_the_same(steps in schedule()) {
        let mut world = World::new([0; 3]);
        for step in &steps {
            world.run(step);
        }
        world.settle();
        for device in 0..3 {
            let sim = &world.sims[device];
            // 1. All heads are equal.
            prop_assert_eq!(sim.ledger.heads(), world.sims[0].ledger.heads());
            // 2. No entry that was recorded is missing.
            let held: BTreeSet<EntryId> = sim.ledger.lines().keys().copied().collect();
            prop_assert!(world.recorded.is_subset(&held));
            // 3. What they mean is equal, entry for entry.
            prop_assert_eq!(&sim.standing, &world.sims[0].standing);
            // And so, text for text, is what a screen shows of it.
            prop_assert_eq!(world.board(device), world.board(0));
            // 7. Entry by entry came to the same as everything at once.
            prop_assert_eq!(&sim.standing, &rebuilt(&world.book, &sim.ledger));
        }
        // 5. The same bytes twice change nothing.
        let bytes = world.sims[0].ledger.save().unwrap();
        let again = world.sims[1].ledger.take_bytes(&bytes).unwrap();
        prop_assert!(again.changes.is_empty() && again.entries.is_empty());
        prop_assert!(world.sims[0].ledger.irregular().is_empty());
    }

    #[test]
    fn the_order_in_which_entries_come_changes_nothing(steps in schedule(), seed in any::<u64>()) {
        let mut world = World::new([0; 3]);
        for step in &steps {
            world.run(step);
        }
        world.settle();
        // 4. Any order, one by one.
        let ledger = &world.sims[0].ledger;
        let mut order = verdicts(&world.book, ledger);
        let shuffle = SetStamps::new("2026-06-06T09:00:00+02:00", seed);
        order.sort_by_cached_key(|_| {
            let mut key = [0; 8];
            shuffle.chance(&mut key).unwrap();
            key
        });
        let mut standing = CourseStanding::new(course());
        for (id, verdict) in order {
            standing.take(id, &ledger.lines()[&id], verdict);
        }
        prop_assert_eq!(&standing, &world.sims[0].standing);
    }

    #[test]
    fn a_clock_that_is_years_wrong_moves_no_mark(
        steps in schedule(),
        shifts in prop::array::uniform3(-20..20_i64),
    ) {
        // 6. The same schedule with other clocks. Steps that shift a clock are left out of
        // one of the two, so that they differ in the middle too.
        let (mut right, mut wrong) = (World::new([0; 3]), World::new(shifts));
        for step in &steps {
            if !matches!(step, Step::Shift { .. }) {
                right.run(step);
            }
            wrong.run(step);
        }
        right.settle();
        wrong.settle();
        prop_assert_eq!(right.meaning(0), wrong.meaning(0));
    }
}

#[test]
fn two_marks_made_apart_are_both_shown_and_one_after_the_other_is_a_later_try() {
    let key = (student(0), skill(0));
    let mark = |device, mark| Step::Mark {
        device,
        student: 0,
        skill: 0,
        mark,
    };
    let mut apart = World::new([0; 3]);
    apart.run(&mark(0, 0));
    apart.run(&mark(2, 2));
    apart.settle();
    assert_eq!(apart.cell(1, &key).state, CellState::TwoViews);
    let mut seen = World::new([0; 3]);
    seen.run(&mark(0, 2));
    seen.run(&Step::Meet { from: 0, to: 2 });
    seen.run(&mark(2, 0));
    seen.settle();
    assert_eq!(seen.cell(1, &key).state, CellState::Met);
    assert_eq!(seen.cell(1, &key).tries, 2);
}
