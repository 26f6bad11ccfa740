//! Free: a cylinder by its free volume, as it is called where psi and cubic feet are read.
//!
//! Source: common practice, no published source: water capacity times working pressure, as an
//! ideal gas at one atmosphere, in whole cubic feet. It is a name: what a cylinder holds is asked
//! of [`contents`](crate::calc::cylinder::contents).

use crate::calc::cylinder::starter_sizes;

/// Litres in a cubic foot of 0.3048 m, and bar in an atmosphere: NIST Special Publication 811
/// (2008), appendix B.
const CUBIC_FOOT: f64 = 28.316_846_592;
const ATMOSPHERE: f64 = 1.013_25;

/// What a cylinder of so many decilitres is called, with its litres as they are shown: "80 ft³
/// (11.1 L)". `None` where its working pressure is not known: no size of the list, or one that
/// is filled to several.
pub(super) fn name(decilitres: i64, litres: &str) -> Option<String> {
    let capacity = f64::from(i32::try_from(decilitres).ok()?) / 10.0;
    let sizes = starter_sizes().into_iter();
    let same = sizes.filter(|size| (size.capacity.0 - capacity).abs() < 0.01);
    let mut fills = same.map(|size| size.working_pressure.0);
    let fill = fills.next()?;
    if fills.any(|other| (other - fill).abs() > 0.5) {
        return None;
    }
    let feet = capacity * fill / ATMOSPHERE / CUBIC_FOOT;
    Some(format!("{feet:.0} ft³ ({litres} L)"))
}

/// The litres in such a name; `None` for anything else.
pub(super) fn litres(name: &str) -> Option<&str> {
    let (_, rest) = name.split_once(" ft³ (")?;
    rest.strip_suffix(" L)")
}
