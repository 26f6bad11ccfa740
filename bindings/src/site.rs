//! Site: the school's sites, their emergency plans, the light of a day, and what is needed
//! when something goes wrong.

use tallywater_core::course::SessionId;
use tallywater_core::{course, entry, paper, plan, view};

use crate::bounds::beyond_the_map;
use crate::cross::{Asked as _, Shown as _, mirror};
use crate::typed::bad;
use crate::{
    Day, EmergencyContact, Fault, Figure, Leave, Moment, PaperLanguage, StaffName, StudentName,
    Tallywater, TimeSpan, WaterKind, WhoName,
};

mirror! {
    /// A place where the school dives; what nobody knows is left empty.
    both record Site = course::Site {
        name: String,
        access: String,
        entry: String,
        hazards: String,
        tides: String,
        position: Option<Position>,
        altitude_m: Option<i16>,
        water: Option<WaterKind>,
        depth_cm: Option<u32>,
        temperature_dc: Option<i16>,
    }

    /// A place on earth, in ten thousandths of a degree north and east.
    both record Position = course::Position {
        north_e4: i32,
        east_e4: i32,
    }

    /// What is done at a site in an emergency; every part in words.
    both record EmergencyPlan = course::EmergencyPlan {
        numbers: String,
        address: String,
        chamber: String,
        hospital: String,
        oxygen: String,
        first_aid: String,
        assembly: String,
        roles: String,
    }

    /// What goes wrong in the water, each with a card of its own.
    both enum Alarm = course::Alarm {
        LostBuddy,
        Panic,
        Unresponsive,
        Injury,
        Oxygen,
        Recall,
    }

    /// What is done when something goes wrong, in short steps.
    shown record AlarmCard = paper::AlarmCard {
        what: Alarm,
        title: String,
        steps: Vec<String>,
        source: String,
        caution: String,
    }

    /// The school's sites, by name.
    shown record SitesView = view::SitesView {
        rows: Vec<SiteView>,
        may_set: Leave,
    }

    /// One site.
    shown record SiteView = view::SiteView {
        site: String,
        details: Site,
        position: String,
        altitude: Option<Figure>,
        depth: Option<Figure>,
        temperature: Option<Figure>,
        emergency: Option<EmergencyPlan>,
        plan: Option<String>,
        confirmed: Option<EmergencyHeld>,
        light: Option<LightView>,
    }

    /// Who confirmed an emergency plan, and when.
    shown tuple EmergencyHeld = (view::StaffName, view::Day) {
        by: StaffName,
        on: Day,
    }

    /// The light of a day; each absent where it does not come.
    shown record LightView = view::LightView {
        dawn: Option<Moment>,
        sunrise: Option<Moment>,
        sunset: Option<Moment>,
        dusk: Option<Moment>,
    }

    /// One thing that a site lacks before water.
    shown enum SiteMissing = plan::SiteMissing {
        RuleUnconfirmed(rule: String),
        NoPlan,
        NotConfirmed,
        TooOld(on: String, months: u8),
    }

    /// What is needed when something goes wrong in a session.
    shown private record EmergencyView = view::EmergencyView {
        course: String,
        session: String,
        title: String,
        place: String,
        site: Option<SiteView>,
        light: Option<LightView>,
        missing: Vec<SiteMissing>,
        contacts: Vec<ContactRow>,
        alarms: Vec<AlarmRow>,
        unreported: Option<String>,
        may_raise: Leave,
    }

    /// Whom to call for a student.
    shown private record ContactRow = view::ContactRow {
        name: StudentName,
        contact: Option<EmergencyContact>,
    }

    /// A moment at which something went wrong.
    shown record AlarmRow = view::AlarmRow {
        entry: String,
        what: Alarm,
        when: Moment,
        by: StaffName,
        missing: Vec<WhoName>,
        reported_by: Option<WhoName>,
        ended: Option<AlarmEndedRow>,
    }

    /// How an alarm ends.
    both enum AlarmEnd = entry::AlarmEnd {
        Found,
        TakenOver,
    }

    /// How an alarm ended.
    shown record AlarmEndedRow = view::AlarmEndedRow {
        entry: String,
        how: AlarmEnd,
        when: Moment,
        by: StaffName,
    }

    /// A buddy who is not seen any more.
    shown record LostRow = view::LostRow {
        entry: String,
        since: Moment,
        elapsed: TimeSpan,
        missing: Vec<WhoName>,
        reported_by: Option<WhoName>,
        by: StaffName,
        may_end: Leave,
    }
}

#[uniffi::export]
impl Tallywater {
    /// The school's sites, by name.
    pub fn sites(&self) -> Result<SitesView, Fault> {
        self.see_shop(view::SitesView::of)
    }

    /// What is needed when something goes wrong in a session.
    pub fn emergency(&self, course: String, session: String) -> Result<EmergencyView, Fault> {
        let id: SessionId = session.clone().asked()?;
        self.find(&course, ("session", &session), |course, reader| {
            view::EmergencyView::of(course, reader, &id)
        })
    }

    /// A position as it was typed: degrees north, degrees east; `None` where nothing was.
    pub fn read_position(&self, text: String) -> Result<Option<Position>, Fault> {
        let read = view::read_position(&text);
        let read = read.map_err(|figure| bad(figure, beyond_the_map()));
        Ok(read?.shown())
    }
}

/// What is done when something goes wrong, card by card.
#[uniffi::export]
pub fn alarm_cards(language: PaperLanguage) -> Result<Vec<AlarmCard>, Fault> {
    Ok(paper::alarm_cards(language.asked()?).shown())
}
