//! Cards: a session's skills in large type, one after another.

use std::rc::Rc;

use slint::{ComponentHandle, ModelRc, VecModel};
use tallywater_bindings::{BriefingCard, BriefingView, MethodsNeeded};

use crate::shell::{Route, Shell, fill, list, on};
use crate::ui::{AppDoor, CardView, CardsDoor, Load, MethodCard, Screen, SlipRow, Words};
use crate::words;

#[derive(Default)]
struct Kept {
    slips: Rc<VecModel<SlipRow>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<CardsDoor>();
    on!(shell, door.on_next() => turn(shell, |card| card.beside.after.clone()));
    on!(shell, door.on_previous() => turn(shell, |card| card.beside.before.clone()));
    on!(shell, door.on_line_up(skill) => {
        shell.open(shell.route().here(Screen::LineUp).skill(skill));
    });
    on!(shell, door.on_again() => again(shell));
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<CardsDoor>();
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    let (Some(course), Some(session)) = (route.course.clone(), route.session.clone()) else {
        shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Cards), "");
        door.set_load(Load::Empty);
        return;
    };
    let day = shell.session_day(&course, Some(&session));
    let view = shell.see(shell.desk().briefing(course, session), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    let setting = ui
        .global::<Words>()
        .invoke_setting(words::setting(&view.setting));
    shell.title(view.title.clone(), format!("{day} · {setting}"));
    let Some(card) = at(&view, &route) else {
        door.set_load(Load::Empty);
        return;
    };
    let skill = &card.skill;
    let methods: Vec<MethodCard> = skill
        .methods
        .iter()
        .map(|method| MethodCard {
            name: method.name.clone().into(),
            cues: list(method.cues.iter().cloned()),
        })
        .collect();
    let slips = skill.slips.iter().map(|slip| SlipRow {
        id: slip.slip.to_string().into(),
        fault: slip.fault.clone().into(),
        fix: slip.fix.clone().into(),
        on: false,
    });
    fill(&kept.slips, slips.collect());
    door.set_slips(ModelRc::from(Rc::clone(&kept.slips)));
    door.set_card(CardView {
        skill_id: skill.skill.to_string().into(),
        skill: skill.name.clone().into(),
        family: words::family(&skill.family),
        position: words::count(card.beside.place),
        of: words::count(card.beside.of),
        requirement: words::skill_says(skill),
        caution: skill.caution.clone().unwrap_or_default().into(),
        cues: list(skill.cues.iter().cloned()),
        methods: ModelRc::new(VecModel::from(methods)),
        slips: ModelRc::default(),
        minutes: ui.global::<Words>().invoke_minutes(
            words::count(skill.quick_minutes),
            words::count(skill.slow_minutes),
        ),
        students: words::names(&card.needed_by),
        all_methods: skill.methods_needed == MethodsNeeded::All,
    });
    door.set_load(Load::Ready);
}

/// The card that the route names, or else the first.
fn at<'a>(view: &'a BriefingView, route: &Route) -> Option<&'a BriefingCard> {
    let named = view.cards.iter().find(|card| {
        route
            .skill
            .as_ref()
            .is_some_and(|id| card.skill.skill == *id)
    });
    named.or_else(|| view.cards.first())
}

fn turn(shell: &Rc<Shell>, to: impl FnOnce(&BriefingCard) -> Option<String>) {
    let route = shell.route();
    let session = route.session.clone().unwrap_or_default();
    match shell.desk().briefing(route.in_course(), session) {
        Ok(view) => {
            if let Some(skill) = at(&view, &route).and_then(to) {
                shell.aim(None, Some(&skill));
                shell.show_again();
            }
        }
        Err(fault) => shell.fault(&fault),
    }
}

fn again(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    if ui.global::<CardsDoor>().get_load() != Load::Empty {
        return shell.show_again();
    }
    let route = shell.route();
    if route.session.is_some() {
        shell.open(route.here(Screen::Plan));
    } else {
        shell.open(route.here(Screen::Sessions));
    }
}
