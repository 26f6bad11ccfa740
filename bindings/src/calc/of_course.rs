//! Of a course: calculations that begin with what was logged and judged.

use chrono::{DateTime, FixedOffset};
use tallywater_core::calc;
use tallywater_core::course::{CourseId, SessionId};
use tallywater_core::view;

use crate::calc::reckon::{Given as _, Told as _, outside, reckon};
use crate::cross::Asked as _;
use crate::{
    Agreement, AttemptCurve, Day, DayPlan, DepthAgainst, DiverReserve, EarlyTurn, Fault, Figure,
    FigureOrigin, FlyingWait, GasOpen, GivesTo, Limit, LimitedBy, Moment, NoStopLimit, NoStopSite,
    SecondOpinion, ShareMet, StaffName, Tallywater, TurnRule, WaterKind, WhoName,
};

reckon! {
    /// The gas of a session.
    told record GasView = view::GasView {
        session: String,
        rule: TurnRule,
        depth: Option<Figure>,
        depth_against: DepthAgainst,
        students: Vec<GasRow>,
        staff: Vec<GasRow>,
        first_to_turn: Option<WhoName>,
        open: Option<GasOpen>,
    }

    /// One diver.
    told record GasRow = view::GasRow {
        who: WhoName,
        rate: Figure,
        rate_origin: FigureOrigin,
        dives: u32,
        lowest: Option<Figure>,
        highest: Option<Figure>,
        deviation: Option<Figure>,
        capacity: Figure,
        start: Figure,
        cylinder_origin: FigureOrigin,
        reserve: Option<DiverReserve>,
        gives_to: Option<GivesTo>,
        early: Option<EarlyTurn>,
    }

    /// Everybody's dives of a day.
    told record ExposureView = view::ExposureView {
        day: Day,
        at: Moment,
        depth: Figure,
        depth_against: DepthAgainst,
        people: Vec<ExposureRow>,
        limit: Option<NoStopLimit>,
        shortest: Option<WhoName>,
        fly_from: Option<FlyFrom>,
        without_depth: u32,
        other_courses: u32,
    }

    /// One person's day.
    told record ExposureRow = view::ExposureRow {
        who: WhoName,
        dives: u32,
        planned: u32,
        plan: Option<DayPlan>,
        next: Option<SecondOpinion>,
        flying: Option<FlyingWait>,
        fly_from: Option<FlyFrom>,
        last_up: Option<Moment>,
        ascents: u32,
        ascents_limit: Limit,
    }

    /// From when somebody may fly, by the clock.
    told record FlyFrom = view::FlyFrom {
        at: Moment,
        longer: bool,
    }

    /// One of what ends a dive: when, which, whose.
    told record Ends = view::Ends {
        minutes: Figure,
        by: LimitedBy,
        whose: Option<WhoName>,
    }

    /// What ends a session's dive first, then what else, and what is not known.
    told record EarliestView = view::EarliestView {
        first: Option<Ends>,
        then: Vec<Ends>,
        without: Vec<LimitedBy>,
    }

    /// What the marks say.
    told record JudgingView = view::JudgingView {
        skills: Vec<SkillJudged>,
        judges: Vec<JudgesAgree>,
    }

    /// One skill.
    told record SkillJudged = view::SkillJudged {
        skill: String,
        name: String,
        curve: AttemptCurve,
        share: ShareMet,
        too_few: bool,
    }

    /// Two judges.
    told record JudgesAgree = view::JudgesAgree {
        first: StaffName,
        second: StaffName,
        agreement: Agreement,
    }
}

#[uniffi::export]
impl Tallywater {
    /// The gas of a session: rates, reserves, turns, who turns first, the staff as donors.
    pub fn gas(&self, course: String, session: String, rule: TurnRule) -> Result<GasView, Fault> {
        let units = self.units();
        let (id, asked): (CourseId, SessionId) = (course.asked()?, session.clone().asked()?);
        let (now, back) = (self.desk.now(), view::GasView::FAR_BACK);
        let seen = self
            .desk
            .look_beside(&id, units, now, back, |course, others, reader| {
                view::GasView::of(course, others, reader, &asked, rule)
            })?;
        let seen = seen.ok_or_else(|| Fault::not_found("session", &session))?;
        Ok(seen.told(units))
    }

    /// Everybody's day by the air table and the model, with the dive of a session as the next:
    /// at its start, or now where that is past. Who is not said to live at the water's height
    /// is taken to have come up just now. `None` for a session on land or without a depth.
    pub fn exposure(
        &self,
        course: String,
        session: String,
        live_there: bool,
    ) -> Result<Option<ExposureView>, Fault> {
        let (id, asked): (CourseId, SessionId) = (course.asked()?, session.clone().asked()?);
        let next = self.desk.look(&id, self.units(), |course, reader| {
            let plan = &course.sessions().get(&asked)?.plan;
            Some(view::NextDive::of(&asked, plan, reader.now, live_there))
        })?;
        let next = next.ok_or_else(|| Fault::not_found("session", &session))?;
        next.map(|next| self.exposure_before(&id, &next))
            .transpose()
    }

    /// What ends a session's dive first: gas by this rule, no-stop time, the minutes that the
    /// water is warm enough for this class if they are given, the planned length.
    pub fn earliest(
        &self,
        course: String,
        session: String,
        rule: TurnRule,
        live_there: bool,
        cold: Option<u32>,
    ) -> Result<EarliestView, Fault> {
        let units = self.units();
        let (id, asked): (CourseId, SessionId) = (course.asked()?, session.clone().asked()?);
        // Of gas a month is looked at, which is further back than no-stop time asks for.
        let (now, back) = (self.desk.now(), view::GasView::FAR_BACK);
        let seen = self
            .desk
            .look_beside(&id, units, now, back, |course, others, reader| {
                let gas = view::GasView::of(course, others, reader, &asked, rule)?;
                let plan = &course.sessions().get(&asked)?.plan;
                let next = view::NextDive::of(&asked, plan, reader.now, live_there);
                let day = next.map(|next| view::ExposureView::of(course, others, reader, &next));
                let planned = calc::unit::MinutesWhole(plan.minutes.into());
                let cold = cold.map(calc::unit::MinutesWhole);
                Some(view::EarliestView::of(&gas, day.as_ref(), planned, cold))
            })?;
        let seen = seen.ok_or_else(|| Fault::not_found("session", &session))?;
        Ok(seen.map_err(outside(units))?.told(units))
    }

    /// Everybody's day, with a next dive of one's own choice.
    pub fn exposure_at(
        &self,
        course: String,
        at: String,
        depth: f64,
        site: NoStopSite,
        water: WaterKind,
    ) -> Result<ExposureView, Fault> {
        let units = self.units();
        let (id, at): (CourseId, DateTime<FixedOffset>) = (course.asked()?, at.asked()?);
        let depth: calc::unit::Metres = depth.given(units);
        let site: calc::no_stop::NoStopSite = site.given(units);
        // A depth beyond the table is refused here, not shown as a limit that is not there.
        calc::no_stop::table_row(depth)
            .and_then(|_| calc::no_stop::arrival_group(site.altitude))
            .map_err(outside(units))?;
        let next = view::NextDive::at_sea_level(at, depth, water)
            .map(|next| view::NextDive { site, ..next })
            .ok_or_else(|| Fault::not_found("water", ""))?;
        self.exposure_before(&id, &next)
    }

    /// What the marks of a course say: tries until met, shares, agreement of judges.
    pub fn judging(&self, course: String) -> Result<JudgingView, Fault> {
        let units = self.units();
        let id: CourseId = course.asked()?;
        let seen = self.desk.look(&id, units, |course, reader| {
            view::JudgingView::of(&view::EvidenceView::of(&[course]), reader)
        })?;
        Ok(seen.told(units))
    }
}

impl Tallywater {
    fn exposure_before(&self, id: &CourseId, next: &view::NextDive) -> Result<ExposureView, Fault> {
        let (units, back) = (self.units(), view::NextDive::FAR_BACK);
        let seen = self
            .desk
            .look_beside(id, units, next.at, back, |course, others, reader| {
                view::ExposureView::of(course, others, reader, next)
            })?;
        Ok(seen.told(units))
    }
}
