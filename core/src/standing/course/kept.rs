//! Photographs and sounds of a course: which stand, what is said of them, and whom they show.

use std::collections::{BTreeMap, BTreeSet};

use super::CourseStanding;
use crate::course::{EntryId, SessionId, StudentId};
use crate::entry::{Attachment, AttachmentText, Body, DeviceKey, KeptFile, Kind, Who};
use crate::standing::Counted;

impl CourseStanding {
    /// Every photograph and sound that stands, in the order of the clocks that wrote them.
    pub fn attachments(&self) -> impl Iterator<Item = (&Counted, &Attachment)> {
        self.of_kind(Kind::Attachment).filter_map(|one| {
            if let Body::Attachment(attachment) = &one.entry.body {
                Some((one, attachment))
            } else {
                None
            }
        })
    }

    /// One of them.
    pub fn attachment(&self, id: &EntryId) -> Option<&Attachment> {
        if let Body::Attachment(attachment) = &self.tally.standing(id)?.entry.body {
            Some(attachment)
        } else {
            None
        }
    }

    /// What a person last said of each photograph and sound.
    pub fn attachment_texts(&self) -> BTreeMap<EntryId, (&Counted, &AttachmentText)> {
        let mut said: BTreeMap<EntryId, Vec<EntryId>> = BTreeMap::new();
        for one in self.of_kind(Kind::AttachmentText) {
            if let Body::AttachmentText(text) = &one.entry.body {
                said.entry(text.attachment).or_default().push(one.entry.id);
            }
        }
        let latest = |ids: &[EntryId]| {
            let one = self.tally.latest_one(ids, |_| ())?;
            if let Body::AttachmentText(text) = &one.entry.body {
                Some((one, text))
            } else {
                None
            }
        };
        let said = said.iter();
        said.filter_map(|(id, ids)| Some((*id, latest(ids)?)))
            .collect()
    }

    /// Every standing text of one, by id: the `after` of the next.
    pub fn attachment_text_entries(&self, id: &EntryId) -> Vec<EntryId> {
        self.of_kind(Kind::AttachmentText)
            .filter(|one| {
                matches!(&one.entry.body, Body::AttachmentText(text) if text.attachment == *id)
            })
            .map(|one| one.entry.id)
            .collect()
    }

    /// Whom a photograph or a sound may show: the student it is of; of one of a whole session
    /// everybody who was ever planned for it or counted in it, for their names are on its slate.
    pub fn shown_by(&self, attachment: &Attachment) -> BTreeSet<StudentId> {
        match attachment.student {
            Some(student) => BTreeSet::from([student]),
            None => self.ever_in(&attachment.session),
        }
    }

    fn ever_in(&self, session: &SessionId) -> BTreeSet<StudentId> {
        let plans = self.files.sessions.get(session).into_iter().flatten();
        let planned = plans.filter_map(|id| {
            if let Body::SessionPlanned(planned) = &self.tally.get(id)?.entry.body {
                Some(planned.plan.students.iter().copied())
            } else {
                None
            }
        });
        let counted = self.files.attendance.keys();
        let counted = counted.filter_map(|(held, who)| match who {
            Who::Student(student) if held == session => Some(*student),
            Who::Student(_) | Who::Staff(_) => None,
        });
        planned.flatten().chain(counted).collect()
    }

    /// The files that are to be kept, each with a device that signed for it: of every photograph
    /// and sound that counts and shows nobody who is to be forgotten. One that was withdrawn is
    /// among them, as its entry is: a withdrawal can be taken back, and then it must be there.
    pub fn files_to_keep(&self, forgotten: &BTreeSet<StudentId>) -> BTreeMap<KeptFile, DeviceKey> {
        let mut keep = BTreeMap::new();
        let ids = self.files.kinds.get(&Kind::Attachment).into_iter();
        for one in ids.flatten().filter_map(|id| self.tally.get(id)) {
            if let Body::Attachment(attachment) = &one.entry.body
                && self.shown_by(attachment).is_disjoint(forgotten)
            {
                keep.entry(attachment.file).or_insert(one.device);
            }
        }
        keep
    }
}
