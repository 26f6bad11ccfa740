//! What a plan comes to, on its door.

use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    Consider, Figure, FigureKind, RatioView, RunRow, SessionStaff, SessionStudent, SessionView,
    unit_symbol,
};

use super::Kept;
use crate::shell::{Shell, rows};
use crate::ui::{self, App, AppDoor, CourseWords, Load, PlanDoor, PlanField, Screen, Verdict};
use crate::words;

pub(super) fn draw(
    shell: &Rc<Shell>,
    kept: &Kept,
    view: &SessionView,
    planned: Option<&SessionView>,
) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<PlanDoor>();
    let heading = ui.global::<AppDoor>().invoke_heading(Screen::Plan);
    let title = if view.title.is_empty() {
        heading
    } else {
        view.title.clone().into()
    };
    shell.title(title, view.site.clone());
    door.set_view(plan_view(shell, kept, view, planned));
    door.set_students(rows(view.students.iter().map(student)));
    let away: Vec<&str> = view.away.iter().map(super::super::agenda::called).collect();
    door.set_away(away.join(", ").into());
    door.set_staff(rows(view.staff.iter().map(staff)));
    let lacks = view.site_missing.iter().map(super::super::emergency::lack);
    door.set_site_lacks(rows(lacks));
    door.set_sites(rows(view.sites.iter().map(SharedString::from)));
    let blocks = view
        .blocks
        .iter()
        .map(|block| SharedString::from(&block.title));
    door.set_blocks(rows(blocks));
    let block = view
        .blocks
        .iter()
        .position(|block| view.block.as_ref() == Some(&block.id));
    door.set_block(block.map_or(-1, words::count));
    let last = view.run_list.len().checked_sub(1);
    let run = view.run_list.iter().enumerate();
    door.set_run(rows(
        run.map(|(n, row)| run_row(row, n == 0, Some(n) == last)),
    ));
    door.set_left_over(rows(
        view.could_add.iter().map(|row| run_row(row, true, true)),
    ));
    door.set_reasons(rows(
        view.ratio.iter().flat_map(|ratio| reasons(&ui, ratio)),
    ));
    super::super::gate::draw(shell, view);
    door.set_fault(words::leave(&ui, &view.may_plan));
    super::next::draw(&ui, kept, view);
    door.set_load(Load::Ready);
}

fn plan_view(
    shell: &Rc<Shell>,
    kept: &Kept,
    view: &SessionView,
    planned: Option<&SessionView>,
) -> ui::PlanView {
    let field = shell.ui().map(|ui| ui.global::<PlanDoor>().get_field());
    let typed = kept.typed.borrow().clone();
    // A field that is being typed shows what was typed, and nothing of what stands.
    let text = |one: PlanField, stands: SharedString| {
        if field == Some(one) && !typed.is_empty() {
            typed.clone().into()
        } else {
            stands
        }
    };
    let shown = |figure: &Option<Figure>| {
        SharedString::from(
            figure
                .as_ref()
                .map(|one| one.text.clone())
                .unwrap_or_default(),
        )
    };
    let unit = |kind| {
        let unit = shell.desk().figure_unit(kind).and_then(unit_symbol);
        SharedString::from(unit.unwrap_or_default())
    };
    let ratio = view.ratio.as_ref();
    let water = &view.water;
    ui::PlanView {
        id: shell.route().session.unwrap_or_default().into(),
        title: view.title.clone().into(),
        setting: words::setting(&view.setting),
        site: view.site.clone().into(),
        bring: view.bring.clone().unwrap_or_default().into(),
        day: words::day(&view.starts.day),
        starts: text(PlanField::Starts, words::clock(&view.starts)),
        minutes: words::count(view.minutes),
        water: words::water(&water.kind),
        depth: text(PlanField::Depth, shown(&water.max_depth)),
        depth_unit: unit(FigureKind::Depth),
        temperature: text(PlanField::Temperature, shown(&water.temperature)),
        temperature_unit: unit(FigureKind::Temperature),
        visibility: text(PlanField::Visibility, shown(&water.visibility)),
        visibility_unit: unit(FigureKind::Way),
        altitude: text(PlanField::Altitude, shown(&water.altitude)),
        altitude_unit: unit(FigureKind::Altitude),
        moving: water.moving,
        ratio: ratio.map_or(Verdict::NoRule, |ratio| words::verdict(&ratio.limit)),
        ratio_have: ratio
            .map(|ratio| words::count(ratio.students))
            .unwrap_or_default(),
        ratio_most: ratio
            .and_then(|ratio| ratio.ceiling)
            .map(words::count)
            .unwrap_or_default(),
        ratio_source: SharedString::new(),
        depth_verdict: words::verdict(&water.depth_limit),
        depth_most: water
            .depth_allowed
            .as_ref()
            .map(words::figure)
            .unwrap_or_default(),
        planned_minutes: words::count(view.run_minutes),
        over_time: !view.fits,
        left_over: words::count(view.could_add.len()),
        running: super::next::runs(shell, view),
        pair_verdict: view
            .pairing
            .as_ref()
            .map_or(Verdict::NoRule, |one| words::verdict(&one.limit)),
        pair_under: view
            .pairing
            .as_ref()
            .map(|one| words::count(one.under))
            .unwrap_or_default(),
        pair_young: view
            .pairing
            .as_ref()
            .map(|one| words::count(one.young))
            .unwrap_or_default(),
        pair_grown: view
            .pairing
            .as_ref()
            .map(|one| words::count(one.grown))
            .unwrap_or_default(),
        pair_assistants: view
            .pairing
            .as_ref()
            .map(|one| words::count(one.assistants))
            .unwrap_or_default(),
        known: planned.is_some(),
        cancelled: planned
            .and_then(|one| one.cancelled.clone())
            .unwrap_or_default()
            .into(),
        changes: planned
            .map(|one| words::count(one.changes))
            .unwrap_or_default(),
    }
}

fn student(one: &SessionStudent) -> ui::PersonChip {
    words::student_chip(&one.name, one.chosen, one.gaps.len())
}

fn staff(one: &SessionStaff) -> ui::PersonChip {
    ui::PersonChip {
        id: one.name.staff.to_string().into(),
        called: one.name.name.clone().into(),
        role: one.role.as_ref().map(words::role).unwrap_or_default(),
        staff: true,
        on: one.chosen,
        ..ui::PersonChip::default()
    }
}

fn run_row(row: &RunRow, first: bool, last: bool) -> ui::RunRow {
    ui::RunRow {
        skill: row.skill.to_string().into(),
        name: row.name.clone().into(),
        minutes: words::count(row.minutes),
        students: words::count(row.needed_by.len()),
        first,
        last,
    }
}

/// What the ceiling is made of, and what it should be lowered for.
fn reasons(ui: &App, ratio: &RatioView) -> Vec<ui::RatioReason> {
    use tallywater_bindings::RatioReason;
    let says = ui.global::<CourseWords>();
    let made_of = ratio.reasons.iter().map(|reason| match reason {
        RatioReason::Instructors { count, each } => {
            says.invoke_instructors(words::count(*count), words::count(*each))
        }
        RatioReason::Assistants { count, each } => {
            says.invoke_assistants(words::count(*count), words::count(*each))
        }
        RatioReason::Cap(most) => says.invoke_cap(words::count(*most)),
        RatioReason::CapEach(most) => says.invoke_cap_each(words::count(*most)),
        RatioReason::Young { under, each } => {
            says.invoke_young(words::count(*under), words::count(*each))
        }
        RatioReason::NoInstructor => says.invoke_no_instructor(),
        RatioReason::OtherCourses(count) => says.invoke_other_courses(words::count(*count)),
    });
    let lower = ratio.consider.iter().map(|one| match one {
        Consider::MovingWater => says.invoke_consider(0, 0),
        Consider::Minors(count) => says.invoke_consider(1, words::count(*count)),
        Consider::AgeUnknown(count) => says.invoke_consider(2, words::count(*count)),
        Consider::Alone => says.invoke_consider(3, 0),
        Consider::VisibilityUnknown => says.invoke_consider(4, 0),
    });
    made_of
        .chain(lower)
        .map(|says| ui::RatioReason {
            says,
            ..ui::RatioReason::default()
        })
        .collect()
}
