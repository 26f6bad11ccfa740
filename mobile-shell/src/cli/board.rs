//! `tallywater board`: students by skills, as text. Every cell is a letter, so that it reads
//! without colour.

use tallywater_bindings::{CellState, CellView, Columns, Fault, Mark, Tallywater};

/// Prints the board of a course: by id, by the beginning of its title, or the first.
pub(super) fn show(desk: &Tallywater, course: Option<&str>) -> Result<(), Fault> {
    let courses = desk.today()?.courses;
    let asked = course.unwrap_or_default();
    let found = courses
        .iter()
        .find(|one| one.course == asked || one.title.starts_with(asked));
    let Some(found) = found else {
        return Err(Fault::NotFound {
            what: "course".into(),
            id: asked.into(),
        });
    };
    let board = desk.board(found.course.clone(), None, Columns::All)?;
    println!(
        "{}: {} of {} done",
        board.title, board.counts.done, board.counts.of
    );
    for row in &board.rows {
        let cells: String = row.cells.iter().map(letter).collect();
        println!("  {:<14} {cells}  {} left", row.name.short, row.left);
    }
    println!("  m met  s shown, waits for an instructor  - met in part  ~ nearly  x not yet");
    println!("  ! slipped since  ? two views  o sat out  e exempt  . open");
    Ok(())
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
