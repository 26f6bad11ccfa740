//! Screens: one file a screen. `join` ties its door's callbacks once; `show` asks the border
//! for its view and fills the door; `refresh`, where there is one, draws only what changed.

mod about;
mod agenda;
pub(crate) mod attempt;
pub(crate) mod board;
mod calculators;
mod cards;
mod confirm;
mod course;
mod course_file;
mod courses;
mod debrief;
mod devices;
mod dives;
mod emergency;
mod enrol;
mod figures;
pub(crate) mod files;
mod first_start;
mod forms;
mod gate;
mod incident;
mod issue;
mod journal;
mod judging;
mod keep;
mod kit;
mod limits;
mod line_up;
mod lost;
mod lost_day;
mod more;
mod outline;
pub(crate) mod papers;
mod people;
mod picture;
mod piece;
pub(crate) mod plan;
mod policy;
mod record;
mod records;
mod renewals;
pub(crate) mod rescue;
pub(crate) mod season;
mod sessions;
mod sites;
mod sizes;
mod skill;
mod slate;
mod student;
mod students;
pub(crate) mod sweep;
mod teams;
mod times;
mod today;
mod water;

use std::rc::Rc;

use tallywater_bindings::Change;

use crate::shell::news::Done;
use crate::shell::{Route, Shell};
use crate::ui::{Place, Screen};

/// Ties every door's callbacks.
pub(crate) fn join(shell: &Rc<Shell>) {
    about::join(shell);
    agenda::join(shell);
    attempt::join(shell);
    board::join(shell);
    calculators::join(shell);
    cards::join(shell);
    confirm::join(shell);
    course::join(shell);
    debrief::join(shell);
    devices::join(shell);
    dives::join(shell);
    emergency::join(shell);
    enrol::join(shell);
    files::join(shell);
    first_start::join(shell);
    forms::join(shell);
    gate::join(shell);
    incident::join(shell);
    issue::join(shell);
    journal::join(shell);
    judging::join(shell);
    keep::join(shell);
    kit::join(shell);
    limits::join(shell);
    line_up::join(shell);
    lost_day::join(shell);
    more::join(shell);
    outline::join(shell);
    papers::join(shell);
    people::join(shell);
    picture::join(shell);
    piece::join(shell);
    plan::join(shell);
    policy::join(shell);
    record::join(shell);
    renewals::join(shell);
    season::join(shell);
    sites::join(shell);
    sizes::join(shell);
    slate::join(shell);
    student::join(shell);
    teams::join(shell);
    times::join(shell);
    today::join(shell);
    water::join(shell);
}

/// Fills the door of this screen.
pub(crate) fn show(shell: &Rc<Shell>, screen: Screen) {
    match screen {
        Screen::About => about::show(shell),
        Screen::Agenda => agenda::show(shell),
        Screen::Attempt => attempt::show(shell),
        Screen::Board => board::show(shell),
        Screen::Calculators => calculators::show(shell),
        Screen::Cards => cards::show(shell),
        Screen::Confirm => confirm::show(shell),
        Screen::Course => course::show(shell),
        Screen::Courses => courses::show(shell),
        Screen::NewCourse => course::show_new(shell),
        Screen::Debrief => debrief::show(shell),
        Screen::Devices => devices::show(shell),
        Screen::Dives => dives::show(shell),
        Screen::Emergency => emergency::show(shell),
        Screen::Enrol => enrol::show(shell),
        Screen::Figures => figures::show(shell),
        Screen::FirstStart => first_start::show(shell),
        Screen::Forms => forms::show(shell),
        Screen::Incident => incident::show(shell),
        Screen::Timeline => incident::timeline::show(shell),
        Screen::Issue => issue::show(shell),
        Screen::Journal => journal::show(shell),
        Screen::Keep => keep::show(shell),
        Screen::Kit => kit::show(shell),
        Screen::Piece => piece::show(shell),
        Screen::Slate => slate::show(shell),
        Screen::Judging => judging::show(shell),
        Screen::Limits => limits::show(shell),
        Screen::LineUp | Screen::Bare => line_up::show(shell),
        Screen::LostDay => lost_day::show(shell),
        Screen::More => more::show(shell),
        Screen::Outline => outline::show(shell),
        Screen::People => people::show(shell),
        Screen::Picture => picture::show(shell),
        Screen::Plan => plan::show(shell),
        Screen::Policy => policy::show(shell),
        Screen::Record => record::show(shell),
        Screen::Records => records::show(shell),
        Screen::Season => season::show(shell),
        Screen::Sessions => sessions::show(shell),
        Screen::Sites => sites::show(shell),
        Screen::Skill => skill::show(shell),
        Screen::Student => student::show(shell),
        Screen::Students => students::show(shell),
        Screen::Teams => teams::show(shell),
        Screen::Times => times::show(shell),
        Screen::Today => today::show(shell),
        Screen::Water => water::show(shell),
    }
}

/// Draws what a change touched on the screen that is shown.
pub(crate) fn refresh(shell: &Rc<Shell>, change: &Change) {
    let route = shell.route();
    let elsewhere =
        change.course.is_some() && route.course.is_some() && route.course != change.course;
    if elsewhere {
        return;
    }
    if route.screen == Screen::Board {
        return board::refresh(shell, change);
    }
    show(shell, route.screen);
}

/// Something happened on the network: the screens that show it are drawn anew.
pub(crate) fn link_news(shell: &Rc<Shell>) {
    let screen = shell.route().screen;
    if screen == Screen::Devices || screen == Screen::FirstStart {
        show(shell, screen);
    }
}

/// Something that was begun off the drawing thread has ended.
pub(crate) fn done(shell: &Rc<Shell>, done: Done) {
    match done {
        Done::Ahead(course, seen) => plan::seen(shell, &course, *seen),
        Done::Season(glance, seen) => season::seen(shell, &glance, *seen),
        done @ (Done::Paired(_) | Done::Demo(_) | Done::DemoPart(_)) => {
            first_start::done(shell, done);
        }
    }
}

/// Goes to a place of the navigation: in the course and session that one is in, or else the
/// one at hand.
pub(crate) fn go(shell: &Rc<Shell>, place: Place) {
    let screen = match place {
        Place::Today => return shell.go(Route::to(Screen::Today)),
        Place::More => Screen::More,
        Place::Board => Screen::Board,
        Place::Cards => Screen::Cards,
        Place::Water => Screen::Water,
    };
    shell.go(shell.in_hand().here(screen));
}
