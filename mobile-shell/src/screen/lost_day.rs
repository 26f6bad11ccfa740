//! Lost day: a day that cannot be held, before and after; it moves once a person accepts it.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    ApartBecause, Leave, LostDayRow, LostDayView, Moment, StaffName, StudentName, WhoName,
};

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
    door.set_rows(rows(view.rows.iter().flat_map(|one| lines(&ui, one))));
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

/// A session of the course, and beneath it those of other courses that move with it.
fn lines(ui: &App, one: &LostDayRow) -> Vec<LostRow> {
    let says = ui.global::<AgendaWords>();
    let own = LostRow {
        title: one.title.clone().into(),
        along: SharedString::new(),
        before: held(ui, &one.before, &one.before_site),
        after: match (&one.after, &one.together) {
            (Some(after), _) => held(ui, &after.starts, &after.site),
            (None, Some(other)) => {
                let course = (&other.course_title).into();
                says.invoke_together(held(ui, &other.starts, &other.site), course)
            }
            (None, None) => says.invoke_no_slot(),
        },
        apart: rows(one.apart.iter().map(|apart| {
            let course = (&apart.course_title).into();
            says.invoke_apart(course, because(apart.because))
        })),
        held: one.after.is_some() || one.together.is_some(),
        told: told(&one.students, &one.staff),
        away: away(&one.away),
    };
    let along = one.along.iter().map(|beside| LostRow {
        title: says.invoke_of_course((&beside.course_title).into(), (&beside.title).into()),
        along: one.title.clone().into(),
        before: held(ui, &beside.before, &beside.before_site),
        after: held(ui, &beside.after.starts, &beside.after.site),
        apart: rows(std::iter::empty::<SharedString>()),
        held: true,
        told: told(&beside.students, &beside.staff),
        away: away(&beside.away),
    });
    std::iter::once(own).chain(along).collect()
}

fn held(ui: &App, at: &Moment, site: &str) -> SharedString {
    let when = ui.global::<Words>().invoke_moment(words::moment(at));
    slint::format!("{when} · {site}")
}

fn told(students: &[StudentName], staff: &[StaffName]) -> SharedString {
    let students = students.iter().map(|name| name.short.as_str());
    let told = students.chain(staff.iter().map(|name| name.name.as_str()));
    told.collect::<Vec<&str>>().join(", ").into()
}

fn away(away: &[WhoName]) -> SharedString {
    away.iter()
        .map(called)
        .collect::<Vec<&str>>()
        .join(", ")
        .into()
}

const fn because(of: ApartBecause) -> i32 {
    match of {
        ApartBecause::MayNot => 0,
        ApartBecause::Begun => 1,
        ApartBecause::Slot => 2,
        ApartBecause::Rules => 3,
    }
}

/// Moves what has a slot, with what shares its water, and cancels what has none, as it was
/// shown: all of it, or nothing.
fn accept(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let why = ui.global::<LostDayDoor>().get_why().trim().to_owned();
    let course = shell.route().in_course();
    let seen = shell.kept::<Kept>().view.borrow().clone();
    let Some(seen) = seen.filter(|seen| !seen.rows.is_empty()) else {
        return;
    };
    let done = shell.desk().accept_lost_day(course, seen, why);
    if shell.settled(done).is_some() {
        shell.replace(shell.route().here(Screen::Sessions));
    }
}
