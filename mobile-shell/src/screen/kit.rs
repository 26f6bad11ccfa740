//! Kit: the school's pieces by kind, what has to be seen to, and lists that come in and go out.

use std::cell::Cell;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    Fault, KitListPreview, KitRow, KitRowReason, KitState, KitThere, KitView, Leave, RosterHints,
};

use super::papers;
use crate::shell::{Route, Shell, on, rows};
use crate::ui::{App, AppDoor, CourseWords, KindLine, KitDoor, KitWords, Load, PieceLine, Screen};
use crate::words;

/// The place of what was retired among the kinds.
const RETIRED: i32 = 10;

/// The kind whose pieces are shown.
struct Kept {
    shown: Cell<i32>,
}

impl Default for Kept {
    fn default() -> Self {
        Self {
            shown: Cell::new(-1),
        }
    }
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<KitDoor>();
    on!(shell, door.on_choose(kind) => choose(shell, kind));
    on!(shell, door.on_open(piece) => shell.open(Route::to(Screen::Piece).piece(piece)));
    on!(shell, door.on_add() => shell.open(Route::to(Screen::Piece)));
    on!(shell, door.on_import() => import(shell));
    on!(shell, door.on_write() => written(shell, papers::kit_table(shell)));
    on!(shell, door.on_print() => print(shell));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<KitDoor>();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Kit), "");
    let view = shell.see(shell.desk().kit(), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    let says = ui.global::<KitWords>();
    door.set_summary(says.invoke_summary(
        words::count(view.out),
        words::count(view.overdue),
        words::count(view.faulty),
    ));
    door.set_elsewhere(words::count(view.elsewhere));
    door.set_may(view.may_set == Leave::Yes);
    let care = view.rows.iter().filter(|row| row.care);
    door.set_care(rows(care.map(|row| line(&ui, row))));
    door.set_kinds(rows(kinds(&ui, &view)));
    let shown = shell.kept::<Kept>().shown.get();
    let open = view.rows.iter().filter(|row| place(row) == shown);
    door.set_pieces(rows(open.map(|row| line(&ui, row))));
    door.set_shown(shown);
    door.set_load(Load::Ready);
}

/// Under which kind a piece stands in the list.
fn place(row: &KitRow) -> i32 {
    if row.state == KitState::Retired {
        RETIRED
    } else {
        words::kit_kind(&row.details.kind)
    }
}

fn line(ui: &App, row: &KitRow) -> PieceLine {
    PieceLine {
        id: row.piece.to_string().into(),
        title: words::kit_row_name(ui, row),
        says: words::kit_says(ui, row),
        stands: words::kit_stands(&row.state),
        loud: row.care,
    }
}

/// The kinds that there are pieces of, in the order of the view.
fn kinds(ui: &App, view: &KitView) -> Vec<KindLine> {
    let says = ui.global::<KitWords>();
    let all = view.kinds.iter().map(|row| KindLine {
        kind: row.kind.as_ref().map_or(RETIRED, words::kit_kind),
        title: match &row.kind {
            None => says.invoke_stands(4),
            Some(kind) => says.invoke_kind(words::kit_kind(kind)),
        },
        says: says.invoke_pieces(words::count(row.pieces)),
        loud: row.care,
    });
    all.collect()
}

/// Opens a kind; the one that is open, closes.
fn choose(shell: &Rc<Shell>, kind: i32) {
    let kept = shell.kept::<Kept>();
    let same = kept.shown.get() == kind;
    kept.shown.set(if same { -1 } else { kind });
    shell.show_again();
}

/// Takes in a list that a person chooses, over what is there as the page says now.
fn import(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let title = ui.global::<KitWords>().invoke_choose_list();
    let there = if ui.global::<KitDoor>().get_renew() {
        KitThere::Renew
    } else {
        KitThere::LeaveOut
    };
    shell.choose_file(&title, &["csv", "txt", "tsv"], move |shell, file| {
        let Some(ui) = shell.ui() else { return };
        let door = ui.global::<KitDoor>();
        door.set_done("".into());
        door.set_refused(rows([]));
        // What was printed before is not the kit any more.
        papers::leave(&ui);
        match file {
            Ok(file) => take(shell, file.bytes, there),
            Err(says) => door.set_refused(rows([says])),
        }
    });
}

/// Takes the list in: every row, or nothing while one is bad.
fn take(shell: &Rc<Shell>, bytes: Vec<u8>, there: KitThere) {
    let Some(ui) = shell.ui() else { return };
    let (door, says) = (ui.global::<KitDoor>(), ui.global::<KitWords>());
    let (desk, hints) = (shell.desk(), RosterHints::default());
    let seen = desk.look_at_kit_list(bytes.clone(), hints.clone());
    let taken = seen.and_then(|seen| {
        let bad = bad_rows(&ui, &seen);
        if bad.is_empty() {
            desk.take_kit_list(bytes, hints, there).map(Some)
        } else {
            door.set_refused(rows(bad));
            Ok(None)
        }
    });
    match taken {
        Ok(Some(taken)) => {
            shell.take_news();
            door.set_done(says.invoke_taken(
                words::count(taken.added),
                words::count(taken.renewed),
                words::count(taken.left_out.len()),
            ));
            shell.show_again();
        }
        Ok(None) => {}
        Err(fault @ Fault::DeviceFull) => shell.fault(&fault),
        Err(fault) => door.set_refused(rows([words::fault(&ui, &fault)])),
    }
}

/// What is wrong with each bad row, with its line.
fn bad_rows(ui: &App, seen: &KitListPreview) -> Vec<SharedString> {
    let says = ui.global::<KitWords>();
    let bad = seen.faults.iter().map(|fault| {
        let why = says.invoke_bad_row(match fault.reason {
            KitRowReason::NoKind => 0,
            KitRowReason::UnknownKind => 1,
            KitRowReason::NoNumber => 2,
            KitRowReason::TooLong { .. } => 3,
            KitRowReason::Fields { .. } => 4,
            KitRowReason::NoDate | KitRowReason::TwoDates | KitRowReason::OtherCentury => 5,
            KitRowReason::TwiceInFile { .. } => 6,
            KitRowReason::Undecodable | KitRowReason::Quotes => 7,
        });
        let line = words::count(fault.line);
        ui.global::<CourseWords>().invoke_bad_row(line, why)
    });
    bad.collect()
}

fn print(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let title = ui.global::<KitWords>().invoke_kit_list();
    written(shell, papers::kit_list(shell, &title));
}

/// Says where a file was written.
fn written(shell: &Rc<Shell>, done: Result<std::path::PathBuf, Fault>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<KitDoor>();
    door.set_done("".into());
    door.set_refused(rows([]));
    match done {
        Ok(path) => {
            let said = path.display().to_string();
            door.set_done(ui.global::<CourseWords>().invoke_written(said.into()));
        }
        Err(fault) => door.set_refused(rows([words::fault(&ui, &fault)])),
    }
}
