//! Dives and weights.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{
    AscentVerdict, Day, Figure, Leave, Limit, Moment, Setting, StaffName, TimeSpan, WaterKind,
    WeightVerdict, Weighting, WhoName,
};

mirror! {
    /// Dives and weight checks of a course, or of one student.
    shown record WaterView = view::WaterView {
        course: String,
        dives: Vec<DiveRow>,
        weights: Vec<WeightRow>,
        leads: Vec<Weighting>,
        days: Vec<DiveDay>,
        may_log: Leave,
        may_weigh: Leave,
    }

    /// One dive.
    shown record DiveRow = view::DiveRow {
        entry: String,
        who: WhoName,
        number: Option<u32>,
        session: Option<String>,
        session_title: Option<String>,
        setting: Option<Setting>,
        down: Moment,
        up: Moment,
        span: TimeSpan,
        max_depth: Figure,
        mean_depth: Option<Figure>,
        ascents: Option<u8>,
        capacity: Option<Figure>,
        start: Option<Figure>,
        end: Option<Figure>,
        used: Option<Figure>,
        consumption: Option<Figure>,
        water: WaterKind,
        temperature: Option<Figure>,
        depth_limit: Limit,
        climb: Option<ClimbView>,
        by: StaffName,
        may_withdraw: Leave,
    }

    /// How a dive came up, read off its recorded samples.
    shown record ClimbView = view::ClimbView {
        sustained: Figure,
        limit: Figure,
        verdict: AscentVerdict,
        last_metres: Option<Figure>,
        stop: Option<Figure>,
        stop_depth: Option<Figure>,
    }

    /// One weight check.
    shown record WeightRow = view::WeightRow {
        entry: String,
        who: WhoName,
        at: Moment,
        session: Option<String>,
        lead: Figure,
        water: WaterKind,
        suit: String,
        cylinder: String,
        capacity: Figure,
        pressure: Figure,
        verdict: WeightVerdict,
        by: StaffName,
        may_withdraw: Leave,
    }

    /// One person's dives on one day.
    shown record DiveDay = view::DiveDay {
        who: WhoName,
        day: Day,
        dives: u32,
        dives_limit: Limit,
        ascents: u32,
        ascents_limit: Limit,
    }
}
