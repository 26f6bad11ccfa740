//! Emergency: the site's plan, whom to call, the cards; and the press that writes down when.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    Alarm, AlarmCard, EmergencyPlan, EmergencyView, Leave, LightView, Moment, Request, SiteMissing,
    alarm_cards,
};

use super::incident::begin;
use super::papers;
use crate::shell::{Route, Shell, list, on, rows};
use crate::ui::{
    App, AppDoor, EmergencyDoor, IncidentWords, Load, Named, Screen, SiteLack, SiteWords, Words,
};
use crate::words;

#[derive(Default)]
struct Kept {
    cards: RefCell<Vec<AlarmCard>>,
    /// For which session the card that is shown was opened.
    of: RefCell<Option<String>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EmergencyDoor>();
    on!(shell, door.on_raise(n) => raise(shell, n));
    on!(shell, door.on_read(n) => read(shell, n, ""));
    on!(shell, door.on_close() => close(shell));
    on!(shell, door.on_begin() => begin::begin(shell));
    on!(shell, door.on_open_incident(entry) => begin::open(shell, &shell.route(), &entry));
    on!(shell, door.on_to_sites() => shell.open(Route::to(Screen::Sites)));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EmergencyDoor>();
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::Emergency);
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    if *kept.of.borrow() != route.session {
        door.set_shown(-1);
        kept.of.replace(route.session.clone());
    }
    let (Some(course), Some(session)) = (route.course, route.session) else {
        shell.title(heading, "");
        door.set_load(Load::Empty);
        return;
    };
    let failed = |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    };
    let cards = shell.see(alarm_cards(papers::language(shell)), failed);
    let under = shell.session_says(&course, Some(&session));
    let incidents = shell.see(shell.desk().incidents(course.clone()), failed);
    let view = shell.see(shell.desk().emergency(course, session), failed);
    let (Some(cards), Some(view), Some(incidents)) = (cards, view, incidents) else {
        return;
    };
    shell.title(heading, under);
    door.set_cards(list(
        cards.iter().map(|card| SharedString::from(&card.title)),
    ));
    fill(&ui, &door, &view, &cards);
    let here = incidents
        .rows
        .iter()
        .filter(|row| row.withdrawn.is_none() && row.session.as_ref() == Some(&view.session));
    let says = ui.global::<IncidentWords>();
    door.set_incidents(rows(here.map(|row| Named {
        title: says.invoke_begun(words::moment(&row.when)),
        text: row.entry.to_string().into(),
    })));
    door.set_may_begin(incidents.may_add == Leave::Yes);
    kept.cards.replace(cards);
    door.set_load(Load::Ready);
}

fn fill(ui: &App, door: &EmergencyDoor<'_>, view: &EmergencyView, cards: &[AlarmCard]) {
    let says = ui.global::<SiteWords>();
    door.set_place(view.place.clone().into());
    door.set_lacks(rows(view.missing.iter().map(lack)));
    let site = view.site.as_ref();
    let plan = site.and_then(|site| site.emergency.as_ref());
    door.set_plan(rows(plan.into_iter().flat_map(|plan| parts(ui, plan))));
    let confirmed = site.and_then(|site| site.confirmed.as_ref());
    let confirmed = confirmed.map(|held| {
        says.invoke_confirmed(held.by.name.clone().into(), held.on.date.to_string().into())
    });
    door.set_confirmed(confirmed.unwrap_or_default());
    let daylight = view.light.as_ref().map(|one| light(ui, one));
    door.set_light(daylight.unwrap_or_default());
    door.set_contacts(rows(view.contacts.iter().map(|row| Named {
        title: row.name.name.clone().into(),
        text: row.contact.as_ref().map_or_else(
            || says.get_no_contact(),
            |whom| slint::format!("{}, {}", whom.name, whom.reach),
        ),
    })));
    door.set_alarms(rows(view.alarms.iter().map(|row| {
        let card = cards.iter().find(|card| card.what == row.what);
        let when = ui.global::<Words>().invoke_moment(words::moment(&row.when));
        Named {
            title: card
                .map(|card| card.title.clone())
                .unwrap_or_default()
                .into(),
            text: slint::format!("{when} · {}", row.by.name),
        }
    })));
    door.set_may(view.may_raise == Leave::Yes);
}

/// The parts of a plan that say something, in the order in which they are needed.
fn parts(ui: &App, plan: &EmergencyPlan) -> Vec<Named> {
    let says = ui.global::<SiteWords>();
    let parts = [
        (says.get_numbers(), &plan.numbers),
        (says.get_address(), &plan.address),
        (says.get_oxygen(), &plan.oxygen),
        (says.get_first_aid(), &plan.first_aid),
        (says.get_chamber(), &plan.chamber),
        (says.get_hospital(), &plan.hospital),
        (says.get_assembly(), &plan.assembly),
        (says.get_roles(), &plan.roles),
    ];
    let said = parts.into_iter().filter(|(_, text)| !text.is_empty());
    said.map(|(title, text)| Named {
        title,
        text: text.into(),
    })
    .collect()
}

/// What a site lacks, as the screens say it.
pub(super) fn lack(missing: &SiteMissing) -> SiteLack {
    match missing {
        SiteMissing::NoPlan => SiteLack::default(),
        SiteMissing::NotConfirmed => SiteLack {
            what: 1,
            ..SiteLack::default()
        },
        SiteMissing::TooOld(on, months) => SiteLack {
            what: 2,
            day: on.to_string().into(),
            months: words::count(*months),
            ..SiteLack::default()
        },
        SiteMissing::RuleUnconfirmed(rule) => SiteLack {
            what: 3,
            rule: rule.to_string().into(),
            ..SiteLack::default()
        },
    }
}

/// The light of a day in a line.
pub(super) fn light(ui: &App, light: &LightView) -> SharedString {
    let clock = |at: &Option<Moment>| at.as_ref().map_or_else(|| "–".into(), words::clock);
    ui.global::<SiteWords>().invoke_light(
        clock(&light.dawn),
        clock(&light.sunrise),
        clock(&light.sunset),
        clock(&light.dusk),
    )
}

/// Shows a card; with when it was raised, where it was.
fn read(shell: &Rc<Shell>, n: i32, since: &str) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<EmergencyDoor>();
    let kept = shell.kept::<Kept>();
    let cards = kept.cards.borrow();
    let card = usize::try_from(n).ok().and_then(|n| cards.get(n));
    let Some(card) = card else { return };
    door.set_title(card.title.clone().into());
    door.set_steps(list(card.steps.iter().map(SharedString::from)));
    door.set_source(card.source.clone().into());
    door.set_caution(card.caution.clone().into());
    door.set_since(since.into());
    door.set_shown(n);
}

fn close(shell: &Rc<Shell>) {
    if let Some(ui) = shell.ui() {
        ui.global::<EmergencyDoor>().set_shown(-1);
    }
}

/// The card comes first, whatever becomes of the entry.
fn raise(shell: &Rc<Shell>, n: i32) {
    let what: Option<Alarm> = {
        let kept = shell.kept::<Kept>();
        let cards = kept.cards.borrow();
        let card = usize::try_from(n).ok().and_then(|n| cards.get(n));
        card.map(|card| card.what)
    };
    let Some(what) = what else { return };
    let now = shell.desk().moment(None, 0);
    let since = now.as_ref().map(words::clock).unwrap_or_default();
    read(shell, n, "");
    let route = shell.route();
    let recorded = shell.record(Request::RaiseAlarm {
        course: route.in_course(),
        session: route.session.unwrap_or_default(),
        what,
        when: now.ok().map(|now| now.at.to_rfc3339()),
    });
    if recorded.is_some() {
        read(shell, n, &since);
    }
}
