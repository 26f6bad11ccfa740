//! A photograph or a sound that is kept beside the entries, and what a person says of it later.
//! The entry names the bytes by their digest, so its signature holds for them too; they lie
//! beside the ledger, and come after everything else. No mark is ever made from them by a
//! machine, and none rests on them.

use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

use super::bounds::{self, NOTE};
use super::rules::{Asked, Rule, each};
use super::{Kind, Refusal, Sha256Hex};
use crate::course::{EntryId, Media, SessionId, StudentId};

/// The bytes of a photograph or a sound, by what is known of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct KeptFile {
    /// SHA-256 of them.
    pub sha256: Sha256Hex,
    /// How many they are: 1 to [`Media::most_bytes`].
    pub bytes: u32,
    /// Of what kind.
    pub media: Media,
}

impl KeptFile {
    /// What names these bytes; `None` for more than any file has.
    pub fn of(media: Media, bytes: &[u8]) -> Option<Self> {
        Some(Self {
            sha256: Sha256Hex::of(bytes),
            bytes: u32::try_from(bytes.len()).ok()?,
            media,
        })
    }

    /// Whether these are the bytes that it names.
    pub fn is(&self, bytes: &[u8]) -> bool {
        u32::try_from(bytes.len()) == Ok(self.bytes) && Sha256Hex::of(bytes) == self.sha256
    }
}

impl Sha256Hex {
    /// The digest of bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }
}

/// A photograph or a sound is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Attachment {
    /// Its bytes.
    pub file: KeptFile,
    /// Of which session.
    pub session: SessionId,
    /// Of whom; nobody by name for one of the whole session, such as its slate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub student: Option<StudentId>,
    /// The number at the head of the slate that it shows, 1 to 16 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slate: Option<String>,
}

/// What a person says of a photograph, or heard in a sound. A later one holds in its place.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct AttachmentText {
    /// Of which [`Attachment`].
    pub attachment: EntryId,
    /// A caption; of a sound its words, as a person wrote them down. 1 to 4,000 characters.
    pub text: String,
}

/// Written by hand so that nothing said about a student can reach a log through `{:?}`.
impl std::fmt::Debug for AttachmentText {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "AttachmentText({}, ..)", self.attachment)
    }
}

impl Rule for Attachment {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        // Of a cancelled session too: its slate may have been written all the same.
        at.session(&self.session)?;
        each(&self.student, |id| at.student(id))?;
        bounds::attachment(self)
    }
}

impl Rule for AttachmentText {
    fn may_be_recorded(&self, at: &Asked<'_>) -> Result<(), Refusal> {
        bounds::text("text", &self.text, NOTE)?;
        at.entry(&self.attachment, Kind::Attachment, "attachment")
    }
}
