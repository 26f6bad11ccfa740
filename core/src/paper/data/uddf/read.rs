//! Dives in. Every figure is held against what water and cylinders allow, because the usual
//! mistake of a file is a unit.

use std::collections::BTreeMap;

use chrono::{DateTime, Duration, FixedOffset, NaiveDateTime, TimeDelta};
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use super::number::scaled;
use super::refused::{Bounds, UddfError, depth, pressure};
use super::{ASCENTS, WATER};
use crate::course::{DiveLog, GasUsed, WaterKind};

/// The longest file that is read: a season of dives at one sample a second fits.
const MOST_BYTES: usize = 64 << 20;

/// A dive as it was read, with where it was.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadDive {
    /// The id within the file.
    pub id: String,
    /// The dive.
    pub log: DiveLog,
    /// The site, in words, if the file names one.
    pub site: Option<String>,
}

/// What one dive said, before it is believed.
#[derive(Debug, Default)]
struct Raw {
    id: String,
    links: Vec<String>,
    values: BTreeMap<&'static str, String>,
    tank_links: Vec<String>,
    tanks: usize,
    samples: Vec<(Option<String>, Option<String>)>,
    notes: Vec<String>,
    coldest: Option<String>,
}

/// A file of dives as it was read.
#[derive(Clone, PartialEq, Eq)]
pub struct ReadLog {
    /// Whose log the file says it is.
    pub owner: Option<String>,
    /// The dives, in the order of the file.
    pub dives: Vec<ReadDive>,
}

/// Written by hand so that a name cannot reach a log through `{:?}`.
impl std::fmt::Debug for ReadLog {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "ReadLog({} dives)", self.dives.len())
    }
}

/// Where and when a file is read.
#[derive(Clone, Copy)]
pub struct Home<'a> {
    /// The offset that the place has at a local time.
    pub offset_at: &'a dyn Fn(NaiveDateTime) -> FixedOffset,
    /// Now; a dive that ends after it has not been made. `None` asks nothing.
    pub now: Option<DateTime<FixedOffset>>,
}

/// How far ahead of the device's clock a dive computer's may be.
const CLOCKS_DIFFER: TimeDelta = TimeDelta::minutes(15);

/// Reads the dives of a file.
///
/// A time without an offset is taken to be of the place's on that date. The first cylinder of a
/// dive is read; what else a file holds is left alone.
///
/// # Errors
/// [`UddfError`], naming the first thing wrong.
pub fn read_dive_log(bytes: &[u8], home: Home<'_>) -> Result<ReadLog, UddfError> {
    if bytes.len() > MOST_BYTES {
        return Err(UddfError::TooLong { most: MOST_BYTES });
    }
    let file = parse(bytes)?;
    let dives = file.dives.iter().enumerate();
    let dives = dives.map(|(at, raw)| believe(at + 1, raw, &file, home));
    let owner = [file.owner.0.trim(), file.owner.1.trim()].join(" ");
    Ok(ReadLog {
        dives: dives.collect::<Result<_, _>>()?,
        owner: Some(owner.trim().to_owned()).filter(|owner| !owner.is_empty()),
    })
}

/// The dives of a file alone, where every time without an offset is of one.
///
/// # Errors
/// [`UddfError`], naming the first thing wrong.
pub fn read_uddf(bytes: &[u8], home: FixedOffset) -> Result<Vec<ReadDive>, UddfError> {
    let home = Home {
        offset_at: &|_| home,
        now: None,
    };
    Ok(read_dive_log(bytes, home)?.dives)
}

#[derive(Debug, Default)]
struct File {
    /// First and last name of the owner of the log.
    owner: (String, String),
    sites: BTreeMap<String, (String, Option<String>)>,
    mixes: BTreeMap<String, String>,
    dives: Vec<Raw>,
}

fn parse(bytes: &[u8]) -> Result<File, UddfError> {
    let xml = decode(bytes);
    let mut reader = Reader::from_str(&xml);
    let mut path: Vec<String> = Vec::new();
    let mut file = File::default();
    let mut begun = false;
    let mut text = String::new();
    let mut named = (String::new(), String::new());
    loop {
        let at = reader.buffer_position();
        let bad = |_| UddfError::NotXml { at };
        match reader.read_event().map_err(bad)? {
            Event::Start(start) => {
                begin(&start, &mut path, &mut file, &mut named)?;
                begun = true;
                text.clear();
            }
            Event::Empty(start) => {
                begin(&start, &mut path, &mut file, &mut named)?;
                begun = true;
                path.pop();
            }
            Event::Text(part) => text.push_str(&part),
            Event::CData(part) => text.push_str(&part),
            Event::GeneralRef(entity) => {
                text.push_str(match entity.as_ref() {
                    "amp" => "&",
                    "lt" => "<",
                    "gt" => ">",
                    "quot" => "\"",
                    "apos" => "'",
                    _ => "",
                });
                if let Ok(Some(c)) = entity.resolve_char_ref() {
                    text.push(c);
                }
            }
            Event::End(_) => {
                end(&path, text.trim(), &mut file, &named);
                path.pop();
                text.clear();
            }
            Event::Eof => break,
            Event::Decl(_) | Event::Comment(_) | Event::PI(_) | Event::DocType(_) => {}
        }
    }
    if !path.is_empty() {
        return Err(UddfError::NotXml {
            at: u64::try_from(bytes.len()).unwrap_or(u64::MAX),
        });
    }
    // Nothing before the end, or text alone: no log of no dives, but no log.
    if begun {
        Ok(file)
    } else {
        Err(UddfError::NotUddf)
    }
}

/// As the byte order mark says, or the declaration, or UTF-8.
fn decode(bytes: &[u8]) -> std::borrow::Cow<'_, str> {
    let start: String = bytes.iter().take(200).map(|b| char::from(*b)).collect();
    let declared = start
        .split_once("encoding=")
        .and_then(|(_, rest)| rest.split(['"', '\'']).nth(1))
        .and_then(|label| encoding_rs::Encoding::for_label(label.as_bytes()));
    declared.unwrap_or(encoding_rs::UTF_8).decode(bytes).0
}

fn attribute(start: &BytesStart<'_>, name: &str) -> String {
    start
        .attributes()
        .flatten()
        .find(|attribute| attribute.key.local_name().as_ref() == name)
        .map(|attribute| attribute.value.into_owned())
        .unwrap_or_default()
}

fn begin(
    start: &BytesStart<'_>,
    path: &mut Vec<String>,
    file: &mut File,
    named: &mut (String, String),
) -> Result<(), UddfError> {
    let name = start.local_name().as_ref().to_owned();
    if path.is_empty() {
        if name != "uddf" {
            return Err(UddfError::NotUddf);
        }
        let version = attribute(start, "version");
        if !["3.0", "3.1", "3.2", "3.3"]
            .iter()
            .any(|known| version.starts_with(known))
        {
            return Err(UddfError::OtherVersion {
                found: version.chars().take(16).collect(),
            });
        }
    }
    let within = path.last().map_or("", String::as_str);
    match (within, name.as_str()) {
        ("divesite", "site") | ("gasdefinitions", "mix") => {
            *named = (name.clone(), attribute(start, "id"));
        }
        ("repetitiongroup", "dive") => file.dives.push(Raw {
            id: attribute(start, "id"),
            ..Raw::default()
        }),
        ("dive", "tankdata") => with(file, |dive| dive.tanks += 1),
        ("informationbeforedive", "link") => {
            let target = attribute(start, "ref");
            with(file, |dive| dive.links.push(target));
        }
        ("tankdata", "link") => {
            let target = attribute(start, "ref");
            with(file, |dive| {
                if dive.tanks == 1 {
                    dive.tank_links.push(target);
                }
            });
        }
        ("samples", "waypoint") => with(file, |dive| dive.samples.push((None, None))),
        _ => {}
    }
    path.push(name);
    Ok(())
}

fn with(file: &mut File, step: impl FnOnce(&mut Raw)) {
    if let Some(dive) = file.dives.last_mut() {
        step(dive);
    }
}

fn end(path: &[String], text: &str, file: &mut File, named: &(String, String)) {
    let tail: Vec<&str> = path.iter().rev().take(3).map(String::as_str).collect();
    let text = || text.to_owned();
    match tail.as_slice() {
        ["name", "site", ..] => {
            file.sites.entry(named.1.clone()).or_default().0 = text();
        }
        ["firstname", "personal", "owner"] => file.owner.0 = text(),
        ["lastname", "personal", "owner"] => file.owner.1 = text(),
        ["density", "sitedata", "site"] => {
            file.sites.entry(named.1.clone()).or_default().1 = Some(text());
        }
        ["o2", "mix", ..] => {
            file.mixes.insert(named.1.clone(), text());
        }
        ["datetime", "informationbeforedive", ..] => {
            with(file, |dive| keep(dive, "datetime", text()));
        }
        ["tankvolume", "tankdata", ..] => with(file, |dive| first(dive, "tankvolume", text())),
        ["tankpressurebegin", "tankdata", ..] => {
            with(file, |dive| first(dive, "tankpressurebegin", text()));
        }
        ["tankpressureend", "tankdata", ..] => {
            with(file, |dive| first(dive, "tankpressureend", text()));
        }
        ["depth", "waypoint", "samples"] => with(file, |dive| {
            if let Some(sample) = dive.samples.last_mut() {
                sample.1 = Some(text());
            }
        }),
        ["divetime", "waypoint", "samples"] => with(file, |dive| {
            if let Some(sample) = dive.samples.last_mut() {
                sample.0 = Some(text());
            }
        }),
        ["lowesttemperature", "informationafterdive", ..] => {
            with(file, |dive| dive.coldest = Some(text()));
        }
        ["greatestdepth", "informationafterdive", ..] => {
            with(file, |dive| keep(dive, "greatestdepth", text()));
        }
        ["averagedepth", "informationafterdive", ..] => {
            with(file, |dive| keep(dive, "averagedepth", text()));
        }
        ["diveduration", "informationafterdive", ..] => {
            with(file, |dive| keep(dive, "diveduration", text()));
        }
        ["para", "notes", "informationafterdive"] => {
            with(file, |dive| dive.notes.push(text()));
        }
        _ => {}
    }
}

fn keep(dive: &mut Raw, name: &'static str, text: String) {
    dive.values.insert(name, text);
}

/// Of the first cylinder only.
fn first(dive: &mut Raw, name: &'static str, text: String) {
    if dive.tanks == 1 {
        keep(dive, name, text);
    }
}

fn believe(dive: usize, raw: &Raw, file: &File, home: Home<'_>) -> Result<ReadDive, UddfError> {
    let value = |element: &'static str| {
        raw.values
            .get(element)
            .ok_or(UddfError::Missing { dive, element })
    };
    let down = time(value("datetime")?, home).ok_or(UddfError::Unreadable {
        dive,
        element: "datetime",
    })?;
    let duration = Bounds {
        element: "diveduration",
        places: 3,
        least: (0, "0"),
        most: (6 * 3_600_000, "21600"),
        unit: "s",
        hint: "times are seconds",
    }
    .read(dive, value("diveduration")?)?;
    let up = down + Duration::milliseconds(duration);
    if home.now.is_some_and(|now| up > now + CLOCKS_DIFFER) {
        return Err(UddfError::StillToCome { dive });
    }
    let max_depth_cm = small(depth("greatestdepth").read(dive, value("greatestdepth")?)?);
    let mean_depth_cm = match raw.values.get("averagedepth") {
        Some(text) => Some(small(depth("averagedepth").read(dive, text)?)),
        None => None,
    };
    let temperature_dc = match &raw.coldest {
        Some(text) => {
            let hundredths = Bounds {
                element: "lowesttemperature",
                places: 2,
                least: (27_115, "271.15"),
                most: (31_815, "318.15"),
                unit: "K",
                hint: "temperatures are kelvin: 14 degrees Celsius is 287.15",
            }
            .read(dive, text)?;
            let (above, half) = (
                hundredths - 27_315,
                if hundredths < 27_315 { -5 } else { 5 },
            );
            i16::try_from((above + half) / 10).ok()
        }
        None => None,
    };
    let site = raw.links.iter().find_map(|target| file.sites.get(target));
    let mut log = DiveLog {
        down,
        up,
        max_depth_cm,
        mean_depth_cm,
        ascents: None,
        gas: gas(dive, raw, file)?,
        water: water(raw, site.and_then(|(_, density)| density.as_deref())),
        temperature_dc,
        profile: profile(dive, raw)?,
    };
    log.ascents = raw
        .notes
        .iter()
        .find_map(|note| note.strip_prefix(ASCENTS))
        .and_then(|count| count.parse().ok());
    Ok(ReadDive {
        id: raw.id.chars().take(80).collect(),
        log,
        site: site
            .map(|(name, _)| name.clone())
            .filter(|name| !name.is_empty() && name != "?"),
    })
}

fn gas(dive: usize, raw: &Raw, file: &File) -> Result<Option<GasUsed>, UddfError> {
    let (Some(volume), Some(start), Some(end)) = (
        raw.values.get("tankvolume"),
        raw.values.get("tankpressurebegin"),
        raw.values.get("tankpressureend"),
    ) else {
        // A cylinder of which something is not known says nothing about gas used.
        return Ok(None);
    };
    let volume = Bounds {
        element: "tankvolume",
        places: 4,
        least: (5, "0.0005"),
        most: (400, "0.04"),
        unit: "m3",
        hint: "volumes are cubic metres: twelve litres is 0.012",
    }
    .read(dive, volume)?;
    let start = pressure("tankpressurebegin", (100_000, "100000")).read(dive, start)?;
    let end = pressure("tankpressureend", (0, "0")).read(dive, end)?;
    // A few bar left are some 100000 Pa; a whole figure up to 350 is bar.
    if end > 0 && end < 1_000 {
        return Err(UddfError::OutOfBounds {
            dive,
            element: "tankpressureend",
            least: "1000",
            most: "35000000",
            unit: "Pa",
            hint: "pressures are pascal: 50 bar is 5000000",
        });
    }
    let oxygen = match raw
        .tank_links
        .iter()
        .find_map(|target| file.mixes.get(target))
    {
        Some(text) => Bounds {
            element: "o2",
            places: 3,
            least: (209, "0.209"),
            most: (1_000, "1"),
            unit: "of the whole",
            hint: "gases are shares of one: 32 per cent is 0.32",
        }
        .read(dive, text)?,
        None => 209,
    };
    let mbar = |pascal: i64| small((pascal + 50) / 100);
    Ok(Some(GasUsed {
        capacity_dl: u16::try_from(volume).unwrap_or(u16::MAX),
        start_mbar: mbar(start),
        end_mbar: mbar(end),
        oxygen_permille: u16::try_from(oxygen).unwrap_or(209),
    }))
}

fn profile(dive: usize, raw: &Raw) -> Result<Vec<(u32, u32)>, UddfError> {
    let mut profile: Vec<(u32, u32)> = Vec::new();
    for (seconds, metres) in &raw.samples {
        let (Some(seconds), Some(metres)) = (seconds, metres) else {
            // A point that marks an alarm or a change of gas has no depth of its own.
            continue;
        };
        let at = Bounds {
            element: "divetime",
            places: 0,
            least: (0, "0"),
            most: (6 * 3_600, "21600"),
            unit: "s",
            hint: "times are seconds",
        }
        .read(dive, seconds)?;
        let depth = depth("depth").read(dive, metres)?;
        let (at, depth) = (small(at), small(depth));
        match profile.last() {
            Some((before, _)) if *before == at => {}
            Some((before, _)) if *before > at => {
                return Err(UddfError::OutOfBounds {
                    dive,
                    element: "divetime",
                    least: "the one before",
                    most: "21600",
                    unit: "s",
                    hint: "the samples are not in order",
                });
            }
            Some(_) | None => profile.push((at, depth)),
        }
    }
    Ok(profile)
}

/// Bounded above by what was read, so it always fits.
fn small(value: i64) -> u32 {
    u32::try_from(value).unwrap_or(0)
}

/// Our own word for it if the file has one, else by the density of the site; fresh where
/// nothing is known, since that is what changes no depth.
fn water(raw: &Raw, density: Option<&str>) -> WaterKind {
    let said = raw.notes.iter().find_map(|note| note.strip_prefix(WATER));
    let known = [WaterKind::Fresh, WaterKind::Brackish, WaterKind::Salt]
        .into_iter()
        .find(|kind| said == Some(super::write::water(*kind)));
    known.unwrap_or_else(|| match density.and_then(|text| scaled(text, 0)) {
        Some(1_018..=1_060) => WaterKind::Salt,
        Some(1_005..1_018) => WaterKind::Brackish,
        Some(_) | None => WaterKind::Fresh,
    })
}

fn time(text: &str, home: Home<'_>) -> Option<DateTime<FixedOffset>> {
    DateTime::parse_from_rfc3339(text).ok().or_else(|| {
        ["%Y-%m-%dT%H:%M:%S%.f", "%Y-%m-%dT%H:%M"]
            .iter()
            .find_map(|form| NaiveDateTime::parse_from_str(text, form).ok())
            .and_then(|naive| {
                let offset = (home.offset_at)(naive);
                naive.and_local_timezone(offset).single()
            })
    })
}
