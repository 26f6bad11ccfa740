//! Bundle: a whole course as one signed file, out, in, and checked.

use std::collections::BTreeSet;

use tallywater_core::course::{CourseId, StudentId};
use tallywater_core::desk::paper as desk;
use tallywater_core::ledger::{Fingerprint, State};
use tallywater_core::paper;
use tallywater_core::stamp::{DeviceStamps, Stamps};

use crate::cross::{Asked, Shown, mirror};
use crate::{BundleTaken, Doubt, Fault, Printed, RecordPart, ReferredStudent, Tallywater, Whose};

mirror! {
    /// What a course file holds.
    shown private record BundleSeen = desk::BundleSeen {
        whose: Whose,
        course: String,
        title: Option<String>,
        shop: Option<String>,
        made: String,
        by: Option<String>,
        revoked: bool,
        students: Vec<ReferredStudent>,
        verification: Verification,
    }

    /// What checking a course gave.
    shown record Verification = paper::Verification {
        fingerprint: String,
        state: String,
        entries: u32,
        printed: Option<Printed>,
        at_state: Option<u32>,
        records: Vec<RecordCheck>,
        newer: u32,
        unverified: Vec<DoubtCount>,
        irregular: u32,
    }

    /// What was printed: a fingerprint, and the state of the course beside it. Without a
    /// fingerprint the records of that state are shown part by part.
    asked record Claim = paper::Claim {
        fingerprint: Option<String>,
        state: Option<String>,
    }

    /// One student's record as the entries give it.
    shown record RecordCheck = paper::RecordCheck {
        student: String,
        completed: bool,
        entries: u32,
        own: String,
        parts: Vec<PartCheck>,
    }
}

/// A part of a record: how many entries, and the digits that a record prints beside it.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct PartCheck {
    /// Which part.
    pub part: RecordPart,
    /// How many entries.
    pub entries: u32,
    /// "3f2a 91c0".
    pub check: String,
}

/// Entries that count for nothing, by reason.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct DoubtCount {
    /// Why.
    pub doubt: Doubt,
    /// How many.
    pub count: u32,
}

impl Shown<PartCheck> for (paper::Part, usize, Fingerprint) {
    fn shown(self) -> PartCheck {
        let (part, entries, fingerprint) = self;
        PartCheck {
            part,
            entries: entries.shown(),
            check: fingerprint.check(),
        }
    }
}

impl Shown<Vec<DoubtCount>> for std::collections::BTreeMap<Doubt, usize> {
    fn shown(self) -> Vec<DoubtCount> {
        self.into_iter()
            .map(|(doubt, count)| DoubtCount {
                doubt,
                count: count.shown(),
            })
            .collect()
    }
}

impl Shown<String> for Fingerprint {
    fn shown(self) -> String {
        self.grouped()
    }
}

/// As it was typed off a page: spaces and capitals do not matter.
impl Asked<Fingerprint> for String {
    fn asked(self) -> Result<Fingerprint, Fault> {
        self.parse().map_err(|_| Fault::rule("bad_fingerprint"))
    }
}

impl Shown<String> for State {
    fn shown(self) -> String {
        self.to_string()
    }
}

/// As it was typed off a page.
impl Asked<State> for String {
    fn asked(self) -> Result<State, Fault> {
        self.parse().map_err(|_| Fault::rule("bad_state"))
    }
}

/// Checks a course file on its own, without any device's folder: opened, every signature
/// checked, everything worked out anew; and a printed fingerprint held against it, if one is
/// given.
#[uniffi::export]
pub fn verify_bundle(bytes: Vec<u8>, printed: Option<Claim>) -> Result<Verification, Fault> {
    let printed: Option<paper::Claim> = printed.asked()?;
    let stamps: &dyn Stamps = &DeviceStamps;
    let actor = stamps.actor().map_err(|error| Fault::Internal {
        detail: error.to_string(),
    })?;
    let verified = desk::verify_file(&bytes, printed, actor, stamps.now());
    Ok(verified?.shown())
}

#[uniffi::export]
impl Tallywater {
    /// Puts a course into one file, signed by this device. The details of these students go
    /// along, and of nobody else: whoever gets the file then has them.
    pub fn export_bundle(&self, course: String, students: Vec<String>) -> Result<Vec<u8>, Fault> {
        let course: CourseId = course.asked()?;
        let students: BTreeSet<StudentId> = students.asked()?;
        Ok(self.desk.export_bundle(&course, &students)?)
    }

    /// What a course file holds. Everything in it is checked, and nothing is taken.
    pub fn look_at_bundle(&self, bytes: Vec<u8>) -> Result<BundleSeen, Fault> {
        Ok(self.desk.look_at_bundle(&bytes)?.shown())
    }

    /// Takes a course file: merges a course of this shop, or continues another school's as a
    /// course of this shop.
    pub fn take_bundle(&self, bytes: Vec<u8>) -> Result<BundleTaken, Fault> {
        Ok(self.desk.take_bundle(&bytes)?)
    }

    /// Works a course out anew from its entries as this device holds them, every signature
    /// checked again, and holds a printed fingerprint against them, if one is given.
    pub fn verify_course(
        &self,
        course: String,
        printed: Option<Claim>,
    ) -> Result<Verification, Fault> {
        let course: CourseId = course.asked()?;
        Ok(self.desk.verify_course(&course, printed.asked()?)?.shown())
    }
}
