//! Debrief: what is said to each student after a session.

use tallywater_core::course::SessionId;

use crate::cross::Asked as _;
use crate::{DebriefView, Fault, Tallywater};

#[uniffi::export]
impl Tallywater {
    /// What is said to each student after a session: as it was kept, or as the marks propose it.
    pub fn debriefs(&self, course: String, session: String) -> Result<DebriefView, Fault> {
        let id: SessionId = session.clone().asked()?;
        self.find(&course, ("session", &session), |course, reader| {
            DebriefView::of(course, reader, &id)
        })
    }
}
