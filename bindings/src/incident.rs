//! Incidents, each with its timeline, its people, facts and reports.

use tallywater_core::course::EntryId;
use tallywater_core::{entry, view};

use crate::cross::{Asked as _, mirror};
use crate::{
    Alarm, AlarmEnd, Day, Fault, Leave, Moment, PaperSetup, StaffName, Tallywater, WhoName,
    Withdrawn,
};

mirror! {
    /// The incidents of a course, newest first.
    shown record IncidentsView = view::IncidentsView {
        course: String,
        rows: Vec<IncidentRow>,
        may_add: Leave,
    }

    /// One incident. The texts are personal: they go to the screen and nowhere else.
    shown private record IncidentRow = view::IncidentRow {
        entry: String,
        when: Moment,
        session: Option<String>,
        session_title: Option<String>,
        who: Vec<WhoName>,
        happened: String,
        done: String,
        reported: Option<String>,
        by: StaffName,
        at: Moment,
        withdrawn: Option<Withdrawn>,
        may_withdraw: Leave,
    }
    /// An incident with everything that hangs on it.
    shown record IncidentView = view::IncidentView {
        course: String,
        incident: IncidentRow,
        moments: Vec<TimelineRow>,
        concerned: Vec<PersonRow>,
        witnesses: Vec<PersonRow>,
        facts: Vec<FactRow>,
        reports: Vec<ReportRow>,
        reports_due: u32,
        may_add: Leave,
    }

    /// What a moment is.
    shown enum TimelineWhat = view::TimelineWhat {
        Begun,
        Raised(alarm: Alarm),
        Ended(how: AlarmEnd),
        Happened(what: Happening),
    }

    /// What can happen at a moment.
    both enum Happening = entry::Happening {
        Noticed,
        AtSurface,
        OutOfWater,
        BreathingChecked,
        Resuscitation,
        OxygenBegun,
        EmergencyCalled,
        HelpArrived,
        HandedOver,
        Other,
    }

    /// What somebody's part in an incident was.
    both enum PartIn = entry::PartIn {
        Concerned,
        Witness,
    }

    /// What the words about an incident are about.
    both enum FactAbout = entry::FactAbout {
        Happened,
        Conditions,
        Done,
        Kept,
    }

    /// A moment, by the time that was meant, with the time it was written.
    shown private record TimelineRow = view::TimelineRow {
        entry: String,
        what: TimelineWhat,
        text: Option<String>,
        who: Vec<WhoName>,
        when: Moment,
        written: Moment,
        afterwards: bool,
        by: StaffName,
        device: String,
        withdrawn: Option<Withdrawn>,
        may_withdraw: Leave,
    }

    /// Somebody in an incident.
    shown private record PersonRow = view::PersonRow {
        entry: String,
        who: Option<WhoName>,
        text: Option<String>,
        by: StaffName,
        at: Moment,
        withdrawn: Option<Withdrawn>,
        may_withdraw: Leave,
    }

    /// Something said in words.
    shown private record FactRow = view::FactRow {
        entry: String,
        about: FactAbout,
        text: String,
        by: StaffName,
        at: Moment,
        withdrawn: Option<Withdrawn>,
        may_withdraw: Leave,
    }

    /// A report that is due or was made.
    shown private record ReportRow = view::ReportRow {
        entry: String,
        to: String,
        due: Option<Day>,
        made: Option<Day>,
        made_by: Option<StaffName>,
        late: bool,
        withdrawn: Option<Withdrawn>,
        may_withdraw: Leave,
    }
}

#[uniffi::export]
impl Tallywater {
    /// An incident with its moments in the order of the time that was meant, its people, what was
    /// said of it, and reports.
    pub fn incident(&self, course: String, incident: String) -> Result<IncidentView, Fault> {
        let id: EntryId = incident.clone().asked()?;
        self.find(&course, ("incident", &incident), |course, reader| {
            view::IncidentView::of(course, reader, &id)
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
