//! Debrief: what is said to each student after a session.

use tallywater_core::course::SessionId;
use tallywater_core::{entry, view};

use crate::cross::{Asked as _, mirror};
use crate::{Fault, Leave, Moment, StaffName, StudentName, Tallywater};

mirror! {
    /// The debriefs of a session.
    shown record DebriefView = view::DebriefView {
        course: String,
        session: String,
        title: String,
        cards: Vec<DebriefCard>,
        may_keep: Leave,
    }

    /// What is said to one student.
    shown private record DebriefCard = view::DebriefCard {
        name: StudentName,
        said: DebriefText,
        kept: Option<DebriefKept>,
    }

    /// Who kept a debrief, and when.
    shown tuple DebriefKept = (view::StaffName, view::Moment) {
        by: StaffName,
        at: Moment,
    }

    /// The parts of a debrief, each in words; empty where nothing is to be said.
    both private record DebriefText = entry::DebriefText {
        met: String,
        fault: String,
        fix: String,
        next: String,
        practise: String,
    }
}

#[uniffi::export]
impl Tallywater {
    /// What is said to each student after a session: as it was kept, or as the marks propose it.
    pub fn debriefs(&self, course: String, session: String) -> Result<DebriefView, Fault> {
        let id: SessionId = session.clone().asked()?;
        self.find(&course, ("session", &session), |course, reader| {
            view::DebriefView::of(course, reader, &id)
        })
    }
}
