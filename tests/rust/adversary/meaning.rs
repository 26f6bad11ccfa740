//! Of a course the adversary, an assistant or an instructor, says what it likes: any kind of
//! entry, about anything that it has seen, in its own name or another's, behind any entry, and
//! goes on after it was shut out. What honest people marked counts as it did without it; an
//! assistant's device gives and takes no *met*, settles nothing between instructors, and
//! touches neither plan nor outline nor rules; late entries count for nothing.

mod says;

use std::collections::BTreeSet;

use proptest::prelude::*;
use tallywater_core::course::{ClearanceKind, EntryId, Role};
use tallywater_core::entry::{Body, Confirmation, Kind, Mark, Writer, write};
use tallywater_core::standing::{CellState, CourseStanding};
use tallywater_core::trust::{Line, TrustBook, Verdict};

use super::course::{
    BAD, BEGINNING, Lines, ODD, OFFICE, PELLE, RENATE, SKILLS, STRANGER, entry, last_of, ledger,
    skill, staff, standing, student, verdicts,
};
use super::{runner, schedules};
use says::{attempt, resolution, said};

#[derive(Debug, Clone)]
enum Act {
    Mark(usize, Cell, Mark),
    Confirm(usize, Cell),
    Resolve(usize, Cell, Mark),
    Meet(usize, usize),
    /// The adversary sees what a device has.
    Learn(usize),
    /// It writes something and gives it to a device.
    Attack(Attack, usize),
    /// The office shuts it out.
    ShutOut,
}

/// A student and a skill.
type Cell = (usize, usize);

#[derive(Debug, Clone)]
struct Attack {
    what: What,
    /// What it says it saw, of all that it did.
    after: Vec<usize>,
    /// In another's name.
    by: Option<usize>,
    how: How,
    /// Which entry it says it wrote before, if not its last.
    prev: Option<usize>,
}

#[derive(Debug, Clone)]
enum What {
    Mark(Cell, Mark),
    Confirm(Vec<usize>),
    Resolve(Cell, Mark),
    Exempt(Cell),
    TakeBack(usize),
    Complete(usize),
    Enrol(usize),
    Outline,
    Policy,
    Cancel,
    Clear(usize),
    Assign,
    Note,
}

/// How an entry is sealed.
#[derive(Debug, Clone, Copy)]
enum How {
    Own,
    Strange,
    /// In the name of an honest device's key, and signed with its own.
    Forged,
    OtherLedger,
}

fn mark() -> impl Strategy<Value = Mark> + Clone {
    prop_oneof![
        3 => Just(Mark::Met),
        2 => Just(Mark::NotYet),
        1 => Just(Mark::Nearly),
        1 => Just(Mark::SatOut),
    ]
}

fn attack() -> impl Strategy<Value = Attack> {
    let cell = || (0..2_usize, 0..2_usize);
    let some = || prop::collection::vec(0..64_usize, 0..4);
    let what = prop_oneof![
        6 => (cell(), mark()).prop_map(|(cell, mark)| What::Mark(cell, mark)),
        2 => some().prop_map(What::Confirm),
        2 => (cell(), mark()).prop_map(|(cell, mark)| What::Resolve(cell, mark)),
        1 => cell().prop_map(What::Exempt),
        6 => (0..64_usize).prop_map(What::TakeBack),
        1 => (0..2_usize).prop_map(What::Complete),
        1 => (0..2_usize).prop_map(What::Enrol),
        1 => Just(What::Outline),
        1 => Just(What::Policy),
        1 => Just(What::Cancel),
        1 => (0..2_usize).prop_map(What::Clear),
        1 => Just(What::Assign),
        1 => Just(What::Note),
    ];
    let how = prop_oneof![
        8 => Just(How::Own),
        1 => Just(How::Strange),
        2 => Just(How::Forged),
        1 => Just(How::OtherLedger),
    ];
    let by = prop::option::weighted(0.1, RENATE..BAD);
    let prev = prop::option::weighted(0.4, 0..64_usize);
    (what, some(), by, how, prev).prop_map(|(what, after, by, how, prev)| Attack {
        what,
        after,
        by,
        how,
        prev,
    })
}

fn act() -> impl Strategy<Value = Act> {
    let device = OFFICE..BAD;
    let cell = || (0..2_usize, 0..2_usize);
    prop_oneof![
        6 => (RENATE..BAD, cell(), mark()).prop_map(|(by, cell, mark)| Act::Mark(by, cell, mark)),
        3 => (RENATE..PELLE, cell()).prop_map(|(by, cell)| Act::Confirm(by, cell)),
        3 => (RENATE..PELLE, cell(), mark())
            .prop_map(|(by, cell, mark)| Act::Resolve(by, cell, mark)),
        6 => (device.clone(), device.clone()).prop_map(|(a, b)| Act::Meet(a, b)),
        4 => device.clone().prop_map(Act::Learn),
        12 => (attack(), device).prop_map(|(attack, to)| Act::Attack(attack, to)),
        1 => Just(Act::ShutOut),
    ]
}

/// Every entry that was ever written, and who has which.
struct World {
    instructor: bool,
    lines: Lines,
    has: Vec<BTreeSet<EntryId>>,
    /// The book of whoever heard of the shutting-out, and what the adversary had written then.
    after: Option<(TrustBook, BTreeSet<EntryId>)>,
    heard: [bool; BAD],
    last_bad: Option<EntryId>,
}

impl World {
    fn new(instructor: bool) -> Self {
        let lines = BEGINNING.course.clone();
        let all: BTreeSet<EntryId> = lines.keys().copied().collect();
        Self {
            instructor,
            has: vec![all; BAD + 1],
            lines,
            after: None,
            heard: [false; BAD],
            last_bad: None,
        }
    }

    fn book(&self, of: usize) -> &TrustBook {
        match &self.after {
            Some((book, _)) if self.heard[of] => book,
            _ => &BEGINNING.books[usize::from(self.instructor)].1,
        }
    }

    fn standing(&self, of: usize) -> CourseStanding {
        let verdicts = verdicts(self.book(of), &self.lines, &self.has[of]);
        standing(&self.lines, &verdicts, |_| true)
    }

    fn is_by(&self, id: &EntryId, keys: std::ops::RangeInclusive<usize>) -> bool {
        let line = &self.lines[id];
        line.signed
            && keys
                .into_iter()
                .any(|n| line.key == Some(BEGINNING.public[n]))
    }

    fn write(&mut self, by: usize, after: Vec<EntryId>, body: impl Into<Body>) {
        let own = BEGINNING.public[by];
        let prev = last_of(&self.lines, &self.has[by], &own).pop();
        let payload = write(&entry(staff(by), after, body.into())).unwrap();
        let (id, sealed) = BEGINNING.keys[by].seal(&ledger(), prev, &payload);
        self.lines.insert(id, Line::check(&ledger(), id, &sealed));
        self.has[by].insert(id);
    }

    fn act(&mut self, act: &Act) {
        match act {
            Act::Mark(by, at, mark) => {
                let key = (student(at.0), skill(at.1));
                // Without an outline there is no board; whoever writes then saw nothing.
                let standing = self.standing(*by);
                let after = standing.cells().get(&key).map(|cell| cell.seen.clone());
                self.write(*by, after.unwrap_or_default(), attempt(*at, *mark));
            }
            Act::Confirm(by, at) => {
                let key = (student(at.0), skill(at.1));
                let standing = self.standing(*by);
                let waiting = standing.cells().get(&key).map(|cell| &cell.unconfirmed);
                if let Some(attempts) = waiting.filter(|some| !some.is_empty()).cloned() {
                    self.write(*by, Vec::new(), Confirmation { attempts });
                }
            }
            Act::Resolve(by, at, mark) => {
                let key = (student(at.0), skill(at.1));
                let Some(cell) = self.standing(*by).cells().get(&key).cloned() else {
                    return;
                };
                let open = cell.state == CellState::TwoViews || cell.slipped_since;
                if open && *mark != Mark::SatOut {
                    self.write(*by, cell.seen, resolution(*at, *mark));
                }
            }
            Act::Meet(a, b) => self.meet(*a, *b),
            Act::Learn(of) => {
                let more = self.has[*of].clone();
                self.has[BAD].extend(more);
            }
            Act::Attack(attack, to) => {
                if let Some(id) = self.attack(attack) {
                    self.has[*to].insert(id);
                }
            }
            Act::ShutOut => {
                if self.after.is_none() {
                    let bad = BEGINNING.public[BAD];
                    let last = last_of(&self.lines, &self.has[OFFICE], &bad);
                    let book = BEGINNING.shut_out(self.instructor, last);
                    let written = self.lines.keys().copied().collect();
                    self.after = Some((book, written));
                    self.heard[OFFICE] = true;
                }
            }
        }
    }

    fn meet(&mut self, a: usize, b: usize) {
        let both: BTreeSet<EntryId> = self.has[a].union(&self.has[b]).copied().collect();
        self.has[a].clone_from(&both);
        self.has[b] = both;
        let heard = self.heard[a] || self.heard[b];
        (self.heard[a], self.heard[b]) = (heard, heard);
    }

    /// Writes what the adversary says; it keeps that for itself until it gives it away.
    fn attack(&mut self, attack: &Attack) -> Option<EntryId> {
        let known: Vec<EntryId> = self.has[BAD].iter().copied().collect();
        let pick = |at: &usize| known[*at % known.len()];
        let mine: Vec<EntryId> = known
            .iter()
            .filter(|id| self.is_by(id, BAD..=BAD))
            .copied()
            .collect();
        let own = |at: &usize| mine.get(at / 2 % mine.len().max(1)).copied();
        let body = said(&attack.what, &pick, &own)?;
        let honest = attack.by.unwrap_or(RENATE);
        let by = match attack.how {
            How::Forged => honest,
            How::Own | How::Strange | How::OtherLedger => attack.by.unwrap_or(BAD),
        };
        let after = attack.after.iter().map(pick).collect();
        let payload = write(&entry(staff(by), after, body)).unwrap();
        let prev = attack.prev.as_ref().map(pick).or(self.last_bad);
        let own = match attack.how {
            How::Own | How::Forged | How::OtherLedger => BAD,
            How::Strange => STRANGER,
        };
        let of = match attack.how {
            How::OtherLedger => BEGINNING.shop,
            How::Own | How::Forged | How::Strange => ledger(),
        };
        let (_, mut sealed) = BEGINNING.keys[own].seal(&of, prev, &payload);
        if matches!(attack.how, How::Forged) {
            sealed[1..33].copy_from_slice(&BEGINNING.public[by].0);
        }
        let id = tallywater_core::entry::content_id(&ledger(), &sealed);
        self.lines.insert(id, Line::check(&ledger(), id, &sealed));
        self.has[BAD].insert(id);
        self.last_bad = Some(id);
        Some(id)
    }

    /// What an honest person had on screen, or confirmed, when they wrote.
    fn named_by_honest(
        &self,
        here: &std::collections::BTreeMap<EntryId, Verdict>,
    ) -> (BTreeSet<EntryId>, BTreeSet<EntryId>) {
        let (mut named, mut stood_behind) = (BTreeSet::new(), BTreeSet::new());
        for id in here.keys().filter(|id| self.is_by(id, OFFICE..=PELLE)) {
            let Some(entry) = self.lines[id].entry() else {
                continue;
            };
            named.extend(&entry.after);
            match &entry.body {
                Body::Confirmation(one) => stood_behind.extend(&one.attempts),
                Body::Resolution(one) if one.mark == Mark::Met => {
                    stood_behind.extend(&entry.after);
                }
                _ => {}
            }
        }
        named.extend(&stood_behind);
        (named, stood_behind)
    }

    fn check(&self, of: usize) -> Result<(), TestCaseError> {
        let (lines, here) = (&self.lines, &self.has[of]);
        let all = verdicts(self.book(of), lines, here);
        let role = if self.instructor {
            Role::Instructor
        } else {
            Role::Assistant
        };
        let itself = Writer {
            staff: staff(BAD),
            role,
        };
        for (id, verdict) in &all {
            let Verdict::Counts(writer) = verdict else {
                prop_assert!(!self.is_by(id, OFFICE..=PELLE), "an honest entry counts");
                continue;
            };
            prop_assert!(lines[id].signed);
            let by = lines[id].entry().map(|entry| entry.by);
            prop_assert_eq!(by, Some(writer.staff), "in nobody else's name");
            if self.is_by(id, OFFICE..=PELLE) {
                continue;
            }
            prop_assert!(self.is_by(id, BAD..=BAD), "nobody else's key");
            prop_assert_eq!(*writer, itself, "nobody gains a role or a name");
            if let Some((_, written)) = self.after.as_ref().filter(|_| self.heard[of]) {
                prop_assert!(written.contains(id), "nothing is slipped in afterwards");
            }
        }
        if !self.instructor {
            self.check_meaning(&all)?;
        }
        Ok(())
    }

    /// What an assistant's device cannot change.
    fn check_meaning(
        &self,
        all: &std::collections::BTreeMap<EntryId, Verdict>,
    ) -> Result<(), TestCaseError> {
        let lines = &self.lines;
        let (named, behind) = self.named_by_honest(all);
        let honest = |id: &EntryId| self.is_by(id, OFFICE..=PELLE);
        // What the adversary took back of its own is its to take back, but for what an
        // instructor stands behind.
        let own_back = |id: &EntryId| match lines[id].entry().map(|entry| &entry.body) {
            Some(Body::Withdrawal(one)) => {
                lines.contains_key(&one.entry)
                    && self.is_by(&one.entry, BAD..=BAD)
                    && !behind.contains(&one.entry)
            }
            _ => false,
        };
        let with = standing(lines, all, |_| true);
        let without = standing(lines, all, |id| {
            honest(id) || named.contains(id) || own_back(id)
        });
        for id in all.keys().filter(|id| honest(id) || behind.contains(*id)) {
            prop_assert_eq!(
                with.tally().counts(id),
                without.tally().counts(id),
                "what honest people marked or stand behind stands"
            );
        }
        prop_assert_eq!(with.outline_entry(), without.outline_entry());
        prop_assert_eq!(with.policy(), without.policy());
        prop_assert_eq!(with.sessions(), without.sessions());
        prop_assert_eq!(with.students(), without.students());
        prop_assert_eq!(with.staff(), without.staff());
        let instructors = standing(lines, all, |id| {
            self.is_by(id, OFFICE..=ODD) || behind.contains(id)
        });
        for who in [student(0), student(1)] {
            prop_assert!(with.completion(&who).is_none());
            prop_assert!(with.clearance(&who, ClearanceKind::Health).is_none());
            prop_assert_eq!(with.details(&who), without.details(&who));
            for at in 0..SKILLS.len() {
                let key = (who, skill(at));
                let (now, then) = (&with.cells()[&key], &without.cells()[&key]);
                prop_assert_eq!(
                    (now.met, now.of),
                    (then.met, then.of),
                    "no met given or taken"
                );
                prop_assert_ne!(now.state, CellState::Exempt);
                let seniors = &instructors.cells()[&key];
                let differ = seniors.state == CellState::TwoViews;
                prop_assert!(
                    !differ || now.state == CellState::TwoViews,
                    "settles nothing"
                );
                let open = now.slipped_since || now.state == CellState::TwoViews;
                prop_assert!(!seniors.slipped_since || open, "clears no slip");
            }
        }
        Ok(())
    }
}

/// Runs one schedule.
fn run(instructor: bool, acts: &[Act]) -> Result<(), TestCaseError> {
    let mut world = World::new(instructor);
    for act in acts {
        world.act(act);
    }
    for of in RENATE..BAD {
        world.check(of)?;
    }
    for a in RENATE..BAD {
        world.meet(OFFICE, a);
    }
    for a in RENATE..BAD {
        world.meet(OFFICE, a);
    }
    world.check(OFFICE)?;
    let all = verdicts(world.book(OFFICE), &world.lines, &world.has[OFFICE]);
    let shown = standing(&world.lines, &all, |_| true);
    for of in RENATE..BAD {
        prop_assert_eq!(&world.has[of], &world.has[OFFICE], "in step");
        prop_assert_eq!(world.heard[of], world.after.is_some(), "out on all");
    }
    let backwards = all.iter().rev();
    let backwards = backwards.map(|(id, verdict)| (*id, &world.lines[id], *verdict));
    prop_assert!(shown == CourseStanding::read(super::course::COURSE, backwards));
    Ok(())
}

#[test]
fn whatever_one_device_says_of_a_course_nobody_elses_mark_means_something_else() {
    let mut runner = runner(schedules(), "rust/regressions/adversary_meaning.txt");
    let acts = (any::<bool>(), prop::collection::vec(act(), 1..30));
    runner
        .run(&acts, |(instructor, acts)| run(instructor, &acts))
        .unwrap();
}

/// An instructor's *met* over two assistants' marks that differ stands behind the one that was
/// met. Who wrote that could take it back, and with it what the instructor had said.
#[test]
fn what_an_instructor_settled_upon_is_not_taken_back_by_an_assistant() {
    let mut world = World::new(false);
    let at = (0, 0);
    let given = |what| Attack {
        what,
        after: Vec::new(),
        by: None,
        how: How::Own,
        prev: None,
    };
    world.act(&Act::Attack(given(What::Mark(at, Mark::Met)), OFFICE));
    let met = world.last_bad.unwrap();
    world.act(&Act::Mark(PELLE, at, Mark::NotYet));
    world.act(&Act::Meet(PELLE, OFFICE));
    world.act(&Act::Meet(RENATE, OFFICE));
    let key = (student(0), skill(0));
    assert_eq!(
        world.standing(RENATE).cells()[&key].state,
        CellState::TwoViews
    );
    world.act(&Act::Resolve(RENATE, at, Mark::Met));
    assert_eq!(world.standing(RENATE).cells()[&key].state, CellState::Met);
    // The first of its own, and it has no other.
    world.act(&Act::Attack(given(What::TakeBack(0)), RENATE));
    let standing = world.standing(RENATE);
    assert!(
        standing.tally().counts(&met),
        "it is the instructor's by now"
    );
    assert_eq!(standing.cells()[&key].state, CellState::Met);
    let kinds = standing.tally().iter().map(|one| one.entry.body.kind());
    assert!(
        kinds.into_iter().any(|kind| kind == Kind::Withdrawal),
        "and it is shown"
    );
}
