//! Authority: what one device may write, with its own key and, where it holds one, the
//! shop's root. Views and recording ask here, and nowhere else.

use super::rules::{Facts, Sort, Writer, may_record};
use super::{Body, Refusal};
use crate::course::LedgerId;

/// With which key an entry is signed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hand {
    /// The device's own.
    Own,
    /// The shop's root, for what the device's own role does not write.
    Root,
}

/// The keys that a device signs with, each with whom it writes as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Authority {
    own: Option<Writer>,
    root: Option<Writer>,
}

impl Authority {
    /// Of a device: whom its own key writes as, unless it is not admitted or was shut out,
    /// and the shop's root where it is here.
    pub const fn new(own: Option<Writer>, root: Option<Writer>) -> Self {
        Self { own, root }
    }

    /// Who writes with the device's own key.
    pub const fn own(&self) -> Option<Writer> {
        self.own
    }

    /// Whether entries of this sort are this device's to write at all.
    ///
    /// # Errors
    /// [`Refusal::NotAdmitted`] or [`Refusal::Role`].
    pub fn may_write(&self, sort: Sort) -> Result<(Hand, Writer), Refusal> {
        self.first(|writer| sort.written_by(writer.role))
    }

    /// Who signs this entry now: the device's own key, or the root where only that may.
    ///
    /// # Errors
    /// The first rule that forbids it; of the two keys, of the one whose role may write it.
    pub fn may_record(
        &self,
        facts: &dyn Facts,
        ledger: &LedgerId,
        body: &Body,
        today: chrono::NaiveDate,
    ) -> Result<(Hand, Writer), Refusal> {
        self.first(|writer| may_record(facts, writer, ledger, body, today))
    }

    fn first(
        &self,
        asked: impl Fn(Writer) -> Result<(), Refusal>,
    ) -> Result<(Hand, Writer), Refusal> {
        let mut refused = Refusal::NotAdmitted;
        for (hand, writer) in [(Hand::Own, self.own), (Hand::Root, self.root)] {
            let Some(writer) = writer else { continue };
            match asked(writer) {
                Ok(()) => return Ok((hand, writer)),
                Err(refusal) => {
                    if matches!(refused, Refusal::NotAdmitted | Refusal::Role { .. }) {
                        refused = refusal;
                    }
                }
            }
        }
        Err(refused)
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::course::{Role, StaffId};
    use crate::entry::Kind;

    fn writer(role: Role) -> Writer {
        let staff = StaffId::new(Uuid::from_u128(7));
        Writer { staff, role }
    }

    #[test]
    fn the_root_signs_only_what_the_devices_own_role_does_not_write() {
        let lone = Authority::new(Some(writer(Role::Instructor)), Some(writer(Role::Shop)));
        let hand = |kind: Kind| lone.may_write(kind.into()).map(|(hand, _)| hand);
        assert_eq!(hand(Kind::Attempt), Ok(Hand::Own));
        assert_eq!(hand(Kind::Enrolment), Ok(Hand::Own));
        assert_eq!(hand(Kind::Revocation), Ok(Hand::Root));
        let alone = Authority::new(Some(writer(Role::Instructor)), None);
        assert_eq!(
            alone.may_write(Kind::Revocation.into()),
            Err(Refusal::Role {
                role: Role::Instructor,
                kind: Kind::Revocation
            })
        );
        assert_eq!(
            Authority::default().may_write(Kind::Note.into()),
            Err(Refusal::NotAdmitted)
        );
    }
}
