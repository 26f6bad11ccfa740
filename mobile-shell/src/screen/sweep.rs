//! Sweep: one word about everybody who was in the water, from the line-up and from the board.

use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{Again, InSweep, LineUpView, MarkTap, Origin, Request};

use crate::shell::Shell;
use crate::shell::ask::Question;
use crate::ui::{LeftOut, Mark, Words};
use crate::words;

/// The marks that one word about everybody is: of those whom the view says it takes.
pub(crate) fn requests(view: &LineUpView, mark: Mark, seen: &str) -> Vec<Request> {
    let taken = (view.rows.iter()).filter(|row| row.sweep == InSweep::Takes);
    taken
        .map(|row| Request::Mark {
            tap: MarkTap {
                on: Arc::clone(&row.cell.on),
                mark: words::mark_back(mark),
                method: None,
                measured: Vec::new(),
                slips: Vec::new(),
                note: None,
                despite: None,
                session: view.session.clone(),
                origin: Origin::Memory {
                    seen: seen.to_owned(),
                },
                again: Again::Unsaid,
            },
        })
        .collect()
}

/// Who is left out and why, reason by reason. Whoever was marked already is seen in the list.
pub(crate) fn left_out(shell: &Shell, view: &LineUpView) -> SharedString {
    let Some(ui) = shell.ui() else {
        return SharedString::new();
    };
    let mut left: BTreeMap<i32, (LeftOut, Vec<&str>)> = BTreeMap::new();
    for row in &view.rows {
        let why = match row.sweep {
            InSweep::Takes | InSweep::Marked | InSweep::NoSession => continue,
            InSweep::Gone => LeftOut::Gone,
            InSweep::Absent => LeftOut::Absent,
            InSweep::NotInWater => LeftOut::NotInWater,
            InSweep::Exempt => LeftOut::Exempt,
            InSweep::Differ => LeftOut::Differ,
            InSweep::NotHeld => LeftOut::NotHeld,
            InSweep::Met => LeftOut::Met,
            InSweep::MayNot => LeftOut::MayNot,
        };
        let of = left.entry(why as i32).or_insert((why, Vec::new()));
        of.1.push(&row.name.short);
    }
    let words = ui.global::<Words>();
    let said = left.into_values().map(|(why, who)| {
        let said = words.invoke_left_out(why, who.join(", ").into());
        said.to_string()
    });
    said.collect::<Vec<_>>().join("; ").into()
}

/// Asks which word it is, for a skill of the board.
pub(crate) fn ask(shell: &Rc<Shell>, skill: &str) {
    let Some(ui) = shell.ui() else { return };
    let route = shell.route();
    let seen = shell
        .desk()
        .line_up(route.in_course(), route.session, skill.to_owned());
    let view = match seen {
        Ok(view) => view,
        Err(fault) => return shell.fault(&fault),
    };
    let words = ui.global::<Words>();
    let left = left_out(shell, &view);
    let title = SharedString::from(&view.skill.name);
    if view.sweep == 0 {
        // There is nothing to choose: it is said why.
        return shell.ask(Question {
            title,
            says: words.invoke_sweep_none(left),
            first: (SharedString::new(), Box::new(|_| {})),
            second: None,
            hold: false,
        });
    }
    let clock = words::clock(&view.sweep_seen);
    let says = words.invoke_sweep_says(words::count(view.sweep), clock, left);
    let seen = view.sweep_seen.at.to_rfc3339();
    let (met, yet) = (
        requests(&view, Mark::Met, &seen),
        requests(&view, Mark::NotYet, &seen),
    );
    shell.ask(Question {
        title,
        says,
        first: (
            words.invoke_all_met(),
            Box::new(move |shell: &Rc<Shell>| {
                shell.record_all(met);
            }),
        ),
        second: Some((
            words.invoke_nobody_yet(),
            Box::new(move |shell: &Rc<Shell>| {
                shell.record_all(yet);
            }),
        )),
        hold: false,
    });
}
