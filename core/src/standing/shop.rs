//! Shop standing: staff, outlines, policies and courses, from the shop's ledger.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::course::PolicyNow;
use super::kit::KitFiles;
use super::listing::Listings;
use super::tally::{Counted, Tally};
use crate::course::{
    CourseId, EmergencyPlan, EntryId, Outline, Role, Site, SiteId, StaffId, StaffPaper, StudentId,
};
use crate::entry::{Body, CourseListed, HoldOn, HoldSet, Kind, StaffRenewed};
use crate::trust::{Line, Verdict};

/// What the shop's entries come to.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ShopStanding {
    tally: Tally,
    kinds: BTreeMap<Kind, BTreeSet<EntryId>>,
    pub(super) courses: BTreeMap<CourseId, BTreeSet<EntryId>>,
    staff: BTreeMap<StaffId, BTreeSet<EntryId>>,
    pub(super) listings: Listings,
    pub(super) kit: KitFiles,
    dropped: BTreeSet<CourseId>,
    forgotten: BTreeSet<StudentId>,
}

impl ShopStanding {
    /// Works everything out from all lines.
    pub fn read<'a>(lines: impl IntoIterator<Item = (EntryId, &'a Line, Verdict)>) -> Self {
        let mut shop = Self::default();
        for (id, line, verdict) in lines {
            shop.take(id, line, verdict);
        }
        shop
    }

    /// Takes one more line.
    pub fn take(&mut self, id: EntryId, line: &Line, verdict: Verdict) {
        self.listings = Listings::default();
        let Some(counted) = self.tally.take(id, line, verdict) else {
            return;
        };
        let body = &counted.entry.body;
        self.kinds.entry(body.kind()).or_default().insert(id);
        self.kit.add(id, body);
        if let Body::CourseListed(listed) = body {
            self.courses.entry(listed.course).or_default().insert(id);
        } else if let Body::StaffJoined(joined) = body {
            self.staff.entry(joined.staff).or_default().insert(id);
        } else if let Body::CourseDropped(dropped) = body {
            self.dropped.insert(dropped.course);
        } else if let Body::PersonForgotten(forgotten) = body {
            self.forgotten.insert(forgotten.student);
        }
    }

    /// The entries themselves.
    pub const fn tally(&self) -> &Tally {
        &self.tally
    }

    /// Every entry of a kind, standing or not, by id.
    pub fn all_of_kind(&self, kind: Kind) -> Vec<EntryId> {
        self.kinds
            .get(&kind)
            .into_iter()
            .flatten()
            .copied()
            .collect()
    }

    fn latest_of(&self, kind: Kind) -> Option<&Counted> {
        self.tally.latest_one(self.kinds.get(&kind)?, |_| ())
    }

    /// The shop's name.
    pub fn name(&self) -> Option<&str> {
        if let Body::ShopOpened(opened) = &self.latest_of(Kind::ShopOpened)?.entry.body {
            Some(&opened.name)
        } else {
            None
        }
    }

    /// Staff by id, with the name in force.
    pub fn staff(&self) -> BTreeMap<StaffId, String> {
        let named = self.staff.keys();
        named
            .filter_map(|id| Some((*id, self.staff_name(id)?.to_owned())))
            .collect()
    }

    /// The name of a member of staff: the one that the shop gave, if it gave one. Else an
    /// instructor could put another name beside what a colleague judged.
    pub fn staff_name(&self, id: &StaffId) -> Option<&str> {
        let entries = self.staff.get(id)?;
        let by_shop = entries.iter().filter(|id| self.is_of_the_shop(id));
        let named = self.tally.latest_one(by_shop, |_| ());
        let named = named.or_else(|| self.tally.latest_one(entries, |_| ()));
        if let Body::StaffJoined(joined) = &named?.entry.body {
            Some(&joined.name)
        } else {
            None
        }
    }

    /// Whether the shop itself named this member of staff.
    pub fn is_named_by_shop(&self, id: &StaffId) -> bool {
        let mut entries = self.staff.get(id).into_iter().flatten();
        entries.any(|id| self.is_of_the_shop(id))
    }

    fn is_of_the_shop(&self, id: &EntryId) -> bool {
        let one = self.tally.standing(id);
        one.is_some_and(|one| one.writer.role == Role::Shop)
    }

    /// What holds of something that a member of staff renews. Of several seen apart the one
    /// that ends first: asking for it again costs a minute.
    pub fn renewal(&self, staff: &StaffId, what: StaffPaper) -> Option<(&Counted, &StaffRenewed)> {
        let ids = self.renewal_entries(staff, what);
        let one = self.tally.latest_one(&ids, |entry| {
            // The greatest holds: no end is the least, and an early end more than a late one.
            if let Body::StaffRenewed(renewed) = &entry.body {
                renewed.until.map(std::cmp::Reverse)
            } else {
                None
            }
        })?;
        if let Body::StaffRenewed(renewed) = &one.entry.body {
            Some((one, renewed))
        } else {
            None
        }
    }

    /// Every standing entry about such a renewal, by id: the `after` of the next.
    pub fn renewal_entries(&self, staff: &StaffId, what: StaffPaper) -> Vec<EntryId> {
        let of_kind = self.kinds.get(&Kind::StaffRenewed).into_iter().flatten();
        of_kind
            .filter(|id| {
                self.tally.standing(id).is_some_and(|one| {
                    matches!(&one.entry.body, Body::StaffRenewed(renewed)
                        if renewed.staff == *staff && renewed.what == what)
                })
            })
            .copied()
            .collect()
    }

    /// Every standing entry of a kind, by id.
    pub(super) fn all_standing(&self, kind: Kind) -> impl Iterator<Item = &Counted> {
        let ids = self.kinds.get(&kind).into_iter().flatten();
        ids.filter_map(|id| self.tally.standing(id))
    }

    /// Every standing entry of a kind that `of` takes something from.
    fn standing_of<'a, T>(
        &'a self,
        kind: Kind,
        of: impl Fn(&'a Body) -> Option<T>,
    ) -> impl Iterator<Item = (&'a Counted, T)> {
        let ids = self.kinds.get(&kind).into_iter().flatten();
        let standing = ids.filter_map(|id| self.tally.standing(id));
        standing.filter_map(move |one| Some((one, of(&one.entry.body)?)))
    }

    /// The sites of the school as they were last described, by id.
    pub fn sites(&self) -> BTreeMap<SiteId, &Site> {
        let mut entries: BTreeMap<SiteId, Vec<EntryId>> = BTreeMap::new();
        for (one, site) in self.standing_of(Kind::SiteSet, site_of) {
            entries.entry(site).or_default().push(one.entry.id);
        }
        let latest = |ids: &[EntryId]| {
            if let Body::SiteSet(set) = &self.tally.latest_one(ids, |_| ())?.entry.body {
                Some(&set.details)
            } else {
                None
            }
        };
        let sites = entries.iter();
        sites
            .filter_map(|(site, ids)| Some((*site, latest(ids)?)))
            .collect()
    }

    /// A site as it was last described.
    pub fn site(&self, site: &SiteId) -> Option<&Site> {
        self.sites().remove(site)
    }

    /// The site of this name; of several the one that was there first is not known, so the
    /// least id is taken, on every device the same.
    pub fn site_named(&self, name: &str) -> Option<(SiteId, &Site)> {
        let mut sites = self.sites().into_iter();
        sites.find(|(_, site)| site.is_called(name))
    }

    /// Every standing entry that described a site, by id: the `after` of the next.
    pub fn site_entries(&self, site: &SiteId) -> Vec<EntryId> {
        let of = self.standing_of(Kind::SiteSet, site_of);
        of.filter(|(_, one)| one == site)
            .map(|(one, _)| one.entry.id)
            .collect()
    }

    /// The emergency plan of a site, with the entry that set it.
    pub fn emergency(&self, site: &SiteId) -> Option<(&Counted, &EmergencyPlan)> {
        let ids = self.emergency_entries(site);
        let one = self.tally.latest_one(&ids, |_| ())?;
        if let Body::EmergencySet(set) = &one.entry.body {
            Some((one, &set.plan))
        } else {
            None
        }
    }

    /// Every standing entry that set the emergency plan of a site, by id.
    pub fn emergency_entries(&self, site: &SiteId) -> Vec<EntryId> {
        let of = self.standing_of(Kind::EmergencySet, |body| {
            if let Body::EmergencySet(set) = body {
                Some(set.site)
            } else {
                None
            }
        });
        of.filter(|(_, one)| one == site)
            .map(|(one, _)| one.entry.id)
            .collect()
    }

    /// The latest confirmation of a site's emergency plan as it is now, by its writer's clock.
    pub fn emergency_confirmed(&self, site: &SiteId) -> Option<&Counted> {
        let (plan, _) = self.emergency(site)?;
        let plan = plan.entry.id;
        let of = self.standing_of(Kind::EmergencyConfirmed, |body| {
            if let Body::EmergencyConfirmed(confirmed) = body {
                Some((confirmed.site, confirmed.plan))
            } else {
                None
            }
        });
        of.filter(|(_, about)| *about == (*site, plan))
            .map(|(one, _)| one)
            .max_by_key(|one| (one.entry.at, one.entry.id))
    }

    /// The shop's outline: what a new course adopts.
    pub fn outline(&self) -> Option<(EntryId, &Outline)> {
        let one = self.latest_of(Kind::OutlineSet)?;
        if let Body::OutlineSet(set) = &one.entry.body {
            Some((one.entry.id, &set.outline))
        } else {
            None
        }
    }

    /// The shop's policy with its confirmations.
    pub fn policy(&self) -> Option<PolicyNow> {
        let one = self.latest_of(Kind::PolicySet)?;
        let confirmations = self
            .kinds
            .get(&Kind::PolicyConfirmed)
            .into_iter()
            .flatten()
            .filter_map(|id| self.tally.standing(id));
        if let Body::PolicySet(set) = &one.entry.body {
            Some(PolicyNow::of(one.entry.id, set, &self.tally, confirmations))
        } else {
            None
        }
    }

    /// Every listed course as it was last listed by who may; those that were dropped are not.
    pub fn courses(&self) -> impl Iterator<Item = &CourseListed> {
        let courses = self.listings().iter();
        courses
            .filter(move |(id, _)| !self.is_dropped(id))
            .map(|(_, listed)| listed)
    }

    /// A listed course, as it was last listed by who may.
    pub fn course(&self, id: &CourseId) -> Option<&CourseListed> {
        self.listings().get(id)
    }

    /// Every entry that listed a course, by id: the `after` of the next.
    pub fn course_entries(&self, id: &CourseId) -> Vec<EntryId> {
        self.courses
            .get(id)
            .into_iter()
            .flatten()
            .copied()
            .collect()
    }

    /// Every entry that named a member of staff, by id.
    pub fn staff_entries(&self, id: &StaffId) -> Vec<EntryId> {
        self.staff.get(id).into_iter().flatten().copied().collect()
    }

    /// What is held back from deletion on a day, with the entry and the words that hold it.
    pub fn holds(&self, day: NaiveDate) -> BTreeMap<HoldOn, (EntryId, &HoldSet)> {
        let mut holds = BTreeMap::new();
        for id in self.kinds.get(&Kind::HoldSet).into_iter().flatten() {
            if let Some(one) = self.tally.standing(id)
                && let Body::HoldSet(hold) = &one.entry.body
                && hold.until.is_none_or(|until| day <= until)
            {
                holds.entry(hold.on).or_insert((*id, hold));
            }
        }
        holds
    }

    /// Courses that shall be dropped.
    pub fn dropped(&self) -> BTreeSet<CourseId> {
        self.dropped.clone()
    }

    /// Whether a course shall be dropped: asked of every ledger at every frame.
    pub fn is_dropped(&self, course: &CourseId) -> bool {
        self.dropped.contains(course)
    }

    /// People whose details shall be dropped.
    pub fn forgotten(&self) -> BTreeSet<StudentId> {
        self.forgotten.clone()
    }

    /// Whether a person's details shall be dropped: asked of every ledger at every frame.
    pub fn is_forgotten(&self, student: &StudentId) -> bool {
        self.forgotten.contains(student)
    }
}

const fn site_of(body: &Body) -> Option<SiteId> {
    if let Body::SiteSet(set) = body {
        Some(set.site)
    } else {
        None
    }
}
