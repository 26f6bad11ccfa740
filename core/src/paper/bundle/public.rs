//! The public part: what of the shop's ledger a stranger needs to check one course.

use std::collections::BTreeSet;

use crate::course::{EntryId, LedgerId};
use crate::entry::{Body, DeviceKey};
use crate::ledger::{Heads, Ledger, LedgerError};
use crate::trust::{TrustBook, Verdict};

/// The actor of a public part; the same each time, so that the same entries give the same
/// bytes.
const ACTOR: [u8; 16] = *b"tallywater-publi";

/// The shop's name, staff, devices and this course's listing; and that its students are to
/// be forgotten, where they are. Nothing of other courses.
///
/// A revocation rests on what the shop's whole ledger held at that moment. Where leaving
/// entries out would change the verdict on a single line of the course, the whole ledger is
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
        let is_public = match &entry.body {
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
            | Body::Exemption(_)
            | Body::Withdrawal(_)
            | Body::Note(_)
            | Body::WeightChecked(_)
            | Body::DiveLogged(_)
            | Body::Incident(_)
            | Body::Completion(_) => false,
        };
        if let Some(bytes) = shop.bytes_of(id).filter(|_| is_public) {
            part.add(*id, &bytes)?;
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

/// The verdict on every line of the course, with this much of the shop's ledger.
fn verdicts(root: DeviceKey, shop: &Ledger, course: &Ledger) -> Vec<(EntryId, Verdict)> {
    let behind = behind(shop, course);
    let trust = TrustBook::read(root, shop.lines(), &behind);
    course
        .lines()
        .iter()
        .map(|(id, line)| (*id, trust.verdict(course.id(), id, line, &behind)))
        .collect()
}

/// Looks behind heads in whichever of the two ledgers is asked for.
pub(crate) fn behind<'a>(
    shop: &'a Ledger,
    course: &'a Ledger,
) -> impl Fn(&LedgerId, &EntryId, &[String]) -> bool + 'a {
    move |ledger, entry, heads| {
        let held = [shop, course].into_iter().find(|held| held.id() == ledger);
        let heads = Heads::from_hex(heads);
        held.zip(heads)
            .is_some_and(|(held, heads)| held.behind(entry, &heads))
    }
}
