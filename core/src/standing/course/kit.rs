//! Kit of a course: what is issued to whom, and what came back.

use super::CourseStanding;
use crate::course::{EntryId, PieceId, StudentId};
use crate::entry::{Body, KitIssued, Who};
use crate::standing::tally::Counted;

impl CourseStanding {
    /// Whether a piece that was issued by this entry is back.
    pub fn is_returned(&self, issue: &EntryId) -> bool {
        let mut said = self.files.returns.get(issue).into_iter().flatten();
        said.any(|id| self.tally.counts(id))
    }

    fn out_now<'a>(
        &'a self,
        ids: impl IntoIterator<Item = &'a EntryId>,
    ) -> Vec<(&'a Counted, &'a KitIssued)> {
        let standing = ids.into_iter().filter_map(|id| self.tally.standing(id));
        let mut out: Vec<_> = standing
            .filter_map(|one| {
                if let Body::KitIssued(issued) = &one.entry.body {
                    Some((one, issued))
                } else {
                    None
                }
            })
            .filter(|(one, _)| !self.is_returned(&one.entry.id))
            .collect();
        out.sort_by_key(|(one, issued)| (issued.when, one.entry.id));
        out
    }

    /// What somebody has of the school's kit, oldest first.
    pub fn kit_of(&self, who: &Who) -> Vec<(&Counted, &KitIssued)> {
        self.out_now(self.files.issues.get(who).into_iter().flatten())
    }

    /// Who of this course has a piece, oldest first: one, or several where it was issued apart.
    pub fn piece_with(&self, piece: &PieceId) -> Vec<(&Counted, &KitIssued)> {
        self.out_now(self.files.issued.get(piece).into_iter().flatten())
    }

    /// Everything that is out in this course, oldest first.
    pub fn kit_out(&self) -> Vec<(&Counted, &KitIssued)> {
        self.out_now(self.files.issues.values().flatten())
    }

    /// Every standing issue to a student, returned or not.
    pub fn kit_entries(&self, student: &StudentId) -> impl Iterator<Item = &Counted> {
        let ids = self.files.issues.get(&Who::Student(*student));
        let ids = ids.into_iter().flatten();
        ids.filter_map(|id| self.tally.standing(id))
    }
}
