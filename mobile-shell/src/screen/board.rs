//! Board: students by skills, drawn once and then by row.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use slint::{ComponentHandle, Model as _, ModelRc, VecModel};
use tallywater_bindings::{
    self as border, Again, Board, BoardUpdate, Change, Columns, Leave, MarkTap, OnScreen, Origin,
    Request, Tap, share_of,
};

use crate::shell::{Route, Shell, fill, on};
use crate::ui::{
    App, AppDoor, BoardCell, BoardDoor, BoardRow, BoardView, Calls, Load, Mark, Screen, SkillHead,
    TeamWords, Words,
};
use crate::{screen, words};

#[derive(Default)]
struct Kept {
    drawn: RefCell<Option<Drawn>>,
    /// Which skills were asked for; none while nobody chose.
    asked: RefCell<Option<Columns>>,
    skills: Rc<VecModel<SkillHead>>,
    rows: Rc<VecModel<BoardRow>>,
    /// The cells of each row, in the order of the rows.
    cells: RefCell<Vec<Rc<VecModel<BoardCell>>>>,
    /// What is on screen of each student and skill.
    on: RefCell<BTreeMap<(String, String), Arc<OnScreen>>>,
}

/// The board that is on screen, and of what it is one.
struct Drawn {
    of: (String, Option<String>),
    board: Arc<Board>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<BoardDoor>();
    on!(shell, door.on_open(student, skill, row, column) => {
        open(shell, &student, &skill, (row, column));
    });
    on!(shell, door.on_open_student(student) => {
        shell.open(shell.route().here(Screen::Student).student(student));
    });
    on!(shell, door.on_open_skill(skill) => {
        shell.open(shell.route().here(Screen::LineUp).skill(skill));
    });
    on!(shell, door.on_sweep(skill) => screen::sweep::ask(shell, &skill));
    on!(shell, door.on_choose_show(show) => choose_show(shell, show));
    on!(shell, door.on_mark(student, skill, mark) => by_key(shell, &student, &skill, mark));
    on!(shell, door.on_now() => screen::plan::now(shell));
    on!(shell, door.on_undo() => shell.undo());
    on!(shell, door.on_again() => again(shell));
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<BoardDoor>();
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    let Some(course) = route.course else {
        shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Board), "");
        door.set_load(Load::Empty);
        return;
    };
    let usual = if route.session.is_some() {
        Columns::Session
    } else {
        Columns::All
    };
    let shows = (*kept.asked.borrow()).unwrap_or(usual);
    let of = (course.clone(), route.session.clone());
    let board = shell.see(
        shell.desk().keep_board(course, route.session, shows),
        |fault| {
            door.set_fault(fault);
            door.set_load(Load::Failed);
        },
    );
    let Some(board) = board else { return };
    let view = board.view();
    kept.drawn.replace(Some(Drawn { of, board }));
    whole(shell, &view);
    if !ui.global::<AppDoor>().get_sheet_open() {
        choose(shell, None);
    }
}

/// Draws what a change touched: its rows, and the sheet if one is open.
pub(crate) fn refresh(shell: &Rc<Shell>, change: &Change) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    let update = {
        let drawn = kept.drawn.borrow();
        let same = drawn.as_ref().filter(|drawn| {
            Some(&drawn.of.0) == route.course.as_ref() && drawn.of.1 == route.session
        });
        same.map(|drawn| drawn.board.take(change.clone()))
    };
    match update {
        Some(Ok(BoardUpdate::Nothing)) => return,
        Some(Ok(BoardUpdate::Rows {
            rows,
            columns,
            counts,
        })) => {
            fill(&kept.skills, columns.iter().map(head).collect());
            for placed in &rows {
                if let Ok(place) = usize::try_from(placed.place) {
                    draw_row(&ui, &kept, place, &placed.row);
                }
            }
            totals(shell, &counts);
        }
        Some(Ok(BoardUpdate::Whole { board })) => whole(shell, &board),
        Some(Err(_)) | None => show(shell),
    }
    if let Some(ui) = shell
        .ui()
        .filter(|ui| ui.global::<AppDoor>().get_sheet_open())
    {
        screen::attempt::show(shell);
        choose(shell, find(&ui, &kept, &route));
    }
}

fn whole(shell: &Rc<Shell>, view: &border::BoardView) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<BoardDoor>();
    let kept = shell.kept::<Kept>();
    fill(&kept.skills, view.columns.iter().map(head).collect());
    kept.on.borrow_mut().clear();
    for (place, row) in view.rows.iter().enumerate() {
        draw_row(&ui, &kept, place, row);
    }
    kept.cells.borrow_mut().truncate(view.rows.len());
    while kept.rows.row_count() > view.rows.len() {
        kept.rows.remove(kept.rows.row_count().saturating_sub(1));
    }
    door.set_skills(ModelRc::from(Rc::clone(&kept.skills)));
    door.set_rows(ModelRc::from(Rc::clone(&kept.rows)));
    door.set_show(match view.shows {
        Columns::All => 0,
        Columns::Session => 1,
        Columns::Left => 2,
        Columns::Waiting => 3,
    });
    door.set_view(BoardView {
        title: view.title.clone().into(),
        session: view.session_title.clone().unwrap_or_default().into(),
        may_mark: view.may_mark == Leave::Yes,
        ..door.get_view()
    });
    let session = shell.session_says(&view.course, view.session.as_deref());
    door.set_view(BoardView {
        session: session.into(),
        ..door.get_view()
    });
    totals(shell, &view.counts);
    let nobody = view.rows.is_empty() || (view.columns.is_empty() && view.shows == Columns::All);
    door.set_load(if nobody { Load::Empty } else { Load::Ready });
}

fn totals(shell: &Shell, counts: &border::BoardCounts) {
    let Some(ui) = shell.ui() else { return };
    let share = share_of(counts.done, counts.of);
    let door = ui.global::<BoardDoor>();
    door.set_view(BoardView {
        met: words::count(counts.done),
        of: words::count(counts.of),
        share,
        ..door.get_view()
    });
    ui.global::<AppDoor>().set_share(share);
    // What is here and does not count is said where the counting is seen.
    let says = |kind: Calls, n: u32| {
        (n > 0).then(|| ui.global::<Words>().invoke_calls(kind, words::count(n)))
    };
    let view = door.get_view();
    let under: Vec<String> = [
        Some(view.session).filter(|session| !session.is_empty()),
        says(Calls::Unverified, counts.unverified),
        says(Calls::NewerEntries, counts.newer),
    ]
    .into_iter()
    .flatten()
    .map(String::from)
    .collect();
    shell.title(view.title, under.join(" · "));
}

fn draw_row(ui: &App, kept: &Kept, place: usize, row: &border::BoardRow) {
    let cells = {
        let mut all = kept.cells.borrow_mut();
        while all.len() <= place {
            all.push(Rc::default());
        }
        all.get(place).cloned().unwrap_or_default()
    };
    for cell in &row.cells {
        let key = (cell.student.clone(), cell.skill.clone());
        kept.on.borrow_mut().insert(key, Arc::clone(&cell.on));
    }
    let looks = row.cells.iter().map(|cell| BoardCell {
        look: words::look(cell),
        part: words::part(cell),
    });
    fill(&cells, looks.collect());
    let drawn = BoardRow {
        id: row.name.student.to_string().into(),
        called: row.name.short.clone().into(),
        name: row.name.name.clone().into(),
        initials: slint::SharedString::new(),
        met: words::count(row.done),
        of: words::count(row.of),
        share: share_of(row.done, row.of),
        gaps: words::count(row.water_gaps),
        in_water: row.in_water,
        ended: row.ended.is_some(),
        team: team(ui, &row.team),
        cells: ModelRc::from(cells),
    };
    match kept.rows.row_data(place) {
        Some(there) if there == drawn => {}
        Some(_) => kept.rows.set_row_data(place, drawn),
        None => kept.rows.push(drawn),
    }
}

/// The pair and who watches, in a line's width: what was kept, and nothing else.
fn team(ui: &App, of: &border::TeamOf) -> slint::SharedString {
    let pair = of.pair.map(|n| {
        let says = ui.global::<TeamWords>();
        String::from(says.invoke_pair(words::count(n)))
    });
    let watcher = of.watched_by.as_ref().map(|staff| staff.name.clone());
    let said: Vec<String> = pair.into_iter().chain(watcher).collect();
    said.join(" · ").into()
}

fn head(column: &border::BoardColumn) -> SkillHead {
    SkillHead {
        id: column.skill.to_string().into(),
        number: slint::format!("{}", column.number),
        name: border::breakable(column.name.clone()).into(),
        family: words::family(&column.family),
        first: column.first_of_family,
        measuring: words::measuring(column.measure.as_ref()),
        hazard: column.hazard,
        optional: !column.required,
        met: words::count(column.done),
        of: words::count(column.of),
        in_run: true,
    }
}

/// Opens a cell in the sheet.
fn open(shell: &Rc<Shell>, student: &str, skill: &str, cell: (i32, i32)) {
    let Some(ui) = shell.ui() else { return };
    shell.aim(Some(student), Some(skill));
    choose(shell, Some(cell));
    screen::attempt::show(shell);
    ui.global::<AppDoor>().set_sheet_open(true);
}

/// Closes the sheet.
pub(crate) fn close_sheet(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    ui.global::<AppDoor>().set_sheet_open(false);
    shell.aim(None, None);
    choose(shell, None);
}

/// Follows the sheet to another student: their cell is the chosen one now.
pub(crate) fn follow(shell: &Rc<Shell>) {
    if let Some(ui) = shell.ui() {
        choose(shell, find(&ui, &shell.kept::<Kept>(), &shell.route()));
    }
}

fn choose(shell: &Shell, cell: Option<(i32, i32)>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<BoardDoor>();
    let (row, column) = cell.unwrap_or((-1, -1));
    door.set_chosen_row(row);
    door.set_chosen_column(column);
}

fn find(ui: &App, kept: &Kept, route: &Route) -> Option<(i32, i32)> {
    let (student, skill) = (route.student.as_deref()?, route.skill.as_deref()?);
    let door = ui.global::<BoardDoor>();
    let row = kept.rows.iter().position(|row| row.id == student)?;
    let column = door.get_skills().iter().position(|one| one.id == skill)?;
    Some((words::count(row), words::count(column)))
}

fn choose_show(shell: &Rc<Shell>, show: i32) {
    let in_session = shell.route().session.is_some();
    let shows = match show {
        1 if in_session => Columns::Session,
        1 | 2 => Columns::Left,
        3 => Columns::Waiting,
        _ => Columns::All,
    };
    shell.kept::<Kept>().asked.replace(Some(shows));
    shell.show_again();
}

/// A mark by the keyboard, on the cell that the cursor stands on.
fn by_key(shell: &Rc<Shell>, student: &str, skill: &str, mark: Mark) {
    let kept = shell.kept::<Kept>();
    let key = (student.to_owned(), skill.to_owned());
    let Some(on) = kept.on.borrow().get(&key).cloned() else {
        return;
    };
    // Marks that differ are settled where both stand side by side.
    if on.tap() == Tap::Resolution && mark != Mark::SatOut {
        let route = Route {
            student: Some(key.0),
            skill: Some(key.1),
            ..shell.route()
        };
        let cell = shell.ui().and_then(|ui| find(&ui, &kept, &route));
        return open(shell, student, skill, cell.unwrap_or((-1, -1)));
    }
    let tap = MarkTap {
        on,
        mark: words::mark_back(mark),
        method: None,
        measured: Vec::new(),
        slips: Vec::new(),
        note: None,
        despite: None,
        session: shell.route().session,
        origin: Origin::Live,
        again: Again::Unsaid,
    };
    let row = kept.rows.iter().find(|row| row.id == student);
    let who = row.map(|row| row.called.to_string()).unwrap_or_default();
    let again = tap.clone();
    shell.record_or(Request::Mark { tap }, |fault| {
        screen::attempt::ask_which(shell, fault, &who, again)
    });
}

fn again(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    if ui.global::<BoardDoor>().get_load() == Load::Empty {
        shell.open(shell.route().here(Screen::Enrol));
    } else {
        shell.show_again();
    }
}
