//! Station: what one member of staff runs in a session, when and with whom.

use std::collections::BTreeSet;

use chrono::TimeDelta;

use super::people::{StaffName, StudentName};
use super::reader::skill_name;
use super::{Moment, Reader};
use crate::course::{Role, RunForm, RunPlace, SessionPlan, SkillId, StationPlan, StudentId};
use crate::standing::CourseStanding;

/// A station of a session.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct StationRow {
    /// Who runs it.
    pub staff: StaffName,
    /// As what they are assigned.
    pub role: Option<Role>,
    /// What, in order.
    pub runs: Vec<StationRunRow>,
    /// Buddies; three where one would be alone.
    pub buddies: Vec<Vec<StudentName>>,
    /// Minutes left over at the end of the session.
    pub spare: u16,
}

/// One skill at a station.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct StationRunRow {
    /// Which.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// When it begins.
    pub from: Moment,
    /// Minutes it takes, with the turns that are kept.
    pub minutes: u16,
    /// Of its turns, those that are kept for whoever misses the first.
    pub kept: u16,
    /// How many take a turn at once.
    pub form: RunForm,
    /// Where it is done.
    pub place: RunPlace,
    /// Who tries it; nobody where everyone does it unjudged.
    pub students: Vec<StudentName>,
    /// Whether a try can hurt.
    pub hazard: bool,
}

impl StationRow {
    /// The stations of a plan, as far as they still fit its people and its run list; where
    /// the run list was put in another order by hand, in that order and closed up.
    pub(super) fn of_plan(
        course: &CourseStanding,
        reader: &Reader<'_>,
        plan: &SessionPlan,
    ) -> Vec<Self> {
        let here = plan.stations.iter();
        here.filter(|station| plan.staff.contains(&station.staff))
            .map(|station| Self::of(course, reader, plan, station))
            .filter(|row| !row.runs.is_empty())
            .collect()
    }

    fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        plan: &SessionPlan,
        station: &StationPlan,
    ) -> Self {
        let names = |ids: &[StudentId]| -> Vec<StudentName> {
            let stay: Vec<StudentId> = ids
                .iter()
                .copied()
                .filter(|id| plan.students.contains(id))
                .collect();
            reader.people.roster(&stay)
        };
        let place = |skill: &SkillId| plan.run_list.iter().position(|one| one == skill);
        let mut runs: Vec<_> = station
            .runs
            .iter()
            .filter_map(|run| Some((place(&run.skill)?, run)))
            .filter(|(_, run)| {
                run.students.is_empty() || run.students.iter().any(|id| plan.students.contains(id))
            })
            .collect();
        let as_laid =
            runs.len() == station.runs.len() && runs.is_sorted_by_key(|(place, _)| *place);
        runs.sort_by_key(|(place, _)| *place);
        // What is left of a session begins where its first run was laid, not at its start.
        let first = station.runs.iter().map(|run| run.starts).min();
        let mut minute = first.unwrap_or(0);
        let mut ends = 0_u16;
        let mut rows = Vec::new();
        for (_, run) in runs {
            let skill = course.spoken_skill(&run.skill);
            let starts = if as_laid { run.starts } else { minute };
            minute = starts.saturating_add(run.minutes);
            ends = ends.max(minute);
            rows.push(StationRunRow {
                skill: run.skill.clone(),
                name: skill_name(course, &run.skill),
                from: reader.when(
                    plan.starts
                        .checked_add_signed(TimeDelta::minutes(starts.into()))
                        .unwrap_or(plan.starts),
                ),
                minutes: run.minutes,
                kept: run.kept,
                form: skill.map_or(RunForm::default(), |skill| skill.run.form),
                place: skill.map_or(RunPlace::default(), |skill| skill.run.place),
                students: names(&run.students),
                hazard: skill.is_some_and(|skill| skill.hazard),
            });
        }
        let mut seen: BTreeSet<StudentId> = BTreeSet::new();
        let buddies = station.buddies.iter().map(|pair| names(pair));
        Self {
            staff: reader.staff(&station.staff),
            role: course.staff().get(&station.staff).copied(),
            runs: rows,
            buddies: buddies
                .filter(|pair| pair.iter().all(|name| seen.insert(name.student)))
                .filter(|pair| !pair.is_empty())
                .collect(),
            spare: plan.minutes.saturating_sub(ends),
        }
    }
}
