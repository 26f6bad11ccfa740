//! Ics: the events of an iCalendar file (RFC 5545). Read are UID, DTSTART, DTEND or DURATION in
//! days and hours, LOCATION, SUMMARY, STATUS and the zones that the file describes; everything
//! else is passed over.

use std::collections::BTreeMap;

use chrono::{DateTime, Days, FixedOffset, NaiveDate, NaiveTime, TimeDelta, Utc};

use super::events::{Written, of_calendar};
use super::zone::Zone;
use super::{Agenda, AgendaEvent, AgendaReason, Here};

/// One line as it was before it was folded: number, name, parameters, value.
struct Line {
    number: u64,
    name: String,
    zone: Option<String>,
    value: String,
}

/// What was read of the component that is open.
#[derive(Default)]
struct Open {
    line: u64,
    lines: BTreeMap<String, Line>,
}

pub(super) fn read(text: &str, here: Here<'_>) -> Agenda {
    let lines = unfolded(text);
    let zones = zones(&lines);
    let mut agenda = Agenda::default();
    let mut open: Option<Open> = None;
    // Components within an event, as an alarm, say nothing of its hours.
    let mut within: u32 = 0;
    for line in lines {
        let value = line.value.to_ascii_uppercase();
        match (line.name.as_str(), value.as_str()) {
            ("BEGIN", "VEVENT") => {
                if let Some(before) = &open {
                    agenda.fault(before.line, AgendaReason::Unclosed);
                }
                within = 0;
                open = Some(Open {
                    line: line.number,
                    lines: BTreeMap::new(),
                });
            }
            ("END", "VEVENT") => match open.take() {
                Some(event) => agenda.take(event.line, event.event(&zones, here)),
                None => agenda.fault(line.number, AgendaReason::Unclosed),
            },
            ("BEGIN", _) => within = within.saturating_add(1),
            ("END", _) => within = within.saturating_sub(1),
            _ => {
                if let Some(event) = open.as_mut().filter(|_| within == 0) {
                    event.lines.entry(line.name.clone()).or_insert(line);
                }
            }
        }
    }
    if let Some(left) = open {
        agenda.fault(left.line, AgendaReason::Unclosed);
    }
    agenda
}

/// Lines put together again (RFC 5545, 3.1): one that begins with a space or a tab goes on.
fn unfolded(text: &str) -> Vec<Line> {
    let mut whole: Vec<(u64, String)> = Vec::new();
    for (number, line) in (1..).zip(text.lines()) {
        let goes_on = line.strip_prefix([' ', '\t']);
        match (goes_on, whole.last_mut()) {
            (Some(rest), Some((_, before))) => before.push_str(rest),
            _ => whole.push((number, line.to_owned())),
        }
    }
    let cut = |(number, line): (u64, String)| Line::cut(number, &line);
    whole.into_iter().filter_map(cut).collect()
}

impl Line {
    /// `NAME;PARAMETER=...:value`; a colon within quotes is none.
    fn cut(number: u64, line: &str) -> Option<Self> {
        let mut quoted = false;
        let colon = line.char_indices().find(|(_, letter)| {
            quoted ^= *letter == '"';
            *letter == ':' && !quoted
        })?;
        let (head, value) = line.split_at_checked(colon.0)?;
        let mut parts = head.split(';');
        let name = parts.next()?.trim().to_ascii_uppercase();
        let mut zone = None;
        for part in parts {
            if let Some((of, said)) = part.split_once('=')
                && of.eq_ignore_ascii_case("TZID")
            {
                zone = Some(said.trim_matches('"').to_owned());
            }
        }
        let value = value.strip_prefix(':')?.trim().to_owned();
        Some(Self {
            number,
            name,
            zone,
            value,
        })
    }
}

/// The zones that the file describes, by their names.
fn zones(lines: &[Line]) -> BTreeMap<String, Zone> {
    let mut zones = BTreeMap::new();
    let mut name = None;
    let mut zone: Option<Zone> = None;
    let mut part: BTreeMap<&str, &str> = BTreeMap::new();
    for line in lines {
        let value = line.value.to_ascii_uppercase();
        match (line.name.as_str(), value.as_str()) {
            ("BEGIN", "VTIMEZONE") => (name, zone) = (None, Some(Zone::default())),
            ("END", "VTIMEZONE") => {
                if let Some((name, zone)) = name.take().zip(zone.take()) {
                    zones.insert(name, zone);
                }
            }
            ("BEGIN", "STANDARD" | "DAYLIGHT") => part.clear(),
            ("END", "STANDARD" | "DAYLIGHT") => {
                if let Some(zone) = &mut zone {
                    let said = |name: &str| part.get(name).copied().unwrap_or_default();
                    zone.part(
                        said("DTSTART"),
                        said("TZOFFSETTO"),
                        part.get("RRULE").copied(),
                    );
                }
            }
            ("TZID", _) => name = Some(line.value.clone()),
            _ => {
                part.insert(&line.name, &line.value);
            }
        }
    }
    zones
}

impl Open {
    fn event(
        &self,
        zones: &BTreeMap<String, Zone>,
        here: Here<'_>,
    ) -> Result<AgendaEvent, AgendaReason> {
        let said = |name: &str| self.lines.get(name).map(|line| plain(&line.value));
        let uid = said("UID").filter(|uid| !uid.is_empty());
        let uid = uid.ok_or(AgendaReason::NoId)?;
        if self.lines.contains_key("RRULE") || self.lines.contains_key("RDATE") {
            return Err(AgendaReason::Repeats);
        }
        let first = self.lines.get("DTSTART").ok_or(AgendaReason::NoStart)?;
        let starts = when(first, zones, here)?;
        let ends = match (self.lines.get("DTEND"), self.lines.get("DURATION")) {
            (Some(line), _) => when(line, zones, here)?.0,
            (None, Some(line)) => {
                let length = duration(&line.value).ok_or(AgendaReason::BadTime)?;
                let ends = starts.0.checked_add_signed(length);
                ends.ok_or(AgendaReason::BadTime)?
            }
            (None, None) => match starts.1 {
                Some(day) => midnight_after(day, here)?,
                None => return Err(AgendaReason::NoEnd),
            },
        };
        let place = said("LOCATION").filter(|place| !place.is_empty());
        let status = said("STATUS").unwrap_or_default();
        Ok(AgendaEvent {
            line: self.line,
            uid,
            starts: starts.0,
            ends,
            place: place.or_else(|| said("SUMMARY")).unwrap_or_default(),
            setting: None,
            price: None,
            cancelled: status.eq_ignore_ascii_case("CANCELLED"),
        })
    }
}

/// When a line says that it is, and the day where it names a whole one. A time with no zone is
/// by the clock of this place (RFC 5545, 3.3.5: "floating").
fn when(
    line: &Line,
    zones: &BTreeMap<String, Zone>,
    here: Here<'_>,
) -> Result<(DateTime<FixedOffset>, Option<NaiveDate>), AgendaReason> {
    let (written, utc) = of_calendar(&line.value).ok_or(AgendaReason::BadTime)?;
    let at = match written {
        Written::Day(day) => {
            let at = here(day.and_time(NaiveTime::MIN)).ok_or(AgendaReason::BadTime)?;
            return Ok((at, Some(day)));
        }
        Written::At(at) => at,
    };
    let found = match &line.zone {
        _ if utc => Some(
            at.and_local_timezone(Utc)
                .single()
                .map(|at| at.fixed_offset()),
        ),
        None => Some(here(at)),
        Some(name) if is_utc(name) => Some(
            at.and_local_timezone(Utc)
                .single()
                .map(|at| at.fixed_offset()),
        ),
        Some(name) => zones.get(name).map(|zone| zone.at(at)),
    };
    match found {
        Some(Some(at)) => Ok((at, None)),
        Some(None) if line.zone.is_none() => Err(AgendaReason::BadTime),
        Some(None) | None => Err(AgendaReason::UnknownZone),
    }
}

fn is_utc(name: &str) -> bool {
    ["UTC", "Etc/UTC", "GMT", "Etc/GMT"].contains(&name)
}

fn midnight_after(day: NaiveDate, here: Here<'_>) -> Result<DateTime<FixedOffset>, AgendaReason> {
    let next = day.checked_add_days(Days::new(1));
    let next = next.and_then(|next| here(next.and_time(NaiveTime::MIN)));
    next.ok_or(AgendaReason::BadTime)
}

/// `P2D`, `PT1H30M`, `P1W`; nothing below nought.
fn duration(text: &str) -> Option<TimeDelta> {
    let mut seconds: i64 = 0;
    let mut digits = String::new();
    let mut units = 0;
    for letter in text.strip_prefix('P')?.chars() {
        let unit = match letter {
            'T' if digits.is_empty() => continue,
            'W' => 7 * 86_400,
            'D' => 86_400,
            'H' => 3_600,
            'M' => 60,
            'S' => 1,
            digit if digit.is_ascii_digit() => {
                digits.push(digit);
                continue;
            }
            _ => return None,
        };
        let count: i64 = digits.parse().ok()?;
        seconds = seconds.checked_add(count.checked_mul(unit)?)?;
        digits.clear();
        units += 1;
    }
    if units > 0 && digits.is_empty() {
        TimeDelta::try_seconds(seconds)
    } else {
        None
    }
}

/// A text without what guards its commas and lines (RFC 5545, 3.3.11).
fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let mut letters = text.chars();
    while let Some(letter) = letters.next() {
        match letter {
            '\\' => match letters.next() {
                Some('n' | 'N') => plain.push(' '),
                Some(other) => plain.push(other),
                None => {}
            },
            other => plain.push(other),
        }
    }
    plain
}
