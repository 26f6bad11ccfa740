//! Times: one person's times in and out of the water, entered or put right afterwards.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::{ComponentHandle, ModelRc, SharedString, VecModel};
use tallywater_bindings::{
    HeadcountRow, InWater, Leave, Moment, Passage, Place, Request, TimeSaid, TimesInWater, Who,
    WhoName,
};

use crate::shell::{Shell, fill, on};
use crate::ui::{AppDoor, Load, Screen, TimesDoor, TimesRow};
use crate::words;

/// One dive as it is on screen.
#[derive(Clone, Default, PartialEq)]
struct Dive {
    down: Option<Moment>,
    up: Option<Moment>,
}

#[derive(Default)]
struct Kept {
    /// Of which session and whom the form is.
    of: RefCell<Option<(String, String)>>,
    who: RefCell<Option<Who>>,
    /// The times as the headcount has them.
    counted: RefCell<Vec<TimesInWater>>,
    dives: RefCell<Vec<Dive>>,
    /// The day of the session: a time of day is of that day.
    day: RefCell<Option<Moment>>,
    active: Cell<Option<usize>>,
    typed: RefCell<String>,
    rows: Rc<VecModel<TimesRow>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimesDoor>();
    on!(shell, door.on_edit(field) => edit(shell, field));
    on!(shell, door.on_key(key) => typed(shell, |text| text.push_str(&key)));
    on!(shell, door.on_erase() => typed(shell, |text| { text.pop(); }));
    on!(shell, door.on_done() => done(shell));
    on!(shell, door.on_more() => more(shell));
    on!(shell, door.on_drop(dive) => drop_dive(shell, dive));
    on!(shell, door.on_record() => record(shell));
    on!(shell, door.on_stay_away() => stay_away(shell));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimesDoor>();
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::Times);
    let (course, session) = (route.in_course(), route.session.unwrap_or_default());
    let person = route.student.unwrap_or_default();
    let seen = shell
        .desk()
        .headcount(course.clone(), session.clone())
        .and_then(|count| Ok((count, shell.desk().session(course, session.clone())?)));
    let seen = shell.see(seen, |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some((count, planned)) = seen else { return };
    let row = count.rows.iter().find(|row| id(row) == person);
    let Some(row) = row else {
        door.set_load(Load::Failed);
        return;
    };
    let name = match &row.name {
        WhoName::Student(name) => name.name.clone(),
        WhoName::Staff(name) => name.name.clone(),
    };
    shell.title(name, heading);
    let of = Some((session, person));
    // What was typed stays while something else arrives; another person's is another form.
    let fresh = *kept.of.borrow() != of || *kept.counted.borrow() != row.dives;
    if fresh {
        if *kept.of.borrow() != of {
            door.set_recorded(false);
        }
        kept.of.replace(of);
        kept.who.replace(Some(Who::from(&row.name)));
        kept.counted.replace(row.dives.clone());
        kept.dives.replace(row.dives.iter().map(dive).collect());
        kept.day.replace(Some(planned.starts));
        kept.active.take();
        kept.typed.borrow_mut().clear();
        door.set_fault("".into());
    }
    door.set_may_stay_away(row.place == Place::NotSeen && count.may_count == Leave::Yes);
    draw(shell);
    door.set_load(Load::Ready);
}

fn id(row: &HeadcountRow) -> String {
    match &row.name {
        WhoName::Student(name) => name.student.to_string(),
        WhoName::Staff(name) => name.staff.to_string(),
    }
}

fn dive(times: &TimesInWater) -> Dive {
    let at = |said: &Option<TimeSaid>| said.as_ref().map(|said| said.at);
    Dive {
        down: at(&times.down),
        up: at(&times.up),
    }
}

fn draw(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<TimesDoor>();
    let kept = shell.kept::<Kept>();
    let (dives, counted) = (kept.dives.borrow(), kept.counted.borrow());
    let clock = |at: &Option<Moment>| at.as_ref().map(words::clock).unwrap_or_default();
    // Only a time that stands as it was written has a time of writing.
    let written = |at: &Option<Moment>, said: Option<&TimeSaid>| {
        let said = said.filter(|said| at.as_ref() == Some(&said.at));
        said.and_then(words::written).unwrap_or_default()
    };
    let rows = dives.iter().enumerate().map(|(place, dive)| {
        let said = counted.get(place);
        TimesRow {
            down: clock(&dive.down),
            up: clock(&dive.up),
            down_written: written(&dive.down, said.and_then(|said| said.down.as_ref())),
            up_written: written(&dive.up, said.and_then(|said| said.up.as_ref())),
        }
    });
    fill(&kept.rows, rows.collect());
    door.set_rows(ModelRc::from(Rc::clone(&kept.rows)));
    if let Some(day) = kept.day.borrow().as_ref() {
        door.set_day(words::day(&day.day));
    }
    door.set_active(kept.active.get().map_or(-1, words::count));
    door.set_typed(kept.typed.borrow().clone().into());
    let stand: Vec<Dive> = counted.iter().map(dive).collect();
    door.set_changed(*dives != stand);
}

fn edit(shell: &Rc<Shell>, field: i32) {
    let kept = shell.kept::<Kept>();
    let field = usize::try_from(field).ok();
    let same = kept.active.get() == field;
    kept.active.set(field.filter(|_| !same));
    typed(shell, String::clear);
}

fn typed(shell: &Rc<Shell>, how: impl FnOnce(&mut String)) {
    how(&mut shell.kept::<Kept>().typed.borrow_mut());
    say(shell, SharedString::new());
    draw(shell);
}

fn say(shell: &Shell, fault: SharedString) {
    if let Some(ui) = shell.ui() {
        ui.global::<TimesDoor>().set_fault(fault);
    }
}

/// The time of day that was typed, on the session's day; an empty one takes the time away.
fn done(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let Some(field) = kept.active.get() else {
        return;
    };
    let text = kept.typed.borrow().clone();
    let day = kept.day.borrow().as_ref().map(|at| at.day.date.to_string());
    let mut read = None;
    if let Some(day) = day.filter(|_| !text.is_empty()) {
        match shell.desk().read_clock(day, text) {
            Ok(at) => read = Some(at),
            Err(fault) => return say(shell, words::fault(&ui, &fault)),
        }
    }
    let waits = {
        let mut dives = kept.dives.borrow_mut();
        let Some(dive) = dives.get_mut(field / 2) else {
            return;
        };
        if field % 2 == 0 {
            dive.down = read;
        } else {
            dive.up = read;
        }
        field % 2 == 0 && dive.up.is_none()
    };
    // After going in one is asked for coming out.
    kept.active.set(waits.then_some(field.saturating_add(1)));
    typed(shell, String::clear);
}

fn more(shell: &Rc<Shell>) {
    let kept = shell.kept::<Kept>();
    let place = {
        let mut dives = kept.dives.borrow_mut();
        dives.push(Dive::default());
        dives.len().saturating_sub(1)
    };
    kept.active.set(Some(place.saturating_mul(2)));
    typed(shell, String::clear);
}

fn drop_dive(shell: &Rc<Shell>, place: i32) {
    let kept = shell.kept::<Kept>();
    {
        let mut dives = kept.dives.borrow_mut();
        if let Some(place) = usize::try_from(place).ok().filter(|it| *it < dives.len()) {
            dives.remove(place);
        }
    }
    kept.active.take();
    typed(shell, String::clear);
}

/// Who did not come is left to the headcount, where the next one is counted.
fn stay_away(shell: &Rc<Shell>) {
    let route = shell.route();
    let Some(who) = shell.kept::<Kept>().who.borrow().clone() else {
        return;
    };
    let request = Request::Pass {
        course: route.in_course(),
        session: route.session.unwrap_or_default(),
        who,
        passage: Passage::Absent,
        when: None,
    };
    if shell.record(request).is_some() {
        shell.back();
    }
}

fn record(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    let Some(who) = kept.who.borrow().clone() else {
        return;
    };
    let dives = kept.dives.borrow().clone();
    let dives: Option<Vec<InWater>> = dives
        .into_iter()
        .map(|dive| {
            Some(InWater {
                down: dive.down?.at.to_rfc3339(),
                up: dive.up.map(|up| up.at.to_rfc3339()),
            })
        })
        .collect();
    let Some(dives) = dives else {
        let empty = tallywater_bindings::Fault::rule("text_empty").of("time");
        return say(shell, words::fault(&ui, &empty));
    };
    let request = Request::SetTimes {
        course: route.in_course(),
        session: route.session.unwrap_or_default(),
        who,
        dives,
    };
    let mut refused = None;
    let done = shell.record_or(request, |fault| {
        refused = Some(fault.clone());
        true
    });
    match refused {
        Some(fault) => say(shell, words::fault(&ui, &fault)),
        None if done.is_some() => ui.global::<TimesDoor>().set_recorded(true),
        None => {}
    }
}
