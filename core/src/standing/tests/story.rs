//! One cell at a time.

use crate::course::{Role, Setting};
use crate::entry::{
    Assignment, Body, Completion, Confirmation, Exemption, Mark, Outcome, Passage, PolicyConfirmed,
    Resolution, SessionCancelled, SessionMoved, SessionPlanned, Who, Withdrawal,
};
use crate::standing::CellState;
use crate::standing::sample::{
    ODD, OFFICE, PELLE, RENATE, Sample, plan, read_text, rule_id, session, skill_id, student, time,
};

fn resolution(skill: &str, mark: Mark) -> Resolution {
    Resolution {
        student: student(1),
        skill: skill_id(skill),
        mark,
        why: "Looked at it together".to_owned(),
    }
}

#[test]
fn a_cell_that_nobody_touched_is_open() {
    let sample = Sample::new();
    let cell = sample.cell(1, "once");
    assert_eq!(cell.state, CellState::Open);
    assert_eq!((cell.met, cell.of, cell.tries), (0, 1, 0));
    assert!(cell.seen.is_empty() && cell.latest.is_empty());
    assert_eq!(sample.now.cells().len(), 2 * 6);
}

#[test]
fn a_try_that_was_not_met_is_trying() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    sample.mark(RENATE, 1, "once", Mark::Nearly, 1);
    let cell = sample.cell(1, "once");
    assert_eq!((cell.state, cell.tries), (CellState::Trying, 2));
    assert!(!cell.slipped_since);
}

#[test]
fn an_instructors_met_is_met() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    sample.mark(ODD, 1, "once", Mark::Met, 1);
    let cell = sample.cell(1, "once");
    assert_eq!(cell.state, CellState::Met);
    assert_eq!((cell.met, cell.of, cell.tries), (1, 1, 2));
}

#[test]
fn an_assistants_met_is_shown_until_an_instructor_confirms_it() {
    let mut sample = Sample::new();
    let mark = sample.mark(PELLE, 1, "twice", Mark::Met, 1);
    let again = sample.mark(PELLE, 1, "twice", Mark::Met, 2);
    let cell = sample.cell(1, "twice");
    assert_eq!(cell.state, CellState::Shown);
    assert_eq!((cell.met, cell.of), (0, 2), "nothing stands yet");
    assert_eq!(cell.unconfirmed.len(), 2);
    sample.add(
        RENATE,
        &[],
        Confirmation {
            attempts: vec![mark],
        },
    );
    let cell = sample.cell(1, "twice");
    assert_eq!((cell.state, cell.met), (CellState::Shown, 1));
    assert_eq!(cell.unconfirmed, [again]);
    let both = sample.add(
        RENATE,
        &[],
        Confirmation {
            attempts: vec![again],
        },
    );
    assert_eq!(sample.cell(1, "twice").state, CellState::Met);
    sample.withdraw(RENATE, both);
    assert_eq!(sample.cell(1, "twice").state, CellState::Shown);
}

#[test]
fn an_assistants_not_yet_needs_no_confirmation() {
    let mut sample = Sample::new();
    sample.mark(PELLE, 1, "twice", Mark::NotYet, 1);
    let cell = sample.cell(1, "twice");
    assert_eq!(cell.state, CellState::Trying);
    assert!(cell.unconfirmed.is_empty());
}

#[test]
fn assistants_judge_alone_only_once_that_rule_is_confirmed_and_only_its_skills() {
    let mut sample = Sample::new();
    sample.mark(PELLE, 1, "once", Mark::Met, 1);
    sample.mark(PELLE, 1, "extra", Mark::Met, 1);
    assert_eq!(sample.cell(1, "once").state, CellState::Shown);
    let policy = sample.now.policy().unwrap().entry;
    let confirmed = |rule| PolicyConfirmed {
        policy,
        rules: vec![rule_id(rule)],
        read: read_text(),
    };
    sample.add(OFFICE, &[], confirmed("health"));
    assert_eq!(sample.cell(1, "once").state, CellState::Shown);
    sample.add(OFFICE, &[], confirmed("assistants"));
    assert_eq!(sample.cell(1, "once").state, CellState::Met);
    assert_eq!(sample.cell(1, "extra").state, CellState::Shown);
}

#[test]
fn a_skill_that_is_met_twice_wants_two_sessions() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "twice", Mark::Met, 1);
    sample.mark(RENATE, 1, "twice", Mark::Met, 1);
    let cell = sample.cell(1, "twice");
    assert_eq!(cell.state, CellState::Trying, "both in one session");
    assert_eq!((cell.met, cell.of), (1, 2), "sessions are what is short");
    let parts = sample.now.parts(&(student(1), skill_id("twice"))).unwrap();
    assert_eq!((parts.tries, parts.sessions), (2, 1));
    sample.mark(RENATE, 1, "twice", Mark::Met, 2);
    let cell = sample.cell(1, "twice");
    assert_eq!((cell.state, cell.met, cell.of), (CellState::Met, 2, 2));
}

#[test]
fn a_try_that_two_people_saw_in_one_session_counts_once() {
    let mut sample = Sample::new();
    sample.mark_after(RENATE, &[], 1, "twice", Mark::Met, 1);
    sample.mark_after(ODD, &[], 1, "twice", Mark::Met, 1);
    let cell = sample.cell(1, "twice");
    assert_eq!((cell.state, cell.met), (CellState::Trying, 1));
    let parts = sample.now.parts(&(student(1), skill_id("twice"))).unwrap();
    assert_eq!(parts.tries, 1);
    // Apart, but in two sessions: nobody can have seen the same try twice.
    sample.mark_after(ODD, &[], 1, "twice", Mark::Met, 2);
    assert_eq!(sample.cell(1, "twice").state, CellState::Met);
}

#[test]
fn every_setting_that_is_asked_for_must_be_met_in() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "both", Mark::Met, 1);
    sample.mark(RENATE, 1, "both", Mark::Met, 2);
    let cell = sample.cell(1, "both");
    assert_eq!(cell.state, CellState::Trying, "confined twice");
    assert_eq!((cell.met, cell.of), (1, 2));
    sample.mark(RENATE, 1, "both", Mark::Met, 3);
    assert_eq!(sample.cell(1, "both").state, CellState::Met);
    let parts = sample.now.parts(&(student(1), skill_id("both"))).unwrap();
    assert_eq!(parts.settings, [Setting::Confined, Setting::Open].into());
}

#[test]
fn a_session_that_turns_out_to_be_elsewhere_moves_what_was_shown_there() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "both", Mark::Met, 1);
    sample.mark(RENATE, 1, "both", Mark::Met, 2);
    assert_eq!(sample.cell(1, "both").state, CellState::Trying);
    let after = sample.now.session_entries(&session(2));
    sample.add(
        OFFICE,
        &after,
        SessionPlanned {
            session: session(2),
            plan: plan(Setting::Open, "2026-06-03T10:00:00+02:00"),
        },
    );
    assert_eq!(sample.cell(1, "both").state, CellState::Met);
}

#[test]
fn all_ways_that_are_asked_for_must_be_met_and_one_that_depends_on_the_kit_is_not() {
    let mut sample = Sample::new();
    sample.mark_way(RENATE, 1, "ways", "purge", 1);
    let cell = sample.cell(1, "ways");
    assert_eq!((cell.state, cell.met, cell.of), (CellState::Trying, 1, 2));
    sample.mark_way(RENATE, 1, "ways", "hose", 1);
    assert_eq!(sample.cell(1, "ways").met, 1);
    sample.mark_way(RENATE, 1, "ways", "breath", 1);
    let cell = sample.cell(1, "ways");
    assert_eq!((cell.state, cell.met, cell.of), (CellState::Met, 2, 2));
}

#[test]
fn one_after_another_is_a_later_try_and_not_two_views() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    sample.mark(ODD, 1, "once", Mark::Met, 1);
    let cell = sample.cell(1, "once");
    assert_eq!((cell.state, cell.latest.len()), (CellState::Met, 1));
}

#[test]
fn marks_made_apart_that_differ_are_two_views() {
    let mut sample = Sample::new();
    let met = sample.mark_after(RENATE, &[], 1, "once", Mark::Met, 1);
    let not = sample.mark_after(ODD, &[], 1, "once", Mark::NotYet, 1);
    let cell = sample.cell(1, "once");
    assert_eq!(cell.state, CellState::TwoViews);
    let mut both = vec![met, not];
    both.sort_unstable();
    assert_eq!(cell.latest, both);
}

#[test]
fn one_person_on_two_devices_that_did_not_meet_is_two_views_as_well() {
    // Nobody can tell which of the two was meant, so neither wins silently.
    let mut sample = Sample::new();
    sample.mark_after(RENATE, &[], 1, "once", Mark::Met, 1);
    sample.mark_after(RENATE, &[], 1, "once", Mark::NotYet, 1);
    assert_eq!(sample.cell(1, "once").state, CellState::TwoViews);
}

#[test]
fn marks_made_apart_that_agree_are_one_view() {
    let mut sample = Sample::new();
    sample.mark_after(RENATE, &[], 1, "once", Mark::Met, 1);
    sample.mark_after(ODD, &[], 1, "once", Mark::Met, 1);
    let cell = sample.cell(1, "once");
    assert_eq!((cell.state, cell.latest.len()), (CellState::Met, 2));
}

#[test]
fn a_later_mark_by_someone_who_saw_both_settles_two_views() {
    let mut sample = Sample::new();
    sample.mark_after(RENATE, &[], 1, "once", Mark::Met, 1);
    sample.mark_after(ODD, &[], 1, "once", Mark::NotYet, 1);
    sample.mark(ODD, 1, "once", Mark::Met, 2);
    assert_eq!(sample.cell(1, "once").state, CellState::Met);
}

#[test]
fn a_resolution_of_met_stands_behind_what_was_met() {
    let mut sample = Sample::new();
    let met = sample.mark_after(PELLE, &[], 1, "once", Mark::Met, 1);
    let not = sample.mark_after(ODD, &[], 1, "once", Mark::NotYet, 1);
    sample.add(RENATE, &[met, not], resolution("once", Mark::Met));
    let cell = sample.cell(1, "once");
    assert_eq!((cell.state, cell.met), (CellState::Met, 1));
    assert!(cell.unconfirmed.is_empty(), "the resolution confirms it");
    assert_eq!(cell.tries, 2, "a resolution is no try");
}

#[test]
fn a_resolution_of_not_yet_begins_the_count_anew() {
    let mut sample = Sample::new();
    let met = sample.mark_after(RENATE, &[], 1, "once", Mark::Met, 1);
    let not = sample.mark_after(ODD, &[], 1, "once", Mark::NotYet, 1);
    let word = sample.add(RENATE, &[met, not], resolution("once", Mark::NotYet));
    let cell = sample.cell(1, "once");
    assert_eq!((cell.state, cell.met), (CellState::Trying, 0));
    assert!(!cell.slipped_since);
    sample.mark(RENATE, 1, "once", Mark::Met, 2);
    assert_eq!(sample.cell(1, "once").state, CellState::Met);
    sample.withdraw(RENATE, word);
    assert_eq!(
        sample.cell(1, "once").state,
        CellState::Met,
        "the later try was written after both views"
    );
}

#[test]
fn an_instructors_word_alone_can_meet_a_skill() {
    let mut sample = Sample::new();
    let not = sample.mark_after(RENATE, &[], 1, "once", Mark::NotYet, 1);
    let nearly = sample.mark_after(ODD, &[], 1, "once", Mark::Nearly, 1);
    assert_eq!(sample.cell(1, "once").state, CellState::TwoViews);
    sample.add(RENATE, &[not, nearly], resolution("once", Mark::Met));
    assert_eq!(sample.cell(1, "once").state, CellState::Met);
}

#[test]
fn a_later_not_yet_after_met_has_slipped_since() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    let slip = sample.mark(RENATE, 1, "once", Mark::NotYet, 2);
    let cell = sample.cell(1, "once");
    assert_eq!(cell.state, CellState::Met);
    assert!(cell.slipped_since);
    let seen = sample.seen(1, "once");
    let mut settled = sample.clone();
    settled.add(RENATE, &seen, resolution("once", Mark::Met));
    assert!(!settled.cell(1, "once").slipped_since);
    sample.withdraw(RENATE, slip);
    assert!(!sample.cell(1, "once").slipped_since);
}

#[test]
fn sitting_out_is_no_try_and_changes_no_state() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::SatOut, 1);
    let cell = sample.cell(1, "once");
    assert_eq!((cell.state, cell.tries), (CellState::Open, 0));
    assert!(cell.sat_out);
    sample.mark(RENATE, 1, "once", Mark::Met, 2);
    assert!(!sample.cell(1, "once").sat_out);
    sample.mark(RENATE, 1, "once", Mark::SatOut, 3);
    let cell = sample.cell(1, "once");
    assert_eq!(cell.state, CellState::Met);
    assert!(cell.sat_out && !cell.slipped_since);
}

#[test]
fn a_met_and_a_sat_out_made_apart_are_not_two_views() {
    let mut sample = Sample::new();
    sample.mark_after(RENATE, &[], 1, "once", Mark::Met, 1);
    sample.mark_after(ODD, &[], 1, "once", Mark::SatOut, 1);
    let cell = sample.cell(1, "once");
    assert_eq!(cell.state, CellState::Met);
    assert!(!cell.sat_out, "someone saw a try");
}

#[test]
fn an_exempt_skill_is_exempt_whatever_was_marked_until_that_is_withdrawn() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    let exempt = sample.add(
        RENATE,
        &[],
        Exemption {
            student: student(1),
            skill: skill_id("once"),
            why: "An old injury of the hand".to_owned(),
            elsewhere: None,
        },
    );
    assert_eq!(sample.cell(1, "once").state, CellState::Exempt);
    assert_eq!(sample.cell(2, "once").state, CellState::Open);
    sample.withdraw(RENATE, exempt);
    assert_eq!(sample.cell(1, "once").state, CellState::Trying);
}

#[test]
fn an_undo_takes_a_mark_out_and_undoing_the_undo_brings_it_back() {
    let mut sample = Sample::new();
    let mark = sample.mark(RENATE, 1, "once", Mark::Met, 1);
    let undo = sample.withdraw(RENATE, mark);
    assert_eq!(sample.cell(1, "once").state, CellState::Open);
    assert_eq!(sample.now.tally().withdrawn_by(&mark), Some(undo));
    let redo = sample.withdraw(RENATE, undo);
    assert_eq!(sample.cell(1, "once").state, CellState::Met);
    sample.withdraw(RENATE, redo);
    assert_eq!(sample.cell(1, "once").state, CellState::Open);
}

#[test]
fn a_mark_written_after_one_that_was_withdrawn_still_counts() {
    let mut sample = Sample::new();
    let slip_of_finger = sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    sample.withdraw(RENATE, slip_of_finger);
    let cell = sample.cell(1, "once");
    assert_eq!((cell.state, cell.tries), (CellState::Met, 1));
}

#[test]
fn an_assistant_takes_back_only_what_is_their_own() {
    let mut sample = Sample::new();
    let mark = sample.mark(RENATE, 1, "once", Mark::Met, 1);
    sample.withdraw(PELLE, mark);
    assert_eq!(sample.cell(1, "once").state, CellState::Met);
    let own = sample.mark(PELLE, 2, "once", Mark::Met, 1);
    sample.withdraw(PELLE, own);
    assert_eq!(sample.cell(2, "once").state, CellState::Open);
}

#[test]
fn a_withdrawal_that_comes_before_what_it_withdraws_waits_for_it() {
    let mut sample = Sample::new();
    let attempt = crate::standing::sample::attempt(1, "once", Mark::Met, 1);
    let (mark, line) = sample.line(RENATE, &[], Body::Attempt(attempt));
    let undo = sample.withdraw(RENATE, mark);
    sample.take(mark, line, crate::trust::Verdict::Counts(RENATE));
    assert_eq!(sample.cell(1, "once").state, CellState::Open);
    sample.withdraw(RENATE, undo);
    assert_eq!(sample.cell(1, "once").state, CellState::Met);
}

#[test]
fn a_ring_of_withdrawals_ends_and_touches_no_mark() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    // Two that withdraw each other: only a forger who picks ids can write that.
    let first = crate::standing::sample::entry_id(time("2026-06-02T12:00:00+02:00"), 9_001);
    let (second, line) = sample.line(
        RENATE,
        &[],
        Body::Withdrawal(Withdrawal {
            entry: first,
            why: None,
        }),
    );
    sample.take(second, line, crate::trust::Verdict::Counts(RENATE));
    let (_, mut line) = sample.line(
        RENATE,
        &[],
        Body::Withdrawal(Withdrawal {
            entry: second,
            why: None,
        }),
    );
    if let crate::entry::Reading::Known(entry) = &mut line.reading {
        std::sync::Arc::make_mut(entry).id = first;
    }
    sample.take(first, line, crate::trust::Verdict::Counts(RENATE));
    assert_eq!(sample.now.tally().target(&first), None);
    let (one, two) = (
        sample.now.tally().counts(&first),
        sample.now.tally().counts(&second),
    );
    assert_eq!(one, two, "neither is before the other");
    assert_eq!(sample.cell(1, "once").state, CellState::Met);
    assert_eq!(Sample::read(&sample.lines), sample.now);
}

#[test]
fn marks_of_a_student_whose_enrolment_was_withdrawn_wait_for_another() {
    let mut sample = Sample::new();
    let enrolment = sample.enrol(3);
    sample.mark(RENATE, 3, "once", Mark::Met, 1);
    sample.withdraw(OFFICE, enrolment);
    assert!(!sample.now.students().contains(&student(3)));
    assert!(!sample.now.has_student(&student(3)));
    sample.enrol(3);
    assert_eq!(sample.cell(3, "once").state, CellState::Met);
}

#[test]
fn a_session_keeps_its_plan_and_takes_time_and_place_from_a_move() {
    let mut sample = Sample::new();
    let after = sample.now.session_entries(&session(1));
    let moved = sample.add(
        RENATE,
        &after,
        SessionMoved {
            session: session(1),
            starts: time("2026-06-02T18:00:00+02:00"),
            site: "New basin".to_owned(),
            why: "Thunder".to_owned(),
        },
    );
    let now = &sample.now.sessions()[&session(1)];
    assert_eq!(now.plan.site, "New basin");
    assert_eq!(now.plan.students.len(), 2);
    assert_eq!((now.entry, now.changes), (moved, 1));
    let cancelled = sample.add(
        RENATE,
        &[after[0], moved],
        SessionCancelled {
            session: session(1),
            why: "The basin is shut".to_owned(),
        },
    );
    assert!(sample.now.sessions()[&session(1)].cancelled.is_some());
    sample.add(
        RENATE,
        &[after[0], moved, cancelled],
        SessionPlanned {
            session: session(1),
            plan: plan(Setting::Confined, "2026-06-04T10:00:00+02:00"),
        },
    );
    let now = &sample.now.sessions()[&session(1)];
    assert_eq!((now.cancelled.clone(), now.changes), (None, 3));
    assert_eq!(
        now.plan.site, "Old mill pond",
        "the move was before this plan"
    );
}

#[test]
fn a_plan_and_a_cancellation_written_apart_leave_it_cancelled() {
    let mut sample = Sample::new();
    let after = sample.now.session_entries(&session(1));
    sample.add(
        RENATE,
        &after,
        SessionCancelled {
            session: session(1),
            why: "The basin is shut".to_owned(),
        },
    );
    sample.add(
        ODD,
        &after,
        SessionPlanned {
            session: session(1),
            plan: plan(Setting::Confined, "2026-06-02T12:00:00+02:00"),
        },
    );
    assert!(sample.now.sessions()[&session(1)].cancelled.is_some());
}

#[test]
fn of_two_counts_made_apart_in_the_water_holds() {
    let mut sample = Sample::new();
    let who = Who::Student(student(1));
    sample.pass(who, 1, Passage::In, "2026-06-02T10:05:00+02:00");
    let seen = sample.now.passages(&session(1), &who);
    let passage = |passage| crate::entry::Attendance {
        who,
        session: session(1),
        passage,
        when: time("2026-06-02T10:40:00+02:00"),
    };
    sample.add(RENATE, &seen, passage(Passage::Out));
    sample.add(PELLE, &seen, passage(Passage::In));
    let headcount = sample.now.headcount(&session(1));
    assert!(matches!(
        &headcount[&who].entry.body,
        Body::Attendance(a) if a.passage == Passage::In
    ));
    sample.pass(who, 1, Passage::Out, "2026-06-02T10:50:00+02:00");
    let headcount = sample.now.headcount(&session(1));
    assert!(matches!(
        &headcount[&who].entry.body,
        Body::Attendance(a) if a.passage == Passage::Out
    ));
}

#[test]
fn the_latest_assignment_holds_and_of_two_made_apart_the_lesser() {
    let mut sample = Sample::new();
    let as_role = |role| Assignment {
        staff: PELLE.staff,
        role,
    };
    let [first] = sample.now.assignment_entries(&PELLE.staff)[..] else {
        panic!("assigned once");
    };
    // The clock runs backwards: what was seen decides, not when it was written.
    sample.clock("2020-01-01T00:00:00Z");
    let second = sample.add(OFFICE, &[first], as_role(Role::Instructor));
    assert_eq!(sample.now.staff()[&PELLE.staff], Role::Instructor);
    sample.add(OFFICE, &[first], as_role(Role::Assistant));
    assert_eq!(sample.now.staff()[&PELLE.staff], Role::Assistant);
    sample.add(OFFICE, &[first, second], as_role(Role::Instructor));
    assert_eq!(sample.now.staff()[&PELLE.staff], Role::Assistant);
}

#[test]
fn a_completion_holds_until_it_is_withdrawn() {
    let mut sample = Sample::new();
    let considered = sample.now.considered(&student(1));
    let completion = Completion {
        student: student(1),
        outcome: Outcome::Referred,
        considered: considered.clone(),
    };
    let done = sample.add(RENATE, &[], completion);
    assert_eq!(sample.now.completion(&student(1)).unwrap().entry.id, done);
    assert_eq!(sample.now.considered(&student(1)), considered);
    assert!(sample.now.completion(&student(2)).is_none());
    sample.withdraw(RENATE, done);
    assert!(sample.now.completion(&student(1)).is_none());
}
