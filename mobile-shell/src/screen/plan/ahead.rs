//! What to expect of the course: looked at on another thread, with what a person asks besides.

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;
use std::thread;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    AheadAsked, Expectation, Fault, Glance, OutlookView, WhatIf, read_prior, usual_prior,
};

use super::next::{joined, lacks};
use crate::shell::news::{Done, News};
use crate::shell::{Shell, on, rows, setup};
use crate::ui::{AheadRow, App, NextDoor, NextWords, Words};
use crate::words;

/// Under what the prior that a person typed is kept on this device.
const PRIOR: &str = "prior";

/// The look ahead that is under way, and for which course.
#[derive(Default)]
struct Ahead {
    glance: RefCell<Option<(String, Arc<Glance>)>>,
}

pub(super) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<NextDoor>();
    on!(shell, door.on_look_ahead() => look_ahead(shell, false));
    on!(shell, door.on_ask_what_if() => look_ahead(shell, true));
}

/// Another plan is looked at: nothing of the last look stays.
pub(super) fn forget(shell: &Rc<Shell>) {
    if let Some((_, glance)) = shell.kept::<Ahead>().glance.take() {
        glance.end();
    }
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<NextDoor>();
    door.set_ahead(rows(std::iter::empty::<AheadRow>()));
    door.set_what_if(rows(std::iter::empty::<AheadRow>()));
    door.set_ahead_says(SharedString::new());
    door.set_looking(false);
    door.set_by(SharedString::new());
    door.set_by_fault(SharedString::new());
    door.set_between(0);
    let prior = shell.desk().preference(PRIOR.to_owned()).ok().flatten();
    door.set_prior(prior.unwrap_or_default().into());
    door.set_prior_fault(SharedString::new());
}

/// What is asked besides spans, as it was typed; `None` where it cannot be read, which is then
/// said beside the field. A prior that was read is kept on this device.
fn ahead_asked(shell: &Rc<Shell>, ui: &App, what_if: bool) -> Option<AheadAsked> {
    let door = ui.global::<NextDoor>();
    door.set_by_fault(SharedString::new());
    door.set_prior_fault(SharedString::new());
    let (by, prior) = (door.get_by(), door.get_prior());
    let (by, prior) = (by.trim(), prior.trim());
    let day = if by.is_empty() {
        Ok(None)
    } else {
        shell.desk().read_day(by.to_owned()).map(Some)
    };
    let read = if prior.is_empty() {
        Ok(usual_prior())
    } else {
        read_prior(prior.to_owned())
    };
    let day = shell.see(day, |fault| door.set_by_fault(fault));
    let read = shell.see(read, |fault| door.set_prior_fault(fault));
    let (day, read) = day.zip(read)?;
    setup::keep(shell, PRIOR, prior);
    Some(AheadAsked {
        by: day.map(|day| day.date.to_string()),
        prior: read,
        what_if,
        days_between: u16::try_from(door.get_between()).unwrap_or_default(),
    })
}

/// Looks to the end of the course on another thread: nobody waits for it.
fn look_ahead(shell: &Rc<Shell>, what_if: bool) {
    let Some(ui) = shell.ui() else { return };
    // One look at a time: the next is asked when this one has been told.
    if ui.global::<NextDoor>().get_looking() {
        return;
    }
    let course = shell.route().in_course();
    let Some(asked) = ahead_asked(shell, &ui, what_if) else {
        return;
    };
    let glance = Glance::new();
    let kept = shell.kept::<Ahead>();
    let before = kept
        .glance
        .replace(Some((course.clone(), Arc::clone(&glance))));
    if let Some((_, before)) = before {
        before.end();
    }
    ui.global::<NextDoor>().set_looking(true);
    let (desk, post) = (shell.desk(), shell.post());
    thread::spawn(move || {
        let seen = desk.look_ahead(course.clone(), asked, glance);
        post.put(News::Done(Done::Ahead(course, Box::new(seen))));
    });
}

/// A look ahead has ended.
pub(crate) fn seen(shell: &Rc<Shell>, course: &str, seen: Result<Option<OutlookView>, Fault>) {
    // It was ended: whoever ended it wants nothing of it.
    if matches!(seen, Ok(None)) {
        return;
    }
    let kept = shell.kept::<Ahead>();
    let of = kept.glance.borrow().as_ref().map(|(of, _)| of.clone());
    let Some(ui) = shell.ui() else { return };
    if of.as_deref() != Some(course) {
        return;
    }
    kept.glance.take();
    ui.global::<NextDoor>().set_looking(false);
    match seen {
        Ok(Some(view)) => ahead(&ui, &view),
        Ok(None) => {}
        Err(fault) if fault_of_day(&fault) => {
            ui.global::<NextDoor>()
                .set_by_fault(words::fault(&ui, &fault));
        }
        Err(fault) => shell.fault(&fault),
    }
}

/// Whether it is the day asked about that cannot be.
fn fault_of_day(fault: &Fault) -> bool {
    if let Fault::Refused { rule, .. } = fault {
        rule == "date_out_of_bounds"
    } else {
        false
    }
}

fn ahead(ui: &App, view: &OutlookView) {
    let (door, says) = (ui.global::<NextDoor>(), ui.global::<NextWords>());
    if let Some(lacking) = &view.lacking {
        door.set_ahead_says(lacks(ui, lacking));
        return;
    }
    let row = |who: SharedString, end: &Expectation, all| AheadRow {
        who,
        from: words::count(end.most_from),
        half_from: words::count(end.half_from),
        half_to: words::count(end.half_to),
        to: words::count(end.most_to),
        reaches: words::count(view.reaches),
        all,
        then: end
            .by_then
            .map(|percent| says.invoke_by_then(words::count(percent)))
            .unwrap_or_default(),
        days: days(ui, end),
    };
    let class = row(says.invoke_class(), &view.class, true);
    let students = view
        .rows
        .iter()
        .map(|one| row((&one.name.short).into(), &one.end, false));
    door.set_ahead(rows(std::iter::once(class).chain(students)));
    door.set_what_if(rows(view.what_if.iter().map(|one| {
        let who = match &one.what {
            WhatIf::Session => says.invoke_one_session(),
            WhatIf::Assistant => says.invoke_one_assistant(),
            WhatIf::Without(name) => says.invoke_without((&name.short).into()),
        };
        let end = &one.class;
        let bar = row(who, end, false);
        let then = if bar.then.is_empty() {
            let within = words::count(end.within_planned);
            says.invoke_within_planned(within, words::count(end.planned))
        } else {
            bar.then
        };
        AheadRow { then, ..bar }
    })));
    let mut lines = vec![says.invoke_tries(
        words::count(view.tries),
        words::count(view.prior_met),
        words::count(view.prior_of),
    )];
    if view.elsewhere > 0 {
        lines.push(says.invoke_elsewhere(words::count(view.elsewhere)));
    }
    if view.class.slots > 0 {
        lines.push(says.invoke_within_dates(
            words::count(view.class.within_planned),
            words::count(view.class.dates),
        ));
    } else if view.class.planned > 0 {
        lines.push(says.invoke_within(
            words::count(view.class.within_planned),
            words::count(view.class.planned),
        ));
    }
    if let Some(day) = &view.by {
        let day = ui.global::<Words>().invoke_day(words::day(day));
        lines.push(says.invoke_until_then(day, words::count(view.until_then)));
    }
    if let Some(day) = &view.class.by {
        let day = ui.global::<Words>().invoke_day(words::day(day));
        lines.push(says.invoke_by(day));
    }
    if view.unended > 0 {
        lines.push(says.invoke_unended(words::count(view.unended), words::count(view.ways)));
    }
    door.set_ahead_says(joined(&lines, " "));
}

/// The end as days, as far as each session of the span has a date.
fn days(ui: &App, end: &Expectation) -> SharedString {
    let (says, when) = (ui.global::<NextWords>(), ui.global::<Words>());
    let day = |day| when.invoke_day(words::day(day));
    let mut parts = Vec::new();
    if let Some(span) = &end.half_days {
        parts.push(says.invoke_half_days(day(&span.from), day(&span.to)));
    }
    if let Some(span) = &end.most_days {
        parts.push(says.invoke_most_days(day(&span.from), day(&span.to)));
    }
    joined(&parts, ", ")
}
