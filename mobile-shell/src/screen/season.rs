//! Season: what the marks of every course say of the outline; worked out on another thread,
//! drawn when it comes, and accepted by a person, one proposal at a time.

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;
use std::thread;
use std::time::Duration;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    AgainAfter, AgainRow, ChartBar, Fault, Glance, HeldShare, Leave, MinutesRow, ProposedChange,
    Request, Scope, SeasonJudges, SeasonProposal, SeasonView,
};

use super::papers;
use crate::shell::ask::Question;
use crate::shell::news::{Done, News};
use crate::shell::{Shell, on, rows};
use crate::ui::{
    App, AppDoor, CourseWords, Load, Screen, SeasonBar, SeasonChange, SeasonDoor, SeasonWords,
    Words,
};
use crate::words;

/// The look that is under way, and what the last one found.
#[derive(Default)]
struct Kept {
    glance: RefCell<Option<Arc<Glance>>>,
    seen: RefCell<Option<SeasonView>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SeasonDoor>();
    on!(shell, door.on_accept(id) => ask(shell, &id));
    on!(shell, door.on_print() => print(shell));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Season), "");
    let door = ui.global::<SeasonDoor>();
    door.set_done(SharedString::new());
    door.set_refused(SharedString::new());
    let kept = shell.kept::<Kept>();
    let glance = Glance::new();
    if let Some(before) = kept.glance.replace(Some(Arc::clone(&glance))) {
        before.end();
    }
    // What was there stays in sight while it is looked at anew.
    if kept.seen.borrow().is_none() {
        door.set_fault(SharedString::new());
        door.set_load(Load::Loading);
    }
    let (desk, post) = (shell.desk(), shell.post());
    thread::spawn(move || {
        let seen = desk.season(Arc::clone(&glance));
        post.put(News::Done(Done::Season(glance, Box::new(seen))));
    });
}

/// Waits until the look that is under way has been told: for whoever draws pictures, for a
/// window waits for nothing. After a minute it is drawn as it is.
pub(crate) fn wait(shell: &Rc<Shell>) {
    let kept = shell.kept::<Kept>();
    for _ in 0..1_200 {
        shell.take_news();
        if kept.glance.borrow().is_none() {
            return;
        }
        thread::sleep(Duration::from_millis(50));
    }
}

/// A look has ended; one that was replaced meanwhile is not told.
pub(crate) fn seen(
    shell: &Rc<Shell>,
    glance: &Arc<Glance>,
    seen: Result<Option<SeasonView>, Fault>,
) {
    let kept = shell.kept::<Kept>();
    let wanted = {
        let wanted = kept.glance.borrow();
        wanted.as_ref().is_some_and(|one| Arc::ptr_eq(one, glance))
    };
    let Some(ui) = shell.ui().filter(|_| wanted) else {
        return;
    };
    kept.glance.take();
    let door = ui.global::<SeasonDoor>();
    match seen {
        Ok(Some(view)) => {
            draw(&ui, &view);
            kept.seen.replace(Some(view));
            door.set_fault(SharedString::new());
            door.set_load(Load::Ready);
        }
        Ok(None) => {}
        Err(fault) => {
            kept.seen.take();
            door.set_fault(words::fault(&ui, &fault));
            door.set_load(Load::Failed);
        }
    }
}

fn draw(ui: &App, view: &SeasonView) {
    let door = ui.global::<SeasonDoor>();
    door.set_courses(words::count(view.courses));
    door.set_least(words::count(view.least));
    door.set_outline(view.outline.is_some());
    let bars = view.picture.iter().flat_map(|chart| &chart.bars);
    let timed = view.minutes.iter().zip(bars);
    door.set_minutes(rows(timed.map(|(row, bar)| minutes(ui, row, bar))));
    door.set_minutes_few(words::count(view.minutes_few));
    door.set_held(rows(view.again.iter().flat_map(|one| held(ui, one))));
    door.set_held_few(words::count(view.again_few));
    door.set_judges(rows(view.judges.iter().map(|one| judges(ui, one))));
    door.set_judges_few(words::count(view.judges_few));
    door.set_proposals(rows(view.proposals.iter().map(|one| proposal(ui, one))));
    door.set_may_accept(view.may_set == Leave::Yes);
}

/// As the picture has it, on an axis of 1,000 whose middle is the plan.
fn minutes(ui: &App, row: &MinutesRow, bar: &ChartBar) -> SeasonBar {
    let place =
        |at: Option<&u16>| tallywater_bindings::share_of(at.map_or(0, |at| (*at).into()), 1_000);
    SeasonBar {
        name: (&row.name).into(),
        says: ui.global::<SeasonWords>().invoke_minutes(
            words::count(row.planned),
            words::count(row.taken),
            words::count(row.lines),
            words::count(row.percent),
            words::count(row.low),
            words::count(row.high),
        ),
        low: place(bar.parts.first()),
        middle: place(bar.parts.get(1)),
        high: place(bar.parts.get(2)),
        plan: 0.5,
        drawn: true,
    }
}

/// A skill in all, drawn; then by where and by how long after, in words.
fn held(ui: &App, row: &AgainRow) -> Vec<SeasonBar> {
    let says = ui.global::<SeasonWords>();
    let mut bars = vec![SeasonBar {
        name: (&row.name).into(),
        ..share(ui, &row.all)
    }];
    let part = |name: SharedString, one: &HeldShare| {
        let bar = share(ui, one);
        SeasonBar {
            says: slint::format!("{name}: {}", bar.says),
            drawn: false,
            ..bar
        }
    };
    bars.extend(row.places.iter().map(|one| {
        let setting = words::setting(&one.setting);
        part(ui.global::<Words>().invoke_setting(setting), &one.share)
    }));
    bars.extend(row.spans.iter().map(|one| {
        let after = says.invoke_after(match one.after {
            AgainAfter::Week => 0,
            AgainAfter::Month => 1,
            AgainAfter::Longer => 2,
        });
        part(after, &one.share)
    }));
    bars
}

fn share(ui: &App, share: &HeldShare) -> SeasonBar {
    let says = ui.global::<SeasonWords>();
    SeasonBar {
        name: SharedString::new(),
        says: says.invoke_share(
            words::count(share.held),
            words::count(share.of),
            words::count(share.low),
            words::count(share.high),
        ),
        low: words::share(share.low),
        middle: tallywater_bindings::share_of(share.held, share.of),
        high: words::share(share.high),
        plan: -1.0,
        drawn: true,
    }
}

fn judges(ui: &App, row: &SeasonJudges) -> SeasonBar {
    let says = ui.global::<SeasonWords>();
    SeasonBar {
        name: says.invoke_pair((&row.first.name).into(), (&row.second.name).into()),
        says: says.invoke_same(
            words::count(row.same),
            words::count(row.of),
            words::count(row.low),
            words::count(row.high),
        ),
        low: words::share(row.low),
        middle: tallywater_bindings::share_of(row.same, row.of),
        high: words::share(row.high),
        plan: -1.0,
        drawn: true,
    }
}

fn proposal(ui: &App, one: &SeasonProposal) -> SeasonChange {
    let says = ui.global::<SeasonWords>();
    let (what, why) = match &one.what {
        ProposedChange::Minutes {
            skill: _,
            name,
            setup_now,
            setup,
            turn_now,
            turn,
            lines,
            percent,
            low,
            high,
        } => (
            says.invoke_other_minutes(
                name.into(),
                words::count(*setup),
                words::count(*setup_now),
                words::count(*turn),
                words::count(*turn_now),
            ),
            says.invoke_by_minutes(
                words::count(*lines),
                words::count(*percent),
                words::count(*low),
                words::count(*high),
            ),
        ),
        ProposedChange::Order {
            block: _,
            title,
            skill: _,
            name,
            before: _,
            before_name,
            turned,
            of,
            low,
            high,
        } => (
            says.invoke_other_order(title.into(), name.into(), before_name.into()),
            says.invoke_by_order(
                words::count(*turned),
                words::count(*of),
                words::count(*low),
                words::count(*high),
            ),
        ),
    };
    SeasonChange {
        id: (&one.id).into(),
        what,
        why,
    }
}

/// Writes the season as a sheet and shows it; says where it is, or why there is none.
fn print(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<SeasonDoor>();
    door.set_done(SharedString::new());
    door.set_refused(SharedString::new());
    match papers::season(shell, &ui.global::<SeasonWords>().invoke_sheet()) {
        Ok(path) => {
            let said = path.display().to_string();
            door.set_done(ui.global::<CourseWords>().invoke_written(said.into()));
        }
        Err(fault) => door.set_refused(words::fault(&ui, &fault)),
    }
}

/// An outline is the school's: what it would become is asked first.
fn ask(shell: &Rc<Shell>, id: &str) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let change = {
        let seen = kept.seen.borrow();
        let all = seen.iter().flat_map(|view| &view.proposals);
        let mut found = all.filter(|one| one.id == id);
        found.next().map(|one| proposal(&ui, one))
    };
    let Some(change) = change else { return };
    let says = ui.global::<SeasonWords>();
    shell.ask(Question {
        title: says.invoke_accepts(),
        says: slint::format!("{}. {}", change.what, says.invoke_keeps()),
        first: (
            says.invoke_accept(),
            Box::new(move |shell: &Rc<Shell>| accept(shell, &change)),
        ),
        second: None,
        hold: false,
    });
}

fn accept(shell: &Rc<Shell>, change: &SeasonChange) {
    let outline = match shell.desk().season_outline(vec![change.id.to_string()]) {
        Ok(outline) => outline,
        Err(fault) => return shell.fault(&fault),
    };
    let why = format!("{}. {}", change.what, change.why);
    shell.record(Request::SetOutline {
        scope: Scope::Shop,
        outline,
        why: Some(why),
    });
    shell.show_again();
}
