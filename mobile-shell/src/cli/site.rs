//! `tallywater site`, `tallywater emergency`: the school's sites with their emergency plans;
//! what is needed when something goes wrong.

use clap::{Args, Subcommand, ValueEnum};
use serde_json::{Value, json};
use tallywater_bindings::{
    EmergencyPlan, EmergencyView, Fault, FigureKind, LightView, Moment, Request, Site as Details,
    SiteMissing, SiteView, Tallywater, alarm_cards,
};

use super::catalogue::{Language, t, tr};
use super::of::{Device, Of};
use super::session::typed;
use super::turn::Turn;
use super::words::{self, Water};
use super::{find, when};

/// What is asked of sites.
#[derive(Debug, Subcommand)]
pub(super) enum Site {
    /// List the school's sites, their light today, their emergency plans and who confirmed them.
    List {
        #[command(flatten)]
        device: Device,
    },
    /// Describe a site, or describe it anew; what is not given stays.
    ///
    /// A session is at the site that has the name of its place.
    Set {
        #[command(flatten)]
        device: Device,
        /// Its name: one that is known is described anew.
        name: String,
        #[command(flatten)]
        about: About,
    },
    /// Write what is done at a site in an emergency; what is not given stays.
    Plan {
        #[command(flatten)]
        device: Device,
        /// The site: an id, or its name or the beginning of it.
        site: String,
        #[command(flatten)]
        plan: Plan,
    },
    /// Say that you have checked the emergency plan of a site: numbers, oxygen, way.
    Confirm {
        #[command(flatten)]
        device: Device,
        /// The site: an id, or its name or the beginning of it.
        site: String,
    },
}

/// What is known of a site.
#[derive(Debug, Args)]
pub(super) struct About {
    /// Another name for it from now on.
    #[arg(long)]
    rename: Option<String>,
    /// How one gets there.
    #[arg(long)]
    access: Option<String>,
    /// Where one goes in and comes out.
    #[arg(long)]
    entry: Option<String>,
    /// What can hurt there.
    #[arg(long)]
    hazards: Option<String>,
    /// High and low water, from the national table.
    #[arg(long)]
    tides: Option<String>,
    /// Degrees north and degrees east: "47.5123 9.6021".
    #[arg(long, allow_hyphen_values = true)]
    position: Option<String>,
    /// The altitude of the water.
    #[arg(long, allow_hyphen_values = true)]
    altitude: Option<String>,
    /// The water.
    #[arg(long, value_enum)]
    water: Option<Water>,
    /// The usual depth.
    #[arg(long)]
    depth: Option<String>,
    /// The usual temperature.
    #[arg(long)]
    temperature: Option<String>,
}

/// An emergency plan.
#[derive(Debug, Args)]
#[group(skip)]
pub(super) struct Plan {
    /// The numbers to call.
    #[arg(long)]
    numbers: Option<String>,
    /// The address to give.
    #[arg(long)]
    address: Option<String>,
    /// The nearest chamber.
    #[arg(long)]
    chamber: Option<String>,
    /// The nearest hospital.
    #[arg(long)]
    hospital: Option<String>,
    /// Where the oxygen is.
    #[arg(long)]
    oxygen: Option<String>,
    /// Where the first-aid kit is.
    #[arg(long)]
    first_aid: Option<String>,
    /// Where everybody gathers.
    #[arg(long)]
    assembly: Option<String>,
    /// Who does what.
    #[arg(long)]
    roles: Option<String>,
}

/// What is asked in an emergency.
#[derive(Debug, Subcommand)]
pub(super) enum Emergency {
    /// Show the emergency plan of a session's site, whom to call, and what was written down.
    Show {
        #[command(flatten)]
        at: At,
    },
    /// Write down that something went wrong in the water, now, and show what to do.
    Raise {
        #[command(flatten)]
        at: At,
        /// What.
        #[arg(value_enum)]
        what: Alarm,
        /// When; now if left out.
        #[arg(long, allow_hyphen_values = true)]
        when: Option<String>,
    },
    /// Read the action cards, or one of them.
    Cards {
        /// Which.
        #[arg(value_enum)]
        what: Option<Alarm>,
    },
}

/// What goes wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Alarm {
    LostBuddy,
    Panic,
    Unresponsive,
    Injury,
    Oxygen,
    Recall,
}

impl Alarm {
    const fn asked(self) -> tallywater_bindings::Alarm {
        match self {
            Self::LostBuddy => tallywater_bindings::Alarm::LostBuddy,
            Self::Panic => tallywater_bindings::Alarm::Panic,
            Self::Unresponsive => tallywater_bindings::Alarm::Unresponsive,
            Self::Injury => tallywater_bindings::Alarm::Injury,
            Self::Oxygen => tallywater_bindings::Alarm::Oxygen,
            Self::Recall => tallywater_bindings::Alarm::Recall,
        }
    }

    pub(super) const fn word(what: &tallywater_bindings::Alarm) -> &'static str {
        match what {
            tallywater_bindings::Alarm::LostBuddy => "lost-buddy",
            tallywater_bindings::Alarm::Panic => "panic",
            tallywater_bindings::Alarm::Unresponsive => "unresponsive",
            tallywater_bindings::Alarm::Injury => "injury",
            tallywater_bindings::Alarm::Oxygen => "oxygen",
            tallywater_bindings::Alarm::Recall => "recall",
        }
    }
}

/// Which session of which course.
#[derive(Debug, Args)]
pub(super) struct At {
    #[command(flatten)]
    pub(super) of: Of,
    /// The session: an id, or its title or the beginning of it.
    #[arg(long)]
    pub(super) session: String,
}

fn found(desk: &Tallywater, asked: &str) -> Result<SiteView, Fault> {
    find::one("site", asked, desk.sites()?.rows, |row| {
        (&row.site, vec![&row.details.name])
    })
}

/// What was given, in place of what was there.
pub(super) fn over(into: &mut String, given: Option<&String>) {
    if let Some(given) = given {
        into.clone_from(given);
    }
}

impl About {
    fn over(&self, desk: &Tallywater, mut site: Details) -> Result<Details, Fault> {
        over(&mut site.name, self.rename.as_ref());
        over(&mut site.access, self.access.as_ref());
        over(&mut site.entry, self.entry.as_ref());
        over(&mut site.hazards, self.hazards.as_ref());
        over(&mut site.tides, self.tides.as_ref());
        if let Some(text) = &self.position {
            let read = desk.read_position(text.clone());
            site.position = read.map_err(|fault| fault.of("position").value(text))?;
        }
        if let Some(text) = &self.altitude {
            site.altitude_m = Some(typed(desk, FigureKind::Altitude, "altitude", text)?);
        }
        if let Some(water) = self.water {
            site.water = Some(water.into());
        }
        if let Some(text) = &self.depth {
            site.depth_cm = Some(typed(desk, FigureKind::Depth, "depth", text)?);
        }
        if let Some(text) = &self.temperature {
            let read = typed(desk, FigureKind::Temperature, "temperature", text)?;
            site.temperature_dc = Some(read);
        }
        Ok(site)
    }
}

/// Does what was asked of sites.
pub(super) fn run(site: &Site, turn: &Turn) -> Result<(), Fault> {
    match site {
        Site::List { device } => {
            let rows = turn.read(&device.folder)?.sites()?.rows;
            let value = json!({ "sites": rows.iter().map(site_json).collect::<Vec<_>>() });
            let ids = || rows.iter().map(|row| row.site.to_string()).collect();
            turn.answer("site.list", &value, ids, || {
                rows.iter().flat_map(site_lines).collect()
            });
            Ok(())
        }
        Site::Set {
            device,
            name,
            about,
        } => {
            let desk = turn.write(&device.folder)?;
            let rows = desk.sites()?.rows;
            let same = |row: &&SiteView| row.details.name.to_lowercase() == name.to_lowercase();
            let known = rows.iter().find(same);
            let empty = Details {
                name: name.clone(),
                access: String::new(),
                entry: String::new(),
                hazards: String::new(),
                tides: String::new(),
                position: None,
                altitude_m: None,
                water: None,
                depth_cm: None,
                temperature_dc: None,
            };
            let before = known.map_or(empty, |row| row.details.clone());
            let receipt = desk.record(Request::SetSite {
                site: known.map(|row| row.site.to_string()),
                details: about.over(&desk, before)?,
            })?;
            turn.recorded(&receipt, tr!("The site is kept."));
            Ok(())
        }
        Site::Plan { device, site, plan } => {
            let desk = turn.write(&device.folder)?;
            let row = found(&desk, site)?;
            let mut kept = row.emergency.unwrap_or_else(|| EmergencyPlan {
                numbers: String::new(),
                address: String::new(),
                chamber: String::new(),
                hospital: String::new(),
                oxygen: String::new(),
                first_aid: String::new(),
                assembly: String::new(),
                roles: String::new(),
            });
            over(&mut kept.numbers, plan.numbers.as_ref());
            over(&mut kept.address, plan.address.as_ref());
            over(&mut kept.chamber, plan.chamber.as_ref());
            over(&mut kept.hospital, plan.hospital.as_ref());
            over(&mut kept.oxygen, plan.oxygen.as_ref());
            over(&mut kept.first_aid, plan.first_aid.as_ref());
            over(&mut kept.assembly, plan.assembly.as_ref());
            over(&mut kept.roles, plan.roles.as_ref());
            let receipt = desk.record(Request::SetEmergency {
                site: row.site.to_string(),
                plan: kept,
            })?;
            turn.recorded(
                &receipt,
                tr!("The emergency plan is kept. It counts once somebody has confirmed it."),
            );
            Ok(())
        }
        Site::Confirm { device, site } => {
            let desk = turn.write(&device.folder)?;
            let row = found(&desk, site)?;
            let plan = row.plan.ok_or_else(|| Fault::rule("nothing_open"))?;
            let receipt = desk.record(Request::ConfirmEmergency {
                site: row.site.to_string(),
                plan: plan.to_string(),
            })?;
            turn.recorded(&receipt, tr!("The emergency plan is confirmed."));
            Ok(())
        }
    }
}

fn light_json(light: &LightView) -> Value {
    let at = |at: &Option<Moment>| at.as_ref().map(|at| at.at.to_rfc3339());
    json!({
        "dawn": at(&light.dawn), "sunrise": at(&light.sunrise),
        "sunset": at(&light.sunset), "dusk": at(&light.dusk),
    })
}

fn light_line(light: &LightView) -> String {
    let clock = |at: &Option<Moment>| {
        at.as_ref().map_or_else(
            || "–".to_owned(),
            |at| format!("{:02}:{:02}", at.hour, at.minute),
        )
    };
    tr!(
        "twilight from {dawn} · sunrise {rise} · sunset {set} · twilight until {dusk}",
        dawn = clock(&light.dawn),
        rise = clock(&light.sunrise),
        set = clock(&light.sunset),
        dusk = clock(&light.dusk)
    )
}

fn plan_json(plan: &EmergencyPlan) -> Value {
    json!({
        "numbers": plan.numbers, "address": plan.address, "chamber": plan.chamber,
        "hospital": plan.hospital, "oxygen": plan.oxygen, "first_aid": plan.first_aid,
        "assembly": plan.assembly, "roles": plan.roles,
    })
}

fn plan_lines(plan: &EmergencyPlan) -> Vec<String> {
    let parts = [
        (t("Numbers to call"), &plan.numbers),
        (t("Address to give"), &plan.address),
        (t("Oxygen is"), &plan.oxygen),
        (t("First-aid kit is"), &plan.first_aid),
        (t("Nearest chamber"), &plan.chamber),
        (t("Nearest hospital"), &plan.hospital),
        (t("Assembly point"), &plan.assembly),
        (t("Who does what"), &plan.roles),
    ];
    let said = parts.into_iter().filter(|(_, text)| !text.is_empty());
    said.map(|(label, text)| format!("  {label}: {text}"))
        .collect()
}

fn site_json(row: &SiteView) -> Value {
    let figure = |it: &Option<tallywater_bindings::Figure>| it.as_ref().map(super::figure);
    let details = &row.details;
    json!({
        "id": row.site, "name": details.name, "access": details.access, "entry": details.entry,
        "hazards": details.hazards, "tides": details.tides, "position": row.position,
        "altitude": figure(&row.altitude), "depth": figure(&row.depth),
        "temperature": figure(&row.temperature),
        "water": details.water.as_ref().map(|kind| Water::from(kind).word()),
        "light": row.light.as_ref().map(light_json),
        "plan": row.emergency.as_ref().map(plan_json),
        "confirmed": row.confirmed.as_ref().map(|held| json!({
            "by": words::staff(&held.by), "on": held.on.date,
        })),
    })
}

fn site_lines(row: &SiteView) -> Vec<String> {
    let mut lines = vec![format!("{}  {}", row.site, row.details.name)];
    let details = &row.details;
    for (label, text) in [
        (t("Access"), &details.access),
        (t("Entry and exit"), &details.entry),
        (t("Hazards"), &details.hazards),
        (t("Tides"), &details.tides),
    ] {
        if !text.is_empty() {
            lines.push(format!("  {label}: {text}"));
        }
    }
    lines.extend(
        row.light
            .iter()
            .map(|light| format!("  {}", light_line(light))),
    );
    match (&row.emergency, &row.confirmed) {
        (None, _) => lines.push(format!("  {}", t("No emergency plan of this site"))),
        (Some(plan), None) => {
            lines.extend(plan_lines(plan));
            lines.push(format!("  {}", t("Emergency plan confirmed by nobody")));
        }
        (Some(plan), Some(held)) => {
            lines.extend(plan_lines(plan));
            let said = tr!(
                "Confirmed by {who}, {when}",
                who = held.by.name,
                when = held.on.date
            );
            lines.push(format!("  {said}"));
        }
    }
    lines
}

/// What a site lacks before water.
pub(super) fn missing_said(missing: &SiteMissing) -> String {
    match missing {
        SiteMissing::NoPlan => t("No emergency plan of this site").to_owned(),
        SiteMissing::NotConfirmed => t("Emergency plan confirmed by nobody").to_owned(),
        SiteMissing::TooOld(on, months) => tr!(
            "EMERGENCY PLAN LAST CONFIRMED ON {when}, asked for every {n} months",
            when = on,
            n = months
        ),
        SiteMissing::RuleUnconfirmed(..) => {
            t("The rule on emergency plans is confirmed by nobody").to_owned()
        }
    }
}

/// Does what was asked in an emergency.
pub(super) fn emergency(asked: &Emergency, turn: &Turn) -> Result<(), Fault> {
    match asked {
        Emergency::Show { at } => {
            let opened = at.of.read(turn)?;
            let id = find::session(&opened.desk, &opened.id(), &at.session)?
                .session
                .to_string();
            shown(&opened.desk.emergency(opened.id(), id)?, turn);
            Ok(())
        }
        Emergency::Raise { at, what, when } => {
            let opened = at.of.write(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let session = find::session(desk, &course, &at.session)?
                .session
                .to_string();
            let when = when.as_ref().map(|typed| when::time(desk, typed));
            let receipt = desk.record(Request::RaiseAlarm {
                course,
                session,
                what: what.asked(),
                when: when.transpose()?,
            })?;
            let lines = card_lines(Some(*what))?;
            turn.recorded(
                &receipt,
                format!("{}\n{}", tr!("Written down."), lines.join("\n")),
            );
            Ok(())
        }
        Emergency::Cards { what } => {
            let cards = alarm_cards(Language::spoken().of_paper())?;
            let cards = cards
                .iter()
                .filter(|card| what.is_none_or(|what| what.asked() == card.what))
                .map(|card| {
                    json!({
                        "card": Alarm::word(&card.what), "title": card.title,
                        "steps": card.steps, "source": card.source, "caution": card.caution,
                    })
                });
            let value = json!({ "cards": cards.collect::<Vec<_>>() });
            let lines = card_lines(*what)?;
            turn.answer("emergency.cards", &value, Vec::new, || lines);
            Ok(())
        }
    }
}

pub(super) fn card_lines(what: Option<Alarm>) -> Result<Vec<String>, Fault> {
    let cards = alarm_cards(Language::spoken().of_paper())?;
    let mut lines = Vec::new();
    for card in cards {
        if what.is_some_and(|what| what.asked() != card.what) {
            continue;
        }
        lines.push(card.title);
        let steps = (1..).zip(&card.steps);
        lines.extend(steps.map(|(n, step): (u32, _)| format!("  {n}. {step}")));
        lines.push(format!("  {}", card.caution));
        lines.push(format!("  {}", tr!("Source: {what}", what = card.source)));
    }
    Ok(lines)
}

fn shown(seen: &EmergencyView, turn: &Turn) {
    let contacts = seen.contacts.iter().map(|row| {
        json!({
            "student": words::student(&row.name),
            "name": row.contact.as_ref().map(|whom| &whom.name),
            "reach": row.contact.as_ref().map(|whom| &whom.reach),
        })
    });
    let alarms = seen.alarms.iter().map(|row| {
        json!({
            "entry": row.entry, "what": Alarm::word(&row.what), "when": row.when.at.to_rfc3339(),
            "by": words::staff(&row.by),
        })
    });
    let site = seen.site.as_ref();
    let value = json!({
        "session": seen.session, "title": seen.title, "place": seen.place,
        "site": site.map(|site| &site.site),
        "plan": site.and_then(|site| site.emergency.as_ref()).map(plan_json),
        "light": seen.light.as_ref().map(light_json),
        "missing": seen.missing.iter().map(missing_said).collect::<Vec<_>>(),
        "contacts": contacts.collect::<Vec<_>>(), "alarms": alarms.collect::<Vec<_>>(),
    });
    let ids = || {
        seen.alarms
            .iter()
            .map(|row| row.entry.to_string())
            .collect()
    };
    turn.answer("emergency.show", &value, ids, || {
        let mut lines = vec![format!("{}, {}", seen.title, seen.place)];
        lines.extend(seen.missing.iter().map(missing_said));
        let plan = site.and_then(|site| site.emergency.as_ref());
        lines.extend(plan.into_iter().flat_map(plan_lines));
        lines.extend(seen.light.iter().map(light_line));
        for row in &seen.contacts {
            let whom = row.contact.as_ref().map_or_else(
                || t("no contact held").to_owned(),
                |whom| format!("{}, {}", whom.name, whom.reach),
            );
            lines.push(format!("{}: {whom}", row.name.name));
        }
        for row in &seen.alarms {
            let when = words::moment(&row.when);
            lines.push(format!("{}  {when}  {}", row.entry, Alarm::word(&row.what)));
        }
        lines
    });
}
