//! What stands on a session's sheet for an emergency: the site, the light of the day, and the
//! plan with who confirmed it; loudly what is missing of it.

use super::{BODY, SMALL};
use crate::course::{SessionPlan, Site};
use crate::paper::pdf::{Cell, Column, Flow, Row, Table};
use crate::paper::say::{Figures as _, clock, day, signer_name};
use crate::paper::source::Source;
use crate::paper::words::{Words, fill};
use crate::plan::before_site;
use crate::standing::SessionNow;
use crate::view::{Of, Units};

/// What is known of the site, the light of the day, and what is done in an emergency.
pub(super) fn emergency(
    flow: &mut Flow<'_>,
    source: &Source<'_>,
    words: &'static Words,
    now: &SessionNow,
    units: Units,
) {
    let plan = &now.plan;
    let lacks = before_site(source.shop, source.course, plan);
    let site = source.shop.site_named(&plan.site);
    if lacks.is_empty() && site.is_none() {
        return;
    }
    flow.heading(2, words.emergency_plan);
    for one in &lacks {
        flow.paragraph(&[(&words.site_missing(one), BODY.bold())]);
    }
    let Some((id, details)) = site else { return };
    let mut facts: Vec<(&str, String)> = Vec::new();
    if let Some((_, emergency)) = source.shop.emergency(&id) {
        let parts = words.emergency_parts(emergency).into_iter();
        facts.extend(parts.map(|(label, said)| (label, said.to_owned())));
        if let Some(one) = source.shop.emergency_confirmed(&id) {
            let who = signer_name(&source.signer_of_shop(one));
            let when = day(one.entry.at.date_naive());
            let said = fill(words.emergency_confirmed, &[("who", &who), ("when", &when)]);
            flow.paragraph(&[(&said, SMALL.semi())]);
        }
    }
    facts.extend(about_site(words, details, units));
    if let Some(said) = daylight(words, details, plan) {
        facts.push((words.daylight, said));
    }
    facts.retain(|(_, said)| !said.is_empty());
    let rows = facts.into_iter().map(|(label, said)| {
        Row::of(vec![
            Cell::new(label, BODY.semi().grey()),
            Cell::new(said, BODY),
        ])
    });
    flow.gap(3.0);
    flow.table(&Table {
        columns: vec![Column::left(22.0), Column::left(78.0)],
        head: Vec::new(),
        rows: rows.collect(),
    });
    flow.gap(3.0);
    flow.paragraph(&[(words.emergency_caution, SMALL.semi())]);
}

fn about_site<'a>(words: &'static Words, site: &Site, units: Units) -> Vec<(&'a str, String)> {
    let mut water: Vec<String> = Vec::new();
    water.extend(site.water.map(|kind| words.water_of(kind).to_owned()));
    water.extend(site.depth_cm.map(|cm| units.depth(cm)));
    water.extend(site.temperature_dc.map(|dc| units.temperature(dc)));
    water.extend(site.altitude_m.map(|m| units.figure(Of::Altitude, m)));
    vec![
        (words.site_access, site.access.clone()),
        (words.site_entry, site.entry.clone()),
        (words.site_hazards, site.hazards.clone()),
        (words.site_tides, site.tides.clone()),
        (words.water, water.join(", ")),
    ]
}

/// The light of the session's day, by its own clock.
fn daylight(words: &Words, site: &Site, plan: &SessionPlan) -> Option<String> {
    let starts = plan.starts;
    let found = crate::view::daylight(site, starts.date_naive(), *starts.offset())?;
    let [dawn, rise, set, dusk] = found.map(|at| at.map_or_else(|| "–".to_owned(), clock));
    Some(fill(
        words.light_line,
        &[
            ("dawn", &dawn),
            ("rise", &rise),
            ("set", &set),
            ("dusk", &dusk),
        ],
    ))
}
