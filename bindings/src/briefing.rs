//! The briefing cards of a session.

use tallywater_core::view;

use crate::cross::mirror;
use crate::{Neighbours, Setting, SkillCard, StudentName};

mirror! {
    /// The cards of a session.
    shown record BriefingView = view::BriefingView {
        course: String,
        session: String,
        title: String,
        setting: Setting,
        cards: Vec<BriefingCard>,
        unknown: Vec<String>,
    }

    /// One card.
    shown record BriefingCard = view::BriefingCard {
        skill: SkillCard,
        beside: Neighbours,
        needed_by: Vec<StudentName>,
    }
}
