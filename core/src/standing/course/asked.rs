//! Asked: what a course answers about its people, papers and sessions, from the files of
//! its entries.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, FixedOffset};

use super::CourseStanding;
use crate::course::{ClearanceKind, EntryId, Role, SessionId, SkillId, StaffId, StudentId};
use crate::entry::{AlarmRaised, Body, Kind, Override, Passage, Who};
use crate::standing::tally::Counted;

/// Entries as a list shows them: by their writers' clocks, and in a fixed order where those
/// agree. An id says nothing about time.
fn in_order<'a>(found: impl Iterator<Item = &'a Counted>) -> std::vec::IntoIter<&'a Counted> {
    let mut found: Vec<&Counted> = found.collect();
    found.sort_by_key(|one| (one.entry.at, one.entry.id));
    found.into_iter()
}

impl CourseStanding {
    /// Enrolled students, in the order of their enrolment by the writing devices' clocks.
    pub fn students(&self) -> Vec<StudentId> {
        let mut seen = BTreeSet::new();
        self.of_kind(Kind::Enrolment)
            .filter_map(|one| {
                if let Body::Enrolment(enrolment) = &one.entry.body {
                    Some(enrolment.student)
                } else {
                    None
                }
            })
            .filter(|student| seen.insert(*student))
            .collect()
    }

    /// Whether the student is enrolled.
    pub fn has_student(&self, student: &StudentId) -> bool {
        self.few(student, Kind::Enrolment).next().is_some()
    }

    /// Standing entries of one of the kinds that are filed by student.
    fn few(&self, student: &StudentId, kind: Kind) -> impl Iterator<Item = &Counted> {
        let ids = self.files.few.get(&(*student, kind));
        let ids = ids.into_iter().flatten();
        in_order(ids.filter_map(|id| self.tally.standing(id)))
    }

    /// Every standing entry about a student but the completions themselves, by id: what a
    /// completion considers.
    pub fn considered(&self, student: &StudentId) -> Vec<EntryId> {
        let about = self.about(student);
        let considered = about.filter(|one| one.entry.body.kind() != Kind::Completion);
        let mut ids: Vec<EntryId> = considered.map(|one| one.entry.id).collect();
        ids.sort_unstable();
        ids
    }

    /// Standing entries of a kind, in the order of the clocks that wrote them.
    pub fn of_kind(&self, kind: Kind) -> impl Iterator<Item = &Counted> {
        let ids = self.files.kinds.get(&kind).into_iter().flatten();
        in_order(ids.filter_map(|id| self.tally.standing(id)))
    }

    /// Standing entries about a student, in the order of the clocks that wrote them.
    pub fn about<'a>(&'a self, student: &StudentId) -> impl Iterator<Item = &'a Counted> + use<'a> {
        let ids = self.files.students.get(student).into_iter().flatten();
        in_order(ids.filter_map(|id| self.tally.standing(id)))
    }

    /// Every mark, exemption and resolution of a cell, withdrawn ones too, in the order of the
    /// clocks that wrote them.
    pub fn cell_entries<'a>(
        &'a self,
        key: &(StudentId, SkillId),
    ) -> impl Iterator<Item = &'a Counted> + use<'a> {
        let ids = self.files.cells.get(key).into_iter().flatten();
        in_order(ids.filter_map(|id| self.tally.get(id)))
    }

    /// The clearance of a kind that holds. Of several written apart the gravest: a paper
    /// wrongly asked for again costs a minute, one wrongly taken as seen may cost more.
    pub fn clearance(&self, student: &StudentId, what: ClearanceKind) -> Option<&Counted> {
        use crate::entry::ClearanceResult;
        let ids = self.clearance_entries(student, what);
        self.tally.latest_one(&ids, |entry| {
            if let Body::Clearance(clearance) = &entry.body {
                match clearance.result {
                    ClearanceResult::Cleared => 0,
                    ClearanceResult::Referred => 1,
                    ClearanceResult::NotCleared => 2,
                }
            } else {
                0
            }
        })
    }

    /// Every standing clearance of a kind, by id: the `after` of the next.
    pub fn clearance_entries(&self, student: &StudentId, what: ClearanceKind) -> Vec<EntryId> {
        self.few(student, Kind::Clearance)
            .filter(|one| matches!(&one.entry.body, Body::Clearance(c) if c.what == what))
            .map(|one| one.entry.id)
            .collect()
    }

    /// Whether an attempt is an assistant's that waits for an instructor.
    pub fn waits(&self, attempt: &EntryId) -> bool {
        let Some(Body::Attempt(body)) = self.tally.get(attempt).map(|one| &one.entry.body) else {
            return false;
        };
        self.cells
            .get(&(body.student, body.skill.clone()))
            .is_some_and(|cell| cell.unconfirmed.contains(attempt))
    }

    /// What an instructor overrode for a student in a session, by id.
    pub fn overrides<'a>(
        &'a self,
        session: &SessionId,
        student: &StudentId,
    ) -> impl Iterator<Item = (&'a Counted, &'a Override)> + use<'a> {
        let (session, student) = (*session, *student);
        self.of_kind(Kind::Override).filter_map(move |one| {
            if let Body::Override(body) = &one.entry.body {
                (body.session == session && body.student == student).then_some((one, body))
            } else {
                None
            }
        })
    }

    /// What was last said to a student after a session.
    pub fn debrief(&self, session: &SessionId, student: &StudentId) -> Option<&Counted> {
        let ids = self.debrief_entries(session, student);
        self.tally.latest_one(&ids, |_| ())
    }

    /// Every standing debrief of a student after a session, by id: the `after` of the next.
    pub fn debrief_entries(&self, session: &SessionId, student: &StudentId) -> Vec<EntryId> {
        let of_kind = self.of_kind(Kind::Debrief);
        of_kind
            .filter(|one| {
                matches!(&one.entry.body, Body::Debrief(said)
                    if said.session == *session && said.student == *student)
            })
            .map(|one| one.entry.id)
            .collect()
    }

    /// What went wrong in the water of a session, in the order of the clocks that wrote it.
    pub fn alarms<'a>(
        &'a self,
        session: &SessionId,
    ) -> impl Iterator<Item = (&'a Counted, &'a AlarmRaised)> + use<'a> {
        let session = *session;
        self.of_kind(Kind::AlarmRaised).filter_map(move |one| {
            if let Body::AlarmRaised(raised) = &one.entry.body {
                (raised.session == session).then_some((one, raised))
            } else {
                None
            }
        })
    }

    /// Every standing completion of a student, by id: the `after` of the next.
    pub fn completion_entries(&self, student: &StudentId) -> Vec<EntryId> {
        self.few(student, Kind::Completion)
            .map(|one| one.entry.id)
            .collect()
    }

    /// Everyone who went in or out in a session, with the passage that holds. Of several
    /// written apart `in` holds: better one count too many than one too few.
    pub fn headcount(&self, session: &SessionId) -> BTreeMap<Who, &Counted> {
        self.files
            .attendance
            .iter()
            .filter(|((held, _), _)| held == session)
            .filter_map(|((_, who), ids)| {
                let holds = self.tally.latest_one(ids, |entry| {
                    if let Body::Attendance(attendance) = &entry.body {
                        match attendance.passage {
                            Passage::In => 2,
                            Passage::Out => 1,
                            Passage::Absent => 0,
                        }
                    } else {
                        0
                    }
                })?;
                Some((*who, holds))
            })
            .collect()
    }

    /// Every passage recorded for one person in a session, by id: the `after` of the next.
    pub fn passages(&self, session: &SessionId, who: &Who) -> Vec<EntryId> {
        self.files
            .attendance
            .get(&(*session, *who))
            .into_iter()
            .flatten()
            .copied()
            .collect()
    }

    /// One person's times in and out of the water in a session, dive by dive; a way out alone
    /// is none.
    pub fn times_in_water(
        &self,
        session: &SessionId,
        who: &Who,
    ) -> Vec<(DateTime<FixedOffset>, Option<DateTime<FixedOffset>>)> {
        let passages = self.passages(session, who);
        let standing = passages.iter().filter_map(|id| self.tally.standing(id));
        let mut said: Vec<_> = standing
            .filter_map(|one| {
                if let Body::Attendance(attendance) = &one.entry.body {
                    Some((attendance.when, attendance.passage))
                } else {
                    None
                }
            })
            .collect();
        said.sort_unstable();
        let mut dives: Vec<(_, Option<_>)> = Vec::new();
        for (when, passage) in said {
            match (passage, dives.last_mut()) {
                (Passage::In, _) => dives.push((when, None)),
                (Passage::Out, Some((_, up))) if up.is_none() => *up = Some(when),
                (Passage::Out | Passage::Absent, _) => {}
            }
        }
        dives
    }

    /// Every entry that planned, moved or cancelled a session, by id.
    pub fn session_entries(&self, session: &SessionId) -> Vec<EntryId> {
        self.files
            .sessions
            .get(session)
            .into_iter()
            .flatten()
            .copied()
            .collect()
    }

    /// Every entry of a kind, standing or not, by id: the `after` of the next of that kind.
    pub fn all_of_kind(&self, kind: Kind) -> Vec<EntryId> {
        self.files
            .kinds
            .get(&kind)
            .into_iter()
            .flatten()
            .copied()
            .collect()
    }

    /// The details that the course knows of a student: the latest digest.
    pub fn details(&self, student: &StudentId) -> Option<crate::entry::DetailsDigest> {
        if let Body::Enrolment(enrolment) = &self
            .tally
            .latest_one(&self.details_entries(student), |_| ())?
            .entry
            .body
        {
            Some(enrolment.details)
        } else if let Body::Amendment(amendment) = &self
            .tally
            .latest_one(&self.details_entries(student), |_| ())?
            .entry
            .body
        {
            Some(amendment.details)
        } else {
            None
        }
    }

    /// Every standing enrolment and amendment of a student, by id: the `after` of the next.
    pub fn details_entries(&self, student: &StudentId) -> Vec<EntryId> {
        self.about(student)
            .filter(|one| matches!(one.entry.body.kind(), Kind::Enrolment | Kind::Amendment))
            .map(|one| one.entry.id)
            .collect()
    }

    /// The completion that holds for a student; none while the course goes on.
    pub fn completion(&self, student: &StudentId) -> Option<&Counted> {
        self.tally
            .latest_one(&self.completion_entries(student), |_| ())
    }

    /// Its title as it was last said; empty before it is opened.
    pub fn title(&self) -> String {
        self.opened()
            .map_or_else(String::new, |opened| opened.title.clone())
    }

    /// The course as it was last titled.
    pub fn opened(&self) -> Option<&crate::entry::CourseOpened> {
        if let Body::CourseOpened(opened) = &self.latest_of(Kind::CourseOpened)?.entry.body {
            Some(opened)
        } else {
            None
        }
    }

    /// Every standing assignment of a member of staff, by id: the `after` of the next.
    pub fn assignment_entries(&self, staff: &StaffId) -> Vec<EntryId> {
        self.of_kind(Kind::Assignment)
            .filter(|one| matches!(&one.entry.body, Body::Assignment(a) if a.staff == *staff))
            .map(|one| one.entry.id)
            .collect()
    }

    /// Staff assigned to the course, each with the role that holds: the latest, and of
    /// roles given apart the lesser: a ceiling set too low costs a wait, one too high more.
    pub fn staff(&self) -> BTreeMap<StaffId, Role> {
        let mut assigned: BTreeMap<StaffId, Vec<EntryId>> = BTreeMap::new();
        for one in self.of_kind(Kind::Assignment) {
            if let Body::Assignment(assignment) = &one.entry.body {
                let entries = assigned.entry(assignment.staff).or_default();
                entries.push(one.entry.id);
            }
        }
        let role = |entry: &crate::entry::Entry| {
            if let Body::Assignment(assignment) = &entry.body {
                Some(assignment.role)
            } else {
                None
            }
        };
        assigned
            .iter()
            .filter_map(|(staff, entries)| {
                let holds = self.tally.latest_one(entries, role)?;
                Some((*staff, role(&holds.entry)?))
            })
            .collect()
    }
}
