//! Facts: what the rules ask of a ledger, answered from the standings: for a view that says
//! what may be done, and for the desk that records it.

use chrono::NaiveDate;

use crate::course::{
    AgeKnown, CourseId, EntryId, KitKind, KitWrong, LedgerId, Outline, PieceId, Policy, SessionId,
    SiteId, SkillId, StaffId, StudentId,
};
use crate::entry::{Body, CourseState, DeviceKey, Facts, HoldOn, Kind, Who, Writer};
use crate::plan::before_completion;
use crate::standing::{CellState, CourseStanding, ShopStanding, Tally};
use crate::trust::TrustBook;

/// The facts of one ledger, as this device knows it.
pub(crate) struct KnownFacts<'a> {
    pub(crate) ledger: &'a LedgerId,
    pub(crate) shop: &'a ShopStanding,
    pub(crate) book: &'a TrustBook,
    /// For a course's ledger.
    pub(crate) course: Option<&'a CourseStanding>,
    pub(crate) today: NaiveDate,
    /// The key of the device that would write, where the question is about the shop.
    pub(crate) own: Option<DeviceKey>,
    /// What is known of a student's age, where this device has the details.
    pub(crate) age: &'a dyn Fn(&StudentId) -> AgeKnown,
}

impl KnownFacts<'_> {
    fn tally(&self) -> Option<&Tally> {
        match (self.ledger, self.course) {
            (LedgerId::Shop(_), _) => Some(self.shop.tally()),
            (LedgerId::Course(_), Some(course)) => Some(course.tally()),
            (LedgerId::Course(_), None) | (LedgerId::Person(_), _) => None,
        }
    }
}

impl Facts for KnownFacts<'_> {
    fn outline(&self) -> Option<&Outline> {
        self.course.and_then(CourseStanding::outline)
    }

    fn policy_of(&self, entry: &EntryId) -> Option<&Policy> {
        if let Body::PolicySet(set) = &self.tally()?.standing(entry)?.entry.body {
            Some(&set.policy)
        } else {
            None
        }
    }

    fn has_student(&self, student: &StudentId) -> bool {
        self.course
            .is_some_and(|course| course.has_student(student))
    }

    fn is_senior(&self, staff: &StaffId) -> bool {
        self.book.is_senior(staff)
    }

    fn may_shut_out(&self, by: Writer, key: &DeviceKey) -> bool {
        let root = self.book.root();
        let is_root = self.book.writer(root) == Some(by);
        let with = if is_root { Some(*root) } else { self.own };
        with.is_some_and(|with| self.book.may_shut_out(&with, key))
    }

    fn is_named_by_shop(&self, staff: &StaffId) -> bool {
        self.shop.is_named_by_shop(staff)
    }

    fn has_staff(&self, staff: &StaffId) -> bool {
        self.shop.staff_name(staff).is_some()
            || self
                .book
                .writer(self.book.root())
                .is_some_and(|root| root.staff == *staff)
    }

    fn session_open(&self, session: &SessionId) -> Option<bool> {
        self.course?
            .sessions()
            .get(session)
            .map(|now| now.cancelled.is_none())
    }

    fn entry(&self, entry: &EntryId) -> Option<(Kind, StaffId, bool)> {
        self.tally()?.known(entry)
    }

    fn confirmed(&self, attempt: &EntryId) -> bool {
        self.tally()
            .is_some_and(|tally| tally.is_stood_behind(attempt))
    }

    fn waits(&self, attempt: &EntryId) -> bool {
        self.course.is_some_and(|course| course.waits(attempt))
    }

    fn exempt(&self, student: &StudentId, skill: &SkillId) -> bool {
        self.course
            .and_then(|course| course.cells().get(&(*student, skill.clone())))
            .is_some_and(|cell| cell.state == CellState::Exempt)
    }

    fn ended(&self, student: &StudentId) -> bool {
        self.course
            .is_some_and(|course| course.completion(student).is_some())
    }

    fn needs_settling(&self, student: &StudentId, skill: &SkillId) -> bool {
        self.course
            .and_then(|course| course.cells().get(&(*student, skill.clone())))
            .is_some_and(|cell| cell.state == CellState::TwoViews || cell.slipped_since)
    }

    fn completion_gaps(&self, student: &StudentId) -> usize {
        self.course.map_or(1, |course| {
            before_completion(course, student, self.today, (self.age)(student)).len()
        })
    }

    fn held(&self, on: &HoldOn, day: NaiveDate) -> Option<EntryId> {
        self.shop.holds(day).get(on).map(|(entry, _)| *entry)
    }

    fn has_site(&self, site: &SiteId) -> bool {
        self.shop.site(site).is_some()
    }

    fn piece_in_use(&self, piece: &PieceId) -> Option<bool> {
        Some(self.shop.piece(piece)?.retired.is_none())
    }

    fn pieces_numbered(&self, kind: KitKind, number: &str) -> Vec<PieceId> {
        self.shop.pieces_numbered(kind, number)
    }

    fn piece_wrong(&self, piece: &PieceId, session: &SessionId) -> Vec<KitWrong> {
        let held = self
            .course
            .and_then(|course| course.sessions().get(session));
        let on = held.map_or(self.today, |now| now.plan.starts.date_naive());
        self.shop.kit_wrong(piece, on)
    }

    fn piece_out(&self, piece: &PieceId) -> Option<(EntryId, Who)> {
        let out = self.course?.piece_with(piece);
        out.first().map(|(one, issued)| (one.entry.id, issued.to))
    }

    fn is_mended(&self, fault: &EntryId) -> bool {
        self.shop.kit_mended(fault).is_some()
    }

    fn is_returned(&self, issue: &EntryId) -> bool {
        self.course.is_some_and(|course| course.is_returned(issue))
    }

    fn listed(&self, course: &CourseId) -> Option<CourseState> {
        self.shop.course(course).map(|listed| listed.state)
    }

    fn may_list(&self, course: &CourseId, staff: &StaffId) -> bool {
        let listed = self.shop.course(course);
        listed.is_none_or(|listed| listed.staff.contains(staff))
    }

    fn about(&self, student: &StudentId) -> Vec<EntryId> {
        self.course
            .map_or_else(Vec::new, |course| course.considered(student))
    }
}
