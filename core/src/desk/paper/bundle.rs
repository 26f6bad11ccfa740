//! Course files out and in.
//!
//! Out: the course, what of the shop it takes to check it, and the details of those who are
//! referred. In: the whole file is checked before anything of it is taken. A course of this
//! shop is merged through the one door; another school's comes in as a course to continue
//! (see `carry`). What of a shop's ledger is in the file only serves to check it: this shop's
//! own comes whole, from its own devices, and a part of it would stand beside it as a second
//! writing of the same entries.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset};

use super::PaperError;
use crate::course::{CourseId, LedgerId, StudentId};
use crate::desk::{Desk, DeskError};
use crate::entry::Refusal;
use crate::ledger::{Fingerprint, Ledger};
use crate::paper::bundle::{
    BundleError, BundleFile, BundleParts, OpenBundle, read_back, read_bundle, write_bundle_of,
};
use crate::paper::{Claim, Proofs, Record, RecordState, Source, Verification, details, verify};
use crate::standing::CellState;

/// What a course file holds, for a person to look at before it is taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BundleSeen {
    /// Whose course it is.
    pub whose: Whose,
    /// The course.
    pub course: CourseId,
    /// Its title.
    pub title: Option<String>,
    /// The school's name.
    pub shop: Option<String>,
    /// When the file was made, by the making device's clock.
    pub made: DateTime<FixedOffset>,
    /// Who made it, by name.
    pub by: Option<String>,
    /// Whether the device that made it has been shut out since.
    pub revoked: bool,
    /// Its students, in order of id.
    pub students: Vec<ReferredStudent>,
    /// Everything worked out anew.
    pub verification: Verification,
}

/// Whose course a file holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum Whose {
    /// This shop's: it will be merged.
    Ours,
    /// Another school's: it will be continued as a course of this shop.
    AnotherSchools,
}

/// A student in a course file.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct ReferredStudent {
    /// The id in that school.
    pub student: StudentId,
    /// The name, if the details came along.
    pub name: Option<String>,
    /// How many skills are met and have not slipped since.
    pub met: usize,
    /// Of so many that completion needs.
    pub of: usize,
    /// Dives logged.
    pub dives: usize,
    /// Whether the course has ended for the student there.
    pub ended: bool,
}

/// What became of a course file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum BundleTaken {
    /// Merged into what this device has of the course.
    Merged {
        /// The course.
        course: CourseId,
        /// Entries that were new here, people's details included.
        new: usize,
    },
    /// Continued as a course of this shop.
    Continued {
        /// The new course.
        course: CourseId,
        /// Students enrolled.
        students: usize,
        /// Skills taken over as met elsewhere.
        skills: usize,
        /// Dives taken over.
        dives: usize,
    },
}

/// Checks a course file on its own, without any device: opened, every signature checked,
/// everything worked out anew.
///
/// # Errors
/// [`BundleError`] names what was wrong.
pub fn verify_file(
    bytes: &[u8],
    printed: Option<Claim>,
    actor: [u8; 16],
    now: DateTime<FixedOffset>,
) -> Result<Verification, BundleError> {
    Ok(verify(&read_bundle(bytes, actor)?, printed, now))
}

/// The fingerprint of the course in a file that was opened.
pub fn bundle_fingerprint(bundle: &OpenBundle) -> Fingerprint {
    Fingerprint::of(&bundle.course)
}

/// A file's course with what its own school's certificates make of it.
pub(super) struct Foreign {
    pub(super) bundle: OpenBundle,
    standing: crate::paper::bundle::BundleStanding,
    names: std::collections::BTreeMap<StudentId, crate::course::PersonDetails>,
    proofs: Proofs,
    now: DateTime<FixedOffset>,
}

impl Foreign {
    fn of(bundle: OpenBundle, now: DateTime<FixedOffset>) -> Self {
        Self {
            standing: bundle.standing(),
            names: details(&bundle),
            bundle,
            proofs: Proofs::default(),
            now,
        }
    }

    pub(super) fn source(&self) -> Source<'_> {
        Source {
            course: &self.standing.course,
            ledger: &self.bundle.course,
            shop: &self.standing.shop,
            trust: &self.standing.trust,
            names: &self.names,
            proofs: &self.proofs,
            now: self.now,
            water: None,
        }
    }

    /// Those whose details came along: the students who are referred.
    pub(super) fn referred(&self) -> BTreeSet<StudentId> {
        let students = self.standing.course.students();
        let named = |student: &StudentId| self.names.contains_key(student);
        students.into_iter().filter(named).collect()
    }
}

impl Desk {
    /// Puts a course into one file, signed by this device. The details of these students go
    /// along, and of nobody else: whoever gets the file then has them. So do photographs and
    /// sounds that show nobody but them, as far as they are whole here.
    ///
    /// # Errors
    /// [`DeskError::NotFound`] for a course that is not here or a student who is not in it or
    /// whose details are not here; [`PaperError::Bundle`].
    pub fn export_bundle(
        &self,
        course: &CourseId,
        students: &BTreeSet<StudentId>,
    ) -> Result<Vec<u8>, PaperError> {
        let papers = self.papers(course)?;
        let mut people = Vec::new();
        for student in students {
            papers.in_course(student)?;
            people.push(self.person_ledger(student)?);
        }
        let (root, shop) = {
            let shelf = self.shelf();
            let root = shelf.device.shop.ok_or(DeskError::NotStarted)?;
            (root, shelf.shop()?.0.ledger.clone())
        };
        let people: Vec<&Ledger> = people.iter().collect();
        // The key stays under the lock: only what is signed comes in.
        let sign = |domain: &[u8], bytes: &[u8]| self.shelf().device.key.sign(domain, bytes);
        let source = papers.source();
        let files: Vec<BundleFile> = self.files_for(course, students)?;
        let parts = BundleParts {
            root,
            shop: &shop,
            course: source.ledger,
            people: &people,
            files: &files,
            now: source.now,
        };
        let bytes = write_bundle_of(&parts, self.own_key(), &sign)?;
        read_back(&bytes, source.ledger, &people, &files)?;
        Ok(bytes)
    }

    fn person_ledger(&self, student: &StudentId) -> Result<Ledger, DeskError> {
        let person = LedgerId::Person(*student);
        if !self.shelf().holds(&person)? {
            return Err(DeskError::NotFound {
                what: "details",
                id: student.to_string(),
            });
        }
        self.with_ledger(&person, |ledger| Ok(ledger.clone()))
    }

    fn open_bundle(&self, bytes: &[u8]) -> Result<Foreign, PaperError> {
        let (actor, now) = {
            let shelf = self.shelf();
            (
                shelf.stamps.actor().map_err(DeskError::from)?,
                shelf.stamps.now(),
            )
        };
        Ok(Foreign::of(read_bundle(bytes, actor)?, now))
    }

    fn whose(&self, bundle: &OpenBundle) -> Result<Whose, DeskError> {
        let root = self.shop_root().ok_or(DeskError::NotStarted)?;
        Ok(if root == bundle.root {
            Whose::Ours
        } else {
            Whose::AnotherSchools
        })
    }

    /// What a course file holds. Everything in it is checked, and nothing is taken.
    ///
    /// # Errors
    /// [`PaperError::Bundle`] names what is wrong with the file.
    pub fn look_at_bundle(&self, bytes: &[u8]) -> Result<BundleSeen, PaperError> {
        let foreign = self.open_bundle(bytes)?;
        let whose = self.whose(&foreign.bundle)?;
        let source = foreign.source();
        let students = source.course.students();
        let students = students.into_iter().map(|student| {
            let record = Record::of(&source, student);
            let of = record.skills.iter().filter(|skill| skill.required).count();
            let met = record.skills.iter().filter(|skill| {
                skill.required && skill.state == CellState::Met && !skill.slipped_since
            });
            ReferredStudent {
                student,
                met: met.count(),
                of,
                dives: record.dives.len(),
                ended: record.state != RecordState::Open,
                name: record.name,
            }
        });
        Ok(BundleSeen {
            whose,
            course: *source.course.id(),
            title: source.course.opened().map(|opened| opened.title.clone()),
            shop: source.shop.name().map(str::to_owned),
            made: foreign.bundle.made,
            by: source.staff_name(&foreign.bundle.writer.staff),
            revoked: foreign.bundle.revoked,
            students: students.collect(),
            verification: verify(&foreign.bundle, None, foreign.now),
        })
    }

    /// Takes a course file. A course of this shop is merged, and nothing here is overwritten;
    /// taking the same file again changes nothing. Another school's is continued as a course
    /// of this shop, by an instructor, with the students whose details came along.
    ///
    /// # Errors
    /// [`PaperError::Bundle`] for a file that does not hold together;
    /// [`Refusal::Role`] where no instructor takes over another school's course,
    /// [`Refusal::AlreadyEnrolled`] for a student who was taken over before,
    /// [`Refusal::Closed`] for a course that was dropped.
    pub fn take_bundle(&self, bytes: &[u8]) -> Result<BundleTaken, PaperError> {
        let foreign = self.open_bundle(bytes)?;
        match self.whose(&foreign.bundle)? {
            Whose::Ours => self.merge_bundle(&foreign.bundle),
            Whose::AnotherSchools => {
                let (taken, changes) = self.shelf().carry(&foreign)?;
                self.tell(&changes);
                Ok(taken)
            }
        }
    }

    fn merge_bundle(&self, bundle: &OpenBundle) -> Result<BundleTaken, PaperError> {
        let course = bundle
            .course_id()
            .ok_or(Refusal::Unknown { what: "course" })?;
        let mut ledgers = Vec::new();
        for ledger in std::iter::once(&bundle.course).chain(&bundle.people) {
            ledgers.push((*ledger.id(), ledger.plain().map_err(DeskError::from)?));
        }
        let (new, changes) = self.shelf().bring_with_files(&ledgers, &bundle.files)?;
        self.tell(&changes);
        Ok(BundleTaken::Merged { course, new })
    }
}
