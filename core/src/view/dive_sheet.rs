//! Dive sheet: what is known before a session's dive is logged, so that one table takes the
//! whole group: who went in, when the first did and the last came out, each one's last cylinder.
//!
//! Depths and pressures are left empty: those are read off a gauge, never off a plan.

use chrono::{DateTime, FixedOffset};

use super::figure::Of;
use super::{Day, Figure, Moment, Reader, WhoName};
use crate::course::{GasUsed, Role, SessionId, WaterKind};
use crate::entry::{Attendance, Body, Kind, Passage, Who};
use crate::standing::CourseStanding;

/// What is known before a dive is logged.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record), uniffi(name = "DiveSheet"))]
pub struct DiveSheetView {
    /// Of which session, if of one.
    pub session: Option<SessionId>,
    /// On which day: the session's, or today.
    pub day: Day,
    /// When the first of them went in by the headcount.
    pub down: Option<Moment>,
    /// When the last of them came out.
    pub up: Option<Moment>,
    /// The water of the session.
    pub water: Option<WaterKind>,
    /// How cold it is, as far as that was planned.
    pub temperature: Option<Figure>,
    /// The students of the course, then its staff.
    pub people: Vec<DiveSheetRow>,
}

/// One person.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct DiveSheetRow {
    /// Who.
    pub who: WhoName,
    /// Whether the headcount saw them in the water; without a headcount, whether the plan has
    /// them.
    pub went_in: bool,
    /// Whether a dive of theirs is logged in this session already.
    pub logged: bool,
    /// The cylinder that was last logged of them.
    pub capacity: Option<Figure>,
    /// Its oxygen, in tenths of a per cent.
    pub oxygen_permille: Option<u16>,
}

impl DiveSheetView {
    /// Of a session, or of nobody's in particular.
    pub fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        session: Option<&SessionId>,
    ) -> Option<Self> {
        let plan = match session {
            Some(id) => Some(&course.sessions().get(id)?.plan),
            None => None,
        };
        let passages: Vec<&Attendance> = session
            .into_iter()
            .flat_map(|id| passages(course, id))
            .collect();
        let first = |passage| {
            let of = passages.iter().filter(move |one| one.passage == passage);
            of.map(|one| one.when)
        };
        let when = |at: Option<DateTime<FixedOffset>>| at.map(|at| reader.when(at));
        let counted = passages.iter().any(|one| one.passage == Passage::In);
        let students = course.students().into_iter();
        let mut people: Vec<Who> = students
            .filter(|id| super::board::ended(course, id).is_none())
            .map(Who::Student)
            .collect();
        let staff = course.staff().into_iter();
        people.extend(
            staff
                .filter(|(_, role)| *role != Role::Shop)
                .map(|(id, _)| Who::Staff(id)),
        );
        let went_in = |who: &Who| match plan {
            _ if counted => passages
                .iter()
                .any(|one| one.passage == Passage::In && one.who == *who),
            Some(plan) => match who {
                Who::Student(id) => plan.students.contains(id),
                Who::Staff(id) => plan.staff.contains(id),
            },
            None => false,
        };
        let row = |who: Who| {
            let gas = last_gas(course, &who);
            DiveSheetRow {
                went_in: went_in(&who),
                logged: session.is_some_and(|id| logged_in(course, id, &who)),
                capacity: gas.map(|gas| Of::Cylinder.show(gas.capacity_dl, reader.units)),
                oxygen_permille: gas.map(|gas| gas.oxygen_permille),
                who: reader.who(&who),
            }
        };
        Some(Self {
            session: session.copied(),
            day: reader.day(plan.map_or_else(|| reader.today(), |plan| plan.starts.date_naive())),
            down: when(first(Passage::In).min()),
            up: when(first(Passage::Out).max()),
            water: plan.map(|plan| plan.water.kind),
            temperature: plan
                .and_then(|plan| plan.water.temperature_dc)
                .map(|dc| Of::Temperature.show(dc, reader.units)),
            people: reader
                .people
                .in_order(people)
                .into_iter()
                .map(row)
                .collect(),
        })
    }
}

/// Every passage of a session that counts.
fn passages<'a>(
    course: &'a CourseStanding,
    session: &'a SessionId,
) -> impl Iterator<Item = &'a Attendance> {
    course.of_kind(Kind::Attendance).filter_map(move |one| {
        if let Body::Attendance(passage) = &one.entry.body {
            (passage.session == *session).then_some(passage)
        } else {
            None
        }
    })
}

fn logged_in(course: &CourseStanding, session: &SessionId, who: &Who) -> bool {
    course.of_kind(Kind::DiveLogged).any(|one| {
        matches!(&one.entry.body, Body::DiveLogged(dive)
            if dive.who == *who && dive.session == Some(*session))
    })
}

/// What somebody's last logged dive was breathed from.
fn last_gas(course: &CourseStanding, who: &Who) -> Option<GasUsed> {
    let dives = course.of_kind(Kind::DiveLogged).filter_map(|one| {
        if let Body::DiveLogged(dive) = &one.entry.body {
            (dive.who == *who).then_some((dive.log.down, dive.log.gas?))
        } else {
            None
        }
    });
    dives.max_by_key(|(down, _)| *down).map(|(_, gas)| gas)
}
