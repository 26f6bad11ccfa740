//! The board, built and refreshed.

use proptest::prelude::*;

use super::Eyes;
use crate::course::{ClearanceKind, Family};
use crate::entry::{ClearanceResult, Completion, Mark, Outcome, Passage, Who};
use crate::standing::sample::{COURSE, PELLE, RENATE, Sample, session, skill_id, student};
use crate::standing::tests::order::{play, steps};
use crate::standing::{CellState, CourseStanding};
use crate::trust::{Doubt, Verdict};
use crate::view::{BoardChange, BoardOf, BoardView, Columns, Known, Leave};

fn board(sample: &Sample) -> BoardView {
    BoardView::of(&sample.now, &Eyes::new().reader(RENATE), BoardOf::default())
}

fn of_session(shows: Columns) -> BoardOf {
    BoardOf {
        session: Some(session(1)),
        shows,
        irregular: 0,
    }
}

#[test]
fn columns_stand_family_by_family_in_outline_order() {
    let view = board(&Sample::new());
    let skills: Vec<&str> = view.columns.iter().map(|c| c.skill.as_str()).collect();
    assert_eq!(skills, ["once", "both", "builds", "extra", "twice", "ways"]);
    let groups: Vec<(Family, u32, u32)> = view
        .groups
        .iter()
        .map(|group| (group.family, group.first, group.columns))
        .collect();
    assert_eq!(
        groups,
        [
            (Family::Mask, 0, 4),
            (Family::Buoyancy, 4, 1),
            (Family::Regulator, 5, 1)
        ]
    );
    let firsts: Vec<bool> = view.columns.iter().map(|c| c.first_of_family).collect();
    assert_eq!(firsts, [true, false, false, false, true, true]);
    let numbers: Vec<u32> = view.columns.iter().map(|c| c.number).collect();
    assert_eq!(numbers, [1, 3, 5, 6, 2, 4]);
}

#[test]
fn rows_stand_in_order_of_name_and_each_has_a_cell_a_column() {
    let view = board(&Sample::new());
    let names: Vec<&str> = view
        .rows
        .iter()
        .map(|row| row.name.short.as_str())
        .collect();
    assert_eq!(names, ["Émile", "Ottilie"]);
    for row in &view.rows {
        let cells = row.cells.iter().map(|cell| &cell.skill);
        assert!(cells.eq(view.columns.iter().map(|column| &column.skill)));
        assert_eq!(
            (row.done, row.left, row.of),
            (0, 5, 5),
            "extra is not required"
        );
    }
    assert_eq!((view.counts.done, view.counts.of), (0, 10));
    assert_eq!(view.may_mark, Leave::Yes);
}

#[test]
fn a_student_whose_name_is_not_here_still_has_a_row() {
    let mut sample = Sample::new();
    sample.enrol(9);
    let view = board(&sample);
    let row = view
        .rows
        .iter()
        .find(|row| row.name.student == student(9))
        .unwrap();
    assert_eq!(row.name.known, Known::NotHere);
    assert_eq!(row.cells.len(), 6);
}

#[test]
fn a_cell_shows_its_latest_mark_and_none_while_there_are_two_views() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::Nearly, 1);
    sample.mark_after(RENATE, &[], 1, "both", Mark::Met, 1);
    sample.mark_after(PELLE, &[], 1, "both", Mark::NotYet, 1);
    sample.mark(RENATE, 1, "twice", Mark::SatOut, 1);
    sample.mark(PELLE, 1, "builds", Mark::Met, 1);
    let view = board(&sample);
    let row = &view.rows[1];
    let cell = |id: &str| row.cells.iter().find(|c| c.skill == skill_id(id)).unwrap();
    assert_eq!(cell("once").last, Some(Mark::Nearly));
    assert_eq!(cell("both").last, None);
    assert_eq!(cell("both").state, CellState::TwoViews);
    assert_eq!(cell("twice").last, Some(Mark::SatOut));
    assert_eq!(
        (cell("builds").state, cell("builds").waiting),
        (CellState::Shown, 1)
    );
    assert!(!cell("builds").done, "shown is not done");
    assert_eq!((row.two_views, row.waiting, row.slipped), (1, 1, 0));
    assert_eq!((view.counts.two_views, view.counts.waiting), (1, 1));
}

#[test]
fn a_slip_since_is_left_again() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    assert_eq!(board(&sample).rows[1].left, 4);
    sample.mark(RENATE, 1, "once", Mark::NotYet, 2);
    let view = board(&sample);
    assert_eq!((view.rows[1].left, view.counts.slipped), (5, 1));
    assert_eq!((view.columns[0].done, view.columns[0].of), (0, 2));
}

#[test]
fn one_who_left_counts_in_no_total() {
    let mut sample = Sample::new();
    sample.mark(RENATE, 1, "once", Mark::Met, 1);
    let considered = sample.now.considered(&student(1));
    sample.add(
        RENATE,
        &[],
        Completion {
            student: student(1),
            outcome: Outcome::Left,
            considered,
        },
    );
    let view = board(&sample);
    assert_eq!(view.rows[1].ended, Some(Outcome::Left));
    assert_eq!((view.counts.done, view.counts.of), (0, 5));
    assert_eq!((view.columns[0].done, view.columns[0].of), (0, 1));
}

#[test]
fn in_a_session_the_board_says_who_is_in_the_water_and_who_should_not_be() {
    let mut sample = Sample::new();
    sample.confirm_rules();
    sample.clear(1, ClearanceKind::Health, ClearanceResult::Cleared);
    sample.pass(
        Who::Student(student(1)),
        1,
        Passage::In,
        "2026-06-02T10:05:00+02:00",
    );
    let eyes = Eyes::new();
    let view = BoardView::of(&sample.now, &eyes.reader(RENATE), of_session(Columns::All));
    let of = |n| {
        view.rows
            .iter()
            .find(|row| row.name.student == student(n))
            .unwrap()
    };
    assert_eq!((of(1).in_water, of(1).water_gaps), (true, 0));
    assert_eq!(
        (of(2).in_water, of(2).water_gaps),
        (false, 2),
        "health, consent"
    );
    assert_eq!(view.session_title.as_deref(), Some("A session in Confined"));
}

#[test]
fn only_what_is_left_or_on_the_run_list_can_be_shown_and_the_counts_stay_whole() {
    let mut sample = Sample::new();
    for n in [1, 2] {
        sample.mark(RENATE, n, "once", Mark::Met, 1);
    }
    let eyes = Eyes::new();
    let left = BoardView::of(&sample.now, &eyes.reader(RENATE), of_session(Columns::Left));
    assert_eq!(left.columns.len(), 5);
    assert_eq!((left.rows[0].done, left.rows[0].of), (1, 5));
    let mut short = crate::standing::sample::plan(
        crate::course::Setting::Confined,
        "2026-06-02T10:00:00+02:00",
    );
    short.run_list = vec![skill_id("ways"), skill_id("once")];
    let after = sample.now.session_entries(&session(1));
    let planned = crate::entry::SessionPlanned {
        session: session(1),
        plan: short,
    };
    sample.add(RENATE, &after, planned);
    let run = BoardView::of(
        &sample.now,
        &eyes.reader(RENATE),
        of_session(Columns::Session),
    );
    let skills: Vec<&str> = run.columns.iter().map(|c| c.skill.as_str()).collect();
    assert_eq!(skills, ["once", "ways"]);
    assert_eq!((run.rows[0].done, run.rows[0].of), (1, 5));
}

#[test]
fn entries_that_count_for_nothing_or_are_newer_are_counted() {
    let mut sample = Sample::new();
    let body = crate::standing::sample::attempt(1, "once", Mark::Met, 1);
    let (id, line) = sample.line(RENATE, &[], body.into());
    sample.take(id, line, Verdict::Unverified(Doubt::Signature));
    let body = crate::standing::sample::attempt(1, "once", Mark::Met, 1);
    let (id, line) = sample.line(RENATE, &[], body.into());
    sample.take(id, line, Verdict::Newer);
    let eyes = Eyes::new();
    let asked = BoardOf {
        irregular: 3,
        ..BoardOf::default()
    };
    let counts = BoardView::of(&sample.now, &eyes.reader(RENATE), asked).counts;
    assert_eq!(
        (counts.unverified, counts.newer, counts.irregular),
        (1, 1, 3)
    );
    assert_eq!(sample.cell(1, "once").state, CellState::Open);
}

#[test]
fn a_reader_who_may_not_mark_is_told_why() {
    let sample = Sample::new();
    let eyes = Eyes::new();
    let office = eyes.reader(crate::standing::sample::OFFICE);
    let view = BoardView::of(&sample.now, &office, BoardOf::default());
    assert_eq!(view.may_mark, Leave::Role);
    let mut nobody = eyes.reader(RENATE);
    nobody.authority = crate::entry::Authority::default();
    let view = BoardView::of(&sample.now, &nobody, BoardOf::default());
    assert_eq!(view.may_mark, Leave::NotAdmitted);
}

#[test]
fn a_mark_redraws_its_row_and_no_other() {
    let mut sample = Sample::new();
    let eyes = Eyes::new();
    let mut view = board(&sample);
    let attempt = crate::standing::sample::attempt(1, "once", Mark::Met, 1);
    let (id, line) = sample.line(RENATE, &[], attempt.into());
    let touched = sample.now.take(id, &line, Verdict::Counts(RENATE));
    let change = view.refresh(
        &sample.now,
        &eyes.reader(RENATE),
        &touched,
        BoardOf::default(),
    );
    assert_eq!(change, BoardChange::Rows([1].into()));
    assert_eq!(view, board(&sample));
    assert_eq!(view.rows[1].done, 1);
}

#[test]
fn a_board_that_stood_over_midnight_is_built_again() {
    let mut sample = Sample::new();
    sample.confirm_rules();
    sample.clear(1, ClearanceKind::Health, ClearanceResult::Cleared);
    let before = Eyes::new().at("2027-06-01T23:59:00+02:00");
    let after = Eyes::new().at("2027-06-02T00:01:00+02:00");
    let mut view = BoardView::of(&sample.now, &before.reader(RENATE), BoardOf::default());
    assert_eq!(view.rows[1].water_gaps, 0);
    let nothing = crate::standing::Touched::default();
    let change = view.refresh(
        &sample.now,
        &after.reader(RENATE),
        &nothing,
        BoardOf::default(),
    );
    assert_eq!(change, BoardChange::Whole);
    assert_eq!(
        view.rows[1].water_gaps, 1,
        "the declaration ended yesterday"
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn a_board_refreshed_entry_by_entry_is_the_board_built_at_once(
        lines in steps().prop_flat_map(|steps| Just(play(&steps)).prop_shuffle()),
        shows in prop_oneof![Just(Columns::All), Just(Columns::Session), Just(Columns::Left), Just(Columns::Waiting)],
    ) {
        let eyes = Eyes::new();
        let reader = eyes.reader(RENATE);
        let mut now = CourseStanding::new(COURSE);
        let mut view = BoardView::of(&now, &reader, of_session(shows));
        for (id, line, verdict) in &lines {
            let touched = now.take(*id, line, *verdict);
            view.refresh(&now, &reader, &touched, of_session(shows));
            prop_assert_eq!(&view, &BoardView::of(&now, &reader, of_session(shows)));
        }
    }
}
