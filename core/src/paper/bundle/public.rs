//! The public part: what of the shop's ledger a stranger needs to check one course.

use std::collections::BTreeSet;

use crate::course::{CourseId, EntryId, LedgerId, StudentId};
use crate::entry::{Body, DeviceKey};
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
    match body {
        Body::ShopOpened(_)
        | Body::StaffJoined(_)
        | Body::Certificate(_)
        | Body::Revocation(_)
        | Body::LateAccepted(_) => true,
        Body::CourseListed(listed) => listed.course == this,
        Body::PersonForgotten(forgotten) => students.contains(&forgotten.student),
        Body::HoldSet(_)
        | Body::CourseDropped(_)
        | Body::Details(_)
        | Body::CourseOpened(_)
        | Body::Enrolment(_)
        | Body::Amendment(_)
        | Body::Assignment(_)
        | Body::OutlineSet(_)
        | Body::PolicySet(_)
        | Body::PolicyConfirmed(_)
        | Body::SessionPlanned(_)
        | Body::SessionMoved(_)
        | Body::SessionCancelled(_)
        | Body::Clearance(_)
        | Body::Attendance(_)
        | Body::Attempt(_)
        | Body::Confirmation(_)
        | Body::Resolution(_)
        | Body::StaffRenewed(_)
        | Body::Exemption(_)
        | Body::Override(_)
        | Body::Withdrawal(_)
        | Body::Note(_)
        | Body::WeightChecked(_)
        | Body::DiveLogged(_)
        | Body::Incident(_)
        | Body::Completion(_)
        | Body::Debrief(_)
        | Body::SiteSet(_)
        | Body::EmergencySet(_)
        | Body::EmergencyConfirmed(_)
        | Body::AlarmRaised(_)
        | Body::AlarmEnded(_)
        | Body::TeamsSet(_)
        | Body::IncidentMoment(_)
        | Body::IncidentPerson(_)
        | Body::IncidentFact(_)
        | Body::IncidentReport(_)
        | Body::IncidentReported(_)
        | Body::Attachment(_)
        | Body::AttachmentText(_)
        | Body::SlotSet(_)
        | Body::AwaySet(_)
        | Body::OwnDive(_)
        | Body::KitSet(_)
        | Body::KitRetired(_)
        | Body::KitFault(_)
        | Body::KitMended(_)
        | Body::KitIssued(_)
        | Body::KitReturned(_) => false,
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
