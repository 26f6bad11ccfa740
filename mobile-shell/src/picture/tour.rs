//! Tour: every screen with something on it, one stop after another.

use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{
    CellState, ChartOf, Columns, Fault, MeasureKind, SessionCard, SessionState, Setting, TurnRule,
    Who as Diver,
};

use crate::shell::{Route, Shell};
use crate::ui::{AppDoor, BoardDoor, FirstDoor, Screen, Step, Who};

/// A way to a stop.
type Way = Box<dyn Fn(&Rc<Shell>)>;

/// One stop: what it is called, and how one gets there.
pub struct Stop {
    /// Its name, fit for a file.
    pub name: &'static str,
    /// The screen it shows.
    pub screen: Screen,
    /// Goes there.
    pub go: Way,
}

/// Every screen, in the course and session at hand, about its first student and skill.
pub fn tour(shell: &Rc<Shell>) -> Vec<Stop> {
    let hand = Route::to(Screen::Today);
    let at = shell.desk().at_hand().ok().flatten();
    let hand = match at {
        Some(at) => hand
            .course(at.course)
            .session(at.session.map(String::from).unwrap_or_default()),
        None => hand,
    };
    let board = hand.course.clone().and_then(|course| {
        let board = shell
            .desk()
            .board(course, hand.session.clone(), Columns::Session);
        board.ok()
    });
    let student = board.as_ref().and_then(|board| board.rows.first());
    let student = student
        .map(|row| row.name.student.to_string())
        .unwrap_or_default();
    let skill = board.as_ref().and_then(|board| board.columns.first());
    let skill = skill
        .map(|column| column.skill.to_string())
        .unwrap_or_default();
    let every = hand
        .course
        .clone()
        .and_then(|course| shell.desk().board(course, None, Columns::All).ok());
    let watched = every.as_ref().and_then(|board| {
        let mut columns = board.columns.iter();
        columns.find(|one| one.measure == Some(MeasureKind::Hold))
    });
    let timed = watched.map_or_else(|| skill.clone(), |column| column.skill.to_string());

    let to = |name, route: Route| Stop {
        name,
        screen: route.screen,
        go: Box::new(move |shell| {
            let of_navigation = matches!(
                route.screen,
                Screen::Today | Screen::Board | Screen::Cards | Screen::Water | Screen::More
            );
            if of_navigation {
                shell.go(route.clone());
            } else {
                shell.open(route.clone());
            }
        }),
    };
    let about = |screen| {
        hand.here(screen)
            .student(student.clone())
            .skill(skill.clone())
    };
    let mut stops: Vec<Stop> = [
        ("today", Screen::Today),
        ("board", Screen::Board),
        ("line-up", Screen::LineUp),
        ("large", Screen::Bare),
        ("attempt", Screen::Attempt),
        ("to-confirm", Screen::Confirm),
        ("cards", Screen::Cards),
        ("water", Screen::Water),
        ("times", Screen::Times),
        ("pairs", Screen::Teams),
        ("more", Screen::More),
        ("students", Screen::Students),
        ("student", Screen::Student),
        ("sessions", Screen::Sessions),
        ("plan", Screen::Plan),
        ("judging", Screen::Judging),
        ("slate", Screen::Slate),
        ("keep", Screen::Keep),
        // About a student, so it is the weight for the next check.
        ("lead", Screen::Calculators),
        ("records", Screen::Records),
        ("record", Screen::Record),
        ("outline", Screen::Outline),
        ("skill", Screen::Skill),
        ("policy", Screen::Policy),
        ("devices", Screen::Devices),
        ("journal", Screen::Journal),
        ("incident", Screen::Incident),
        ("debrief", Screen::Debrief),
        ("emergency", Screen::Emergency),
        ("sites", Screen::Sites),
        ("agenda", Screen::Agenda),
        ("kit", Screen::Kit),
        ("new-piece", Screen::Piece),
        ("issue", Screen::Issue),
        ("amend", Screen::Enrol),
        ("forms", Screen::Forms),
        ("course", Screen::Course),
        ("courses", Screen::Courses),
        ("new-course", Screen::NewCourse),
        ("people", Screen::People),
        ("figures", Screen::Figures),
        ("about", Screen::About),
    ]
    .map(|(name, screen)| to(name, about(screen)))
    .into();
    stops.push(to(
        "limits",
        in_open_water(shell, &hand).here(Screen::Limits),
    ));
    stops.push(to("lost-day", to_come(shell, &hand).here(Screen::LostDay)));
    stops.push(what_now(hand.here(Screen::Plan)));
    stops.push(to("dives", hand.here(Screen::Dives)));
    stops.push(to("enrol", hand.here(Screen::Enrol)));
    // An incident moment by moment, where one was written down.
    let incident = hand.course.clone().and_then(|course| {
        let rows = shell.desk().incidents(course).ok()?.rows;
        rows.into_iter().find(|row| row.withdrawn.is_none())
    });
    if let Some(row) = incident {
        let route = hand.here(Screen::Timeline);
        stops.push(to("timeline", route.incident(row.entry.to_string())));
    }
    // A piece of kit with everything about it, where the school has one.
    let kit = shell.desk().kit().map(|view| view.rows);
    if let Some(row) = kit.unwrap_or_default().into_iter().next() {
        stops.push(to("piece", Route::to(Screen::Piece).piece(row.piece)));
    }
    stops.push(to("calculators", Route::to(Screen::Calculators)));
    stops.push(season());
    let of_diver = ChartOf::Gas {
        session: hand.session.clone().unwrap_or_default(),
        who: Diver::Student {
            student: student.clone(),
        },
        rule: TurnRule::ThereAndBack,
    };
    let of_student = ChartOf::Way {
        student: student.clone(),
    };
    for (name, of) in [
        ("picture-gas", of_diver),
        ("picture-tries", ChartOf::Tries),
        ("picture-way", of_student),
    ] {
        stops.push(to(name, hand.here(Screen::Picture).picture(of)));
    }
    stops.push(to("attempt-timed", about(Screen::Attempt).skill(timed)));
    stops.push(sheet(hand.here(Screen::Board), (student.clone(), skill)));
    let split = board
        .iter()
        .flat_map(|board| &board.rows)
        .flat_map(|row| &row.cells);
    let split = split
        .into_iter()
        .find(|cell| cell.state == CellState::TwoViews);
    if let Some(cell) = split {
        let route = hand.here(Screen::Attempt);
        stops.push(to(
            "attempt-two-views",
            route
                .student(cell.student.to_string())
                .skill(cell.skill.to_string()),
        ));
    }
    stops.push(full(hand.here(Screen::Board)));
    stops.push(guard(hand.here(Screen::Board)));
    for (name, step) in [
        ("first-start", (Step::Choose, Who::Teaches)),
        ("first-start-shop", (Step::Choose, Who::Office)),
        ("first-start-join", (Step::Choose, Who::Joins)),
        ("first-start-code", (Step::Code, Who::Joins)),
        ("first-start-recover", (Step::Recover, Who::Office)),
    ] {
        stops.push(first(name, step));
    }
    stops
}

/// The season, once it has been worked out beside the drawing thread.
fn season() -> Stop {
    Stop {
        name: "season",
        screen: Screen::Season,
        go: Box::new(|shell| {
            shell.open(Route::to(Screen::Season));
            crate::screen::season::wait(shell);
        }),
    }
}

/// What is left of the session at hand, worked out where that is being held.
fn what_now(plan: Route) -> Stop {
    Stop {
        name: "what-now",
        screen: Screen::Plan,
        go: Box::new(move |shell| crate::screen::plan::now_in(shell, plan.clone())),
    }
}

/// The next session of the course at hand that has not begun, where there is one: a day that is
/// over is lost to nobody.
fn to_come(shell: &Rc<Shell>, hand: &Route) -> Route {
    let list = hand.course.clone().map(|id| shell.desk().session_list(id));
    let rows = list.and_then(Result::ok).map(|list| list.rows);
    let mut rows = rows.unwrap_or_default().into_iter();
    match rows.find(|row| row.state == SessionState::Ahead) {
        Some(row) => hand.clone().session(row.session),
        None => hand.clone(),
    }
}

/// The last session of the course in open water, where one is planned: it is there that limits
/// say something.
fn in_open_water(shell: &Rc<Shell>, hand: &Route) -> Route {
    let open = |row: &SessionCard| row.setting == Setting::Open;
    let courses = shell.desk().course_list(None).map(|list| list.rows);
    for row in courses.unwrap_or_default() {
        let sessions = shell.desk().session_list(row.course.to_string());
        let found = sessions
            .ok()
            .and_then(|list| list.rows.into_iter().rfind(open));
        if let Some(session) = found {
            return hand.clone().course(row.course).session(session.session);
        }
    }
    hand.clone()
}

fn sheet(board: Route, (student, skill): (String, String)) -> Stop {
    Stop {
        name: "board-sheet",
        screen: Screen::Board,
        go: Box::new(move |shell| {
            shell.go(board.clone());
            if let Some(ui) = shell.ui() {
                let door = ui.global::<BoardDoor>();
                door.invoke_open(student.clone().into(), skill.clone().into(), 0, 0);
            }
        }),
    }
}

fn full(board: Route) -> Stop {
    Stop {
        name: "device-full",
        screen: Screen::Board,
        go: Box::new(move |shell| {
            shell.go(board.clone());
            shell.fault(&Fault::DeviceFull);
        }),
    }
}

fn guard(board: Route) -> Stop {
    Stop {
        name: "rain-guard",
        screen: Screen::Board,
        go: Box::new(move |shell| {
            shell.go(board.clone());
            shell.standing_notices();
            set_guarded(shell, true);
        }),
    }
}

fn first(name: &'static str, (step, who): (Step, Who)) -> Stop {
    Stop {
        name,
        screen: Screen::FirstStart,
        go: Box::new(move |shell| {
            set_guarded(shell, false);
            shell.open(Route::to(Screen::FirstStart));
            if let Some(ui) = shell.ui() {
                let door = ui.global::<FirstDoor>();
                door.invoke_choose_who(who);
                if step == Step::Code {
                    door.invoke_pick("192.0.2.7:4433".into());
                } else {
                    door.set_step(step);
                }
            }
        }),
    }
}

fn set_guarded(shell: &Rc<Shell>, guarded: bool) {
    if let Some(ui) = shell.ui() {
        ui.global::<AppDoor>().set_guarded(guarded);
    }
}
