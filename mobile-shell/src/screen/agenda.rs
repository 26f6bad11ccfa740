//! Agenda: the school's hours of pool and site, and who is away; typed in, or taken from a
//! calendar once it was looked at.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    AgendaFault, AgendaReason, AgendaView, Away, AwayRow, Fault, FigureKind, Leave, ReadIs,
    Request, Setting, Slot, SlotRow, Tallywater, Who, WhoName,
};

use crate::shell::{Shell, on, rows};
use crate::ui::{
    AgendaDoor, AgendaLine, AgendaWords, App, AppDoor, Load, PersonChip, Screen, Words,
};
use crate::words;

#[derive(Default)]
struct Kept {
    view: RefCell<Option<AgendaView>>,
    /// Whose absence is meant.
    chosen: RefCell<Option<String>>,
    /// What a file that was looked at asks for.
    wanted: RefCell<Vec<Request>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<AgendaDoor>();
    on!(shell, door.on_choose(id) => {
        shell.kept::<Kept>().chosen.replace(Some(id.into()));
        draw(shell);
    });
    on!(shell, door.on_keep_slot() => keep(shell, typed_slot(shell)));
    on!(shell, door.on_drop_slot(id) => drop_slot(shell, &id));
    on!(shell, door.on_keep_away() => keep(shell, typed_away(shell)));
    on!(shell, door.on_drop_away(place) => drop_away(shell, &place));
    on!(shell, door.on_read_slots() => {
        if let Some(ui) = shell.ui() {
            let setting = setting(&ui.global::<AgendaDoor>());
            read(shell, move |desk, bytes| slots_of(desk, bytes, setting));
        }
    });
    on!(shell, door.on_read_away() => {
        let whose = chosen(shell);
        read(shell, move |desk, bytes| absences_of(desk, bytes, whose));
    });
    on!(shell, door.on_take() => take(shell));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<AgendaDoor>();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Agenda), "");
    let seen = shell.desk().agenda(shell.route().in_course());
    let view = shell.see(seen, |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    shell.kept::<Kept>().view.replace(Some(view));
    draw(shell);
    door.set_load(Load::Ready);
}

/// The lists; what is typed stays.
fn draw(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<AgendaDoor>();
    let kept = shell.kept::<Kept>();
    let (view, chosen) = (kept.view.borrow(), kept.chosen.borrow());
    let Some(view) = view.as_ref() else { return };
    door.set_may(view.may_set == Leave::Yes);
    door.set_slots(rows(view.slots.iter().map(|row| slot_line(&ui, row))));
    door.set_free(words::count(view.free));
    let away = view.away.iter().enumerate();
    door.set_away(rows(away.map(|(place, row)| away_line(&ui, place, row))));
    let is_chosen = |who: &WhoName| chosen.as_ref() == Some(&id_of(who));
    door.set_chosen(view.people.iter().any(is_chosen));
    door.set_people(rows(view.people.iter().map(|who| PersonChip {
        id: id_of(who).into(),
        called: called(who).into(),
        on: is_chosen(who),
        ..PersonChip::default()
    })));
}

fn id_of(who: &WhoName) -> String {
    match who {
        WhoName::Student(name) => name.student.to_string(),
        WhoName::Staff(name) => name.staff.to_string(),
    }
}

pub(super) fn called(who: &WhoName) -> &str {
    match who {
        WhoName::Student(name) => &name.short,
        WhoName::Staff(name) => &name.name,
    }
}

fn slot_line(ui: &App, row: &SlotRow) -> AgendaLine {
    let says = ui.global::<AgendaWords>();
    let when = ui
        .global::<Words>()
        .invoke_moment(words::moment(&row.starts));
    let held = match (&row.held, &row.other_course) {
        (None, _) => says.invoke_free(),
        (Some(title), None) => title.into(),
        (Some(title), Some(course)) => format!("{course}: {title}").into(),
    };
    let price = row.slot.price.as_ref();
    let price = price.map(|price| says.invoke_cost(price.into()));
    let mut detail = vec![SharedString::from(&row.slot.site), held];
    detail.extend(price);
    AgendaLine {
        id: row.slot.uid.clone().into(),
        title: says.invoke_span(when, words::clock(&row.ends)),
        detail: joined(&detail),
    }
}

fn away_line(ui: &App, place: usize, row: &AwayRow) -> AgendaLine {
    let (says, when) = (ui.global::<AgendaWords>(), ui.global::<Words>());
    let day = |at| when.invoke_day(words::day(at));
    let moment = |at| when.invoke_moment(words::moment(at));
    // A day is said once.
    let one_day = row.from.day.date == row.until.day.date;
    let detail = match (row.whole_days, one_day) {
        (true, true) => day(&row.from.day),
        (true, false) => says.invoke_span(day(&row.from.day), day(&row.until.day)),
        (false, true) => says.invoke_span(moment(&row.from), words::clock(&row.until)),
        (false, false) => says.invoke_span(moment(&row.from), moment(&row.until)),
    };
    AgendaLine {
        id: slint::format!("{place}"),
        title: called(&row.who).into(),
        detail,
    }
}

fn joined(parts: &[SharedString]) -> SharedString {
    let parts: Vec<&str> = parts.iter().map(SharedString::as_str).collect();
    parts.join(" · ").into()
}

/// Records what was typed, or says what of it cannot be read.
fn keep(shell: &Rc<Shell>, request: Result<Request, Fault>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<AgendaDoor>();
    door.set_refused("".into());
    door.set_done("".into());
    match request {
        Ok(request) => {
            shell.record(request);
        }
        Err(fault) => door.set_refused(words::fault(&ui, &fault)),
    }
}

fn typed_slot(shell: &Rc<Shell>) -> Result<Request, Fault> {
    let Some(ui) = shell.ui() else {
        return Err(Fault::rule("bad_time"));
    };
    let (door, desk) = (ui.global::<AgendaDoor>(), shell.desk());
    let kind = FigureKind::Minutes;
    let minutes = desk.read_figure(kind, door.get_minutes().into())?;
    let minutes = u16::try_from(minutes).map_err(|_| Fault::beyond(kind, desk.units()))?;
    let day = desk.day(Some(door.get_day().trim().to_owned()), 0)?;
    let begins = door.get_begins().trim().to_owned();
    let slot = Slot {
        uid: String::new(),
        setting: setting(&door),
        site: door.get_site().into(),
        starts: desk
            .read_clock(day.date.to_string(), begins)?
            .at
            .to_rfc3339(),
        minutes,
        price: Some(door.get_price().into()).filter(|price: &String| !price.trim().is_empty()),
    };
    Ok(Request::SetSlot {
        slot,
        dropped: false,
    })
}

fn setting(door: &AgendaDoor<'_>) -> Setting {
    if door.get_setting() == 0 {
        Setting::Confined
    } else {
        Setting::Open
    }
}

/// Whose absence is meant, with the course where it is a student.
fn chosen(shell: &Rc<Shell>) -> Option<(Option<String>, Who)> {
    let kept = shell.kept::<Kept>();
    let (view, id) = (kept.view.borrow(), kept.chosen.borrow());
    let (people, id) = (&view.as_ref()?.people, id.as_deref()?);
    let who = people.iter().find(|who| id_of(who) == id)?;
    Some(of(shell, who))
}

/// Nobody is chosen whose absence it is.
fn nobody() -> Fault {
    Fault::NotFound {
        what: "student".to_owned(),
        id: String::new(),
    }
}

fn of(shell: &Rc<Shell>, who: &WhoName) -> (Option<String>, Who) {
    match who {
        WhoName::Student(name) => {
            let student = name.student.to_string();
            (Some(shell.route().in_course()), Who::Student { student })
        }
        WhoName::Staff(name) => {
            let staff = name.staff.to_string();
            (None, Who::Staff { staff })
        }
    }
}

/// From a day up to and with a day; the one day, where no last one is typed.
fn typed_away(shell: &Rc<Shell>) -> Result<Request, Fault> {
    let (Some(ui), Some((course, who))) = (shell.ui(), chosen(shell)) else {
        return Err(nobody());
    };
    let (door, desk) = (ui.global::<AgendaDoor>(), shell.desk());
    let first = door.get_from().trim().to_owned();
    let last = door.get_until().trim().to_owned();
    let last = if last.is_empty() { first.clone() } else { last };
    let away = Away {
        uid: String::new(),
        from: midnight(&desk, first, 0)?,
        until: midnight(&desk, last, 1)?,
    };
    Ok(Request::SetAway {
        course,
        who,
        away,
        dropped: false,
    })
}

fn midnight(desk: &Tallywater, day: String, after: i32) -> Result<String, Fault> {
    let day = desk.day(Some(day), after)?;
    Ok(desk.moment_on(day.date.to_string(), 0, 0)?.at.to_rfc3339())
}

fn drop_slot(shell: &Rc<Shell>, id: &str) {
    let slot = {
        let kept = shell.kept::<Kept>();
        let view = kept.view.borrow();
        let rows = view.iter().flat_map(|view| &view.slots);
        let mut found = rows.filter(|row| row.slot.uid == id);
        found.next().map(|row| row.slot.clone())
    };
    if let Some(slot) = slot {
        shell.record(Request::SetSlot {
            slot,
            dropped: true,
        });
    }
}

fn drop_away(shell: &Rc<Shell>, place: &str) {
    let row = {
        let kept = shell.kept::<Kept>();
        let view = kept.view.borrow();
        let place: Option<usize> = place.parse().ok();
        let rows = view.as_ref().map(|view| &view.away);
        rows.zip(place)
            .and_then(|(rows, place)| rows.get(place).cloned())
    };
    if let Some(row) = row {
        let (course, who) = of(shell, &row.who);
        shell.record(Request::SetAway {
            course,
            who,
            away: row.away,
            dropped: true,
        });
    }
}

/// What a file says: each line with what is to be done, and what cannot be read.
struct FileSays {
    lines: Vec<(String, ReadIs, Request)>,
    bad: Vec<AgendaFault>,
}

/// Looks at a file that a person chooses, as what is chosen on the page now, and takes nothing
/// yet.
fn read(
    shell: &Rc<Shell>,
    how: impl FnOnce(&Tallywater, Vec<u8>) -> Result<FileSays, Fault> + 'static,
) {
    let Some(ui) = shell.ui() else { return };
    let title = ui.global::<AgendaWords>().invoke_choose_calendar();
    shell.choose_file(&title, &["ics", "csv"], move |shell, file| {
        let Some(ui) = shell.ui() else { return };
        forget(shell);
        let read = match file {
            Ok(file) => how(&shell.desk(), file.bytes),
            Err(says) => return ui.global::<AgendaDoor>().set_refused(says),
        };
        match read {
            Ok(found) => look_at(shell, found),
            Err(fault) => {
                let says = words::fault(&ui, &fault);
                ui.global::<AgendaDoor>().set_refused(says);
            }
        }
    });
}

/// What a file says, line by line, and how much of it there is to take.
fn look_at(shell: &Rc<Shell>, found: FileSays) {
    let Some(ui) = shell.ui() else { return };
    let (door, says) = (ui.global::<AgendaDoor>(), ui.global::<AgendaWords>());
    let mut wanted = Vec::new();
    let mut lines = Vec::new();
    for (said, stands, request) in found.lines {
        let (word, wants) = match stands {
            ReadIs::New => (0, true),
            ReadIs::Changed => (1, true),
            ReadIs::Here => (2, false),
            ReadIs::Dropped => (3, true),
            ReadIs::LeftOut => (4, false),
        };
        lines.push(joined(&[said.into(), says.invoke_stands(word)]));
        if wants {
            wanted.push(request);
        }
    }
    let bad = found.bad.iter().map(|fault| {
        let why = says.invoke_reason(reason(&fault.reason));
        says.invoke_bad(words::count(fault.line), why)
    });
    door.set_bad(rows(bad));
    door.set_read(rows(lines));
    // The same rules as the act: the role and every bound.
    if let Err(fault) = shell.desk().would_record(wanted.clone()) {
        return door.set_refused(words::fault(&ui, &fault));
    }
    door.set_to_take(words::count(wanted.len()));
    shell.kept::<Kept>().wanted.replace(wanted);
}

fn forget(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<AgendaDoor>();
    shell.kept::<Kept>().wanted.take();
    door.set_refused("".into());
    door.set_done("".into());
    door.set_read(rows(std::iter::empty::<SharedString>()));
    door.set_bad(rows(std::iter::empty::<SharedString>()));
    door.set_to_take(0);
}

fn slots_of(desk: &Tallywater, bytes: Vec<u8>, setting: Setting) -> Result<FileSays, Fault> {
    let seen = desk.look_at_slots(bytes, setting)?;
    let lines = seen.rows.into_iter().map(|row| {
        let said = format!("{} · {}", row.slot.starts, row.slot.site);
        let dropped = matches!(row.stands, ReadIs::Dropped);
        let slot = row.slot;
        (said, row.stands, Request::SetSlot { slot, dropped })
    });
    Ok(FileSays {
        lines: lines.collect(),
        bad: seen.faults,
    })
}

fn absences_of(
    desk: &Tallywater,
    bytes: Vec<u8>,
    whose: Option<(Option<String>, Who)>,
) -> Result<FileSays, Fault> {
    let (course, who) = whose.ok_or_else(nobody)?;
    let seen = desk.look_at_away(course.clone(), who.clone(), bytes)?;
    let lines = seen.rows.into_iter().map(|row| {
        let said = format!("{} – {}", row.away.from, row.away.until);
        let request = Request::SetAway {
            course: course.clone(),
            who: who.clone(),
            dropped: matches!(row.stands, ReadIs::Dropped),
            away: row.away,
        };
        (said, row.stands, request)
    });
    Ok(FileSays {
        lines: lines.collect(),
        bad: seen.faults,
    })
}

/// Takes what was looked at: all of it, or none.
fn take(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let (door, says) = (ui.global::<AgendaDoor>(), ui.global::<AgendaWords>());
    let wanted = shell.kept::<Kept>().wanted.take();
    let many = words::count(wanted.len());
    if shell.record_all(wanted).is_some() {
        forget(shell);
        door.set_done(says.invoke_taken(many));
    }
}

const fn reason(of: &AgendaReason) -> i32 {
    match of {
        AgendaReason::NoCalendar => 0,
        AgendaReason::Unclosed => 1,
        AgendaReason::NoId => 2,
        AgendaReason::NoStart => 3,
        AgendaReason::NoEnd => 4,
        AgendaReason::BadTime => 5,
        AgendaReason::UnknownZone => 6,
        AgendaReason::EndsBeforeItBegins => 7,
        AgendaReason::Repeats => 8,
        AgendaReason::Fields => 9,
        AgendaReason::Quotes => 10,
        AgendaReason::BadSetting => 11,
        AgendaReason::TooMany => 12,
    }
}
