//! Files: the entries of a course under what they are about, withdrawn ones too.

use std::collections::{BTreeMap, BTreeSet};

use super::tally::Counted;
use crate::course::{EntryId, PieceId, SessionId, SkillId, StudentId};
use crate::entry::{Body, InRecord, Kind, Who};

/// Entries filed under what they are about.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Files {
    pub(super) kinds: BTreeMap<Kind, BTreeSet<EntryId>>,
    pub(super) students: BTreeMap<StudentId, BTreeSet<EntryId>>,
    /// Of the kinds that are asked for by student: among hundreds of marks they are few.
    pub(super) few: BTreeMap<(StudentId, Kind), BTreeSet<EntryId>>,
    pub(super) sessions: BTreeMap<SessionId, BTreeSet<EntryId>>,
    pub(super) cells: BTreeMap<(StudentId, SkillId), BTreeSet<EntryId>>,
    pub(super) session_marks: BTreeMap<SessionId, BTreeSet<(StudentId, SkillId)>>,
    pub(super) attendance: BTreeMap<(SessionId, Who), BTreeSet<EntryId>>,
    /// What was issued to somebody.
    pub(super) issues: BTreeMap<Who, BTreeSet<EntryId>>,
    /// By which entries a piece was issued.
    pub(super) issued: BTreeMap<PieceId, BTreeSet<EntryId>>,
    /// What says that what an entry issued is back.
    pub(super) returns: BTreeMap<EntryId, BTreeSet<EntryId>>,
}

impl Files {
    /// Files one entry.
    pub(super) fn add(&mut self, counted: &Counted) {
        let (id, body) = (counted.entry.id, &counted.entry.body);
        self.kinds.entry(body.kind()).or_default().insert(id);
        for student in students_of(body) {
            self.students.entry(student).or_default().insert(id);
            if let Kind::Enrolment | Kind::Amendment | Kind::Clearance | Kind::Completion =
                body.kind()
            {
                let few = self.few.entry((student, body.kind())).or_default();
                few.insert(id);
            }
        }
        if let Body::Attempt(b) = body {
            let key = (b.student, b.skill.clone());
            if let Some(session) = b.session {
                self.session_marks
                    .entry(session)
                    .or_default()
                    .insert(key.clone());
            }
            self.cells.entry(key).or_default().insert(id);
        } else if let Body::Resolution(b) = body {
            self.cells
                .entry((b.student, b.skill.clone()))
                .or_default()
                .insert(id);
        } else if let Body::Exemption(b) = body {
            self.cells
                .entry((b.student, b.skill.clone()))
                .or_default()
                .insert(id);
        } else if let Body::Attendance(b) = body {
            self.attendance
                .entry((b.session, b.who))
                .or_default()
                .insert(id);
        } else if let Body::KitIssued(b) = body {
            self.issues.entry(b.to).or_default().insert(id);
            self.issued.entry(b.piece).or_default().insert(id);
        } else if let Body::KitReturned(b) = body {
            self.returns.entry(b.issue).or_default().insert(id);
        } else {
            if let Some(session) = session_of(body) {
                self.sessions.entry(session).or_default().insert(id);
            }
        }
    }
}

/// The session that an entry plans, moves or cancels.
pub(super) fn session_of(body: &Body) -> Option<SessionId> {
    match body.kind().in_record() {
        InRecord::WithSession => body.about().session,
        InRecord::No
        | InRecord::AsRemark
        | InRecord::AsIncident
        | InRecord::Under(_)
        | InRecord::WithNamed => None,
    }
}

/// The students that an entry is filed under.
pub(crate) fn students_of(body: &Body) -> Vec<StudentId> {
    if body.kind().in_record().is_filed() {
        body.about().students().collect()
    } else {
        Vec::new()
    }
}
