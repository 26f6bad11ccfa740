//! Bounds: the fault of a figure that cannot be taken, with what the core says of its bounds.

use tallywater_core::course::PolicyFault;
use tallywater_core::view::Bounded;

use crate::{Fault, FigureKind, Units};

impl Fault {
    /// A figure that the field it was typed for cannot hold: out of bounds, with the widest
    /// bounds of its kind in the unit that it is typed in.
    #[must_use]
    pub fn beyond(kind: FigureKind, units: Units) -> Self {
        Self::rule("out_of_bounds").bounded(Bounded::beyond(kind, units))
    }

    /// The same, with a figure and its bounds.
    pub(crate) fn bounded(self, figure: Bounded) -> Self {
        let Bounded {
            value,
            least,
            most,
            unit,
        } = figure;
        let fault = match value {
            Some(value) => self.value(value),
            None => self,
        };
        let fault = fault.bounds(least, most);
        if unit.is_empty() {
            fault
        } else {
            fault.what(&unit)
        }
    }
}

/// Rules with faults: how many, and of the first the rule and, for a figure, its bounds.
pub(crate) fn of_policy(faults: &[PolicyFault], units: Units) -> Fault {
    let fault = Fault::rule("policy").value(faults.len());
    match faults.first() {
        Some(PolicyFault::Figure {
            id,
            least,
            most,
            of_depth,
        }) => {
            let bounds = [i64::from(*least), i64::from(*most)];
            let fault = fault.id(id);
            if *of_depth {
                fault.bounded(Bounded::between(FigureKind::Depth, bounds, units))
            } else {
                let [least, most] = bounds.map(|bound| Some(bound.to_string()));
                fault.bounds(least, most).what("fault")
            }
        }
        Some(
            PolicyFault::Twice { id }
            | PolicyFault::Clash { first: id, .. }
            | PolicyFault::NoSource { id }
            | PolicyFault::LongSource { id, .. }
            | PolicyFault::CapBelowOne { id, .. },
        ) => fault.what("fault").id(id),
        Some(PolicyFault::TooMany { .. } | PolicyFault::Edition | PolicyFault::Title { .. })
        | None => fault.what("fault"),
    }
}
