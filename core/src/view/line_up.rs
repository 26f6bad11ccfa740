//! Line-up: one skill run through the students of a session, one after another.

use super::attempt_sheet::Neighbours;
use super::board::{ended, water_gaps};
use super::cell::{CellView, mark_of};
use super::reader::{count, session_title, skill_name};
use super::skill_card::SkillCard;
use super::sweep::{self, Asked, InSweep};
use super::{Leave, Moment, Reader, StudentName, TeamOf};
use crate::course::{CourseId, EntryId, SessionId, SkillId, StudentId};
use crate::entry::{Body, Kind, Mark, Outcome, Passage, Who};
use crate::plan::still_needs;
use crate::standing::CourseStanding;

/// A skill and the students who stand in line for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineUpView {
    /// Of which course.
    pub course: CourseId,
    /// In which session, if one was named and is planned.
    pub session: Option<SessionId>,
    /// Its title.
    pub session_title: Option<String>,
    /// What is shown.
    pub skill: SkillCard,
    /// The skill before and after it on the run list, or on the board.
    pub skills: Neighbours,
    /// What the skill before is called.
    pub skill_before: Option<String>,
    /// What the skill after is called.
    pub skill_after: Option<String>,
    /// The students of the session, or of the course, by name as on the board.
    pub rows: Vec<LineUpRow>,
    /// The first who is there, still needs it, and was not judged in this line-up.
    pub next: Option<StudentId>,
    /// Judged in this line-up.
    pub judged: u32,
    /// Of those who still needed it, or were judged in it.
    pub of: u32,
    /// Not there.
    pub absent: u32,
    /// How many one word about everybody takes: see each row.
    pub sweep: u32,
    /// When a sweep says that it was seen: now, or when the last came out of the water.
    pub sweep_seen: Moment,
    /// Whether the reader may mark.
    pub may_mark: Leave,
}

/// A student in line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineUpRow {
    /// Who.
    pub name: StudentName,
    /// How the cell stands.
    pub cell: CellView,
    /// The latest mark of this line-up, which one tap takes back.
    pub today: Option<MarkedHere>,
    /// Tries judged in this line-up.
    pub tries_today: u32,
    /// Whether the skill is still needed.
    pub needed: bool,
    /// Where the student is.
    pub presence: Presence,
    /// Gaps before the session's water.
    pub water_gaps: u32,
    /// Whether this one is next.
    pub is_next: bool,
    /// What was kept of their team in the session.
    pub team: TeamOf,
    /// Whether one word about everybody takes this one, or why not.
    pub sweep: InSweep,
}

/// A mark given in this line-up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct MarkedHere {
    /// Its entry.
    pub entry: EntryId,
    /// The mark.
    pub mark: Mark,
    /// Whether the reader may take it back.
    pub may_withdraw: Leave,
}

/// Where a student is, as the headcount of the session says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Presence {
    /// Nothing was recorded.
    NotSeen,
    /// In the water.
    InWater,
    /// Out of it again.
    Out,
    /// Did not come.
    Absent,
    /// Left the course, or goes on elsewhere.
    Gone,
}

impl LineUpView {
    /// The line-up of a skill; `None` when the outline does not have it.
    ///
    /// Without a session the line-up is that of today.
    pub fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        skill: &SkillId,
        session: Option<SessionId>,
    ) -> Option<Self> {
        let known = course.spoken_skill(skill)?;
        let session = session.filter(|id| course.sessions().contains_key(id));
        let plan = session.and_then(|id| Some(&course.sessions().get(&id)?.plan));
        let names = reader.people.roster(&course.students());
        let in_line: Vec<StudentName> = match plan {
            None => names,
            Some(plan) => names
                .into_iter()
                .filter(|name| plan.students.contains(&name.student))
                .collect(),
        };
        let mut rows: Vec<LineUpRow> = in_line
            .into_iter()
            .filter_map(|name| LineUpRow::of(course, reader, skill, session, name))
            .collect();
        let kept = TeamOf::kept(course, session.as_ref());
        for row in &mut rows {
            row.team = TeamOf::of(reader, kept.as_ref(), &Who::Student(row.name.student));
        }
        let next = rows.iter_mut().find(|row| row.waits()).map(|row| {
            row.is_next = true;
            row.name.student
        });
        let skills = plan
            .map(|plan| plan.run_list.clone())
            .filter(|run| run.contains(skill))
            .unwrap_or_else(|| super::attempt_sheet::skills_in_board_order(course));
        let name = |id: &SkillId| skill_name(course, id);
        let [skill_before, skill_after] =
            Neighbours::beside(&skills, skill).map(|beside| beside.map(name));
        let judged = rows.iter().filter(|row| row.today.is_some()).count();
        let waiting = rows.iter().filter(|row| row.waits()).count();
        Some(Self {
            course: *course.id(),
            session,
            session_title: session.and_then(|id| session_title(course, &id)),
            skill: SkillCard::of(known, reader.units),
            skill_before,
            skill_after,
            skills: Neighbours::of(&skills, skill),
            next,
            judged: count(judged),
            sweep: count(
                rows.iter()
                    .filter(|row| row.sweep == InSweep::Takes)
                    .count(),
            ),
            sweep_seen: sweep::seen(course, reader, session),
            of: count(judged + waiting),
            absent: count(
                rows.iter()
                    .filter(|row| row.presence == Presence::Absent)
                    .count(),
            ),
            rows,
            may_mark: reader.may_write(Kind::Attempt),
        })
    }
}

impl LineUpRow {
    fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        skill: &SkillId,
        session: Option<SessionId>,
        name: StudentName,
    ) -> Option<Self> {
        let student = name.student;
        let key = (student, skill.clone());
        let known = course.spoken_skill(skill)?;
        let here: Vec<_> = course
            .cell_entries(&key)
            .filter(|one| course.tally().counts(&one.entry.id))
            .filter(|one| {
                matches!(&one.entry.body, Body::Attempt(attempt) if match session {
                    Some(_) => attempt.session == session,
                    None => one.entry.at.date_naive() == reader.today(),
                })
            })
            .collect();
        // The latest is the one that no other was written after; of two written apart the
        // clock picks which is offered to be taken back, and both stay in the cell.
        let unanswered = here.iter().filter(|one| {
            !here
                .iter()
                .any(|other| other.entry.after.contains(&one.entry.id))
        });
        let latest = unanswered.max_by_key(|one| (one.entry.at, one.entry.id));
        let today = latest.and_then(|one| {
            Some(MarkedHere {
                entry: one.entry.id,
                mark: mark_of(&one.entry.body)?,
                may_withdraw: reader.may_withdraw(course, one),
            })
        });
        let tries = here
            .iter()
            .filter(|one| mark_of(&one.entry.body) != Some(Mark::SatOut));
        let cell = CellView::of(course, reader, &key)?;
        let needed = still_needs(course, &student, known);
        let presence = presence(course, &student, session);
        let asked = Asked {
            cell: &cell,
            presence,
            needed,
            marked: today.is_some(),
        };
        Some(Self {
            sweep: InSweep::of(course, session, &asked),
            cell,
            today,
            tries_today: count(tries.count()),
            needed,
            presence,
            water_gaps: water_gaps(course, reader, &student, session),
            is_next: false,
            team: TeamOf::default(),
            name,
        })
    }

    const fn waits(&self) -> bool {
        self.needed
            && self.today.is_none()
            && !matches!(self.presence, Presence::Absent | Presence::Gone)
    }
}

/// Where a student is.
pub(super) fn presence(
    course: &CourseStanding,
    student: &StudentId,
    session: Option<SessionId>,
) -> Presence {
    if matches!(
        ended(course, student),
        Some(Outcome::Left | Outcome::Referred)
    ) {
        return Presence::Gone;
    }
    let who = Who::Student(*student);
    let Some(session) = session else {
        return Presence::NotSeen;
    };
    let headcount = course.headcount(&session);
    if let Some(Body::Attendance(attendance)) = headcount.get(&who).map(|one| &one.entry.body) {
        match attendance.passage {
            Passage::In => Presence::InWater,
            Passage::Out => Presence::Out,
            Passage::Absent => Presence::Absent,
        }
    } else {
        Presence::NotSeen
    }
}
