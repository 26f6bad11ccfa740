//! Reckon: how a figure crosses to and from the calculations, in the units that were asked.
//!
//! Numbers go in as numbers of the asked system; what comes out comes as a figure to be
//! shown. `reckon!` is the border's `mirror!` with the units handed along.

use tallywater_core::calc::OutsideTable;
use tallywater_core::calc::spread::Spread;
use tallywater_core::calc::unit::{
    Amount, Bar, Celsius, Centimetres, CubicFeetPerMinute, Fahrenheit, Feet, FeetPerMinute,
    FeetSeaWater, GaugeBar, GaugePsi, Inches, Kilograms, KilogramsPerCubicMetre, Litres,
    LitresPerMinute, Measured as _, Metres, MetresPerMinute, Millimetres, Minutes, MinutesWhole,
    Percent, Pounds, PoundsPerCubicFoot, PracticalSalinity, Psi, Seconds, Share,
};
use tallywater_core::course;
use tallywater_core::view::Units;

use crate::cross::Shown as _;
use crate::{Fault, Figure};

/// An answer, in the units that were asked.
pub(crate) trait Told<T> {
    /// As it crosses.
    fn told(self, units: Units) -> T;
}

/// What was given, in the units it was given in.
pub(crate) trait Given<T> {
    /// As the calculations have it. Whether it can be meant is theirs to say.
    fn given(self, units: Units) -> T;
}

/// A range, with the value to begin with.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct FigureSpread {
    /// The lowest value worth expecting.
    pub low: Figure,
    /// The value to begin with.
    pub likely: Figure,
    /// The highest value worth expecting.
    pub high: Figure,
}

impl<T: Told<Figure>> Told<FigureSpread> for Spread<T> {
    fn told(self, units: Units) -> FigureSpread {
        let Self { low, likely, high } = self;
        FigureSpread {
            low: low.told(units),
            likely: likely.told(units),
            high: high.told(units),
        }
    }
}

/// An amount as it is shown.
pub(crate) fn figure(amount: Amount, units: Units) -> Figure {
    Figure::of(amount, units)
}

/// What lies outside a calculation, with the bounds in the units that were asked.
pub(crate) fn outside(units: Units) -> impl Fn(OutsideTable) -> Fault {
    move |refused| {
        let asked = figure(refused.asked, units);
        let unit = Figure::of(refused.asked, units).unit;
        Fault::rule("outside_table")
            .of(refused.what.word())
            .value(asked.text)
            .bounds(
                Some(figure(refused.lowest, units).text),
                Some(figure(refused.highest, units).text),
            )
            .what(unit.symbol())
    }
}

/// Without the last bits that a conversion leaves: 28.4 degrees Fahrenheit are -2 Celsius and
/// not a hair less, which would lie outside a bound that is shown as 28.4.
fn tidy(number: f64) -> f64 {
    const STEP: f64 = 1e9;
    if number.abs() < 1e6 {
        (number * STEP).round() / STEP
    } else {
        number
    }
}

macro_rules! quantities {
    ($($core:ident $(= $other:ident)?),* $(,)?) => { $(
        impl Told<Figure> for $core {
            fn told(self, units: Units) -> Figure {
                figure(self.amount(), units)
            }
        }
        impl Told<f64> for $core {
            fn told(self, units: Units) -> f64 {
                match units {
                    Units::Metric => self.0,
                    Units::Imperial => { let value = self; $(let value = $other::from(value);)? value.0 }
                }
            }
        }
        impl Given<$core> for f64 {
            fn given(self, units: Units) -> $core {
                match units {
                    Units::Metric => $core(self),
                    Units::Imperial => { quantities!(@from $core self $($other)?) }
                }
            }
        }
    )* };
    (@from $core:ident $value:ident $other:ident) => { $core(tidy($core::from($other($value)).0)) };
    (@from $core:ident $value:ident) => { $core($value) };
}
// A cylinder's water is counted in litres and a suit in millimetres everywhere.
quantities!(
    Bar = Psi,
    Celsius = Fahrenheit,
    Centimetres = Inches,
    FeetSeaWater,
    GaugeBar = GaugePsi,
    Kilograms = Pounds,
    KilogramsPerCubicMetre = PoundsPerCubicFoot,
    Litres,
    LitresPerMinute = CubicFeetPerMinute,
    Metres = Feet,
    MetresPerMinute = FeetPerMinute,
    Millimetres,
    Minutes,
    Percent,
    Pounds,
    PracticalSalinity,
    Seconds,
);

impl Told<Figure> for Share {
    fn told(self, units: Units) -> Figure {
        figure(self.amount(), units)
    }
}

/// A share is given as so many of a hundred.
impl Given<Share> for f64 {
    fn given(self, _: Units) -> Share {
        Percent(self).into()
    }
}

impl Told<Figure> for MinutesWhole {
    fn told(self, units: Units) -> Figure {
        figure(self.amount(), units)
    }
}

macro_rules! same {
    ($($t:ty),* $(,)?) => { $(
        impl Told<$t> for $t {
            fn told(self, _: Units) -> $t { self }
        }
        impl Given<$t> for $t {
            fn given(self, _: Units) -> $t { self }
        }
    )* };
}
same!(bool, u32, String);

// The core's own, which cross as they are.
same!(
    crate::AscentStanding,
    crate::AscentVerdict,
    crate::AssistantCount,
    crate::AttemptEnd,
    crate::Caution,
    crate::CeilingSetting,
    crate::CeilingStanding,
    crate::CylinderMetal,
    crate::Day,
    crate::DepthAgainst,
    crate::DiveExperience,
    crate::DiveLink,
    crate::DropVerdict,
    Figure,
    crate::FigureOrigin,
    crate::GasOpen,
    crate::GivesTo,
    crate::LeadCause,
    crate::Limit,
    crate::LimitedBy,
    crate::Moment,
    crate::NoStopGroup,
    crate::PolicyConfirmation,
    crate::Recommendation,
    crate::Sea,
    crate::ShorterOpinion,
    crate::StaffName,
    crate::SuitAge,
    crate::SuitKind,
    crate::TurnRule,
    crate::WaterMotion,
    crate::WhoName,
);

/// What a view says beside its figures crosses as it does elsewhere.
macro_rules! shown {
    ($($core:ty = $border:ty),* $(,)?) => { $(
        impl Told<$border> for $core {
            fn told(self, _: Units) -> $border { self.shown() }
        }
    )* };
}
shown!(course::SessionId = String, course::SkillId = String);

impl<A: Told<B>, B> Told<Option<B>> for Option<A> {
    fn told(self, units: Units) -> Option<B> {
        self.map(|one| one.told(units))
    }
}

impl<A: Given<B>, B> Given<Option<B>> for Option<A> {
    fn given(self, units: Units) -> Option<B> {
        self.map(|one| one.given(units))
    }
}

impl<A: Told<B>, B> Told<Vec<B>> for Vec<A> {
    fn told(self, units: Units) -> Vec<B> {
        self.into_iter().map(|one| one.told(units)).collect()
    }
}

impl<A: Given<B>, B> Given<Vec<B>> for Vec<A> {
    fn given(self, units: Units) -> Vec<B> {
        self.into_iter().map(|one| one.given(units)).collect()
    }
}

/// Writes border types beside those of the calculations: `told` for answers, `given` for
/// what is asked, and `both`.
macro_rules! reckon {
    () => {};
    ($(#[$m:meta])* told record $name:ident = $core:ty { $($f:ident : $t:ty),* $(,)? } $($rest:tt)*) => {
        reckon!(@record $(#[$m])* $name = $core { $($f: $t),* });
        reckon!(@told $name = $core { $($f),* });
        reckon!($($rest)*);
    };
    ($(#[$m:meta])* given record $name:ident = $core:ty { $($f:ident : $t:ty),* $(,)? } $($rest:tt)*) => {
        reckon!(@record $(#[$m])* $name = $core { $($f: $t),* });
        reckon!(@given $name = $core { $($f),* });
        reckon!($($rest)*);
    };
    ($(#[$m:meta])* both record $name:ident = $core:ty { $($f:ident : $t:ty),* $(,)? } $($rest:tt)*) => {
        reckon!(@record $(#[$m])* $name = $core { $($f: $t),* });
        reckon!(@told $name = $core { $($f),* });
        reckon!(@given $name = $core { $($f),* });
        reckon!($($rest)*);
    };
    ($(#[$m:meta])* told enum $name:ident = $core:ty {
        $($v:ident $({ $($f:ident : $t:ty),* $(,)? })? $(( $($g:ident : $u:ty),* ))?),* $(,)?
    } $($rest:tt)*) => {
        reckon!(@enum $(#[$m])* $name = $core { $($v $({ $($f: $t),* })? $(( $($g: $u),* ))?),* });
        impl $crate::calc::reckon::Told<$name> for $core {
            fn told(self, units: tallywater_core::view::Units) -> $name {
                type Core = $core;
                match self {
                    $(Core::$v $({ $($f),* })? $(( $($g),* ))? => $name::$v
                        $({ $($f: $crate::calc::reckon::Told::told($f, units)),* })?
                        $({ $($g: $crate::calc::reckon::Told::told($g, units)),* })?),*
                }
            }
        }
        reckon!($($rest)*);
    };
    ($(#[$m:meta])* given enum $name:ident = $core:ty {
        $($v:ident $({ $($f:ident : $t:ty),* $(,)? })? $(( $($g:ident : $u:ty),* ))?),* $(,)?
    } $($rest:tt)*) => {
        reckon!(@enum $(#[$m])* $name = $core { $($v $({ $($f: $t),* })? $(( $($g: $u),* ))?),* });
        impl $crate::calc::reckon::Given<$core> for $name {
            fn given(self, units: tallywater_core::view::Units) -> $core {
                type Core = $core;
                match self {
                    $(Self::$v $({ $($f),* })? $({ $($g),* })? => Core::$v
                        $({ $($f: $crate::calc::reckon::Given::given($f, units)),* })?
                        $(( $($crate::calc::reckon::Given::given($g, units)),* ))?),*
                }
            }
        }
        reckon!($($rest)*);
    };

    (@record $(#[$m:meta])* $name:ident = $core:ty { $($f:ident : $t:ty),* }) => {
        $(#[$m])*
        #[allow(missing_docs, reason = "each field is the core's own, documented there")]
        #[derive(Debug, Clone, PartialEq, uniffi::Record)]
        pub struct $name { $(pub $f: $t),* }
    };
    (@enum $(#[$m:meta])* $name:ident = $core:ty {
        $($v:ident $({ $($f:ident : $t:ty),* })? $(( $($g:ident : $u:ty),* ))?),*
    }) => {
        $(#[$m])*
        #[allow(missing_docs, reason = "each variant is the core's own, documented there")]
        #[derive(Debug, Clone, PartialEq, uniffi::Enum)]
        pub enum $name { $($v $({ $($f: $t),* })? $({ $($g: $u),* })?),* }
    };
    (@told $name:ident = $core:ty { $($f:ident),* }) => {
        impl $crate::calc::reckon::Told<$name> for $core {
            fn told(self, units: tallywater_core::view::Units) -> $name {
                type Core = $core;
                let Core { $($f),* } = self;
                $name { $($f: $crate::calc::reckon::Told::told($f, units)),* }
            }
        }
    };
    (@given $name:ident = $core:ty { $($f:ident),* }) => {
        impl $crate::calc::reckon::Given<$core> for $name {
            fn given(self, units: tallywater_core::view::Units) -> $core {
                type Core = $core;
                let Self { $($f),* } = self;
                Core { $($f: $crate::calc::reckon::Given::given($f, units)),* }
            }
        }
    };
}
pub(crate) use reckon;
