//! Gas: what each one of a session breathes, keeps and turns with; who turns first, and the
//! staff as those who may have to give gas.
//!
//! Everybody's rate is their own from the dives logged in the course, and lately in others,
//! where they have any, and the planning default, marked as such, where not.

use chrono::TimeDelta;

use super::figure::Of;
use super::{DepthAgainst, Figure, Reader, WhoName};
use crate::calc::breathing::{self, BreathingDive, Exposure, PLANNING_DEFAULT};
use crate::calc::caution::Origin;
use crate::calc::cylinder::Mix;
use crate::calc::profile::Sample;
use crate::calc::reserve::{
    AscentPlan, ClassDiver, DiverReserve, EarlyTurn, GivesTo, TurnRule, class_reserve,
};
use crate::calc::unit::{
    Celsius, GaugeBar, KilogramsPerCubicMetre, Litres, LitresPerMinute, Metres, Minutes, Percent,
    Seconds,
};
use crate::calc::water::{Water, WaterColumn, density, surface_pressure};
use crate::course::{DiveLog, GasUsed, Role, SessionId, StaffId, WaterKind};
use crate::entry::{Body, DiveLogged, Kind, Who};
use crate::standing::{CourseStanding, altitude};

/// A cylinder where none was logged: 12 L. Common practice, marked in the row.
const USUAL_DL: u16 = 120;
/// What a cylinder is taken to be filled to, until its gauge is read: common practice.
const USUAL_FILL: GaugeBar = GaugeBar(200.0);
/// Water whose temperature nobody has noted.
pub(super) const NOT_MEASURED: Celsius = Celsius(20.0);

/// The gas of a session.
#[derive(Debug, Clone, PartialEq)]
pub struct GasView {
    /// Of which session.
    pub session: SessionId,
    /// How the usable gas is shared out.
    pub rule: TurnRule,
    /// From how deep everybody has to come up; `None` where the plan does not say, and then
    /// nothing is worked out.
    pub depth: Option<Metres>,
    /// How that depth stands to the rules: no reserve is shown without it.
    pub depth_against: DepthAgainst,
    /// The students of the plan, by name.
    pub students: Vec<GasRow>,
    /// Its staff, each as one who may have to give gas: an instructor to the two hungriest
    /// students, an assistant to the one they are beside.
    pub staff: Vec<GasRow>,
    /// The student who turns first.
    pub first_to_turn: Option<WhoName>,
    /// Why there are no reserves, where there are none.
    pub open: Option<GasOpen>,
}

/// Why reserves are not worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum GasOpen {
    /// On land.
    Dry,
    /// Nobody has planned a depth.
    NoDepth,
    /// Nobody has planned students.
    NoStudents,
    /// Nobody has planned an instructor.
    NoInstructor,
    /// A figure of the plan lies beyond what is reckoned.
    Beyond,
}

/// One diver.
#[derive(Debug, Clone, PartialEq)]
pub struct GasRow {
    /// Who.
    pub who: WhoName,
    /// What to plan with.
    pub rate: LitresPerMinute,
    /// Own dives, or the planning default.
    pub rate_origin: Origin,
    /// Dives that a rate could be worked out from.
    pub dives: u32,
    /// The lowest of their rates; `None` without a dive.
    pub lowest: Option<LitresPerMinute>,
    /// The highest.
    pub highest: Option<LitresPerMinute>,
    /// How far they spread: one standard deviation; `None` from a single dive.
    pub deviation: Option<LitresPerMinute>,
    /// Water capacity of the cylinder last logged, or the usual one.
    pub capacity: Figure,
    /// What it is taken to be filled to.
    pub start: GaugeBar,
    /// Own record, or common practice.
    pub cylinder_origin: Origin,
    /// What to keep and where to turn.
    pub reserve: Option<DiverReserve>,
    /// To how many they may have to give gas; `None` for a student.
    pub gives_to: Option<GivesTo>,
    /// Where a member of staff turns earlier than the class would expect.
    pub early: Option<EarlyTurn>,
}

impl GasView {
    /// As far back as a dive in another course says how somebody breathes now: own choice.
    pub const FAR_BACK: TimeDelta = TimeDelta::days(30);

    /// The gas of a session that is planned; `None` for one that is not. Dives in these other
    /// courses say as well how somebody breathes.
    pub fn of(
        course: &CourseStanding,
        others: &[&CourseStanding],
        reader: &Reader<'_>,
        id: &SessionId,
        rule: TurnRule,
    ) -> Option<Self> {
        let plan = &course.sessions().get(id)?.plan;
        let row = |who: Who| row(course, others, reader, who);
        let students = plan.students.iter().copied().map(Who::Student);
        let students = reader.people.in_order(students).into_iter();
        let (students, student_divers) = students.map(row).unzip();
        let staff = plan.staff.iter().copied().map(Who::Staff);
        let (mut staff, staff_divers): (Vec<GasRow>, Vec<ClassDiver>) = staff.map(row).unzip();
        let roles = course.staff();
        let instructs = |id: &StaffId| roles.get(id) == Some(&Role::Instructor);
        for (row, id) in staff.iter_mut().zip(&plan.staff) {
            row.gives_to = Some(if instructs(id) {
                GivesTo::Two
            } else {
                GivesTo::One
            });
        }
        let mut view = Self {
            session: *id,
            rule,
            depth: plan.water.max_depth_cm.map(metres),
            depth_against: DepthAgainst::of(course, reader, plan),
            students,
            staff,
            first_to_turn: None,
            open: None,
        };
        view.open = if !plan.setting.is_wet() {
            Some(GasOpen::Dry)
        } else if view.students.is_empty() {
            Some(GasOpen::NoStudents)
        } else if !plan.staff.iter().any(instructs) {
            Some(GasOpen::NoInstructor)
        } else if let Some(depth) = view.depth {
            let temperature = plan.water.temperature_dc.map_or(NOT_MEASURED, celsius);
            let class = Class {
                students: student_divers,
                staff: staff_divers,
                depth,
                temperature,
            };
            let found = column(plan.water.kind, temperature, plan.water.altitude_m);
            let done = found.and_then(|column| view.reckon(&class, column));
            done.is_none().then_some(GasOpen::Beyond)
        } else {
            Some(GasOpen::NoDepth)
        };
        Some(view)
    }

    /// Everybody's reserve, all or nothing.
    fn reckon(&mut self, class: &Class, column: WaterColumn) -> Option<()> {
        let plan = AscentPlan::usual(class.depth);
        let (rule, students) = (self.rule, &class.students);
        let of = |(donor, row): (&ClassDiver, &GasRow)| {
            let gives_to = row.gives_to.unwrap_or(GivesTo::Two);
            let (temperature, plan) = (class.temperature, &plan);
            class_reserve(plan, rule, students, donor, gives_to, temperature, column).ok()
        };
        let donors = class.staff.iter().zip(&self.staff);
        let seen: Vec<_> = donors.map(of).collect::<Option<_>>()?;
        // A student shares with the hungriest of the others: the hungriest of the staff too.
        let hungriest = seen
            .iter()
            .zip(&class.staff)
            .max_by(|(_, one), (_, other)| one.rate.0.total_cmp(&other.rate.0))?;
        let place = hungriest.0.first_to_turn;
        for (row, reserve) in self.students.iter_mut().zip(&hungriest.0.students) {
            row.reserve = Some(*reserve);
        }
        self.first_to_turn = place
            .and_then(|place| self.students.get(usize::try_from(place).ok()?))
            .map(|row| row.who.clone());
        for (row, class) in self.staff.iter_mut().zip(seen) {
            row.reserve = Some(class.staff);
            row.early = class.early;
        }
        Some(())
    }
}

/// What the reserves are worked out from.
struct Class {
    students: Vec<ClassDiver>,
    staff: Vec<ClassDiver>,
    depth: Metres,
    temperature: Celsius,
}

fn row(
    course: &CourseStanding,
    others: &[&CourseStanding],
    reader: &Reader<'_>,
    who: Who,
) -> (GasRow, ClassDiver) {
    let all = std::iter::once(course).chain(others.iter().copied());
    let dives = all.flat_map(|of| logged(of, who).map(move |one| (of, one)));
    let mut dives: Vec<(&CourseStanding, &DiveLogged)> = dives.collect();
    dives.sort_by_key(|(_, one)| (one.log.down, one.log.up));
    // Logged in two courses it was one dive all the same.
    dives.dedup_by(|(_, later), (_, earlier)| later.log.down < earlier.log.up);
    let rates: Vec<LitresPerMinute> = dives
        .iter()
        .filter_map(|(of, one)| rate(&one.log, altitude(of, one)))
        .collect();
    let history = breathing::rate_history(&rates).ok();
    let own = history.filter(|history| history.dives > 0);
    let last = dives.iter().rev().find_map(|(_, one)| one.log.gas);
    let (capacity_dl, mix, cylinder_origin) = match last {
        Some(gas) => (gas.capacity_dl, mix(gas), Origin::OwnRecord),
        None => (USUAL_DL, Mix::Air, Origin::CommonPractice),
    };
    let diver = ClassDiver {
        rate: history.map_or(PLANNING_DEFAULT, |history| history.plan_with),
        capacity: litres(capacity_dl),
        mix,
        start: USUAL_FILL,
    };
    let row = GasRow {
        who: reader.who(&who),
        rate: diver.rate,
        rate_origin: history.map_or(Origin::CommonPractice, |history| history.origin),
        dives: own.map_or(0, |history| history.dives),
        lowest: own.map(|history| history.lowest),
        highest: own.map(|history| history.highest),
        deviation: own.and_then(|history| history.deviation),
        capacity: Of::Cylinder.show(capacity_dl, reader.units),
        start: diver.start,
        cylinder_origin,
        reserve: None,
        gives_to: None,
        early: None,
    };
    (row, diver)
}

/// One person's dives of the course, in no order.
fn logged(course: &CourseStanding, who: Who) -> impl Iterator<Item = &DiveLogged> {
    course.of_kind(Kind::DiveLogged).filter_map(move |one| {
        if let Body::DiveLogged(dive) = &one.entry.body {
            (dive.who == who).then_some(dive)
        } else {
            None
        }
    })
}

/// What was breathed: nitrox from 22 % oxygen on, air below and where the figure is none of a
/// mix for these dives.
fn mix(gas: GasUsed) -> Mix {
    let oxygen = Percent(f64::from(gas.oxygen_permille) / 10.0);
    let nitrox = Mix::Nitrox(oxygen);
    if gas.oxygen_permille >= 220 && nitrox.oxygen().is_ok() {
        nitrox
    } else {
        Mix::Air
    }
}

/// The rate of a dive whose cylinder, gauge and depth were logged, and make sense.
pub(super) fn rate(log: &DiveLog, altitude_m: Option<i16>) -> Option<LitresPerMinute> {
    let gas = log.gas?;
    let temperature = log.temperature_dc.map_or(NOT_MEASURED, celsius);
    let seconds = (log.up - log.down).num_seconds();
    let exposure = if let Some(mean) = log.mean_depth_cm {
        Exposure::Average {
            depth: metres(mean),
            time: Minutes::from(Seconds(f64::from(u32::try_from(seconds).ok()?))),
        }
    } else if log.profile.is_empty() {
        return None;
    } else {
        Exposure::Profile(samples(log))
    };
    let dive = BreathingDive {
        capacity: litres(gas.capacity_dl),
        mix: mix(gas),
        start: bar(gas.start_mbar),
        end: bar(gas.end_mbar),
        start_temperature: temperature,
        end_temperature: temperature,
        column: column(log.water, temperature, altitude_m)?,
        exposure,
    };
    Some(breathing::surface_rate(&dive).ok()?.real)
}

/// A recorded profile as the calculations have it.
pub(super) fn samples(log: &DiveLog) -> Vec<Sample> {
    let sample = |(second, cm): &(u32, u32)| Sample {
        time: Seconds(f64::from(*second)),
        depth: metres(*cm),
    };
    log.profile.iter().map(sample).collect()
}

pub(super) fn litres(dl: u16) -> Litres {
    Litres(f64::from(dl) / 10.0)
}

pub(super) fn bar(mbar: u32) -> GaugeBar {
    GaugeBar(f64::from(mbar) / 1_000.0)
}

pub(super) fn metres(cm: u32) -> Metres {
    Metres(f64::from(cm) / 100.0)
}

/// Density of the water as a plan names it.
pub(super) fn water_density(
    kind: WaterKind,
    temperature: Celsius,
) -> Option<KilogramsPerCubicMetre> {
    let water = match kind {
        WaterKind::Fresh => Water::Fresh,
        WaterKind::Brackish => Water::Brackish,
        WaterKind::Salt => Water::OpenSea,
    };
    density(water, temperature).ok()
}

pub(super) fn celsius(dc: i16) -> Celsius {
    Celsius(f64::from(dc) / 10.0)
}

/// The water as a plan names it, at a height above the sea: that of the sea where it is not
/// known, and there the same depth takes more gas.
pub(super) fn column(
    kind: WaterKind,
    temperature: Celsius,
    altitude_m: Option<i16>,
) -> Option<WaterColumn> {
    let altitude = Metres(f64::from(altitude_m.unwrap_or(0)));
    Some(WaterColumn {
        density: water_density(kind, temperature)?,
        surface: surface_pressure(altitude).ok()?,
    })
}
