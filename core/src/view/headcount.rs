//! Headcount: who is in the water, since when, and who should be back by now.

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::board::water_gaps;
use super::one_water::OneWater;
use super::ratio::RatioView;
use super::reader::count;
use super::session::consider;
use super::session_list::{SessionState, ends};
use super::{Leave, LostRow, Moment, Reader, Span, StaffName, TeamOf, WatchGroup, WhoName};
use crate::course::{CourseId, EntryId, SessionId};
use crate::entry::{Body, Kind, Passage, Who};
use crate::plan::{SiteMissing, before_site};
use crate::standing::CourseStanding;

/// The headcount of a session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeadcountView {
    /// Of which course.
    pub course: CourseId,
    /// Of which session.
    pub session: SessionId,
    /// Its title.
    pub title: String,
    /// How it stands at this moment.
    pub state: SessionState,
    /// Its planned end.
    pub ends: Moment,
    /// Students first, then staff, each in order of name.
    pub rows: Vec<HeadcountRow>,
    /// Planned, or counted though not planned.
    pub expected: u32,
    /// In the water, students and staff.
    pub in_water: u32,
    /// Staff among those in the water.
    pub staff_in_water: u32,
    /// Out again.
    pub out: u32,
    /// Did not come.
    pub absent: u32,
    /// Not counted yet.
    pub not_seen: u32,
    /// In the water although the planned end is past.
    pub overdue: u32,
    /// How long the planned end is past, while someone is in the water.
    pub past_end: Option<Span>,
    /// Those in the water now against the ceiling; `None` on land, and while nobody is in.
    pub ratio: Option<RatioView>,
    /// Who goes in when all do: not counted yet, and without a gap before water, staff among them.
    pub ready: Vec<Who>,
    /// The rows by who watches them and by pair; none while nobody kept any.
    pub teams: Vec<WatchGroup>,
    /// Two devices said different pairs or zones, and nobody has settled them yet.
    pub teams_differ: bool,
    /// Buddies who are not found yet, the longest missing first.
    pub lost: Vec<LostRow>,
    /// What the site lacks before this water.
    pub site_missing: Vec<SiteMissing>,
    /// Whether the reader may count.
    pub may_count: Leave,
}

/// One person.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct HeadcountRow {
    /// Who.
    pub name: WhoName,
    /// Where they are.
    pub place: Place,
    /// When that was said.
    pub since: Option<Moment>,
    /// How long ago, at this moment; for one who is out, how long they were in.
    pub elapsed: Option<Span>,
    /// In the water although the planned end is past.
    pub overdue: bool,
    /// Two people counted apart and differently; `in` holds until one counts again.
    pub counted_apart: bool,
    /// Whether the plan has them.
    pub planned: bool,
    /// Gaps before this session's water; for staff what they have to renew.
    pub gaps: u32,
    /// The pair that was kept, and who watches.
    pub team: TeamOf,
    /// Each time in the water, in its order.
    pub dives: Vec<TimesInWater>,
    /// The entry that holds, to be taken back.
    pub entry: Option<EntryId>,
    /// What was on screen: goes into the `after` of the next passage.
    pub after: Vec<EntryId>,
}

/// One person's time in the water, from going in to coming out.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct TimesInWater {
    /// When they went in; `None` where only coming out was counted.
    pub down: Option<TimeSaid>,
    /// When they came out; `None` while they are in.
    pub up: Option<TimeSaid>,
}

/// A time that was said.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct TimeSaid {
    /// The time that was meant.
    pub at: Moment,
    /// When it was written, where that was not then.
    pub written: Option<Moment>,
    /// Who wrote it.
    pub by: StaffName,
}

/// A time that was written so much later than it says was put in afterwards.
const AFTERWARDS: TimeDelta = TimeDelta::minutes(2);

/// When a time was written, where that was not when it was.
pub(crate) fn afterwards(
    when: DateTime<FixedOffset>,
    written: DateTime<FixedOffset>,
) -> Option<DateTime<FixedOffset>> {
    ((written - when).abs() >= AFTERWARDS).then_some(written)
}

/// Where a person is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Place {
    /// Not counted yet.
    NotSeen,
    /// In the water.
    InWater,
    /// Out again, seen and counted.
    Out,
    /// Did not come.
    Absent,
}

impl HeadcountView {
    /// The headcount of a session; `None` when none of its plans stands.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, id: &SessionId) -> Option<Self> {
        let now = course.sessions().get(id)?;
        let counted = course.headcount(id);
        let planned = now.plan.students.iter().copied().map(Who::Student);
        let staff = now.plan.staff.iter().copied().map(Who::Staff);
        let people = planned.chain(staff).chain(counted.keys().copied());
        let teams = TeamOf::kept(course, Some(id));
        let rows: Vec<HeadcountRow> = reader
            .people
            .in_order(people)
            .iter()
            .map(|who| HeadcountRow {
                team: TeamOf::of(reader, teams.as_ref(), who),
                ..HeadcountRow::of(course, reader, id, who)
            })
            .collect();
        let wet: Vec<(Who, bool)> = rows
            .iter()
            .map(|row| (row.name.who(), row.place == Place::InWater))
            .collect();
        let at = |place| count(rows.iter().filter(|row| row.place == place).count());
        let in_water = at(Place::InWater);
        let end = ends(&now.plan);
        Some(Self {
            course: *course.id(),
            session: *id,
            title: now.plan.title.clone(),
            state: SessionState::of(&now.plan, now.cancelled.is_some(), reader),
            ends: reader.when(end),
            expected: count(rows.len()),
            in_water,
            staff_in_water: count(
                rows.iter()
                    .filter(|row| {
                        row.place == Place::InWater && matches!(row.name, WhoName::Staff(_))
                    })
                    .count(),
            ),
            out: at(Place::Out),
            absent: at(Place::Absent),
            not_seen: at(Place::NotSeen),
            overdue: count(rows.iter().filter(|row| row.overdue).count()),
            past_end: (in_water > 0 && end < reader.now).then(|| Span::between(end, reader.now)),
            ratio: wet_ratio(course, reader, &rows, &now.plan),
            ready: rows
                .iter()
                .filter(|row| row.place == Place::NotSeen && row.gaps == 0)
                .map(|row| row.name.who())
                .collect(),
            teams: WatchGroup::all(reader, teams.as_ref(), &wet),
            teams_differ: course.teams(id).is_some_and(|now| !now.apart.is_empty()),
            rows,
            lost: LostRow::all(course, reader, id),
            site_missing: before_site(reader.shop, course, &now.plan),
            may_count: reader.may_write(Kind::Attendance),
        })
    }
}

impl HeadcountRow {
    /// One person in a session's headcount.
    pub(super) fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        session: &SessionId,
        who: &Who,
    ) -> Self {
        let plan = course.sessions().get(session).map(|now| &now.plan);
        let after = course.passages(session, who);
        let holding = course.tally().latest(&after);
        let passages = holding.iter().filter_map(|one| {
            if let Body::Attendance(attendance) = &one.entry.body {
                Some(attendance.passage)
            } else {
                None
            }
        });
        let mut passages: Vec<Passage> = passages.collect();
        passages.sort_unstable();
        passages.dedup();
        let holds = course.headcount(session).remove(who);
        let said = holds.and_then(|one| {
            if let Body::Attendance(attendance) = &one.entry.body {
                Some((one.entry.id, attendance.passage, attendance.when))
            } else {
                None
            }
        });
        let place = match said {
            None => Place::NotSeen,
            Some((_, Passage::In, _)) => Place::InWater,
            Some((_, Passage::Out, _)) => Place::Out,
            Some((_, Passage::Absent, _)) => Place::Absent,
        };
        let overdue = place == Place::InWater && plan.is_some_and(|plan| ends(plan) < reader.now);
        Self {
            name: reader.who(who),
            place,
            since: said.map(|(_, _, when)| reader.when(when)),
            elapsed: said.and_then(|(entry, passage, when)| match passage {
                Passage::In => Some(Span::between(when, reader.now)),
                Passage::Out => went_in(course, &after, entry).map(|at| Span::between(at, when)),
                Passage::Absent => None,
            }),
            overdue,
            counted_apart: passages.len() > 1,
            planned: plan.is_some_and(|plan| match who {
                Who::Student(id) => plan.students.contains(id),
                Who::Staff(id) => plan.staff.contains(id),
            }),
            gaps: match who {
                Who::Student(id) => water_gaps(course, reader, id, Some(*session)),
                Who::Staff(id) => plan.map_or(0, |plan| {
                    count(super::staff_gaps::staff_gaps(course, reader, plan, id).len())
                }),
            },
            team: TeamOf::default(),
            dives: dives(course, reader, &after),
            entry: said.map(|(entry, _, _)| entry),
            after,
        }
    }
}

/// The passages of one person that stand, in pairs.
fn dives(course: &CourseStanding, reader: &Reader<'_>, passages: &[EntryId]) -> Vec<TimesInWater> {
    let standing = passages.iter().filter_map(|id| course.tally().standing(id));
    let mut said: Vec<_> = standing
        .filter_map(|one| {
            if let Body::Attendance(attendance) = &one.entry.body {
                let time = TimeSaid {
                    at: reader.when(attendance.when),
                    written: afterwards(attendance.when, one.entry.at).map(|at| reader.when(at)),
                    by: reader.staff(&one.entry.by),
                };
                Some((attendance.when, attendance.passage, time))
            } else {
                None
            }
        })
        .collect();
    said.sort_by_key(|(when, passage, _)| (*when, *passage));
    let mut dives: Vec<TimesInWater> = Vec::new();
    for (_, passage, time) in said {
        match (passage, dives.last_mut()) {
            (Passage::Absent, _) => {}
            (Passage::Out, Some(last)) if last.up.is_none() => last.up = Some(time),
            (Passage::In, _) => dives.push(TimesInWater {
                down: Some(time),
                up: None,
            }),
            (Passage::Out, _) => dives.push(TimesInWater {
                down: None,
                up: Some(time),
            }),
        }
    }
    dives
}

/// When someone who is out went in: the last `in` that the writer of `out` had on screen.
fn went_in(
    course: &CourseStanding,
    passages: &[EntryId],
    out: EntryId,
) -> Option<DateTime<FixedOffset>> {
    let out = course.tally().get(&out)?;
    passages
        .iter()
        .filter(|id| out.entry.after.contains(id))
        .filter_map(|id| course.tally().standing(id))
        .filter_map(|one| {
            if let Body::Attendance(a) = &one.entry.body {
                (a.passage == Passage::In).then_some(a.when)
            } else {
                None
            }
        })
        .max()
}

fn wet_ratio(
    course: &CourseStanding,
    reader: &Reader<'_>,
    rows: &[HeadcountRow],
    plan: &crate::course::SessionPlan,
) -> Option<RatioView> {
    let wet = rows.iter().filter(|row| row.place == Place::InWater);
    let wet: Vec<Who> = wet.map(|row| row.name.who()).collect();
    if wet.is_empty() {
        return None;
    }
    let all = OneWater::now(course, reader, plan, &wet);
    let consider = consider(course, reader, plan, (&plan.students, all.assistants()));
    all.ratio(course, reader, plan, consider)
}
