//! What the adversary and the honest ones say, as entries.

use tallywater_core::course::starter;
use tallywater_core::entry::{
    Assignment, Attempt, Clearance, ClearanceResult, Completion, Exemption, Note, Origin, Outcome,
    OutlineSet, PolicySet, Resolution, RuleConfirmed, RuleText, SessionCancelled, Withdrawal,
};

use super::*;
use crate::adversary::course::{SESSION, enrolment, outline};
use crate::support::devices::day;

pub(super) fn attempt(at: Cell, mark: Mark) -> Body {
    Attempt {
        student: student(at.0),
        skill: skill(at.1),
        method: None,
        mark,
        measured: Vec::new(),
        slips: Vec::new(),
        note: None,
        despite: None,
        session: Some(SESSION),
        origin: Origin::Live,
    }
    .into()
}

pub(super) fn resolution(at: Cell, mark: Mark) -> Body {
    Resolution {
        student: student(at.0),
        skill: skill(at.1),
        mark,
        why: "seen by both".into(),
    }
    .into()
}

/// What it says, as an entry.
pub(super) fn said(
    what: &What,
    pick: &dyn Fn(&usize) -> EntryId,
    own: &dyn Fn(&usize) -> Option<EntryId>,
) -> Option<Body> {
    let why = || "because".to_owned();
    Some(match what {
        What::Mark(at, mark) => attempt(*at, *mark),
        What::Confirm(some) => {
            let attempts = some.iter().map(pick).collect();
            Confirmation { attempts }.into()
        }
        What::Resolve(at, mark) => resolution(*at, *mark),
        What::Exempt(at) => Exemption {
            student: student(at.0),
            skill: skill(at.1),
            why: why(),
            elsewhere: None,
        }
        .into(),
        What::TakeBack(at) => Withdrawal {
            entry: if at.is_multiple_of(2) {
                own(at)?
            } else {
                pick(at)
            },
            why: None,
        }
        .into(),
        What::Complete(n) => Completion {
            student: student(*n),
            outcome: Outcome::Completed,
            considered: Vec::new(),
        }
        .into(),
        What::Enrol(n) => enrolment(student(2 + *n)),
        What::Outline => {
            let mut outline = outline();
            outline.skills.pop();
            OutlineSet { outline, why: None }.into()
        }
        What::Policy => {
            let policy = starter::policy().ok()?;
            let confirmed = policy.rules.iter().map(|rule| RuleConfirmed {
                rule: rule.id.clone(),
                by: staff(RENATE),
                on: day("2026-06-01"),
                read: RuleText {
                    title: "A house decision".into(),
                    edition: None,
                    clause: None,
                    on: day("2026-06-01"),
                },
            });
            PolicySet {
                confirmed: confirmed.collect(),
                policy,
                proofs: Vec::new(),
            }
            .into()
        }
        What::Cancel => SessionCancelled {
            session: SESSION,
            why: why(),
        }
        .into(),
        What::Clear(n) => Clearance {
            student: student(*n),
            what: ClearanceKind::Health,
            result: ClearanceResult::Cleared,
            until: None,
            figure: None,
        }
        .into(),
        What::Assign => Assignment {
            staff: staff(BAD),
            role: Role::Instructor,
        }
        .into(),
        What::Note => Note {
            student: Some(student(0)),
            skill: None,
            session: None,
            entry: None,
            text: "calm".into(),
        }
        .into(),
    })
}
