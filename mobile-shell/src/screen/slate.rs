//! Slate: a marked sheet is typed in as it is laid out on paper, and recorded whole.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use slint::{ComponentHandle, ModelRc, SharedString, VecModel};
use tallywater_bindings::{
    self as border, Fault, Moment, PaperLanguage, PrintedSlate, Setting, Slate, SlateBox,
    SlateMark, SlateRemark, SlateSheet, SlateTimes,
};

use super::files;
use crate::shell::{Shell, fill, list, on};
use crate::ui::{AppDoor, Load, Mark, Screen, SlateBoxRow, SlateDoor, SlateHead, SlateRow};
use crate::words;

/// What a tap on a box goes through, after which it is empty again.
const TURN: [Mark; 4] = [Mark::Met, Mark::Nearly, Mark::NotYet, Mark::SatOut];

/// What is being typed.
#[derive(Clone, PartialEq)]
enum Typing {
    /// When the marks were made.
    Seen,
    /// When a row went in; all rows, where none is named.
    In(Option<String>),
    /// When a row came out; all rows, where none is named.
    Out(Option<String>),
}

#[derive(Default)]
struct Kept {
    /// Of which course and session the form is.
    of: RefCell<Option<(String, String)>>,
    slate: RefCell<Option<Slate>>,
    /// When the session begins: its day, and the time until another is typed.
    starts: RefCell<Option<Moment>>,
    /// When the marks were made, where a person said so.
    seen: RefCell<Option<Moment>>,
    /// The number at the head of the sheet, of those that were printed here.
    number: RefCell<Option<String>>,
    marks: RefCell<BTreeMap<(String, String), Mark>>,
    /// What each swept column was swept to.
    swept: RefCell<BTreeMap<String, Mark>>,
    /// Times that were typed, by row.
    down: RefCell<BTreeMap<String, Moment>>,
    up: RefCell<BTreeMap<String, Moment>>,
    remarks: RefCell<BTreeMap<String, String>>,
    heads: Rc<VecModel<SlateHead>>,
    rows: Rc<VecModel<SlateRow>>,
    /// The boxes of each row, in the order of the rows.
    boxes: RefCell<Vec<Rc<VecModel<SlateBoxRow>>>>,
    typing: RefCell<Option<Typing>>,
    typed: RefCell<String>,
}

impl Kept {
    /// Nothing is typed any more.
    fn clear(&self) {
        self.marks.borrow_mut().clear();
        self.swept.borrow_mut().clear();
        self.down.borrow_mut().clear();
        self.up.borrow_mut().clear();
        self.remarks.borrow_mut().clear();
        self.seen.take();
        self.typing.take();
        self.typed.borrow_mut().clear();
    }

    /// When the marks were made: as was said, or when the last came out of this dive, or as
    /// the session begins.
    fn seen_at(&self) -> Option<Moment> {
        let said = *self.seen.borrow();
        let out = || {
            let up = self.up.borrow();
            up.values().max_by_key(|at| at.at).cloned()
        };
        said.or_else(out).or_else(|| *self.starts.borrow())
    }
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SlateDoor>();
    on!(shell, door.on_mark(student, skill) => turn(shell, student.into(), skill.into()));
    on!(shell, door.on_sweep(skill) => sweep(shell, &skill));
    on!(shell, door.on_edit_in(student) => type_in(shell, Typing::In(named(&student))));
    on!(shell, door.on_edit_out(student) => type_in(shell, Typing::Out(named(&student))));
    on!(shell, door.on_remark(student, text) => remark(shell, student.into(), &text));
    on!(shell, door.on_choose_sheet(place) => choose_sheet(shell, place));
    on!(shell, door.on_edit() => type_in(shell, Typing::Seen));
    on!(shell, door.on_key(key) => typed(shell, |text| text.push_str(&key)));
    on!(shell, door.on_erase() => typed(shell, |text| { text.pop(); }));
    on!(shell, door.on_done() => done(shell));
    on!(shell, door.on_record() => record(shell));
    on!(shell, door.on_again() => shell.show_again());
}

fn named(student: &str) -> Option<String> {
    (!student.is_empty()).then(|| student.to_owned())
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
        kept.clear();
        kept.number.take();
        door.set_recorded(false);
    }
    let desk = shell.desk();
    let language = PaperLanguage::English;
    let under = shell.session_says(&course, Some(&session));
    files::of_session(shell, &course, &session);
    let seen = desk
        .slate(course.clone(), session.clone(), language)
        .and_then(|slate| Ok((slate, desk.session(course, session)?)));
    let seen = shell.see(seen, |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some((slate, session)) = seen else { return };
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Slate), under);
    kept.starts.replace(Some(session.starts));
    // One sheet was printed here: that is the one, until another is said.
    if fresh && let [only] = slate.printed.as_slice() {
        kept.number.replace(Some(only.number.to_string()));
    }
    kept.slate.replace(Some(slate));
    draw(shell);
    door.set_fault("".into());
    door.set_load(Load::Ready);
}

/// A time that the headcount has, as a moment.
fn counted(shell: &Shell, at: Option<String>) -> Option<Moment> {
    shell.desk().moment(Some(at?), 0).ok()
}

/// Whether a sweep speaks of this row: in the water as the sheet or the headcount has it.
fn takes(slate: &Slate, kept: &Kept, row: usize) -> bool {
    let (Some(student), Some(counted)) = (slate.students.get(row), slate.counted.get(row)) else {
        return false;
    };
    let down = counted.down.is_some()
        || kept
            .down
            .borrow()
            .contains_key(&student.student.to_string());
    !counted.absent && (down || slate.setting == Setting::Classroom)
}

fn draw(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SlateDoor>();
    let kept = shell.kept::<Kept>();
    if let Some(seen) = kept.seen_at() {
        door.set_day(words::day(&seen.day));
        door.set_seen(words::clock(&seen));
    }
    door.set_typed(kept.typed.borrow().clone().into());
    let (down, up, remarks) = (kept.down.borrow(), kept.up.borrow(), kept.remarks.borrow());
    let marks = kept.marks.borrow();
    door.set_marked(words::count(marks.len()));
    door.set_besides(!(down.is_empty() && up.is_empty() && remarks.is_empty()));
    let slate = kept.slate.borrow();
    let Some(slate) = slate.as_ref() else { return };
    let rows = 0..slate.students.len();
    door.set_dry(!rows.clone().any(|row| takes(slate, &kept, row)));
    let of_all = remarks.get("").cloned().unwrap_or_default();
    door.set_remark_of_all(of_all.into());
    let number = kept.number.borrow();
    files::numbered(shell, number.clone());
    let sheets: Vec<SharedString> = slate.printed.iter().map(|one| sheet(shell, one)).collect();
    let chosen = slate
        .printed
        .iter()
        .position(|one| number.as_ref() == Some(&one.number.to_string()));
    door.set_sheet(words::count(chosen.unwrap_or(sheets.len())));
    door.set_sheets(list(sheets.into_iter().chain([SharedString::new()])));
    let swept = kept.swept.borrow();
    let heads = slate.skills.iter().map(|skill| {
        let mark = swept.get(&skill.skill.to_string()).copied();
        SlateHead {
            skill: skill.skill.to_string().into(),
            name: border::breakable(skill.name.clone()).into(),
            swept: mark.is_some(),
            mark: mark.unwrap_or_default(),
        }
    });
    fill(&kept.heads, heads.collect());
    door.set_heads(ModelRc::from(Rc::clone(&kept.heads)));
    let mut boxes = kept.boxes.borrow_mut();
    boxes.resize_with(slate.students.len(), Rc::default);
    let lines = slate.boxes.chunks(slate.skills.len().max(1));
    let mut drawn = Vec::new();
    let students = slate.students.iter().zip(&slate.counted);
    for (((student, counted), line), model) in students.zip(lines).zip(boxes.iter()) {
        let row = |(skill, asked): (&border::SlateSkill, &SlateBox)| {
            let key = (student.student.to_string(), skill.skill.to_string());
            let mark = marks.get(&key).copied();
            SlateBoxRow {
                skill: skill.skill.to_string().into(),
                name: skill.name.clone().into(),
                asked: *asked != SlateBox::NotAsked,
                done: *asked == SlateBox::Done,
                marked: mark.is_some(),
                mark: mark.unwrap_or_default(),
            }
        };
        fill(model, slate.skills.iter().zip(line).map(row).collect());
        let clock = |typed: &BTreeMap<String, Moment>, counted: Option<String>| {
            let typed = typed.get(&student.student.to_string()).cloned();
            let at = typed.or_else(|| self::counted(shell, counted));
            at.as_ref().map(words::clock).unwrap_or_default()
        };
        drawn.push(SlateRow {
            student: student.student.to_string().into(),
            called: student.called.clone().into(),
            boxes: ModelRc::from(Rc::clone(model)),
            down: clock(&down, counted.down.map(|at| at.to_rfc3339())),
            up: clock(&up, counted.up.map(|at| at.to_rfc3339())),
            remark: remarks
                .get(&student.student.to_string())
                .cloned()
                .unwrap_or_default()
                .into(),
            absent: counted.absent,
        });
    }
    fill(&kept.rows, drawn);
    door.set_rows(ModelRc::from(Rc::clone(&kept.rows)));
    draw_typing(shell);
}

/// What is being typed, for whom, and what stands there.
fn draw_typing(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SlateDoor>();
    let kept = shell.kept::<Kept>();
    let typing = kept.typing.borrow().clone();
    door.set_typing(typing.is_some());
    let words = ui.global::<crate::ui::Words>();
    let called = |student: &Option<String>| -> SharedString {
        let slate = kept.slate.borrow();
        let rows = slate.as_ref().map(|slate| slate.students.iter());
        let mut rows = rows.into_iter().flatten();
        let row = rows.find(|row| student.as_ref().is_some_and(|id| row.student == *id));
        row.map(|row| row.called.clone().into()).unwrap_or_default()
    };
    let (what, stands) = match &typing {
        None => return,
        Some(Typing::Seen) => (words.invoke_seen_at(), door.get_seen()),
        Some(Typing::In(student)) => (words.invoke_went_in(called(student)), "".into()),
        Some(Typing::Out(student)) => (words.invoke_came_out(called(student)), "".into()),
    };
    door.set_typing_what(what);
    door.set_typing_stands(stands);
}

/// A printed sheet: its number, and when it was printed.
fn sheet(shell: &Shell, one: &PrintedSlate) -> SharedString {
    let at = shell.desk().moment(Some(one.at.to_rfc3339()), 0);
    let clock = at.map(|at| words::clock(&at)).unwrap_or_default();
    slint::format!("№ {} · {clock}", one.number)
}

fn choose_sheet(shell: &Rc<Shell>, place: i32) {
    let kept = shell.kept::<Kept>();
    let number = usize::try_from(place).ok().and_then(|place| {
        let slate = kept.slate.borrow();
        Some(slate.as_ref()?.printed.get(place)?.number.to_string())
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
    say(shell, "".into());
    draw(shell);
}

/// One word about a column: met, then not yet, then nothing. It speaks of those who were in
/// the water and have something to show; what was written in a box by itself stays.
fn sweep(shell: &Rc<Shell>, skill: &str) {
    let kept = shell.kept::<Kept>();
    {
        let slate = kept.slate.borrow();
        let Some(slate) = slate.as_ref() else { return };
        let mut swept = kept.swept.borrow_mut();
        let mut marks = kept.marks.borrow_mut();
        let before = swept.get(skill).copied();
        let next = match before {
            None => Some(Mark::Met),
            Some(Mark::Met) => Some(Mark::NotYet),
            Some(_) => None,
        };
        let column = slate.skills.iter().position(|one| one.skill == skill);
        let Some(column) = column else { return };
        for (row, student) in slate.students.iter().enumerate() {
            let at = row
                .saturating_mul(slate.skills.len())
                .saturating_add(column);
            let wanted = slate.boxes.get(at) == Some(&SlateBox::Wanted);
            let key = (student.student.to_string(), skill.to_owned());
            if !wanted || !takes(slate, &kept, row) || marks.get(&key).copied() != before {
                continue;
            }
            match next {
                Some(mark) => marks.insert(key, mark),
                None => marks.remove(&key),
            };
        }
        match next {
            Some(mark) => swept.insert(skill.to_owned(), mark),
            None => swept.remove(skill),
        };
    }
    say(shell, "".into());
    draw(shell);
}

fn remark(shell: &Rc<Shell>, student: String, text: &str) {
    let kept = shell.kept::<Kept>();
    if text.trim().is_empty() {
        kept.remarks.borrow_mut().remove(&student);
    } else {
        kept.remarks.borrow_mut().insert(student, text.to_owned());
    }
    draw(shell);
}

fn say(shell: &Shell, fault: SharedString) {
    if let Some(ui) = shell.ui() {
        ui.global::<SlateDoor>().set_fault(fault);
    }
}

/// Begins to type a time; the same once more ends it.
fn type_in(shell: &Rc<Shell>, what: Typing) {
    let kept = shell.kept::<Kept>();
    let same = kept.typing.borrow().as_ref() == Some(&what);
    kept.typing.replace((!same).then_some(what));
    kept.typed.borrow_mut().clear();
    say(shell, "".into());
    draw(shell);
}

fn typed(shell: &Rc<Shell>, how: impl FnOnce(&mut String)) {
    how(&mut shell.kept::<Kept>().typed.borrow_mut());
    draw(shell);
}

/// The time of day that was typed, on the session's day.
fn done(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let text = kept.typed.borrow().clone();
    let day = kept
        .starts
        .borrow()
        .as_ref()
        .map(|starts| starts.day.date.to_string());
    let what = kept.typing.borrow().clone();
    if let (Some(day), Some(what), false) = (day, what, text.is_empty()) {
        match shell.desk().read_clock(day, text) {
            Ok(at) => set_time(&kept, &what, &at),
            Err(fault) => return say(shell, words::fault(&ui, &fault)),
        }
    }
    kept.typing.take();
    kept.typed.borrow_mut().clear();
    say(shell, "".into());
    draw(shell);
}

/// A time for one row, or for all who came.
fn set_time(kept: &Kept, what: &Typing, at: &Moment) {
    let slate = kept.slate.borrow();
    let Some(slate) = slate.as_ref() else { return };
    let (times, only) = match what {
        Typing::Seen => {
            kept.seen.replace(Some(*at));
            return;
        }
        Typing::In(student) => (&kept.down, student),
        Typing::Out(student) => (&kept.up, student),
    };
    let mut times = times.borrow_mut();
    for (student, counted) in slate.students.iter().zip(&slate.counted) {
        let named = only.as_ref().is_none_or(|only| *only == student.student);
        if named && !counted.absent {
            times.insert(student.student.to_string(), *at);
        }
    }
}

/// All boxes, times and remarks, or none: what was typed stays where one is refused.
fn record(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SlateDoor>();
    let kept = shell.kept::<Kept>();
    let of = kept.of.borrow().clone();
    let seen = kept.seen_at().map(|seen| seen.at.to_rfc3339());
    let (Some((course, session)), Some(seen)) = (of, seen) else {
        return;
    };
    let times = match times(&kept) {
        Ok(times) => times,
        Err(fault) => return say(shell, words::fault(&ui, &fault)),
    };
    let remarks = {
        let typed = kept.remarks.borrow();
        let remarks = typed.iter().map(|(student, text)| SlateRemark {
            // The line under all rows is about the session.
            student: Some(student.clone()).filter(|id| !id.is_empty()),
            text: text.trim().to_owned(),
        });
        remarks.collect()
    };
    let sheet = SlateSheet {
        number: kept.number.borrow().clone(),
        seen,
        marks: kept.marks.borrow().iter().map(slate_mark).collect(),
        times,
        remarks,
    };
    match shell.desk().type_sheet(course, session, sheet) {
        Ok(receipt) => {
            kept.clear();
            door.set_recorded(true);
            shell.recorded(receipt);
            show(shell);
        }
        Err(fault @ Fault::DeviceFull) => shell.fault(&fault),
        Err(fault) => say(shell, words::fault(&ui, &fault)),
    }
}

/// The times that were typed, each row's beside what the headcount has of it. A way out without
/// a way in is refused.
fn times(kept: &Kept) -> Result<Vec<SlateTimes>, Fault> {
    let slate = kept.slate.borrow();
    let Some(slate) = slate.as_ref() else {
        return Ok(Vec::new());
    };
    let (down, up) = (kept.down.borrow(), kept.up.borrow());
    let mut times = Vec::new();
    for (student, counted) in slate.students.iter().zip(&slate.counted) {
        let id = &student.student.to_string();
        if !down.contains_key(id) && !up.contains_key(id) {
            continue;
        }
        let typed = down.get(id).map(|at| at.at.to_rfc3339());
        let down = typed
            .or_else(|| counted.down.map(|down| down.to_rfc3339()))
            .ok_or_else(|| Fault::rule("text_empty").of("time"))?;
        // What was counted of this dive stays; a way out before it is another dive's.
        let counted = || {
            let up = counted.up.map(|up| up.to_rfc3339());
            up.filter(|up| *up > down)
        };
        let up = up.get(id).map(|at| at.at.to_rfc3339()).or_else(counted);
        let student = id.clone();
        times.push(SlateTimes { student, down, up });
    }
    Ok(times)
}

fn slate_mark(((student, skill), mark): (&(String, String), &Mark)) -> SlateMark {
    SlateMark {
        student: student.clone(),
        skill: skill.clone(),
        mark: words::mark_back(*mark),
    }
}
