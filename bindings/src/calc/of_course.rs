//! Of a course: calculations that begin with what was logged and judged.

use chrono::NaiveDate;
use tallywater_core::calc;
use tallywater_core::course::{CourseId, SessionId, StudentId};
use tallywater_core::view;

use crate::calc::reckon::{Given as _, Told as _, outside, reckon};
use crate::cross::Asked as _;
use crate::{
    Agreement, AttemptCurve, Day, DayPlan, DiverReserve, Fault, Figure, FigureOrigin, FlyingWait,
    LeadQuestion, LeadStart, Limit, Moment, NoStopLimit, ShareMet, StaffName, Tallywater, TurnRule,
    WeightRow, WhoName,
};

reckon! {
    /// The gas of a session.
    told record GasView = view::GasView {
        session: String,
        rule: TurnRule,
        depth: Option<Figure>,
        students: Vec<GasRow>,
        staff: Vec<GasRow>,
        first_to_turn: Option<WhoName>,
        staff_before: u32,
        open: Option<GasOpen>,
    }

    /// Why reserves are not worked out.
    word GasOpen = view::GasOpen {
        Dry,
        NoDepth,
        NoStudents,
        NoInstructor,
        Beyond,
    }

    /// One diver.
    told record GasRow = view::GasRow {
        who: WhoName,
        rate: Figure,
        rate_origin: FigureOrigin,
        dives: u32,
        capacity: Figure,
        start: Figure,
        cylinder_origin: FigureOrigin,
        reserve: Option<DiverReserve>,
    }

    /// Everybody's dives of a day.
    told record ExposureView = view::ExposureView {
        day: Day,
        people: Vec<ExposureRow>,
        depth: Figure,
        limit: Option<NoStopLimit>,
        shortest: Option<WhoName>,
    }

    /// One person's day.
    told record ExposureRow = view::ExposureRow {
        who: WhoName,
        dives: u32,
        plan: Option<DayPlan>,
        next: Option<NoStopLimit>,
        flying: Option<FlyingWait>,
        last_up: Moment,
        ascents: u32,
        ascents_limit: Limit,
    }

    /// Where a student's next check in the water begins.
    told record WeightingView = view::WeightingView {
        last: Option<WeightRow>,
        start: LeadStart,
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
        let units = self.core_units();
        let (id, asked): (CourseId, SessionId) = (course.asked()?, session.clone().asked()?);
        let rule: calc::reserve::TurnRule = rule.given(units);
        let seen = self.desk.look(&id, units, |course, reader| {
            view::GasView::of(course, reader, &asked, rule)
        })?;
        let seen = seen.ok_or_else(|| Fault::not_found("session", &session))?;
        Ok(seen.told(units))
    }

    /// Everybody's dives of a day by the air table, with the next dive asked for at a depth.
    pub fn exposure(&self, course: String, day: String, depth: f64) -> Result<ExposureView, Fault> {
        let units = self.core_units();
        let (id, day): (CourseId, NaiveDate) = (course.asked()?, day.asked()?);
        let depth: calc::unit::Metres = depth.given(units);
        // A depth beyond the table is refused here, not shown as a limit that is not there.
        calc::no_stop::table_row(depth).map_err(outside(units))?;
        let seen = self.desk.look(&id, units, |course, reader| {
            view::ExposureView::of(course, reader, day, depth)
        })?;
        Ok(seen.told(units))
    }

    /// Where a student's next check in the water begins.
    pub fn weighting(
        &self,
        course: String,
        student: String,
        question: LeadQuestion,
    ) -> Result<WeightingView, Fault> {
        let units = self.core_units();
        let (id, of): (CourseId, StudentId) = (course.asked()?, student.clone().asked()?);
        let question = question.given(units)?;
        let seen = self.desk.look(&id, units, |course, reader| {
            course
                .has_student(&of)
                .then(|| view::WeightingView::of(course, reader, &of, &question))
        })?;
        let seen = seen.ok_or_else(|| Fault::not_found("student", &student))?;
        Ok(seen.map_err(outside(units))?.told(units))
    }

    /// What the marks of a course say: tries until met, shares, agreement of judges.
    pub fn judging(&self, course: String) -> Result<JudgingView, Fault> {
        let units = self.core_units();
        let id: CourseId = course.asked()?;
        let seen = self.desk.look(&id, units, |course, reader| {
            view::JudgingView::of(&view::EvidenceView::of(&[course]), reader)
        })?;
        Ok(seen.told(units))
    }
}
