//! Water: who is in the water, since when, and who is not back.

use std::cell::RefCell;
use std::rc::Rc;

use slint::{ComponentHandle, ModelRc, VecModel};
use tallywater_bindings::{
    AlarmEnd, HeadcountRow, HeadcountView, Leave, Passage, Place, Request, Who, WhoName,
};

use super::{lost, teams};
use crate::shell::ask::Question;
use crate::shell::{Shell, fill, on, rows};
use crate::ui::{
    self, AppDoor, HeadRow, HeadView, Load, LostLine, Screen, Verdict, WaterDoor, WaterState, Words,
};
use crate::words;

#[derive(Default)]
struct Kept {
    view: RefCell<Option<HeadcountView>>,
    people: Rc<VecModel<HeadRow>>,
    /// Drawn by row: the tick of every second leaves what is pressed as it is.
    lost: Rc<VecModel<LostLine>>,
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<WaterDoor>();
    on!(shell, door.on_enter(person) => enter(shell, &person));
    on!(shell, door.on_leave(person) => pass(shell, &person, &Passage::Out));
    on!(shell, door.on_stay_away(person) => pass(shell, &person, &Passage::Absent));
    on!(shell, door.on_open(person) => {
        let route = shell.route().here(Screen::Times);
        shell.open(route.student(person));
    });
    on!(shell, door.on_all_enter() => all_enter(shell));
    // The screen's timer may strike once more after the screen was left.
    on!(shell, door.on_tick() => {
        if shell.route().screen == Screen::Water {
            show(shell);
        }
    });
    on!(shell, door.on_to_debrief() => shell.open(shell.route().here(Screen::Debrief)));
    on!(shell, door.on_to_teams() => shell.open(shell.route().here(Screen::Teams)));
    on!(shell, door.on_to_kit() => shell.open(shell.route().here(Screen::Issue)));
    on!(shell, door.on_now() => super::plan::now(shell));
    on!(shell, door.on_lose() => lost::lose(shell));
    on!(shell, door.on_found(alarm) => lost::end(shell, &alarm, AlarmEnd::Found));
    on!(shell, door.on_taken_over(alarm) => lost::end(shell, &alarm, AlarmEnd::TakenOver));
    on!(shell, door.on_again() => shell.show_again());
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<WaterDoor>();
    let kept = shell.kept::<Kept>();
    let route = shell.route();
    let (Some(course), Some(session)) = (route.course, route.session) else {
        shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Water), "");
        door.set_load(Load::Empty);
        return;
    };
    let desk = shell.desk();
    let view = shell.see(desk.headcount(course, session), |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some(view) = view else { return };
    let day = words::day(&view.ends.day);
    let until = ui.global::<Words>().invoke_until(words::clock(&view.ends));
    let under = format!("{}, {until}", ui.global::<Words>().invoke_day(day));
    shell.title(view.title.clone(), under);
    fill(
        &kept.people,
        view.rows.iter().map(|row| whole(&ui, row)).collect(),
    );
    door.set_people(ModelRc::from(Rc::clone(&kept.people)));
    let lacks = view.site_missing.iter().map(super::emergency::lack);
    door.set_site_lacks(rows(lacks));
    fill(&kept.lost, view.lost.iter().map(lost::line).collect());
    door.set_lost(ModelRc::from(Rc::clone(&kept.lost)));
    door.set_teams_differ(view.teams_differ);
    let ratio = view.ratio.as_ref();
    door.set_view(HeadView {
        title: view.title.clone().into(),
        expected: words::count(view.expected),
        in_water: words::count(view.in_water),
        staff_in_water: words::count(view.staff_in_water),
        out: words::count(view.out),
        ashore: words::count(view.not_seen),
        absent: words::count(view.absent),
        alarm: view.overdue > 0,
        past_end: view.past_end.as_ref().map(words::span).unwrap_or_default(),
        ratio: ratio.map_or(Verdict::NoRule, |ratio| words::verdict(&ratio.limit)),
        ratio_most: ratio
            .and_then(|ratio| ratio.ceiling)
            .map(words::count)
            .unwrap_or(0),
        ready: words::count(view.ready.len()),
        may_count: view.may_count == Leave::Yes,
    });
    kept.view.replace(Some(view));
    door.set_load(Load::Ready);
}

fn row(row: &HeadcountRow) -> HeadRow {
    let (id, called, name, staff) = match &row.name {
        WhoName::Student(name) => (name.student.to_string(), &name.short, &name.name, false),
        WhoName::Staff(name) => (name.staff.to_string(), &name.short, &name.name, true),
    };
    HeadRow {
        id: id.into(),
        called: called.into(),
        name: name.into(),
        staff,
        state: match row.place {
            Place::NotSeen => WaterState::Ashore,
            Place::InWater => WaterState::InWater,
            Place::Out => WaterState::Out,
            Place::Absent => WaterState::Absent,
        },
        clock: row.since.as_ref().map(words::clock).unwrap_or_default(),
        elapsed: row.elapsed.as_ref().map(words::span).unwrap_or_default(),
        overdue: row.overdue,
        gaps: words::count(row.gaps),
        afterwards: slint::SharedString::new(),
        team: slint::SharedString::new(),
        team_briefly: slint::SharedString::new(),
    }
}

/// The same, with when the times of the last dive were written, where that was later, and with
/// the pair that was kept and who watches it.
fn whole(ui: &ui::App, of: &HeadcountRow) -> HeadRow {
    let last = of.dives.last();
    let times = last.map(|dive| [&dive.down, &dive.up]);
    let said = times.into_iter().flatten().flatten();
    let written = said.rev().find_map(words::written);
    HeadRow {
        afterwards: written
            .map(|clock| ui.global::<Words>().invoke_written(clock))
            .unwrap_or_default(),
        team: teams::of_one(ui, &of.team),
        team_briefly: teams::of_one_briefly(ui, &of.team),
        ..row(of)
    }
}

fn request(view: &HeadcountView, who: Who, passage: &Passage) -> Request {
    Request::Pass {
        course: view.course.to_string(),
        session: view.session.to_string(),
        who,
        passage: *passage,
        when: None,
    }
}

fn pass(shell: &Rc<Shell>, person: &str, passage: &Passage) {
    let kept = shell.kept::<Kept>();
    let request = {
        let view = kept.view.borrow();
        view.as_ref().and_then(|view| {
            let row = view.rows.iter().find(|one| row(one).id == person)?;
            Some(request(view, Who::from(&row.name), passage))
        })
    };
    if let Some(request) = request {
        shell.record(request);
    }
}

/// In, and once asked where something is missing before this water.
fn enter(shell: &Rc<Shell>, person: &str) {
    let Some(ui) = shell.ui() else { return };
    let kept = shell.kept::<Kept>();
    let missing = kept.view.borrow().as_ref().and_then(|view| {
        let row = view.rows.iter().find(|one| row(one).id == person)?;
        (row.gaps > 0).then(|| {
            (
                self::row(row).called,
                view.course.to_string(),
                view.session.to_string(),
            )
        })
    });
    let Some((called, course, session)) = missing else {
        return pass(shell, person, &Passage::In);
    };
    let words = ui.global::<Words>();
    let lacks = shell
        .desk()
        .missing_before(course, session, person.to_owned());
    let lacks = words::gaps_said(&ui, &lacks.unwrap_or_default());
    let person = person.to_owned();
    shell.ask(Question {
        title: words.invoke_lacks_title(called.clone()),
        says: words.invoke_lacks_says(lacks.join("; ").into()),
        first: (
            words.invoke_goes_in(called),
            Box::new(move |shell: &Rc<Shell>| pass(shell, &person, &Passage::In)),
        ),
        second: None,
        hold: true,
    });
}

/// Everybody who is ready goes in; one undo takes all of them back.
fn all_enter(shell: &Rc<Shell>) {
    let kept = shell.kept::<Kept>();
    let requests: Vec<Request> = {
        let view = kept.view.borrow();
        let Some(view) = view.as_ref() else { return };
        let ready = view.ready.iter().cloned();
        ready.map(|who| request(view, who, &Passage::In)).collect()
    };
    shell.record_all(requests);
}
