//! Trust book: who may write, from the shop's ledger.
//!
//! The root is the shop's key. A certificate counts when the root issued it, or a device
//! that holds a shop certificate, or, for assistants only and with the consent of the device
//! that it names, one that holds an instructor's.
//! One key has one certificate: the first to count, the root's before the shop's before an
//! instructor's, then by entry id. An instructor admits nobody who is an instructor already or
//! of the office, and no connection that is another device's. A person who takes on another role
//! pairs anew and gets another key, so nobody's earlier marks change their weight.
//!
//! The shop's devices stand in ranks: below the root those that it admitted, below each those
//! that it admitted in turn. A device of the shop is shut out by the root or by one above it in
//! that line (D103): of two that could shut out each other nobody could tell which was first.
//!
//! A certificate's dates are for admitting devices, not for judging entries: a wrong clock
//! must not take a mark away.

use std::collections::{BTreeMap, BTreeSet};

use super::carried::is_proven;
use super::consent::has_consent;
use super::{Doubt, Line, Verdict, shop_id};
use crate::course::{EntryId, LedgerId, Role, StaffId};
use crate::entry::{
    Body, Certificate, DeviceKey, Kind, LateAccepted, Reading, Revocation, Writer, may_write,
};

/// Answers whether an entry of a key was written in a ledger by the time when these were the
/// last of that key; `false` while the ones that say so have not arrived here.
pub type Behind<'a> = &'a dyn Fn(&LedgerId, &EntryId, &DeviceKey, &[EntryId]) -> bool;

/// A certificate that counts.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Certified {
    entry: EntryId,
    says: Certificate,
    /// The instructor who issued it, where it was not the shop.
    vouched: Option<StaffId>,
    /// The key that issued it.
    issuer: DeviceKey,
}

/// How many ranks of the shop's devices there may be below the root. A school has two or
/// three; each more is one more pass over its certificates.
const MOST_RANKS: usize = 8;

/// Whose certificates a pass over the ledger takes.
enum Issuers<'a> {
    /// These devices of the shop's, or the root.
    Shop(&'a BTreeSet<DeviceKey>),
    /// Every instructor's.
    Instructors,
}

/// Who may write in the ledgers of one shop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrustBook {
    root: DeviceKey,
    certificates: BTreeMap<DeviceKey, Certified>,
    /// Of devices that instructors certified more than once: every name they gave it.
    names: BTreeMap<DeviceKey, BTreeSet<StaffId>>,
    revoked: BTreeMap<DeviceKey, Vec<(EntryId, Revocation)>>,
    accepted: BTreeSet<(LedgerId, EntryId)>,
}

impl TrustBook {
    /// The book of a shop of which only the root key is known.
    pub fn new(root: DeviceKey) -> Self {
        Self {
            root,
            certificates: BTreeMap::new(),
            names: BTreeMap::new(),
            revoked: BTreeMap::new(),
            accepted: BTreeSet::new(),
        }
    }

    /// Whether another book shuts out the same devices and accepts the same late entries, and
    /// whoever could write by this one is the same by that.
    pub fn shuts_out_like(&self, other: &Self) -> bool {
        let mut keys = self.certificates.keys();
        self.revoked == other.revoked
            && self.accepted == other.accepted
            && self.names == other.names
            && keys.all(|key| self.writer(key) == other.writer(key))
    }

    /// Reads the book from the lines of the shop's ledger.
    pub fn read(root: DeviceKey, lines: &BTreeMap<EntryId, Line>, behind: Behind<'_>) -> Self {
        let mut book = Self::new(root);
        let lines: BTreeMap<EntryId, &Line> = lines
            .iter()
            .filter(|(_, line)| line.entry().is_some_and(|entry| admits(&entry.body)))
            .map(|(id, line)| (*id, line))
            .collect();
        let lines = &lines;
        // Each pass may believe only what the passes before it made believable.
        let mut rank: BTreeSet<DeviceKey> = [root].into();
        for _ in 0..MOST_RANKS {
            let added = book.take_certificates(lines, &Issuers::Shop(&rank), behind);
            book.take_revocations(lines, behind);
            rank = added;
            if rank.is_empty() {
                break;
            }
        }
        book.take_certificates(lines, &Issuers::Instructors, behind);
        book.take_revocations(lines, behind);
        let accepted: Vec<_> = book
            .counting(lines, behind)
            .filter_map(|(_, _, body)| {
                if let Body::LateAccepted(LateAccepted { ledger, entries }) = body {
                    Some((*ledger, entries.clone()))
                } else {
                    None
                }
            })
            .collect();
        for (ledger, entries) in accepted {
            book.accepted
                .extend(entries.into_iter().map(|entry| (ledger, entry)));
        }
        book
    }

    fn ledger(&self) -> LedgerId {
        LedgerId::Shop(shop_id(&self.root))
    }

    fn counting<'a>(
        &'a self,
        lines: &'a BTreeMap<EntryId, &'a Line>,
        behind: Behind<'a>,
    ) -> impl Iterator<Item = (EntryId, DeviceKey, &'a Body)> {
        let ledger = self.ledger();
        lines.iter().filter_map(
            move |(id, line)| match self.verdict(&ledger, id, line, behind) {
                Verdict::Counts(_) => Some((*id, line.key?, &line.entry()?.body)),
                Verdict::Newer | Verdict::Unverified(_) => None,
            },
        )
    }

    /// Takes the certificates of these issuers; answers the devices of the shop among those
    /// that are new.
    fn take_certificates(
        &mut self,
        lines: &BTreeMap<EntryId, &Line>,
        issuers: &Issuers<'_>,
        behind: Behind<'_>,
    ) -> BTreeSet<DeviceKey> {
        let found: Vec<Certified> = self
            .counting(lines, behind)
            .filter(|(_, key, _)| match issuers {
                Issuers::Shop(rank) => rank.contains(key),
                Issuers::Instructors => self
                    .writer(key)
                    .is_some_and(|writer| writer.role == Role::Instructor),
            })
            .filter_map(|(entry, key, body)| {
                let Body::Certificate(says) = body else {
                    return None;
                };
                let vouched = match issuers {
                    Issuers::Shop(_) => None,
                    Issuers::Instructors => {
                        let by = self.certificates.get(&key)?;
                        // As an assistant of a colleague's name, a device of theirs could take
                        // back what the colleague wrote.
                        let link = by.says.link.as_ref()?;
                        if self.is_senior(&says.staff) || !has_consent(says, link) {
                            return None;
                        }
                        Some(by.says.staff)
                    }
                };
                Some(Certified {
                    entry,
                    says: says.clone(),
                    vouched,
                    issuer: key,
                })
            })
            .collect();
        let mut added = BTreeSet::new();
        for one in found {
            // A connection is one device's. The shop may write what it likes.
            let taken = one.vouched.is_some() && self.is_connection_of_another(&one.says);
            if one.says.key == self.root || taken {
                continue;
            }
            if let Some(first) = self.certificates.get(&one.says.key) {
                // The device signs as whom it writes; its admitter cannot make that another's.
                if first.vouched.is_some() {
                    let names = self.names.entry(one.says.key).or_default();
                    names.extend([first.says.staff, one.says.staff]);
                }
                continue;
            }
            if one.says.role == Role::Shop {
                added.insert(one.says.key);
            }
            self.certificates.insert(one.says.key, one);
        }
        added
    }

    /// Works out who is shut out. Whoever may shut out a device of the shop's stands in a rank
    /// above it, so each turn settles one rank more and the last changes nothing.
    fn take_revocations(&mut self, lines: &BTreeMap<EntryId, &Line>, behind: Behind<'_>) {
        for _ in 0..=MOST_RANKS + 1 {
            let mut revoked: BTreeMap<DeviceKey, Vec<(EntryId, Revocation)>> = BTreeMap::new();
            for (id, by, body) in self.counting(lines, behind) {
                if let Body::Revocation(revocation) = body
                    && self.may_shut_out(&by, &revocation.key)
                {
                    let of = revoked.entry(revocation.key).or_default();
                    of.push((id, revocation.clone()));
                }
            }
            if revoked == self.revoked {
                break;
            }
            self.revoked = revoked;
        }
    }

    /// Whether a device that acts as the shop may shut out the one with this key: anybody's but
    /// the shop's own, and of those the ones that it admitted, or that those did; the root may
    /// all, and nobody the root.
    pub fn may_shut_out(&self, by: &DeviceKey, key: &DeviceKey) -> bool {
        if *key == self.root || *by == self.root {
            return *key != self.root;
        }
        let mut at = *key;
        for _ in 0..=MOST_RANKS {
            let Some(one) = self.certificates.get(&at) else {
                // Nobody's: what it writes counts for nothing anyhow.
                return at == *key;
            };
            if one.says.role != Role::Shop || one.issuer == *by {
                return true;
            }
            at = one.issuer;
        }
        false
    }

    /// Who holds this key; `None` for a key that no certificate names.
    pub fn writer(&self, key: &DeviceKey) -> Option<Writer> {
        if *key == self.root {
            let staff = StaffId::new(shop_id(&self.root).uuid());
            return Some(Writer {
                staff,
                role: Role::Shop,
            });
        }
        let certificate = self.certificate(key)?;
        Some(Writer {
            staff: certificate.staff,
            role: certificate.role,
        })
    }

    /// Whether this member of staff holds more than an assistant's role, on whatever device.
    pub fn is_senior(&self, staff: &StaffId) -> bool {
        *staff == StaffId::new(shop_id(&self.root).uuid())
            || self
                .certificates
                .values()
                .any(|one| one.says.staff == *staff && one.says.role != Role::Assistant)
    }

    /// The instructor who admitted the device with this key; `None` where the shop did.
    pub fn vouched_by(&self, key: &DeviceKey) -> Option<StaffId> {
        self.certificates.get(key)?.vouched
    }

    /// The certificates of this person's devices that an instructor admitted.
    pub fn vouched_for<'a>(&'a self, staff: &'a StaffId) -> impl Iterator<Item = &'a Certificate> {
        let vouched = self
            .certificates
            .values()
            .filter(|one| one.vouched.is_some());
        vouched
            .map(|one| &one.says)
            .filter(|one| one.staff == *staff)
    }

    /// Whether a certificate names the connection of a device with another key.
    fn is_connection_of_another(&self, says: &Certificate) -> bool {
        self.certificates.values().any(|one| {
            one.says.link.is_some() && one.says.link == says.link && one.says.key != says.key
        })
    }

    /// Whether the key was revoked, whatever it wrote before.
    pub fn is_revoked(&self, key: &DeviceKey) -> bool {
        self.revoked.contains_key(key)
    }

    /// Every certificate that counts, by key.
    pub fn certificates(&self) -> impl Iterator<Item = (&EntryId, &Certificate)> {
        self.certificates
            .values()
            .map(|one| (&one.entry, &one.says))
    }

    /// The certificate of a key.
    pub fn certificate(&self, key: &DeviceKey) -> Option<&Certificate> {
        self.certificates.get(key).map(|one| &one.says)
    }

    /// The shop's root key.
    pub const fn root(&self) -> &DeviceKey {
        &self.root
    }

    /// Whether a line counts.
    pub fn verdict(
        &self,
        ledger: &LedgerId,
        id: &EntryId,
        line: &Line,
        behind: Behind<'_>,
    ) -> Verdict {
        let Some(key) = line.key else {
            return match line.reading {
                Reading::Newer { .. } => Verdict::Newer,
                Reading::Known(_) | Reading::Malformed => Verdict::Unverified(Doubt::Malformed),
            };
        };
        if !line.signed {
            return Verdict::Unverified(Doubt::Signature);
        }
        let entry = match &line.reading {
            Reading::Known(entry) => entry,
            Reading::Newer { .. } => return Verdict::Newer,
            Reading::Malformed => return Verdict::Unverified(Doubt::Malformed),
        };
        let Some(writer) = self.writer(&key) else {
            return Verdict::Unverified(Doubt::NoCertificate);
        };
        let named = self.names.get(&key);
        let writer = if named.is_some_and(|named| named.contains(&entry.by)) {
            let (staff, role) = (entry.by, writer.role);
            Writer { staff, role }
        } else {
            writer
        };
        if writer.staff != entry.by {
            return Verdict::Unverified(Doubt::NotTheWriter);
        }
        if may_write(writer.role, &entry.body, ledger).is_err() {
            return Verdict::Unverified(Doubt::Role);
        }
        if let Body::PolicySet(set) = &entry.body
            && !is_proven(self, &self.ledger(), writer, set)
        {
            return Verdict::Unverified(Doubt::NotTheWriter);
        }
        if self.is_late(ledger, id, &key, behind) {
            return Verdict::Unverified(Doubt::Late);
        }
        Verdict::Counts(writer)
    }

    /// A revoked device's entry counts only if the shop held it at each revocation, or has
    /// accepted it since.
    fn is_late(
        &self,
        ledger: &LedgerId,
        id: &EntryId,
        key: &DeviceKey,
        behind: Behind<'_>,
    ) -> bool {
        let Some(revocations) = self.revoked.get(key) else {
            return false;
        };
        !self.accepted.contains(&(*ledger, *id))
            && revocations
                .iter()
                .any(|(_, revocation)| match revocation.held.get(ledger) {
                    Some(last) => !behind(ledger, id, key, last),
                    None => true,
                })
    }
}

/// Whether the book is read from an entry like this.
const fn admits(body: &Body) -> bool {
    let kind = body.kind();
    matches!(
        kind,
        Kind::Certificate | Kind::Revocation | Kind::LateAccepted
    )
}
