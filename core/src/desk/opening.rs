//! Opening: how a course begins, is titled anew, and comes to its staff.

use chrono::NaiveDate;

use super::request::OutlineFrom;
use super::shelf::Shelf;
use super::{DeskError, Drafts};
use crate::course::{CourseId, LedgerId, Outline, Role, StaffId, starter};
use crate::entry::{
    Assignment, CourseListed, CourseOpened, CourseState, OutlineSet, PolicySet, Refusal,
    RuleConfirmed, Withdrawal,
};

impl Shelf {
    /// The starter outline in the language that this device speaks; a course or a school keeps
    /// the texts by value. The inner error is a program that was built wrong.
    pub(super) fn starter_outline(
        &self,
    ) -> Result<Result<Outline, starter::StarterError>, DeskError> {
        let language = self.store.setting(&super::preference::key("language"))?;
        Ok(if language.as_deref() == Some(b"de".as_slice()) {
            starter::german_outline()
        } else {
            starter::outline()
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
        let course = CourseId::new(self.stamps.id()?);
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
            drafts = drafts.and(
                ledger,
                PolicySet {
                    policy: policy.policy,
                    confirmed,
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
            .all_of_kind(crate::entry::Kind::CourseOpened);
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
