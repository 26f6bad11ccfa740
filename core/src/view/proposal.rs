//! Proposal: a run list for a session that is being planned.

use super::agenda::away_from;
use super::people::StudentName;
use super::reader::skill_name;
use super::{Reader, StationRow};
use crate::course::{
    OF_AGE, Role, SessionId, SessionPlan, SkillId, StationPlan, StationRunPlan, StudentId,
};
use crate::entry::Who;
use crate::plan::expect::Prior;
use crate::plan::{Because, Lacking, LeftOver, NextAsked, NextPlan, Why, chances, next_session};
use crate::standing::CourseStanding;

/// A proposed session: a plan to take over, and why it is as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProposalView {
    /// The plan that was asked about with run list, stations and buddies filled in; as it
    /// was where something is lacking.
    pub plan: SessionPlan,
    /// Its stations.
    pub stations: Vec<StationRow>,
    /// Why each skill was chosen, in running order.
    pub why: Vec<WhyRow>,
    /// What is open too and is not run, or not with everyone.
    pub left_over: Vec<LeftRow>,
    /// Who has nothing to try: no room, or nothing that they need fits.
    pub unplaced: Vec<StudentName>,
    /// Minutes it takes.
    pub minutes: u16,
    /// How far from the best list it can be at most, in tenths of a percent.
    pub gap_per_mille: u32,
    /// What is missing so that nothing could be proposed.
    pub lacking: Option<LackingView>,
}

/// Why a skill was chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct WhyRow {
    /// Which.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// In figures.
    pub why: Why,
}

/// A skill that is open and not run, or not with everyone.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct LeftRow {
    /// Which.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// Who would still need it here.
    pub students: Vec<StudentName>,
    /// Why not.
    pub because: BecauseView,
}

/// Why a skill was left out.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Enum), uniffi(name = "Because"))]
pub enum BecauseView {
    /// So many minutes short, for one turn more.
    Minutes(#[cfg_attr(feature = "border", uniffi(name = "short"))] u16),
    /// This comes first, by name.
    First(#[cfg_attr(feature = "border", uniffi(name = "skill"))] String),
    /// Only an instructor may run it, and none is there.
    Instructor,
    /// Nobody has an ascent left for it.
    Ascents,
    /// A person asked for that.
    Asked,
    /// It would have fitted; something else is worth more.
    Worth,
}

/// What is missing so that a session could be proposed.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Enum), uniffi(name = "Lacking"))]
pub enum LackingView {
    /// The course has no outline.
    Outline,
    /// Nobody comes.
    Students,
    /// Nobody who may run anything.
    Staff,
    /// It has no length.
    Minutes,
    /// Skills that need each other in a ring; one of them, by name.
    Ring(#[cfg_attr(feature = "border", uniffi(name = "skill"))] String),
    /// Nothing that these students need can be run here.
    Nothing,
    /// Nothing is left of the session: its time is over, or it was cancelled.
    Over,
}

impl ProposalView {
    /// The best session for those whom a plan names, in its setting and minutes. What a
    /// person pinned is run, what they left out is not.
    pub fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        plan: &SessionPlan,
        pinned: &[SkillId],
        left_out: &[SkillId],
    ) -> Self {
        Self::asked(course, reader, plan, None, (pinned, left_out))
    }

    /// One that proposes nothing.
    pub(super) fn empty(plan: &SessionPlan, lacking: Option<LackingView>) -> Self {
        Self {
            plan: plan.clone(),
            stations: Vec::new(),
            why: Vec::new(),
            left_over: Vec::new(),
            unplaced: Vec::new(),
            minutes: 0,
            gap_per_mille: 0,
            lacking,
        }
    }

    pub(super) fn asked(
        course: &CourseStanding,
        reader: &Reader<'_>,
        plan: &SessionPlan,
        running: Option<SessionId>,
        (pinned, left_out): (&[SkillId], &[SkillId]),
    ) -> Self {
        // Whoever is away is proposed nothing; in a session that is being held the headcount
        // says who is there.
        let away = match running {
            None => away_from(course, reader, plan),
            Some(_) => Vec::new(),
        };
        let comes = |who: Who| !away.contains(&who);
        let students = plan.students.iter().copied();
        let students: Vec<StudentId> = students.filter(|id| comes(Who::Student(*id))).collect();
        let roster = reader.people.roster(&students);
        let on = plan.starts.date_naive();
        // Whose age nobody knows is paired as a minor is: the careful reading.
        let minor =
            |name: &&StudentName| reader.age(&name.student).under(OF_AGE, on) != Some(false);
        let roles = course.staff();
        let asked = NextAsked {
            setting: plan.setting,
            minutes: plan.minutes,
            students: roster.iter().map(|name| name.student).collect(),
            staff: plan
                .staff
                .iter()
                .filter(|id| comes(Who::Staff(**id)))
                .filter_map(|id| Some((*id, *roles.get(id)?)))
                .filter(|(_, role)| *role != Role::Shop)
                .collect(),
            minors: roster
                .iter()
                .filter(minor)
                .map(|name| name.student)
                .collect(),
            pinned: pinned.iter().cloned().collect(),
            left_out: left_out.iter().cloned().collect(),
            running,
        };
        let mut view = Self::empty(plan, None);
        let likely = chances(course, &asked.students, Prior::default());
        let chance = |student: &StudentId, skill: &SkillId| {
            let found = likely.get(&(*student, skill.clone()));
            found.copied().unwrap_or(LIKELY)
        };
        match next_session(course, &asked, &chance) {
            Ok(next) => view.fill(course, reader, &roster, next),
            Err(lacking) => view.lacking = Some(LackingView::of(course, lacking)),
        }
        view
    }

    fn fill(
        &mut self,
        course: &CourseStanding,
        reader: &Reader<'_>,
        roster: &[StudentName],
        next: NextPlan,
    ) {
        let names = |ids: &[StudentId]| -> Vec<StudentName> {
            let named = roster.iter().filter(|name| ids.contains(&name.student));
            named.cloned().collect()
        };
        self.left_over = next
            .left_over
            .iter()
            .map(|left| LeftRow::of(course, left, names(&left.students)))
            .collect();
        self.unplaced = names(&next.unplaced);
        if next.run_list.is_empty() {
            self.lacking = Some(LackingView::Nothing);
            return;
        }
        let why = |id: &SkillId| {
            let mut runs = next.stations.iter().flat_map(|station| &station.runs);
            let run = runs.find(|run| &run.skill == id)?;
            Some(WhyRow {
                skill: id.clone(),
                name: skill_name(course, id),
                why: run.why,
            })
        };
        self.why = next.run_list.iter().filter_map(why).collect();
        self.minutes = next.minutes;
        self.gap_per_mille = u32::try_from(next.gap_per_mille).unwrap_or(u32::MAX);
        self.plan.run_list = next.run_list;
        self.plan.stations = next
            .stations
            .into_iter()
            .filter(|station| !station.runs.is_empty())
            .map(|station| StationPlan {
                staff: station.staff,
                runs: station
                    .runs
                    .into_iter()
                    .map(|run| StationRunPlan {
                        skill: run.skill,
                        starts: run.starts,
                        minutes: run.minutes,
                        kept: run.kept,
                        students: run.students,
                    })
                    .collect(),
                buddies: station.buddies,
            })
            .collect();
        self.stations = StationRow::of_plan(course, reader, &self.plan);
    }
}

/// How likely a try of an optional skill is met, of a thousand: nothing is counted for it.
const LIKELY: u16 = 700;

impl LeftRow {
    fn of(course: &CourseStanding, left: &LeftOver, students: Vec<StudentName>) -> Self {
        Self {
            skill: left.skill.clone(),
            name: skill_name(course, &left.skill),
            students,
            because: match &left.because {
                Because::Minutes(short) => BecauseView::Minutes(*short),
                Because::First(skill) => BecauseView::First(skill_name(course, skill)),
                Because::Instructor => BecauseView::Instructor,
                Because::Ascents => BecauseView::Ascents,
                Because::Asked => BecauseView::Asked,
                Because::Worth => BecauseView::Worth,
            },
        }
    }
}

impl LackingView {
    pub(super) fn of(course: &CourseStanding, lacking: Lacking) -> Self {
        match lacking {
            Lacking::Outline => Self::Outline,
            Lacking::Students => Self::Students,
            Lacking::Staff => Self::Staff,
            Lacking::Minutes => Self::Minutes,
            Lacking::Ring(skill) => Self::Ring(skill_name(course, &skill)),
        }
    }
}
