//! The forms: a dive to log for one or a whole group, a weight check to record.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::{ComponentHandle, Model as _, SharedString};
use tallywater_bindings::{
    Columns, DiveLog, DiveSheetRow, Fault, FigureKind, Request, WeightCheck, WeightVerdict,
    unit_symbol,
};

use super::file;
use super::group::{gas, id_of, prefill};
use super::size;
use crate::screen::plan;
use crate::shell::{Shell, on, rows};
use crate::ui::{App, CourseWords, DivesDoor, FieldRow, GroupRow, PersonChip};
use crate::words;

/// What a form asks for, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Asks {
    Date,
    Down,
    Up,
    Deepest,
    Mean,
    Capacity,
    Oxygen,
    Start,
    End,
    Temperature,
    Ascents,
    Lead,
    Suit,
    Cylinder,
    Pressure,
}

pub(super) const DIVE: [Asks; 11] = [
    Asks::Date,
    Asks::Down,
    Asks::Up,
    Asks::Deepest,
    Asks::Mean,
    Asks::Capacity,
    Asks::Oxygen,
    Asks::Start,
    Asks::End,
    Asks::Temperature,
    Asks::Ascents,
];
/// A field of the group's table is numbered from here: two for each person.
pub(super) const TABLE: usize = 100;
const CHECK: [Asks; 5] = [
    Asks::Lead,
    Asks::Suit,
    Asks::Cylinder,
    Asks::Capacity,
    Asks::Pressure,
];

impl Asks {
    const fn kind(self) -> Option<FigureKind> {
        match self {
            Self::Date | Self::Down | Self::Up | Self::Suit | Self::Cylinder => None,
            Self::Deepest | Self::Mean => Some(FigureKind::Depth),
            Self::Oxygen => Some(FigureKind::Percent),
            Self::Capacity => Some(FigureKind::Cylinder),
            Self::Start | Self::End | Self::Pressure => Some(FigureKind::Pressure),
            Self::Temperature => Some(FigureKind::Temperature),
            Self::Ascents => Some(FigureKind::Count),
            Self::Lead => Some(FigureKind::Lead),
        }
    }

    fn name(self, ui: &App) -> SharedString {
        let says = ui.global::<CourseWords>();
        match self {
            Self::Date => says.get_dive_date(),
            Self::Down => says.get_down(),
            Self::Up => says.get_up(),
            Self::Deepest => says.get_deepest(),
            Self::Mean => says.get_mean_depth(),
            Self::Oxygen => says.get_oxygen(),
            Self::Capacity => says.get_capacity(),
            Self::Start => says.get_start_pressure(),
            Self::End => says.get_end_pressure(),
            Self::Temperature => says.get_temperature(),
            Self::Ascents => says.get_ascents(),
            Self::Lead => says.get_lead(),
            Self::Suit => says.get_suit(),
            Self::Cylinder => says.get_cylinder(),
            Self::Pressure => says.get_check_pressure(),
        }
    }
}

#[derive(Default)]
pub(super) struct Kept {
    pub(super) texts: RefCell<Vec<(String, usize)>>,
    pub(super) chosen: RefCell<Vec<String>>,
    /// What is known of the session, its people with what was typed for each: start and end.
    pub(super) sheet: RefCell<Vec<(DiveSheetRow, [String; 2])>>,
    pub(super) water: Cell<i32>,
    /// Whether the field on the pad still shows what it began with: the first key replaces it.
    pub(super) fresh: Cell<bool>,
    pub(super) faults: RefCell<Option<(usize, SharedString)>>,
}

pub(super) fn asks(form: i32) -> &'static [Asks] {
    match form {
        1 => &DIVE,
        2 => &CHECK,
        _ => &[],
    }
}

pub(super) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DivesDoor>();
    on!(shell, door.on_choose_form(form) => begin(shell, form));
    on!(shell, door.on_toggle(id) => {
        words::toggle(&mut shell.kept::<Kept>().chosen.borrow_mut(), &id);
        draw(shell);
    });
    on!(shell, door.on_set_water(n) => {
        shell.kept::<Kept>().water.set(n);
        draw(shell);
    });
    on!(shell, door.on_set_verdict(n) => {
        if let Some(ui) = shell.ui() {
            ui.global::<DivesDoor>().set_verdict(n);
        }
    });
    on!(shell, door.on_choose(id, n) => choose(shell, &id, n));
    on!(shell, door.on_edit(n) => {
        if let Some(ui) = shell.ui() {
            let door = ui.global::<DivesDoor>();
            door.set_field(if door.get_field() == n { -1 } else { n });
            shell.kept::<Kept>().fresh.set(true);
        }
    });
    on!(shell, door.on_key(key) => typed(shell, |text, fresh| {
        if fresh {
            text.clear();
        }
        text.push_str(&key);
    }));
    on!(shell, door.on_erase() => typed(shell, |text, _| { text.pop(); }));
    on!(shell, door.on_done() => {
        if let Some(ui) = shell.ui() {
            ui.global::<DivesDoor>().set_field(-1);
        }
    });
    on!(shell, door.on_record() => record(shell));
}

fn begin(shell: &Rc<Shell>, form: i32) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DivesDoor>();
    let kept = shell.kept::<Kept>();
    kept.texts
        .replace(vec![(String::new(), 0); asks(form).len()]);
    kept.chosen.borrow_mut().clear();
    if let Some(student) = shell.route().student {
        kept.chosen.borrow_mut().push(student);
    }
    kept.faults.take();
    kept.sheet.borrow_mut().clear();
    if form == 1 {
        prefill(shell);
    }
    door.set_form(form);
    door.set_field(-1);
    door.set_verdict(-1);
    door.set_form_fault("".into());
    file::begin(shell);
    draw(shell);
}

/// The form that is open, as it stands.
pub(super) fn draw(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DivesDoor>();
    let kept = shell.kept::<Kept>();
    let form = door.get_form();
    if form == 0 {
        return;
    }
    door.set_water(kept.water.get());
    door.set_people(rows(people(shell, form)));
    let faults = kept.faults.borrow();
    let texts = kept.texts.borrow();
    let fields = asks(form).iter().zip(texts.iter()).enumerate();
    let fields = fields.map(|(n, (asks, (text, chosen)))| {
        let fault = faults.as_ref().filter(|(at, _)| *at == n);
        FieldRow {
            id: slint::format!("{n}"),
            name: asks.name(&ui),
            text: text.into(),
            unit: unit(shell, *asks),
            choices: rows(choices(&ui, *asks)),
            chosen: words::count(*chosen),
            fault: fault.map(|(_, says)| says.clone()).unwrap_or_default(),
        }
    });
    door.set_fields(rows(fields));
    let chosen = kept.chosen.borrow();
    let sheet = kept.sheet.borrow();
    let table = sheet.iter().enumerate();
    let table = table.filter(|(_, (row, _))| chosen.contains(&id_of(&row.who)));
    door.set_table(rows(table.map(|(n, (row, [start, end]))| {
        let fault = |field: usize| {
            let found = faults
                .as_ref()
                .filter(|(at, _)| *at == TABLE + 2 * n + field);
            found.map(|(_, says)| says.clone()).unwrap_or_default()
        };
        GroupRow {
            who: words::who(&row.who).into(),
            cylinder: row.capacity.as_ref().map(words::figure).unwrap_or_default(),
            logged: row.logged,
            start: start.into(),
            end: end.into(),
            start_field: words::count(TABLE + 2 * n),
            end_field: words::count(TABLE + 2 * n + 1),
            start_fault: fault(0),
            end_fault: fault(1),
        }
    })));
    door.set_pressure_unit(unit(shell, Asks::Start));
    size::show(shell, form, &texts);
}

fn unit(shell: &Shell, asks: Asks) -> SharedString {
    match asks.kind() {
        Some(kind) => {
            let unit = shell.desk().figure_unit(kind).and_then(unit_symbol);
            unit.unwrap_or_default().into()
        }
        None if matches!(asks, Asks::Down | Asks::Up) => ":".into(),
        None if matches!(asks, Asks::Date) => " ".into(),
        None => SharedString::new(),
    }
}

fn choices(ui: &App, asks: Asks) -> Vec<SharedString> {
    let says = ui.global::<CourseWords>();
    match asks {
        Asks::Suit => vec![
            says.get_suit_none(),
            says.get_suit_3(),
            says.get_suit_5(),
            says.get_suit_7(),
            says.get_suit_two(),
            says.get_suit_dry(),
        ],
        Asks::Cylinder => vec![says.get_steel(), says.get_aluminium()],
        Asks::Date
        | Asks::Down
        | Asks::Up
        | Asks::Deepest
        | Asks::Mean
        | Asks::Capacity
        | Asks::Oxygen
        | Asks::Start
        | Asks::End
        | Asks::Temperature
        | Asks::Ascents
        | Asks::Lead
        | Asks::Pressure => Vec::new(),
    }
}

/// Who can be chosen: a dive is anybody's, a weight check a student's.
fn people(shell: &Rc<Shell>, form: i32) -> Vec<PersonChip> {
    let desk = shell.desk();
    let kept = shell.kept::<Kept>();
    let chosen = kept.chosen.borrow();
    let course = shell.route().in_course();
    let board = desk.board(course, None, Columns::All);
    let students = board.map(|board| board.rows).unwrap_or_default();
    let mut chips: Vec<PersonChip> = students
        .iter()
        .map(|row| {
            let on = chosen.contains(&row.name.student.to_string());
            words::student_chip(&row.name, on, 0)
        })
        .collect();
    if form != 2 {
        let staff = desk.staff().map(|view| view.staff).unwrap_or_default();
        chips.extend(staff.into_iter().map(|row| PersonChip {
            on: chosen.contains(&row.name.staff.to_string()),
            id: row.name.staff.to_string().into(),
            called: row.name.name.into(),
            staff: true,
            ..PersonChip::default()
        }));
    }
    chips
}

fn choose(shell: &Rc<Shell>, field: &str, choice: i32) {
    {
        let kept = shell.kept::<Kept>();
        let mut texts = kept.texts.borrow_mut();
        let place: Option<usize> = field.parse().ok();
        if let (Some(one), Ok(choice)) = (
            place.and_then(|n| texts.get_mut(n)),
            usize::try_from(choice),
        ) {
            one.1 = choice;
        }
    }
    draw(shell);
}

fn typed(shell: &Rc<Shell>, change: impl FnOnce(&mut String, bool)) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let place = usize::try_from(ui.global::<DivesDoor>().get_field()).ok();
    let fresh = kept.fresh.replace(false);
    {
        let mut texts = kept.texts.borrow_mut();
        let mut sheet = kept.sheet.borrow_mut();
        match place.and_then(|n| n.checked_sub(TABLE)) {
            Some(n) => {
                let row = sheet.get_mut(n / 2);
                if let Some(text) = row.and_then(|(_, both)| both.get_mut(n % 2)) {
                    change(text, fresh);
                }
            }
            None => {
                if let Some((text, _)) = place.and_then(|n| texts.get_mut(n)) {
                    change(text, fresh);
                }
            }
        }
    }
    kept.faults.take();
    draw(shell);
}

/// What was typed for a field; `None` for one that was left empty.
fn read(shell: &Shell, form: i32, asked: Asks) -> Result<Option<i64>, (usize, Fault)> {
    let kept = shell.kept::<Kept>();
    let texts = kept.texts.borrow();
    let Some(place) = asks(form).iter().position(|one| *one == asked) else {
        return Ok(None);
    };
    let text = texts
        .get(place)
        .map(|(text, _)| text.as_str())
        .unwrap_or_default();
    let Some(kind) = asked.kind().filter(|_| !text.is_empty()) else {
        return Ok(None);
    };
    let read = shell.desk().read_figure(kind, text.to_owned());
    read.map(Some).map_err(|fault| (place, fault))
}

/// A figure that must be there.
fn must<T: TryFrom<i64>>(shell: &Shell, form: i32, asked: Asks) -> Result<T, (usize, Fault)> {
    let place = asks(form).iter().position(|one| *one == asked).unwrap_or(0);
    let missing = || Fault::rule("text_empty");
    let base = read(shell, form, asked)?.ok_or_else(|| (place, missing()))?;
    T::try_from(base).map_err(|_| (place, beyond(shell, asked)))
}

/// A figure that its field cannot hold.
fn beyond(shell: &Shell, asked: Asks) -> Fault {
    asked.kind().map_or_else(
        || Fault::rule("out_of_bounds"),
        |kind| Fault::beyond(kind, shell.desk().units()),
    )
}

pub(super) fn may<T: TryFrom<i64>>(
    shell: &Shell,
    form: i32,
    asked: Asks,
) -> Result<Option<T>, (usize, Fault)> {
    let place = asks(form).iter().position(|one| *one == asked).unwrap_or(0);
    let figure = read(shell, form, asked)?;
    let held = figure.map(T::try_from).transpose();
    held.map_err(|_| (place, beyond(shell, asked)))
}

/// The text of a field of the dive's form.
fn text_of(shell: &Shell, asked: Asks) -> (usize, String) {
    let place = DIVE.iter().position(|one| *one == asked).unwrap_or(0);
    let kept = shell.kept::<Kept>();
    let texts = kept.texts.borrow();
    let text = texts.get(place).map(|(text, _)| text.clone());
    (place, text.unwrap_or_default())
}

/// A time of the day that was typed.
fn time(shell: &Shell, asked: Asks) -> Result<String, (usize, Fault)> {
    let (of_day, day) = text_of(shell, Asks::Date);
    let day = shell
        .desk()
        .read_day(day)
        .map_err(|fault| (of_day, fault))?;
    let (place, text) = text_of(shell, asked);
    let read = shell.desk().read_clock(day.date.to_string(), text);
    read.map(|at| at.at.to_rfc3339())
        .map_err(|fault| (place, fault))
}

fn picked(shell: &Shell, asked: Asks) -> usize {
    let place = CHECK.iter().position(|one| *one == asked).unwrap_or(0);
    let kept = shell.kept::<Kept>();
    let texts = kept.texts.borrow();
    texts.get(place).map(|(_, chosen)| *chosen).unwrap_or(0)
}

fn dive(shell: &Shell) -> Result<DiveLog, (usize, Fault)> {
    Ok(DiveLog {
        down: time(shell, Asks::Down)?,
        up: time(shell, Asks::Up)?,
        max_depth_cm: must(shell, 1, Asks::Deepest)?,
        mean_depth_cm: may(shell, 1, Asks::Mean)?,
        ascents: may(shell, 1, Asks::Ascents)?,
        gas: None,
        water: plan::water(kept_water(shell)),
        temperature_dc: may(shell, 1, Asks::Temperature)?,
        profile: Vec::new(),
    })
}

fn kept_water(shell: &Shell) -> i32 {
    shell.kept::<Kept>().water.get()
}

fn check(shell: &Shell, ui: &App) -> Result<WeightCheck, (usize, Fault)> {
    let kept = shell.kept::<Kept>();
    let word = |asked: Asks| {
        let words = choices(ui, asked);
        words
            .get(picked(shell, asked))
            .cloned()
            .unwrap_or_default()
            .to_string()
    };
    Ok(WeightCheck {
        lead_g: must(shell, 2, Asks::Lead)?,
        water: plan::water(kept.water.get()),
        suit: word(Asks::Suit),
        capacity_dl: must(shell, 2, Asks::Capacity)?,
        cylinder: word(Asks::Cylinder),
        pressure_mbar: must(shell, 2, Asks::Pressure)?,
        verdict: match ui.global::<DivesDoor>().get_verdict() {
            1 => WeightVerdict::Heavy,
            2 => WeightVerdict::Light,
            _ => WeightVerdict::Right,
        },
    })
}

fn record(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DivesDoor>();
    let kept = shell.kept::<Kept>();
    let form = door.get_form();
    let who: Vec<PersonChip> = door.get_people().iter().filter(|chip| chip.on).collect();
    let says = ui.global::<CourseWords>();
    if who.is_empty() {
        return door.set_form_fault(says.invoke_nobody());
    }
    if form == 2 && door.get_verdict() < 0 {
        return door.set_form_fault(says.get_no_verdict());
    }
    let asked = match form {
        1 => dive(shell).and_then(|log| requests_of_dive(shell, &who, &log)),
        _ => check(shell, &ui).map(|check| requests_of_check(shell, &who, &check)),
    };
    match asked {
        // The whole group or nobody.
        Ok(requests) if form == 1 => match shell.desk().record_all(requests) {
            Ok(receipt) => {
                door.set_form_fault("".into());
                door.set_form(0);
                shell.recorded(receipt);
                shell.show_again();
            }
            Err(fault) => {
                door.set_form_fault(words::fault(&ui, &fault));
                draw(shell);
            }
        },
        Ok(requests) => {
            // One entry a person; what could not be recorded stays on the form.
            for (chip, request) in who.iter().zip(requests) {
                if shell.record(request).is_none() {
                    return draw(shell);
                }
                kept.chosen.borrow_mut().retain(|id| chip.id != id.as_str());
            }
            door.set_form_fault("".into());
            door.set_form(0);
            shell.show_again();
        }
        Err((place, fault)) => {
            kept.faults
                .replace(Some((place, words::fault(&ui, &fault))));
            draw(shell);
        }
    }
}

fn requests_of_dive(
    shell: &Shell,
    who: &[PersonChip],
    log: &DiveLog,
) -> Result<Vec<Request>, (usize, Fault)> {
    let route = shell.route();
    let one = |chip: &PersonChip| {
        let gas = gas(shell, &chip.id)?;
        Ok(Request::LogDive {
            course: route.in_course(),
            who: words::who_of(chip),
            session: route.session.clone(),
            log: DiveLog { gas, ..log.clone() },
        })
    };
    who.iter().map(one).collect()
}

fn requests_of_check(shell: &Shell, who: &[PersonChip], check: &WeightCheck) -> Vec<Request> {
    let route = shell.route();
    let one = |chip: &PersonChip| Request::CheckWeight {
        course: route.in_course(),
        student: chip.id.to_string(),
        session: route.session.clone(),
        check: check.clone(),
    };
    who.iter().map(one).collect()
}
