//! The headcount of a session.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{
    Leave, LostRow, Moment, RatioView, SessionState, SiteMissing, StaffName, TeamOf, TimeSpan,
    WatchGroup, Who, WhoName,
};

mirror! {
    /// The headcount of a session.
    shown record HeadcountView = view::HeadcountView {
        course: String,
        session: String,
        title: String,
        state: SessionState,
        ends: Moment,
        rows: Vec<HeadcountRow>,
        expected: u32,
        in_water: u32,
        staff_in_water: u32,
        out: u32,
        absent: u32,
        not_seen: u32,
        overdue: u32,
        past_end: Option<TimeSpan>,
        ratio: Option<RatioView>,
        ready: Vec<Who>,
        teams: Vec<WatchGroup>,
        teams_differ: bool,
        lost: Vec<LostRow>,
        site_missing: Vec<SiteMissing>,
        may_count: Leave,
    }

    /// One person.
    shown record HeadcountRow = view::HeadcountRow {
        name: WhoName,
        place: Place,
        since: Option<Moment>,
        elapsed: Option<TimeSpan>,
        overdue: bool,
        counted_apart: bool,
        planned: bool,
        gaps: u32,
        team: TeamOf,
        dives: Vec<TimesInWater>,
        entry: Option<String>,
        after: Vec<String>,
    }

    /// One person's time in the water, from going in to coming out.
    shown record TimesInWater = view::TimesInWater {
        down: Option<TimeSaid>,
        up: Option<TimeSaid>,
    }

    /// A time that was said, and when it was written where that was not then.
    shown record TimeSaid = view::TimeSaid {
        at: Moment,
        written: Option<Moment>,
        by: StaffName,
    }

    /// Where a person is.
    shown enum Place = view::Place {
        NotSeen,
        InWater,
        Out,
        Absent,
    }
}
