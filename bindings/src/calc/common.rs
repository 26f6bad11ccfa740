//! What every calculation answers beside its figures.

use crate::{Calculation, CheckedBy, FigureOrigin, FigureStanding};

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

/// Where a calculation comes from: goes on the screen beside its answer.
#[uniffi::export]
pub fn sources(calculation: Calculation) -> Vec<SourceView> {
    let sources = calculation.sources().iter();
    sources
        .map(|source| SourceView {
            citation: source.citation.to_owned(),
            german: source.german.to_owned(),
            origin: source.origin,
        })
        .collect()
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
    let of = |calculation: Calculation| FigureSources {
        sources: sources(calculation),
        checks: calculation
            .checks()
            .iter()
            .map(|check| CheckView {
                by: check.by,
                against: check.against.to_owned(),
                german: check.german.to_owned(),
            })
            .collect(),
        standing: calculation.standing(),
        table_to_be_read: calculation.table_to_be_read(),
        calculation,
    };
    Calculation::ALL.into_iter().map(of).collect()
}
