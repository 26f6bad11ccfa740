//! On screen: what was shown of one student and one skill, and what may be done with it.
//!
//! A view hands it out, recording takes it back: so a mark answers just what its writer saw,
//! and no screen decides who may or whether a tap is a try or settles. Opaque on purpose: it
//! cannot be made up outside the core, and another device refuses it.

use super::{Leave, Reader};
use crate::course::{CourseId, EntryId, SkillId, StudentId};
use crate::entry::{Attempt, Confirmation, DeviceKey, Exemption, Mark, Origin, Resolution};
use crate::standing::CourseStanding;

/// What a tap on a mark means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Tap {
    /// One more try was seen.
    Attempt,
    /// Marks that differ, or a slip, are settled.
    Resolution,
}

/// What was on screen of one student and one skill.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OnScreen {
    course: CourseId,
    student: StudentId,
    skill: SkillId,
    device: DeviceKey,
    seen: Vec<EntryId>,
    waiting: Vec<EntryId>,
    tap: Tap,
    mark: Leave,
    settle: Leave,
    confirm: Leave,
    exempt: Leave,
}

impl OnScreen {
    /// Of a cell as it stands; `None` where the outline or the course has no such cell.
    pub fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        student: StudentId,
        skill: &SkillId,
    ) -> Option<Self> {
        let cell = course.cells().get(&(student, skill.clone()))?;
        // Bodies as they would be recorded, with the least a person adds.
        let why = || "-".to_owned();
        let mark = Attempt {
            student,
            skill: skill.clone(),
            method: None,
            mark: Mark::Nearly,
            measured: Vec::new(),
            slips: Vec::new(),
            note: None,
            despite: None,
            session: None,
            origin: Origin::Live,
        };
        let resolution = Resolution {
            student,
            skill: skill.clone(),
            mark: Mark::Met,
            why: why(),
        };
        let exemption = Exemption {
            student,
            skill: skill.clone(),
            why: why(),
            elsewhere: None,
        };
        let confirm = if cell.unconfirmed.is_empty() {
            reader
                .may_write(crate::entry::Kind::Confirmation)
                .where_open(false)
        } else {
            let attempts = cell.unconfirmed.clone();
            reader.may_record(course, Confirmation { attempts })
        };
        let settle = reader.may_record(course, resolution);
        Some(Self {
            course: *course.id(),
            student,
            skill: skill.clone(),
            device: reader.device,
            seen: cell.seen.clone(),
            waiting: cell.unconfirmed.clone(),
            tap: if settle.given() {
                Tap::Resolution
            } else {
                Tap::Attempt
            },
            mark: reader.may_record(course, mark),
            settle,
            confirm,
            exempt: reader.may_record(course, exemption),
        })
    }

    /// The same cell as it was when just these of its marks were on screen or on paper. What
    /// was written on paper is a try, whatever has come since.
    pub(crate) fn seeing(self, seen: Vec<EntryId>) -> Self {
        Self {
            seen,
            tap: Tap::Attempt,
            ..self
        }
    }

    /// Of which course.
    pub const fn course(&self) -> CourseId {
        self.course
    }

    /// Whose.
    pub const fn student(&self) -> StudentId {
        self.student
    }

    /// Which skill.
    pub const fn skill(&self) -> &SkillId {
        &self.skill
    }

    /// On which device.
    pub(crate) const fn device(&self) -> DeviceKey {
        self.device
    }

    /// The marks that were on screen.
    pub(crate) fn seen(&self) -> &[EntryId] {
        &self.seen
    }

    /// The attempts that an instructor may confirm.
    pub fn waiting(&self) -> &[EntryId] {
        &self.waiting
    }

    /// What a tap on a mark means.
    pub const fn tap(&self) -> Tap {
        self.tap
    }

    /// Whether the reader may mark a try.
    pub const fn may_mark(&self) -> Leave {
        self.mark
    }

    /// Whether the reader may settle marks that differ, or a slip.
    pub const fn may_settle(&self) -> Leave {
        self.settle
    }

    /// Whether the reader may confirm what waits.
    pub const fn may_confirm(&self) -> Leave {
        self.confirm
    }

    /// Whether the reader may exempt the student.
    pub const fn may_exempt(&self) -> Leave {
        self.exempt
    }
}
