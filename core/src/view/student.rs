//! Student: everything a course knows of one person, on one page.

use super::activity::ActivityRow;
use super::cell::CellView;
use super::figure::Figure;
use super::gaps::GapsView;
use super::headcount::{HeadcountRow, Place};
use super::note::{NoteRow, NotesOn, NotesView};
use super::reader::count;
use super::water::{DiveRow, WaterView, WeightRow};
use super::{Day, Leave, Moment, Reader, Span, StaffName, StudentName};
use crate::course::{
    ClearanceKind, CourseId, EntryId, Family, Gate, Rule, SessionId, SkillId, StudentId, age_on,
};
use crate::entry::{Body, ClearanceResult, Kind, Outcome, Sort, Who};
use crate::plan::counts_until;
use crate::standing::{CellState, CourseStanding};

/// One student.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StudentView {
    /// In which course.
    pub course: CourseId,
    /// Who.
    pub name: StudentName,
    /// Contacts and age, where the details are here.
    pub details: Option<DetailsView>,
    /// Where an earlier part of the course was done.
    pub referred_from: Option<String>,
    /// When the student was enrolled.
    pub enrolled: Option<Moment>,
    /// Papers and tests, in the order they are asked for.
    pub clearances: Vec<ClearanceRow>,
    /// What is missing today.
    pub gaps: GapsView,
    /// Skills, family by family.
    pub families: Vec<FamilyCells>,
    /// Required skills done.
    pub done: u32,
    /// Of so many.
    pub of: u32,
    /// Dives, in order.
    pub dives: Vec<DiveRow>,
    /// Open-water dives logged.
    pub open_dives: u32,
    /// Of so many that completion needs, if the policy says.
    pub dives_needed: Option<u8>,
    /// The last weight check.
    pub weight: Option<WeightRow>,
    /// Notes about the student, newest first.
    pub notes: Vec<NoteRow>,
    /// Sessions, in order of their start.
    pub attendance: Vec<AttendanceRow>,
    /// Of those, how many the student came to.
    pub came_to: u32,
    /// How the course ended, if it has.
    pub completion: Option<CompletionView>,
    /// Whether the reader may complete, refer or let the student leave; gaps bar only
    /// completing.
    pub may_complete: Leave,
    /// Whether the reader may record a paper.
    pub may_clear: Leave,
    /// Whether the reader may change the details.
    pub may_amend: Leave,
}

/// Contacts and age. Personal: it goes to the screen and nowhere else.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct DetailsView {
    /// The whole name.
    pub name: String,
    /// What they like to be called, if that is another.
    pub called: Option<String>,
    /// Birth date.
    pub born: Option<Day>,
    /// Who saw that the person is of age, and when.
    pub adult: Option<SeenBy>,
    /// Years of age today.
    pub age: Option<u32>,
    /// Whether the policy's rule for minors is about them; `None` without an age that is
    /// known, or a rule.
    pub minor: Option<bool>,
    /// Telephone or e-mail.
    pub contact: Option<String>,
    /// Whom to call, and how.
    pub emergency: Option<Emergency>,
}

/// By whom, and on which day.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SeenBy {
    /// Who, by name.
    pub by: String,
    /// When.
    pub on: Day,
}

/// As for [`DetailsView`].
impl std::fmt::Debug for SeenBy {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("SeenBy(..)")
    }
}

/// Whom to call.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Emergency {
    /// Who.
    pub name: String,
    /// How: a telephone number, as it was given.
    pub reach: String,
}

/// As for [`DetailsView`].
impl std::fmt::Debug for Emergency {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Emergency(..)")
    }
}

/// Written by hand so that no detail can reach a log through `{:?}`.
impl std::fmt::Debug for DetailsView {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("DetailsView(..)")
    }
}

/// A paper or a test.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct ClearanceRow {
    /// Which.
    pub what: ClearanceKind,
    /// How it stands today.
    pub state: ClearanceState,
    /// Before what the policy wants it; `None` when it is not asked of this student.
    pub needed_before: Option<Gate>,
    /// When it was seen.
    pub seen: Option<Moment>,
    /// By whom.
    pub by: Option<StaffName>,
    /// The last day it counts, by the paper or the policy, the earlier.
    pub until: Option<Day>,
    /// Metres swum, minutes floated or per cent reached.
    pub figure: Option<Figure>,
    /// The entry that holds.
    pub entry: Option<EntryId>,
    /// Whether the reader may record it.
    pub may_record: Leave,
}

/// How a paper or test stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum ClearanceState {
    /// Asked for, and not recorded.
    Missing,
    /// Not recorded, and not asked of this student.
    NotAsked,
    /// In order.
    Cleared,
    /// It was in order until a day that is past.
    Expired,
    /// It asks for a physician first.
    Referred,
    /// Not passed, or refused.
    NotCleared,
}

/// The cells of a family.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FamilyCells {
    /// Which.
    pub family: Family,
    /// Its skills in outline order.
    pub cells: Vec<NamedCell>,
    /// Required skills done.
    pub done: u32,
    /// Of so many.
    pub of: u32,
}

/// A cell with its skill's name and its last date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NamedCell {
    /// The skill's name.
    pub name: String,
    /// Whether completion needs it.
    pub required: bool,
    /// The cell.
    pub cell: CellView,
    /// When its latest mark was written.
    pub last_at: Option<Moment>,
}

/// A session and whether the student was there.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct AttendanceRow {
    /// Which.
    pub session: SessionId,
    /// Its title.
    pub title: String,
    /// When it starts.
    pub starts: Moment,
    /// What the headcount says.
    pub place: Place,
    /// When that was.
    pub at: Option<Moment>,
    /// How long the student was in the water, once out.
    pub span: Option<Span>,
}

impl AttendanceRow {
    const fn came(&self) -> bool {
        matches!(self.place, Place::InWater | Place::Out)
    }
}

/// How a student's course ended.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct CompletionView {
    /// Its entry.
    pub entry: EntryId,
    /// How.
    pub outcome: Outcome,
    /// When.
    pub at: Moment,
    /// By whom.
    pub by: StaffName,
    /// How many entries were considered.
    pub considered: u32,
    /// What counts now and was not considered, newest first.
    pub arrived_after: Vec<ActivityRow>,
    /// What was considered and counts no longer, newest first.
    pub gone_since: Vec<ActivityRow>,
    /// Whether the reader may withdraw it.
    pub may_withdraw: Leave,
}

impl StudentView {
    /// One student's page; `None` for one who is not in the course.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, student: &StudentId) -> Option<Self> {
        let enrolment = course
            .about(student)
            .find(|one| one.entry.body.kind() == Kind::Enrolment)?;
        let referred_from = if let Body::Enrolment(body) = &enrolment.entry.body {
            body.referred_from.clone()
        } else {
            None
        };
        let families = families(course, reader, student);
        let water = WaterView::of(course, reader, Some(student));
        let gaps = GapsView::of(course, reader, student, reader.today());
        let roster = reader.people.roster(&course.students());
        let completion = completion(course, reader, student);
        let attendance = attendance(course, reader, student);
        let open = completion.is_none();
        Some(Self {
            course: *course.id(),
            name: roster
                .into_iter()
                .find(|name| name.student == *student)
                .unwrap_or_else(|| reader.student(student)),
            details: details(course, reader, student),
            referred_from,
            enrolled: Some(reader.when(enrolment.entry.at)),
            // A test that is a skill stands among the skills, and nowhere else.
            clearances: ClearanceKind::ALL
                .into_iter()
                .filter(|what| {
                    let outline = course.outline();
                    outline.is_none_or(|outline| outline.proving(*what).is_none())
                })
                .map(|what| ClearanceRow::of(course, reader, student, what))
                .collect(),
            done: families.iter().map(|family| family.done).sum(),
            of: families.iter().map(|family| family.of).sum(),
            families,
            open_dives: count(crate::plan::counting_dives(course, &Who::Student(*student)).len()),
            dives_needed: dives_needed(course),
            dives: water.dives,
            weight: water.weights.into_iter().next(),
            notes: NotesView::of(course, reader, NotesOn::Student(*student)).rows,
            came_to: count(attendance.iter().filter(|row| row.came()).count()),
            attendance,
            may_complete: match (
                reader.may_write(Kind::Completion).where_open(open),
                gaps.before_completion.len(),
            ) {
                (Leave::Yes, 0) => Leave::Yes,
                (Leave::Yes, open) => Leave::Gaps(count(open)),
                (leave, _) => leave,
            },
            may_clear: reader.may_write(Sort::clearance(ClearanceKind::Health)),
            may_amend: reader.may_write(Kind::Amendment),
            completion,
            gaps,
        })
    }
}

fn details(
    course: &CourseStanding,
    reader: &Reader<'_>,
    student: &StudentId,
) -> Option<DetailsView> {
    let details = reader.people.students.get(student)?;
    let today = reader.today();
    let age = details.born.and_then(|born| age_on(born, today));
    let minor = consent_age(course).and_then(|under| details.age().under(under, today));
    Some(DetailsView {
        name: details.name.clone(),
        called: details.called.clone(),
        born: details.born.map(|born| reader.day(born)),
        age,
        adult: details.adult.as_ref().map(|seen| SeenBy {
            by: seen.by.clone(),
            on: reader.day(seen.on),
        }),
        minor,
        contact: details.contact.clone(),
        emergency: details.emergency.as_ref().map(|contact| Emergency {
            name: contact.name.clone(),
            reach: contact.reach.clone(),
        }),
    })
}

/// Under this age a guardian must have consented, by the course's policy.
pub(super) fn consent_age(course: &CourseStanding) -> Option<u8> {
    let mut rules = course.policy()?.policy.rules.iter();
    rules.find_map(|rule| {
        if let Rule::ConsentUnder { age } = rule.rule {
            Some(age)
        } else {
            None
        }
    })
}

fn dives_needed(course: &CourseStanding) -> Option<u8> {
    let mut rules = course.policy()?.policy.rules.iter();
    rules.find_map(|rule| {
        if let Rule::DivesNeeded { least } = rule.rule {
            Some(least)
        } else {
            None
        }
    })
}

impl ClearanceRow {
    pub(super) fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        student: &StudentId,
        what: ClearanceKind,
    ) -> Self {
        let needed_before = needed_before(course, reader, student, what);
        if let Some(skill) = course.outline().and_then(|outline| outline.proving(what)) {
            return Self::proven(
                course,
                reader,
                (*student, skill.id.clone()),
                (what, needed_before),
            );
        }
        let holds = course.clearance(student, what);
        let until = holds.and_then(|one| counts_until(course, one));
        let body = holds.and_then(|one| {
            if let Body::Clearance(body) = &one.entry.body {
                Some(body)
            } else {
                None
            }
        });
        let state = match body.map(|body| body.result) {
            None if needed_before.is_some() => ClearanceState::Missing,
            None => ClearanceState::NotAsked,
            Some(ClearanceResult::Referred) => ClearanceState::Referred,
            Some(ClearanceResult::NotCleared) => ClearanceState::NotCleared,
            Some(ClearanceResult::Cleared) if until.is_some_and(|day| day < reader.today()) => {
                ClearanceState::Expired
            }
            Some(ClearanceResult::Cleared) => ClearanceState::Cleared,
        };
        Self {
            what,
            state,
            needed_before,
            seen: holds.map(|one| reader.when(one.entry.at)),
            by: holds.map(|one| reader.staff(&one.entry.by)),
            until: until.map(|day| reader.day(day)),
            figure: body
                .and_then(|body| body.figure)
                .map(|figure| super::water::clearance_figure(what, figure, reader)),
            entry: holds.map(|one| one.entry.id),
            may_record: reader.may_write(Sort::clearance(what)),
        }
    }

    /// A test that is a skill of the outline: it stands as that skill does, and in one place.
    fn proven(
        course: &CourseStanding,
        reader: &Reader<'_>,
        key: (StudentId, SkillId),
        (what, needed_before): (ClearanceKind, Option<Gate>),
    ) -> Self {
        let met = course.cells().get(&key).is_some_and(|cell| {
            matches!(cell.state, CellState::Met | CellState::Exempt) && !cell.slipped_since
        });
        let last = course.cell_entries(&key).max_by_key(|one| one.entry.at);
        let last = last.filter(|_| met);
        Self {
            what,
            state: match needed_before {
                _ if met => ClearanceState::Cleared,
                Some(_) => ClearanceState::Missing,
                None => ClearanceState::NotAsked,
            },
            needed_before,
            seen: last.map(|one| reader.when(one.entry.at)),
            by: last.map(|one| reader.staff(&one.entry.by)),
            until: None,
            figure: None,
            entry: last.map(|one| one.entry.id),
            may_record: reader.may_write(Kind::Attempt),
        }
    }
}

/// Before what a clearance is asked of this student: consent of minors only, a physician's
/// clearance only where the health declaration asked for it.
fn needed_before(
    course: &CourseStanding,
    reader: &Reader<'_>,
    student: &StudentId,
    what: ClearanceKind,
) -> Option<Gate> {
    let mut rules = course.policy()?.policy.rules.iter();
    let listed = rules.find_map(|rule| {
        if let Rule::Needs { clearance, before } = &rule.rule {
            (*clearance == what).then_some(*before)
        } else {
            None
        }
    });
    match what {
        ClearanceKind::Consent => {
            let under = consent_age(course)?;
            let minor = reader.age(student).under(under, reader.today());
            (minor == Some(true)).then_some(listed.unwrap_or(Gate::Water))
        }
        ClearanceKind::Physician => {
            let health = course.clearance(student, ClearanceKind::Health)?;
            let referred = matches!(
                &health.entry.body,
                Body::Clearance(body) if body.result == ClearanceResult::Referred
            );
            referred.then_some(listed.unwrap_or(Gate::Water))
        }
        ClearanceKind::Health
        | ClearanceKind::Swim
        | ClearanceKind::Float
        | ClearanceKind::Theory => listed,
    }
}

fn families(course: &CourseStanding, reader: &Reader<'_>, student: &StudentId) -> Vec<FamilyCells> {
    let mut families: Vec<FamilyCells> = Vec::new();
    let skills = course
        .spoken_outline()
        .into_iter()
        .flat_map(|one| &one.skills);
    for skill in skills {
        let key = (*student, skill.id.clone());
        let Some(cell) = CellView::of(course, reader, &key) else {
            continue;
        };
        let last_at = course
            .cells()
            .get(&key)
            .into_iter()
            .flat_map(|cell| &cell.seen)
            .filter_map(|id| course.tally().get(id))
            .map(|one| one.entry.at)
            .max();
        let asked = skill.required && cell.state != CellState::Exempt;
        let (done, of) = (u32::from(asked && cell.done), u32::from(asked));
        let named = NamedCell {
            name: skill.name.clone(),
            required: skill.required,
            last_at: last_at.map(|at| reader.when(at)),
            cell,
        };
        if let Some(known) = families.iter_mut().find(|one| one.family == skill.family) {
            known.cells.push(named);
            known.done += done;
            known.of += of;
        } else {
            families.push(FamilyCells {
                family: skill.family,
                cells: vec![named],
                done,
                of,
            });
        }
    }
    families
}

fn attendance(
    course: &CourseStanding,
    reader: &Reader<'_>,
    student: &StudentId,
) -> Vec<AttendanceRow> {
    let who = Who::Student(*student);
    let mut rows: Vec<AttendanceRow> = course
        .sessions()
        .iter()
        .filter(|(id, now)| {
            !course.passages(id, &who).is_empty()
                || (now.plan.students.contains(student) && now.cancelled.is_none())
        })
        .map(|(id, now)| {
            let row = HeadcountRow::of(course, reader, id, &who);
            AttendanceRow {
                session: *id,
                title: now.plan.title.clone(),
                starts: reader.when(now.plan.starts),
                place: row.place,
                at: row.since,
                span: row.elapsed.filter(|_| row.place == Place::Out),
            }
        })
        .collect();
    rows.sort_by_key(|row| (row.starts.at, row.session));
    rows
}

/// How a student's course ended, with what changed since.
pub(super) fn completion(
    course: &CourseStanding,
    reader: &Reader<'_>,
    student: &StudentId,
) -> Option<CompletionView> {
    let one = course.completion(student)?;
    let Body::Completion(body) = &one.entry.body else {
        return None;
    };
    let considered: std::collections::BTreeSet<EntryId> = body.considered.iter().copied().collect();
    let arrived = course
        .about(student)
        .filter(|other| other.entry.body.kind() != Kind::Completion)
        .filter(|other| !considered.contains(&other.entry.id))
        .map(|other| ActivityRow::of(course, reader, other));
    let gone = considered
        .iter()
        .filter(|id| !course.tally().counts(id))
        .filter_map(|id| course.tally().get(id))
        .map(|other| ActivityRow::of(course, reader, other));
    Some(CompletionView {
        entry: one.entry.id,
        outcome: body.outcome,
        at: reader.when(one.entry.at),
        by: reader.staff(&one.entry.by),
        considered: count(considered.len()),
        arrived_after: super::activity::newest_first(arrived.collect()),
        gone_since: super::activity::newest_first(gone.collect()),
        may_withdraw: reader.may_withdraw(course, one),
    })
}
