//! Make-ups that another course needs as well: looked for when asked, and planned in both
//! courses once a person accepts one.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    Leave, NotShared, NotSharedBecause, Request, SessionPlan, SharedRow, SharedSide, SharedView,
};

use super::next::joined;
use crate::shell::{Shell, on, rows};
use crate::ui::{App, NextDoor, NextWords, SharedSlot, Words};
use crate::words;

/// What was found, for what is accepted of it.
#[derive(Default)]
struct Found {
    view: RefCell<Option<SharedView>>,
}

pub(super) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<NextDoor>();
    on!(shell, door.on_look_shared() => look(shell));
    on!(shell, door.on_plan_shared(place) => plan(shell, place));
}

/// Another plan is looked at: nothing of the last look stays.
pub(super) fn forget(shell: &Rc<Shell>) {
    shell.kept::<Found>().view.take();
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<NextDoor>();
    door.set_shared(rows(std::iter::empty::<SharedSlot>()));
    door.set_not_shared(rows(std::iter::empty::<SharedString>()));
    door.set_shared_says(SharedString::new());
}

fn look(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let (door, says) = (ui.global::<NextDoor>(), ui.global::<NextWords>());
    let view = match shell.desk().shared_make_ups(shell.route().in_course()) {
        Ok(view) => view,
        Err(fault) => return shell.fault(&fault),
    };
    door.set_shared(rows(view.rows.iter().map(|row| slot(&ui, row))));
    door.set_not_shared(rows(view.others.iter().map(|one| not_shared(&ui, one))));
    door.set_may_share(view.may_plan == Leave::Yes);
    door.set_shared_says(if view.rows.is_empty() {
        says.invoke_none_shared()
    } else {
        SharedString::new()
    });
    shell.kept::<Found>().view.replace(Some(view));
}

/// Plans one of them, a session in each of its courses: both, or neither.
fn plan(shell: &Rc<Shell>, place: i32) {
    let Some(ui) = shell.ui() else { return };
    let requests: Vec<Request> = {
        let kept = shell.kept::<Found>();
        let view = kept.view.borrow();
        let row = usize::try_from(place)
            .ok()
            .and_then(|place| view.as_ref()?.rows.get(place));
        let sides = row.into_iter().flat_map(|row| &row.sides);
        sides
            .map(|side| Request::PlanSession {
                course: side.course.to_string(),
                session: None,
                plan: SessionPlan {
                    title: title(&ui, side).into(),
                    ..side.plan.clone()
                },
            })
            .collect()
    };
    if !requests.is_empty() && shell.record_all(requests).is_some() {
        look(shell);
    }
}

fn title(ui: &App, side: &SharedSide) -> SharedString {
    let title = SharedString::from(&side.plan.title);
    if side.makes_up {
        ui.global::<Words>().invoke_make_up(title)
    } else {
        title
    }
}

fn slot(ui: &App, row: &SharedRow) -> SharedSlot {
    let says = ui.global::<NextWords>();
    let when = ui
        .global::<Words>()
        .invoke_moment(words::moment(&row.starts));
    let staff: Vec<&str> = row.staff.iter().map(|one| one.name.as_str()).collect();
    let mut lines = vec![says.invoke_with(staff.join(", ").into())];
    for side in &row.sides {
        lines.push(says.invoke_shared_side(
            (&side.course_title).into(),
            title(ui, side),
            words::names(&side.students),
        ));
        lines.push(side.skills.join(", ").into());
        if !side.kept_out.is_empty() {
            lines.push(says.invoke_kept_out(words::names(&side.kept_out)));
        }
    }
    if let Some(ceiling) = row.ceiling {
        lines.push(says.invoke_together(words::count(row.students), words::count(ceiling)));
    }
    lines.push(says.invoke_takes(words::count(row.minutes)));
    SharedSlot {
        title: joined(&[when, (&row.site).into()], " · "),
        lines: rows(lines),
    }
}

fn not_shared(ui: &App, one: &NotShared) -> SharedString {
    let why = match one.because {
        NotSharedBecause::Staff => 0,
        NotSharedBecause::Slot => 1,
        NotSharedBecause::Rules => 2,
        NotSharedBecause::SoonerApart => 3,
        NotSharedBecause::Papers => 4,
    };
    let why = ui.global::<NextWords>().invoke_not_shared(why);
    joined(&[(&one.course_title).into(), why], ": ")
}
