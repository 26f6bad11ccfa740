//! Sites: where the school dives, and what is done there in an emergency.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    EmergencyPlan, Fault, Figure, FigureKind, Leave, Request, Site, SiteView, SitesView, WaterKind,
};

use super::emergency::light;
use crate::shell::{Shell, on, rows};
use crate::ui::{App, AppDoor, Load, Screen, SiteLine, SiteWords, SitesDoor};
use crate::words;

#[derive(Default)]
struct Kept {
    view: RefCell<Option<SitesView>>,
    /// The site whose form is filled; `None` before the first was.
    filled: RefCell<Option<String>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SitesDoor>();
    on!(shell, door.on_choose(id) => choose(shell, &id));
    on!(shell, door.on_keep_site() => keep_site(shell));
    on!(shell, door.on_keep_plan() => keep_plan(shell));
    on!(shell, door.on_confirm() => confirm(shell));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SitesDoor>();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Sites), "");
    let view = shell.see(shell.desk().sites(), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    let kept = shell.kept::<Kept>();
    door.set_may(view.may_set == Leave::Yes);
    let first = kept.filled.borrow().is_none();
    kept.view.replace(Some(view));
    if first {
        let site = shell
            .kept::<Kept>()
            .view
            .borrow()
            .as_ref()
            .and_then(|view| {
                let row = view.rows.first()?;
                Some(row.site.to_string())
            });
        choose(shell, &site.unwrap_or_default());
    } else {
        draw(&ui, &kept);
    }
    door.set_load(Load::Ready);
}

/// The list, and what is not typed: the rest of the form stays as it is being typed.
fn draw(ui: &App, kept: &Kept) {
    let door = ui.global::<SitesDoor>();
    let (view, filled) = (kept.view.borrow(), kept.filled.borrow());
    let Some(view) = view.as_ref() else { return };
    let chosen = filled.clone().unwrap_or_default();
    door.set_sites(rows(view.rows.iter().map(|row| SiteLine {
        id: row.site.to_string().into(),
        name: row.details.name.clone().into(),
        plan: match (&row.emergency, &row.confirmed) {
            (None, _) => 0,
            (Some(_), None) => 1,
            (Some(_), Some(_)) => 2,
        },
        confirmed: confirmed(ui, row),
        chosen: row.site == chosen,
    })));
    let row = view.rows.iter().find(|row| row.site == chosen);
    door.set_chosen(chosen.clone().into());
    door.set_has_plan(row.is_some_and(|row| row.emergency.is_some()));
    door.set_confirmed(row.map(|row| confirmed(ui, row)).unwrap_or_default());
    let daylight = row.and_then(|row| row.light.as_ref());
    door.set_light(daylight.map(|one| light(ui, one)).unwrap_or_default());
}

fn confirmed(ui: &App, row: &SiteView) -> SharedString {
    let held = row.confirmed.as_ref().map(|held| {
        let (who, on) = (held.by.name.clone(), held.on.date.to_string());
        ui.global::<SiteWords>()
            .invoke_confirmed(who.into(), on.into())
    });
    held.unwrap_or_default()
}

/// Fills the form with a site, or empties it for a new one.
fn choose(shell: &Rc<Shell>, id: &str) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SitesDoor>();
    let kept = shell.kept::<Kept>();
    kept.filled.replace(Some(id.to_owned()));
    let row = {
        let view = kept.view.borrow();
        let rows = view.as_ref().map(|view| &view.rows);
        rows.and_then(|rows| rows.iter().find(|row| row.site == id).cloned())
    };
    let figure = |figure: Option<&Figure>| {
        SharedString::from(figure.map(|one| one.text.clone()).unwrap_or_default())
    };
    let site = row.as_ref();
    let details = site.map(|row| &row.details);
    let text = |of: fn(&Site) -> &String| {
        SharedString::from(details.map(|one| of(one).clone()).unwrap_or_default())
    };
    door.set_name(text(|site| &site.name));
    door.set_access(text(|site| &site.access));
    door.set_entry(text(|site| &site.entry));
    door.set_hazards(text(|site| &site.hazards));
    door.set_tides(text(|site| &site.tides));
    door.set_position(
        site.map(|row| row.position.clone())
            .unwrap_or_default()
            .into(),
    );
    door.set_altitude(figure(site.and_then(|row| row.altitude.as_ref())));
    door.set_depth(figure(site.and_then(|row| row.depth.as_ref())));
    door.set_temperature(figure(site.and_then(|row| row.temperature.as_ref())));
    door.set_water(match details.and_then(|one| one.water.as_ref()) {
        None => 0,
        Some(WaterKind::Fresh) => 1,
        Some(WaterKind::Brackish) => 2,
        Some(WaterKind::Salt) => 3,
    });
    let plan = site.and_then(|row| row.emergency.as_ref());
    let part = |of: fn(&EmergencyPlan) -> &String| {
        SharedString::from(plan.map(|one| of(one).clone()).unwrap_or_default())
    };
    door.set_numbers(part(|plan| &plan.numbers));
    door.set_address(part(|plan| &plan.address));
    door.set_oxygen(part(|plan| &plan.oxygen));
    door.set_first_aid(part(|plan| &plan.first_aid));
    door.set_chamber(part(|plan| &plan.chamber));
    door.set_hospital(part(|plan| &plan.hospital));
    door.set_assembly(part(|plan| &plan.assembly));
    door.set_roles(part(|plan| &plan.roles));
    door.set_refused("".into());
    door.set_done("".into());
    draw(&ui, &kept);
}

/// What was typed of a site, its figures read.
fn typed(shell: &Rc<Shell>, door: &SitesDoor<'_>) -> Result<Site, Fault> {
    let desk = shell.desk();
    let text = |text: SharedString| text.trim().to_owned();
    let figure =
        |kind: FigureKind, field: &str, typed: SharedString| -> Result<Option<i64>, Fault> {
            let typed = typed.trim().to_owned();
            if typed.is_empty() {
                return Ok(None);
            }
            let read = desk.read_figure(kind, typed);
            read.map(Some).map_err(|fault| fault.of(field))
        };
    let beyond = |kind: FigureKind, field: &str| Fault::beyond(kind, desk.units()).of(field);
    let depth = figure(FigureKind::Depth, "depth", door.get_depth())?;
    let altitude = figure(FigureKind::Altitude, "height", door.get_altitude())?;
    let warm = figure(
        FigureKind::Temperature,
        "temperature",
        door.get_temperature(),
    )?;
    Ok(Site {
        name: text(door.get_name()),
        access: text(door.get_access()),
        entry: text(door.get_entry()),
        hazards: text(door.get_hazards()),
        tides: text(door.get_tides()),
        position: desk
            .read_position(text(door.get_position()))
            .map_err(|fault| fault.of("position"))?,
        altitude_m: altitude
            .map(|m| {
                m.try_into()
                    .map_err(|_| beyond(FigureKind::Altitude, "height"))
            })
            .transpose()?,
        water: match door.get_water() {
            1 => Some(WaterKind::Fresh),
            2 => Some(WaterKind::Brackish),
            3 => Some(WaterKind::Salt),
            _ => None,
        },
        depth_cm: depth
            .map(|cm| {
                cm.try_into()
                    .map_err(|_| beyond(FigureKind::Depth, "depth"))
            })
            .transpose()?,
        temperature_dc: warm
            .map(|dc| {
                dc.try_into()
                    .map_err(|_| beyond(FigureKind::Temperature, "temperature"))
            })
            .transpose()?,
    })
}

/// Says what was kept, on the form as it now is.
fn said(shell: &Rc<Shell>, site: &str, done: SharedString) {
    shell.show_again();
    choose(shell, site);
    if let Some(ui) = shell.ui() {
        ui.global::<SitesDoor>().set_done(done);
    }
}

fn keep_site(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SitesDoor>();
    let details = match typed(shell, &door) {
        Ok(details) => details,
        Err(fault) => return door.set_refused(words::fault(&ui, &fault)),
    };
    let site = shell.kept::<Kept>().filled.borrow().clone();
    let site = site.filter(|site| !site.is_empty());
    let recorded = shell.record(Request::SetSite {
        site: site.clone(),
        details,
    });
    if let Some(receipt) = recorded {
        let site = site.or(receipt.made).unwrap_or_default();
        said(shell, &site, ui.global::<SiteWords>().get_kept_site());
    }
}

fn keep_plan(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SitesDoor>();
    let text = |text: SharedString| text.trim().to_owned();
    let site = shell
        .kept::<Kept>()
        .filled
        .borrow()
        .clone()
        .unwrap_or_default();
    let recorded = shell.record(Request::SetEmergency {
        site: site.clone(),
        plan: EmergencyPlan {
            numbers: text(door.get_numbers()),
            address: text(door.get_address()),
            chamber: text(door.get_chamber()),
            hospital: text(door.get_hospital()),
            oxygen: text(door.get_oxygen()),
            first_aid: text(door.get_first_aid()),
            assembly: text(door.get_assembly()),
            roles: text(door.get_roles()),
        },
    });
    if recorded.is_some() {
        said(shell, &site, ui.global::<SiteWords>().get_kept_plan());
    }
}

/// Confirms the plan that is kept, as it was on screen; what is typed and not kept is not it.
fn confirm(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let site = kept.filled.borrow().clone().unwrap_or_default();
    let plan = {
        let view = kept.view.borrow();
        let rows = view.as_ref().map(|view| &view.rows);
        let row = rows.and_then(|rows| rows.iter().find(|row| row.site == site));
        row.and_then(|row| row.plan)
    };
    let Some(plan) = plan else { return };
    let recorded = shell.record(Request::ConfirmEmergency {
        site: site.clone(),
        plan: plan.to_string(),
    });
    if recorded.is_some() {
        said(shell, &site, ui.global::<SiteWords>().get_kept_confirmed());
    }
}
