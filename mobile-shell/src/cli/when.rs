//! When: days and times as they are typed: `2026-06-06`, `today`, `tomorrow`, `+3`;
//! `2026-06-06 18:00`, `tomorrow 18:00`, `18:00` today, `now`, or RFC 3339.

use tallywater_bindings::{Fault, Tallywater};

/// A day.
pub(super) fn day(desk: &Tallywater, typed: &str) -> Result<String, Fault> {
    let low = typed.trim().to_lowercase();
    let after = match low.as_str() {
        "today" | "heute" => Some(0),
        "tomorrow" | "morgen" => Some(1),
        "yesterday" | "gestern" => Some(-1),
        other if other.starts_with(['+', '-']) => other.parse().ok(),
        _ => None,
    };
    let found = match after {
        Some(after) => desk.day(None, after)?,
        None => desk.day(Some(low), 0)?,
    };
    Ok(found.date.to_string())
}

/// A moment.
pub(super) fn time(desk: &Tallywater, typed: &str) -> Result<String, Fault> {
    let typed = typed.trim();
    if matches!(typed.to_lowercase().as_str(), "now" | "jetzt") {
        return Ok(desk.moment(None, 0)?.at.to_rfc3339());
    }
    if let Ok(at) = desk.moment(Some(typed.to_owned()), 0) {
        return Ok(at.at.to_rfc3339());
    }
    let (day_text, clock) = typed.rsplit_once([' ', 'T']).unwrap_or(("today", typed));
    let date = day(desk, day_text).map_err(|_| bad(typed))?;
    let at = desk.read_clock(date, clock.to_owned());
    Ok(at.map_err(|_| bad(typed))?.at.to_rfc3339())
}

fn bad(typed: &str) -> Fault {
    Fault::rule("bad_time").value(typed)
}
