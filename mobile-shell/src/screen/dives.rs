//! Dives and weights: the lists, and the two forms that add to them.

mod file;
mod form;
mod group;
mod size;

use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    AscentVerdict, ClimbView, DayIs, DiveDay, DiveRow, Figure, Leave, WeightRow, WeightVerdict,
    Weighting,
};

use super::student::withdraw;
use crate::shell::{Shell, on, rows};
use crate::ui::{self, AppDoor, AscentRow, Climb, CourseWords, DivesDoor, LeadRow, Load, Screen};
use crate::words;

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DivesDoor>();
    form::join(shell);
    file::join(shell);
    size::join(shell);
    on!(shell, door.on_withdraw(entry) => withdraw(shell, entry.into()));
    on!(shell, door.on_open_lead(student) => {
        shell.open(shell.route().here(Screen::Calculators).student(student));
    });
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<DivesDoor>();
    let route = shell.route();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Dives), "");
    let course = route.in_course();
    if course.is_empty() {
        door.set_fault(ui.global::<CourseWords>().invoke_no_course());
        door.set_load(Load::Failed);
        return;
    }
    let view = shell.see(shell.desk().water(course, route.student), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    door.set_dives(rows(view.dives.iter().map(dive_row)));
    door.set_weights(rows(view.weights.iter().map(weight_row)));
    door.set_leads(rows(view.leads.iter().map(lead_row)));
    let today = |day: &&DiveDay| day.day.is == DayIs::Today && day.ascents > 0;
    door.set_ascents(rows(view.days.iter().filter(today).map(ascent_row)));
    door.set_fault("".into());
    form::draw(shell);
    door.set_load(Load::Ready);
}

fn dive_row(row: &DiveRow) -> ui::DiveRow {
    let gas: Vec<SharedString> = [&row.start, &row.end]
        .into_iter()
        .flatten()
        .map(words::figure)
        .collect();
    let gas: Vec<&str> = gas.iter().map(SharedString::as_str).collect();
    ui::DiveRow {
        entry: row.entry.to_string().into(),
        number: row.number.map(words::count).unwrap_or_default(),
        who: words::who(&row.who).into(),
        day: words::day(&row.down.day),
        down: words::clock(&row.down),
        up: words::clock(&row.up),
        span: words::span(&row.span),
        depth: words::figure(&row.max_depth),
        gas: gas.join(" → ").into(),
        rate: row.used.as_ref().map(words::figure).unwrap_or_default(),
        mean: row
            .mean_depth
            .as_ref()
            .map(words::figure)
            .unwrap_or_default(),
        consumption: row
            .consumption
            .as_ref()
            .map(words::figure)
            .unwrap_or_default(),
        temperature: row
            .temperature
            .as_ref()
            .map(words::figure)
            .unwrap_or_default(),
        verdict: words::verdict(&row.depth_limit),
        may_withdraw: row.may_withdraw == Leave::Yes,
        ..climbed(row.climb.as_ref())
    }
}

/// How a recorded dive came up.
fn climbed(climb: Option<&ClimbView>) -> ui::DiveRow {
    let Some(climb) = climb else {
        return ui::DiveRow::default();
    };
    let figure = |figure: Option<&Figure>| figure.map(words::figure).unwrap_or_default();
    ui::DiveRow {
        climb: match climb.verdict {
            AscentVerdict::Within => Climb::Within,
            AscentVerdict::AtTheLimit => Climb::AtTheLimit,
            AscentVerdict::TooFast => Climb::TooFast,
        },
        fastest: words::figure(&climb.sustained),
        most: words::figure(&climb.limit),
        stop: figure(climb.stop.as_ref()),
        stop_depth: figure(climb.stop_depth.as_ref()),
        last_metres: figure(climb.last_metres.as_ref()),
        ..ui::DiveRow::default()
    }
}

fn weight_row(row: &WeightRow) -> ui::WeightRow {
    ui::WeightRow {
        entry: row.entry.to_string().into(),
        who: words::who(&row.who).into(),
        when: words::moment(&row.at),
        lead: words::figure(&row.lead),
        water: words::water(&row.water),
        suit: row.suit.clone().into(),
        cylinder: row.cylinder.clone().into(),
        pressure: words::figure(&row.pressure),
        verdict: match row.verdict {
            WeightVerdict::Right => 0,
            WeightVerdict::Heavy => 1,
            WeightVerdict::Light => 2,
        },
        may_withdraw: row.may_withdraw == Leave::Yes,
    }
}

fn lead_row(known: &Weighting) -> LeadRow {
    let mut row = LeadRow {
        student: known.student.student.to_string().into(),
        who: known.student.name.clone().into(),
        ..LeadRow::default()
    };
    if let Some(last) = &known.last {
        row.checked = true;
        row.lead = words::figure(&last.lead);
        row.water = words::water(&last.water);
        row.cylinder = last.cylinder.clone().into();
        row.pressure = words::figure(&last.pressure);
        row.when = words::moment(&last.at);
    }
    row
}

fn ascent_row(day: &DiveDay) -> AscentRow {
    AscentRow {
        who: words::who(&day.who).into(),
        count: words::count(day.ascents),
        verdict: words::verdict(&day.ascents_limit),
    }
}
