//! The next session as it was worked out.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    Because, Lacking, LeftRow, ProposalView, RunForm, SessionState, SessionView, StationRow,
    StationRunRow, Why, WhyRow,
};

use super::{Kept, change};
use crate::shell::{Route, Shell, on, rows};
use crate::ui::{
    App, LeftView, Load, NextDoor, NextWords, PlanDoor, Screen, StationRun, StationView, WhyView,
    Words,
};
use crate::words;

/// What was worked out, and what a person wants of it.
#[derive(Default)]
pub(super) struct Wanted {
    found: RefCell<Option<ProposalView>>,
    pinned: RefCell<Vec<String>>,
    left_out: RefCell<Vec<String>>,
}

pub(super) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<NextDoor>();
    on!(shell, door.on_pin(skill) => want(shell, &skill, true));
    on!(shell, door.on_want(skill) => want(shell, &skill, true));
    on!(shell, door.on_leave(skill) => want(shell, &skill, false));
}

/// Another plan is looked at: nothing of the last one stays.
pub(super) fn forget(shell: &Rc<Shell>) {
    let kept = shell.kept::<Kept>();
    kept.wanted.found.take();
    kept.wanted.pinned.take();
    kept.wanted.left_out.take();
}

fn want(shell: &Rc<Shell>, skill: &str, pinned: bool) {
    let kept = shell.kept::<Kept>();
    let (to, from) = if pinned {
        (&kept.wanted.pinned, &kept.wanted.left_out)
    } else {
        (&kept.wanted.left_out, &kept.wanted.pinned)
    };
    from.borrow_mut().retain(|one| one != skill);
    if !to.borrow().iter().any(|one| one == skill) {
        to.borrow_mut().push(skill.to_owned());
    }
    propose(shell);
}

/// Whether what is drawn is a session that is being held: then what is left of it is worked
/// out.
pub(super) fn runs(shell: &Shell, view: &SessionView) -> bool {
    shell.route().session.is_some() && matches!(view.state, SessionState::Running)
}

/// What is left of the session at hand, worked out and shown in its plan: recorded by nobody
/// before the plan is saved.
pub(crate) fn now(shell: &Rc<Shell>) {
    now_in(shell, shell.route().here(Screen::Plan));
}

/// The same of the session whose plan is at that route.
pub(crate) fn now_in(shell: &Rc<Shell>, plan: Route) {
    let Some(ui) = shell.ui() else { return };
    shell.open(plan);
    if ui.global::<PlanDoor>().get_load() == Load::Ready {
        work_out(shell, true);
    }
}

/// The best session for those on the plan, taken over into the draft; of one that is being
/// held, the best of what is left.
pub(super) fn propose(shell: &Rc<Shell>) {
    let kept = shell.kept::<Kept>();
    let held = kept
        .view
        .borrow()
        .as_ref()
        .is_some_and(|view| runs(shell, view));
    work_out(shell, held);
}

fn work_out(shell: &Rc<Shell>, what_is_left: bool) {
    let kept = shell.kept::<Kept>();
    let Some(plan) = kept.plan.borrow().clone() else {
        return;
    };
    let route = shell.route();
    let course = route.in_course();
    let pinned = kept.wanted.pinned.borrow().clone();
    let left_out = kept.wanted.left_out.borrow().clone();
    let desk = shell.desk();
    let found = match route.session.filter(|_| what_is_left) {
        Some(session) => desk.propose_what_is_left(course, session, plan, pinned, left_out),
        None => desk.propose(course, plan, pinned, left_out),
    };
    match found {
        Ok(found) => {
            let plan = found.plan.clone();
            kept.wanted.found.replace(Some(found));
            change(shell, |draft| *draft = plan);
        }
        Err(fault) => shell.fault(&fault),
    }
}

pub(super) fn draw(ui: &App, kept: &Kept, view: &SessionView) {
    let (door, says) = (ui.global::<NextDoor>(), ui.global::<NextWords>());
    door.set_stations(rows(view.stations.iter().map(|one| station(ui, one))));
    let found = kept.wanted.found.borrow();
    let Some(found) = found.as_ref() else {
        door.set_why(rows(std::iter::empty::<WhyView>()));
        door.set_left_over(rows(std::iter::empty::<LeftView>()));
        door.set_lacking(SharedString::new());
        door.set_idle(SharedString::new());
        door.set_proof(SharedString::new());
        return;
    };
    door.set_why(rows(found.why.iter().map(|one| why(ui, one))));
    door.set_left_over(rows(found.left_over.iter().map(|one| left(ui, one))));
    let lacking = found.lacking.as_ref().map(|one| lacks(ui, one));
    door.set_lacking(lacking.unwrap_or_default());
    door.set_idle(if found.unplaced.is_empty() {
        SharedString::new()
    } else {
        says.invoke_idle(words::names(&found.unplaced))
    });
    door.set_proof(if found.lacking.is_some() {
        SharedString::new()
    } else {
        says.invoke_proof(words::count(found.gap_per_mille))
    });
}

pub(super) fn joined(parts: &[SharedString], between: &str) -> SharedString {
    let parts: Vec<&str> = parts.iter().map(SharedString::as_str).collect();
    parts.join(between).into()
}

fn station(ui: &App, row: &StationRow) -> StationView {
    let says = ui.global::<NextWords>();
    let mut title = vec![SharedString::from(&row.staff.name)];
    title.extend(
        row.role
            .as_ref()
            .map(|role| ui.global::<Words>().invoke_role(words::role(role))),
    );
    title.push(says.invoke_spare(words::count(row.spare)));
    let buddies: Vec<SharedString> = row
        .buddies
        .iter()
        .map(|pair| {
            let pair: Vec<&str> = pair.iter().map(|name| name.short.as_str()).collect();
            pair.join(" + ").into()
        })
        .collect();
    StationView {
        title: joined(&title, " · "),
        runs: rows(row.runs.iter().map(|one| run(ui, one))),
        buddies: if buddies.is_empty() {
            SharedString::new()
        } else {
            says.invoke_buddies(joined(&buddies, ", "))
        },
    }
}

fn run(ui: &App, row: &StationRunRow) -> StationRun {
    let says = ui.global::<NextWords>();
    let form = says.invoke_form(match row.form {
        RunForm::Together => 0,
        RunForm::Pairs => 1,
        RunForm::OneByOne => 2,
    });
    let who = if row.students.is_empty() {
        says.invoke_all()
    } else {
        words::names(&row.students)
    };
    let mut parts = vec![says.invoke_minutes(words::count(row.minutes)), form, who];
    if row.kept > 0 {
        parts.push(says.invoke_kept(words::count(row.kept)));
    }
    StationRun {
        clock: words::clock(&row.from),
        name: (&row.name).into(),
        says: joined(&parts, " · "),
    }
}

fn why(ui: &App, row: &WhyRow) -> WhyView {
    let says = ui.global::<NextWords>();
    let Why {
        needed_by,
        behind,
        finishing,
        slipped,
        pinned,
        routine,
    } = row.why;
    let mut parts = Vec::new();
    if routine {
        parts.push(says.invoke_routine());
    } else {
        parts.push(says.invoke_needed(words::count(needed_by)));
    }
    if behind > 0 {
        parts.push(says.invoke_behind(words::count(behind)));
    }
    if finishing > 0 {
        parts.push(says.invoke_finishing(words::count(finishing)));
    }
    if slipped > 0 {
        parts.push(says.invoke_slipped(words::count(slipped)));
    }
    if pinned {
        parts.push(says.invoke_pinned());
    }
    WhyView {
        skill: row.skill.as_str().into(),
        name: (&row.name).into(),
        says: joined(&parts, " · "),
    }
}

fn left(ui: &App, row: &LeftRow) -> LeftView {
    let says = ui.global::<NextWords>();
    let (kind, minutes, name) = match &row.because {
        Because::Minutes(short) => (0, words::count(*short), ""),
        Because::First(skill) => (1, 0, skill.as_str()),
        Because::Instructor => (2, 0, ""),
        Because::Ascents => (3, 0, ""),
        Because::Asked => (4, 0, ""),
        Because::Worth => (5, 0, ""),
    };
    let because = says.invoke_because(kind, minutes, name.into());
    LeftView {
        skill: row.skill.as_str().into(),
        name: (&row.name).into(),
        says: joined(&[because, words::names(&row.students)], " · "),
    }
}

pub(super) fn lacks(ui: &App, lacking: &Lacking) -> SharedString {
    let (kind, name) = match lacking {
        Lacking::Outline => (0, ""),
        Lacking::Students => (1, ""),
        Lacking::Staff => (2, ""),
        Lacking::Minutes => (3, ""),
        Lacking::Ring(skill) => (4, skill.as_str()),
        Lacking::Nothing => (5, ""),
        Lacking::Over => (6, ""),
    };
    ui.global::<NextWords>().invoke_lacking(kind, name.into())
}
