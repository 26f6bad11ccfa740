//! Staff gaps: what a member of staff lacks before a session, as a screen shows it.

use super::{Day, Leave, Reader};
use crate::course::{SessionPlan, StaffId};
use crate::entry::Kind;
use crate::plan::{StaffMissing, before_staff};
use crate::standing::CourseStanding;

/// One thing that a member of staff lacks.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct StaffGapRow {
    /// What.
    pub what: StaffMissing,
    /// The day it counted until.
    pub ended: Option<Day>,
    /// The kind of entry that would close it.
    pub closes_with: Kind,
    /// Whether the reader may write that.
    pub may_close: Leave,
}

/// What a member of staff lacks before a planned session.
pub(super) fn staff_gaps(
    course: &CourseStanding,
    reader: &Reader<'_>,
    plan: &SessionPlan,
    staff: &StaffId,
) -> Vec<StaffGapRow> {
    let when = (plan.setting, plan.starts.date_naive());
    before_staff(reader.shop, course, staff, when)
        .into_iter()
        .map(|gap| StaffGapRow {
            ended: match &gap.what {
                StaffMissing::Ended(_, day) => Some(reader.day(*day)),
                StaffMissing::Kit { wrong, .. } => wrong.until().map(|day| reader.day(day)),
                StaffMissing::RuleUnconfirmed(_) | StaffMissing::NotRecorded(_) => None,
            },
            may_close: reader.may_write(gap.closes_with),
            closes_with: gap.closes_with,
            what: gap.what,
        })
        .collect()
}
