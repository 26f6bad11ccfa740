//! Planning a session: a draft that is checked with every tap and recorded once.

mod ahead;
mod draw;
mod next;
mod shared;
mod typing;

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{
    Clash, Condition, Moment, Request, SessionPlan, SessionView, Setting, WaterKind,
};

use crate::shell::ask::Question;
use crate::shell::{Route, Shell, on, rows};
use crate::ui::{ClashRow, Load, PlanDoor, PlanField, Screen, Words};
use crate::words;

/// Course, session and student of a plan.
type Of = (String, Option<String>, Option<String>);

/// The draft behind the screen.
#[derive(Default)]
pub(super) struct Kept {
    /// For which course, session and student it is; another one begins anew.
    of: RefCell<Option<Of>>,
    plan: RefCell<Option<SessionPlan>>,
    /// The plan as it was when it was opened.
    before: RefCell<Option<SessionPlan>>,
    view: RefCell<Option<SessionView>>,
    /// What was worked out for it.
    wanted: next::Wanted,
    typed: RefCell<String>,
    /// Whether it was changed since it was recorded.
    changed: Cell<bool>,
}

pub(crate) use ahead::seen;
pub(crate) use next::{now, now_in};

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    next::join(shell);
    ahead::join(shell);
    shared::join(shell);
    let door = ui.global::<PlanDoor>();
    on!(shell, door.on_open(session) => {
        shell.open(shell.route().here(Screen::Plan).session(session));
    });
    on!(shell, door.on_new_session() => {
        shell.open(shell.route().here(Screen::Plan).session(""));
    });
    on!(shell, door.on_set_title(text) => change(shell, |plan| plan.title = text.into()));
    on!(shell, door.on_set_site(text) => change(shell, |plan| plan.site = text.into()));
    on!(shell, door.on_to_sites() => shell.open(Route::to(Screen::Sites)));
    on!(shell, door.on_to_limits() => shell.open(shell.route().here(Screen::Limits)));
    on!(shell, door.on_to_teams() => shell.open(shell.route().here(Screen::Teams)));
    on!(shell, door.on_to_lost_day() => shell.open(shell.route().here(Screen::LostDay)));
    on!(shell, door.on_to_kit() => shell.open(shell.route().here(Screen::Issue)));
    on!(shell, door.on_set_bring(text) => change(shell, |plan| {
        plan.bring = Some(text.to_string()).filter(|text| !text.trim().is_empty());
    }));
    on!(shell, door.on_set_setting(n) => change(shell, |plan| plan.setting = setting(n)));
    on!(shell, door.on_set_water(n) => change(shell, |plan| plan.water.kind = water(n)));
    on!(shell, door.on_set_moving(on) => change(shell, |plan| plan.water.moving = on));
    on!(shell, door.on_set_block(n) => take_block(shell, n));
    on!(shell, door.on_day_earlier() => shift(shell, -1));
    on!(shell, door.on_day_later() => shift(shell, 1));
    on!(shell, door.on_edit(field) => typing::begin(shell, field));
    on!(shell, door.on_key(key) => typing::change(shell, |text| text.push_str(&key)));
    on!(shell, door.on_erase() => typing::change(shell, |text| { text.pop(); }));
    on!(shell, door.on_done() => typing::end(shell));
    on!(shell, door.on_toggle_student(id) => {
        change(shell, |plan| words::toggle(&mut plan.students, &id));
    });
    on!(shell, door.on_toggle_staff(id) => {
        change(shell, |plan| words::toggle(&mut plan.staff, &id));
    });
    on!(shell, door.on_propose() => next::propose(shell));
    on!(shell, door.on_up(skill) => change(shell, |plan| swap(&mut plan.run_list, &skill, true)));
    on!(shell, door.on_down(skill) => change(shell, |plan| swap(&mut plan.run_list, &skill, false)));
    on!(shell, door.on_remove(skill) => {
        change(shell, |plan| plan.run_list.retain(|one| one.as_str() != skill.as_str()));
    });
    on!(shell, door.on_add(skill) => change(shell, |plan| plan.run_list.push(skill.into())));
    on!(shell, door.on_record() => record(shell));
    on!(shell, door.on_cancel(_why) => cancel(shell));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    let of = (
        route.in_course(),
        route.session.clone(),
        route.student.clone(),
    );
    // What is being changed is not lost because something arrived meanwhile.
    if kept.of.borrow().as_ref() != Some(&of) || !kept.changed.get() {
        let desk = shell.desk();
        let Some(ui) = shell.ui() else { return };
        let found = match (of.1.clone(), of.2.clone()) {
            (Some(session), _) => desk.session_plan(of.0.clone(), session),
            (None, Some(student)) => desk.draft_make_up(of.0.clone(), student).map(|mut plan| {
                let title = plan.title.into();
                plan.title = ui.global::<Words>().invoke_make_up(title).into();
                plan
            }),
            (None, None) => desk.draft_session(of.0.clone(), None),
        };
        let door = ui.global::<PlanDoor>();
        let plan = shell.see(found, |fault| {
            door.set_fault(fault);
            door.set_load(Load::Failed);
        });
        let Some(plan) = plan else { return };
        if kept.of.borrow().as_ref() != Some(&of) {
            door.set_field(PlanField::None);
            next::forget(shell);
            ahead::forget(shell);
            shared::forget(shell);
        }
        kept.before.replace(Some(plan.clone()));
        kept.plan.replace(Some(plan));
        door.set_why("".into());
        kept.of.replace(Some(of));
        kept.changed.set(false);
    }
    check(shell);
}

/// What the draft comes to, on screen.
fn check(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PlanDoor>();
    let kept = shell.kept::<Kept>();
    let Some(plan) = kept.plan.borrow().clone() else {
        return;
    };
    let (desk, route) = (shell.desk(), shell.route());
    let view = shell.see(
        desk.check_plan(route.in_course(), route.session.clone(), plan),
        |fault| {
            door.set_fault(fault);
            door.set_load(Load::Failed);
        },
    );
    let Some(view) = view else { return };
    // Whether it is planned, and was cancelled, is the session's to say.
    let planned = route
        .session
        .and_then(|session| desk.session(route.course.unwrap_or_default(), session).ok());
    door.set_moves(planned.is_some() && moves(&kept));
    clashes(shell, &door, &kept);
    draw::draw(shell, &kept, &view, planned.as_ref());
    kept.view.replace(Some(view));
}

/// Whether the hour or the place is all that differs from what is planned: then the session
/// moves, with a reason, and the rest of its plan stands.
fn moves(kept: &Kept) -> bool {
    let (plan, before) = (kept.plan.borrow(), kept.before.borrow());
    let (Some(plan), Some(before)) = (plan.as_ref(), before.as_ref()) else {
        return false;
    };
    let moved = SessionPlan {
        starts: plan.starts.clone(),
        site: plan.site.clone(),
        ..before.clone()
    };
    plan != before && *plan == moved
}

/// What else is on at these hours, in any course of this device.
fn clashes(shell: &Rc<Shell>, door: &PlanDoor<'_>, kept: &Kept) {
    let Some(plan) = kept.plan.borrow().clone() else {
        return;
    };
    let found = shell.desk().clashes(shell.route().session, plan);
    let found = shell.see(found, |fault| door.set_fault(fault));
    let row = |one: &Clash| {
        let staff: Vec<&str> = one.staff.iter().map(|one| one.name.as_str()).collect();
        ClashRow {
            title: one.title.clone().into(),
            course: one.course_title.clone().into(),
            starts: words::moment(&one.starts),
            until: words::clock(&one.ends),
            staff: staff.join(", ").into(),
            students: words::count(one.students),
        }
    };
    door.set_clashes(rows(found.iter().flatten().map(row)));
}

fn change(shell: &Rc<Shell>, how: impl FnOnce(&mut SessionPlan)) {
    let kept = shell.kept::<Kept>();
    if let Some(plan) = kept.plan.borrow_mut().as_mut() {
        how(plan);
    }
    kept.changed.set(true);
    check(shell);
}

/// Takes something that the session is besides into the plan, or out of it.
pub(super) fn pick(shell: &Rc<Shell>, number: &str) {
    let known = [
        Condition::Night,
        Condition::Current,
        Condition::Overhead,
        Condition::Ice,
        Condition::Boat,
    ];
    let found = known
        .into_iter()
        .find(|one| words::condition(one).to_string() == number);
    let Some(found) = found else { return };
    change(shell, |plan| {
        let many = plan.also.len();
        plan.also.retain(|one| *one != found);
        if plan.also.len() == many {
            plan.also.push(found);
        }
    });
}

const fn setting(n: i32) -> Setting {
    match n {
        0 => Setting::Classroom,
        1 => Setting::Surface,
        2 => Setting::Confined,
        _ => Setting::Open,
    }
}

/// A kind of water by its place in the choice.
pub(super) const fn water(n: i32) -> WaterKind {
    match n {
        0 => WaterKind::Fresh,
        1 => WaterKind::Brackish,
        _ => WaterKind::Salt,
    }
}

/// Changes places with the neighbour before it, or behind it.
fn swap(list: &mut [String], skill: &str, before: bool) {
    let Some(here) = list.iter().position(|one| one == skill) else {
        return;
    };
    let other = if before {
        here.checked_sub(1)
    } else {
        here.checked_add(1).filter(|next| *next < list.len())
    };
    if let Some(other) = other {
        list.swap(here, other);
    }
}

/// Takes a usual session of the outline over, with place and water as they last were in its
/// setting; who stays. A new session whose start nobody has chosen yet begins where one of this
/// block begins: in the school's next free hours for its water.
fn take_block(shell: &Rc<Shell>, n: i32) {
    let kept = shell.kept::<Kept>();
    let block = {
        let view = kept.view.borrow();
        let blocks = view.as_ref().map(|view| &view.blocks);
        let place = usize::try_from(n).ok();
        blocks
            .zip(place)
            .and_then(|(blocks, n)| blocks.get(n).cloned())
    };
    let Some(block) = block else { return };
    let course = shell.route().in_course();
    let draft = match shell.desk().draft_session(course, Some(block.id)) {
        Ok(draft) => draft,
        Err(fault) => return shell.fault(&fault),
    };
    let begins = |plan: &RefCell<Option<SessionPlan>>| {
        let plan = plan.borrow();
        plan.as_ref().map(|plan| plan.starts.clone())
    };
    let anew = shell.route().session.is_none() && begins(&kept.before) == begins(&kept.plan);
    if anew && let Some(before) = kept.before.borrow_mut().as_mut() {
        before.starts.clone_from(&draft.starts);
    }
    change(shell, |plan| {
        let elsewhere = anew || plan.setting != draft.setting;
        if anew {
            plan.starts = draft.starts;
        }
        plan.block = draft.block;
        plan.title = draft.title;
        plan.setting = draft.setting;
        plan.run_list = draft.run_list;
        plan.minutes = if anew { draft.minutes } else { block.minutes };
        plan.water = draft.water;
        plan.stations = draft.stations;
        if elsewhere && !draft.site.is_empty() {
            plan.site = draft.site;
        }
    });
}

fn starts(shell: &Rc<Shell>) -> Option<Moment> {
    let kept = shell.kept::<Kept>();
    let view = kept.view.borrow();
    view.as_ref().map(|view| view.starts)
}

fn shift(shell: &Rc<Shell>, days: i32) {
    let Some(at) = starts(shell) else { return };
    let desk = shell.desk();
    let moved = desk
        .day(Some(at.day.date.to_string()), days)
        .and_then(|day| desk.moment_on(day.date.to_string(), at.hour, at.minute));
    match moved {
        Ok(moved) => change(shell, |plan| plan.starts = moved.at.to_rfc3339()),
        Err(fault) => shell.fault(&fault),
    }
}

fn record(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PlanDoor>();
    let kept = shell.kept::<Kept>();
    let Some(plan) = kept.plan.borrow().clone() else {
        return;
    };
    let route = shell.route();
    let (course, session) = (route.in_course(), route.session.clone());
    let request = match session {
        Some(session) if moves(&kept) => Request::MoveSession {
            course,
            session,
            starts: plan.starts,
            site: plan.site,
            why: door.get_why().trim().to_owned(),
        },
        session => Request::PlanSession {
            course,
            session,
            plan,
        },
    };
    let planned = shell.record(request);
    if let Some(receipt) = planned {
        kept.changed.set(false);
        let session = route.session.clone().or(receipt.made).unwrap_or_default();
        shell.replace(route.here(Screen::Plan).session(session));
    }
}

/// What calls a session off is asked first, with what follows from it.
fn cancel(shell: &Rc<Shell>) {
    let (Some(ui), route) = (shell.ui(), shell.route()) else {
        return;
    };
    let course = route.in_course();
    let Some(session) = route.session else { return };
    let kept = shell.kept::<Kept>();
    let title = kept
        .before
        .borrow()
        .as_ref()
        .map(|plan| plan.title.clone())
        .unwrap_or_default();
    let words = ui.global::<Words>();
    let why = ui
        .global::<crate::ui::CourseWords>()
        .invoke_cancelled()
        .to_string();
    let cancels = Request::CancelSession {
        course,
        session,
        why,
    };
    shell.ask(Question {
        title: words.invoke_cancels_title(title.into()),
        says: words.invoke_cancels_says(),
        first: (
            words.invoke_cancels_it(),
            Box::new(move |shell: &Rc<Shell>| {
                shell.kept::<Kept>().changed.set(false);
                shell.record(cancels);
            }),
        ),
        second: None,
        hold: false,
    });
}
