//! Facts that say no to everything, or yes.

use std::sync::OnceLock;

use chrono::NaiveDate;

use super::id;
use crate::course::{
    CourseId, EntryId, KitKind, KitWrong, Outline, PieceId, Policy, SessionId, SiteId, SkillId,
    StaffId, StudentId, starter,
};
use crate::entry::{CourseState, DeviceKey, Facts, HoldOn, Kind, Who, Writer};

pub(super) struct Fake(bool);

impl Fake {
    pub(super) const NOTHING: Self = Self(false);
    pub(super) const EVERYTHING: Self = Self(true);
}

static OUTLINE: OnceLock<Outline> = OnceLock::new();
static POLICY: OnceLock<Policy> = OnceLock::new();

impl Facts for Fake {
    fn outline(&self) -> Option<&Outline> {
        self.0
            .then(|| OUTLINE.get_or_init(|| starter::outline().unwrap()))
    }
    fn policy_of(&self, _: &EntryId) -> Option<&Policy> {
        self.0
            .then(|| POLICY.get_or_init(|| starter::policy().unwrap()))
    }
    fn has_student(&self, _: &StudentId) -> bool {
        self.0
    }
    fn is_senior(&self, _: &StaffId) -> bool {
        !self.0
    }
    fn may_shut_out(&self, _: Writer, _: &DeviceKey) -> bool {
        self.0
    }
    fn is_named_by_shop(&self, _: &StaffId) -> bool {
        !self.0
    }
    fn has_staff(&self, _: &StaffId) -> bool {
        self.0
    }
    fn session_open(&self, _: &SessionId) -> Option<bool> {
        self.0.then_some(true)
    }
    fn entry(&self, entry: &EntryId) -> Option<(Kind, StaffId, bool)> {
        let kinds = [
            (9, Kind::Attempt),
            (10, Kind::AlarmRaised),
            (11, Kind::Incident),
            (12, Kind::IncidentReport),
            (13, Kind::Attachment),
            (14, Kind::KitFault),
            (15, Kind::KitIssued),
            (16, Kind::EmergencySet),
        ];
        let mut kinds = kinds.into_iter().filter(|_| self.0);
        let found = kinds.find(|(n, _)| EntryId::new(id(*n)) == *entry);
        found.map(|(_, kind)| (kind, StaffId::new(id(2)), true))
    }
    fn confirmed(&self, _: &EntryId) -> bool {
        false
    }
    fn waits(&self, _: &EntryId) -> bool {
        self.0
    }
    fn exempt(&self, _: &StudentId, _: &SkillId) -> bool {
        !self.0
    }
    fn ended(&self, _: &StudentId) -> bool {
        !self.0
    }
    fn needs_settling(&self, _: &StudentId, _: &SkillId) -> bool {
        self.0
    }
    fn completion_gaps(&self, _: &StudentId) -> usize {
        usize::from(!self.0)
    }
    fn held(&self, _: &HoldOn, _: NaiveDate) -> Option<EntryId> {
        (!self.0).then(|| EntryId::new(id(9)))
    }
    fn has_site(&self, _: &SiteId) -> bool {
        self.0
    }
    fn piece_in_use(&self, _: &PieceId) -> Option<bool> {
        self.0.then_some(true)
    }
    fn pieces_numbered(&self, _: KitKind, _: &str) -> Vec<PieceId> {
        if self.0 {
            Vec::new()
        } else {
            vec![PieceId::new(id(9))]
        }
    }
    fn piece_wrong(&self, _: &PieceId, _: &SessionId) -> Vec<KitWrong> {
        Vec::new()
    }
    fn piece_out(&self, _: &PieceId) -> Option<(EntryId, Who)> {
        None
    }
    fn is_mended(&self, _: &EntryId) -> bool {
        false
    }
    fn is_returned(&self, _: &EntryId) -> bool {
        false
    }
    fn listed(&self, _: &CourseId) -> Option<CourseState> {
        self.0.then_some(CourseState::Closed)
    }
    fn may_list(&self, _: &CourseId, _: &StaffId) -> bool {
        self.0
    }
    fn about(&self, _: &StudentId) -> Vec<EntryId> {
        if self.0 {
            vec![EntryId::new(id(9))]
        } else {
            Vec::new()
        }
    }
}
