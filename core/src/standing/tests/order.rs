//! The same entries give the same standing, in any order, at once or one by one, under any
//! clock. Three devices write apart and meet now and then.

use std::collections::BTreeSet;
use std::sync::Arc;

use chrono::TimeDelta;
use proptest::prelude::*;

use crate::course::{EntryId, Role, Setting};
use crate::entry::{
    Body, Confirmation, Exemption, Mark, PolicyConfirmed, Reading, Resolution, SessionPlanned,
    Withdrawal, Writer,
};
use crate::standing::sample::{
    COURSE, ODD, PELLE, RENATE, Sample, Told, entry_id, plan, read_text, session, skill_id, student,
};
use crate::standing::{Cell, CellState, CourseStanding};
use crate::trust::Verdict;

const SKILLS: [&str; 4] = ["once", "twice", "both", "ways"];
const MARKS: [Mark; 4] = [Mark::Met, Mark::Nearly, Mark::NotYet, Mark::SatOut];
const WRITERS: [Writer; 3] = [RENATE, ODD, PELLE];

/// One step of a device.
#[derive(Debug, Clone)]
pub(crate) enum Step {
    /// A mark of a student's skill in a session.
    Mark(u128, usize, usize, u128),
    /// An instructor's word on a cell.
    Resolve(u128, usize, usize),
    /// A skill is not asked of a student.
    Exempt(u128, usize),
    /// The entry at this place among those known is withdrawn.
    Withdraw(usize),
    /// The attempts known are confirmed, up to so many.
    Confirm(usize),
    /// The session is planned anew, in this setting.
    Plan(u128, bool),
    /// Every rule is confirmed.
    ConfirmRules,
    /// Everything known is exchanged with this device.
    Meet(usize),
}

pub(crate) fn steps() -> impl Strategy<Value = Vec<(usize, Step)>> {
    let step = prop_oneof![
        8 => (1..=2u128, 0..4usize, 0..4usize, 1..=3u128)
            .prop_map(|(n, skill, mark, held)| Step::Mark(n, skill, mark, held)),
        2 => (1..=2u128, 0..4usize, 0..3usize).prop_map(|(n, skill, mark)| Step::Resolve(n, skill, mark)),
        1 => (1..=2u128, 0..4usize).prop_map(|(n, skill)| Step::Exempt(n, skill)),
        4 => any::<usize>().prop_map(Step::Withdraw),
        2 => (1..4usize).prop_map(Step::Confirm),
        1 => (1..=3u128, any::<bool>()).prop_map(|(held, open)| Step::Plan(held, open)),
        1 => Just(Step::ConfirmRules),
        3 => (0..3usize).prop_map(Step::Meet),
    ];
    prop::collection::vec((0..3usize, step), 1..40)
}

/// Plays the steps; answers the lines in the order in which they were written.
pub(crate) fn play(steps: &[(usize, Step)]) -> Vec<Told> {
    let mut sample = Sample::new();
    let begun: BTreeSet<EntryId> = sample.lines.iter().map(|(id, ..)| *id).collect();
    let mut known = [begun.clone(), begun.clone(), begun];
    for (device, step) in steps {
        let writer = WRITERS[*device];
        let instructor = writer.role == Role::Instructor;
        let here = &known[*device];
        // What this device has on screen, and nothing else.
        let screen: Vec<Told> = sample
            .lines
            .iter()
            .filter(|(id, ..)| here.contains(id))
            .cloned()
            .collect();
        let screen = Sample::read(&screen);
        let seen = |n: u128, skill: &str| -> Vec<EntryId> {
            let cell = screen.cells().get(&(student(n), skill_id(skill)));
            cell.map_or_else(Vec::new, |cell| cell.seen.clone())
        };
        let written = match step {
            Step::Meet(other) => {
                let all: BTreeSet<EntryId> = here.union(&known[*other]).copied().collect();
                known[*device].clone_from(&all);
                known[*other] = all;
                continue;
            }
            Step::Mark(n, skill, mark, held) => {
                let skill = SKILLS[*skill];
                let mut attempt = crate::standing::sample::attempt(*n, skill, MARKS[*mark], *held);
                if skill == "ways" {
                    let way = if held % 2 == 0 { "purge" } else { "breath" };
                    attempt.method = Some(way.parse().unwrap());
                }
                sample.add(writer, &seen(*n, skill), attempt)
            }
            Step::Resolve(n, skill, mark) if instructor => {
                let skill = SKILLS[*skill];
                let resolution = Resolution {
                    student: student(*n),
                    skill: skill_id(skill),
                    mark: MARKS[*mark],
                    why: "Settled".to_owned(),
                };
                sample.add(writer, &seen(*n, skill), resolution)
            }
            Step::Exempt(n, skill) if instructor => {
                let exemption = Exemption {
                    student: student(*n),
                    skill: skill_id(SKILLS[*skill]),
                    why: "Not asked".to_owned(),
                    elsewhere: None,
                };
                sample.add(writer, &[], exemption)
            }
            Step::Withdraw(at) => {
                let ids: Vec<EntryId> = here.iter().copied().collect();
                let entry = ids[at % ids.len()];
                sample.add(writer, &[entry], Withdrawal { entry, why: None })
            }
            Step::Confirm(most) if instructor => {
                let attempts: Vec<EntryId> = screen
                    .of_kind(crate::entry::Kind::Attempt)
                    .map(|one| one.entry.id)
                    .take(*most)
                    .collect();
                sample.add(writer, &[], Confirmation { attempts })
            }
            Step::Plan(held, open) if instructor => {
                let setting = if *open {
                    Setting::Open
                } else {
                    Setting::Confined
                };
                let planned = SessionPlanned {
                    session: session(*held),
                    plan: plan(setting, "2026-06-04T10:00:00+02:00"),
                };
                sample.add(writer, &screen.session_entries(&session(*held)), planned)
            }
            Step::ConfirmRules if instructor => {
                let Some(policy) = screen.policy() else {
                    continue;
                };
                let confirmed = PolicyConfirmed {
                    policy: policy.entry,
                    rules: policy
                        .policy
                        .rules
                        .iter()
                        .map(|rule| rule.id.clone())
                        .collect(),
                    read: read_text(),
                };
                sample.add(writer, &[], confirmed)
            }
            Step::Resolve(..)
            | Step::Exempt(..)
            | Step::Confirm(_)
            | Step::Plan(..)
            | Step::ConfirmRules => continue,
        };
        known[*device].insert(written);
    }
    sample.lines
}

/// The lines as a device would have written them whose clock is off by so long: other
/// times and, since a UUID carries its time, other ids; the random halves are the same.
fn shifted(lines: &[Told], by: impl Fn(&Writer) -> TimeDelta) -> Vec<Told> {
    let off = |verdict: &Verdict| match verdict {
        Verdict::Counts(writer) => by(writer),
        Verdict::Newer | Verdict::Unverified(_) => TimeDelta::zero(),
    };
    let new_ids: std::collections::BTreeMap<EntryId, EntryId> = lines
        .iter()
        .zip(1_u64..)
        .map(|((id, line, verdict), made)| {
            let at = line.entry().unwrap().at + off(verdict);
            (*id, entry_id(at, made))
        })
        .collect();
    let new = |id: &EntryId| new_ids.get(id).copied().unwrap_or(*id);
    let all = |ids: &[EntryId]| ids.iter().map(new).collect::<Vec<EntryId>>();
    lines
        .iter()
        .map(|(id, line, verdict)| {
            let mut line = line.clone();
            if let Reading::Known(entry) = &mut line.reading {
                let entry = Arc::make_mut(entry);
                entry.id = new(id);
                entry.at += off(verdict);
                entry.after = all(&entry.after);
                if let Body::Withdrawal(body) = &mut entry.body {
                    body.entry = new(&body.entry);
                } else if let Body::Confirmation(body) = &mut entry.body {
                    body.attempts = all(&body.attempts);
                } else if let Body::PolicyConfirmed(body) = &mut entry.body {
                    body.policy = new(&body.policy);
                }
            }
            (new(id), line, *verdict)
        })
        .collect()
}

/// What a cell comes to, without the ids in it.
fn meaning(cell: &Cell) -> impl PartialEq + std::fmt::Debug + use<> {
    (
        (cell.state, cell.met, cell.of, cell.tries),
        (cell.slipped_since, cell.sat_out, cell.last),
        (cell.latest.len(), cell.unconfirmed.len(), cell.seen.len()),
    )
}

#[test]
fn an_assistant_alone_answers_their_own_slip_and_all_of_it_waits() {
    let mut sample = Sample::new();
    let mut seen = Vec::new();
    for (mark, held) in [
        (Mark::Met, 1),
        (Mark::Met, 2),
        (Mark::Nearly, 2),
        (Mark::Met, 3),
    ] {
        let key = (student(1), skill_id("twice"));
        let cell = sample.now.cells().get(&key);
        let slipped = cell.is_some_and(|cell| cell.slipped_since);
        assert_eq!(slipped, seen.len() == 3, "{mark:?}");
        let attempt = crate::standing::sample::attempt(1, "twice", mark, held);
        seen.push(sample.add(PELLE, &seen, attempt));
    }
    let cell = sample.cell(1, "twice");
    assert_eq!(cell.state, CellState::Shown);
    assert!(!cell.slipped_since);
    assert_eq!(cell.unconfirmed.len(), 3);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn any_order_of_arrival_gives_the_same_standing(
        (lines, order) in steps()
            .prop_map(|steps| play(&steps))
            .prop_flat_map(|lines| (Just(lines.clone()), Just(lines).prop_shuffle()))
    ) {
        let at_once = Sample::read(&lines);
        prop_assert_eq!(&Sample::read(&order), &at_once);
        let mut one_by_one = CourseStanding::new(COURSE);
        for (id, line, verdict) in &order {
            one_by_one.take(*id, line, *verdict);
            one_by_one.take(*id, line, *verdict);
        }
        prop_assert_eq!(&one_by_one, &at_once);
    }

    #[test]
    fn what_comes_in_pieces_comes_to_the_same_and_tells_what_it_touched(
        (order, lengths) in (
            steps().prop_map(|steps| play(&steps)).prop_shuffle(),
            prop::collection::vec(1..30_usize, 1..8),
        )
    ) {
        let mut in_pieces = CourseStanding::new(COURSE);
        let mut one_by_one = CourseStanding::new(COURSE);
        let mut rest = order.as_slice();
        for length in lengths.iter().cycle() {
            if rest.is_empty() {
                break;
            }
            let (piece, later) = rest.split_at((*length).min(rest.len()));
            rest = later;
            let before = in_pieces.cells().clone();
            let lines = piece.iter().map(|(id, line, verdict)| (*id, line, *verdict));
            let touched = in_pieces.take_all(lines);
            for (id, line, verdict) in piece {
                one_by_one.take(*id, line, *verdict);
            }
            prop_assert_eq!(&in_pieces, &one_by_one);
            for (key, cell) in in_pieces.cells() {
                let changed = before.get(key) != Some(cell);
                prop_assert!(!changed || touched.cells.contains(key), "{:?}", key);
            }
        }
    }

    #[test]
    fn what_an_entry_touched_is_all_that_changed(steps in steps()) {
        let mut now = CourseStanding::new(COURSE);
        for (id, line, verdict) in play(&steps) {
            let before = now.cells().clone();
            let touched = now.take(id, &line, verdict);
            for (key, cell) in now.cells() {
                let changed = before.get(key) != Some(cell);
                prop_assert!(!changed || touched.cells.contains(key), "{:?}", key);
            }
        }
    }

    #[test]
    fn an_assistants_mark_never_settles(
        steps in steps(), mark in 0..4usize, held in 1..=3u128, lists in any::<u64>(),
    ) {
        let lines = play(&steps);
        let standing = Sample::read(&lines);
        for ((who, skill), cell) in standing.cells() {
            let settles_open = |cell: &Cell| cell.state == CellState::TwoViews || cell.slipped_since;
            let by_assistant = |id: &EntryId| standing
                .tally()
                .get(id)
                .is_some_and(|one| one.writer.role == Role::Assistant);
            // Where nothing stands yet an assistant may answer their own slip: it waits anyhow.
            let stands = cell.met > 0 || !cell.seen.iter().all(by_assistant);
            let waits = cell.state == CellState::TwoViews || (cell.slipped_since && stands);
            // The confirmed policy may let an assistant's mark of this one stand by itself.
            if !waits || skill.as_str() == "once" {
                continue;
            }
            // What it lists is all that was on screen. A device that lies about that is held
            // to the same where every mark is an instructor's.
            let all = cell.seen.iter().copied();
            let after: Vec<EntryId> = if cell.seen.iter().any(by_assistant) {
                all.collect()
            } else {
                all.enumerate()
                    .filter(|(place, _)| lists >> (place % 64) & 1 == 1)
                    .map(|(_, id)| id)
                    .collect()
            };
            let n = (1..=2u128).find(|n| student(*n) == *who).unwrap();
            let mut sample = Sample::new();
            sample.lines.clone_from(&lines);
            sample.now = standing.clone();
            let skill_name = skill.to_string();
            let attempt = crate::standing::sample::attempt(n, &skill_name, MARKS[mark], held);
            sample.clock("2026-06-09T10:00:00+02:00");
            sample.add(PELLE, &after, attempt);
            prop_assert!(settles_open(sample.cell(n, &skill_name)), "{:?}", MARKS[mark]);
        }
    }

    #[test]
    fn a_clock_that_is_years_off_changes_no_meaning(
        steps in steps(), first in -4_000..4_000_i64, second in -4_000..4_000_i64,
    ) {
        let lines = play(&steps);
        let off = |writer: &Writer| if *writer == RENATE {
            TimeDelta::days(first)
        } else if *writer == PELLE {
            TimeDelta::days(second)
        } else {
            TimeDelta::zero()
        };
        let right = Sample::read(&lines);
        let wrong = Sample::read(&shifted(&lines, off));
        prop_assert_eq!(right.cells().len(), wrong.cells().len());
        for (key, cell) in right.cells() {
            prop_assert_eq!(meaning(cell), meaning(&wrong.cells()[key]), "{:?}", key);
        }
        let plans = |standing: &CourseStanding| -> Vec<_> {
            standing.sessions().values().map(|one| (one.plan.clone(), one.cancelled.clone())).collect()
        };
        prop_assert_eq!(plans(&right), plans(&wrong));
        prop_assert_eq!(right.staff(), wrong.staff());
    }
}
