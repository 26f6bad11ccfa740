//! The headcount of a session.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{
    HeadcountRow, Leave, LostRow, Moment, RatioView, SessionState, SiteMissing, TimeSpan,
    WatchGroup, Who,
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
}
