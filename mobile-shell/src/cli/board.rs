//! `tallywater board`: students by skills, as text. Every cell is a letter, so that it reads
//! without colour.

use serde_json::{Value, json};
use tallywater_bindings::{BoardRow, CellState, CellView, Columns, Fault, Mark, Tallywater};

use super::catalogue::tr;
use super::find;
use super::turn::Turn;
use super::words;

/// Says the board of a course.
pub(super) fn show(desk: &Tallywater, course: Option<&str>, turn: &Turn) -> Result<(), Fault> {
    let course = find::course(desk, course)?.course.to_string();
    let board = desk.board(course, None, Columns::All)?;
    let skills: Vec<_> = board.columns.iter().map(|one| &one.skill).collect();
    let rows = board.rows.iter().map(|row| {
        let cells: Vec<Value> = row.cells.iter().map(words::cell).collect();
        json!({
            "student": words::student(&row.name), "done": row.done, "left": row.left,
            "in_water": row.in_water, "missing_before_water": row.water_gaps, "cells": cells,
        })
    });
    let value = json!({
        "course": board.course, "title": board.title, "done": board.counts.done,
        "of": board.counts.of, "skills": skills, "rows": rows.collect::<Vec<_>>(),
    });
    let ids = || {
        board
            .rows
            .iter()
            .map(|row| row.name.student.to_string())
            .collect()
    };
    turn.answer("board", &value, ids, || {
        let mut lines = vec![tr!(
            "{title}: {done} of {of} done",
            title = board.title,
            done = board.counts.done,
            of = board.counts.of
        )];
        lines.extend(board.rows.iter().map(line));
        lines.push(tr!(
            "  m met  s shown, waits for an instructor  - met in part  ~ nearly  x not yet"
        ));
        lines.push(tr!(
            "  ! not held since  ? marks differ  o sat out  e exempt  . open"
        ));
        lines
    });
    Ok(())
}

fn line(row: &BoardRow) -> String {
    let cells: String = row.cells.iter().map(letter).collect();
    let left = tr!("{count} left", count = row.left);
    format!("  {:<14} {cells}  {left}", row.name.short)
}

const fn letter(cell: &CellView) -> char {
    match (&cell.state, &cell.last) {
        (CellState::TwoViews, _) => '?',
        (CellState::Exempt, _) => 'e',
        (_, _) if cell.slipped_since => '!',
        (CellState::Met, _) => 'm',
        (CellState::Shown, _) => 's',
        (CellState::Open | CellState::Trying, _) if cell.sat_out => 'o',
        (CellState::Trying, Some(Mark::Nearly)) => '~',
        (CellState::Trying, Some(Mark::NotYet)) => 'x',
        (CellState::Trying, _) => '-',
        (CellState::Open, _) => '.',
    }
}
