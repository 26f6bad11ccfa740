//! Plan: gaps, the next session, a forecast. Pure; asks [`crate::standing`], decides
//! nothing for a person.

mod ascents;
mod counting;
mod debrief;
pub mod expect;
mod gap;
mod gather;
mod going;
mod kit;
mod lay;
mod lost;
mod need;
mod next;
mod outlook;
mod room;
pub mod season;
mod shared;
mod site;
mod slots;
pub mod solve;
mod staff;
mod teams;
mod what_if;
mod worth;
mod young;

pub use ascents::{ascents_a_turn, ascents_of_day, ascents_planned};
pub use counting::{counting_dives, counts, dive_number, is_open, open_water_dives};
pub use debrief::{debrief, debriefed};
pub use gap::{Gap, Missing, before_completion, before_session, counts_until};
pub use going::Going;
pub use kit::{KitLineState, KitNeed, kit_needs};
pub use lost::{Changes, LostSession, MovedDay, Offer, StayingSession, move_lost};
pub use need::{brings_on, brings_on_today, may_go_on, still_needs, tried_in};
pub use next::{
    Because, Lacking, LeftOver, NextAsked, NextPlan, Station, StationRun, Why, next_session,
};
pub use outlook::{Outlook, OutlookAsked, OutlookQuestion, Tried, WAYS, chances, history, outlook};
pub use shared::{SharedIn, SlotServes, shared_slot};
pub use site::{SiteMissing, before_site};
pub use slots::{Spacing, free_slots, held_in, is_away, people_of, water_of};
pub use staff::{StaffGap, StaffMissing, before_staff};
pub use teams::{Beside, PairAges, PairRule, Share, pair_ages, pair_rule, propose_teams, share_of};
pub use young::{DepthByAge, depth_by_age};

#[cfg(test)]
mod tests;
