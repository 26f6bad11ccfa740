//! Handover: a school that started alone becomes part of a shop, with everything it has.
//!
//! It keeps its ids and its entries; what changes is who vouches for them. While it pairs,
//! the lone tablet hands over who works there, on which devices, which courses it has and
//! where its keys stand in each, signed with its own root key. The shop writes down
//! these people and courses as its own, issues certificates for their keys, and shuts the
//! root key of the lone school out from there on: what it signed before stands, and it can
//! write nothing more. From then on the tablet is a device of the shop; the courses come
//! with the first exchange.

mod kit;

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use super::drafts::Drafts;
use super::shelf::Shelf;
use super::{Desk, DeskError};
use crate::course::{CourseId, EntryId, LedgerId, Role, StaffId, StudentId};
use crate::entry::{
    Body, Certificate, CourseDropped, CourseListed, DeviceKey, HoldOn, HoldSet, Kind,
    PersonForgotten, Refusal, Revocation, StaffJoined, Withdrawal,
};
use crate::link::pairing::{Guest, Joined, Paired};
use crate::standing::ShopStanding;
use crate::trust::{SecretKey, is_signed_as, shop_id};
use kit::Kit;

/// What the signature starts with.
const DOMAIN: &[u8] = b"tallywater handover 2\0";
/// Under which the ledger of the shop that a device left is kept, with the ledger's name.
const FORMER: &str = "former ";

/// What a school that started alone says of itself.
#[derive(Debug, Serialize, Deserialize)]
struct Handover {
    /// The device that joins with it.
    device: DeviceKey,
    /// The school's root key.
    root: DeviceKey,
    /// What it is called.
    name: String,
    staff: Vec<StaffJoined>,
    certificates: Vec<Certificate>,
    revoked: Vec<Revocation>,
    courses: Vec<CourseListed>,
    #[serde(default)]
    forgotten: Vec<PersonForgotten>,
    #[serde(default)]
    dropped: Vec<CourseDropped>,
    #[serde(default)]
    holds: Vec<HoldSet>,
    #[serde(default)]
    kit: Kit,
    /// The last entries of its root key, course by course and person by person.
    held: BTreeMap<LedgerId, Vec<EntryId>>,
}

impl Handover {
    /// Reads what was brought; `None` unless the root key it names has signed it for this
    /// very device.
    fn read(bytes: &[u8], device: &DeviceKey) -> Option<Self> {
        let (signature, said) = bytes.split_first_chunk::<64>()?;
        let handover: Self = serde_json::from_slice(said).ok()?;
        let signed = is_signed_as(DOMAIN, &handover.root, signature, said);
        (signed && handover.device == *device).then_some(handover)
    }

    /// The keys that open its devices' connections.
    fn links(&self) -> impl Iterator<Item = &DeviceKey> {
        self.certificates.iter().filter_map(|one| one.link.as_ref())
    }

    /// The person that the root key wrote as.
    fn office(&self) -> StaffId {
        StaffId::new(shop_id(&self.root).uuid())
    }

    fn is_sound(&self) -> bool {
        let keys: BTreeSet<&DeviceKey> = self.certificates.iter().map(|one| &one.key).collect();
        let staff: BTreeSet<&StaffId> = self.staff.iter().map(|one| &one.staff).collect();
        let courses: BTreeSet<&CourseId> = self.courses.iter().map(|one| &one.course).collect();
        let links: Vec<&DeviceKey> = self.links().collect();
        links.iter().collect::<BTreeSet<_>>().len() == links.len()
            && keys.len() == self.certificates.len()
            && staff.len() == self.staff.len()
            && courses.len() == self.courses.len()
            && !keys.contains(&self.root)
            && !staff.contains(&self.office())
            && self
                .certificates
                .iter()
                .all(|one| staff.contains(&one.staff))
            && self.names_only_its_own(&courses)
            && self.kit.is_sound()
            && self.certificates.iter().any(|one| {
                one.key == self.device
                    && one.role == Role::Instructor
                    && self.revoked.iter().all(|revoked| revoked.key != one.key)
            })
    }
}

impl Handover {
    /// Whether it says where keys stood only in ledgers that are its own to speak of: courses
    /// that it lists, and people. In a shop's ledger, above all the one that takes it in, its
    /// keys have written nothing that may count there.
    fn names_only_its_own(&self, courses: &BTreeSet<&CourseId>) -> bool {
        let all = self.revoked.iter().map(|revoked| &revoked.held);
        all.chain([&self.held])
            .flat_map(BTreeMap::keys)
            .all(|ledger| match ledger {
                LedgerId::Shop(_) => false,
                LedgerId::Course(course) => courses.contains(course),
                LedgerId::Person(_) => true,
            })
    }
}

/// Every standing entry of a kind in the shop's ledger, as this body.
fn standing<T: Clone>(shop: &ShopStanding, kind: Kind, of: impl Fn(&Body) -> Option<&T>) -> Vec<T> {
    shop.all_of_kind(kind)
        .iter()
        .filter_map(|id| shop.tally().standing(id))
        .filter_map(|one| of(&one.entry.body).cloned())
        .collect()
}

macro_rules! as_body {
    ($kind:ident) => {
        |body: &Body| {
            if let Body::$kind(body) = body {
                Some(body)
            } else {
                None
            }
        }
    };
}

impl Shelf {
    /// Whether this device's shop is a school of its own that an instructor started alone.
    pub(super) fn is_lone(&self) -> bool {
        self.device.root.is_some()
            && self
                .writer()
                .is_some_and(|writer| writer.role == Role::Instructor)
    }

    /// Whether the shop has an office: a computer that acts as the shop. Whoever works for one
    /// follows nobody elsewhere.
    fn has_office(&self) -> bool {
        self.book.as_ref().is_some_and(|book| {
            let mut certificates = book.certificates();
            certificates.any(|(_, certificate)| certificate.role == Role::Shop)
        })
    }

    /// What this device hands over when it joins a shop; `None` where there is nothing to.
    pub(super) fn handover(&mut self) -> Result<Option<Vec<u8>>, DeskError> {
        if !self.is_lone() {
            return Ok(None);
        }
        let Some(own) = self.device.root.as_ref().map(SecretKey::public) else {
            return Ok(None);
        };
        let shop = self.device.shop_ledger()?;
        let mut held = self.all_held(&own)?;
        held.remove(&shop);
        let mut revoked = standing(
            &self.shop()?.0.standing,
            Kind::Revocation,
            as_body!(Revocation),
        );
        for one in &mut revoked {
            one.held.remove(&shop);
        }
        let (shop, book) = self.shop()?;
        let shop = &shop.standing;
        let Some(root) = &self.device.root else {
            return Ok(None);
        };
        let staff = shop.staff().into_iter();
        let handover = Handover {
            device: self.device.key.public(),
            root: root.public(),
            name: shop.name().unwrap_or_default().to_owned(),
            staff: staff
                .map(|(staff, name)| StaffJoined { staff, name })
                .collect(),
            certificates: book.certificates().map(|(_, one)| one.clone()).collect(),
            revoked,
            courses: shop.courses().cloned().collect(),
            forgotten: standing(shop, Kind::PersonForgotten, as_body!(PersonForgotten)),
            dropped: standing(shop, Kind::CourseDropped, as_body!(CourseDropped)),
            holds: standing(shop, Kind::HoldSet, as_body!(HoldSet)),
            kit: Kit::of(shop),
            held,
        };
        let said = serde_json::to_vec(&handover).map_err(|_| Refusal::NotAdmitted)?;
        Ok(Some([root.sign(DOMAIN, &said).as_slice(), &said].concat()))
    }

    /// What the shop writes down to take a school in.
    fn takeover_drafts(&self, paired: &Paired, guest: &Guest) -> Result<Drafts, DeskError> {
        // Whoever shows the code has said what the guest shall be; a school's instructor
        // becomes no more and no less.
        let refused = || DeskError::from(Refusal::NotAdmitted);
        if guest.role != Role::Instructor {
            return Err(refused());
        }
        let handover = Handover::read(&paired.brought, &paired.signing).ok_or_else(refused)?;
        if !handover.is_sound() {
            return Err(refused());
        }
        let (shop, book) = self.shop()?;
        if book.certificate(&handover.root).is_some() {
            // It was taken in before, and the welcome was lost on the way.
            let known = book.certificate(&paired.signing).is_some();
            return if known && !book.is_revoked(&paired.signing) {
                Ok(Drafts::none())
            } else {
                Err(refused())
            };
        }
        self.is_all_new(&handover)?;
        let ledger = self.device.shop_ledger()?;
        let mut drafts = Drafts::none();
        let mut add = |body: Body| {
            drafts
                .list
                .extend(Drafts::one(ledger, body, Vec::new()).list)
        };
        let office = StaffJoined {
            staff: handover.office(),
            name: handover.name.clone(),
        };
        add(office.into());
        for one in &handover.staff {
            add(one.clone().into());
        }
        let own = Certificate {
            staff: handover.office(),
            role: Role::Shop,
            device: handover.name.clone(),
            key: handover.root,
            link: None,
            from: self.today(),
            until: None,
            consent: None,
        };
        let mut shut_out: Vec<Revocation> = handover.revoked.clone();
        for one in handover.certificates.iter().chain([&own]) {
            add(one.clone().into());
            let is_out = shut_out.iter().any(|revoked| revoked.key == one.key);
            // Its root key, and an office of its own: here there is a shop already.
            if one.role == Role::Shop && !is_out {
                shut_out.push(Revocation {
                    key: one.key,
                    why: "its school joined this shop".to_owned(),
                    held: handover.held.clone(),
                });
            }
        }
        for one in shut_out {
            add(one.into());
        }
        for one in &handover.courses {
            add(one.clone().into());
        }
        for one in &handover.holds {
            add(one.clone().into());
        }
        for one in &handover.forgotten {
            add(one.clone().into());
        }
        for one in &handover.dropped {
            add(one.clone().into());
        }
        let kit = &handover.kit;
        let now = self.stamps.now();
        for body in kit.bodies(&handover.name, &shop.standing, now) {
            add(body);
        }
        // The person the code was shown for comes with the school: a name that was only
        // made to show a code is taken back.
        let named = &guest.staff;
        let used = book.certificates().any(|(_, one)| one.staff == *named)
            || shop.standing.courses().any(|one| one.staff.contains(named));
        let own = self.writer().map(|writer| writer.staff);
        let named_by = |entry: &EntryId| {
            let one = shop.standing.tally().get(entry);
            one.map(|one| one.entry.by)
        };
        for entry in shop.standing.staff_entries(named) {
            if !used && own.is_some() && named_by(&entry) == own {
                add(Withdrawal { entry, why: None }.into());
            }
        }
        Ok(drafts)
    }

    /// A school brings its own ids. One that the shop knows already would let it speak for
    /// somebody else.
    fn is_all_new(&self, handover: &Handover) -> Result<(), DeskError> {
        let (shop, book) = self.shop()?;
        let staff = |id: &StaffId| shop.standing.staff_name(id).is_some();
        let key = |key: &DeviceKey| key == book.root() || book.certificate(key).is_some();
        let known_staff =
            staff(&handover.office()) || handover.staff.iter().any(|one| staff(&one.staff));
        let keys = handover.certificates.iter().map(|one| &one.key);
        let shut_out = handover.revoked.iter().map(|one| &one.key);
        let known_key = keys.chain(shut_out).chain([&handover.root]).any(key);
        // Of two certificates with one connection the wrong one might be found.
        let own = self.device.link_key();
        let known_link = handover.links().any(|link| {
            let mut known = book.certificates();
            *link == own || known.any(|(_, one)| one.link.as_ref() == Some(link))
        });
        let known_kit = !handover.kit.is_new_to(&shop.standing);
        if known_staff || known_key || known_link || known_kit {
            return Err(Refusal::NotAdmitted.into());
        }
        // Nor may it have the shop's own courses or people dropped, or list them as its own.
        let course = |id: &CourseId| -> Result<bool, DeskError> {
            Ok(shop.standing.course(id).is_some() || self.holds(&LedgerId::Course(*id))?)
        };
        let held = handover.holds.iter().map(|one| one.on);
        let mut courses: Vec<CourseId> = handover.courses.iter().map(|one| one.course).collect();
        courses.extend(handover.dropped.iter().map(|one| one.course));
        let mut people: Vec<StudentId> = handover.forgotten.iter().map(|one| one.student).collect();
        let stood = handover.revoked.iter().map(|one| &one.held);
        for ledger in stood.chain([&handover.held]).flat_map(BTreeMap::keys) {
            if let LedgerId::Person(student) = ledger {
                people.push(*student);
            }
        }
        for on in held {
            match on {
                HoldOn::Course(id) => courses.push(id),
                HoldOn::Student(id) => people.push(id),
            }
        }
        for id in &courses {
            if course(id)? {
                return Err(Refusal::NotAdmitted.into());
            }
        }
        for id in people {
            if self.holds(&LedgerId::Person(id))? {
                return Err(Refusal::NotAdmitted.into());
            }
        }
        Ok(())
    }

    /// Whether this device may leave its shop for another: a school that was started alone
    /// takes itself along, and its other devices follow the instructor's that has gone ahead.
    /// Out of a shop with an office nobody is led.
    pub(super) fn may_leave(&self, joined: &Joined) -> bool {
        let follows = self.book.as_ref().is_some_and(|book| {
            let ahead = book.writer(&joined.signing).map(|writer| writer.role);
            ahead == Some(Role::Instructor) && !book.is_revoked(&joined.signing)
        });
        self.is_lone() || (self.device.root.is_none() && !self.has_office() && follows)
    }

    /// This device leaves its shop for the one that has taken it in. The ledger of the one it
    /// leaves is kept aside; that one's root key counts no more.
    pub(super) fn leave_for(&mut self, root: DeviceKey) -> Result<(), DeskError> {
        let old = self.device.shop_ledger()?;
        let kept = self.shop()?.0.ledger.save()?;
        self.store.put_setting(&format!("{FORMER}{old}"), &kept)?;
        self.device.join(root, &mut self.store)?;
        self.device.root = None;
        self.shop = None;
        self.book = None;
        self.courses.clear();
        self.people.clear();
        self.used.clear();
        self.placed = false;
        self.open_shop()?;
        self.drop_former()
    }

    /// Drops the ledger of a shop that this device has left and that is kept aside.
    pub(super) fn drop_former(&mut self) -> Result<(), DeskError> {
        let Some(own) = self.device.shop else {
            return Ok(());
        };
        let own = LedgerId::Shop(shop_id(&own));
        for ledger in self.store.ledgers()? {
            let left = matches!(ledger, LedgerId::Shop(_)) && ledger != own;
            if left && self.store.setting(&format!("{FORMER}{ledger}"))?.is_some() {
                self.store.forget(&ledger)?;
            }
        }
        Ok(())
    }
}

impl Desk {
    /// Whether this device is a school that was started alone, and may join a shop with all
    /// it has.
    pub fn is_lone(&self) -> bool {
        self.shelf().is_lone()
    }

    /// Whether this device may go over to another shop: a school that was started alone, or a
    /// device that follows its instructor's tablet there.
    pub fn may_move(&self) -> bool {
        let shelf = self.shelf();
        let follows = shelf.device.root.is_none() && shelf.device.shop.is_some();
        shelf.is_lone() || (follows && !shelf.has_office())
    }

    /// Takes in a school that a device has brought along.
    pub(super) fn take_over(&self, paired: &Paired, guest: &Guest) -> Result<(), DeskError> {
        let mut guard = self.shelf();
        let drafts = guard.takeover_drafts(paired, guest)?;
        if drafts.list.is_empty() {
            return Ok(());
        }
        let (_, changes) = guard.write_down(drafts)?;
        drop(guard);
        self.tell(&changes);
        Ok(())
    }
}
