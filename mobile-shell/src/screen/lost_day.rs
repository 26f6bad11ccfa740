//! Lost day: a day that cannot be held, before and after; it moves once a person accepts it.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{Leave, LostDayRow, LostDayView, Moment, Request};

use super::agenda::called;
use crate::shell::{Shell, on, rows};
use crate::ui::{AgendaWords, App, AppDoor, Load, LostDayDoor, LostRow, Screen, Words};
use crate::words;

#[derive(Default)]
struct Kept {
    view: RefCell<Option<LostDayView>>,
    /// The session whose day it is, and the days between that a person asked for.
    of: RefCell<(String, String)>,
    between: Cell<u16>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<LostDayDoor>();
    on!(shell, door.on_space(days) => space(shell, days));
    on!(shell, door.on_accept() => accept(shell));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let (door, says) = (ui.global::<LostDayDoor>(), ui.global::<AgendaWords>());
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::LostDay);
    let route = shell.route();
    let (course, session) = (route.in_course(), route.session.unwrap_or_default());
    shell.title(heading, "");
    door.set_fault("".into());
    let kept = shell.kept::<Kept>();
    let of = (course.clone(), session.clone());
    if kept.of.replace(of.clone()) != of {
        kept.between.set(0);
    }
    let view = shell.desk().lost_day(course, session, kept.between.get());
    let view = shell.see(view, |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    door.set_between(words::count(view.days_between));
    door.set_rows(rows(view.rows.iter().map(|one| row(&ui, one))));
    door.set_without(words::count(view.unplaced));
    door.set_proof(says.invoke_proof(view.proven));
    door.set_may(view.may_plan == Leave::Yes);
    door.set_load(if view.rows.is_empty() {
        Load::Empty
    } else {
        Load::Ready
    });
    kept.view.replace(Some(view));
}

/// So many days are to lie between a student's sessions: the day is laid out anew.
fn space(shell: &Rc<Shell>, days: i32) {
    let between = u16::try_from(days).unwrap_or_default();
    shell.kept::<Kept>().between.set(between);
    show(shell);
}

fn row(ui: &App, one: &LostDayRow) -> LostRow {
    let says = ui.global::<AgendaWords>();
    let held = |at: &Moment, site: &String| -> SharedString {
        let when = ui.global::<Words>().invoke_moment(words::moment(at));
        format!("{when} · {site}").into()
    };
    let students = one.students.iter().map(|name| name.short.as_str());
    let told = students.chain(one.staff.iter().map(|name| name.name.as_str()));
    let told: Vec<&str> = told.collect();
    let away: Vec<&str> = one.away.iter().map(called).collect();
    LostRow {
        title: one.title.clone().into(),
        before: held(&one.before, &one.before_site),
        after: match (&one.after, &one.together) {
            (Some(after), _) => held(&after.starts, &after.site),
            (None, Some(other)) => {
                let course = (&other.course_title).into();
                says.invoke_together(held(&other.starts, &other.site), course)
            }
            (None, None) => says.invoke_no_slot(),
        },
        shared: one.shared_with.join(", ").into(),
        held: one.after.is_some() || one.together.is_some(),
        told: told.join(", ").into(),
        away: away.join(", ").into(),
    }
}

/// Moves what has a slot and cancels what has none, as it was shown: all of it, or nothing.
fn accept(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let why = ui.global::<LostDayDoor>().get_why().trim().to_owned();
    let course = shell.route().in_course();
    let requests: Vec<Request> = {
        let kept = shell.kept::<Kept>();
        let view = kept.view.borrow();
        let shown = view.iter().flat_map(|view| &view.rows);
        let request = |row: &LostDayRow| match (&row.after, &row.together) {
            (Some(after), _) => Request::MoveSession {
                course: course.clone(),
                session: row.session.to_string(),
                starts: after.starts.at.to_rfc3339(),
                site: after.site.clone(),
                why: why.clone(),
            },
            (None, Some(together)) => Request::PlanSession {
                course: course.clone(),
                session: Some(row.session.to_string()),
                plan: together.plan.clone(),
            },
            (None, None) => Request::CancelSession {
                course: course.clone(),
                session: row.session.to_string(),
                why: why.clone(),
            },
        };
        shown.map(request).collect()
    };
    if !requests.is_empty() && shell.record_all(requests).is_some() {
        shell.replace(shell.route().here(Screen::Sessions));
    }
}
