//! History: everything that was ever said of one cell, withdrawn or not, oldest first.

use super::note::NoteRow;
use super::skill_card::Taken;
use super::{Day, Leave, Moment, Reader, StaffName};
use crate::course::{EntryId, MethodId, Role, SessionId, Setting, Skill, SkillId, StudentId};
use crate::entry::{Body, Confirmation, Entry, Mark, MetElsewhere, Origin};
use crate::standing::{Cell, Counted, CourseStanding};

/// One line of a cell's history.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct HistoryLine {
    /// Its entry.
    pub entry: EntryId,
    /// What kind of line.
    pub what: HistoryKind,
    /// The mark it gives; none for an exemption.
    pub mark: Option<Mark>,
    /// Who.
    pub by: StaffName,
    /// In which role.
    pub role: Role,
    /// On which device.
    pub device: String,
    /// When, by the writing device's clock.
    pub at: Moment,
    /// In which way.
    pub method: Option<MethodId>,
    /// Its name, as the outline in force has it.
    pub method_name: Option<String>,
    /// Figures that were taken.
    pub taken: Vec<Taken>,
    /// Faults that were seen, in the outline's words.
    pub slips: Vec<String>,
    /// The remark, or the reason of a resolution or an exemption.
    pub note: Option<String>,
    /// Where it was met, for an exemption of a course that another school began.
    pub elsewhere: Option<ElsewhereRow>,
    /// Why it counts as met although a figure is below what is asked.
    pub despite: Option<String>,
    /// Remarks that were added later.
    pub remarks: Vec<NoteRow>,
    /// In which session.
    pub session: Option<SessionId>,
    /// Its title.
    pub session_title: Option<String>,
    /// Where that session is held.
    pub setting: Option<Setting>,
    /// The place, in words.
    pub site: Option<String>,
    /// When it was seen, for a mark typed in from a slate.
    pub from_slate: Option<Moment>,
    /// When it was seen, for a mark recorded at the surface from memory.
    pub from_memory: Option<Moment>,
    /// What it counts for.
    pub counts: LineCounts,
    /// Who confirmed it, and when.
    pub confirmed: Option<SaidBy>,
    /// Who withdrew it, when and why.
    pub withdrawn: Option<Withdrawn>,
    /// Whether the reader may withdraw it.
    pub may_withdraw: Leave,
    /// Whether the reader may confirm it.
    pub may_confirm: Leave,
}

/// Who, and when.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SaidBy {
    /// Who.
    pub by: StaffName,
    /// When, by the clock of the place.
    pub at: Moment,
}

impl SaidBy {
    /// Who wrote an entry, and when.
    pub(super) fn of(reader: &Reader<'_>, entry: &Entry) -> Self {
        Self {
            by: reader.staff(&entry.by),
            at: reader.when(entry.at),
        }
    }
}

/// A skill that was met at another school.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct ElsewhereRow {
    /// The school's name.
    pub school: String,
    /// The fingerprint of its course file, which is the proof.
    pub file: String,
    /// Who judged it there; `None` where the file did not say.
    pub by: Option<String>,
    /// When.
    pub on: Option<Day>,
}

impl ElsewhereRow {
    fn of(reader: &Reader<'_>, there: &MetElsewhere) -> Self {
        Self {
            school: there.school.clone(),
            file: there.file.clone(),
            by: there.judged.as_ref().map(|judged| judged.by.clone()),
            on: there.judged.as_ref().map(|judged| reader.day(judged.on)),
        }
    }
}

/// Written by hand so that a remark cannot reach a log through `{:?}`.
impl std::fmt::Debug for HistoryLine {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("HistoryLine")
            .field("entry", &self.entry)
            .field("what", &self.what)
            .field("mark", &self.mark)
            .field("counts", &self.counts)
            .finish_non_exhaustive()
    }
}

/// A withdrawal, as it is shown beside what it took out.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct Withdrawn {
    /// Its entry: withdrawing it brings the line back.
    pub entry: EntryId,
    /// Who.
    pub by: StaffName,
    /// When.
    pub at: Moment,
    /// Why, if that was said.
    pub why: Option<String>,
    /// Whether the reader may bring the line back.
    pub may_bring_back: Leave,
}

/// As for [`HistoryLine`].
impl std::fmt::Debug for Withdrawn {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Withdrawn({})", self.entry)
    }
}

/// What kind of line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum HistoryKind {
    /// A try.
    Attempt,
    /// An instructor's word.
    Resolution,
    /// The skill is not asked for.
    Exemption,
}

/// What a line counts for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum LineCounts {
    /// It counts.
    Counts,
    /// An assistant's met mark that waits for an instructor.
    Waits,
    /// A resolution set it aside: the count began anew.
    SetAside,
    /// It was withdrawn.
    Withdrawn,
}

/// The history of a cell, oldest first.
pub(super) fn history(
    course: &CourseStanding,
    reader: &Reader<'_>,
    student: &StudentId,
    skill: &SkillId,
) -> Vec<HistoryLine> {
    let key = (*student, skill.clone());
    let known = course.spoken_skill(skill);
    let cell = course.cells().get(&key);
    let entries: Vec<&Counted> = course.cell_entries(&key).collect();
    let aside: Vec<EntryId> = entries
        .iter()
        .filter(|one| course.tally().counts(&one.entry.id))
        .filter(|one| {
            matches!(&one.entry.body, Body::Resolution(resolution) if resolution.mark != Mark::Met)
        })
        .flat_map(|one| one.entry.after.iter().copied())
        .collect();
    let mut lines: Vec<HistoryLine> = entries
        .iter()
        .map(|one| {
            let set_aside = aside.contains(&one.entry.id);
            HistoryLine::of(course, reader, known, cell, one, set_aside)
        })
        .collect();
    lines.sort_by_key(|line| (line.at.at, line.entry));
    lines
}

impl HistoryLine {
    fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        skill: Option<&Skill>,
        cell: Option<&Cell>,
        one: &Counted,
        set_aside: bool,
    ) -> Self {
        let id = one.entry.id;
        let said = Said::of(&one.entry.body);
        let session = said
            .session
            .and_then(|id| Some(&course.sessions().get(&id)?.plan));
        let withdrawn = Withdrawn::of(course, reader, &id);
        let waits = cell.is_some_and(|cell| cell.unconfirmed.contains(&id));
        let counts = if withdrawn.is_some() {
            LineCounts::Withdrawn
        } else if set_aside {
            LineCounts::SetAside
        } else if waits {
            LineCounts::Waits
        } else {
            LineCounts::Counts
        };
        let slips = said.slips.iter().map(|slip| {
            let known = skill.and_then(|skill| skill.slips.iter().find(|one| &one.id == slip));
            known.map_or_else(|| slip.to_string(), |known| known.fault.clone())
        });
        let taken = said.measured.iter();
        Self {
            entry: id,
            what: said.what,
            mark: super::cell::mark_of(&one.entry.body),
            by: reader.staff(&one.entry.by),
            role: one.writer.role,
            device: reader.device(one),
            at: reader.when(one.entry.at),
            method: said.method.cloned(),
            method_name: said.method.map(|id| method_name(skill, id)),
            taken: taken
                .map(|measured| Taken::of(*measured, skill, reader.units))
                .collect(),
            slips: slips.collect(),
            note: said.note.cloned(),
            elsewhere: said.elsewhere.map(|there| ElsewhereRow::of(reader, there)),
            despite: said.despite.cloned(),
            remarks: super::note::remarks_on(course, reader, &id),
            session: said.session,
            session_title: session.map(|plan| plan.title.clone()),
            setting: session.map(|plan| plan.setting),
            site: session.map(|plan| plan.site.clone()),
            from_slate: match said.origin {
                Origin::Live | Origin::Memory { .. } => None,
                Origin::Slate { seen } => Some(reader.when(seen)),
            },
            from_memory: match said.origin {
                Origin::Live | Origin::Slate { .. } => None,
                Origin::Memory { seen } => Some(reader.when(seen)),
            },
            counts,
            confirmed: course
                .confirmation_of(&id)
                .map(|one| SaidBy::of(reader, &one.entry)),
            withdrawn,
            may_withdraw: reader.may_withdraw(course, one),
            may_confirm: reader.may_record(course, Confirmation { attempts: vec![id] }),
        }
    }
}

impl Withdrawn {
    /// The withdrawal that takes an entry out, if one does.
    pub(super) fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        entry: &EntryId,
    ) -> Option<Self> {
        let by = course.tally().get(&course.tally().withdrawn_by(entry)?)?;
        let why = if let Body::Withdrawal(withdrawal) = &by.entry.body {
            withdrawal.why.clone()
        } else {
            None
        };
        Some(Self {
            entry: by.entry.id,
            by: reader.staff(&by.entry.by),
            at: reader.when(by.entry.at),
            why,
            may_bring_back: reader.may_withdraw(course, by),
        })
    }
}

fn method_name(skill: Option<&Skill>, id: &MethodId) -> String {
    skill
        .and_then(|skill| skill.methods.iter().find(|method| &method.id == id))
        .map_or_else(|| id.to_string(), |method| method.name.clone())
}

/// What the three kinds of line say, side by side.
struct Said<'a> {
    what: HistoryKind,
    method: Option<&'a MethodId>,
    measured: &'a [crate::entry::Measured],
    slips: &'a [crate::course::SlipId],
    note: Option<&'a String>,
    elsewhere: Option<&'a MetElsewhere>,
    despite: Option<&'a String>,
    session: Option<SessionId>,
    origin: Origin,
}

impl<'a> Said<'a> {
    fn of(body: &'a Body) -> Self {
        let mut said = Self {
            what: HistoryKind::Exemption,
            method: None,
            measured: &[],
            slips: &[],
            note: None,
            elsewhere: None,
            despite: None,
            session: None,
            origin: Origin::Live,
        };
        if let Body::Attempt(attempt) = body {
            said.what = HistoryKind::Attempt;
            said.method = attempt.method.as_ref();
            said.measured = attempt.measured.as_slice();
            said.slips = attempt.slips.as_slice();
            said.note = attempt.note.as_ref();
            said.despite = attempt.despite.as_ref();
            said.session = attempt.session;
            said.origin = attempt.origin;
        } else if let Body::Resolution(resolution) = body {
            said.what = HistoryKind::Resolution;
            said.note = Some(&resolution.why);
        } else if let Body::Exemption(exemption) = body {
            said.note = Some(&exemption.why).filter(|why| !why.is_empty());
            said.elsewhere = exemption.elsewhere.as_ref();
        }
        said
    }
}
