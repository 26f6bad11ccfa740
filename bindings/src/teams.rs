//! Teams: who is whose buddy in a session, and who watches whom.

use tallywater_core::course::SessionId;
use tallywater_core::{entry, view};

use crate::cross::{Asked as _, mirror};
use crate::{Fault, Leave, Limit, Moment, Role, StaffName, StudentName, Tallywater, Who, WhoName};

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
        kept: Option<TeamsKept>,
        teams: Teams,
        pairs: Vec<PairRow>,
        alone: Vec<StudentName>,
        zones: Vec<ZoneRow>,
        unwatched: Vec<StudentName>,
        apart: Vec<TeamsApart>,
        seen: Vec<String>,
        may_set: Leave,
    }

    /// Who kept pairs and zones, and when.
    shown tuple TeamsKept = (view::StaffName, view::Moment) {
        by: StaffName,
        at: Moment,
    }

    /// Buddies.
    shown record PairRow = view::PairRow {
        number: u32,
        members: Vec<WhoName>,
        young: Limit,
        rule: Option<String>,
    }

    /// Whom a member of staff watches, against their part of the ceiling.
    shown record ZoneRow = view::ZoneRow {
        staff: StaffName,
        role: Option<Role>,
        watches: Vec<StudentName>,
        most: Option<u32>,
        limit: Limit,
        rule: Option<String>,
    }

    /// Pairs and zones that were said apart from those that hold.
    shown record TeamsApart = view::TeamsApart {
        entry: String,
        by: StaffName,
        at: Moment,
        teams: Teams,
        differs: Vec<WhoName>,
    }

    /// What was kept of one person's team.
    shown record TeamOf = view::TeamOf {
        pair: Option<u32>,
        buddies: Vec<WhoName>,
        watched_by: Option<StaffName>,
    }

    /// Everybody whom one member of staff watches, pair by pair.
    shown record WatchGroup = view::WatchGroup {
        staff: Option<StaffName>,
        pairs: Vec<WatchPair>,
    }

    /// Buddies in a headcount.
    shown record WatchPair = view::WatchPair {
        number: Option<u32>,
        members: Vec<WhoName>,
        in_water: u32,
        split: bool,
    }
}

#[uniffi::export]
impl Tallywater {
    /// Who is whose buddy in a session and who watches whom, as it was kept or as it is proposed.
    pub fn teams(&self, course: String, session: String) -> Result<TeamsView, Fault> {
        let id: SessionId = session.clone().asked()?;
        self.find(&course, ("session", &session), |course, reader| {
            view::TeamsView::of(course, reader, &id)
        })
    }
}
