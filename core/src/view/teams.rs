//! Teams: who is whose buddy in a session and who watches whom, as it was kept or as it is
//! proposed; and the same beside each student of a board, a line-up and a headcount.
//!
//! A row shows only what somebody kept. Nothing here bars a headcount or a mark.

use super::history::SaidBy;
use super::lost::people as names;
use super::reader::count;
use super::water::{Limit, against};
use super::{Leave, Moment, Reader, StaffName, StudentName, WhoName};
use crate::course::{CourseId, EntryId, Role, RuleId, SessionId, SessionPlan, StaffId, StudentId};
use crate::entry::{Kind, Teams, Who};
use crate::plan::{Beside, Share, pair_ages, propose_teams, share_of};
use crate::standing::{CourseStanding, TeamsSaid};

/// The pairs and zones of a session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TeamsView {
    /// Of which course.
    pub course: CourseId,
    /// In which session.
    pub session: SessionId,
    /// Its title.
    pub title: String,
    /// Who said so, and when; `None` while it is only proposed.
    pub kept: Option<SaidBy>,
    /// What is said, as it goes into the next word on it.
    pub teams: Teams,
    /// The pairs, in their order: a number is a place on this list, from 1.
    pub pairs: Vec<PairRow>,
    /// Planned, and beside nobody, by name.
    pub alone: Vec<StudentName>,
    /// Whom each member of the session's staff watches; those who watch nobody too.
    pub zones: Vec<ZoneRow>,
    /// Planned, and watched by nobody, by name.
    pub unwatched: Vec<StudentName>,
    /// What was said apart and says something else: nobody has settled it yet.
    pub apart: Vec<TeamsApart>,
    /// What was on screen: goes into the `seen` of the next word.
    pub seen: Vec<EntryId>,
    /// Whether the reader may keep them.
    pub may_set: Leave,
}

/// Buddies.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct PairRow {
    /// From 1.
    pub number: u32,
    /// Who; the students by name, then an assistant.
    pub members: Vec<WhoName>,
    /// The young of it against those of age: within where each of the young is beside one;
    /// unknown where somebody's age is, and an assistant's always is; without a rule where none
    /// of them is young.
    pub young: Limit,
    /// The rule, where one is about them.
    pub rule: Option<RuleId>,
}

/// Whom a member of staff watches.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct ZoneRow {
    /// Who watches.
    pub staff: StaffName,
    /// As what they are assigned.
    pub role: Option<Role>,
    /// Whom, by name.
    pub watches: Vec<StudentName>,
    /// So many at most, as their part of the ceiling.
    pub most: Option<u32>,
    /// How those watched stand to it.
    pub limit: Limit,
    /// The rule it rests on.
    pub rule: Option<RuleId>,
}

/// Pairs and zones that were said apart from those that hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TeamsApart {
    /// Its entry.
    pub entry: EntryId,
    /// Who said so.
    pub by: StaffName,
    /// When, by the writing device's clock.
    pub at: Moment,
    /// What it says.
    pub teams: Teams,
    /// Whose buddies or watcher are others in it, by name.
    pub differs: Vec<WhoName>,
}

/// What was kept of one person's team.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct TeamOf {
    /// The number of the pair, from 1.
    pub pair: Option<u32>,
    /// Who dives beside them.
    pub buddies: Vec<WhoName>,
    /// Who watches them.
    pub watched_by: Option<StaffName>,
}

/// Everybody whom one member of staff watches, pair by pair.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct WatchGroup {
    /// Who watches; `None` for those whom nobody does.
    pub staff: Option<StaffName>,
    /// The pairs, in their order; each row of the headcount that is of the plan is in one.
    pub pairs: Vec<WatchPair>,
}

/// Buddies in a headcount.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct WatchPair {
    /// The number of the pair, from 1; `None` for one who is in none.
    pub number: Option<u32>,
    /// Who.
    pub members: Vec<WhoName>,
    /// How many of them are in the water.
    pub in_water: u32,
    /// Some of them are in the water, and some are not.
    pub split: bool,
}

impl TeamsView {
    /// The pairs and zones of a session; `None` when none of its plans stands.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, id: &SessionId) -> Option<Self> {
        let now = course.sessions().get(id)?;
        let plan = &now.plan;
        let said = course.teams(id);
        let teams = match &said {
            Some(said) => said.holds.teams.clone(),
            None => propose_teams(course, id, |student| reader.age(student)),
        };
        let shown = fitting(&teams, plan);
        let roster = reader.people.roster(&plan.students);
        let without = |is: &dyn Fn(&StudentId) -> bool| -> Vec<StudentName> {
            let names = roster.iter().filter(|name| is(&name.student));
            names.cloned().collect()
        };
        let apart = said.iter().flat_map(|said| &said.apart);
        Some(Self {
            course: *course.id(),
            session: *id,
            title: plan.title.clone(),
            kept: said.as_ref().map(|said| {
                let entry = &said.holds.one.entry;
                SaidBy::of(reader, entry)
            }),
            pairs: (1..)
                .zip(&shown.pairs)
                .map(|(number, pair)| PairRow::of(course, reader, plan, number, pair))
                .collect(),
            alone: without(&|id| shown.buddies(&Who::Student(*id)).is_empty()),
            zones: ZoneRow::all(course, reader, plan, &shown),
            unwatched: without(&|id| shown.watched_by(id).is_none()),
            apart: apart
                .map(|apart| TeamsApart::of(reader, apart, &teams))
                .collect(),
            seen: course.teams_entries(id),
            teams,
            may_set: reader.may_write(Kind::TeamsSet),
        })
    }
}

impl PairRow {
    fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        plan: &SessionPlan,
        number: u32,
        pair: &[Who],
    ) -> Self {
        let ages = pair_ages(course, plan, pair, |student| reader.age(student));
        let young = ages.map_or(Limit::NoRule, |ages| {
            let beside = ages.beside();
            let kept = against(course, ages.rule, beside != Beside::Nobody);
            // One whose age is not known may be as young as the rule asks; an assistant too.
            kept.if_known(beside == Beside::Adult)
        });
        Self {
            number,
            members: names(reader, pair),
            young,
            rule: ages.map(|ages| ages.rule.clone()),
        }
    }
}

impl ZoneRow {
    fn all(
        course: &CourseStanding,
        reader: &Reader<'_>,
        plan: &SessionPlan,
        teams: &Teams,
    ) -> Vec<Self> {
        let roles = course.staff();
        let mut staff: Vec<StaffId> = plan.staff.clone();
        // Somebody who is not planned may stand in all the same.
        let others = teams.zones.iter().map(|zone| zone.staff);
        staff.extend(others.filter(|id| !plan.staff.contains(id)));
        let row = |id: &StaffId| {
            let role = roles.get(id).copied();
            let zone = teams.zones.iter().find(|zone| zone.staff == *id);
            let watched = zone.map_or(&[][..], |zone| &zone.watches);
            let share =
                role.and_then(|role| share_of(course, plan, role, |student| reader.age(student)));
            let limit = share
                .as_ref()
                .map_or(Limit::NoRule, |Share { most, rule }| {
                    against(course, rule, count(watched.len()) <= *most)
                });
            Self {
                staff: reader.staff(id),
                role,
                watches: reader.people.roster(watched),
                most: share.as_ref().map(|share| share.most),
                limit,
                rule: share.map(|share| share.rule),
            }
        };
        staff.iter().map(row).collect()
    }
}

impl TeamsApart {
    fn of(reader: &Reader<'_>, said: &TeamsSaid<'_>, holds: &Teams) -> Self {
        let everybody = [said.teams, holds].into_iter().flat_map(|teams| {
            let watched = teams.zones.iter().flat_map(|zone| &zone.watches);
            let watched = watched.copied().map(Who::Student);
            teams.pairs.iter().flatten().copied().chain(watched)
        });
        let beside = |teams: &Teams, who: &Who| {
            let mut buddies = teams.buddies(who);
            buddies.sort_unstable();
            let watcher = match who {
                Who::Student(id) => teams.watched_by(id),
                Who::Staff(_) => None,
            };
            (buddies, watcher)
        };
        let differs: Vec<Who> = everybody
            .filter(|who| beside(said.teams, who) != beside(holds, who))
            .collect();
        let entry = &said.one.entry;
        Self {
            entry: entry.id,
            by: reader.staff(&entry.by),
            at: reader.when(entry.at),
            teams: said.teams.clone(),
            differs: names(reader, &differs),
        }
    }
}

impl TeamOf {
    /// What was kept of everybody in a session, to be asked row by row.
    pub(super) fn kept(course: &CourseStanding, session: Option<&SessionId>) -> Option<Teams> {
        let session = session?;
        let plan = &course.sessions().get(session)?.plan;
        Some(fitting(course.teams(session)?.holds.teams, plan))
    }

    /// One person's part of it.
    pub(super) fn of(reader: &Reader<'_>, kept: Option<&Teams>, who: &Who) -> Self {
        let Some(teams) = kept else {
            return Self::default();
        };
        let place = teams.pairs.iter().position(|pair| pair.contains(who));
        let watcher = match who {
            Who::Student(id) => teams.watched_by(id),
            Who::Staff(_) => None,
        };
        Self {
            pair: place.map(|place| count(place + 1)),
            buddies: names(reader, &teams.buddies(who)),
            watched_by: watcher.map(|staff| {
                let watching: Vec<StaffId> = teams.zones.iter().map(|zone| zone.staff).collect();
                reader.people.staff_name_beside(&staff, &watching)
            }),
        }
    }
}

impl WatchGroup {
    /// The rows of a headcount by who watches them; none while nobody kept any pairs.
    pub(super) fn all(
        reader: &Reader<'_>,
        kept: Option<&Teams>,
        rows: &[(Who, bool)],
    ) -> Vec<Self> {
        let Some(teams) = kept else {
            return Vec::new();
        };
        let is_in = |who: &Who| rows.iter().any(|(row, wet)| row == who && *wet);
        let pair = |number: Option<u32>, members: &[Who]| {
            let wet = members.iter().filter(|who| is_in(who)).count();
            WatchPair {
                number,
                members: names(reader, members),
                in_water: count(wet),
                split: wet > 0 && wet < members.len(),
            }
        };
        let mut pairs: Vec<(Option<StaffId>, WatchPair)> = (1..)
            .zip(&teams.pairs)
            .map(|(number, members)| (watcher(teams, members), pair(Some(number), members)))
            .collect();
        let paired = |who: &Who| teams.pairs.iter().any(|pair| pair.contains(who));
        let students = rows.iter().map(|(who, _)| who);
        let single = students.filter(|who| matches!(who, Who::Student(_)) && !paired(who));
        pairs.extend(single.map(|who| (watcher(teams, &[*who]), pair(None, &[*who]))));
        let mut staff: Vec<Option<StaffId>> =
            teams.zones.iter().map(|zone| Some(zone.staff)).collect();
        staff.push(None);
        staff
            .into_iter()
            .map(|staff| Self {
                staff: staff.map(|id| reader.staff(&id)),
                pairs: pairs
                    .iter()
                    .filter(|(of, _)| *of == staff)
                    .map(|(_, pair)| pair.clone())
                    .collect(),
            })
            .filter(|group| !group.pairs.is_empty())
            .collect()
    }
}

/// Who watches a pair: whoever watches the first of its students who is watched.
fn watcher(teams: &Teams, members: &[Who]) -> Option<StaffId> {
    members.iter().find_map(|who| match who {
        Who::Student(id) => teams.watched_by(id),
        Who::Staff(_) => None,
    })
}

/// What was said as far as it still fits the plan: whoever is not on it is left out.
pub(crate) fn fitting(teams: &Teams, plan: &SessionPlan) -> Teams {
    let mut teams = teams.clone();
    for pair in &mut teams.pairs {
        pair.retain(|who| match who {
            Who::Student(id) => plan.students.contains(id),
            Who::Staff(_) => true,
        });
    }
    let student = |who: &Who| matches!(who, Who::Student(_));
    teams.pairs.retain(|pair| pair.iter().any(student));
    for zone in &mut teams.zones {
        zone.watches.retain(|id| plan.students.contains(id));
    }
    teams.zones.retain(|zone| !zone.watches.is_empty());
    teams
}
