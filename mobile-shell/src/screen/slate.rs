//! Slate: a marked sheet is typed in, and recorded whole.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use slint::{ComponentHandle, ModelRc, SharedString, VecModel};
use tallywater_bindings::{
    self as border, Fault, Moment, PaperLanguage, PrintedSlate, Slate, SlateBox, SlateMark,
};

use crate::shell::{Shell, fill, list, on};
use crate::ui::{AppDoor, Load, Mark, Screen, SlateBoxRow, SlateDoor, SlateRow};
use crate::words;

/// What a tap on a box goes through, after which it is empty again.
const TURN: [Mark; 4] = [Mark::Met, Mark::Nearly, Mark::NotYet, Mark::SatOut];

#[derive(Default)]
struct Kept {
    /// Of which course and session the form is.
    of: RefCell<Option<(String, String)>>,
    slate: RefCell<Option<Slate>>,
    seen: RefCell<Option<Moment>>,
    /// The number at the head of the sheet, of those that were printed here.
    number: RefCell<Option<String>>,
    marks: RefCell<BTreeMap<(String, String), Mark>>,
    rows: Rc<VecModel<SlateRow>>,
    /// The boxes of each row, in the order of the rows.
    boxes: RefCell<Vec<Rc<VecModel<SlateBoxRow>>>>,
    typed: RefCell<String>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SlateDoor>();
    on!(shell, door.on_mark(student, skill) => turn(shell, student.into(), skill.into()));
    on!(shell, door.on_choose_sheet(place) => choose_sheet(shell, place));
    on!(shell, door.on_edit() => edit(shell));
    on!(shell, door.on_key(key) => typed(shell, |text| text.push_str(&key)));
    on!(shell, door.on_erase() => typed(shell, |text| { text.pop(); }));
    on!(shell, door.on_done() => done(shell));
    on!(shell, door.on_record() => record(shell));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SlateDoor>();
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Slate), "");
    let (Some(course), Some(session)) = (route.course, route.session) else {
        door.set_load(Load::Empty);
        return;
    };
    let of = Some((course.clone(), session.clone()));
    let fresh = *kept.of.borrow() != of;
    if fresh {
        kept.of.replace(of);
        kept.marks.borrow_mut().clear();
        kept.seen.take();
        kept.number.take();
        door.set_typing(false);
        door.set_recorded(false);
    }
    let desk = shell.desk();
    let language = PaperLanguage::English;
    let seen = desk
        .slate(course.clone(), session.clone(), language)
        .and_then(|slate| Ok((slate, desk.session(course, session)?)));
    let seen = shell.see(seen, |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some((slate, session)) = seen else { return };
    shell.title(
        ui.global::<AppDoor>().invoke_heading(Screen::Slate),
        slate.title.clone(),
    );
    kept.seen
        .borrow_mut()
        .get_or_insert_with(|| session.starts.clone());
    // One sheet was printed here: that is the one, until another is said.
    if fresh && let [only] = slate.printed.as_slice() {
        kept.number.replace(Some(only.number.clone()));
    }
    kept.slate.replace(Some(slate));
    draw(shell);
    door.set_fault("".into());
    door.set_load(Load::Ready);
}

fn draw(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SlateDoor>();
    let kept = shell.kept::<Kept>();
    if let Some(seen) = kept.seen.borrow().as_ref() {
        door.set_day(words::day(&seen.day));
        door.set_seen(words::clock(seen));
    }
    door.set_typed(kept.typed.borrow().clone().into());
    let marks = kept.marks.borrow();
    door.set_marked(words::count(marks.len()));
    let slate = kept.slate.borrow();
    let Some(slate) = slate.as_ref() else { return };
    let number = kept.number.borrow();
    let sheets: Vec<SharedString> = slate.printed.iter().map(|one| sheet(shell, one)).collect();
    let chosen = slate
        .printed
        .iter()
        .position(|one| number.as_ref() == Some(&one.number));
    door.set_sheet(words::count(chosen.unwrap_or(sheets.len())));
    door.set_sheets(list(sheets.into_iter().chain([SharedString::new()])));
    let mut boxes = kept.boxes.borrow_mut();
    boxes.resize_with(slate.students.len(), Rc::default);
    let lines = slate.boxes.chunks(slate.skills.len().max(1));
    let mut drawn = Vec::new();
    for ((student, line), model) in slate.students.iter().zip(lines).zip(boxes.iter()) {
        let row = |(skill, asked): (&border::SlateSkill, &SlateBox)| {
            let key = (student.student.clone(), skill.skill.clone());
            let mark = marks.get(&key).copied();
            SlateBoxRow {
                skill: skill.skill.clone().into(),
                name: skill.name.clone().into(),
                asked: *asked != SlateBox::NotAsked,
                done: *asked == SlateBox::Done,
                marked: mark.is_some(),
                mark: mark.unwrap_or_default(),
            }
        };
        fill(model, slate.skills.iter().zip(line).map(row).collect());
        drawn.push(SlateRow {
            student: student.student.clone().into(),
            called: student.called.clone().into(),
            boxes: ModelRc::from(Rc::clone(model)),
        });
    }
    fill(&kept.rows, drawn);
    door.set_rows(ModelRc::from(Rc::clone(&kept.rows)));
}

/// A printed sheet: its number, and when it was printed.
fn sheet(shell: &Shell, one: &PrintedSlate) -> SharedString {
    let at = shell.desk().moment(Some(one.at.clone()), 0);
    let clock = at.map(|at| words::clock(&at)).unwrap_or_default();
    slint::format!("№ {} · {clock}", one.number)
}

fn choose_sheet(shell: &Rc<Shell>, place: i32) {
    let kept = shell.kept::<Kept>();
    let number = usize::try_from(place).ok().and_then(|place| {
        let slate = kept.slate.borrow();
        Some(slate.as_ref()?.printed.get(place)?.number.clone())
    });
    kept.number.replace(number);
    draw(shell);
}

/// The next mark of a box; after the last it is empty again.
fn turn(shell: &Rc<Shell>, student: String, skill: String) {
    let kept = shell.kept::<Kept>();
    {
        let mut marks = kept.marks.borrow_mut();
        let key = (student, skill);
        let next = match marks.get(&key) {
            None => TURN.first(),
            Some(mark) => TURN
                .iter()
                .position(|one| one == mark)
                .and_then(|place| TURN.get(place + 1)),
        };
        match next {
            Some(next) => marks.insert(key, *next),
            None => marks.remove(&key),
        };
    }
    if let Some(ui) = shell.ui() {
        ui.global::<SlateDoor>().set_fault("".into());
    }
    draw(shell);
}

fn edit(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SlateDoor>();
    shell.kept::<Kept>().typed.borrow_mut().clear();
    door.set_fault("".into());
    door.set_typing(!door.get_typing());
    draw(shell);
}

fn typed(shell: &Rc<Shell>, how: impl FnOnce(&mut String)) {
    how(&mut shell.kept::<Kept>().typed.borrow_mut());
    draw(shell);
}

/// The time of day that was typed, on the session's day.
fn done(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SlateDoor>();
    let kept = shell.kept::<Kept>();
    let text = kept.typed.borrow().clone();
    let day = kept
        .seen
        .borrow()
        .as_ref()
        .map(|seen| seen.day.date.clone());
    if let Some(day) = day
        && !text.is_empty()
    {
        match shell.desk().read_clock(day, text) {
            Ok(seen) => {
                kept.seen.replace(Some(seen));
            }
            Err(fault) => return door.set_fault(words::fault(&ui, &fault)),
        }
    }
    kept.typed.borrow_mut().clear();
    door.set_fault(SharedString::new());
    door.set_typing(false);
    draw(shell);
}

/// All boxes, or none: what was typed stays where one is refused.
fn record(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SlateDoor>();
    let kept = shell.kept::<Kept>();
    let of = kept.of.borrow().clone();
    let seen = kept.seen.borrow().as_ref().map(|seen| seen.at.clone());
    let number = kept.number.borrow().clone();
    let (Some((course, session)), Some(seen)) = (of, seen) else {
        return;
    };
    let marks = kept.marks.borrow().iter().map(slate_mark).collect();
    match shell
        .desk()
        .type_slate(course, session, number, seen, marks)
    {
        Ok(receipt) => {
            kept.marks.borrow_mut().clear();
            door.set_recorded(true);
            shell.recorded(receipt);
            show(shell);
        }
        Err(fault @ Fault::DeviceFull) => shell.fault(&fault),
        Err(fault) => door.set_fault(words::fault(&ui, &fault)),
    }
}

fn slate_mark(((student, skill), mark): (&(String, String), &Mark)) -> SlateMark {
    SlateMark {
        student: student.clone(),
        skill: skill.clone(),
        mark: words::mark_back(*mark),
    }
}
