//! Site: the school's sites, their emergency plans, the light of a day, and what is needed
//! when something goes wrong.

use tallywater_core::course::SessionId;
use tallywater_core::{paper, view};

use crate::cross::Asked as _;
use crate::typed::{bad, beyond};
use crate::{AlarmCard, EmergencyView, Fault, PaperLanguage, Position, SitesView, Tallywater};

#[uniffi::export]
impl Tallywater {
    /// The school's sites, by name.
    pub fn sites(&self) -> Result<SitesView, Fault> {
        self.see_shop(SitesView::of)
    }

    /// What is needed when something goes wrong in a session.
    pub fn emergency(&self, course: String, session: String) -> Result<EmergencyView, Fault> {
        let id: SessionId = session.clone().asked()?;
        self.find(&course, ("session", &session), |course, reader| {
            EmergencyView::of(course, reader, &id)
        })
    }

    /// A position as it was typed: degrees north, degrees east; `None` where nothing was.
    pub fn read_position(&self, text: String) -> Result<Option<Position>, Fault> {
        let read = view::read_position(&text);
        read.map_err(|figure| bad(figure, beyond(view::Bounded::of_the_map())))
    }
}

/// What is done when something goes wrong, card by card.
#[uniffi::export]
pub fn alarm_cards(language: PaperLanguage) -> Result<Vec<AlarmCard>, Fault> {
    Ok(paper::alarm_cards(language))
}
