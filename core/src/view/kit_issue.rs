//! The issue list of a session: what everybody has, wants and lacks of the school's kit; and
//! the sizes that a student wears.

use std::collections::BTreeMap;

use super::kit::{KitAround, KitOutRow, name_of};
use super::reader::count;
use super::weighting::last_held;
use super::{Leave, Moment, Reader, StudentName, WeightRow, WhoName};
use crate::course::{CourseId, KitKind, KitName, SessionId, Sizes, StudentId};
use crate::entry::{Body, Kind, Who};
use crate::plan::{KitLineState, KitNeed, kit_needs};
use crate::standing::CourseStanding;

/// The issue list of a session.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct KitIssueView {
    /// Of which course.
    pub course: CourseId,
    /// Of which session.
    pub session: SessionId,
    /// Its title.
    pub title: String,
    /// Where it is.
    pub site: String,
    /// When it begins.
    pub starts: Moment,
    /// The students of the plan by name as on the board, then its staff.
    pub rows: Vec<KitPersonRow>,
    /// How many things are missing, over all.
    pub missing: u32,
    /// How many pieces that are issued should not go into the water.
    pub wrong: u32,
    /// How many running courses this device does not hold.
    pub elsewhere: u32,
    /// Whether the reader may issue a piece.
    pub may_issue: Leave,
}

/// One person of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct KitPersonRow {
    /// Who.
    pub who: WhoName,
    /// The last weight check that held.
    pub weight: Option<WeightRow>,
    /// One line a kind.
    pub lines: Vec<KitLine>,
    /// How many things are missing.
    pub missing: u32,
    /// How many pieces should not go into the water.
    pub wrong: u32,
}

/// One person and one kind of kit.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct KitLine {
    /// Of which kind.
    pub kind: KitKind,
    /// The size that is wanted; empty where nobody said.
    pub wanted: String,
    /// How it stands.
    pub state: KitLineState,
    /// What the person has of it.
    pub issued: Vec<KitOutRow>,
    /// A piece that would fit and is free.
    pub proposed: Option<KitName>,
}

/// The sizes that a student wears. Personal: they go to the screen and nowhere else.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SizesView {
    /// Of which course.
    pub course: CourseId,
    /// Whose.
    pub name: StudentName,
    /// The sizes; `None` where nobody said any, or the details are not here.
    pub sizes: Option<Sizes>,
    /// The last weight check that held.
    pub weight: Option<WeightRow>,
    /// What the student has of the school's kit in this course.
    pub out: Vec<KitOutRow>,
    /// Whether the reader may change the sizes.
    pub may_set: Leave,
}

impl KitIssueView {
    /// The list of a session; `None` when none of its plans stands.
    pub fn of(
        around: &KitAround<'_>,
        course: &CourseStanding,
        reader: &Reader<'_>,
        session: &SessionId,
    ) -> Option<Self> {
        let plan = &course.sessions().get(session)?.plan;
        let on = plan.starts.date_naive();
        let names: BTreeMap<StudentId, StudentName> = reader
            .people
            .roster(&course.students())
            .into_iter()
            .map(|name| (name.student, name))
            .collect();
        let students = plan.students.iter().map(|id| Who::Student(*id));
        let staff = plan.staff.iter().map(|id| Who::Staff(*id));
        let people: Vec<(Who, Sizes)> = reader
            .people
            .in_order(students.chain(staff))
            .into_iter()
            .map(|who| (who, sizes_of(reader, &who)))
            .collect();
        let needs = kit_needs(reader.shop, course, &around.courses, on, &people);
        let rows: Vec<KitPersonRow> = people
            .iter()
            .zip(needs)
            .map(|((who, _), needs)| {
                let who = match who {
                    Who::Student(id) => WhoName::Student(
                        names.get(id).cloned().unwrap_or_else(|| reader.student(id)),
                    ),
                    Who::Staff(id) => WhoName::Staff(reader.staff(id)),
                };
                KitPersonRow::of(around, course, reader, who, (needs, on))
            })
            .collect();
        Some(Self {
            course: *course.id(),
            session: *session,
            title: plan.title.clone(),
            site: plan.site.clone(),
            starts: reader.when(plan.starts),
            missing: rows.iter().map(|row| row.missing).sum(),
            wrong: rows.iter().map(|row| row.wrong).sum(),
            rows,
            elsewhere: around.elsewhere,
            may_issue: reader.may_write(Kind::KitIssued),
        })
    }
}

impl KitPersonRow {
    fn of(
        around: &KitAround<'_>,
        course: &CourseStanding,
        reader: &Reader<'_>,
        who: WhoName,
        (needs, on): (Vec<KitNeed>, chrono::NaiveDate),
    ) -> Self {
        let line = |need: KitNeed| KitLine {
            kind: need.kind,
            wanted: need.wanted,
            state: need.state,
            issued: need
                .issued
                .iter()
                .filter_map(|id| {
                    let one = course.tally().standing(id)?;
                    if let Body::KitIssued(issued) = &one.entry.body {
                        Some(KitOutRow::of(around, course, reader, (one, issued), on))
                    } else {
                        None
                    }
                })
                .collect(),
            proposed: need.proposed.map(|id| name_of(reader, &id)),
        };
        let lines: Vec<KitLine> = needs.into_iter().map(line).collect();
        let missing = lines
            .iter()
            .filter(|line| line.state == KitLineState::Missing);
        let issued = lines.iter().flat_map(|line| &line.issued);
        let wrong = issued.filter(|one| !one.wrong.is_empty());
        Self {
            weight: match &who {
                WhoName::Student(name) => last_held(course, &name.student)
                    .and_then(|one| WeightRow::of(course, reader, one)),
                WhoName::Staff(_) => None,
            },
            missing: count(missing.count()),
            wrong: count(wrong.count()),
            who,
            lines,
        }
    }
}

impl SizesView {
    /// Of one student; `None` for nobody of the course.
    pub fn of(
        around: &KitAround<'_>,
        course: &CourseStanding,
        reader: &Reader<'_>,
        student: &StudentId,
    ) -> Option<Self> {
        if !course.has_student(student) {
            return None;
        }
        let details = reader.people.students.get(student);
        let held = course.kit_of(&Who::Student(*student)).into_iter();
        let today = reader.today();
        Some(Self {
            course: *course.id(),
            name: reader.student(student),
            sizes: details.and_then(|details| details.sizes.clone()),
            weight: last_held(course, student).and_then(|one| WeightRow::of(course, reader, one)),
            out: held
                .map(|out| KitOutRow::of(around, course, reader, out, today))
                .collect(),
            may_set: reader
                .may_write(Kind::Amendment)
                .where_open(details.is_some()),
        })
    }
}

/// The sizes of somebody; none are known of staff.
fn sizes_of(reader: &Reader<'_>, who: &Who) -> Sizes {
    let details = match who {
        Who::Student(id) => reader.people.students.get(id),
        Who::Staff(_) => None,
    };
    let sizes = details.and_then(|details| details.sizes.clone());
    sizes.unwrap_or_default()
}
