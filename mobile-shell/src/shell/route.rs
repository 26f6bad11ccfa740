//! Route: which screen, and about what.

use tallywater_bindings::ChartOf;

use crate::ui::{Place, Screen};

/// Which screen, and about what.
#[derive(Debug, Clone, PartialEq)]
pub struct Route {
    /// The screen.
    pub screen: Screen,
    /// The course it is about.
    pub course: Option<String>,
    /// The session it is about.
    pub session: Option<String>,
    /// The student it is about.
    pub student: Option<String>,
    /// The skill it is about.
    pub skill: Option<String>,
    /// The picture it draws.
    pub picture: Option<ChartOf>,
    /// The incident whose timeline it shows, by its entry.
    pub incident: Option<String>,
    /// The piece of kit it is about.
    pub piece: Option<String>,
}

impl Route {
    /// A screen about nothing in particular.
    pub const fn to(screen: Screen) -> Self {
        Self {
            screen,
            course: None,
            session: None,
            student: None,
            skill: None,
            picture: None,
            incident: None,
            piece: None,
        }
    }

    /// The same, in this course.
    #[must_use]
    pub fn course(mut self, id: impl Into<String>) -> Self {
        self.course = Some(id.into()).filter(|id| !id.is_empty());
        self
    }

    /// The same, in this session; in none, where the id is empty.
    #[must_use]
    pub fn session(mut self, id: impl Into<String>) -> Self {
        self.session = Some(id.into()).filter(|id| !id.is_empty());
        self
    }

    /// The same, about this student.
    #[must_use]
    pub fn student(mut self, id: impl Into<String>) -> Self {
        self.student = Some(id.into()).filter(|id| !id.is_empty());
        self
    }

    /// The same, about this skill.
    #[must_use]
    pub fn skill(mut self, id: impl Into<String>) -> Self {
        self.skill = Some(id.into()).filter(|id| !id.is_empty());
        self
    }

    /// The same, with this picture.
    #[must_use]
    pub fn picture(mut self, of: ChartOf) -> Self {
        self.picture = Some(of);
        self
    }

    /// The same, about this incident.
    #[must_use]
    pub fn incident(mut self, entry: impl Into<String>) -> Self {
        self.incident = Some(entry.into()).filter(|entry| !entry.is_empty());
        self
    }

    /// The same, about this piece of kit; about a new one, where the id is empty.
    #[must_use]
    pub fn piece(mut self, id: impl Into<String>) -> Self {
        self.piece = Some(id.into()).filter(|id| !id.is_empty());
        self
    }

    /// The same course and session on another screen.
    #[must_use]
    pub fn here(&self, screen: Screen) -> Self {
        Self {
            screen,
            course: self.course.clone(),
            session: self.session.clone(),
            student: None,
            skill: None,
            picture: None,
            incident: None,
            piece: None,
        }
    }

    /// The course, or an empty text, which no course has for an id.
    pub(crate) fn in_course(&self) -> String {
        self.course.clone().unwrap_or_default()
    }

    /// Which place of the navigation it belongs to; `None` before there is one.
    pub(crate) const fn place(&self) -> Option<Place> {
        Some(match self.screen {
            Screen::FirstStart => return None,
            Screen::Today => Place::Today,
            Screen::Board
            | Screen::Confirm
            | Screen::Attempt
            | Screen::LineUp
            | Screen::Bare
            | Screen::Student => Place::Board,
            Screen::Cards => Place::Cards,
            Screen::Water | Screen::Times | Screen::Teams => Place::Water,
            Screen::More
            | Screen::Students
            | Screen::Sessions
            | Screen::Plan
            | Screen::Dives
            | Screen::Limits
            | Screen::Judging
            | Screen::Picture
            | Screen::Slate
            | Screen::Keep
            | Screen::Calculators
            | Screen::Records
            | Screen::Record
            | Screen::Outline
            | Screen::Season
            | Screen::Skill
            | Screen::Policy
            | Screen::Devices
            | Screen::Journal
            | Screen::Incident
            | Screen::Timeline
            | Screen::Debrief
            | Screen::Emergency
            | Screen::Sites
            | Screen::Agenda
            | Screen::LostDay
            | Screen::Kit
            | Screen::Piece
            | Screen::Issue
            | Screen::Enrol
            | Screen::Figures
            | Screen::About
            | Screen::Courses
            | Screen::Course
            | Screen::NewCourse
            | Screen::People
            | Screen::Forms => Place::More,
        })
    }
}
