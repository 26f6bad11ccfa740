//! Dives out.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset, SecondsFormat};
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

use super::number::decimal;
use super::{ASCENTS, NAMESPACE, OWN, SIGNED, WATER};
use crate::course::{DiveLog, EntryId, WaterKind};
use crate::entry::{Body, Kind, Who};
use crate::paper::data::DataError;
use crate::paper::data::opened::{Opened, opened};
use crate::paper::source::Source;

/// A dive to be written, with where it was.
#[derive(Clone)]
pub struct UddfDive {
    /// The entry: it names the dive in the file.
    pub entry: EntryId,
    /// The dive.
    pub log: DiveLog,
    /// The site, in words.
    pub site: Option<String>,
    /// What it was for.
    pub purpose: DiveFor,
    /// Who logged it, or took it in, and when, in words.
    pub signed: Option<String>,
}

/// Written by hand so that no name can reach a log through `{:?}`.
impl std::fmt::Debug for UddfDive {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "UddfDive({})", self.entry)
    }
}

/// What a dive was for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DiveFor {
    /// The diver was learning.
    Learning,
    /// The diver was teaching.
    Teaching,
    /// Neither: a dive of the diver's own.
    Own,
}

/// The dives of one diver in a course, by time.
pub fn uddf_dives(source: &Source<'_>, who: &Who) -> Vec<UddfDive> {
    let mut dives: Vec<UddfDive> = source
        .course
        .of_kind(Kind::DiveLogged)
        .filter_map(|one| {
            let Body::DiveLogged(dive) = &one.entry.body else {
                return None;
            };
            let site = dive
                .session
                .and_then(|id| source.course.sessions().get(&id))
                .map(|session| session.plan.site.clone())
                .or_else(|| dive.site.clone());
            (dive.who == *who).then(|| UddfDive {
                entry: one.entry.id,
                log: dive.log.clone(),
                site,
                purpose: match who {
                    Who::Student(_) => DiveFor::Learning,
                    Who::Staff(_) => DiveFor::Teaching,
                },
                signed: None,
            })
        })
        .collect();
    dives.sort_by_key(|dive| (dive.log.down, dive.entry));
    dives
}

struct Out(Writer<Vec<u8>>);

type Done = Result<(), std::io::Error>;

impl Out {
    fn open(&mut self, name: &str, attributes: &[(&str, &str)]) -> Done {
        let mut start = BytesStart::new(name);
        for attribute in attributes {
            start.push_attribute(*attribute);
        }
        self.0.write_event(Event::Start(start))
    }

    fn close(&mut self, name: &str) -> Done {
        self.0.write_event(Event::End(BytesEnd::new(name)))
    }

    fn link(&mut self, target: &str) -> Done {
        let mut link = BytesStart::new("link");
        link.push_attribute(("ref", target));
        self.0.write_event(Event::Empty(link))
    }

    fn value(&mut self, name: &str, text: &str) -> Done {
        self.open(name, &[])?;
        self.0.write_event(Event::Text(BytesText::new(text)))?;
        self.close(name)
    }
}

/// Writes one diver's dives. `diver` is the name, or the id of a student who was forgotten.
///
/// # Errors
/// [`DataError`].
pub fn write_uddf(
    diver: &str,
    dives: &[UddfDive],
    now: DateTime<FixedOffset>,
) -> Result<Vec<u8>, DataError> {
    let mut out = Out(Writer::new_with_indent(Vec::new(), b' ', 1));
    document(&mut out, diver, dives, now)
        .map_err(|error| DataError::of("dive log")(error.to_string()))?;
    opened(Opened::Dives { dives: dives.len() }, out.0.into_inner())
}

fn document(out: &mut Out, diver: &str, dives: &[UddfDive], now: DateTime<FixedOffset>) -> Done {
    out.0
        .write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    out.open("uddf", &[("xmlns", NAMESPACE), ("version", "3.2.3")])?;
    out.open("generator", &[])?;
    out.value("name", "Tallywater")?;
    out.value("type", "logbook")?;
    out.value("version", env!("CARGO_PKG_VERSION"))?;
    out.value("datetime", &moment(now))?;
    out.close("generator")?;
    out.open("diver", &[])?;
    out.open("owner", &[("id", "diver")])?;
    out.open("personal", &[])?;
    // The format wants two names; a person who writes one name in one piece keeps it whole.
    let (first, last) = diver.rsplit_once(' ').unwrap_or(("", diver));
    out.value("firstname", first)?;
    out.value("lastname", last)?;
    out.close("personal")?;
    out.close("owner")?;
    out.close("diver")?;
    let mut sites: BTreeMap<(Option<&str>, WaterKind), String> = BTreeMap::new();
    let mut mixes: BTreeMap<u16, String> = BTreeMap::new();
    for dive in dives {
        let next = format!("site-{}", sites.len() + 1);
        sites
            .entry((dive.site.as_deref(), dive.log.water))
            .or_insert(next);
        if let Some(gas) = dive.log.gas {
            mixes
                .entry(gas.oxygen_permille)
                .or_insert_with(|| format!("mix-{}", gas.oxygen_permille));
        }
    }
    if !sites.is_empty() {
        out.open("divesite", &[])?;
        for ((name, water), id) in &sites {
            out.open("site", &[("id", id)])?;
            out.value("name", name.unwrap_or("?"))?;
            out.open("sitedata", &[])?;
            out.value("density", density(*water))?;
            out.close("sitedata")?;
            out.close("site")?;
        }
        out.close("divesite")?;
    }
    if !mixes.is_empty() {
        out.open("gasdefinitions", &[])?;
        for (permille, id) in &mixes {
            out.open("mix", &[("id", id)])?;
            let oxygen = decimal(i64::from(*permille), 3);
            out.value("name", &format!("oxygen {oxygen}"))?;
            out.value("o2", &oxygen)?;
            out.value("n2", &decimal(1_000 - i64::from(*permille), 3))?;
            out.close("mix")?;
        }
        out.close("gasdefinitions")?;
    }
    if !dives.is_empty() {
        out.open("profiledata", &[])?;
        out.open("repetitiongroup", &[("id", "dives")])?;
        for dive in dives {
            let site = sites
                .get(&(dive.site.as_deref(), dive.log.water))
                .map_or("", String::as_str);
            one(out, dive, site, &mixes)?;
        }
        out.close("repetitiongroup")?;
        out.close("profiledata")?;
    }
    out.close("uddf")
}

fn one(out: &mut Out, dive: &UddfDive, site: &str, mixes: &BTreeMap<u16, String>) -> Done {
    let log = &dive.log;
    out.open("dive", &[("id", &format!("dive-{}", dive.entry))])?;
    out.open("informationbeforedive", &[])?;
    out.link(site)?;
    out.value("datetime", &moment(log.down))?;
    match dive.purpose {
        DiveFor::Learning => out.value("purpose", "learning")?,
        DiveFor::Teaching => out.value("purpose", "teaching")?,
        // The schema leaves it out where nothing of its list was meant.
        DiveFor::Own => {}
    }
    out.close("informationbeforedive")?;
    if let Some(gas) = log.gas {
        out.open("tankdata", &[])?;
        if let Some(mix) = mixes.get(&gas.oxygen_permille) {
            out.link(mix)?;
        }
        out.value("tankvolume", &decimal(i64::from(gas.capacity_dl), 4))?;
        out.value(
            "tankpressurebegin",
            &decimal(i64::from(gas.start_mbar) * 100, 0),
        )?;
        out.value(
            "tankpressureend",
            &decimal(i64::from(gas.end_mbar) * 100, 0),
        )?;
        out.close("tankdata")?;
    }
    if !log.profile.is_empty() {
        out.open("samples", &[])?;
        for (seconds, cm) in &log.profile {
            out.open("waypoint", &[])?;
            out.value("depth", &decimal(i64::from(*cm), 2))?;
            out.value("divetime", &seconds.to_string())?;
            out.close("waypoint")?;
        }
        out.close("samples")?;
    }
    out.open("informationafterdive", &[])?;
    if let Some(dc) = log.temperature_dc {
        out.value(
            "lowesttemperature",
            &decimal(i64::from(dc) * 10 + 27_315, 2),
        )?;
    }
    out.value("greatestdepth", &decimal(i64::from(log.max_depth_cm), 2))?;
    out.open("notes", &[])?;
    out.value("para", &format!("{WATER}{}", water(log.water)))?;
    if let Some(ascents) = log.ascents {
        out.value("para", &format!("{ASCENTS}{ascents}"))?;
    }
    if dive.purpose == DiveFor::Own {
        out.value("para", OWN)?;
    }
    if let Some(signed) = &dive.signed {
        out.value("para", &format!("{SIGNED}{signed}"))?;
    }
    out.close("notes")?;
    out.value(
        "diveduration",
        &decimal((log.up - log.down).num_milliseconds(), 3),
    )?;
    if let Some(mean) = log.mean_depth_cm {
        out.value("averagedepth", &decimal(i64::from(mean), 2))?;
    }
    out.close("informationafterdive")?;
    out.close("dive")
}

fn moment(at: DateTime<FixedOffset>) -> String {
    at.to_rfc3339_opts(SecondsFormat::AutoSi, false)
}

/// Kilograms a cubic metre, round figures for the three kinds of water; common practice, no
/// published source.
const fn density(water: WaterKind) -> &'static str {
    match water {
        WaterKind::Fresh => "1000",
        WaterKind::Brackish => "1010",
        WaterKind::Salt => "1025",
    }
}

pub(super) const fn water(water: WaterKind) -> &'static str {
    match water {
        WaterKind::Fresh => "fresh",
        WaterKind::Brackish => "brackish",
        WaterKind::Salt => "salt",
    }
}
