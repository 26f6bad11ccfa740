//! Opening: how a course begins, is titled anew, and comes to its staff.

use chrono::NaiveDate;

use super::preference::LANGUAGE;
use super::request::{Admission, OutlineFrom};
use super::shelf::Shelf;
use super::{DeskError, Drafts};
use crate::course::starter::Tongue;
use crate::course::{CourseId, EntryId, LedgerId, Outline, Role, StaffId, clean_line, starter};
use crate::entry::{
    Assignment, Body, Carried, Certificate, Consent, CourseListed, CourseOpened, CourseState, Kind,
    OutlineSet, PolicySet, Refusal, Revocation, RuleConfirmed, Withdrawal, course_id,
};
use crate::trust::is_consented;

impl Shelf {
    /// The starter outline in the language that this device speaks; a course or a school keeps
    /// the texts by value. The inner error is a program that was built wrong.
    pub(super) fn starter_outline(
        &self,
    ) -> Result<Result<Outline, starter::StarterError>, DeskError> {
        Ok(match self.tongue()? {
            Some(Tongue::German) => starter::german_outline(),
            Some(Tongue::English) | None => starter::outline(),
        })
    }

    /// The language that this device is read in, once somebody has said.
    pub(super) fn tongue(&self) -> Result<Option<Tongue>, DeskError> {
        let language = self.store.setting(&super::preference::key(LANGUAGE))?;
        Ok(match language.as_deref() {
            Some(b"de") => Some(Tongue::German),
            Some(b"en") => Some(Tongue::English),
            _ => None,
        })
    }

    /// A course begins with an outline and the shop's policy as they are, by value.
    pub(super) fn open_course_drafts(
        &mut self,
        title: String,
        starts: NaiveDate,
        place: Option<String>,
        outline: OutlineFrom,
        staff: Vec<(StaffId, Role)>,
    ) -> Result<Drafts, DeskError> {
        let outline = match outline {
            OutlineFrom::School => {
                let own = self.shop()?.0.standing.outline();
                own.map(|(_, outline)| outline.clone())
            }
            OutlineFrom::Starter => {
                let starter = self.starter_outline()?;
                Some(starter.map_err(|_| Refusal::Unknown { what: "outline" })?)
            }
            OutlineFrom::Course(course) => {
                let outline = self.course(&course)?.standing.outline().cloned();
                Some(outline.ok_or(Refusal::Unknown { what: "outline" })?)
            }
        };
        let outline = outline.map(|outline| OutlineSet { outline, why: None });
        let course = course_id(self.stamps.id()?, &self.device.key.public());
        self.begin_course_drafts(course, title, starts, place, staff, outline)
    }

    /// A course begins with this outline and the shop's policy as it is, by value.
    pub(super) fn begin_course_drafts(
        &mut self,
        course: CourseId,
        title: String,
        starts: NaiveDate,
        place: Option<String>,
        staff: Vec<(StaffId, Role)>,
        outline: Option<OutlineSet>,
    ) -> Result<Drafts, DeskError> {
        let ledger = LedgerId::Course(course);
        let shop_id = self.device.shop_id()?;
        let policy = self.shop()?.0.standing.policy();
        let opened = CourseOpened {
            title: title.clone(),
            shop: shop_id,
            starts,
            place,
        };
        let mut drafts = Drafts::one(ledger, opened, Vec::new()).making(course);
        if let Some(outline) = outline {
            drafts = drafts.and(ledger, outline, Vec::new());
        }
        if let Some(policy) = policy {
            let confirmed = policy
                .confirmed
                .iter()
                .map(|(rule, held)| RuleConfirmed {
                    rule: rule.clone(),
                    by: held.by,
                    on: held.on,
                    read: held.read.clone(),
                })
                .collect();
            let proofs = self.proofs_of(policy.entry)?;
            drafts = drafts.and(
                ledger,
                PolicySet {
                    policy: policy.policy,
                    confirmed,
                    proofs,
                },
                Vec::new(),
            );
        }
        for (staff, role) in &staff {
            drafts = drafts.and(
                ledger,
                Assignment {
                    staff: *staff,
                    role: *role,
                },
                Vec::new(),
            );
        }
        let listed = CourseListed {
            course,
            title,
            starts,
            staff: staff.into_iter().map(|(staff, _)| staff).collect(),
            state: CourseState::Running,
        };
        Ok(drafts.and(LedgerId::Shop(shop_id), listed, Vec::new()))
    }

    /// The entries that show who confirmed which rule of the shop's policy, for a course that
    /// somebody else than the shop opens.
    fn proofs_of(&mut self, policy: EntryId) -> Result<Vec<Carried>, DeskError> {
        if self.writer().is_some_and(|own| own.role == Role::Shop) {
            return Ok(Vec::new());
        }
        let (shop, _) = self.shop()?;
        let tally = shop.standing.tally();
        let confirmations = shop.standing.all_of_kind(Kind::PolicyConfirmed);
        let about = confirmations.into_iter().filter(|id| {
            tally.standing(id).is_some_and(
                |one| matches!(&one.entry.body, Body::PolicyConfirmed(of) if of.policy == policy),
            )
        });
        let entries = std::iter::once(policy).chain(about);
        let sealed = entries.filter_map(|id| shop.ledger.bytes_of(&id).map(Carried));
        Ok(sealed.collect())
    }

    /// A device is admitted: the first certificate of its key.
    pub(super) fn admit_drafts(
        &mut self,
        a: Admission,
        consent: Option<Consent>,
    ) -> Result<Drafts, DeskError> {
        if self.shop()?.1.writer(&a.key).is_some() {
            let what = "device's key";
            return Err(Refusal::Closed { what }.into());
        }
        let own = self.device.link_key();
        if let Some(consent) = &consent
            && !a
                .link
                .is_some_and(|link| is_consented(consent, &a.key, &link, &own))
        {
            return Err(Refusal::Unknown { what: "device" }.into());
        }
        let certificate = Certificate {
            staff: a.staff,
            role: a.role,
            device: clean_line(&a.device),
            key: a.key,
            link: a.link,
            from: self.today(),
            until: a.until,
            consent,
        };
        let shop = self.device.shop_ledger()?;
        let drafts = Drafts::one(shop, certificate, Vec::new());
        if a.role == Role::Assistant {
            return Ok(drafts);
        }
        self.take_over_drafts(a.staff, drafts)
    }

    /// An assistant whom an instructor admitted takes on another role: from then on no
    /// instructor's word for them counts, and what they marked before must. So the shop gives
    /// its own word for the device they had, and shuts it out from there on: it may be
    /// anybody's who admits assistants.
    fn take_over_drafts(
        &mut self,
        staff: StaffId,
        mut drafts: Drafts,
    ) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        let (_, book) = self.shop()?;
        let had: Vec<(Certificate, bool)> = book
            .vouched_for(&staff)
            .map(|one| (one.clone(), book.is_revoked(&one.key)))
            .collect();
        for (certificate, is_out) in had {
            let key = certificate.key;
            drafts = drafts.and(shop, certificate, Vec::new());
            if !is_out {
                let held = self.all_held(&key)?;
                let why = "its holder took on another role".to_owned();
                drafts = drafts.and(shop, Revocation { key, why, held }, Vec::new());
            }
        }
        Ok(drafts)
    }

    /// The title, first day and place that a course has from now on, in its own ledger and in
    /// the shop's list.
    pub(super) fn retitle_drafts(
        &mut self,
        course: CourseId,
        title: String,
        starts: NaiveDate,
        place: Option<String>,
    ) -> Result<Drafts, DeskError> {
        let after = self
            .course(&course)?
            .standing
            .all_of_kind(Kind::CourseOpened);
        let opened = CourseOpened {
            title,
            shop: self.device.shop_id()?,
            starts,
            place,
        };
        let drafts = Drafts::one(LedgerId::Course(course), opened.clone(), after);
        self.and_listed(drafts, course, &opened, None, None)
    }

    /// A member of staff works on a course from now on.
    pub(super) fn assign_drafts(
        &mut self,
        course: CourseId,
        staff: StaffId,
        role: Role,
    ) -> Result<Drafts, DeskError> {
        let standing = &self.course(&course)?.standing;
        let after = standing.assignment_entries(&staff);
        let opened = standing.opened().cloned();
        let opened = opened.ok_or(Refusal::Unknown { what: "course" })?;
        let ledger = LedgerId::Course(course);
        let drafts = Drafts::one(ledger, Assignment { staff, role }, after);
        self.and_listed(drafts, course, &opened, Some(staff), None)
    }

    /// A member of staff works on a course no more: every standing assignment is withdrawn,
    /// and the shop's list no longer lets them have its ledger.
    pub(super) fn take_off_drafts(
        &mut self,
        course: CourseId,
        staff: StaffId,
    ) -> Result<Drafts, DeskError> {
        let standing = &self.course(&course)?.standing;
        let assigned = standing.assignment_entries(&staff);
        let opened = standing.opened().cloned();
        let opened = opened.ok_or(Refusal::Unknown { what: "course" })?;
        if assigned.is_empty() {
            return Err(Refusal::Unknown { what: "staff" }.into());
        }
        let ledger = LedgerId::Course(course);
        let mut drafts = Drafts::none();
        for entry in assigned {
            drafts = drafts.and(ledger, Withdrawal { entry, why: None }, vec![entry]);
        }
        self.and_listed(drafts, course, &opened, None, Some(staff))
    }

    /// These, and the course listed as it then is, in the state it has.
    fn and_listed(
        &mut self,
        drafts: Drafts,
        course: CourseId,
        opened: &CourseOpened,
        more: Option<StaffId>,
        less: Option<StaffId>,
    ) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        let listed = self.shop()?.0.standing.course(&course);
        let state = listed.map(|listed| listed.state).unwrap_or_default();
        let (mut listed, after) =
            self.listing(course, opened.title.clone(), opened.starts, state, more)?;
        listed.staff.retain(|staff| Some(*staff) != less);
        Ok(drafts.and(shop, listed, after))
    }
}
