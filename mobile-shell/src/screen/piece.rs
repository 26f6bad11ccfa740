//! Piece: one piece of kit, described, found faulty, mended, taken back, taken out of use.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{Day, Fault, KitFaultRow, KitOutRow, KitPiece, KitRow, Leave, Request};

use crate::shell::{Route, Shell, on, rows};
use crate::ui::{App, AppDoor, FaultLine, HasLine, KitWords, Load, PieceDoor, Screen, Words};
use crate::words;

#[derive(Default)]
struct Kept {
    /// The piece whose form is filled, if it has one yet; `None` before the first was.
    of: RefCell<Option<Option<String>>>,
    row: RefCell<Option<KitRow>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PieceDoor>();
    on!(shell, door.on_keep() => keep(shell));
    on!(shell, door.on_report() => report(shell));
    on!(shell, door.on_mend() => mend(shell));
    on!(shell, door.on_retire() => retire(shell));
    on!(shell, door.on_take_back(issue) => take_back(shell, &issue));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PieceDoor>();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Piece), "");
    let view = shell.see(shell.desk().kit(), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    let piece = shell.route().piece;
    let mut all = view.rows.into_iter();
    let row = piece
        .as_ref()
        .and_then(|piece| all.find(|row| row.piece == *piece));
    if piece.is_some() && row.is_none() {
        door.set_fault("".into());
        door.set_load(Load::Empty);
        return;
    }
    door.set_may_set(view.may_set == Leave::Yes);
    door.set_may_report(view.may_report == Leave::Yes);
    door.set_may_mend(view.may_mend == Leave::Yes);
    draw(&ui, row.as_ref());
    let kept = shell.kept::<Kept>();
    // What is being typed is not lost because something arrived meanwhile.
    let other = kept.of.borrow().as_ref() != Some(&piece);
    if other {
        fill(&ui, row.as_ref());
        kept.of.replace(Some(piece));
    }
    kept.row.replace(row);
    door.set_load(Load::Ready);
}

/// How it stands; what is typed stays.
fn draw(ui: &App, row: Option<&KitRow>) {
    let door = ui.global::<PieceDoor>();
    let says = ui.global::<KitWords>();
    door.set_piece(
        row.map(|row| row.piece.to_string())
            .unwrap_or_default()
            .into(),
    );
    let Some(row) = row else {
        return door.set_stands(0);
    };
    door.set_title(words::kit_row_name(ui, row));
    door.set_stands(words::kit_stands(&row.state));
    let wrong = row.wrong.iter();
    door.set_wrong(rows(wrong.map(|one| words::kit_wrong_said(ui, one))));
    door.set_has(rows(row.out.iter().map(|out| has(ui, out))));
    door.set_faults(rows(row.faults.iter().map(|fault| fault_line(ui, fault))));
    door.set_doubled(!row.same_number.is_empty());
    let retired = row.retired.as_ref().map(|it| {
        let day = ui.global::<Words>().invoke_date(words::day(&it.on));
        says.invoke_retired(it.why.clone().into(), day, it.by.name.clone().into())
    });
    door.set_retired(retired.unwrap_or_default());
}

fn has(ui: &App, out: &KitOutRow) -> HasLine {
    let says = ui.global::<KitWords>();
    let when = ui
        .global::<Words>()
        .invoke_moment_within(words::moment(&out.since));
    let since = says.invoke_since(when, out.by.name.clone().into());
    let mut said = vec![since.to_string()];
    said.extend(out.session_title.clone());
    let despite = out.despite.clone().map(SharedString::from);
    said.extend(despite.map(|why| says.invoke_despite(why).to_string()));
    HasLine {
        entry: out.entry.to_string().into(),
        who: words::who(&out.who).into(),
        says: said.join(" · ").into(),
        wrong: words::kit_wrongs(ui, &out.wrong),
        may: out.may_return == Leave::Yes,
    }
}

fn fault_line(ui: &App, fault: &KitFaultRow) -> FaultLine {
    let (says, dates) = (ui.global::<KitWords>(), ui.global::<Words>());
    let when = |at| dates.invoke_moment(words::moment(at));
    let mended = fault.mended.as_ref().map(|it| {
        let by = it.by.name.clone().into();
        says.invoke_mended(it.how.clone().into(), when(&it.when), by)
    });
    FaultLine {
        entry: fault.entry.to_string().into(),
        what: fault.what.clone().into(),
        says: says.invoke_found(when(&fault.when), fault.by.name.clone().into()),
        mended: mended.unwrap_or_default(),
    }
}

/// Fills the form, or empties it for a new piece of the same kind as the last.
fn fill(ui: &App, row: Option<&KitRow>) {
    let door = ui.global::<PieceDoor>();
    let details = row.map(|row| &row.details);
    let text = |of: fn(&KitPiece) -> &String| {
        SharedString::from(details.map(|one| of(one).clone()).unwrap_or_default())
    };
    door.set_number(text(|piece| &piece.number));
    door.set_size(text(|piece| &piece.size));
    door.set_serial(text(|piece| &piece.serial));
    door.set_note(text(|piece| &piece.note));
    if let Some(details) = details {
        door.set_kind(words::kit_kind(&details.kind));
    }
    door.set_serviced(typed_day(row.and_then(|row| row.serviced.as_ref())));
    door.set_service_due(typed_day(row.and_then(|row| row.service_due.as_ref())));
    door.set_test_due(typed_day(row.and_then(|row| row.test_due.as_ref())));
    door.set_what("".into());
    door.set_mending("".into());
    door.set_how("".into());
    door.set_why("".into());
    door.set_refused("".into());
    door.set_done("".into());
}

/// A day as it is typed.
fn typed_day(day: Option<&Day>) -> SharedString {
    day.map(|day| slint::format!("{:02} {:02} {}", day.day, day.month, day.year))
        .unwrap_or_default()
}

/// What was typed of it, its days read.
fn typed(shell: &Rc<Shell>, door: &PieceDoor<'_>) -> Result<KitPiece, Fault> {
    let text = |text: SharedString| text.trim().to_owned();
    let day = |typed: SharedString, field: &str| {
        let typed = typed.trim().to_owned();
        if typed.is_empty() {
            return Ok(None);
        }
        let read = shell.desk().read_day(typed);
        read.map(|day| Some(day.date.to_string()))
            .map_err(|fault| fault.of(field))
    };
    let kind = usize::try_from(door.get_kind()).ok();
    let kind = kind.and_then(|place| words::KIT.get(place)).cloned();
    Ok(KitPiece {
        kind: kind.ok_or_else(|| Fault::rule("not_a_choice"))?,
        number: text(door.get_number()),
        size: text(door.get_size()),
        serial: text(door.get_serial()),
        serviced: day(door.get_serviced(), "serviced")?,
        service_due: day(door.get_service_due(), "service due")?,
        test_due: day(door.get_test_due(), "test due")?,
        note: text(door.get_note()),
    })
}

/// Records what was asked for; what was refused is said on this screen.
fn record(shell: &Rc<Shell>, request: Request) -> Option<Option<String>> {
    let ui = shell.ui()?;
    let door = ui.global::<PieceDoor>();
    door.set_refused("".into());
    door.set_done("".into());
    match shell.desk().record(request) {
        Ok(receipt) => {
            let made = receipt.made.clone();
            shell.recorded(receipt);
            Some(made)
        }
        Err(fault @ Fault::DeviceFull) => {
            shell.fault(&fault);
            None
        }
        Err(fault) => {
            door.set_refused(words::fault(&ui, &fault));
            None
        }
    }
}

fn keep(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PieceDoor>();
    let details = match typed(shell, &door) {
        Ok(details) => details,
        Err(fault) => return door.set_refused(words::fault(&ui, &fault)),
    };
    let piece = shell.route().piece;
    let request = Request::SetKit {
        piece: piece.clone(),
        details,
    };
    let Some(made) = record(shell, request) else {
        return;
    };
    // The form is filled anew, with what was kept.
    shell.kept::<Kept>().of.take();
    match piece.or(made) {
        Some(piece) => shell.replace(Route::to(Screen::Piece).piece(piece)),
        None => shell.show_again(),
    }
    door.set_done(ui.global::<KitWords>().invoke_kept());
}

fn report(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PieceDoor>();
    let request = Request::ReportKitFault {
        piece: shell.route().piece.unwrap_or_default(),
        what: door.get_what().trim().to_owned(),
        when: None,
    };
    if record(shell, request).is_some() {
        door.set_what("".into());
        shell.show_again();
        door.set_done(ui.global::<KitWords>().invoke_reported());
    }
}

fn mend(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PieceDoor>();
    let request = Request::MendKit {
        fault: door.get_mending().into(),
        how: door.get_how().trim().to_owned(),
        when: None,
    };
    if record(shell, request).is_some() {
        door.set_mending("".into());
        door.set_how("".into());
        shell.show_again();
        door.set_done(ui.global::<KitWords>().invoke_is_mended());
    }
}

fn retire(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PieceDoor>();
    let request = Request::RetireKit {
        piece: shell.route().piece.unwrap_or_default(),
        why: door.get_why().trim().to_owned(),
    };
    if record(shell, request).is_some() {
        door.set_why("".into());
        shell.show_again();
        door.set_done(ui.global::<KitWords>().invoke_is_retired());
    }
}

/// Takes it back from whoever has it by this entry.
fn take_back(shell: &Rc<Shell>, issue: &str) {
    let Some(ui) = shell.ui() else { return };
    let course = {
        let kept = shell.kept::<Kept>();
        let row = kept.row.borrow();
        let mut out = row.iter().flat_map(|row| &row.out);
        out.find(|out| out.entry == issue)
            .map(|out| out.course.to_string())
    };
    let Some(course) = course else { return };
    let request = Request::ReturnKit {
        course,
        issue: issue.to_owned(),
        fault: None,
        when: None,
    };
    if record(shell, request).is_some() {
        shell.show_again();
        let says = ui.global::<KitWords>();
        ui.global::<PieceDoor>().set_done(says.invoke_back(1));
    }
}
