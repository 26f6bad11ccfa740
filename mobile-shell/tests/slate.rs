//! The slate test: how many taps a mark, a line-up and an undo take, and what is no tap.

use slint::{ComponentHandle, LogicalPosition, Model as _};
use tallywater::ui::Screen;
use tallywater_bindings::{Columns, Mark};

use crate::support::{Stage, middle, roomy, seen, settle};

/// How many marks the course has, as the border counts its entries.
fn marks(stage: &Stage) -> u32 {
    let course = stage.hand(Screen::Board).course.unwrap();
    let kinds = vec![tallywater_bindings::Kind::Attempt];
    seen(stage.desk().activity(course, None, None, kinds, 1)).of
}

/// The row and column of a cell that nobody has tried: one tap there is one try.
fn untried(stage: &Stage) -> (usize, usize) {
    let route = stage.hand(Screen::Board);
    let board = seen(
        stage
            .desk()
            .board(route.course.unwrap(), route.session, Columns::Session),
    );
    let columns = 0..board.columns.len();
    let mut places = columns.flat_map(|column| (1..board.rows.len()).map(move |row| (row, column)));
    let untried = |(row, column): &(usize, usize)| board.rows[*row].cells[*column].tries == 0;
    places.find(untried).unwrap()
}

/// A cell of the board that is to be seen, with its label.
fn first_cell(stage: &Stage) -> (LogicalPosition, String) {
    let route = stage.hand(Screen::Board);
    let board = seen(
        stage
            .desk()
            .board(route.course.unwrap(), route.session, Columns::Session),
    );
    let (row, column) = untried(stage);
    let (row, column) = (&board.rows[row], &board.columns[column]);
    let begins = format!("{}, {}: ", row.name.short, column.name);
    let cell = stage.find(|label| label.starts_with(&begins)).unwrap();
    (middle(&cell), begins)
}

#[test]
fn a_mark_from_the_board_is_two_taps_and_undo_is_one() {
    roomy(|| {
        for (width, height) in tallywater::picture::SIZES {
            let stage = Stage::demo(width, height);
            stage.open(stage.hand(Screen::Board));
            let before = marks(&stage);
            let (cell, _) = first_cell(&stage);
            stage.touch(cell, 80);
            let mark = stage.mark_button("Not yet").unwrap();
            stage.touch(middle(&mark), 80);
            assert_eq!(marks(&stage), before + 1, "{width} x {height}");
            stage.tap("Undo");
            let course = stage.hand(Screen::Board).course.unwrap();
            let kinds = vec![tallywater_bindings::Kind::Attempt];
            let last = seen(stage.desk().activity(course, None, None, kinds, 1));
            assert!(last.rows[0].withdrawn.is_some(), "{width} x {height}");
        }
    });
}

#[test]
fn undo_and_redo_change_what_it_means_and_forget_nothing() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.open(stage.hand(Screen::Board));
        let route = stage.hand(Screen::Board);
        let (row, column) = untried(&stage);
        let cell_now = || {
            let board = seen(stage.desk().board(
                route.course.clone().unwrap(),
                route.session.clone(),
                Columns::Session,
            ));
            board.rows[row].cells[column].clone()
        };
        let before = cell_now();
        let (cell, begins) = first_cell(&stage);
        stage.touch(cell, 80);
        let mark = stage.mark_button("Not yet").unwrap();
        stage.touch(middle(&mark), 80);
        let marked = cell_now();
        assert_eq!(marked.tries, before.tries + 1);
        let drawn = |stage: &Stage| stage.find(|label| label.starts_with(&begins)).unwrap();
        let label = drawn(&stage).accessible_label();
        stage.tap("Undo");
        assert_eq!(cell_now(), before);
        stage.tap("Redo");
        assert_eq!(cell_now(), marked);
        assert_eq!(drawn(&stage).accessible_label(), label);
    });
}

#[test]
fn a_line_up_is_one_tap_a_student() {
    roomy(|| {
        let stage = Stage::demo(800, 1280);
        let route = stage.hand(Screen::Board);
        let board = seen(stage.desk().board(
            route.course.clone().unwrap(),
            route.session.clone(),
            Columns::Session,
        ));
        let skill = board.columns[0].skill.to_string();
        stage.open(route.here(Screen::LineUp).skill(skill.clone()));
        let before = marks(&stage);
        let line = seen(stage.desk().line_up(
            route.course.clone().unwrap(),
            route.session.clone(),
            skill,
        ));
        let mut taps: u32 = 0;
        let fresh = line.rows.iter().filter(|row| row.today.is_none());
        for row in fresh.take(3) {
            let label = format!("{}: Met", row.name.short);
            stage.tap(&label);
            taps += 1;
        }
        assert_eq!(marks(&stage), before + taps);
    });
}

#[test]
fn a_scroll_never_marks() {
    roomy(|| {
        let stage = Stage::demo(800, 1280);
        let route = stage.hand(Screen::Board);
        let board = seen(stage.desk().board(
            route.course.clone().unwrap(),
            route.session.clone(),
            Columns::Session,
        ));
        stage.open(
            route
                .here(Screen::LineUp)
                .skill(board.columns[0].skill.to_string()),
        );
        let before = marks(&stage);
        let met = stage.find(|label| label.ends_with(": Met")).unwrap();
        let from = middle(&met);
        stage.draw(from, LogicalPosition::new(from.x, from.y - 300.0));
        stage.draw(from, LogicalPosition::new(from.x + 40.0, from.y));
        assert_eq!(marks(&stage), before);
        stage.open(stage.hand(Screen::Board));
        let (cell, _) = first_cell(&stage);
        stage.draw(cell, LogicalPosition::new(cell.x - 200.0, cell.y + 30.0));
        assert!(stage.mark_button("Not yet").is_none());
    });
}

#[test]
fn a_drop_of_water_never_marks() {
    roomy(|| {
        let stage = Stage::demo(800, 1280);
        let route = stage.hand(Screen::Board);
        let board = seen(stage.desk().board(
            route.course.clone().unwrap(),
            route.session.clone(),
            Columns::Session,
        ));
        stage.open(
            route
                .here(Screen::LineUp)
                .skill(board.columns[0].skill.to_string()),
        );
        let before = marks(&stage);
        let skill = board.columns[0].skill.to_string();
        let course = route.course.clone().unwrap();
        let line = seen(stage.desk().line_up(course, route.session.clone(), skill));
        let fresh = line.rows.iter().find(|row| row.today.is_none()).unwrap();
        let met = stage.button(&format!("{}: Met", fresh.name.short));
        stage.touch(middle(&met), 24);
        assert_eq!(marks(&stage), before, "a touch of 24 ms");
        // The same place, held as a finger is, marks: the test touches what it means to.
        stage.touch(middle(&met), 80);
        assert_eq!(marks(&stage), before + 1, "a touch of 80 ms");
    });
}

#[test]
fn a_mark_is_seen_at_the_border_as_it_was_tapped() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        stage.open(stage.hand(Screen::Board));
        let (row, column) = untried(&stage);
        let (cell, _) = first_cell(&stage);
        stage.touch(cell, 80);
        stage.tap("Close");
        assert!(stage.mark_button("Nearly").is_none());
        let (cell, _) = first_cell(&stage);
        stage.touch(cell, 80);
        let mark = stage.mark_button("Nearly").unwrap();
        stage.touch(middle(&mark), 80);
        let route = stage.hand(Screen::Board);
        let board = seen(stage.desk().board(
            route.course.unwrap(),
            route.session,
            Columns::Session,
        ));
        assert_eq!(board.rows[row].cells[column].last, Some(Mark::Nearly));
    });
}

/// Repeaters inside a `GridLayout` panic in slint 1.18 when they get longer; the sheet's
/// chips stand in rows for that reason.
#[test]
fn the_open_sheet_turns_to_skills_with_more_and_fewer_chips() {
    roomy(|| {
        let stage = Stage::demo(1280, 800);
        let route = stage.hand(Screen::Board);
        let course = route.course.clone().unwrap();
        let board = seen(stage.desk().board(course.clone(), None, Columns::All));
        stage.open(stage.hand(Screen::Board));
        let door = stage.app.global::<tallywater::ui::BoardDoor>();
        let student = &board.rows[1].name.student;
        let mut counts = std::collections::BTreeSet::new();
        for column in &board.columns {
            let sheet = stage.desk().attempt_sheet(
                course.clone(),
                student.to_string(),
                column.skill.to_string(),
                route.session.clone(),
            );
            let sheet = seen(sheet);
            counts.insert((sheet.skill.slips.len(), sheet.skill.methods.len()));
            door.invoke_open(
                student.to_string().into(),
                column.skill.to_string().into(),
                1,
                0,
            );
            settle();
            let _ = stage.picture();
            let offered = stage
                .app
                .global::<tallywater::ui::AttemptDoor>()
                .get_slips();
            assert_eq!(
                offered.row_count(),
                sheet.skill.slips.len(),
                "{}",
                column.name
            );
        }
        assert!(counts.len() > 3, "the outline has skills of one shape only");
    });
}
