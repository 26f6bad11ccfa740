//! Cell: what the entries mean for one student and one skill. Pure arithmetic on facts.

use std::collections::{BTreeMap, BTreeSet};

use super::answer::Answered;
use crate::course::{EntryId, MethodId, SessionId, Setting, Skill, StaffId};
use crate::entry::Mark;

/// One standing mark in a cell: an attempt, or an instructor's resolution.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MarkFact {
    /// Its entry.
    pub id: EntryId,
    /// Who judged.
    pub by: StaffId,
    /// What was seen.
    pub mark: Mark,
    /// What the writer had on screen.
    pub after: Vec<EntryId>,
    /// What kind of mark it is.
    pub kind: MarkKind,
}

/// An attempt or a resolution.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MarkKind {
    /// A try.
    Attempt {
        /// In which way.
        method: Option<MethodId>,
        /// In which session.
        session: Option<SessionId>,
        /// Where that session is held.
        setting: Option<Setting>,
        /// Whether an instructor stands behind it: an instructor's own, confirmed, or in a
        /// skill that the confirmed policy lets assistants judge.
        stands: bool,
        /// Whether an instructor wrote it: only such a one settles marks that differ.
        by_instructor: bool,
    },
    /// An instructor's word.
    Resolution,
}

/// How a cell stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum CellState {
    /// Not tried.
    Open,
    /// Tried, not met as often as it must be.
    Trying,
    /// Met, and waiting for an instructor's confirmation.
    Shown,
    /// Met as the outline demands.
    Met,
    /// Marked differently by people who did not see each other's mark.
    TwoViews,
    /// Not asked of this student, with a reason.
    Exempt,
}

impl CellState {
    /// A short word for it, as it is stored with projections.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Trying => "trying",
            Self::Shown => "shown",
            Self::Met => "met",
            Self::TwoViews => "two_views",
            Self::Exempt => "exempt",
        }
    }
}

/// What a cell comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// How it stands.
    pub state: CellState,
    /// How much of the demand is met and stands, in tries or ways.
    pub met: u8,
    /// Out of how much.
    pub of: u8,
    /// How many tries were judged; sitting out is none.
    pub tries: u16,
    /// It was met, and a later try was not: an instructor decides.
    pub slipped_since: bool,
    /// The latest word is that the student sat out.
    pub sat_out: bool,
    /// What the newest marks say together; `None` before the first, and where they differ.
    pub last: Option<Mark>,
    /// The marks that no mark answers, those that wait behind them among them. Two that were
    /// made apart and differ are two views.
    pub latest: Vec<EntryId>,
    /// Assistants' met attempts that wait for an instructor.
    pub unconfirmed: Vec<EntryId>,
    /// Every mark of the cell: the `after` of the next one.
    pub seen: Vec<EntryId>,
}

impl Cell {
    /// The cell that nobody has touched.
    pub fn open(skill: &Skill) -> Self {
        Self::from(skill, &[], false)
    }

    /// Works the cell out from its standing marks, in any order.
    pub fn from(skill: &Skill, marks: &[MarkFact], exempt: bool) -> Self {
        let tried: Vec<&MarkFact> = marks
            .iter()
            .filter(|one| one.mark != Mark::SatOut)
            .collect();
        let answered = Answered::of(&tried);
        let two_views = answered.two_views();
        let (standing, all) = met_tries(&tried);
        let (standing, all) = (Progress::of(skill, &standing), Progress::of(skill, &all));
        let state = if exempt {
            CellState::Exempt
        } else if two_views {
            CellState::TwoViews
        } else if standing.satisfied {
            CellState::Met
        } else if all.satisfied {
            CellState::Shown
        } else if tried.is_empty() {
            CellState::Open
        } else {
            CellState::Trying
        };
        let all_marks: Vec<&MarkFact> = marks.iter().collect();
        let sat_out = marks.iter().any(|one| one.mark == Mark::SatOut) && {
            let last = newest(&all_marks);
            !last.is_empty() && last.iter().all(|one| one.mark == Mark::SatOut)
        };
        let tries = tried
            .iter()
            .filter(|one| matches!(one.kind, MarkKind::Attempt { .. }))
            .count();
        let mut seen: Vec<EntryId> = marks.iter().map(|one| one.id).collect();
        let mut latest: Vec<EntryId> = answered.open.iter().map(|one| one.id).collect();
        seen.sort_unstable();
        latest.sort_unstable();
        Self {
            state,
            met: standing.met,
            of: standing.of,
            tries: u16::try_from(tries).unwrap_or(u16::MAX),
            slipped_since: answered.slipped && matches!(state, CellState::Met | CellState::Shown),
            sat_out,
            last: if two_views { None } else { answered.last() },
            latest,
            unconfirmed: unconfirmed(&tried),
            seen,
        }
    }
}

/// Marks that no other mark was written after, whoever wrote it.
fn newest<'a>(marks: &[&'a MarkFact]) -> Vec<&'a MarkFact> {
    let seen: BTreeSet<&EntryId> = marks.iter().flat_map(|one| &one.after).collect();
    marks
        .iter()
        .filter(|one| !seen.contains(&one.id))
        .copied()
        .collect()
}

/// Attempts that a resolution other than `met` has set aside: the count begins anew.
pub(super) fn set_aside<'a>(marks: &[&'a MarkFact]) -> BTreeSet<&'a EntryId> {
    resolutions(marks)
        .filter(|one| one.mark != Mark::Met)
        .flat_map(|one| &one.after)
        .collect()
}

/// Attempts that a resolution of `met` stands behind.
fn affirmed<'a>(marks: &[&'a MarkFact]) -> BTreeSet<&'a EntryId> {
    resolutions(marks)
        .filter(|one| one.mark == Mark::Met)
        .flat_map(|one| &one.after)
        .collect()
}

fn resolutions<'a>(marks: &[&'a MarkFact]) -> impl Iterator<Item = &'a MarkFact> {
    marks
        .iter()
        .copied()
        .filter(|one| one.kind == MarkKind::Resolution)
}

fn unconfirmed(marks: &[&MarkFact]) -> Vec<EntryId> {
    let (aside, affirmed) = (set_aside(marks), affirmed(marks));
    let mut waiting: Vec<EntryId> = marks
        .iter()
        .filter(|one| {
            one.mark == Mark::Met && matches!(one.kind, MarkKind::Attempt { stands: false, .. })
        })
        .filter(|one| !aside.contains(&one.id) && !affirmed.contains(&one.id))
        .map(|one| one.id)
        .collect();
    waiting.sort_unstable();
    waiting
}

/// How far each part of a demand is met, by the tries that an instructor stands behind.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Parts {
    /// Tries met, as far as they count apart.
    pub tries: u8,
    /// Sessions they were met in.
    pub sessions: u8,
    /// Of the settings that are asked for, those it was met in.
    pub settings: BTreeSet<Setting>,
    /// Of the skill's ways, those it was met in, asked for or not.
    pub methods: BTreeSet<MethodId>,
}

impl Parts {
    /// Works the parts out from a cell's standing marks, in any order.
    pub fn from(skill: &Skill, marks: &[MarkFact]) -> Self {
        let tried: Vec<&MarkFact> = marks.iter().collect();
        Self::of(skill, &met_tries(&tried).0)
    }

    fn of(skill: &Skill, met: &[MetTry<'_>]) -> Self {
        let sessions: BTreeSet<Option<&SessionId>> = met.iter().map(|one| one.session).collect();
        let settings = skill.demand.each_of.iter().copied().filter(|asked| {
            met.iter()
                .any(|one| one.setting.is_some_and(|held_in| shows(held_in, *asked)))
        });
        Self {
            tries: small(distinct_tries(met)),
            sessions: small(sessions.len()),
            settings: settings.collect(),
            methods: met.iter().filter_map(|one| one.method).cloned().collect(),
        }
    }

    /// The part of the demand that is furthest from met: how much, of how much. All parts
    /// are met when this one is; of equal ones the larger is named, then tries before
    /// sessions before settings before ways.
    fn furthest(&self, skill: &Skill) -> (u8, u8) {
        let demand = &skill.demand;
        let asked = skill.methods_asked();
        let shown = asked.filter(|method| self.methods.contains(&method.id));
        [
            (self.tries, demand.times),
            (self.sessions, demand.sessions),
            (small(self.settings.len()), small(demand.each_of.len())),
            (small(shown.count()), small(skill.methods_asked().count())),
        ]
        .into_iter()
        .map(|(met, of)| (met.min(of), of))
        .rev()
        .max_by_key(|(met, of)| (of - met, *of))
        .unwrap_or((0, 0))
    }
}

fn small(n: usize) -> u8 {
    u8::try_from(n).unwrap_or(u8::MAX)
}

/// How far the demand is met.
struct Progress {
    met: u8,
    of: u8,
    satisfied: bool,
}

impl Progress {
    fn of(skill: &Skill, tries: &[MetTry<'_>]) -> Self {
        let (met, of) = Parts::of(skill, tries).furthest(skill);
        Self {
            met,
            of,
            satisfied: met >= of && !tries.is_empty(),
        }
    }
}

/// One met try, as far as counting goes.
struct MetTry<'a> {
    id: &'a EntryId,
    after: &'a [EntryId],
    method: Option<&'a MethodId>,
    session: Option<&'a SessionId>,
    setting: Option<Setting>,
}

/// The met tries: those an instructor stands behind, and all of them.
fn met_tries<'a>(marks: &[&'a MarkFact]) -> (Vec<MetTry<'a>>, Vec<MetTry<'a>>) {
    let (aside, affirmed) = (set_aside(marks), affirmed(marks));
    let met_ids: BTreeSet<&EntryId> = marks
        .iter()
        .filter(|one| one.mark == Mark::Met && !aside.contains(&one.id))
        .map(|one| &one.id)
        .collect();
    let mut standing = Vec::new();
    let mut all = Vec::new();
    for &one in marks
        .iter()
        .filter(|one| one.mark == Mark::Met && !aside.contains(&one.id))
    {
        match &one.kind {
            MarkKind::Attempt {
                method,
                session,
                setting,
                stands,
                by_instructor: _,
            } => {
                let met = || MetTry {
                    id: &one.id,
                    after: &one.after,
                    method: method.as_ref(),
                    session: session.as_ref(),
                    setting: *setting,
                };
                if *stands || affirmed.contains(&one.id) {
                    standing.push(met());
                }
                all.push(met());
            }
            // A resolution of `met` over tries of which none was met is a met try itself;
            // over met ones it only stands behind them.
            MarkKind::Resolution => {
                let over_met = one.after.iter().any(|id| met_ids.contains(id));
                if !over_met {
                    for list in [&mut standing, &mut all] {
                        list.push(MetTry {
                            id: &one.id,
                            after: &one.after,
                            method: None,
                            session: None,
                            setting: None,
                        });
                    }
                }
            }
        }
    }
    (standing, all)
}

/// A skill of the surface is shown at the surface of confined or open water.
fn shows(held_in: Setting, asked: Setting) -> bool {
    held_in == asked
        || (asked == Setting::Surface && matches!(held_in, Setting::Confined | Setting::Open))
}

/// How many tries these met marks stand for.
///
/// Within a session two people who both saw a try and marked it apart must not make two of
/// it, so there only marks that were written one after another count as several. The
/// likelier mistake is the double mark; the price is that two tries truly judged apart in
/// one session count once, and are asked for again.
fn distinct_tries(met: &[MetTry<'_>]) -> usize {
    let mut sessions: BTreeMap<Option<&SessionId>, Vec<&MetTry<'_>>> = BTreeMap::new();
    for one in met {
        sessions.entry(one.session).or_default().push(one);
    }
    sessions.values().map(|marks| longest_chain(marks)).sum()
}

/// The longest run of marks each written after the one before.
///
/// Each mark is taken once all that it was written after are: in so many steps as there are
/// marks and mentions of marks, however many somebody writes. An id is a digest of what it
/// names, mentions included, so no mark can come before itself.
fn longest_chain(marks: &[&MetTry<'_>]) -> usize {
    let places: BTreeMap<&EntryId, usize> =
        (0..).zip(marks).map(|(at, one)| (one.id, at)).collect();
    let mut waits = vec![0_usize; marks.len()];
    let mut followers: Vec<Vec<usize>> = vec![Vec::new(); marks.len()];
    for (at, (one, waits)) in marks.iter().zip(&mut waits).enumerate() {
        let before: BTreeSet<usize> = (one.after.iter())
            .filter_map(|id| places.get(id).copied())
            .collect();
        *waits = before.len();
        for earlier in before {
            if let Some(list) = followers.get_mut(earlier) {
                list.push(at);
            }
        }
    }
    let mut lengths = vec![1_usize; marks.len()];
    let free = (0..).zip(&waits).filter(|(_, n)| **n == 0);
    let mut ready: Vec<usize> = free.map(|(at, _)| at).collect();
    let mut longest = 0;
    while let Some(at) = ready.pop() {
        let length = lengths.get(at).copied().unwrap_or(1);
        longest = longest.max(length);
        for follower in followers
            .get_mut(at)
            .map(std::mem::take)
            .unwrap_or_default()
        {
            if let (Some(own), Some(waits)) = (lengths.get_mut(follower), waits.get_mut(follower)) {
                *own = (*own).max(length + 1);
                *waits -= 1;
                if *waits == 0 {
                    ready.push(follower);
                }
            }
        }
    }
    longest
}
