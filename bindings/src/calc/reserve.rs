//! Reserve: the least gas, where to turn, and the class.

use tallywater_core::calc;
use tallywater_core::calc::unit::{GaugeBar, GaugePsi, LitresPerMinute, Measured as _};

use crate::calc::reckon::{Given as _, Told, figure, outside, reckon};
use crate::{
    Caution, Fault, Figure, FigureOrigin, GasMix, GivesTo, Governs, TurnRule, Units, WaterAt,
};

reckon! {
    /// How the shared ascent goes.
    both record AscentPlan = calc::reserve::AscentPlan {
        depth: f64,
        reaction: f64,
        rate: f64,
        stop: f64,
        stop_time: f64,
    }

    /// The gas of each leg, in litres at 1 bar.
    told record ReserveParts = calc::reserve::ReserveParts {
        reaction: Figure,
        ascent: Figure,
        stop: Figure,
        last: Figure,
    }

    /// One diver of the class, with the rate and the cylinder that are this diver's own.
    given record ClassDiver = calc::reserve::ClassDiver {
        rate: f64,
        capacity: f64,
        mix: GasMix,
        start: f64,
    }

    /// A member of staff who turns earlier than the class would expect: by how many minutes,
    /// and the smallest usual cylinder with which not.
    told record EarlyTurn = calc::reserve::EarlyTurn {
        by: Figure,
        larger: Option<Figure>,
    }

    /// What one diver keeps, where this diver turns, and how long the gas lasts at depth.
    told record DiverReserve = calc::reserve::DiverReserve {
        reserve: MinimumReserve,
        turn: TurnPoint,
        until_turn: Figure,
        at_depth: Figure,
    }

    /// The class.
    told record ClassReserve = calc::reserve::ClassReserve {
        students: Vec<DiverReserve>,
        first_to_turn: Option<u32>,
        staff: DiverReserve,
        early: Option<EarlyTurn>,
        caution: Caution,
    }
}

/// The least gas with which a shared ascent can begin.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct MinimumReserve {
    /// Gas for all who share.
    pub gas: Figure,
    /// Leg by leg.
    pub parts: ReserveParts,
    /// The gauge, rounded up to a whole bar or to ten psi.
    pub pressure: Figure,
    /// What set the pressure.
    pub governs: Governs,
    /// Where the rule comes from.
    pub origin: FigureOrigin,
    /// What to say beside it.
    pub caution: Caution,
}

impl Told<MinimumReserve> for calc::reserve::MinimumReserve {
    fn told(self, units: Units) -> MinimumReserve {
        let Self {
            litres,
            parts,
            pressure,
            psi,
            governs,
            origin,
            caution,
        } = self;
        MinimumReserve {
            gas: litres.told(units),
            parts: parts.told(units),
            pressure: gauge(pressure, psi, units),
            governs,
            origin,
            caution,
        }
    }
}

/// Where to turn.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum TurnPoint {
    /// Turn when the gauge reads this.
    At {
        /// Rounded up to a whole bar or to ten psi.
        pressure: Figure,
        /// What to say beside it.
        caution: Caution,
    },
    /// The cylinder holds no more than the reserve: no dive on it.
    NotEnough {
        /// What the gauge reads.
        start: Figure,
        /// What the reserve alone asks for.
        reserve: Figure,
    },
}

impl Told<TurnPoint> for calc::reserve::Turn {
    fn told(self, units: Units) -> TurnPoint {
        match self {
            Self::At {
                pressure,
                psi,
                caution,
            } => TurnPoint::At {
                pressure: gauge(pressure, psi, units),
                caution,
            },
            Self::NotEnough { start, reserve } => TurnPoint::NotEnough {
                start: start.told(units),
                reserve: reserve.told(units),
            },
        }
    }
}

/// Each system's own figure, rounded from the exact one: neither from the other.
fn gauge(bar: GaugeBar, psi: GaugePsi, units: Units) -> Figure {
    match units {
        Units::Metric => bar.told(units),
        Units::Imperial => figure(psi.amount(), units),
    }
}

/// The ascent that is usually planned for from a depth.
#[uniffi::export]
pub fn usual_ascent(units: Units, depth: f64) -> Result<AscentPlan, Fault> {
    Ok(calc::reserve::AscentPlan::usual(depth.given(units)).told(units))
}

/// The least gas for everybody who shares one cylinder on the way up, each with the rate
/// that this diver may breathe in trouble.
#[uniffi::export]
pub fn minimum_reserve(
    units: Units,
    plan: AscentPlan,
    sharing: Vec<f64>,
    capacity: f64,
    mix: GasMix,
    at: WaterAt,
) -> Result<MinimumReserve, Fault> {
    let (temperature, column) = at.column(units)?;
    let sharing: Vec<LitresPerMinute> = sharing.given(units);
    let reserve = calc::reserve::minimum_reserve(
        &plan.given(units),
        &sharing,
        capacity.given(units),
        temperature,
        mix.given(units),
        column,
    );
    Ok(reserve.map_err(outside(units))?.told(units))
}

/// The pressure at which to turn.
#[uniffi::export]
pub fn turn_pressure(
    units: Units,
    start: f64,
    reserve: f64,
    rule: TurnRule,
) -> Result<TurnPoint, Fault> {
    let turn = calc::reserve::turn_pressure(start.given(units), reserve.given(units), rule);
    Ok(turn.map_err(outside(units))?.told(units))
}

/// The reserves of a class: who turns first, and a member of staff's own as a donor.
#[uniffi::export]
pub fn class_reserve(
    units: Units,
    plan: AscentPlan,
    rule: TurnRule,
    students: Vec<ClassDiver>,
    staff: ClassDiver,
    gives_to: GivesTo,
    at: WaterAt,
) -> Result<ClassReserve, Fault> {
    let (temperature, column) = at.column(units)?;
    let students: Vec<calc::reserve::ClassDiver> = students.given(units);
    let class = calc::reserve::class_reserve(
        &plan.given(units),
        rule,
        &students,
        &staff.given(units),
        gives_to,
        temperature,
        column,
    );
    Ok(class.map_err(outside(units))?.told(units))
}
