//! Which chart is asked for, and where its figures come from.

use super::Chart;
use crate::calc::reserve::TurnRule;
use crate::course::{EntryId, SessionId, StudentId};
use crate::entry::{Body, Kind, Who};
use crate::standing::CourseStanding;
use crate::view::{
    EvidenceView, GasView, JudgingView, NextDive, Reader, StudentName, StudentView, WhoName,
};

/// Skills of a class that one picture shows.
const MOST_SKILLS: usize = 12;

/// A chart of a course.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChartOf {
    /// A logged dive with its profile.
    Profile(EntryId),
    /// One diver's cylinder in a planned session.
    Gas {
        /// Which session.
        session: SessionId,
        /// Whose cylinder.
        who: Who,
        /// How the usable gas is shared out.
        rule: TurnRule,
    },
    /// What one diver has left at a planned session's depth.
    NoStop {
        /// Which session.
        session: SessionId,
        /// Whose time.
        who: Who,
        /// Whether people live at the height of the water.
        live_there: bool,
    },
    /// The class's skills, the hardest first.
    Tries,
    /// One student's skills, day by day.
    Way(StudentId),
}

impl Chart {
    /// The chart that is asked for, and whose it is; `None` where there is nothing to draw: no
    /// profile, no depth, no reserve, nothing met or tried, or no such dive, session or student.
    pub fn of(
        course: &CourseStanding,
        others: &[&CourseStanding],
        reader: &Reader<'_>,
        asked: ChartOf,
    ) -> Option<(Self, Option<WhoName>)> {
        match asked {
            ChartOf::Profile(entry) => {
                let mut dives = course.of_kind(Kind::DiveLogged);
                let counted = dives.find(|one| one.entry.id == entry)?;
                let Body::DiveLogged(dive) = &counted.entry.body else {
                    return None;
                };
                let chart = Self::profile(&dive.log, reader.units)?;
                Some((chart, Some(reader.who(&dive.who))))
            }
            ChartOf::Gas { session, who, rule } => {
                let gas = GasView::of(course, others, reader, &session, rule)?;
                let name = reader.who(&who);
                let mut rows = gas.students.iter().chain(&gas.staff);
                let row = rows.find(|row| row.who == name)?;
                Some((Self::gas(row, rule, reader.units)?, Some(name)))
            }
            ChartOf::NoStop {
                session,
                who,
                live_there,
            } => {
                let plan = &course.sessions().get(&session)?.plan;
                let next = NextDive::of(&session, plan, reader.now, live_there)?;
                let chart = Self::no_stop(course, others, &next, who, reader.units)?;
                Some((chart, Some(reader.who(&who))))
            }
            ChartOf::Tries => {
                let judging = JudgingView::of(&EvidenceView::of(&[course]), reader);
                Some((Self::tries(&judging, MOST_SKILLS)?, None))
            }
            ChartOf::Way(student) => {
                let view = StudentView::of(course, reader, &student)?;
                let name: StudentName = view.name.clone();
                Some((Self::way(&view, reader)?, Some(WhoName::Student(name))))
            }
        }
    }
}
