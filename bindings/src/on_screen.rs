//! On screen: what a view showed of one student and one skill. It goes back with whatever is
//! recorded from there, and cannot be made up.

use std::sync::Arc;

use tallywater_core::view;

use crate::cross::{Asked, Shown};
use crate::{Fault, Leave, Tallywater, Tap};

/// What was on screen of a cell, and what may be done with it.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Object)]
#[uniffi::export(Eq)]
pub struct OnScreen(view::OnScreen);

#[uniffi::export]
impl OnScreen {
    /// What a tap on a mark means.
    pub fn tap(&self) -> Tap {
        self.0.tap()
    }

    /// Whether a try may be marked.
    pub fn may_mark(&self) -> Leave {
        self.0.may_mark()
    }

    /// Whether marks that differ, or a slip, may be settled.
    pub fn may_settle(&self) -> Leave {
        self.0.may_settle()
    }

    /// Whether what waits may be confirmed.
    pub fn may_confirm(&self) -> Leave {
        self.0.may_confirm()
    }

    /// Whether the student may be exempted.
    pub fn may_exempt(&self) -> Leave {
        self.0.may_exempt()
    }
}

#[uniffi::export]
impl Tallywater {
    /// A cell as a screen would show it now, for whoever has no screen.
    pub fn on_screen(
        &self,
        course: String,
        student: String,
        skill: String,
    ) -> Result<Arc<OnScreen>, Fault> {
        let (course, skill) = (course.asked()?, skill.asked()?);
        let shown = self.desk.on_screen(&course, student.asked()?, &skill)?;
        Ok(shown.shown())
    }
}

impl Shown<Arc<OnScreen>> for view::OnScreen {
    fn shown(self) -> Arc<OnScreen> {
        Arc::new(OnScreen(self))
    }
}

impl Asked<view::OnScreen> for Arc<OnScreen> {
    fn asked(self) -> Result<view::OnScreen, Fault> {
        Ok(self.0.clone())
    }
}
