//! One session more, one assistant more, one student fewer: the same course, asked otherwise.

use crate::entry::Mark;
use crate::plan::expect::Prior;
use crate::plan::{Outlook, OutlookAsked, OutlookQuestion, history, outlook};
use crate::standing::sample::{RENATE, Sample, student, time};

/// Three sessions are planned.
fn question(sample: &Sample) -> OutlookQuestion {
    let asked = OutlookAsked {
        free: Vec::new(),
        students: vec![student(1), student(2)],
        now: time("2026-06-01T12:00:00+02:00"),
        prior: Prior::default(),
        ways: 300,
        history: Vec::new(),
    };
    outlook(&sample.now, &asked).unwrap()
}

fn answer(question: &OutlookQuestion) -> Outlook {
    question.answer(&mut || true).unwrap()
}

#[test]
fn the_same_question_has_the_same_answer_each_time() {
    let question = question(&Sample::new());
    for other in [
        question.with_assistant(),
        question.with_session_after(1),
        question.without(0),
    ] {
        assert_eq!(answer(&other), answer(&other));
    }
}

#[test]
fn a_session_more_goes_the_same_ways_until_then_and_ends_no_later() {
    let question = question(&Sample::new());
    let now = answer(&question);
    for planned in 0..=3 {
        let more = answer(&question.with_session_after(planned));
        let sessions = u32::try_from(planned).unwrap();
        let within = |found: &Outlook, sessions| found.class.within_per_mille(sessions);
        assert_eq!(within(&more, sessions), within(&now, sessions));
        assert!(within(&more, sessions + 1) >= within(&now, sessions));
    }
}

#[test]
fn an_assistant_more_changes_nothing_where_only_an_instructor_may_run_anything() {
    let question = question(&Sample::new());
    assert_eq!(answer(&question.with_assistant()), answer(&question));
}

#[test]
fn whoever_goes_elsewhere_takes_their_end_along_and_leaves_what_they_tried() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::NotYet, 1);
    sample.mark(RENATE, 2, "once", Mark::Met, 1);
    let question = question(&sample);
    let now = answer(&question);
    assert_eq!((now.students.len(), now.tries), (2, 2));
    let fewer = answer(&question.without(0));
    assert_eq!((fewer.students.len(), fewer.tries), (1, 2));
    // Nobody is at the ninth place.
    assert_eq!(answer(&question.without(9)), now);
}

#[test]
fn what_other_courses_have_shown_moves_the_end_and_is_told_apart() {
    let mut other = Sample::new();
    for session in [1, 2, 3] {
        for n in [1, 2] {
            for skill in ["once", "twice", "both", "builds"] {
                other.mark(RENATE, n, skill, Mark::NotYet, session);
            }
        }
    }
    let told = history(&other.now);
    assert_eq!(told.len(), 2);
    assert_eq!(told[0].len(), 4, "what nobody tried says nothing");
    let sample = Sample::new();
    let asked = |history| OutlookAsked {
        free: Vec::new(),
        students: vec![student(1), student(2)],
        now: time("2026-06-01T12:00:00+02:00"),
        prior: Prior::default(),
        ways: 300,
        history,
    };
    let of = |history| answer(&outlook(&sample.now, &asked(history)).unwrap());
    let (without, with) = (of(Vec::new()), of(told));
    assert_eq!((without.tries, without.elsewhere), (0, 0));
    assert_eq!((with.tries, with.elsewhere), (0, 24));
    // Nobody elsewhere met anything: it takes longer here too.
    assert!(with.class.quantile(50) > without.class.quantile(50));
}
