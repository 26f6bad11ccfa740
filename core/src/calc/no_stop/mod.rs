//! No-stop limits: the published table first, a published model beside it, the shorter one counts.
//!
//! Holds the U.S. Navy's air tables as they are printed, a day of dives for one person and for a
//! class, the second opinion of a dissolved-gas model, and the wait before flying. Knows no
//! student and no clock. Nothing here is permission to dive: the printed table and the diver's own
//! computer come first.

mod class;
mod day;
mod entry;
mod flying;
mod model;
mod opinion;
mod sheet;
mod site;
mod table;

pub use class::{ClassLimit, PersonDay, class_limit};
pub use day::{BeyondLimit, DayLine, DayPlan, Link, PlannedDive, day_plan};
pub use entry::{DiveEnd, NoStop, Residual, no_stop, no_stop_end};
pub use flying::{DivesBefore, FlyingWait, PublishedWait, Recommendation, flying_wait};
pub use model::{GradientFactors, ModelLimit, Tissues};
pub use opinion::{Opinion, SecondOpinion, second_opinion};
pub use site::{NoStopSite, arrival_group};
pub use table::{
    AfterInterval, Group, Limit, TABLE_DEEPEST, after_interval, table_limit, table_row,
};
