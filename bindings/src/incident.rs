//! Incidents, each with its timeline, its people, facts and reports.

use tallywater_core::course::EntryId;

use crate::cross::Asked as _;
use crate::{Fault, IncidentView, PaperSetup, Tallywater};

#[uniffi::export]
impl Tallywater {
    /// An incident with its moments in the order of the time that was meant, its people, what was
    /// said of it, and reports.
    pub fn incident(&self, course: String, incident: String) -> Result<IncidentView, Fault> {
        let id: EntryId = incident.clone().asked()?;
        self.find(&course, ("incident", &incident), |course, reader| {
            IncidentView::of(course, reader, &id)
        })
    }

    /// An incident's sheet. It holds names and free texts; it goes nowhere by itself.
    pub fn print_incident(
        &self,
        course: String,
        incident: String,
        setup: PaperSetup,
    ) -> Result<Vec<u8>, Fault> {
        let papers = self.papers(&course)?;
        let id: EntryId = incident.clone().asked()?;
        let sheet = self.press(setup)?.incident_sheet(&papers.source(), id)?;
        sheet.ok_or_else(|| Fault::not_found("incident", &incident))
    }
}
