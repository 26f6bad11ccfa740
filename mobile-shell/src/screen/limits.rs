//! Limits: what ends a session's dive first, its gas and no-stop times, from what each one has
//! dived.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use slint::{ComponentHandle, SharedString};
use tallywater_bindings::{
    Caution, ChartOf, EarliestView, Ends, ExposureRow, ExposureView, FigureOrigin, FlyFrom,
    GasOpen, GasRow, GasView, GivesTo, LimitedBy, ModelLimit, NoStopLimit, SessionView,
    ShorterOpinion, TurnPoint, TurnRule, Who, WhoName,
};

use super::picture;
use crate::shell::{Shell, on, rows};
use crate::ui::{
    self, App, AppDoor, DayLine, EndRow, GasLine, LimitsDoor, LimitsView, Load, Screen, Turns,
};
use crate::words;

/// The rules in the order of the screen.
const RULES: [TurnRule; 3] = [
    TurnRule::DirectAscent,
    TurnRule::ThereAndBack,
    TurnRule::Thirds,
];

/// Minutes that the water is warm enough, in the order of the screen, after *not said*.
const COLD: [u32; 4] = [20, 30, 45, 60];

struct Kept {
    rule: RefCell<TurnRule>,
    live_there: Cell<bool>,
    /// The place on the screen, and of which session it was said.
    cold: RefCell<(i32, String)>,
}

impl Kept {
    /// What was said of this session, as the place on the screen and in minutes.
    fn cold(&self, session: &str) -> (i32, Option<u32>) {
        let said = self.cold.borrow();
        let place = if said.1 == session { said.0 } else { 0 };
        let minutes = usize::try_from(place - 1).ok();
        (place, minutes.and_then(|place| COLD.get(place)).copied())
    }
}

impl Default for Kept {
    fn default() -> Self {
        Self {
            rule: RefCell::new(TurnRule::ThereAndBack),
            live_there: Cell::new(false),
            cold: RefCell::default(),
        }
    }
}

pub(crate) fn join(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<LimitsDoor>();
    on!(shell, door.on_set_rule(place) => {
        let rule = usize::try_from(place).ok().and_then(|place| RULES.get(place));
        if let Some(rule) = rule {
            shell.kept::<Kept>().rule.replace(*rule);
        }
        show(shell);
    });
    on!(shell, door.on_set_live_there(live_there) => {
        shell.kept::<Kept>().live_there.set(live_there);
        show(shell);
    });
    on!(shell, door.on_set_cold(place) => {
        let session = shell.route().session.unwrap_or_default();
        shell.kept::<Kept>().cold.replace((place, session));
        show(shell);
    });
    on!(shell, door.on_open_gas(id, staff) => {
        let rule = *shell.kept::<Kept>().rule.borrow();
        let session = shell.route().session.unwrap_or_default();
        let who = diver(id, staff);
        picture::open(shell, ChartOf::Gas { session, who, rule });
    });
    on!(shell, door.on_open_no_stop(id, staff) => {
        let live_there = shell.kept::<Kept>().live_there.get();
        let session = shell.route().session.unwrap_or_default();
        let who = diver(id, staff);
        picture::open(shell, ChartOf::NoStop { session, who, live_there });
    });
    on!(shell, door.on_again() => shell.show_again());
}

/// Whose row it is: an id, and whether it is of staff.
fn diver(id: SharedString, staff: bool) -> Who {
    let id = id.to_string();
    if staff {
        Who::Staff { staff: id }
    } else {
        Who::Student { student: id }
    }
}

/// The id of somebody's row, and whether they are staff.
fn id(who: &WhoName) -> (SharedString, bool) {
    match who {
        WhoName::Student(name) => (name.student.to_string().into(), false),
        WhoName::Staff(name) => (name.staff.to_string().into(), true),
    }
}

pub(crate) fn show(shell: &Rc<Shell>) {
    let Some(ui) = shell.ui() else { return };
    let door = ui.global::<LimitsDoor>();
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Limits), "");
    let route = shell.route();
    let (Some(course), Some(session)) = (route.course, route.session) else {
        door.set_load(Load::Empty);
        return;
    };
    let kept = shell.kept::<Kept>();
    let rule = *kept.rule.borrow();
    let live_there = kept.live_there.get();
    let (cold_place, cold) = kept.cold(&session);
    let desk = shell.desk();
    let under = shell.session_says(&course, Some(&session));
    let seen = desk
        .session(course.clone(), session.clone())
        .and_then(|plan| {
            let gas = desk.gas(course.clone(), session.clone(), rule)?;
            let day = desk.exposure(course.clone(), session.clone(), live_there)?;
            let earliest = desk.earliest(course, session, rule, live_there, cold)?;
            Ok((plan, gas, day, earliest))
        });
    let seen = shell.see(seen, |fault| {
        door.set_fault(fault);
        door.set_load(Load::Failed);
    });
    let Some((plan, gas, day, earliest)) = seen else {
        return;
    };
    shell.title(ui.global::<AppDoor>().invoke_heading(Screen::Limits), under);
    let said = view(&ui, &plan, &gas, day.as_ref(), live_there);
    door.set_view(LimitsView {
        cold: cold_place,
        ..first(said, &earliest)
    });
    door.set_then(rows(earliest.then.iter().map(end)));
    let first = gas.first_to_turn.as_ref();
    // Where all turn alike nobody turns first.
    let all_alike = alike(gas.students.iter().map(|row| &row.reserve));
    let is_first = |row: &GasRow| !all_alike && first.is_some_and(|first| *first == row.who);
    let line = |row: &GasRow| gas_line(row, is_first(row));
    door.set_students(rows(gas.students.iter().map(line)));
    door.set_staff(rows(gas.staff.iter().map(line)));
    let shortest = day.as_ref().and_then(|day| day.shortest.as_ref());
    let people = || day.iter().flat_map(|day| &day.people);
    let all_alike = day.as_ref().is_none_or(|day| alike(limits(day)));
    door.set_people(rows(people().map(|row| {
        let is_shortest = !all_alike && shortest.is_some_and(|one| *one == row.who);
        day_line(&ui, row, is_shortest)
    })));
    door.set_gas_caution(words::caution(&ui, &Caution::GaugeFirst));
    door.set_time_caution(words::caution(&ui, &Caution::TableAndComputerFirst));
    door.set_fault("".into());
    door.set_load(Load::Ready);
}

/// What ends the dive first, and what that does not rest on.
fn first(view: LimitsView, earliest: &EarliestView) -> LimitsView {
    let without = |what| earliest.without.contains(&what);
    LimitsView {
        first: earliest.first.as_ref().map(end).unwrap_or_default(),
        known: earliest.first.is_some(),
        no_gas: without(LimitedBy::Gas),
        no_no_stop: without(LimitedBy::NoStop),
        no_cold: without(LimitedBy::Cold),
        ..view
    }
}

fn end(ends: &Ends) -> EndRow {
    EndRow {
        minutes: words::figure(&ends.minutes),
        by: match ends.by {
            LimitedBy::Gas => 0,
            LimitedBy::NoStop => 1,
            LimitedBy::Cold => 2,
            LimitedBy::Plan => 3,
        },
        whose: ends
            .whose
            .as_ref()
            .map(|who| words::who(who).into())
            .unwrap_or_default(),
    }
}

/// From when, as a moment of the screen; whether anybody dived, and whether it is longer.
fn flies(from: Option<&FlyFrom>) -> (bool, ui::Moment, bool) {
    let at = from.map(|from| words::moment(&from.at)).unwrap_or_default();
    (from.is_some(), at, from.is_some_and(|from| from.longer))
}

/// What is left to each one.
fn limits(day: &ExposureView) -> impl Iterator<Item = Option<&NoStopLimit>> {
    let of = |row| -> Option<&NoStopLimit> {
        let row: &ExposureRow = row;
        row.next.as_ref().map(|next| &next.limit)
    };
    day.people.iter().map(of)
}

/// Whether all of them are the same.
fn alike<T: PartialEq>(mut of: impl Iterator<Item = T>) -> bool {
    of.next().is_none_or(|first| of.all(|one| one == first))
}

fn view(
    ui: &App,
    plan: &SessionView,
    gas: &GasView,
    day: Option<&ExposureView>,
    live_there: bool,
) -> LimitsView {
    let water = &plan.water;
    let (flies, fly_from, fly_longer) = flies(day.and_then(|day| day.fly_from.as_ref()));
    let of_shortest = day.and_then(|day| {
        let shortest = day.shortest.as_ref()?;
        let row = day.people.iter().find(|row| row.who == *shortest)?;
        row.next.as_ref()
    });
    LimitsView {
        title: plan.title.clone().into(),
        at: words::moment(day.map_or(&plan.starts, |day| &day.at)),
        depth: water
            .max_depth
            .as_ref()
            .map(words::figure)
            .unwrap_or_default(),
        height: water
            .altitude
            .as_ref()
            .map(words::figure)
            .unwrap_or_default(),
        left: day.map_or_else(SharedString::new, |day| limit(ui, day.limit.as_ref())),
        whose: day
            .filter(|day| !alike(limits(day)))
            .and_then(|day| day.shortest.as_ref())
            .map(|who| words::who(who).into())
            .unwrap_or_default(),
        note: of_shortest
            .map(|next| words::note(ui, &shorter(&next.shorter)))
            .unwrap_or_default(),
        rule: RULES
            .iter()
            .position(|rule| *rule == gas.rule)
            .map_or(-1, words::count),
        open: gas.open.as_ref().map_or(0, |open| match open {
            GasOpen::Dry => 1,
            GasOpen::NoDepth => 2,
            GasOpen::NoStudents => 3,
            GasOpen::NoInstructor => 4,
            GasOpen::Beyond => 5,
        }),
        depth_verdict: words::verdict(&gas.depth_against.limit),
        depth_most: gas
            .depth_against
            .most
            .as_ref()
            .map(words::figure)
            .unwrap_or_default(),
        without_depth: day.map(|day| words::count(day.without_depth)).unwrap_or(0),
        other_courses: day.map(|day| words::count(day.other_courses)).unwrap_or(0),
        live_there,
        flies,
        fly_from,
        fly_longer,
        ..LimitsView::default()
    }
}

const fn shorter(one: &ShorterOpinion) -> tallywater_bindings::AnswerNote {
    use tallywater_bindings::AnswerNote;
    match one {
        ShorterOpinion::Table => AnswerNote::TableIsShorter,
        ShorterOpinion::Model => AnswerNote::ModelIsShorter,
        ShorterOpinion::Both => AnswerNote::TableAndModelAgree,
    }
}

/// What is left; where it cannot be said nothing is.
fn limit(ui: &App, limit: Option<&NoStopLimit>) -> SharedString {
    match limit {
        Some(NoStopLimit::Minutes { minutes }) => words::figure(minutes),
        Some(NoStopLimit::Unlimited) => ui.global::<LimitsDoor>().get_no_limit(),
        None => ui.global::<LimitsDoor>().get_none(),
    }
}

fn gas_line(row: &GasRow, first: bool) -> GasLine {
    let reserve = row.reserve.as_ref();
    let (turns, turn) = match reserve.map(|one| &one.turn) {
        None => (Turns::Unknown, SharedString::new()),
        Some(TurnPoint::At { pressure, .. }) => (Turns::At, words::figure(pressure)),
        Some(TurnPoint::NotEnough { .. }) => (Turns::NotEnough, SharedString::new()),
    };
    let spread = row.lowest.as_ref().zip(row.highest.as_ref());
    let (id, staff) = id(&row.who);
    GasLine {
        id,
        staff,
        who: words::who(&row.who).into(),
        rate: words::figure(&row.rate),
        own_rate: row.rate_origin == FigureOrigin::OwnRecord,
        dives: words::count(row.dives),
        spread: spread
            .filter(|(low, high)| low != high)
            .map(|(low, high)| slint::format!("{}–{}", low.text, high.text))
            .unwrap_or_default(),
        cylinder: words::figure(&row.capacity),
        own_cylinder: row.cylinder_origin == FigureOrigin::OwnRecord,
        start: words::figure(&row.start),
        keep: reserve
            .map(|one| words::figure(&one.reserve.pressure))
            .unwrap_or_default(),
        turns,
        turn,
        first,
        early: row
            .early
            .as_ref()
            .map(|early| words::figure(&early.by))
            .unwrap_or_default(),
        larger: row
            .early
            .as_ref()
            .and_then(|early| early.larger.as_ref())
            .map(words::figure)
            .unwrap_or_default(),
        gives_to: match &row.gives_to {
            None => 0,
            Some(GivesTo::One) => 1,
            Some(GivesTo::Two) => 2,
        },
    }
}

fn day_line(ui: &App, row: &ExposureRow, shortest: bool) -> DayLine {
    let last = row.plan.as_ref().and_then(|plan| plan.lines.last());
    let next = row.next.as_ref();
    let (flies, fly_from, fly_longer) = flies(row.fly_from.as_ref());
    let (id, staff) = id(&row.who);
    DayLine {
        id,
        who: words::who(&row.who).into(),
        staff,
        left: limit(ui, next.map(|next| &next.limit)),
        dives: words::count(row.dives),
        planned: words::count(row.planned),
        group: last
            .map(|line| slint::format!("{:?}", line.group))
            .unwrap_or_default(),
        table: next
            .map(|next| limit(ui, Some(&next.table)))
            .unwrap_or_default(),
        model: next
            .map(|next| match &next.model {
                ModelLimit::Minutes { minutes } => words::figure(minutes),
                ModelLimit::LongerThan { minutes } => {
                    slint::format!("> {}", words::figure(minutes))
                }
            })
            .unwrap_or_default(),
        flies,
        fly_from,
        fly_longer,
        ascents: words::count(row.ascents),
        ascents_verdict: words::verdict(&row.ascents_limit),
        shortest,
        no_limit: next.is_some_and(|next| next.limit == NoStopLimit::Unlimited),
    }
}
