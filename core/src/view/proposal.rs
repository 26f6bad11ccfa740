//! Proposal: a run list for a session that is being planned, and a plan to begin with.

use chrono::{DurationRound, TimeDelta};

use super::Reader;
use super::reader::skill_name;
use super::session::RunRow;
use crate::course::{BlockId, SessionPlan, Setting, StaffId, StudentId, WaterKind, WaterPlan};
use crate::plan::{Forecast, forecast, next_session};
use crate::standing::CourseStanding;

/// A proposed run list with what is left and how long it takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProposalView {
    /// What fits, in running order.
    pub run: Vec<RunRow>,
    /// What is open too and does not fit.
    pub left_over: Vec<RunRow>,
    /// Minutes the run list takes.
    pub minutes: u16,
    /// What is left of the whole course; `None` for sessions of no length.
    pub forecast: Option<ForecastView>,
}

/// Teaching time that is left: a span, never a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ForecastView {
    /// Minutes at the quick figures.
    pub quick_minutes: u32,
    /// At the slow ones.
    pub slow_minutes: u32,
    /// Sessions of this length, at the quick figures.
    pub quick_sessions: u32,
    /// At the slow ones.
    pub slow_sessions: u32,
}

impl From<Forecast> for ForecastView {
    fn from(of: Forecast) -> Self {
        Self {
            quick_minutes: of.quick_minutes,
            slow_minutes: of.slow_minutes,
            quick_sessions: of.quick_sessions,
            slow_sessions: of.slow_sessions,
        }
    }
}

impl ProposalView {
    /// A run list for these students in this setting, within so many minutes.
    pub fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        setting: Setting,
        students: &[StudentId],
        minutes: u16,
    ) -> Self {
        let names = reader.people.roster(students);
        let proposed = next_session(course, setting, students, minutes);
        let row = |place, next: &crate::plan::NextSkill| RunRow {
            skill: next.skill.clone(),
            name: skill_name(course, &next.skill),
            place,
            needed_by: names
                .iter()
                .filter(|name| next.students.contains(&name.student))
                .cloned()
                .collect(),
            not_ready: 0,
            minutes: next.minutes,
            suits: true,
            hazard: course
                .outline()
                .and_then(|outline| outline.skill(&next.skill))
                .is_some_and(|skill| skill.hazard),
        };
        Self {
            run: (1..)
                .zip(&proposed.run)
                .map(|(place, next)| row(place, next))
                .collect(),
            left_over: proposed.left_over.iter().map(|next| row(0, next)).collect(),
            minutes: proposed.minutes,
            forecast: forecast(course, students, minutes).map(Into::into),
        }
    }
}

/// A plan to begin with: the block's skills and length where one is named, else those of the
/// first block that no session carries out yet; everyone who is still in the course, its
/// staff, and place and water as they last were in that setting, else the course's place.
pub fn draft(course: &CourseStanding, reader: &Reader<'_>, block: Option<&BlockId>) -> SessionPlan {
    let blocks = course.outline().map_or(&[][..], |one| &one.blocks);
    let block = match block {
        Some(id) => blocks.iter().find(|one| &one.id == id),
        None => blocks.iter().find(|one| !is_planned(course, &one.id)),
    };
    let setting = block.map_or(Setting::Confined, |block| block.setting);
    let last = course
        .sessions()
        .values()
        .map(|session| &session.plan)
        .filter(|plan| plan.setting == setting)
        .max_by_key(|plan| plan.starts);
    let students = reader.people.roster(&course.students());
    let students = students.into_iter().map(|name| name.student);
    let staff: Vec<StaffId> = course.staff().into_keys().collect();
    SessionPlan {
        title: block.map_or_else(String::new, |block| block.title.clone()),
        block: block.map(|block| block.id.clone()),
        setting,
        site: last.map_or_else(
            || {
                let place = course.opened().and_then(|opened| opened.place.clone());
                place.unwrap_or_default()
            },
            |plan| plan.site.clone(),
        ),
        starts: last
            .map(|plan| plan.starts.time())
            .and_then(|time| {
                let tomorrow = reader.today().succ_opt()?;
                let zone = reader.now.timezone();
                tomorrow.and_time(time).and_local_timezone(zone).single()
            })
            .or_else(|| reader.now.duration_round_up(TimeDelta::minutes(30)).ok())
            .unwrap_or(reader.now),
        minutes: block.map_or(60, |block| block.minutes),
        students: students
            .filter(|id| super::board::ended(course, id).is_none())
            .collect(),
        staff,
        run_list: block.map_or_else(Vec::new, |block| block.run_list.clone()),
        water: last.map_or(
            WaterPlan {
                kind: WaterKind::Fresh,
                max_depth_cm: None,
                altitude_m: None,
                temperature_dc: None,
                visibility_dm: None,
                moving: false,
            },
            |plan| plan.water.clone(),
        ),
    }
}

/// Whether a session that was not cancelled carries out this block.
fn is_planned(course: &CourseStanding, block: &BlockId) -> bool {
    course
        .sessions()
        .values()
        .any(|one| one.cancelled.is_none() && one.plan.block.as_ref() == Some(block))
}
