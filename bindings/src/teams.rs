//! Teams: who is whose buddy in a session, and who watches whom.

use tallywater_core::course::SessionId;
use tallywater_core::{entry, view};

use crate::cross::{Asked as _, Shown as _, mirror};
use crate::{
    Fault, Leave, Moment, PairRow, SaidBy, StaffName, StudentName, Tallywater, Who, WhoName,
    ZoneRow,
};

mirror! {
    /// Pairs and zones, as they are kept.
    both record Teams = entry::Teams {
        pairs: Vec<Vec<Who>>,
        zones: Vec<Zone>,
    }

    /// Whom a member of staff watches.
    both record Zone = entry::Zone {
        staff: String,
        watches: Vec<String>,
    }

    /// The pairs and zones of a session, as they were kept or as they are proposed.
    shown record TeamsView = view::TeamsView {
        course: String,
        session: String,
        title: String,
        kept: Option<SaidBy>,
        teams: Teams,
        pairs: Vec<PairRow>,
        alone: Vec<StudentName>,
        zones: Vec<ZoneRow>,
        unwatched: Vec<StudentName>,
        apart: Vec<TeamsApart>,
        seen: Vec<String>,
        may_set: Leave,
    }

    /// Pairs and zones that were said apart from those that hold.
    shown record TeamsApart = view::TeamsApart {
        entry: String,
        by: StaffName,
        at: Moment,
        teams: Teams,
        differs: Vec<WhoName>,
    }
}

#[uniffi::export]
impl Tallywater {
    /// Who is whose buddy in a session and who watches whom, as it was kept or as it is proposed.
    pub fn teams(&self, course: String, session: String) -> Result<TeamsView, Fault> {
        let id: SessionId = session.clone().asked()?;
        Ok(self
            .find(&course, ("session", &session), |course, reader| {
                view::TeamsView::of(course, reader, &id)
            })?
            .shown())
    }
}
