//! Typed: number pads send what was typed; here it becomes a figure in base units, and a
//! figure in base units becomes what is shown.

use tallywater_core::view::{self, BadFigure, Bounded};

use crate::{Fault, Figure, FigureKind, MeasureKind, Measured, Tallywater, UnitOfMeasure};

#[uniffi::export]
impl Tallywater {
    /// The figure behind what was typed for one part of a requirement, to go into a mark.
    pub fn read_measure(&self, kind: MeasureKind, text: String) -> Result<Measured, Fault> {
        let units = self.units();
        let read = view::read_measure(kind, &text, units);
        read.map_err(|figure| bad(figure, beyond(Bounded::beyond_measure(kind, units))))
    }

    /// The unit that a part of a requirement is typed in.
    pub fn measure_unit(&self, kind: MeasureKind) -> Result<UnitOfMeasure, Fault> {
        Ok(view::unit_of(kind, self.units()))
    }

    /// The figure in base units behind what was typed.
    pub fn read_figure(&self, kind: FigureKind, text: String) -> Result<i64, Fault> {
        let units = self.units();
        let read = kind.read(&text, units);
        read.map_err(|figure| bad(figure, Fault::beyond(kind, units)))
    }

    /// A figure in base units as it is shown.
    pub fn show_figure(&self, kind: FigureKind, base: i64) -> Result<Figure, Fault> {
        Ok(kind.show(base, self.units()))
    }

    /// The unit that a figure is typed in.
    pub fn figure_unit(&self, kind: FigureKind) -> Result<UnitOfMeasure, Fault> {
        Ok(kind.unit(self.units()))
    }
}

/// A unit's symbol, the same in every language; empty where none is written.
#[uniffi::export]
pub fn unit_symbol(unit: UnitOfMeasure) -> Result<String, Fault> {
    Ok(unit.symbol().to_owned())
}

/// A count that was tapped on by so many, or back by so many; never below nought.
#[uniffi::export]
pub fn count_on(count: u32, by: i32) -> u32 {
    count.saturating_add_signed(by)
}

/// A figure outside these bounds.
pub(crate) fn beyond(bounds: Bounded) -> Fault {
    Fault::rule("out_of_bounds").bounded(bounds)
}

/// Why a typed figure cannot be taken; `beyond` names the bounds that it lies outside.
pub(crate) fn bad(figure: BadFigure, beyond: Fault) -> Fault {
    match figure {
        BadFigure::NotANumber => Fault::rule("not_a_number"),
        BadFigure::OutOfBounds => beyond,
    }
}
