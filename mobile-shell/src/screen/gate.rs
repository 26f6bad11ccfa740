//! The gate of a planned session: who misses what, and what an instructor sets aside.

use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    Condition, Leave, Limit, OverrideRow, Request, SessionStudent, SessionView, StaffMissing,
    course_ledger,
};

use crate::shell::{Shell, on, rows};
use crate::ui::{App, AsideRow, GateDoor, GateRow, HouseWords, KitWords, PickRow, Words};
use crate::words::{self, RuleNames};

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<GateDoor>();
    on!(shell, door.on_set_aside(student) => set_aside(shell, &student));
    on!(shell, door.on_pick(n) => super::plan::pick(shell, &n));
    on!(shell, door.on_withdraw(entry) => withdraw(shell, &entry));
}

/// The gate of a draft, with what is set aside for the session it will be.
pub(super) fn draw(shell: &Shell, view: &SessionView) {
    let Some(ui) = shell.ui() else { return };
    let chosen = view.students.iter().filter(|one| one.chosen);
    let door = ui.global::<GateDoor>();
    door.set_rows(rows(chosen.filter_map(|one| row(&ui, one))));
    let says = ui.global::<Words>();
    let besides = view
        .conditions
        .iter()
        .filter(|one| one.what != Condition::Current);
    door.set_conditions(rows(besides.map(|one| {
        let n = words::condition(&one.what);
        PickRow {
            id: slint::format!("{n}"),
            name: says.invoke_condition(n),
            on: one.on,
        }
    })));
    let rules = super::policy::names(shell, shell.route().in_course());
    door.set_staff(rows(staff(&ui, view, &rules)));
}

/// What staff lack, and everybody who would come up more often that day than the rule allows.
fn staff(ui: &App, view: &SessionView, rules: &RuleNames) -> Vec<SharedString> {
    let (says, house) = (ui.global::<Words>(), ui.global::<HouseWords>());
    let mut said = Vec::new();
    for one in view.staff.iter().filter(|one| one.chosen) {
        let lacks = one.gaps.iter().map(|gap| match &gap.what {
            StaffMissing::RuleUnconfirmed(rule) => {
                let name = rules.get(rule.as_str()).cloned();
                house.invoke_staff_rule(name.unwrap_or_else(|| rule.as_str().into()))
            }
            StaffMissing::NotRecorded(paper) => {
                house.invoke_staff_missing(says.invoke_staff_paper(words::staff_paper(paper)))
            }
            StaffMissing::Ended(paper, _) => {
                let day = gap.ended.as_ref().map(words::day).unwrap_or_default();
                house.invoke_staff_ended(
                    says.invoke_staff_paper(words::staff_paper(paper)),
                    says.invoke_date(day),
                )
            }
            StaffMissing::Kit { piece, wrong } => ui
                .global::<KitWords>()
                .invoke_asks(words::kit_name(ui, piece), words::kit_wrong_said(ui, wrong)),
        });
        let lacks: Vec<SharedString> = lacks.collect();
        if !lacks.is_empty() {
            said.push(slint::format!("{}: {}", one.name.name, lacks.join("; ")));
        }
        if one.ascents_limit == Limit::Over {
            let n = words::count(one.ascents);
            said.push(house.invoke_ascents_over(one.name.name.clone().into(), n));
        }
    }
    for one in view.students.iter().filter(|one| one.chosen) {
        if one.ascents_limit == Limit::Over {
            let n = words::count(one.ascents);
            said.push(house.invoke_ascents_over(one.name.short.clone().into(), n));
        }
    }
    said
}

fn row(ui: &App, one: &SessionStudent) -> Option<GateRow> {
    if one.gaps.is_empty() && one.overrides.is_empty() {
        return None;
    }
    let missing = words::gaps_said(ui, &one.gaps);
    Some(GateRow {
        student: one.name.student.to_string().into(),
        called: one.name.short.clone().into(),
        missing: missing.join("; ").into(),
        aside: rows(one.overrides.iter().map(|row| aside(ui, row))),
        may: !one.may_override.is_empty(),
    })
}

fn aside(ui: &App, row: &OverrideRow) -> AsideRow {
    let day = ui.global::<Words>().invoke_date(words::day(&row.at.day));
    AsideRow {
        entry: row.entry.to_string().into(),
        text: ui.global::<HouseWords>().invoke_aside(
            row.by.name.clone().into(),
            day,
            row.skills.join(", ").into(),
            row.why.clone().into(),
        ),
        may_withdraw: row.may_withdraw == Leave::Yes,
    }
}

/// Sets aside exactly the skills that are on screen as missing.
fn set_aside(shell: &Rc<Shell>, student: &str) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<GateDoor>();
    let route = shell.route();
    let course = route.in_course();
    let Some(session) = route.session else { return };
    let seen = shell.desk().session(course.clone(), session.clone());
    let Some(view) = shell.see(seen, |fault| door.set_fault(fault)) else {
        return;
    };
    let missing = view
        .students
        .iter()
        .find(|one| one.name.student == student)
        .map(|one| one.may_override.iter().map(ToString::to_string).collect())
        .unwrap_or_default();
    let done = shell.record(Request::Override {
        course,
        student: student.to_owned(),
        session,
        skills: missing,
        why: door.get_why().trim().to_owned(),
    });
    if done.is_some() {
        door.set_open("".into());
        door.set_why("".into());
        door.set_fault("".into());
        shell.show_again();
    }
}

fn withdraw(shell: &Rc<Shell>, entry: &str) {
    let ledger = course_ledger(shell.route().in_course());
    match ledger {
        Ok(ledger) => {
            shell.record(Request::Withdraw {
                ledger,
                entry: entry.to_owned(),
                why: None,
            });
            shell.show_again();
        }
        Err(fault) => shell.fault(&fault),
    }
}
