//! The public part: what of the shop's ledger a stranger needs to check one course.

use std::collections::BTreeSet;

use crate::course::{CourseId, EntryId, LedgerId, StudentId};
use crate::entry::{Body, DeviceKey, Public};
use crate::ledger::{Ledger, LedgerError, Written};
use crate::trust::{TrustBook, Verdict};

/// The actor of a public part; the same each time, so that the same entries give the same
/// bytes.
const ACTOR: [u8; 16] = *b"tallywater-publi";

/// The shop's name, staff, devices and this course's listing; and that its students are to
/// be forgotten, where they are. Nothing of other courses.
///
/// A revocation names the last entries of a key that the shop held. Where leaving entries out would change the verdict on a single line of the course, the whole ledger is
/// given instead: being checkable comes first.
///
/// # Errors
/// [`LedgerError::Engine`].
pub fn public_part(root: DeviceKey, shop: &Ledger, course: &Ledger) -> Result<Ledger, LedgerError> {
    let students: BTreeSet<_> = course
        .lines()
        .values()
        .filter_map(|line| {
            if let Body::Enrolment(enrolment) = &line.entry()?.body {
                Some(enrolment.student)
            } else {
                None
            }
        })
        .collect();
    let LedgerId::Course(this) = *course.id() else {
        return Err(LedgerError::OtherLedger);
    };
    let mut part = Ledger::new(*shop.id(), ACTOR)?;
    for (id, line) in shop.lines() {
        let Some(entry) = line.entry() else { continue };
        let is_public = is_public(&entry.body, this, &students);
        if let Some(bytes) = shop.bytes_of(id).filter(|_| is_public) {
            part.add(&bytes)?;
        }
    }
    // What was added was not signed by this device: look at every signature again.
    part.recheck()?;
    if verdicts(root, &part, course) == verdicts(root, shop, course) {
        Ok(part)
    } else {
        Ok(shop.clone())
    }
}

/// Whether a stranger who checks this course is given an entry of the shop's.
pub(crate) fn is_public(body: &Body, this: CourseId, students: &BTreeSet<StudentId>) -> bool {
    match body.kind().public() {
        Public::No => false,
        Public::Yes => true,
        Public::WithItsCourse => body.about().course == Some(this),
        Public::WithItsStudent => body.about().students().any(|id| students.contains(&id)),
    }
}

/// The verdict on every line of the course, with this much of the shop's ledger.
fn verdicts(root: DeviceKey, shop: &Ledger, course: &Ledger) -> Vec<(EntryId, Verdict)> {
    let written = Written::of(vec![shop, course]);
    let had =
        |l: &LedgerId, e: &EntryId, k: &DeviceKey, last: &[EntryId]| written.had(l, e, k, last);
    let trust = TrustBook::read(root, shop.lines(), &had);
    course
        .lines()
        .iter()
        .map(|(id, line)| (*id, trust.verdict(course.id(), id, line, &had)))
        .collect()
}
