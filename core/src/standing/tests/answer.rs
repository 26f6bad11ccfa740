//! Which mark answers which: an assistant's beside an instructor's.

use crate::entry::{Confirmation, Mark, Resolution};
use crate::standing::CellState;
use crate::standing::sample::{ODD, PELLE, RENATE, Sample, skill_id, student};

#[test]
fn an_assistants_later_mark_settles_no_two_views_even_confirmed() {
    let mut sample = Sample::new();
    sample.mark_after(RENATE, &[], 1, "once", Mark::Met, 1);
    sample.mark_after(ODD, &[], 1, "once", Mark::NotYet, 1);
    for mark in [Mark::NotYet, Mark::Nearly, Mark::Met] {
        sample.mark(PELLE, 1, "once", mark, 2);
        let cell = sample.cell(1, "once");
        assert_eq!(cell.state, CellState::TwoViews, "{mark:?}");
        assert_eq!(cell.last, None);
    }
    let attempts = sample.cell(1, "once").unconfirmed.clone();
    assert_eq!(attempts.len(), 1);
    sample.add(RENATE, &[], Confirmation { attempts });
    assert_eq!(sample.cell(1, "once").state, CellState::TwoViews);
    let seen = sample.seen(1, "once");
    let word = Resolution {
        student: student(1),
        skill: skill_id("once"),
        mark: Mark::Met,
        why: "Looked at it together".to_owned(),
    };
    sample.add(RENATE, &seen, word);
    assert_eq!(sample.cell(1, "once").state, CellState::Met);
}

#[test]
fn an_assistants_met_waits_behind_a_mark_that_stands_and_clears_no_slip() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    let waiting = sample.mark(PELLE, 1, "once", Mark::Met, 1);
    let cell = sample.cell(1, "once");
    assert_eq!((cell.state, cell.last), (CellState::Shown, Some(Mark::Met)));
    assert!(!cell.slipped_since, "it was never met before");
    let attempts = vec![waiting];
    sample.add(RENATE, &[], Confirmation { attempts });
    assert_eq!(sample.cell(1, "once").state, CellState::Met);
    // What an assistant sees slip is raised, and cleared by no assistant.
    sample.mark(PELLE, 1, "once", Mark::NotYet, 2);
    assert!(sample.cell(1, "once").slipped_since);
    let again = sample.mark(PELLE, 1, "once", Mark::Met, 2);
    assert!(sample.cell(1, "once").slipped_since);
    let attempts = vec![again];
    sample.add(RENATE, &[], Confirmation { attempts });
    assert!(!sample.cell(1, "once").slipped_since);
}

#[test]
fn an_assistants_withdrawal_does_not_reach_a_mark_that_is_confirmed() {
    let mut sample = Sample::new();
    let mark = sample.mark(PELLE, 1, "once", Mark::Met, 1);
    let attempts = vec![mark];
    let confirmed = sample.add(RENATE, &[], Confirmation { attempts });
    sample.withdraw(PELLE, mark);
    assert_eq!(sample.cell(1, "once").state, CellState::Met);
    // While no confirmation stands it is the assistant's own to take back.
    sample.withdraw(RENATE, confirmed);
    assert_eq!(sample.cell(1, "once").state, CellState::Open);
}
