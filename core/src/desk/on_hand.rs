//! On hand: what a draft must know of what this device holds: lists, digests, heads. What
//! was on screen is not among it: that comes back with the request.

use std::collections::BTreeMap;

use super::DeskError;
use super::request::Scope;
use super::shelf::Shelf;
use crate::course::{CourseId, EntryId, LedgerId, PersonDetails, StaffId, StudentId};
use crate::entry::{CourseListed, CourseState, DetailsDigest, DeviceKey, Kind, Refusal};

impl Shelf {
    /// A course's line in the shop's list, with its staff as it is now and one more.
    pub(super) fn listing(
        &mut self,
        course: CourseId,
        title: String,
        starts: chrono::NaiveDate,
        state: CourseState,
        more: Option<StaffId>,
    ) -> Result<(CourseListed, Vec<EntryId>), DeskError> {
        let mut staff: Vec<StaffId> = self.course(&course)?.standing.staff().into_keys().collect();
        staff.extend(more);
        staff.sort_unstable();
        staff.dedup();
        let after = self.shop()?.0.standing.course_entries(&course);
        Ok((
            CourseListed {
                course,
                title,
                starts,
                staff,
                state,
            },
            after,
        ))
    }

    pub(super) fn scope(
        &mut self,
        scope: Scope,
        kind: Kind,
    ) -> Result<(LedgerId, Vec<EntryId>), DeskError> {
        match scope {
            Scope::Shop => Ok((
                self.device.shop_ledger()?,
                self.shop()?.0.standing.all_of_kind(kind),
            )),
            Scope::Course(id) => Ok((
                LedgerId::Course(id),
                self.course(&id)?.standing.all_of_kind(kind),
            )),
        }
    }

    pub(super) fn policy_entry(&mut self, scope: Scope) -> Result<EntryId, DeskError> {
        let entry = match scope {
            Scope::Shop => self.shop()?.0.standing.policy().map(|policy| policy.entry),
            Scope::Course(id) => self
                .course(&id)?
                .standing
                .policy()
                .map(|policy| policy.entry),
        };
        entry.ok_or_else(|| Refusal::Unknown { what: "policy" }.into())
    }

    /// Whether a course has a student of this name and birth date already.
    pub(super) fn is_twin(&self, course: &CourseId, details: &PersonDetails) -> bool {
        let same = |name: &str| {
            name.split_whitespace()
                .collect::<Vec<_>>()
                .join(" ")
                .to_lowercase()
        };
        self.courses.get(course).is_some_and(|open| {
            open.standing.students().iter().any(|id| {
                self.people
                    .get(id)
                    .and_then(|person| person.details.as_ref())
                    .is_some_and(|known| {
                        same(&known.name) == same(&details.name) && known.born == details.born
                    })
            })
        })
    }

    /// The digest of a person's details as this device holds them.
    pub(super) fn latest_digest(&mut self, student: StudentId) -> Result<DetailsDigest, DeskError> {
        self.open_person(student)?;
        let unknown = || Refusal::Unknown { what: "student" };
        let person = self.people.get(&student).ok_or_else(unknown)?;
        let id = person.latest.as_ref().ok_or_else(unknown)?;
        let bytes = person.ledger.bytes_of(id).ok_or_else(unknown)?;
        let envelope = crate::entry::Envelope::open(&bytes)?;
        Ok(DetailsDigest::of(*id, envelope.payload))
    }

    /// The last entries of a key in every ledger this device holds, as a revocation records
    /// them.
    pub(super) fn all_held(
        &mut self,
        key: &DeviceKey,
    ) -> Result<BTreeMap<LedgerId, Vec<EntryId>>, DeskError> {
        let mut held = BTreeMap::new();
        for id in self.store.ledgers()? {
            let last = match &id {
                LedgerId::Shop(_) => self.shop()?.0.ledger.last_of(key),
                LedgerId::Course(course) => match self.courses.get(course) {
                    Some(open) => open.ledger.last_of(key),
                    None => self.open_ledger(&id)?.last_of(key),
                },
                LedgerId::Person(_) => self.open_ledger(&id)?.last_of(key),
            };
            if !last.is_empty() {
                held.insert(id, last);
            }
        }
        Ok(held)
    }
}
