//! Course: the trade's own words as types. Pure: no clock, no disk, no ledger.
//!
//! What happens to these things is said by [`crate::entry`]; what it adds up to by
//! [`crate::standing`].

mod calendar;
mod dive;
mod id;
mod kit;
mod media;
mod name;
mod outline;
mod outline_check;
mod person;
mod policy;
mod policy_check;
mod run;
mod session;
mod setting;
mod site;
mod staff;
pub mod starter;

pub use calendar::{Away, Slot};
pub use dive::{DiveLog, GasUsed, WeightCheck, WeightVerdict};
pub(crate) use id::equals_its_text;
pub use id::{
    BadId, BlockId, CourseId, EntryId, LedgerId, MethodId, PieceId, RuleId, SessionId, ShopId,
    SiteId, SkillId, SlipId, StaffId, StudentId,
};
pub use kit::{KitKind, KitName, KitPiece, KitWrong, Sizes};
pub use media::{MOST_PICTURE, MOST_SOUND, Media, MediaFault};
pub use name::{clean_line, composed, finds, folded, is_blank, one_name, shown_line};
pub use outline::{
    Block, Demand, Family, Measure, Method, MethodsNeeded, MinuteRange, Outline, Requirement,
    Skill, Slip,
};
pub(crate) use outline_check::suits;
pub use outline_check::{MOST_SKILLS, OutlineFault};
pub use person::{
    AdultSeen, AgeKnown, BodyMeasures, EmergencyContact, OF_AGE, PersonDetails, age_on,
};
pub use policy::{
    AscentsOf, Before, CapOf, ClearanceKind, Gate, Policy, PolicyRule, RecordClass, Rule,
};
pub use policy_check::PolicyFault;
pub use run::{RunBy, RunForm, RunPlace, SkillRun};
pub use session::{Condition, SessionPlan, StationPlan, StationRunPlan, WaterPlan};
pub use setting::{Setting, WaterKind};
pub use site::{Alarm, EmergencyPlan, Position, Site};
pub use staff::{Role, StaffPaper};
