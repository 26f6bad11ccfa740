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
    /// Author, title, year and place, as they are cited; a practice or an estimate in words.
    pub citation: String,
    /// The same in German.
    pub german: String,
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
        Light,
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
            german: source.german.to_owned(),
            origin: source.origin.told(view::Units::Metric),
        })
        .collect()
}

reckon! {
    /// How a calculation was checked.
    word CheckedBy = calc::check::CheckedBy {
        PublishedValue,
        ReferenceLibrary,
        SecondFormula,
        Remembered,
    }

    /// How far a figure may be trusted: the weakest thing that it rests on.
    word FigureStanding = calc::check::Standing {
        Published,
        Practice,
        FromMemory,
        Estimate,
    }
}

/// One check of a calculation.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct CheckView {
    /// How.
    pub by: CheckedBy,
    /// Against what.
    pub against: String,
    /// The same in German.
    pub german: String,
}

/// A calculation on the page of figures.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct FigureSources {
    /// Which.
    pub calculation: Calculation,
    /// What it rests on, the weightiest first.
    pub sources: Vec<SourceView>,
    /// What it was checked against.
    pub checks: Vec<CheckView>,
    /// How far to trust it.
    pub standing: FigureStanding,
    /// Whether a person has still to hold its table beside the printed one.
    pub table_to_be_read: bool,
}

/// Every calculation with its sources, its checks and how far to trust it.
#[uniffi::export]
pub fn figure_sources() -> Vec<FigureSources> {
    let of = |one: calc::source::Calculation| {
        let metric = view::Units::Metric;
        let calculation: Calculation = one.told(metric);
        FigureSources {
            sources: sources(calculation.clone()),
            calculation,
            checks: one
                .checks()
                .iter()
                .map(|check| CheckView {
                    by: check.by.told(metric),
                    against: check.against.to_owned(),
                    german: check.german.to_owned(),
                })
                .collect(),
            standing: one.standing().told(metric),
            table_to_be_read: one.table_to_be_read(),
        }
    };
    calc::source::Calculation::ALL.into_iter().map(of).collect()
}
