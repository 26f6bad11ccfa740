//! Attempt: one try of one skill by one student, as a sheet over the board or alone.

mod short;

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

use slint::{ComponentHandle, ModelRc, SharedString, VecModel};
use tallywater_bindings::{
    Again, AttemptSheetView, CellState, Fault, HistoryKind, HistoryLine, Leave, LineCounts,
    MarkTap, MeasureCard, Measured, MethodsNeeded, Origin, Request, Side, StopwatchView, TakenWith,
    Tap, Timed, count_on, course_ledger,
};

use crate::shell::ask::{Deed, Question};
use crate::shell::{Shell, fill, list, on};
use crate::ui::{
    App, AppDoor, AttemptDoor, AttemptView, Load, Mark, MeasureTaken, MethodRow, Screen, SlipRow,
    Taken, TryKind, TryRow, WatchView, Words,
};
use crate::{screen, words};

#[derive(Default)]
struct Kept {
    /// The sheet as it is on screen: what a mark says it was made after.
    sheet: RefCell<Option<AttemptSheetView>>,
    draft: RefCell<Draft>,
    measures: Rc<VecModel<MeasureTaken>>,
    methods: Rc<VecModel<MethodRow>>,
    slips: Rc<VecModel<SlipRow>>,
    tries: Rc<VecModel<TryRow>>,
    views: Rc<VecModel<TryRow>>,
}

/// What was tapped and not yet recorded. It waits for one cell and is dropped for another.
#[derive(Debug, Clone, Default)]
struct Draft {
    of: Option<Timed>,
    method: Option<String>,
    slips: Vec<String>,
    note: SharedString,
    /// What was typed for each part of the requirement, and what is wrong with it.
    typed: Vec<(String, SharedString)>,
    /// *Met* was pressed on it: what was counted is asked about from then on.
    pressed: bool,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<AttemptDoor>();
    on!(shell, door.on_mark(mark) => mark_now(shell, mark));
    on!(shell, door.on_toggle_method(method) => toggle_method(shell, &method));
    on!(shell, door.on_toggle_slip(slip) => toggle_slip(shell, &slip));
    on!(shell, door.on_watch_toggle() => toggle_watch(shell));
    on!(shell, door.on_watch_clear() => {
        shell.desk().reset_stopwatch();
        watch(shell);
        short::ask(shell);
    });
    on!(shell, door.on_watch_tick() => watch(shell));
    on!(shell, door.on_count(measure, by) => typed(shell, measure, |text| {
        *text = count_on(text.parse().unwrap_or(0), by).to_string();
    }));
    on!(shell, door.on_figure_key(measure, key) => typed(shell, measure, |text| text.push_str(&key)));
    on!(shell, door.on_figure_erase(measure) => typed(shell, measure, |text| {
        text.pop();
    }));
    on!(shell, door.on_figure_done() => short::ask(shell));
    on!(shell, door.on_preset(preset) => note(shell, preset, true));
    on!(shell, door.on_note_edited(text) => note(shell, text, false));
    on!(shell, door.on_confirm(entry) => confirm(shell, vec![entry.into()]));
    on!(shell, door.on_confirm_all() => confirm(shell, with_sheet(shell, |sheet| sheet.waiting.clone())));
    on!(shell, door.on_withdraw(entry) => withdraw(shell, &entry));
    on!(shell, door.on_resolve(mark, why) => resolve(shell, mark, why.into()));
    on!(shell, door.on_exempt(why) => exempt(shell, why.into()));
    on!(shell, door.on_next() => go(shell, with_sheet(shell, |sheet| sheet.students.after.clone())));
    on!(shell, door.on_previous() => go(shell, with_sheet(shell, |sheet| sheet.students.before.clone())));
    on!(shell, door.on_close() => screen::board::close_sheet(shell));
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<AttemptDoor>();
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    let (student, skill) = (
        route.student.clone().unwrap_or_default(),
        route.skill.clone().unwrap_or_default(),
    );
    let seen = shell
        .desk()
        .attempt_sheet(route.in_course(), student, skill, route.session.clone());
    let sheet = shell.see(seen, |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(sheet) = sheet else { return };
    {
        let mut draft = kept.draft.borrow_mut();
        let of = Some(timed(&sheet));
        if draft.of != of {
            *draft = Draft {
                of,
                ..Draft::default()
            };
            door.set_typing(-1);
            door.set_shorts(list(Vec::<SharedString>::new()));
            door.set_despite("".into());
        }
        let parts = sheet.skill.measures.len();
        draft.typed.resize_with(parts, Default::default);
        door.set_note(draft.note.clone());
    }
    if route.screen == Screen::Attempt {
        let session = shell.session_says(&sheet.course, sheet.session.as_deref());
        let parts = [sheet.skill.name.clone(), session];
        let parts: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
        shell.title(sheet.name.name.clone(), parts.join(" · "));
    }
    door.set_view(view(&ui, &sheet));
    door.set_cues(list(sheet.skill.cues.iter().cloned()));
    door.set_presets(ui.global::<Words>().invoke_presets());
    fill(
        &kept.tries,
        sheet
            .history
            .iter()
            .rev()
            .map(|line| try_row(&ui, line))
            .collect(),
    );
    door.set_tries(ModelRc::from(Rc::clone(&kept.tries)));
    let views = sheet.views.iter().map(|line| try_row(&ui, line));
    fill(&kept.views, views.collect());
    door.set_views(ModelRc::from(Rc::clone(&kept.views)));
    kept.sheet.replace(Some(sheet));
    draft(shell);
    watch(shell);
    door.set_load(Load::Ready);
}

/// Draws what was tapped and not yet recorded.
fn draft(shell: &Shell) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<AttemptDoor>();
    let kept = shell.kept::<Kept>();
    let Some(sheet) = kept.sheet.borrow().clone() else {
        return;
    };
    let draft = kept.draft.borrow();
    let met = |id: &str| {
        let demanded = sheet.demand.methods.iter().find(|one| one.method == id);
        demanded.is_some_and(|one| one.met)
    };
    let methods = sheet.skill.methods.iter().map(|method| MethodRow {
        id: method.method.to_string().into(),
        name: method.name.clone().into(),
        met: met(method.method.as_str()),
        on: draft.method.as_deref() == Some(method.method.as_str()),
    });
    fill(&kept.methods, methods.collect());
    let slips = sheet.skill.slips.iter().map(|slip| SlipRow {
        id: slip.slip.to_string().into(),
        fault: slip.fault.clone().into(),
        fix: slip.fix.clone().into(),
        on: draft.slips.contains(&slip.slip.to_string()),
    });
    fill(&kept.slips, slips.collect());
    let parts = sheet.skill.measures.iter().zip(&draft.typed);
    let parts = parts.map(|(measure, (text, fault))| part(shell, &ui, measure, text, fault));
    fill(&kept.measures, parts.collect());
    door.set_methods(ModelRc::from(Rc::clone(&kept.methods)));
    door.set_slips(ModelRc::from(Rc::clone(&kept.slips)));
    door.set_measures(ModelRc::from(Rc::clone(&kept.measures)));
}

fn part(
    shell: &Shell,
    ui: &App,
    measure: &MeasureCard,
    text: &str,
    fault: &SharedString,
) -> MeasureTaken {
    let unit = shell.desk().measure_unit(measure.kind);
    let symbol = unit.and_then(tallywater_bindings::unit_symbol);
    let counted = matches!(measure.taken_with, TakenWith::Counter);
    MeasureTaken {
        taken: match measure.taken_with {
            TakenWith::Stopwatch => Taken::Watch,
            TakenWith::Counter => Taken::Counter,
            TakenWith::Number => Taken::Pad,
        },
        goal: ui.global::<Words>().invoke_goal(
            measure.side == Side::AtMost,
            words::figure(&measure.bound),
            measure.of.clone().unwrap_or_default().into(),
        ),
        text: if counted && text.is_empty() {
            "0".into()
        } else {
            text.into()
        },
        unit: symbol.unwrap_or_default().into(),
        fault: fault.clone(),
    }
}

fn view(ui: &App, sheet: &AttemptSheetView) -> AttemptView {
    let may = |leave: &Leave| *leave == Leave::Yes;
    let id = |one: &Option<String>| SharedString::from(one.clone().unwrap_or_default());
    AttemptView {
        student: sheet.name.name.clone().into(),
        called: sheet.name.short.clone().into(),
        student_id: sheet.name.student.to_string().into(),
        skill: sheet.skill.name.clone().into(),
        skill_id: sheet.skill.skill.to_string().into(),
        requirement: words::skill_says(&sheet.skill),
        caution: id(&sheet.skill.caution),
        look: words::look(&sheet.cell),
        part: words::part(&sheet.cell),
        has_mark: sheet.cell.last.is_some(),
        mark: sheet
            .cell
            .last
            .as_ref()
            .map(words::mark)
            .unwrap_or_default(),
        next_student: id(&sheet.students.after),
        next_called: sheet
            .next
            .as_ref()
            .map(|next| next.short.clone().into())
            .unwrap_or_default(),
        previous_student: id(&sheet.students.before),
        all_methods: sheet.skill.methods_needed == MethodsNeeded::All,
        may_mark: may(&sheet.cell.on.may_mark()),
        may_confirm: may(&sheet.cell.on.may_confirm()),
        may_resolve: may(&sheet.cell.on.may_settle()),
        may_exempt: may(&sheet.cell.on.may_exempt()),
        two_views: sheet.cell.state == CellState::TwoViews,
        slipped: sheet.cell.slipped_since,
        demand: words::demand(ui, sheet),
        waiting: words::count(sheet.waiting.len()),
        gaps: words::count(sheet.water_gaps),
        why_not: words::leave(ui, &sheet.cell.on.may_mark()),
    }
}

pub(crate) fn try_row(ui: &App, line: &HistoryLine) -> TryRow {
    let text = |text: &Option<String>| SharedString::from(text.clone().unwrap_or_default());
    TryRow {
        entry: line.entry.to_string().into(),
        what: match line.what {
            HistoryKind::Attempt => TryKind::Attempt,
            HistoryKind::Resolution => TryKind::Resolution,
            HistoryKind::Exemption => TryKind::Exemption,
        },
        look: words::line_look(line),
        mark: line.mark.as_ref().map(words::mark).unwrap_or_default(),
        by: line.by.name.clone().into(),
        role: words::role(&line.role),
        device: line.device.clone().into(),
        when: words::moment(&line.at),
        place: text(&line.site),
        measured: words::measured(line),
        slips: line.slips.join(", ").into(),
        note: why(ui, line),
        method: text(&line.method_name),
        waiting: matches!(line.counts, LineCounts::Waits),
        withdrawn: line.withdrawn.is_some(),
        unverified: false,
        from_slate: line.from_slate.is_some(),
        from_memory: line.from_memory.is_some(),
        may_withdraw: line.may_withdraw == Leave::Yes && line.withdrawn.is_none(),
        may_confirm: line.may_confirm == Leave::Yes,
    }
}

/// The remark or reason, and where it was met, for what another school judged.
fn why(ui: &App, line: &HistoryLine) -> SharedString {
    let there = line.elsewhere.as_ref().map(|there| {
        let words = ui.global::<Words>();
        let on = there.on.as_ref().map(words::day);
        let on = on.map(|day| words.invoke_date(day)).unwrap_or_default();
        let by = there.by.clone().unwrap_or_default();
        let (school, file) = (there.school.clone(), there.file.clone());
        let said = words.invoke_met_elsewhere(school.into(), on, by.into(), file.into());
        said.to_string()
    });
    let said: Vec<String> = line.note.iter().cloned().chain(there).collect();
    said.join(" · ").into()
}

/// What is timed and drafted here.
fn timed(sheet: &AttemptSheetView) -> Timed {
    Timed {
        course: sheet.course.clone(),
        student: sheet.name.student.to_string(),
        skill: sheet.skill.skill.to_string(),
    }
}

fn with_sheet<T: Default>(shell: &Shell, of: impl FnOnce(&AttemptSheetView) -> T) -> T {
    let kept = shell.kept::<Kept>();
    let sheet = kept.sheet.borrow();
    sheet.as_ref().map(of).unwrap_or_default()
}

/// The stopwatch, if it times this cell.
fn own_watch(shell: &Shell, sheet: &AttemptSheetView) -> Option<StopwatchView> {
    let by_watch = |one: &&MeasureCard| matches!(one.taken_with, TakenWith::Stopwatch);
    let bound = sheet
        .skill
        .measures
        .iter()
        .find(by_watch)
        .map(|one| one.bound_base);
    let view = shell.desk().stopwatch(bound);
    (view.timed == Some(timed(sheet))).then_some(view)
}

fn watch(shell: &Shell) {
    let Some(ui) = shell.ui() else { return };
    let own = with_sheet(shell, |sheet| own_watch(shell, sheet));
    let drawn = match own {
        Some(view) => words::watch(&view),
        None => WatchView {
            minutes: "0".into(),
            seconds_tens: "0".into(),
            seconds_ones: "0".into(),
            tenth: "0".into(),
            ..WatchView::default()
        },
    };
    ui.global::<AttemptDoor>().set_watch(drawn);
}

fn toggle_watch(shell: &Rc<Shell>) {
    let runs = with_sheet(shell, |sheet| own_watch(shell, sheet)).is_some_and(|view| view.running);
    if runs {
        shell.desk().stop_stopwatch();
    } else {
        let timed = with_sheet(shell, |sheet| Some(timed(sheet)));
        shell.desk().start_stopwatch(timed);
    }
    watch(shell);
    short::ask(shell);
}

fn change(shell: &Shell, how: impl FnOnce(&mut Draft)) {
    how(&mut shell.kept::<Kept>().draft.borrow_mut());
    draft(shell);
}

fn toggle_method(shell: &Rc<Shell>, method: &str) {
    change(shell, |draft| {
        let off = draft.method.as_deref() == Some(method);
        draft.method = (!off).then(|| method.to_owned());
    });
}

fn toggle_slip(shell: &Rc<Shell>, slip: &str) {
    change(shell, |draft| words::toggle(&mut draft.slips, slip));
}

fn typed(shell: &Rc<Shell>, measure: i32, how: impl FnOnce(&mut String)) {
    change(shell, |draft| {
        let place = usize::try_from(measure).ok();
        if let Some((text, fault)) = place.and_then(|place| draft.typed.get_mut(place)) {
            how(text);
            *fault = SharedString::new();
        }
    });
    short::ask(shell);
}

/// A preset that stands already is taken away again.
fn note(shell: &Rc<Shell>, text: SharedString, preset: bool) {
    let Some(ui) = shell.ui() else { return };
    change(shell, |draft| {
        draft.note = if preset && draft.note == text {
            SharedString::new()
        } else {
            text
        };
    });
    if preset {
        let kept = shell.kept::<Kept>();
        ui.global::<AttemptDoor>()
            .set_note(kept.draft.borrow().note.clone());
    }
}

fn own_words(shell: &Shell) -> Option<String> {
    let kept = shell.kept::<Kept>();
    let note = kept.draft.borrow().note.trim().to_owned();
    Some(note).filter(|note| !note.is_empty())
}

/// What was taken for each part of the requirement, as text; empty where nothing was.
fn texts(shell: &Shell, sheet: &AttemptSheetView) -> Vec<String> {
    let kept = shell.kept::<Kept>();
    let draft = kept.draft.borrow();
    let mut texts = Vec::new();
    for (measure, (typed, _)) in sheet.skill.measures.iter().zip(&draft.typed) {
        texts.push(match measure.taken_with {
            TakenWith::Stopwatch => own_watch(shell, sheet)
                .map(|view| view.time.text)
                .unwrap_or_default(),
            TakenWith::Counter | TakenWith::Number => typed.clone(),
        });
    }
    texts
}

/// The figures that were taken, or `None` where one of them is none: its field says why.
fn measured(shell: &Rc<Shell>, sheet: &AttemptSheetView) -> Option<Vec<Measured>> {
    let ui = shell.ui()?;
    let texts = texts(shell, sheet);
    let kept = shell.kept::<Kept>();
    let mut taken = Vec::new();
    let mut sound = true;
    let mut draft = kept.draft.borrow_mut();
    let parts = sheet.skill.measures.iter().zip(&mut draft.typed);
    for ((measure, (_, wrong)), text) in parts.zip(texts) {
        if text.is_empty() {
            continue;
        }
        match shell.desk().read_measure(measure.kind, text) {
            Ok(figure) => taken.push(figure),
            Err(fault) => {
                *wrong = words::fault(&ui, &fault);
                sound = false;
            }
        }
    }
    sound.then_some(taken)
}

/// A mark settles two views or a slip where the reader may; everywhere else it is a try.
fn mark_now(shell: &Rc<Shell>, mark: Mark) {
    let kept = shell.kept::<Kept>();
    let Some(sheet) = kept.sheet.borrow().clone() else {
        return;
    };
    if sheet.cell.on.tap() == Tap::Resolution && mark != Mark::SatOut {
        return resolve(shell, mark, own_words(shell).unwrap_or_default());
    }
    let measured = if mark == Mark::SatOut {
        Some(Vec::new())
    } else {
        measured(shell, &sheet)
    };
    let Some(measured) = measured else {
        return draft(shell);
    };
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<AttemptDoor>();
    let despite = door.get_despite().trim().to_owned();
    let below = if mark == Mark::Met {
        short::falls(shell, &sheet, short::Asked::All)
    } else {
        Vec::new()
    };
    let short = !below.is_empty();
    door.set_shorts(list(below));
    if short && despite.is_empty() {
        kept.draft.borrow_mut().pressed = true;
        return draft(shell);
    }
    let waiting = kept.draft.take();
    let tap = MarkTap {
        on: Arc::clone(&sheet.cell.on),
        mark: words::mark_back(mark),
        method: waiting.method.clone(),
        measured,
        slips: waiting.slips.clone(),
        note: Some(waiting.note.trim().to_owned()).filter(|note| !note.is_empty()),
        despite: short.then_some(despite),
        session: sheet.session.clone(),
        origin: Origin::Live,
        again: Again::Unsaid,
    };
    let (who, again) = (sheet.name.short.clone(), tap.clone());
    let request = Request::Mark { tap };
    let done = shell.record_or(request, |fault| ask_which(shell, fault, &who, again));
    if done.is_none() {
        kept.draft.replace(waiting);
        return draft(shell);
    }
    door.set_shorts(list(Vec::<SharedString>::new()));
    door.set_despite("".into());
    if own_watch(shell, &sheet).is_some() {
        shell.desk().reset_stopwatch();
    }
    show(shell);
}

/// A mark on a cell that the same person marked already: another try, or a correction? Answers
/// whether that is what the fault is about.
pub(crate) fn ask_which(shell: &Rc<Shell>, fault: &Fault, who: &str, tap: MarkTap) -> bool {
    let (Some(ui), Fault::Refused { rule, .. }) = (shell.ui(), fault) else {
        return false;
    };
    if rule != "marked_already" {
        return false;
    }
    let words = ui.global::<Words>();
    let deed = |again: Again, tap: MarkTap| -> Deed {
        Box::new(move |shell: &Rc<Shell>| {
            let tap = MarkTap { again, ..tap };
            if shell.record(Request::Mark { tap }).is_some() {
                shell.kept::<Kept>().draft.take();
                shell.show_again();
            }
        })
    };
    shell.ask(Question {
        title: words.invoke_marked_already(),
        says: words.invoke_which_is_it(who.into()),
        first: (
            words.invoke_another_try(),
            deed(Again::AnotherTry, tap.clone()),
        ),
        second: Some((words.invoke_correct_that(), deed(Again::Correction, tap))),
        hold: false,
    });
    true
}

fn resolve(shell: &Rc<Shell>, mark: Mark, why: String) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let Some(sheet) = kept.sheet.borrow().clone() else {
        return;
    };
    let why = if why.trim().is_empty() {
        ui.global::<Words>().invoke_settled().into()
    } else {
        why
    };
    let waiting = kept.draft.take();
    let done = shell.record(Request::Resolve {
        on: sheet.cell.on,
        mark: words::mark_back(mark),
        why,
    });
    if done.is_none() {
        kept.draft.replace(waiting);
    }
    show(shell);
}

fn exempt(shell: &Rc<Shell>, why: String) {
    let kept = shell.kept::<Kept>();
    let Some(sheet) = kept.sheet.borrow().clone() else {
        return;
    };
    let done = shell.record(Request::Exempt {
        on: sheet.cell.on,
        why,
    });
    if done.is_some() {
        kept.draft.take();
        show(shell);
    }
}

fn confirm(shell: &Rc<Shell>, attempts: Vec<String>) {
    let course = shell.route().in_course();
    shell.record(Request::Confirm { course, attempts });
}

fn withdraw(shell: &Rc<Shell>, entry: &str) {
    match course_ledger(shell.route().in_course()) {
        Ok(ledger) => {
            shell.record(Request::Withdraw {
                ledger,
                entry: entry.to_owned(),
                why: own_words(shell),
            });
        }
        Err(fault) => shell.fault(&fault),
    }
}

/// Goes to another student with the same skill.
fn go(shell: &Rc<Shell>, student: Option<String>) {
    let Some(ui) = shell.ui() else { return };
    let Some(student) = student else { return };
    let skill = shell.route().skill;
    shell.aim(Some(&student), skill.as_deref());
    show(shell);
    if ui.global::<AppDoor>().get_sheet_open() {
        screen::board::follow(shell);
    }
}
