//! Timeline: one incident, moment by moment, as it is written down and put right.

use std::cell::{Cell, RefCell};
use std::path::PathBuf;
use std::rc::Rc;

use slint::{ComponentHandle, ModelRc, SharedString, VecModel};
use tallywater_bindings::{
    Day, FactAbout, Fault, Happening, IncidentView, Leave, PartIn, Request, TimelineRow,
    TimelineWhat, Who, alarm_cards, course_ledger,
};

use super::super::{papers, student};
use super::lines;
use crate::shell::{Route, Shell, fill, list, on, rows};
use crate::ui::{AppDoor, CourseWords, Load, MomentRow, PersonChip, Screen, TimelineDoor, Words};
use crate::words;

/// The days that a time may be of, from the moment's own.
const DAYS: [i32; 3] = [-1, 0, 1];

#[derive(Default)]
struct Kept {
    /// Of which course and incident the screen is.
    of: RefCell<Option<(String, String)>>,
    view: RefCell<Option<IncidentView>>,
    known: RefCell<Vec<PersonChip>>,
    moments: Rc<VecModel<MomentRow>>,
    /// The moment whose time is being put right.
    active: RefCell<Option<String>>,
    days: RefCell<Vec<Day>>,
    day: Cell<usize>,
    typed: RefCell<String>,
    /// What was printed last.
    paper: RefCell<Option<PathBuf>>,
}

pub(super) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimelineDoor>();
    on!(shell, door.on_happened(n) => happened(shell, n));
    on!(shell, door.on_note() => note(shell));
    on!(shell, door.on_correct(entry) => correct(shell, &entry));
    on!(shell, door.on_key(key) => typed(shell, |text| text.push_str(&key)));
    on!(shell, door.on_erase() => typed(shell, |text| { text.pop(); }));
    on!(shell, door.on_choose_day(day) => {
        shell.kept::<Kept>().day.set(usize::try_from(day).unwrap_or_default());
        draw(shell);
    });
    on!(shell, door.on_timed() => timed(shell));
    on!(shell, door.on_withdraw(entry) => {
        correct(shell, "");
        student::withdraw(shell, entry.into());
    });
    on!(shell, door.on_add_person(id) => add_person(shell, &id));
    on!(shell, door.on_add_somebody() => add_somebody(shell));
    on!(shell, door.on_add_fact() => add_fact(shell));
    on!(shell, door.on_add_report() => add_report(shell));
    on!(shell, door.on_typed_day() => say_day(shell, SharedString::new()));
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

/// Begins an incident of the session that is at hand by one press, and goes to its timeline.
pub(in crate::screen) fn begin(shell: &Rc<Shell>) {
    let route = shell.route();
    let course = route.in_course();
    // An alarm that cannot be read keeps nobody from beginning.
    let from = open_alarm(shell, &course, route.session.as_deref())
        .ok()
        .flatten();
    let begun = shell.record(Request::BeginIncident {
        course,
        session: route.session.clone(),
        who: Vec::new(),
        when: None,
        from,
    });
    let entry = begun.and_then(|receipt| receipt.entries.into_iter().next());
    if let Some(one) = entry {
        open(shell, &route, &one.entry);
    }
}

/// Goes to the timeline of an incident of the course that one is in.
pub(in crate::screen) fn open(shell: &Rc<Shell>, from: &Route, incident: &str) {
    shell.open(from.here(Screen::Timeline).incident(incident));
}

/// The latest alarm of a session, where it has not ended and no incident grew out of it yet.
fn open_alarm(
    shell: &Rc<Shell>,
    course: &str,
    session: Option<&str>,
) -> Result<Option<String>, Fault> {
    let Some(session) = session else {
        return Ok(None);
    };
    let desk = shell.desk();
    let alarms = desk.emergency(course.to_owned(), session.to_owned())?;
    let Some(alarm) = alarms.alarms.last().filter(|one| one.ended.is_none()) else {
        return Ok(None);
    };
    let incidents = desk.incidents(course.to_owned())?.rows;
    for row in incidents.iter().filter(|row| row.withdrawn.is_none()) {
        let view = desk.incident(course.to_owned(), row.entry.clone())?;
        if view.moments.iter().any(|one| one.entry == alarm.entry) {
            return Ok(None);
        }
    }
    Ok(Some(alarm.entry.clone()))
}

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
    for set in [
        TimelineDoor::set_words,
        TimelineDoor::set_somebody,
        TimelineDoor::set_said,
        TimelineDoor::set_to,
        TimelineDoor::set_by,
        TimelineDoor::set_by_fault,
        TimelineDoor::set_time_fault,
        TimelineDoor::set_done,
        TimelineDoor::set_refused,
    ] {
        set(door, SharedString::new());
    }
    door.set_written(false);
    door.set_part(0);
    door.set_about(0);
}

/// What is being typed, and for which moment.
fn draw(shell: &Rc<Shell>) {
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

/// Adds to the incident that is shown.
fn add(shell: &Rc<Shell>, request: impl FnOnce(String, String) -> Request) -> bool {
    let route = shell.route();
    let (course, incident) = (route.in_course(), route.incident.unwrap_or_default());
    shell.record(request(course, incident)).is_some()
}

fn happened(shell: &Rc<Shell>, n: i32) {
    let place = usize::try_from(n).ok();
    let what = place.and_then(|n| lines::HAPPENINGS.get(n).cloned());
    let Some(what) = what else { return };
    add(shell, |course, incident| Request::AddIncidentMoment {
        course,
        incident,
        what,
        when: None,
        who: None,
        text: None,
    });
}

fn note(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimelineDoor>();
    let text = door.get_words().trim().to_owned();
    let done = add(shell, |course, incident| Request::AddIncidentMoment {
        course,
        incident,
        what: Happening::Other,
        when: None,
        who: None,
        text: Some(text),
    });
    if done {
        door.set_words("".into());
    }
}

/// A moment of the incident that is shown, by its entry.
fn moment_of(kept: &Kept, entry: &str) -> Option<TimelineRow> {
    let view = kept.view.borrow();
    let rows = view.as_ref().map(|view| &view.moments)?;
    rows.iter().find(|row| row.entry == entry).cloned()
}

/// Opens a moment to put its time right; the one that is open is closed. Closes all for none.
fn correct(shell: &Rc<Shell>, entry: &str) {
    let kept = shell.kept::<Kept>();
    let row = moment_of(&kept, entry);
    let days = row.as_ref().map(|row| {
        let day = |after: &i32| shell.desk().day(Some(row.when.day.date.clone()), *after);
        DAYS.iter().map(day).collect::<Result<Vec<_>, _>>()
    });
    match days {
        Some(Ok(days)) => {
            // The moment's own day stands in the middle.
            kept.days.replace(days);
            kept.day.set(1);
        }
        Some(Err(fault)) => return shell.fault(&fault),
        None => {}
    }
    kept.active.replace(row.map(|row| row.entry));
    typed(shell, String::clear);
}

fn typed(shell: &Rc<Shell>, how: impl FnOnce(&mut String)) {
    how(&mut shell.kept::<Kept>().typed.borrow_mut());
    say_time(shell, SharedString::new());
    draw(shell);
}

fn say_time(shell: &Shell, fault: SharedString) {
    if let Some(ui) = shell.ui() {
        ui.global::<TimelineDoor>().set_time_fault(fault);
    }
}

fn say_day(shell: &Shell, fault: SharedString) {
    if let Some(ui) = shell.ui() {
        ui.global::<TimelineDoor>().set_by_fault(fault);
    }
}

/// The moment again with the time that was typed, and the one that stood there withdrawn: both
/// or neither, and one undo takes back both.
fn timed(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let entry = kept.active.borrow().clone().unwrap_or_default();
    let Some(row) = moment_of(&kept, &entry) else {
        return correct(shell, "");
    };
    let text = kept.typed.borrow().clone();
    let day = kept.days.borrow().get(kept.day.get()).cloned();
    let date = day.map_or_else(|| row.when.day.date.clone(), |day| day.date);
    // Nothing typed: the time of day stays, and the day may be another.
    let text = if text.is_empty() {
        words::clock(&row.when).into()
    } else {
        text
    };
    let read = shell.desk().read_clock(date, text);
    let at = match read {
        Ok(at) => at,
        Err(fault) => return say_time(shell, words::fault(&ui, &fault)),
    };
    let TimelineWhat::Happened { what } = row.what else {
        return correct(shell, "");
    };
    let route = shell.route();
    let course = route.in_course();
    let ledger = match course_ledger(course.clone()) {
        Ok(ledger) => ledger,
        Err(fault) => return shell.fault(&fault),
    };
    let requests = vec![
        Request::Withdraw {
            ledger,
            entry,
            why: None,
        },
        Request::AddIncidentMoment {
            course,
            incident: route.incident.unwrap_or_default(),
            what,
            when: Some(at.at),
            who: row.who.first().map(Who::from),
            text: row.text,
        },
    ];
    if shell.record_all(requests).is_some() {
        correct(shell, "");
    }
}

fn add_person(shell: &Rc<Shell>, id: &str) {
    let who = {
        let kept = shell.kept::<Kept>();
        let known = kept.known.borrow();
        let chip = known.iter().find(|chip| chip.id == id);
        chip.map(words::who_of)
    };
    if who.is_some() {
        named(shell, who, None);
    }
}

fn add_somebody(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimelineDoor>();
    let text = door.get_somebody().trim().to_owned();
    if named(shell, None, Some(text)) {
        door.set_somebody("".into());
    }
}

fn named(shell: &Rc<Shell>, who: Option<Who>, text: Option<String>) -> bool {
    let Some(ui) = shell.ui() else { return false };
    let part = if ui.global::<TimelineDoor>().get_part() == 0 {
        PartIn::Concerned
    } else {
        PartIn::Witness
    };
    add(shell, |course, incident| Request::AddIncidentPerson {
        course,
        incident,
        part,
        who,
        text,
    })
}

fn add_fact(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimelineDoor>();
    let about = match door.get_about() {
        0 => FactAbout::Happened,
        1 => FactAbout::Conditions,
        2 => FactAbout::Done,
        _ => FactAbout::Kept,
    };
    let text = door.get_said().trim().to_owned();
    let done = add(shell, |course, incident| Request::AddIncidentFact {
        course,
        incident,
        about,
        text,
    });
    if done {
        door.set_said("".into());
    }
}

fn add_report(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimelineDoor>();
    let to = door.get_to().trim().to_owned();
    let day = door.get_by().trim().to_owned();
    let by = match (!day.is_empty()).then(|| shell.desk().read_day(day)) {
        None => None,
        Some(Ok(day)) => Some(day.date),
        Some(Err(fault)) => return say_day(shell, words::fault(&ui, &fault)),
    };
    let done = add(shell, |course, incident| Request::AddIncidentReport {
        course,
        incident,
        to,
        by,
    });
    if done {
        door.set_to("".into());
        door.set_by("".into());
    }
}

/// Prints the sheet, and says where it is or why there is none. Nothing sends it.
fn print(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimelineDoor>();
    let kept = shell.kept::<Kept>();
    let day = {
        let view = kept.view.borrow();
        let day = view.as_ref().map(|view| view.incident.when.day.date.clone());
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
