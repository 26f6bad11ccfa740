//! Timeline: one incident, moment by moment, as it is written down and put right.

use std::cell::{Cell, RefCell};
use std::path::PathBuf;
use std::rc::Rc;

use slint::{ComponentHandle, ModelRc, SharedString, VecModel};
use tallywater_bindings::{Day, IncidentView, Leave, Request, alarm_cards};

use super::{add, lines, time};
use crate::screen::{papers, student};
use crate::shell::{Shell, fill, list, on, rows};
use crate::ui::{AppDoor, CourseWords, Load, MomentRow, PersonChip, Screen, TimelineDoor, Words};
use crate::words;

/// What the screen keeps while it is not shown.
#[derive(Default)]
pub(super) struct Kept {
    /// Of which course and incident the screen is.
    of: RefCell<Option<(String, String)>>,
    pub(super) view: RefCell<Option<IncidentView>>,
    pub(super) known: RefCell<Vec<PersonChip>>,
    moments: Rc<VecModel<MomentRow>>,
    /// The moment whose time is being put right.
    pub(super) active: RefCell<Option<String>>,
    pub(super) days: RefCell<Vec<Day>>,
    pub(super) day: Cell<usize>,
    pub(super) typed: RefCell<String>,
    /// What was printed last.
    paper: RefCell<Option<PathBuf>>,
}

pub(super) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimelineDoor>();
    on!(shell, door.on_happened(n) => add::happened(shell, n));
    on!(shell, door.on_note() => add::note(shell));
    on!(shell, door.on_correct(entry) => time::correct(shell, &entry));
    on!(shell, door.on_key(key) => time::typed(shell, |text| text.push_str(&key)));
    on!(shell, door.on_erase() => time::typed(shell, |text| { text.pop(); }));
    on!(shell, door.on_choose_day(day) => {
        shell.kept::<Kept>().day.set(usize::try_from(day).unwrap_or_default());
        draw(shell);
    });
    on!(shell, door.on_timed() => time::timed(shell));
    on!(shell, door.on_withdraw(entry) => {
        time::correct(shell, "");
        student::withdraw(shell, entry.into());
    });
    on!(shell, door.on_add_person(id) => add::add_person(shell, &id));
    on!(shell, door.on_add_somebody() => add::add_somebody(shell));
    on!(shell, door.on_add_fact() => add::add_fact(shell));
    on!(shell, door.on_add_report() => add::add_report(shell));
    on!(shell, door.on_typed_day() => add::say_day(shell, SharedString::new()));
    on!(shell, door.on_made(report) => {
        let course = shell.route().in_course();
        let report = report.into();
        shell.record(Request::ReportMade { course, report, on: None });
    });
    on!(shell, door.on_print() => print(shell));
    on!(shell, door.on_show_paper() => {
        if let Some(paper) = shell.kept::<Kept>().paper.borrow().as_deref() {
            shell.system().show(paper);
        }
    });
    on!(shell, door.on_again() => shell.show_again());
}

/// Fills the door with the incident that the route names.
pub(in crate::screen) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimelineDoor>();
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    let (course, entry) = (route.in_course(), route.incident.unwrap_or_default());
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::Timeline);
    let of = Some((course.clone(), entry.clone()));
    if *kept.of.borrow() != of {
        kept.of.replace(of);
        kept.active.take();
        kept.typed.borrow_mut().clear();
        empty(&door);
    }
    let failed = |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    };
    let view = shell.see(shell.desk().incident(course.clone(), entry), failed);
    let cards = shell.see(alarm_cards(papers::language(shell)), failed);
    let known = super::known(shell, &course, failed);
    let (Some(view), Some(cards), Some(known)) = (view, cards, known) else {
        shell.title(heading, "");
        return;
    };
    let when = ui
        .global::<Words>()
        .invoke_moment(words::moment(&view.incident.when));
    let under = match &view.incident.session_title {
        Some(title) => slint::format!("{when} · {title}"),
        None => when,
    };
    shell.title(heading, under);
    let standing = view.incident.withdrawn.is_none();
    door.set_gone(!standing);
    door.set_may(standing && view.may_add == Leave::Yes);
    fill(&kept.moments, lines::moments(&view, &cards));
    door.set_moments(ModelRc::from(Rc::clone(&kept.moments)));
    door.set_people(rows(lines::people(&view)));
    door.set_known(rows(known.clone()));
    door.set_facts(rows(lines::facts(&view)));
    door.set_reports(rows(lines::reports(&view)));
    door.set_due(words::count(view.reports_due));
    kept.known.replace(known);
    kept.view.replace(Some(view));
    draw(shell);
    door.set_load(Load::Ready);
}

fn empty(door: &TimelineDoor<'_>) {
    door.set_words("".into());
    door.set_somebody("".into());
    door.set_said("".into());
    door.set_to("".into());
    door.set_by("".into());
    door.set_by_fault("".into());
    door.set_time_fault("".into());
    door.set_done("".into());
    door.set_refused("".into());
    door.set_written(false);
    door.set_part(0);
    door.set_about(0);
}

/// What is being typed, and for which moment.
pub(super) fn draw(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimelineDoor>();
    let kept = shell.kept::<Kept>();
    let says = ui.global::<Words>();
    let active = kept.active.borrow().clone();
    door.set_active(active.unwrap_or_default().into());
    door.set_typed(kept.typed.borrow().clone().into());
    let days = kept.days.borrow();
    let named = days.iter().map(|day| says.invoke_day(words::day(day)));
    door.set_days(list(named));
    door.set_day(words::count(kept.day.get()));
}

/// Prints the sheet, and says where it is or why there is none. Nothing sends it.
fn print(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimelineDoor>();
    let kept = shell.kept::<Kept>();
    let day = {
        let view = kept.view.borrow();
        let day = view
            .as_ref()
            .map(|view| view.incident.when.day.date.to_string());
        day.unwrap_or_default()
    };
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::Timeline);
    match papers::incident(shell, &format!("{heading} {day}")) {
        Ok(path) => {
            let said = path.display().to_string();
            door.set_done(ui.global::<CourseWords>().invoke_written(said.into()));
            door.set_refused("".into());
            door.set_written(true);
            kept.paper.replace(Some(path));
        }
        Err(fault) => door.set_refused(words::fault(&ui, &fault)),
    }
}
