//! What every calculation answers beside its figures.

use tallywater_core::calc;
use tallywater_core::view;

use crate::calc::reckon::{Given as _, Told as _, reckon};

reckon! {
    /// What a screen must say beside a result. All of them also mean: a planning aid, no
    /// permission to dive; local law, the training organisation's standards and a
    /// physician come first.
    word Caution = calc::caution::Caution {
        PlanningAid,
        TableAndComputerFirst,
        GaugeFirst,
        CheckInWater,
        CeilingNotTarget,
        ShortestWait,
        TooFewToProve,
    }

    /// Where a figure comes from, so that a screen can say how far to trust it.
    word FigureOrigin = calc::caution::Origin {
        Published,
        CommonPractice,
        FromMemory,
        OwnEstimate,
        OwnRecord,
        Typed,
    }
}

/// What is published of a calculation.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct SourceView {
    /// Author, title, year and place, as they are cited.
    pub citation: String,
    /// How far to trust what was taken from it.
    pub origin: FigureOrigin,
}

reckon! {
    /// A calculation of the job.
    word Calculation = calc::source::Calculation {
        Water,
        Column,
        Altitude,
        Cylinder,
        CylinderBuoyancy,
        Suit,
        Lead,
        LeadDrop,
        Breathing,
        Reserve,
        Turn,
        Ascent,
        AscentCount,
        NoStop,
        SecondOpinion,
        Flying,
        Supervision,
        Attempts,
        ShareMet,
        Posterior,
        Agreement,
    }
}

/// Where a calculation comes from: goes on the screen beside its answer.
#[uniffi::export]
pub fn sources(calculation: Calculation) -> Vec<SourceView> {
    let asked: calc::source::Calculation = calculation.given(view::Units::Metric);
    let sources = asked.sources().iter();
    sources
        .map(|source| SourceView {
            citation: source.citation.to_owned(),
            origin: source.origin.told(view::Units::Metric),
        })
        .collect()
}
