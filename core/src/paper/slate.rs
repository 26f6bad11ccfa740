//! Slate: what a session's waterproof sheet asks, as facts. The same rows and boxes are the
//! screen on which the marked sheet is typed in, so the two can never differ.

use chrono::{DateTime, FixedOffset};

use super::source::Source;
use super::teams::TeamLines;
use super::words::Language;
use crate::course::{AgeKnown, EmergencyPlan, Role, SessionId, Setting, SkillId, StudentId};
use crate::entry::{Body, Passage, Who};
use crate::plan::before_site;
use crate::standing::{CellState, CourseStanding, SessionNow};
use crate::view::{Alongside, Limit, RatioOf, ratio};

/// A session's slate.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Slate {
    /// Which session.
    pub session: SessionId,
    /// Its title.
    pub title: String,
    /// Where.
    pub site: String,
    /// When it begins.
    pub starts: DateTime<FixedOffset>,
    /// In which setting.
    pub setting: Setting,
    /// Who watches over how many.
    pub supervision: Supervision,
    /// What is done at its site in an emergency, where the school has said so.
    pub emergency: Option<EmergencyPlan>,
    /// What the site lacks before water, in words.
    pub emergency_lacks: Vec<String>,
    /// Whom to call for each row, in words; empty where nobody is known.
    pub contacts: Vec<String>,
    /// Who watches whom and who dives beside whom, a line a member of staff; empty where nobody
    /// kept any.
    pub teams: Vec<String>,
    /// Rows, in the order of the plan, each with the short name.
    pub students: Vec<SlateStudent>,
    /// Columns, in running order.
    pub skills: Vec<SlateSkill>,
    /// The boxes, row by row.
    pub boxes: Vec<SlateBox>,
    /// What the headcount has of each row.
    pub counted: Vec<SlateCounted>,
    /// Its number, once it is to be printed: what stood on it is kept under that.
    pub number: Option<SlateNumber>,
    /// Those that were printed on this device, the latest first.
    pub printed: Vec<PrintedSlate>,
}

/// Written by hand so that a name or whom to call cannot reach a log through `{:?}`.
impl std::fmt::Debug for Slate {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "Slate({}, {} students)",
            self.session,
            self.students.len()
        )
    }
}

/// A row of a slate.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SlateStudent {
    /// Who.
    pub student: StudentId,
    /// The short name.
    pub called: String,
}

/// As for [`Slate`].
impl std::fmt::Debug for SlateStudent {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "SlateStudent({})", self.student)
    }
}

/// What the headcount has of a row: what stands in its first two boxes already.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SlateCounted {
    /// Did not come.
    pub absent: bool,
    /// When they went in last.
    pub down: Option<DateTime<FixedOffset>>,
    /// When they came out after that.
    pub up: Option<DateTime<FixedOffset>>,
}

impl SlateCounted {
    fn of(course: &CourseStanding, session: SessionId, student: StudentId) -> Self {
        let who = Who::Student(student);
        let holds = course.headcount(&session).remove(&who);
        let absent = holds.is_some_and(|one| {
            matches!(&one.entry.body, Body::Attendance(said) if said.passage == Passage::Absent)
        });
        let last = course.times_in_water(&session, &who).pop();
        Self {
            absent,
            down: last.map(|(down, _)| down),
            up: last.and_then(|(_, up)| up),
        }
    }
}

/// A slate that was printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct PrintedSlate {
    /// Its number.
    pub number: SlateNumber,
    /// When.
    pub at: DateTime<FixedOffset>,
}

/// The short number at the head of a printed slate: four signs that no pencil confuses.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SlateNumber([u8; 4]);

/// Figures and letters without those that look like another: no nought, one, vowel or S.
const SIGNS: &[u8; 24] = b"23456789BCDFGHJKLMNPQRTW";

impl SlateNumber {
    /// A number out of chance.
    pub(crate) fn drawn(chance: &[u8; 32]) -> Self {
        let mut signs = [b'2'; 4];
        for (sign, byte) in signs.iter_mut().zip(chance) {
            let place = usize::from(*byte) % SIGNS.len();
            *sign = SIGNS.get(place).copied().unwrap_or(b'2');
        }
        Self(signs)
    }
}

impl std::fmt::Display for SlateNumber {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0
            .iter()
            .try_for_each(|sign| write!(f, "{}", char::from(*sign)))
    }
}

impl std::str::FromStr for SlateNumber {
    type Err = crate::course::BadId;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let upper = text.trim().to_ascii_uppercase();
        let signs: [u8; 4] = upper
            .as_bytes()
            .try_into()
            .map_err(|_| crate::course::BadId { what: "slate" })?;
        if signs.iter().all(|sign| SIGNS.contains(sign)) {
            Ok(Self(signs))
        } else {
            Err(crate::course::BadId { what: "slate" })
        }
    }
}

/// A column.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SlateSkill {
    /// Which skill.
    pub skill: SkillId,
    /// Its name.
    pub name: String,
    /// Briefing cues, in the order they are said.
    pub cues: Vec<String>,
    /// What can hurt.
    pub caution: Option<String>,
}

/// What a box asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum SlateBox {
    /// To be judged.
    Wanted,
    /// Met already; a try may be marked all the same.
    Done,
    /// Not asked of this student.
    NotAsked,
}

/// A number of people.
fn counted(people: usize) -> u32 {
    u32::try_from(people).unwrap_or(u32::MAX)
}

/// Who is planned to watch over how many, and what the rules allow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(
    feature = "border",
    derive(uniffi::Record),
    uniffi(name = "SlateSupervision")
)]
pub struct Supervision {
    /// Students in the plan, and of other courses in the same water with the same staff.
    pub students: u32,
    /// Instructors, counted alike.
    pub instructors: u32,
    /// Assistants, counted alike.
    pub assistants: u32,
    /// Somebody's age is not known, and a rule asks for it: then there is none either.
    pub age_unknown: bool,
    /// The ceiling before reductions for the day's conditions; `None` while no person has
    /// confirmed a rule for this setting: then there is no ratio to go by.
    pub ceiling: Option<u32>,
}

impl Supervision {
    /// Of a planned session, with whom other courses bring into its water.
    pub fn of(source: &Source<'_>, session: &SessionId, now: &SessionNow) -> Self {
        let plan = &now.plan;
        let roles = source.course.staff();
        let count = |role: Role| {
            plan.staff
                .iter()
                .filter(|staff| roles.get(staff) == Some(&role))
                .count()
        };
        let beside = source.water.and_then(|water| water.get(session));
        let more = |of: fn(&Alongside) -> usize| beside.map_or(0, of);
        let instructors = count(Role::Instructor) + more(|one| one.instructors);
        let assistants = count(Role::Assistant) + more(|one| one.assistants);
        let own = plan.students.iter().map(|id| source.age(id));
        let others = beside.into_iter().flat_map(|one| one.ages.iter().copied());
        let ages: Vec<AgeKnown> = own.chain(others).collect();
        let of = RatioOf {
            setting: plan.setting,
            on: plan.starts.date_naive(),
            students: &ages,
            instructors,
            assistants,
        };
        // Only a confirmed rule gives a number to go by.
        let view = ratio(source.course, of, Vec::new());
        let age_unknown = view
            .as_ref()
            .is_some_and(|view| view.limit == Limit::Unknown);
        let ceiling = view
            .filter(|view| {
                !matches!(
                    view.limit,
                    Limit::NoRule | Limit::Unconfirmed | Limit::Unknown
                )
            })
            .and_then(|view| view.ceiling);
        Self {
            students: counted(ages.len()),
            instructors: counted(instructors),
            assistants: counted(assistants),
            age_unknown,
            ceiling,
        }
    }

    /// Whether more students are planned than the ceiling allows.
    pub fn is_over(&self) -> bool {
        self.ceiling.is_some_and(|ceiling| self.students > ceiling)
    }
}

impl Slate {
    /// The slate of a session; `None` while no plan of it stands.
    pub fn of(source: &Source<'_>, session: SessionId, language: Language) -> Option<Self> {
        let words = language.words();
        let now = source.course.sessions().get(&session)?;
        let plan = &now.plan;
        let roster = source.roster(&plan.students, words).into_iter();
        let students: Vec<SlateStudent> = roster
            .map(|(student, called)| SlateStudent { student, called })
            .collect();
        let skills: Vec<SlateSkill> = plan
            .run_list
            .iter()
            .filter_map(|id| source.course.outline()?.skill(id))
            .map(|skill| SlateSkill {
                skill: skill.id.clone(),
                name: skill.name.clone(),
                cues: skill.cues.clone(),
                caution: skill.caution.clone(),
            })
            .collect();
        let boxes = students
            .iter()
            .flat_map(|row| skills.iter().map(move |skill| (row.student, skill)))
            .map(|(student, skill)| {
                match source.course.cells().get(&(student, skill.skill.clone())) {
                    Some(cell) if cell.state == CellState::Exempt => SlateBox::NotAsked,
                    Some(cell) if cell.state == CellState::Met && !cell.slipped_since => {
                        SlateBox::Done
                    }
                    Some(_) | None => SlateBox::Wanted,
                }
            })
            .collect();
        let site = source.shop.site_named(&plan.site);
        let emergency = site.and_then(|(site, _)| source.shop.emergency(&site));
        let lacks = before_site(source.shop, source.course, plan);
        let contacts = students.iter().map(|row| {
            let details = source.names.details(&row.student);
            let whom = details.and_then(|details| details.emergency);
            whom.map_or_else(String::new, |whom| format!("{}, {}", whom.name, whom.reach))
        });
        let counted = students
            .iter()
            .map(|row| SlateCounted::of(source.course, session, row.student))
            .collect();
        Some(Self {
            emergency: emergency.map(|(_, plan)| plan.clone()),
            emergency_lacks: lacks.iter().map(|one| words.site_missing(one)).collect(),
            contacts: contacts.collect(),
            teams: TeamLines::kept(source, &session, words).lines(words),
            counted,
            session,
            title: plan.title.clone(),
            site: plan.site.clone(),
            starts: plan.starts,
            setting: plan.setting,
            supervision: Supervision::of(source, &session, now),
            students,
            skills,
            boxes,
            number: None,
            printed: Vec::new(),
        })
    }

    /// The box of a row and a column.
    pub fn at(&self, student: usize, skill: usize) -> Option<SlateBox> {
        if skill >= self.skills.len() {
            return None;
        }
        self.boxes.get(student * self.skills.len() + skill).copied()
    }
}
