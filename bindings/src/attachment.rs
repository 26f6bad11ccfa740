//! Attachments: photographs and sounds that are kept with a session.

use tallywater_core::course::CourseId;
use tallywater_core::{course, desk};

use crate::cross::{Asked as _, Shown, mirror};
use crate::{AttachmentsView, Fault, Receipt, Tallywater};

mirror! {
    /// What a photograph or a sound is of: a session, or one student in it.
    asked record AttachmentOf = desk::AttachmentOf {
        course: String,
        session: String,
        student: Option<String>,
        slate: Option<String>,
    }
}

/// The bytes of a photograph or a sound, as far as they are here.
#[derive(Clone, PartialEq, uniffi::Enum)]
pub enum FileHere {
    /// All of them; they give their digest.
    Whole {
        /// The file as it is kept.
        bytes: Vec<u8>,
    },
    /// They do not give their digest any more, and are fetched again.
    Hurt,
    /// They have not all come yet.
    OnItsWay {
        /// So many have.
        have: u32,
    },
    /// They are not kept.
    Gone,
}

/// Written by hand: what is seen on a photograph is nothing for a log.
impl std::fmt::Debug for FileHere {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("FileHere(..)")
    }
}

impl Shown<FileHere> for desk::FileHere {
    fn shown(self) -> FileHere {
        match self {
            Self::Whole(bytes) => FileHere::Whole { bytes },
            Self::Hurt => FileHere::Hurt,
            Self::OnItsWay { have } => FileHere::OnItsWay { have },
            Self::Gone => FileHere::Gone,
        }
    }
}

/// The longest sound that is kept, in bytes.
#[uniffi::export]
pub fn most_sound_bytes() -> u32 {
    course::MOST_SOUND
}

#[uniffi::export]
impl Tallywater {
    /// Keeps a photograph (JPEG, PNG; at most 8 MB) or a sound (Ogg, WAV, MP4; at most 16 MB).
    /// What tells where and with what it was taken is left out first.
    pub fn keep_attachment(&self, of: AttachmentOf, bytes: Vec<u8>) -> Result<Receipt, Fault> {
        let recorded = self.desk.keep_attachment(of.asked()?, &bytes)?;
        Ok(self.receipt(recorded))
    }

    /// The photographs and sounds of a session, in the order in which they were kept.
    pub fn attachments(&self, course: String, session: String) -> Result<AttachmentsView, Fault> {
        let (course_id, id) = (course.asked()?, session.clone().asked()?);
        let found = self.desk.attachments(&course_id, &id, self.units())?;
        found.ok_or_else(|| Fault::not_found("session", &session))
    }

    /// The bytes of a photograph or a sound, checked against their digest.
    pub fn attachment_bytes(&self, course: String, attachment: String) -> Result<FileHere, Fault> {
        let course: CourseId = course.asked()?;
        let found = self.desk.attachment_bytes(&course, &attachment.asked()?);
        Ok(found?.shown())
    }
}
