//! What is asked of the school's own book: its name, staff and devices, outline and policy, the
//! list of courses, sites, slots and absences.

use crate::course::{Away, CourseId, LedgerId, RuleId, Site, SiteId, Slot, StaffId, clean_line};
use crate::desk::request::Scope;
use crate::desk::shelf::Shelf;
use crate::desk::{DeskError, Drafts};
use crate::entry::{
    AwaySet, Body, CourseState, DeviceKey, Kind, PolicyConfirmed, Refusal, Revocation, RuleText,
    ShopOpened, SiteSet, SlotSet, StaffJoined, Who,
};

impl Shelf {
    pub(super) fn rename_shop_drafts(&self, name: &str) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        let name = clean_line(name);
        let after = self.shop()?.0.standing.all_of_kind(Kind::ShopOpened);
        Ok(Drafts::one(shop, ShopOpened { name }, after))
    }

    pub(super) fn join_drafts(&mut self, name: &str) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        let name = clean_line(name);
        let staff = StaffId::new(self.stamps.id()?);
        Ok(Drafts::one(shop, StaffJoined { staff, name }, Vec::new()).making(staff))
    }

    pub(super) fn rename_drafts(&self, staff: StaffId, name: &str) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        let name = clean_line(name);
        let after = self.shop()?.0.standing.staff_entries(&staff);
        Ok(Drafts::one(shop, StaffJoined { staff, name }, after))
    }

    pub(super) fn revoke_drafts(
        &mut self,
        key: DeviceKey,
        why: String,
    ) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        if self.shop()?.1.certificate(&key).is_none() {
            return Err(Refusal::Unknown { what: "device" }.into());
        }
        let held = self.all_held(&key)?;
        Ok(Drafts::one(shop, Revocation { key, why, held }, Vec::new()))
    }

    /// An entry of the shop's book or a course's, after all of its kind there.
    pub(super) fn scoped(
        &mut self,
        scope: Scope,
        body: impl Into<Body>,
    ) -> Result<Drafts, DeskError> {
        let body = body.into();
        let (ledger, after) = self.scope(scope, body.kind())?;
        Ok(Drafts::one(ledger, body, after))
    }

    pub(super) fn confirm_rules_drafts(
        &mut self,
        scope: Scope,
        rules: Vec<RuleId>,
        read: RuleText,
    ) -> Result<Drafts, DeskError> {
        let (ledger, after) = self.scope(scope, Kind::PolicyConfirmed)?;
        let policy = self.policy_entry(scope)?;
        let confirmed = PolicyConfirmed {
            policy,
            rules,
            read,
        };
        Ok(Drafts::one(ledger, confirmed, after))
    }

    pub(super) fn list_drafts(
        &mut self,
        course: CourseId,
        state: CourseState,
    ) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        let opened = self.course(&course)?.standing.opened().cloned();
        let opened = opened.ok_or(Refusal::Unknown { what: "course" })?;
        let (listed, after) = self.listing(course, opened.title, opened.starts, state, None)?;
        Ok(Drafts::one(shop, listed, after))
    }

    pub(super) fn site_drafts(
        &mut self,
        site: Option<SiteId>,
        details: Site,
    ) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        let (site, after) = match site {
            Some(site) => (site, self.shop()?.0.standing.site_entries(&site)),
            None => (SiteId::new(self.stamps.id()?), Vec::new()),
        };
        let details = details.cleaned();
        Ok(Drafts::one(shop, SiteSet { site, details }, after).making(site))
    }

    pub(super) fn slot_drafts(&self, slot: Slot, dropped: bool) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        let slot = slot.cleaned();
        let after = self.shop()?.0.standing.slot_entries(&slot.uid);
        Ok(Drafts::one(shop, SlotSet { slot, dropped }, after))
    }

    /// A student's absence is a course's, that of staff the school's.
    pub(super) fn away_drafts(
        &mut self,
        course: Option<CourseId>,
        who: Who,
        away: Away,
        dropped: bool,
    ) -> Result<Drafts, DeskError> {
        let shop = self.device.shop_ledger()?;
        let away = away.cleaned();
        let (ledger, after) = match course {
            Some(course) => {
                let standing = &self.course(&course)?.standing;
                let after = standing.away_entries(&who, &away.uid);
                (LedgerId::Course(course), after)
            }
            None => (shop, self.shop()?.0.standing.away_entries(&who, &away.uid)),
        };
        Ok(Drafts::one(ledger, AwaySet { who, away, dropped }, after))
    }
}
