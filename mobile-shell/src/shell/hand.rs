//! Hand: the session that is at hand on every screen, and what says that another is shown.

use std::rc::Rc;

use slint::ComponentHandle;
use tallywater_bindings::{AtHand, SessionId};

use super::{Route, Shell};
use crate::ui::{AppDoor, Elsewhere, Place, Screen, Words};
use crate::words;

/// A session that a person chose over the one with people in the water.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Chosen {
    course: String,
    session: Option<String>,
    /// The one it was chosen over: when people are in another's water the choice is over.
    over: Option<SessionId>,
}

impl Shell {
    /// What is at hand, as the border says.
    pub(super) fn at_hand(&self) -> Option<AtHand> {
        // Whoever cannot read the day says so where it is looked at, in Today.
        self.desk().at_hand().ok().flatten()
    }

    /// The session with people in the water, unless another was chosen over it.
    fn wet(&self) -> Option<AtHand> {
        self.wet_of(self.at_hand())
    }

    /// The same, of what was read already.
    fn wet_of(&self, at: Option<AtHand>) -> Option<AtHand> {
        let at = at.filter(|at| at.in_water > 0)?;
        let chosen = self.chosen.borrow();
        let over = chosen.as_ref().is_some_and(|one| one.over == at.session);
        (!over).then_some(at)
    }

    /// Where a place of the navigation leads: to the session with people in the water; else to
    /// the one that was chosen, that one is in, or that is on.
    pub(crate) fn in_hand(&self) -> Route {
        self.in_hand_of(self.at_hand())
    }

    /// The same, of what was read already.
    pub(super) fn in_hand_of(&self, at: Option<AtHand>) -> Route {
        let route = self.route();
        if let Some(at) = self.wet_of(at.clone()) {
            return route
                .course(at.course)
                .session(at.session.map(String::from).unwrap_or_default());
        }
        if let Some(chosen) = self.chosen.borrow().clone() {
            return route
                .course(chosen.course)
                .session(chosen.session.unwrap_or_default());
        }
        if route.session.is_some() {
            return route;
        }
        match at {
            // A notice or a list leads to a course and names no session: its own is at hand.
            Some(at)
                if route.course.is_none()
                    || route.course.as_ref() == Some(&at.course.to_string()) =>
            {
                route
                    .course(at.course)
                    .session(at.session.map(String::from).unwrap_or_default())
            }
            Some(_) | None => route,
        }
    }

    /// Says loudly that another session is on screen than the one with people in the water, of
    /// what was read.
    pub(super) fn elsewhere_of(&self, at: Option<AtHand>) {
        let Some(ui) = self.ui() else { return };
        let route = self.route();
        let shows = matches!(
            route.screen,
            Screen::Board
                | Screen::Attempt
                | Screen::LineUp
                | Screen::Bare
                | Screen::Times
                | Screen::Cards
                | Screen::Water
                | Screen::Limits
                | Screen::Slate
        );
        let wet = if shows { self.wet_of(at) } else { None };
        let other = wet.filter(|at| {
            route.session.is_none() || route.session != at.session.map(|id| id.to_string())
        });
        let view = other.map_or_else(Elsewhere::default, |at| {
            let title = at.title.clone().unwrap_or_default();
            let words = ui.global::<Words>();
            let day = at.starts.as_ref().map(|at| words::day(&at.day));
            let day = words.invoke_day(day.unwrap_or_default());
            Elsewhere {
                says: words.invoke_elsewhere(title.clone().into(), day, words::count(at.in_water)),
                back: words.invoke_back_to(title.into()),
            }
        });
        ui.global::<AppDoor>().set_elsewhere(view);
    }

    /// The same while it is said, and only then: the last may have come out of the water
    /// meanwhile.
    pub(super) fn elsewhere_over(&self, at: Option<AtHand>) {
        let said = self.ui().is_some_and(|ui| {
            let view = ui.global::<AppDoor>().get_elsewhere();
            !view.says.is_empty()
        });
        if said {
            self.elsewhere_of(at);
        }
    }

    /// Goes to the same screen in the session with people in the water.
    pub(crate) fn to_hand(self: &Rc<Self>) {
        let Some(at) = self.wet() else { return };
        let screen = match self.route().place() {
            Some(Place::Water) => Screen::Water,
            Some(Place::Cards) => Screen::Cards,
            Some(Place::Today | Place::Board | Place::More) | None => Screen::Board,
        };
        let route = Route::to(screen).course(at.course);
        self.go(route.session(at.session.map(String::from).unwrap_or_default()));
    }

    /// The session on screen is at hand from now on, although people are in another's water.
    pub(crate) fn work_here(self: &Rc<Self>) {
        let route = self.route();
        let over = self.wet().and_then(|at| at.session);
        self.chosen.replace(Some(Chosen {
            course: route.in_course(),
            session: route.session,
            over,
        }));
        self.show_again();
    }

    /// What must be seen while the screen is locked.
    pub(crate) fn guard_tick(&self) {
        let Some(ui) = self.ui() else { return };
        let door = ui.global::<AppDoor>();
        if let Ok(now) = self.desk().moment(None, 0) {
            door.set_guard_clock(words::clock(&now));
        }
        if let Ok(at) = self.desk().at_hand() {
            door.set_guard_in_water(words::count(at.map_or(0, |at| at.in_water)));
        }
    }

    /// A session by name and day, for the line under a title.
    pub(crate) fn session_says(&self, course: &str, session: Option<&str>) -> String {
        let named = self.session_named(course, session);
        named.map_or_else(String::new, |(title, day)| format!("{title} · {day}"))
    }

    /// The day of a session, in short.
    pub(crate) fn session_day(&self, course: &str, session: Option<&str>) -> String {
        let named = self.session_named(course, session);
        named.map_or_else(String::new, |(_, day)| day)
    }

    fn session_named(&self, course: &str, session: Option<&str>) -> Option<(String, String)> {
        let (ui, session) = (self.ui()?, session?);
        let named = self
            .desk()
            .session_name(course.to_owned(), session.to_owned());
        let named = named.ok().flatten()?;
        let day = words::day(&named.starts.day);
        let day = ui.global::<Words>().invoke_short_day(day);
        Some((named.title, day.into()))
    }
}
