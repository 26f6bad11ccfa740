//! Kept: photographs and sounds beside the entries. The entry names the bytes by their digest;
//! the bytes lie once in the store, come over the link after everything else, and go when nobody
//! may see them any more.

use std::collections::{BTreeMap, BTreeSet};

use super::shelf::{OpenCourse, Shelf};
use super::{Change, Desk, DeskError, Drafts, Recorded};
use crate::course::{CourseId, EntryId, LedgerId, SessionId, StudentId};
use crate::entry::{Attachment, KeptFile, Refusal};
use crate::media::cleaned;
use crate::paper::bundle::BundleFile;
use crate::store::{FileState, NamedFile};
use crate::sync::FILE_PIECE_BYTES;
use crate::view::{AttachmentHere, AttachmentsView, Units};

/// How many people had been forgotten when files were last looked through for them.
const LOOKED_THROUGH: &str = "kept.forgotten";

/// What a photograph or a sound is of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AttachmentOf {
    /// In which course.
    pub course: CourseId,
    /// Of which session.
    pub session: SessionId,
    /// Of whom; nobody by name for one of the whole session.
    pub student: Option<StudentId>,
    /// The number of the slate that it shows.
    pub slate: Option<String>,
}

/// The bytes of a photograph or a sound, as far as they are here.
#[derive(Clone, PartialEq, Eq)]
pub enum FileHere {
    /// All of them; they give their digest.
    Whole(Vec<u8>),
    /// They do not give their digest any more, and are fetched again.
    Hurt,
    /// They have not all come yet.
    OnItsWay {
        /// So many have.
        have: u32,
    },
    /// They are not kept: they show somebody who was forgotten, or were of another kind than
    /// their entry says.
    Gone,
}

/// Written by hand: what is seen on a photograph is nothing for a log.
impl std::fmt::Debug for FileHere {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Whole(_) => "Whole(..)",
            Self::Hurt => "Hurt",
            Self::OnItsWay { .. } => "OnItsWay",
            Self::Gone => "Gone",
        })
    }
}

impl Shelf {
    /// The files that a course names and that may be kept.
    pub(super) fn named_files(&self, open: &OpenCourse) -> Vec<NamedFile> {
        let forgotten = self.shop.as_ref().map(|shop| shop.standing.forgotten());
        let keep = open.standing.files_to_keep(&forgotten.unwrap_or_default());
        let keep = keep.into_iter();
        keep.map(|(file, device)| NamedFile { file, device })
            .collect()
    }

    /// Looks through the files for people who were forgotten since: what shows them goes, and
    /// what no course names any more.
    pub(super) fn let_files_go(&mut self) -> Result<(), DeskError> {
        let Some(shop) = &self.shop else {
            return Ok(());
        };
        let forgotten = shop.standing.forgotten();
        let now = forgotten.len().to_string();
        if self.store.setting(LOOKED_THROUGH)?.unwrap_or_default() == now.as_bytes() {
            return Ok(());
        }
        if !forgotten.is_empty() {
            for ledger in self.store.naming()? {
                self.name_files_anew(&ledger)?;
            }
            self.sweep_files()?;
        }
        Ok(self.store.put_setting(LOOKED_THROUGH, now.as_bytes())?)
    }

    /// Drops what no course names any more.
    pub(super) fn sweep_files(&mut self) -> Result<usize, DeskError> {
        if !self.placed {
            self.positions()?;
        }
        Ok(self.store.drop_unnamed_files()?)
    }

    fn kept_bytes(&self, file: &KeptFile) -> Result<Option<Vec<u8>>, DeskError> {
        Ok(self.store.file_bytes(file)?)
    }
}

impl Desk {
    /// Keeps a photograph or a sound with a session. What tells where and with what it was taken
    /// is left out first; which way is up is not. Bytes and entry are both stored when this
    /// returns, or neither is.
    ///
    /// # Errors
    /// [`Refusal::Media`] for what is no JPEG, PNG, Ogg, WAV or MP4 sound, [`Refusal::OutOfBounds`]
    /// for one that is too long, and what [`Desk::record`] fails with.
    pub fn keep_attachment(&self, of: AttachmentOf, bytes: &[u8]) -> Result<Recorded, DeskError> {
        let clean = cleaned(bytes).map_err(Refusal::Media)?;
        let most = i64::from(clean.media.most_bytes());
        let too_long = || Refusal::OutOfBounds {
            field: if clean.media.is_sound() {
                "sound"
            } else {
                "picture"
            },
            value: i64::try_from(clean.bytes.len()).unwrap_or(i64::MAX),
            least: 1,
            most,
        };
        let file = KeptFile::of(clean.media, &clean.bytes).ok_or_else(too_long)?;
        let ledger = LedgerId::Course(of.course);
        let attachment = Attachment {
            file,
            session: of.session,
            student: of.student,
            slate: of.slate,
        };
        let drafts = Drafts::one(ledger, attachment, Vec::new());
        let (recorded, changes) = {
            let mut shelf = self.shelf();
            shelf.course(&of.course)?;
            // The rules first, so that nothing is written that they refuse.
            for draft in &drafts.list {
                shelf.ask_rules(draft)?;
            }
            shelf
                .store
                .put_file(&file, &clean.bytes, FILE_PIECE_BYTES)?;
            let written = shelf.write_down(drafts);
            if written.is_err() {
                // Bytes without an entry are nobody's; the first error is the one to tell.
                let _ = shelf.sweep_files();
            }
            written?
        };
        self.tell(&changes);
        Ok(recorded)
    }

    /// The photographs and sounds of a session; `None` when none of its plans stands.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] if this device does not hold the course.
    pub fn attachments(
        &self,
        course: &CourseId,
        session: &SessionId,
        units: Units,
    ) -> Result<Option<AttachmentsView>, DeskError> {
        let here = {
            let mut shelf = self.shelf();
            shelf.course(course)?;
            shelf.files_of(course)?
        };
        let here: BTreeMap<KeptFile, AttachmentHere> = here
            .into_iter()
            .map(|(file, state)| (file, shown(state)))
            .collect();
        self.look(course, units, |standing, reader| {
            AttachmentsView::of(standing, reader, session, &here)
        })
    }

    /// The bytes of a photograph or a sound, checked against their digest. One that is found hurt
    /// is noted as such, and is fetched again at the next meeting with a device that has it.
    ///
    /// # Errors
    /// [`Refusal::Unknown`] if the entry keeps no photograph or sound of that course.
    pub fn attachment_bytes(
        &self,
        course: &CourseId,
        attachment: &EntryId,
    ) -> Result<FileHere, DeskError> {
        let (file, state, bytes) = {
            let mut shelf = self.shelf();
            let kept = shelf.course(course)?.standing.attachment(attachment);
            let kept = kept.ok_or(Refusal::Unknown { what: "attachment" })?.file;
            let state = shelf.files_of(course)?.get(&kept).copied();
            let bytes = match state {
                Some(FileState::Whole) => shelf.kept_bytes(&kept)?,
                Some(FileState::OnItsWay { .. } | FileState::Hurt | FileState::Refused) | None => {
                    None
                }
            };
            (kept, state, bytes)
        };
        Ok(match (state, bytes) {
            // Reckoned outside the lock: a tap must not wait for it.
            (Some(FileState::Whole), Some(bytes)) if file.is(&bytes) => FileHere::Whole(bytes),
            (Some(FileState::Whole), _) => {
                let mut shelf = self.shelf();
                // Whoever only looks is told, and notes nothing down.
                if !shelf.store.only_read() {
                    shelf.store.set_file(&file, FileState::Hurt)?;
                }
                FileHere::Hurt
            }
            (Some(FileState::Hurt), _) => FileHere::Hurt,
            (Some(FileState::OnItsWay { have }), _) => FileHere::OnItsWay { have },
            (Some(FileState::Refused) | None, _) => FileHere::Gone,
        })
    }

    /// Checks every photograph and sound that is here against its digest: how many are whole, and
    /// how many are hurt. The desk can be used in between.
    pub(super) fn check_files(&self) -> Result<(usize, usize), DeskError> {
        let files = { self.shelf().store.whole_files()? };
        let (mut whole, mut hurt) = (0, 0);
        for (file, state) in files {
            let bytes = { self.shelf().kept_bytes(&file)? };
            if state == FileState::Whole && bytes.is_some_and(|bytes| file.is(&bytes)) {
                whole += 1;
                continue;
            }
            hurt += 1;
            if state == FileState::Whole {
                let mut shelf = self.shelf();
                // Let go since the list was read.
                if shelf.kept_bytes(&file)?.is_some() && !shelf.store.only_read() {
                    shelf.store.set_file(&file, FileState::Hurt)?;
                }
            }
        }
        Ok((whole, hurt))
    }

    /// The bytes of the files of a course that show nobody but these students, for a course file.
    /// One that is not whole here stays out.
    pub(super) fn files_for(
        &self,
        course: &CourseId,
        students: &BTreeSet<StudentId>,
    ) -> Result<Vec<BundleFile>, DeskError> {
        let mut shelf = self.shelf();
        let standing = &shelf.course(course)?.standing;
        let wanted: BTreeSet<KeptFile> = standing
            .attachments()
            .filter(|(_, one)| standing.shown_by(one).is_subset(students))
            .map(|(_, one)| one.file)
            .collect();
        let here = shelf.files_of(course)?;
        let mut files = Vec::new();
        for file in wanted {
            if here.get(&file) == Some(&FileState::Whole)
                && let Some(bytes) = shelf.kept_bytes(&file)?
                && file.is(&bytes)
            {
                files.push(BundleFile { file, bytes });
            }
        }
        Ok(files)
    }
}

impl Shelf {
    /// Takes ledgers from a file, and the photographs and sounds that came with them: all of it,
    /// or nothing that anybody sees. Answers how many entries were new, and what to tell.
    pub(super) fn bring_with_files(
        &mut self,
        ledgers: &[(LedgerId, Vec<u8>)],
        files: &[BundleFile],
    ) -> Result<(usize, Vec<Change>), DeskError> {
        for one in files {
            self.store
                .put_file(&one.file, &one.bytes, FILE_PIECE_BYTES)?;
        }
        let brought = self.bring_together(ledgers);
        if brought.is_err() && !files.is_empty() {
            // Bytes that nobody names; the first error is the one to tell.
            let _ = self.sweep_files();
        }
        brought
    }

    fn files_of(&mut self, course: &CourseId) -> Result<BTreeMap<KeptFile, FileState>, DeskError> {
        if !self.placed {
            self.positions()?;
        }
        Ok(self.store.files_of(&LedgerId::Course(*course))?)
    }
}

const fn shown(state: FileState) -> AttachmentHere {
    match state {
        FileState::OnItsWay { have } => AttachmentHere::OnItsWay { have },
        FileState::Whole => AttachmentHere::Whole,
        FileState::Hurt => AttachmentHere::Hurt,
        FileState::Refused => AttachmentHere::Refused,
    }
}
