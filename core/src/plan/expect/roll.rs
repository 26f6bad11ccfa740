//! Roll: a course run to its end once, session by session, by a simple hand: what more waits
//! for first, as many students of a line as fit; whoever misses goes again once the same day
//! where minutes are left.

use super::belief::Tally;
use super::draw::Draws;
use crate::course::RunForm;

/// The most sessions that are looked at: a course that takes more does not end this way.
pub const MOST_SESSIONS: u32 = 60;

/// One skill of a course that is rolled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Task {
    /// Minutes to brief and show.
    pub setup: u16,
    /// Minutes a turn.
    pub turn: u16,
    /// How many take a turn at once.
    pub form: RunForm,
    /// What must be met once before it.
    pub needs: Vec<usize>,
    /// In which kinds of session it may be run, a bit a kind.
    pub places: u8,
    /// How much waits for it: larger first, then by number.
    pub weight: u32,
    /// Whether an assistant may run it too.
    pub helped: bool,
}

/// The bit of a kind of session; none beyond eight.
pub fn bit(kind: usize) -> u8 {
    u32::try_from(kind)
        .ok()
        .and_then(|kind| 1_u8.checked_shl(kind))
        .unwrap_or(0)
}

/// What is left of one skill for one student.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Load {
    /// Kinds of session in each of which it must still be met, a bit a kind.
    pub at: u8,
    /// How often it must still be met besides, in sessions of their own.
    pub more: u32,
    /// Whether it has been met once, so that what builds on it may be tried.
    pub once: bool,
}

impl Load {
    /// Whether nothing is left.
    pub fn is_done(&self) -> bool {
        self.at == 0 && self.more == 0
    }

    fn brings_on(&self, kind: usize) -> bool {
        self.at & bit(kind) != 0 || self.more > 0
    }

    fn met(&mut self, kind: usize) {
        self.once = true;
        if self.at & bit(kind) == 0 {
            self.more = self.more.saturating_sub(1);
        } else {
            self.at &= !bit(kind);
        }
    }
}

/// How a student stands to a skill within one session.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Turn {
    Untried,
    Missed,
    /// Met, or missed a second time: another day.
    Over,
}

impl Turn {
    const fn missed(self) -> Self {
        match self {
            Self::Untried => Self::Missed,
            Self::Missed | Self::Over => Self::Over,
        }
    }
}

/// What is left of a course, by student and skill.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Held {
    /// By student, then skill.
    pub loads: Vec<Vec<Load>>,
    /// By student: sessions of the last kind, dives, that they must still come to.
    pub dives: Vec<u32>,
}

impl Held {
    /// How many students.
    pub fn students(&self) -> usize {
        self.loads.len()
    }

    fn going(&self) -> Vec<usize> {
        (0..self.students())
            .filter(|student| !self.ended(*student))
            .collect()
    }

    /// Whether any of these students has something left of a task.
    fn is_open(&self, task: usize, students: &[usize]) -> bool {
        students.iter().any(|student| {
            let load = self.loads.get(*student).and_then(|loads| loads.get(task));
            load.is_some_and(|load| !load.is_done())
        })
    }

    fn ended(&self, student: usize) -> bool {
        let loads = self.loads.get(student);
        loads.is_none_or(|loads| loads.iter().all(Load::is_done))
            && self.dives.get(student).is_none_or(|dives| *dives == 0)
    }
}

/// A course that is rolled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Course {
    /// Its skills.
    pub tasks: Vec<Task>,
    /// What is left.
    pub held: Held,
    /// Minutes of a session of each kind; the last kind is that of dives.
    pub minutes: Vec<u16>,
    /// The kinds of the sessions that are planned, in order; after them, whatever kind brings
    /// the class on most.
    pub planned: Vec<usize>,
    /// Stations side by side: lines are shared out among them.
    pub stations: usize,
    /// Assistants, each a station more for what an assistant may run.
    pub helpers: usize,
}

/// How a course ended once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct End {
    /// Sessions until each student had ended; the most looked at, where one had not.
    pub students: Vec<u32>,
    /// Whether all had.
    pub ended: bool,
}

impl Course {
    /// Runs so many sessions of it and keeps the tries: a course in mid-flight, for trials.
    pub fn begin(
        &self,
        chances: &[Vec<f64>],
        sessions: u32,
        draws: &mut Draws,
    ) -> (Held, Vec<Vec<Tally>>) {
        let mut held = self.held.clone();
        let order = self.order();
        let mut tries = vec![vec![Tally::default(); self.tasks.len()]; held.students()];
        for _ in 0..sessions {
            let going = held.going();
            let kind = self.next_kind(&held, &order, &going);
            self.session(&mut held, &order, &going, kind, &mut |student, task| {
                let chance = chances.get(student).and_then(|one| one.get(task));
                let met = draws.unit() < chance.copied().unwrap_or(0.0);
                if let Some(tally) = tries.get_mut(student).and_then(|one| one.get_mut(task)) {
                    tally.met += u32::from(met);
                    tally.missed += u32::from(!met);
                }
                met
            });
        }
        (held, tries)
    }

    /// By what waits for it, then by number.
    fn order(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.tasks.len()).collect();
        order.sort_by_key(|task| {
            let weight = self.tasks.get(*task).map_or(0, |task| task.weight);
            (std::cmp::Reverse(weight), *task)
        });
        order
    }

    /// Runs it to its end with these chances, by student and skill.
    pub fn roll(&self, chances: &[Vec<f64>], draws: &mut Draws) -> End {
        let mut held = self.held.clone();
        let mut order = self.order();
        let mut ends = vec![0; held.students()];
        for session in 1..=MOST_SESSIONS {
            let going = held.going();
            if going.is_empty() {
                return End {
                    students: ends,
                    ended: true,
                };
            }
            // What nobody needs any more is not looked at again.
            order.retain(|task| held.is_open(*task, &going));
            let at = usize::try_from(session - 1).unwrap_or(usize::MAX);
            let kind = self.planned.get(at).copied();
            let kind = kind.unwrap_or_else(|| self.next_kind(&held, &order, &going));
            self.session(&mut held, &order, &going, kind, &mut |student, task| {
                let chance = chances.get(student).and_then(|one| one.get(task));
                draws.unit() < chance.copied().unwrap_or(0.0)
            });
            for student in going {
                if let Some(ends) = ends.get_mut(student) {
                    *ends = session;
                }
            }
        }
        let ended = (0..held.students()).all(|student| held.ended(student));
        End {
            students: ends,
            ended,
        }
    }

    /// The first kind in which anybody has something to try, so long as that is not dives
    /// alone; dives come when the pool has nothing left for most.
    fn next_kind(&self, held: &Held, order: &[usize], going: &[usize]) -> usize {
        let last = self.minutes.len().saturating_sub(1);
        let open = |kind: usize| {
            let some = |student: &&usize| {
                order
                    .iter()
                    .any(|task| self.tries(held, **student, *task, kind))
            };
            going.iter().filter(some).count()
        };
        let best = (0..last).find(|kind| open(*kind) * 2 > going.len());
        let any = || (0..last).find(|kind| open(*kind) > 0 && open(last) == 0);
        best.or_else(any).unwrap_or(last)
    }

    fn tries(&self, held: &Held, student: usize, task: usize, kind: usize) -> bool {
        let loads = held.loads.get(student);
        let Some((loads, of)) = loads.zip(self.tasks.get(task)) else {
            return false;
        };
        of.places & bit(kind) != 0
            && loads.get(task).is_some_and(|load| load.brings_on(kind))
            && of.needs.iter().all(|need| {
                loads
                    .get(*need)
                    .is_none_or(|load| load.once || load.is_done())
            })
    }

    fn session(
        &self,
        held: &mut Held,
        order: &[usize],
        going: &[usize],
        kind: usize,
        met: &mut dyn FnMut(usize, usize) -> bool,
    ) {
        let whole = self.minutes.get(kind).copied().unwrap_or(0);
        let mut left = u32::from(whole);
        let mut turns = vec![Turn::Untried; held.students() * self.tasks.len()];
        let mut shown = vec![false; self.tasks.len()];
        let place = |student: usize, task: usize| student * self.tasks.len() + task;
        // Twice: what was met in this session opens what builds on it, and whoever missed
        // goes again where minutes are left.
        for round in 0..2 {
            for task in order {
                let Some(of) = self.tasks.get(*task) else {
                    continue;
                };
                let mut able = going.iter().copied().filter(|student| {
                    let turn = turns.get(place(*student, *task));
                    let open =
                        turn == Some(&Turn::Untried) || (round > 0 && turn == Some(&Turn::Missed));
                    open && self.tries(held, *student, *task, kind)
                });
                let setup = if shown.get(*task) == Some(&true) {
                    0
                } else {
                    of.setup
                };
                let mut now: Vec<usize> = Vec::new();
                let mut cost = 0;
                for student in able.by_ref() {
                    let next = self.cost(of, setup, now.len() + 1);
                    if next > left {
                        break;
                    }
                    cost = next;
                    now.push(student);
                }
                left -= cost;
                if let Some(shown) = shown.get_mut(*task) {
                    *shown |= !now.is_empty();
                }
                for student in now {
                    let is_met = met(student, *task);
                    if let Some(turn) = turns.get_mut(place(student, *task)) {
                        *turn = if is_met { Turn::Over } else { turn.missed() };
                    }
                    if is_met
                        && let Some(load) = held
                            .loads
                            .get_mut(student)
                            .and_then(|one| one.get_mut(*task))
                    {
                        load.met(kind);
                    }
                }
            }
        }
        if kind + 1 == self.minutes.len() {
            for student in going {
                if let Some(dives) = held.dives.get_mut(*student) {
                    *dives = dives.saturating_sub(1);
                }
            }
        }
    }

    fn cost(&self, task: &Task, setup: u16, students: usize) -> u32 {
        let helpers = if task.helped { self.helpers } else { 0 };
        let line = students.div_ceil(self.stations.max(1).saturating_add(helpers));
        let turns = match task.form {
            RunForm::Together => 1,
            RunForm::Pairs => line.div_ceil(2),
            RunForm::OneByOne => line,
        };
        let turns = u32::try_from(turns).unwrap_or(u32::MAX);
        u32::from(setup).saturating_add(u32::from(task.turn).saturating_mul(turns))
    }
}
