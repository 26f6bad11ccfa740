//! Bounds of plans: sessions, slots and absences, pairs and zones, sites and what is done there
//! in an emergency.

use std::collections::BTreeSet;

use super::{NAME, NOTE, count, figure, inside, longest, optional, text, time};
use crate::course::{Away, EmergencyPlan, SessionPlan, Site, Slot};
use crate::entry::{LARGEST_PAIR, Refusal, Teams, within};

pub(in crate::entry) fn plan(plan: &SessionPlan) -> Result<(), Refusal> {
    text("title", &plan.title, NAME)?;
    text("site", &plan.site, NAME)?;
    optional("bring", plan.bring.as_ref(), NOTE)?;
    time("start", plan.starts)?;
    inside("minutes", i64::from(plan.minutes), within::MINUTES)?;
    figure("students", count(plan.students.len()), 0, 60)?;
    figure("staff", count(plan.staff.len()), 0, 20)?;
    figure("run list", count(plan.run_list.len()), 0, 120)?;
    figure("stations", count(plan.stations.len()), 0, 20)?;
    for station in &plan.stations {
        figure("run list", count(station.runs.len()), 0, 120)?;
        figure("buddies", count(station.buddies.len()), 0, 60)?;
        for run in &station.runs {
            figure("minutes", i64::from(run.minutes), 0, 24 * 60)?;
            figure("minutes", i64::from(run.starts), 0, 24 * 60)?;
            figure("students", i64::from(run.kept), 0, 60)?;
            figure("students", count(run.students.len()), 0, 60)?;
        }
        for buddies in &station.buddies {
            figure("buddies", count(buddies.len()), 0, 60)?;
        }
    }
    if let Some(depth) = plan.water.max_depth_cm {
        inside("depth", i64::from(depth), within::DEPTH)?;
    }
    if let Some(altitude) = plan.water.altitude_m {
        inside("height", i64::from(altitude), within::ALTITUDE)?;
    }
    if let Some(temperature) = plan.water.temperature_dc {
        inside("temperature", i64::from(temperature), within::TEMPERATURE)?;
    }
    if let Some(visibility) = plan.water.visibility_dm {
        inside("visibility", i64::from(visibility), within::VISIBILITY)?;
    }
    Ok(())
}

/// Longest id that a calendar gives.
const UID: usize = 255;

pub(in crate::entry) fn slot(slot: &Slot) -> Result<(), Refusal> {
    text("id", &slot.uid, UID)?;
    text("site", &slot.site, NAME)?;
    time("start", slot.starts)?;
    inside("minutes", i64::from(slot.minutes), within::MINUTES)?;
    optional("price", slot.price.as_ref(), 40)
}

pub(in crate::entry) fn away(away: &Away) -> Result<(), Refusal> {
    text("id", &away.uid, UID)?;
    time("from", away.from)?;
    time("until", away.until)?;
    if away.from < away.until {
        Ok(())
    } else {
        Err(Refusal::EndsBeforeItBegins { field: "absence" })
    }
}

/// Nobody is in two pairs or two zones, and no pair is a crowd.
pub(in crate::entry) fn teams(teams: &Teams) -> Result<(), Refusal> {
    figure("buddies", count(teams.pairs.len()), 0, 60)?;
    figure("zones", count(teams.zones.len()), 0, 20)?;
    for pair in &teams.pairs {
        figure("buddies", count(pair.len()), 1, count(LARGEST_PAIR))?;
    }
    let once = |what: &'static str, is: bool| {
        if is {
            Ok(())
        } else {
            Err(Refusal::Twice { what })
        }
    };
    let mut seen = BTreeSet::new();
    let mut paired = teams.pairs.iter().flatten();
    once("buddy", paired.all(|who| seen.insert(*who)))?;
    let mut seen = BTreeSet::new();
    let mut watching = teams.zones.iter();
    once("zone", watching.all(|zone| seen.insert(zone.staff)))?;
    let mut seen = BTreeSet::new();
    let mut watched = teams.zones.iter().flat_map(|zone| &zone.watches);
    once("student", watched.all(|student| seen.insert(*student)))
}

pub(in crate::entry) fn site(site: &Site) -> Result<(), Refusal> {
    text("name", &site.name, NAME)?;
    longest("access", &site.access, NOTE)?;
    longest("entry and exit", &site.entry, NOTE)?;
    longest("hazards", &site.hazards, NOTE)?;
    longest("tides", &site.tides, NOTE)?;
    if let Some(position) = site.position {
        figure("latitude", i64::from(position.north_e4), -900_000, 900_000)?;
        figure(
            "longitude",
            i64::from(position.east_e4),
            -1_800_000,
            1_800_000,
        )?;
    }
    if let Some(altitude) = site.altitude_m {
        inside("height", i64::from(altitude), within::ALTITUDE)?;
    }
    if let Some(depth) = site.depth_cm {
        inside("depth", i64::from(depth), within::DEPTH)?;
    }
    site.temperature_dc.map_or(Ok(()), |temperature| {
        inside("temperature", i64::from(temperature), within::TEMPERATURE)
    })
}

/// A plan without a number to call and an address to give is none.
pub(in crate::entry) fn emergency(plan: &EmergencyPlan) -> Result<(), Refusal> {
    text("numbers", &plan.numbers, NOTE)?;
    text("address", &plan.address, NOTE)?;
    let parts = plan.parts().into_iter();
    let mut parts = parts.map(|(field, given)| longest(field, given, NOTE));
    parts.try_for_each(|one| one)
}
