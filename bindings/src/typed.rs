//! Typed: number pads send what was typed; here it becomes a figure in base units, and a
//! figure in base units becomes what is shown.

use tallywater_core::view::{self, BadFigure};

use crate::cross::{Asked as _, Shown as _, mirror};
use crate::{Fault, Figure, MeasureKind, Measured, Tallywater, UnitOfMeasure, bounds};

mirror! {
    /// What a typed figure is, by the base unit it is kept in.
    asked enum FigureKind = view::FigureKind {
        Depth,
        Way,
        WayMetres,
        Altitude,
        Pressure,
        Lead,
        Cylinder,
        Temperature,
        Rate,
        Seconds,
        Minutes,
        Percent,
        Count,
    }
}

#[uniffi::export]
impl Tallywater {
    /// The figure behind what was typed for one part of a requirement, to go into a mark.
    pub fn read_measure(&self, kind: MeasureKind, text: String) -> Result<Measured, Fault> {
        let (kind, units): (view::MeasureKind, view::Units) = (kind.asked()?, self.core_units());
        let read = view::read_measure(kind, &text, units);
        let read = read.map_err(|figure| bad(figure, bounds::beyond_measure(kind, units)));
        Ok(read?.shown())
    }

    /// The unit that a part of a requirement is typed in.
    pub fn measure_unit(&self, kind: MeasureKind) -> Result<UnitOfMeasure, Fault> {
        Ok(view::unit_of(kind.asked()?, self.core_units()).shown())
    }

    /// The figure in base units behind what was typed.
    pub fn read_figure(&self, kind: FigureKind, text: String) -> Result<i64, Fault> {
        let (kind, units): (view::FigureKind, view::Units) = (kind.asked()?, self.core_units());
        let read = kind.read(&text, units);
        read.map_err(|figure| bad(figure, bounds::beyond(kind, units)))
    }

    /// A figure in base units as it is shown.
    pub fn show_figure(&self, kind: FigureKind, base: i64) -> Result<Figure, Fault> {
        let kind: view::FigureKind = kind.asked()?;
        Ok(kind.show(base, self.core_units()).shown())
    }

    /// The unit that a figure is typed in.
    pub fn figure_unit(&self, kind: FigureKind) -> Result<UnitOfMeasure, Fault> {
        let kind: view::FigureKind = kind.asked()?;
        Ok(kind.unit(self.core_units()).shown())
    }
}

/// A unit's symbol, the same in every language; empty where none is written.
#[uniffi::export]
pub fn unit_symbol(unit: UnitOfMeasure) -> Result<String, Fault> {
    let unit: view::UnitOfMeasure = unit.asked()?;
    Ok(unit.symbol().to_owned())
}

/// A count that was tapped on by so many, or back by so many; never below nought.
#[uniffi::export]
pub fn count_on(count: u32, by: i32) -> u32 {
    count.saturating_add_signed(by)
}

/// Why a typed figure cannot be taken; `beyond` names the bounds that it lies outside.
pub(crate) fn bad(figure: BadFigure, beyond: Fault) -> Fault {
    match figure {
        BadFigure::NotANumber => Fault::rule("not_a_number"),
        BadFigure::OutOfBounds => beyond,
    }
}
