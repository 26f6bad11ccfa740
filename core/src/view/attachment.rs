//! Attachments: the photographs and sounds of a session, to be shown beside what is typed in
//! from its slate.

use std::collections::BTreeMap;

use super::{Leave, Moment, Reader, StaffName, StudentName};
use crate::course::{CourseId, EntryId, SessionId};
use crate::entry::{Attachment, KeptFile, Kind};
use crate::standing::{Counted, CourseStanding};

/// The photographs and sounds of a session.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct AttachmentsView {
    /// Of which course.
    pub course: CourseId,
    /// Of which session.
    pub session: SessionId,
    /// Its title.
    pub title: String,
    /// Each of them, in the order in which they were kept.
    pub rows: Vec<AttachmentRow>,
    /// Whether the reader may keep one.
    pub may_keep: Leave,
    /// Whether the reader may say something of one.
    pub may_say: Leave,
}

/// A photograph or a sound.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct AttachmentRow {
    /// The entry that keeps it.
    pub entry: EntryId,
    /// Its bytes: digest, length in bytes, kind.
    pub file: KeptFile,
    /// Of whom, where it is of one.
    pub student: Option<StudentName>,
    /// The number of the slate that it shows.
    pub slate: Option<String>,
    /// Who kept it.
    pub by: StaffName,
    /// When.
    pub at: Moment,
    /// What a person last said of it.
    pub text: Option<AttachmentSaid>,
    /// How much of it is on this device.
    pub here: AttachmentHere,
    /// Whether the reader may withdraw it.
    pub may_withdraw: Leave,
}

/// What a person said of a photograph, or heard in a sound.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct AttachmentSaid {
    /// The words.
    pub text: String,
    /// Whose.
    pub by: StaffName,
    /// When.
    pub at: Moment,
}

/// Written by hand so that nothing said about a student can reach a log through `{:?}`.
impl std::fmt::Debug for AttachmentSaid {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("AttachmentSaid(..)")
    }
}

/// How much of a photograph or a sound is on this device.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum AttachmentHere {
    /// All of it.
    Whole,
    /// Not all of it yet: it comes after everything else.
    OnItsWay {
        /// So many bytes.
        have: u32,
    },
    /// All of it was, and it is not what it was any more: it is fetched again.
    Hurt,
    /// It came, and is not of the kind that its entry says.
    Refused,
    /// It shows somebody who was forgotten, and is not kept any more.
    Gone,
}

impl AttachmentsView {
    /// The photographs and sounds of a session; `None` when none of its plans stands. `here` is
    /// how much of each file is on this device; what is not in it is not kept any more.
    pub fn of(
        course: &CourseStanding,
        reader: &Reader<'_>,
        session: &SessionId,
        here: &BTreeMap<KeptFile, AttachmentHere>,
    ) -> Option<Self> {
        let now = course.sessions().get(session)?;
        let texts = course.attachment_texts();
        let row = |(one, attachment): (&Counted, &Attachment)| AttachmentRow {
            entry: one.entry.id,
            file: attachment.file,
            student: attachment.student.map(|id| reader.student(&id)),
            slate: attachment.slate.clone(),
            by: reader.staff(&one.entry.by),
            at: reader.when(one.entry.at),
            text: texts.get(&one.entry.id).map(|(said, text)| AttachmentSaid {
                text: text.text.clone(),
                by: reader.staff(&said.entry.by),
                at: reader.when(said.entry.at),
            }),
            here: here
                .get(&attachment.file)
                .copied()
                .unwrap_or(AttachmentHere::Gone),
            may_withdraw: reader.may_withdraw(course, one),
        };
        let of_it = course.attachments();
        Some(Self {
            course: *course.id(),
            session: *session,
            title: now.plan.title.clone(),
            rows: of_it
                .filter(|(_, attachment)| attachment.session == *session)
                .map(row)
                .collect(),
            may_keep: reader.may_write(Kind::Attachment),
            may_say: reader.may_write(Kind::AttachmentText),
        })
    }
}
