//! Carry: another school's course, continued here.
//!
//! The other school's entries are signed by devices that this shop never admitted, so they can
//! count for nothing here; and nobody may sign in another's name. So an instructor of this shop
//! takes over what was judged elsewhere and says so: a new course with that school's outline,
//! the students enrolled with where they come from, each skill that was met there exempted
//! with who judged it, when, and the fingerprint of the file that proves it. Papers are not
//! carried over: this shop must see them itself. The file is the proof, and is to be kept.

use super::PaperError;
use super::bundle::{BundleTaken, Foreign, bundle_fingerprint};
use crate::course::{LedgerId, Role, StudentId};
use crate::desk::Change;
use crate::desk::shelf::Shelf;
use crate::entry::{
    Body, DiveLogged, Exemption, JudgedElsewhere, Kind, Mark, MetElsewhere, OutlineSet, Refusal,
    Who,
};
use crate::paper::{MarkWhat, Record, SkillLine, Source};
use crate::standing::CellState;

/// The longest a school's name may be within what says where a student comes from.
const SCHOOL: usize = 120;

impl Shelf {
    pub(super) fn carry(
        &mut self,
        foreign: &Foreign,
    ) -> Result<(BundleTaken, Vec<Change>), PaperError> {
        let me = self.writer().ok_or(Refusal::NotAdmitted)?;
        if me.role != Role::Instructor {
            // What was met elsewhere is taken over by someone who may judge it.
            let (role, kind) = (me.role, Kind::Exemption);
            return Err(Refusal::Role { role, kind }.into());
        }
        let source = foreign.source();
        let outline = source
            .course
            .outline()
            .ok_or(Refusal::Unknown { what: "outline" })?;
        let referred = foreign.referred();
        if referred.is_empty() {
            return Err(Refusal::Unknown { what: "details" }.into());
        }
        let school: String = source
            .shop
            .name()
            .unwrap_or("?")
            .chars()
            .take(SCHOOL)
            .collect();
        let title = source.course.opened();
        let title = title.map_or_else(|| school.clone(), |opened| opened.title.clone());
        let chance = self.stamps.id().map_err(crate::desk::DeskError::from)?;
        let course = crate::entry::course_id(chance, &self.device.key.public());
        let staff = vec![(me.staff, Role::Instructor)];
        let adopted = OutlineSet {
            outline: outline.clone(),
            why: Some(format!("as {school} taught by it")),
        };
        let today = self.today();
        let mut drafts =
            self.begin_course_drafts(course, title, today, None, staff, Some(adopted))?;
        let (mut skills, mut dives) = (0, 0);
        let proof = bundle_fingerprint(&foreign.bundle).short();
        for student in &referred {
            self.is_new(student)?;
            let Some(details) = source.names.details(student) else {
                continue;
            };
            let joining =
                self.enrol_drafts(course, details, Some(school.clone()), Some(*student))?;
            let id = joining.made_id::<StudentId>();
            drafts = drafts.then(joining);
            let student_here = id.ok_or(Refusal::Unknown { what: "student" })?;
            let record = Record::of(&source, *student);
            for skill in &record.skills {
                if skill.state != CellState::Met || skill.slipped_since {
                    continue;
                }
                skills += 1;
                let elsewhere = MetElsewhere {
                    school: school.clone(),
                    file: proof.clone(),
                    judged: judged(&source, skill),
                };
                let exemption = Exemption {
                    student: student_here,
                    skill: skill.skill.clone(),
                    why: String::new(),
                    elsewhere: Some(elsewhere),
                };
                drafts = drafts.and(LedgerId::Course(course), exemption, Vec::new());
            }
            for dive in record.dives {
                dives += 1;
                let logged = DiveLogged {
                    site: dive.at(),
                    who: Who::Student(student_here),
                    session: None,
                    log: dive.log,
                };
                drafts = drafts.and(LedgerId::Course(course), logged, Vec::new());
            }
        }
        let changes = self.write_down(drafts)?.1;
        let taken = BundleTaken::Continued {
            course,
            students: referred.len(),
            skills,
            dives,
        };
        Ok((taken, changes))
    }

    /// Refuses a student who was taken over before, from this or another file.
    fn is_new(&mut self, there: &StudentId) -> Result<(), PaperError> {
        for course in self.courses_here()? {
            let mut enrolments = self.course(&course)?.standing.of_kind(Kind::Enrolment);
            let known = enrolments.any(|one| {
                if let Body::Enrolment(enrolment) = &one.entry.body {
                    enrolment.known_there_as.as_ref() == Some(there)
                } else {
                    false
                }
            });
            if known {
                return Err(Refusal::AlreadyEnrolled.into());
            }
        }
        Ok(())
    }
}

/// Who judged it met there, and when: the last such word.
fn judged(source: &Source<'_>, skill: &SkillLine) -> Option<JudgedElsewhere> {
    let met = skill.lines.iter().rev().find(|line| {
        line.withdrawn.is_none()
            && match &line.what {
                MarkWhat::Attempt { mark, .. } | MarkWhat::Resolution { mark, .. } => {
                    *mark == Mark::Met
                }
                MarkWhat::Exemption { .. } => false,
            }
    })?;
    let (by, at) = match &met.confirmed {
        Some((by, at)) => (by, at),
        None => (&met.by, &met.at),
    };
    let name = source.staff_name(&by.staff);
    Some(JudgedElsewhere {
        by: name.unwrap_or_else(|| by.staff.to_string()),
        on: at.date_naive(),
    })
}
