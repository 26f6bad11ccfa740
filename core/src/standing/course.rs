//! Course standing: what all entries of a course come to, kept up entry by entry.
//!
//! Entries are filed under what they are about; each answer is worked out from its own
//! file alone. So one more entry costs one cell, and working everything out again gives
//! the same.

mod asked;
mod events;
mod kept;
mod kit;
mod own;
mod teams;

use std::collections::{BTreeMap, BTreeSet};

use super::cell::{Cell, MarkFact, MarkKind, Parts};
use super::files::{Files, session_of};
use super::tally::{Counted, Tally};
use crate::course::starter::{self, Tongue};
use crate::course::{
    CourseId, EntryId, Outline, Policy, PolicyRule, Role, RuleId, SessionId, SessionPlan, Skill,
    SkillId, StaffId, StudentId,
};
use crate::entry::{Body, InRecord, Kind, RuleText};
use crate::trust::{Line, Verdict};

pub use teams::{Said as TeamsSaid, TeamsNow};

/// What one more entry touched, for those who draw.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Touched {
    /// Cells to draw anew.
    pub cells: BTreeSet<(StudentId, SkillId)>,
    /// Whether anything beside cells changed: students, sessions, outline, papers.
    pub wider: bool,
}

/// A session as it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SessionNow {
    /// The plan, with its latest time and place.
    pub plan: SessionPlan,
    /// The entry that holds.
    pub entry: EntryId,
    /// Why it was cancelled, if it was.
    pub cancelled: Option<String>,
    /// How often it was planned, moved or cancelled: an iCalendar SEQUENCE.
    pub changes: u32,
}

/// A policy in force, with who confirmed which rule.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PolicyNow {
    /// The entry that set it.
    pub entry: EntryId,
    /// The policy.
    pub policy: Policy,
    /// Each rule that somebody confirmed.
    pub confirmed: BTreeMap<RuleId, RuleHeld>,
}

/// How a rule came to hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleHeld {
    /// Who confirmed it.
    pub by: StaffId,
    /// On which day of the writer's calendar.
    pub on: chrono::NaiveDate,
    /// Which text was read.
    pub read: RuleText,
}

/// What all entries of a course come to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CourseStanding {
    id: CourseId,
    tally: Tally,
    files: Files,
    outline: Option<(EntryId, Outline)>,
    /// In which language it is read, where somebody reads it.
    tongue: Option<Tongue>,
    /// The outline as it reads there, where it is written in another.
    spoken: Option<Outline>,
    policy: Option<PolicyNow>,
    sessions: BTreeMap<SessionId, SessionNow>,
    cells: BTreeMap<(StudentId, SkillId), Cell>,
}

impl CourseStanding {
    /// A course of which nothing is known yet.
    pub fn new(id: CourseId) -> Self {
        Self {
            id,
            tally: Tally::default(),
            files: Files::default(),
            outline: None,
            tongue: None,
            spoken: None,
            policy: None,
            sessions: BTreeMap::new(),
            cells: BTreeMap::new(),
        }
    }

    /// Works everything out from all lines at once.
    pub fn read<'a>(
        id: CourseId,
        lines: impl IntoIterator<Item = (EntryId, &'a Line, Verdict)>,
    ) -> Self {
        let mut standing = Self::new(id);
        for (entry, line, verdict) in lines {
            standing.file(entry, line, verdict);
        }
        standing.work_out_all();
        standing
    }

    /// Takes one more line and works out what it touches.
    pub fn take(&mut self, id: EntryId, line: &Line, verdict: Verdict) -> Touched {
        self.take_all([(id, line, verdict)])
    }

    /// Takes more lines and works out what they touch: each cell once, however many of them
    /// are about it.
    pub fn take_all<'a>(
        &mut self,
        lines: impl IntoIterator<Item = (EntryId, &'a Line, Verdict)>,
    ) -> Touched {
        let mut touched = Touched::default();
        let (mut governed, mut sessions) = (false, false);
        let mut enrolments = Vec::new();
        for (id, line, verdict) in lines {
            let Some((kind, by_this)) = self.file(id, line, verdict) else {
                touched.wider = true;
                continue;
            };
            touched.cells.extend(by_this.cells);
            touched.wider |= by_this.wider;
            governed |= self.governs_cells(kind);
            sessions |= kind.in_record() == InRecord::WithSession;
            if kind == Kind::Enrolment {
                touched.wider = true;
                enrolments.push(id);
            }
        }
        if governed {
            let before = std::mem::take(&mut self.cells);
            self.work_out_all();
            let cells = self
                .cells
                .keys()
                .filter(|key| self.cells.get(key) != before.get(key));
            touched.cells.extend(cells.cloned());
            touched.wider = true;
            return touched;
        }
        if sessions {
            self.work_out_sessions();
        }
        // One person's row, and nobody else's: a roster of thousands would otherwise work out
        // every row anew for each of its lines.
        let students: BTreeSet<StudentId> = enrolments
            .iter()
            .filter_map(|id| self.enrolled_by(id))
            .collect();
        for key in &touched.cells {
            self.work_out_cell(key);
        }
        for student in students {
            touched.cells.extend(self.work_out_student(&student));
        }
        touched
    }

    /// Kinds on which every cell depends.
    const fn governs_cells(&self, kind: Kind) -> bool {
        matches!(
            kind,
            Kind::OutlineSet | Kind::PolicySet | Kind::PolicyConfirmed
        )
    }

    /// Files the line; answers the kind it is about in the end, and what it touches.
    fn file(&mut self, id: EntryId, line: &Line, verdict: Verdict) -> Option<(Kind, Touched)> {
        let counted = self.tally.take(id, line, verdict)?.clone();
        self.files.add(&counted);
        // A withdrawal touches what its target touches. It may have come before its target,
        // which then brings it in by being evaluated.
        let about = self.tally.target(&id)?.clone();
        let kind = about.entry.body.kind();
        let mut touched = Touched::default();
        if let Body::Attempt(b) = &about.entry.body {
            touched.cells.insert((b.student, b.skill.clone()));
        } else if let Body::Resolution(b) = &about.entry.body {
            touched.cells.insert((b.student, b.skill.clone()));
        } else if let Body::Exemption(b) = &about.entry.body {
            touched.cells.insert((b.student, b.skill.clone()));
            touched.wider = true;
        } else if let Body::Confirmation(b) = &about.entry.body {
            for attempt in &b.attempts {
                if let Some(Body::Attempt(a)) = self.tally.get(attempt).map(|c| &c.entry.body) {
                    touched.cells.insert((a.student, a.skill.clone()));
                }
            }
        } else {
            touched.wider = true;
            if let Some(session) = session_of(&about.entry.body)
                && let Some(cells) = self.files.session_marks.get(&session)
            {
                touched.cells.extend(cells.iter().cloned());
            }
        }
        Some((kind, touched))
    }

    fn work_out_all(&mut self) {
        self.outline = self.latest_of(Kind::OutlineSet).and_then(|one| {
            if let Body::OutlineSet(set) = &one.entry.body {
                Some((one.entry.id, set.outline.clone()))
            } else {
                None
            }
        });
        self.speak(self.tongue);
        self.work_out_policy();
        self.work_out_sessions();
        let mut keys: BTreeSet<(StudentId, SkillId)> = self.files.cells.keys().cloned().collect();
        if let Some((_, outline)) = &self.outline {
            for student in self.students() {
                keys.extend(
                    outline
                        .skills
                        .iter()
                        .map(|skill| (student, skill.id.clone())),
                );
            }
        }
        self.cells.clear();
        for key in &keys {
            self.work_out_cell(key);
        }
    }

    /// Whom an entry enrols, or whose enrolment it withdraws or brings back.
    fn enrolled_by(&self, id: &EntryId) -> Option<StudentId> {
        if let Body::Enrolment(enrolment) = &self.tally.target(id)?.entry.body {
            Some(enrolment.student)
        } else {
            None
        }
    }

    /// Works out one student's row; answers the cells that stand differently now. Of somebody
    /// who is not enrolled only what was marked stays.
    fn work_out_student(&mut self, student: &StudentId) -> Vec<(StudentId, SkillId)> {
        let enrolled = self.has_student(student);
        let skills = self.outline.iter().flat_map(|(_, outline)| &outline.skills);
        let keys: Vec<(StudentId, SkillId)> =
            skills.map(|skill| (*student, skill.id.clone())).collect();
        let mut changed = Vec::new();
        for key in keys {
            let before = self.cells.get(&key).cloned();
            if enrolled || self.files.cells.contains_key(&key) {
                self.work_out_cell(&key);
            } else {
                self.cells.remove(&key);
            }
            if self.cells.get(&key) != before.as_ref() {
                changed.push(key);
            }
        }
        changed
    }

    fn latest_of(&self, kind: Kind) -> Option<&Counted> {
        self.tally.latest_one(self.files.kinds.get(&kind)?, |_| ())
    }

    fn work_out_policy(&mut self) {
        self.policy = self.latest_of(Kind::PolicySet).and_then(|one| {
            if let Body::PolicySet(set) = &one.entry.body {
                Some(PolicyNow::of(
                    one.entry.id,
                    set,
                    &self.tally,
                    self.of_kind(Kind::PolicyConfirmed),
                ))
            } else {
                None
            }
        });
    }

    fn work_out_sessions(&mut self) {
        self.sessions = self
            .files
            .sessions
            .iter()
            .filter_map(|(id, entries)| Some((*id, SessionNow::of(&self.tally, entries)?)))
            .collect();
    }

    fn work_out_cell(&mut self, key: &(StudentId, SkillId)) {
        let skill = self
            .outline
            .as_ref()
            .and_then(|(_, outline)| outline.skill(&key.1));
        let Some(skill) = skill else {
            self.cells.remove(key);
            return;
        };
        let (marks, exempt) = self.marks(skill, key);
        let cell = Cell::from(skill, &marks, exempt);
        self.cells.insert(key.clone(), cell);
    }

    /// The standing marks of a cell, and whether the student is exempt from it.
    fn marks(&self, skill: &Skill, key: &(StudentId, SkillId)) -> (Vec<MarkFact>, bool) {
        let mut marks = Vec::new();
        let mut exempt = false;
        for id in self.files.cells.get(key).into_iter().flatten() {
            let Some(counted) = self.tally.standing(id) else {
                continue;
            };
            if counted.entry.body.kind() == Kind::Exemption {
                exempt = true;
            } else {
                marks.extend(self.mark(skill, counted, &counted.entry.body));
            }
        }
        (marks, exempt)
    }

    /// How far each part of what a skill demands is met; `None` for a skill that the
    /// outline does not have.
    pub fn parts(&self, key: &(StudentId, SkillId)) -> Option<Parts> {
        let skill = self.outline()?.skill(&key.1)?;
        Some(Parts::from(skill, &self.marks(skill, key).0))
    }

    /// Of the marks of a cell that were seen, those that differ and that nobody had settled:
    /// a try leaves them so.
    pub fn differing(&self, key: &(StudentId, SkillId), seen: &BTreeSet<EntryId>) -> Vec<EntryId> {
        let Some(skill) = self.outline().and_then(|outline| outline.skill(&key.1)) else {
            return Vec::new();
        };
        let (marks, _) = self.marks(skill, key);
        let tried: Vec<&MarkFact> = marks
            .iter()
            .filter(|one| one.mark != crate::entry::Mark::SatOut)
            .collect();
        super::answer::differing_among(&tried, seen)
    }

    /// How a student stands to a skill that is asked for otherwise than the outline has it.
    pub fn cell_under(&self, student: &StudentId, skill: &Skill) -> Cell {
        let (marks, exempt) = self.marks(skill, &(*student, skill.id.clone()));
        Cell::from(skill, &marks, exempt)
    }

    fn mark(&self, skill: &Skill, counted: &Counted, body: &Body) -> Option<MarkFact> {
        let (mark, kind) = if let Body::Attempt(attempt) = body {
            let setting = attempt
                .session
                .and_then(|id| self.sessions.get(&id))
                .map(|session| session.plan.setting);
            let by_instructor = counted.writer.role == Role::Instructor;
            let stands = by_instructor
                || self.assistants_judge(&skill.id)
                || self.confirmation_of(&counted.entry.id).is_some();
            let (method, session) = (attempt.method.clone(), attempt.session);
            (
                attempt.mark,
                MarkKind::Attempt {
                    method,
                    session,
                    setting,
                    stands,
                    by_instructor,
                },
            )
        } else if let Body::Resolution(resolution) = body {
            (resolution.mark, MarkKind::Resolution)
        } else {
            return None;
        };
        let entry = &counted.entry;
        Some(MarkFact {
            id: entry.id,
            by: entry.by,
            mark,
            after: entry.after.clone(),
            kind,
        })
    }

    /// The confirmation that stands behind an attempt, if one does.
    pub fn confirmation_of(&self, attempt: &EntryId) -> Option<&Counted> {
        self.tally.confirmed_by(attempt)
    }

    /// Whether the policy lets assistants judge this skill, and a person confirmed that rule.
    fn assistants_judge(&self, skill: &SkillId) -> bool {
        use crate::course::Rule;
        self.policy.as_ref().is_some_and(|policy| {
            policy.policy.rules.iter().any(|rule| {
                matches!(&rule.rule, Rule::AssistantJudges { skills } if skills.contains(skill))
                    && policy.confirmed.contains_key(&rule.id)
            })
        })
    }

    /// Which course.
    pub const fn id(&self) -> &CourseId {
        &self.id
    }

    /// The entries themselves.
    pub const fn tally(&self) -> &Tally {
        &self.tally
    }

    /// The outline in force.
    pub fn outline(&self) -> Option<&Outline> {
        self.outline.as_ref().map(|(_, outline)| outline)
    }

    /// The outline in force as it is read here: what is the starter's own in the reader's
    /// language, everything else, and where nobody said a language, as it is written.
    pub fn spoken_outline(&self) -> Option<&Outline> {
        self.spoken.as_ref().or(self.outline())
    }

    /// A skill of the outline in force as it is read here; `None` where the outline does not
    /// have it.
    pub fn spoken_skill(&self, id: &SkillId) -> Option<&Skill> {
        self.spoken_outline()?.skill(id)
    }

    /// In which language the outline is read here, if somebody said.
    pub const fn tongue(&self) -> Option<Tongue> {
        self.tongue
    }

    /// Has the outline read in this language from now on, or as it is written.
    pub fn speak(&mut self, tongue: Option<Tongue>) {
        self.tongue = tongue;
        let outline = self.outline.as_ref().map(|(_, outline)| outline);
        self.spoken = outline.and_then(|outline| starter::spoken(outline, tongue?));
    }

    /// The entry that set the outline in force.
    pub fn outline_entry(&self) -> Option<EntryId> {
        self.outline.as_ref().map(|(entry, _)| *entry)
    }

    /// The policy in force.
    pub const fn policy(&self) -> Option<&PolicyNow> {
        self.policy.as_ref()
    }

    /// The rules of the policy in force; none without one.
    pub fn rules(&self) -> impl Iterator<Item = &PolicyRule> {
        let policy = self.policy.as_ref().into_iter();
        policy.flat_map(|now| &now.policy.rules)
    }

    /// Every session, cancelled ones too.
    pub const fn sessions(&self) -> &BTreeMap<SessionId, SessionNow> {
        &self.sessions
    }

    /// Every cell of the board.
    pub const fn cells(&self) -> &BTreeMap<(StudentId, SkillId), Cell> {
        &self.cells
    }
}
