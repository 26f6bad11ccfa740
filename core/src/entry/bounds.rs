//! Bounds: what a text, figure or date may be before it can be an entry. Wide enough for
//! every real course, narrow enough that a slip of the finger is caught.

use std::collections::BTreeSet;

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::{
    Attachment, Body, DebriefText, Exemption, Happening, Incident, IncidentMoment, IncidentPerson,
    LARGEST_PAIR, Origin, Passage, Refusal, RuleText, Teams, within,
};
use crate::course::{
    Away, DiveLog, EmergencyPlan, KitPiece, PersonDetails, SessionPlan, Site, Sizes, Slot,
    WeightCheck, is_blank,
};

/// Longest name of a person, site, title or device.
pub(super) const NAME: usize = 200;
/// Longest remark.
pub(super) const NOTE: usize = within::REMARK;

pub(super) fn text(field: &'static str, text: &str, most: usize) -> Result<(), Refusal> {
    if is_blank(text) {
        return Err(Refusal::TextEmpty { field });
    }
    let found = text.chars().count();
    if found > most {
        Err(Refusal::TextTooLong { field, found, most })
    } else {
        Ok(())
    }
}

pub(super) fn optional(
    field: &'static str,
    given: Option<&String>,
    most: usize,
) -> Result<(), Refusal> {
    given.map_or(Ok(()), |given| text(field, given, most))
}

pub(super) fn figure(
    field: &'static str,
    value: i64,
    least: i64,
    most: i64,
) -> Result<(), Refusal> {
    if (least..=most).contains(&value) {
        Ok(())
    } else {
        Err(Refusal::OutOfBounds {
            field,
            value,
            least,
            most,
        })
    }
}

/// The same, between two bounds that are known beyond this room.
fn inside(field: &'static str, value: i64, [least, most]: [i64; 2]) -> Result<(), Refusal> {
    figure(field, value, least, most)
}

/// From 2000 to 2199, whatever the device's clock says: a wrong clock must not stop a mark.
pub(super) fn date(field: &'static str, date: NaiveDate) -> Result<(), Refusal> {
    between(
        field,
        date,
        NaiveDate::from_ymd_opt(2000, 1, 1),
        NaiveDate::from_ymd_opt(2199, 12, 31),
    )
}

/// From this day to 2199.
pub(super) fn from_day(
    field: &'static str,
    date: NaiveDate,
    from: NaiveDate,
) -> Result<(), Refusal> {
    between(
        field,
        date,
        Some(from),
        NaiveDate::from_ymd_opt(2199, 12, 31),
    )
}

pub(super) fn time(field: &'static str, when: DateTime<FixedOffset>) -> Result<(), Refusal> {
    date(field, when.date_naive())
}

/// What a device's own clock said: any time that can be reckoned with. A clock that stands at
/// 1970 or runs beyond 2199 must not stop a headcount.
pub(super) fn clock(field: &'static str, date: NaiveDate) -> Result<(), Refusal> {
    between(field, date, FIRST_DAY, LAST_DAY)
}

/// Years are written in four digits; beyond them a sum of days may leave the calendar.
const FIRST_DAY: Option<NaiveDate> = NaiveDate::from_ymd_opt(1, 1, 1);
const LAST_DAY: Option<NaiveDate> = NaiveDate::from_ymd_opt(9999, 12, 31);

/// The longest text of an entry, in bytes: a remark of 4,000 characters of any script.
const LONGEST_TEXT: usize = 16_384;

/// Whether an entry from anywhere can be reckoned with and printed: its times lie in the
/// calendar, its texts are no longer than any that is written here. Rules are asked of what
/// is recorded here; this is asked of everything.
pub(super) fn bears_reading(at: DateTime<FixedOffset>, body: &Body, payload: &str) -> bool {
    let dates = std::iter::once(at.date_naive()).chain(dates(body));
    dates.into_iter().all(|date| clock("time", date).is_ok())
        && (payload.len() <= LONGEST_TEXT || has_short_texts(payload))
}

fn has_short_texts(payload: &str) -> bool {
    fn short(value: &serde_json::Value) -> bool {
        match value {
            serde_json::Value::String(text) => text.len() <= LONGEST_TEXT,
            serde_json::Value::Array(values) => values.iter().all(short),
            serde_json::Value::Object(fields) => fields.values().all(short),
            serde_json::Value::Null | serde_json::Value::Bool(_) | serde_json::Value::Number(_) => {
                true
            }
        }
    }
    serde_json::from_str(payload).is_ok_and(|value| short(&value))
}

/// Every date and time that an entry names.
pub(crate) fn dates(body: &Body) -> Vec<NaiveDate> {
    let day = |at: DateTime<FixedOffset>| at.date_naive();
    match body {
        Body::Certificate(b) => b.until.into_iter().chain([b.from]).collect(),
        Body::CourseListed(b) => vec![b.starts],
        Body::HoldSet(b) => b.until.into_iter().collect(),
        Body::Details(b) => {
            let seen = b.details.adult.iter().map(|seen| seen.on);
            b.details.born.into_iter().chain(seen).collect()
        }
        Body::StaffRenewed(b) => b.until.into_iter().collect(),
        Body::PolicyConfirmed(b) => vec![b.read.on],
        Body::CourseOpened(b) => vec![b.starts],
        Body::PolicySet(b) => {
            let confirmed = b.confirmed.iter();
            confirmed.flat_map(|one| [one.on, one.read.on]).collect()
        }
        Body::SessionPlanned(b) => vec![day(b.plan.starts)],
        Body::SessionMoved(b) => vec![day(b.starts)],
        Body::Clearance(b) => b.until.into_iter().collect(),
        Body::Attendance(b) => vec![day(b.when)],
        Body::Attempt(b) => b.origin.seen().into_iter().map(day).collect(),
        Body::Exemption(b) => {
            let judged = b.elsewhere.iter().flat_map(|there| &there.judged);
            judged.map(|judged| judged.on).collect()
        }
        Body::DiveLogged(b) => vec![day(b.log.down), day(b.log.up)],
        Body::OwnDive(b) => vec![day(b.log.down), day(b.log.up)],
        Body::Incident(b) => vec![day(b.when)],
        Body::AlarmRaised(b) => vec![day(b.when)],
        Body::AlarmEnded(b) => vec![day(b.when)],
        Body::IncidentMoment(b) => vec![day(b.when)],
        Body::IncidentReport(b) => b.by.into_iter().collect(),
        Body::IncidentReported(b) => vec![b.on],
        Body::SlotSet(b) => vec![day(b.slot.starts)],
        Body::AwaySet(b) => vec![day(b.away.from), day(b.away.until)],
        Body::KitSet(b) => {
            let one = &b.details;
            let due = [one.serviced, one.service_due, one.test_due];
            due.into_iter().flatten().collect()
        }
        Body::KitFault(b) => vec![day(b.when)],
        Body::KitMended(b) => vec![day(b.when)],
        Body::KitIssued(b) => vec![day(b.when)],
        Body::KitReturned(b) => vec![day(b.when)],
        Body::ShopOpened(_)
        | Body::StaffJoined(_)
        | Body::Revocation(_)
        | Body::LateAccepted(_)
        | Body::PersonForgotten(_)
        | Body::CourseDropped(_)
        | Body::Enrolment(_)
        | Body::Amendment(_)
        | Body::Assignment(_)
        | Body::OutlineSet(_)
        | Body::SessionCancelled(_)
        | Body::Confirmation(_)
        | Body::Resolution(_)
        | Body::Override(_)
        | Body::Withdrawal(_)
        | Body::Note(_)
        | Body::WeightChecked(_)
        | Body::Completion(_)
        | Body::Debrief(_)
        | Body::SiteSet(_)
        | Body::EmergencySet(_)
        | Body::EmergencyConfirmed(_)
        | Body::TeamsSet(_)
        | Body::IncidentPerson(_)
        | Body::IncidentFact(_)
        | Body::Attachment(_)
        | Body::AttachmentText(_)
        | Body::KitRetired(_) => Vec::new(),
    }
}

fn between(
    field: &'static str,
    date: NaiveDate,
    from: Option<NaiveDate>,
    to: Option<NaiveDate>,
) -> Result<(), Refusal> {
    let (from, to) = (from.unwrap_or(NaiveDate::MIN), to.unwrap_or(NaiveDate::MAX));
    if (from..=to).contains(&date) {
        Ok(())
    } else {
        Err(Refusal::DateOutOfBounds {
            field,
            date,
            from,
            to,
        })
    }
}

pub(super) fn details(details: &PersonDetails, today: NaiveDate) -> Result<(), Refusal> {
    text("name", &details.name, NAME)?;
    optional("called", details.called.as_ref(), 40)?;
    optional("contact", details.contact.as_ref(), NAME)?;
    if let Some(emergency) = &details.emergency {
        text("emergency contact", &emergency.name, NAME)?;
        text("emergency contact", &emergency.reach, NAME)?;
    }
    if let Some(seen) = &details.adult {
        text("identity seen by", &seen.by, NAME)?;
        between(
            "identity seen on",
            seen.on,
            NaiveDate::from_ymd_opt(2000, 1, 1),
            Some(today),
        )?;
    }
    if let Some(body) = details.body {
        inside(
            "body height",
            i64::from(body.height_mm),
            within::BODY_HEIGHT,
        )?;
        inside("body weight", i64::from(body.weight_g), within::BODY_WEIGHT)?;
    }
    details.sizes.as_ref().map_or(Ok(()), sizes)?;
    match details.born {
        Some(born) => between(
            "birth date",
            born,
            NaiveDate::from_ymd_opt(1900, 1, 1),
            // A clock that fell back to its beginning would call everybody unborn.
            NaiveDate::from_ymd_opt(2026, 1, 1).map(|least| today.max(least)),
        ),
        None => Ok(()),
    }
}

/// The text that a rule was checked against: named, and read on a day that has been.
pub(super) fn rule_text(read: &RuleText, today: NaiveDate) -> Result<(), Refusal> {
    text("text that was read", &read.title, NAME)?;
    optional("edition", read.edition.as_ref(), 80)?;
    optional("clause", read.clause.as_ref(), 80)?;
    between(
        "day it was read",
        read.on,
        NaiveDate::from_ymd_opt(1990, 1, 1),
        Some(today),
    )
}

pub(super) fn plan(plan: &SessionPlan) -> Result<(), Refusal> {
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

pub(super) fn slot(slot: &Slot) -> Result<(), Refusal> {
    text("id", &slot.uid, UID)?;
    text("site", &slot.site, NAME)?;
    time("start", slot.starts)?;
    inside("minutes", i64::from(slot.minutes), within::MINUTES)?;
    optional("price", slot.price.as_ref(), 40)
}

pub(super) fn away(away: &Away) -> Result<(), Refusal> {
    text("id", &away.uid, UID)?;
    time("from", away.from)?;
    time("until", away.until)?;
    if away.from < away.until {
        Ok(())
    } else {
        Err(Refusal::EndsBeforeItBegins { field: "absence" })
    }
}

/// A length as a figure; far above any bound when it does not fit.
pub(super) fn count(length: usize) -> i64 {
    i64::try_from(length).unwrap_or(i64::MAX)
}

pub(super) fn dive(log: &DiveLog) -> Result<(), Refusal> {
    time("down", log.down)?;
    if log.up < log.down {
        return Err(Refusal::EndsBeforeItBegins { field: "dive" });
    }
    let lasted = (log.up - log.down).num_seconds();
    inside("dive time", lasted, within::DIVE_TIME)?;
    inside("deepest", i64::from(log.max_depth_cm), within::DEEPEST)?;
    if let Some(mean) = log.mean_depth_cm {
        figure(
            "average depth",
            i64::from(mean),
            0,
            i64::from(log.max_depth_cm),
        )?;
    }
    if let Some(ascents) = log.ascents {
        figure("ascents", i64::from(ascents), 1, 40)?;
    }
    if let Some(temperature) = log.temperature_dc {
        inside("temperature", i64::from(temperature), within::TEMPERATURE)?;
    }
    if let Some(gas) = log.gas {
        capacity(gas.capacity_dl)?;
        inside("start pressure", i64::from(gas.start_mbar), within::FILL)?;
        figure(
            "end pressure",
            i64::from(gas.end_mbar),
            0,
            i64::from(gas.start_mbar),
        )?;
        figure("oxygen", i64::from(gas.oxygen_permille), 209, 1_000)?;
    }
    let in_order = log.profile.windows(2).all(|pair| match pair {
        [(before, _), (after, _)] => before < after,
        _ => true,
    });
    if !in_order {
        return Err(Refusal::EndsBeforeItBegins { field: "profile" });
    }
    figure("profile", count(log.profile.len()), 0, 25_000)?;
    let deepest = log
        .profile
        .iter()
        .map(|(_, depth)| *depth)
        .max()
        .unwrap_or(0);
    figure("profile depth", i64::from(deepest), 0, 10_000)
}

fn capacity(capacity_dl: u16) -> Result<(), Refusal> {
    inside("cylinder", i64::from(capacity_dl), within::CAPACITY)
}

pub(super) fn weight(check: &WeightCheck) -> Result<(), Refusal> {
    inside("lead", i64::from(check.lead_g), within::LEAD)?;
    text("suit", &check.suit, NAME)?;
    text("cylinder", &check.cylinder, NAME)?;
    capacity(check.capacity_dl)?;
    inside("pressure", i64::from(check.pressure_mbar), within::PRESSURE)
}

pub(super) fn origin(origin: Origin) -> Result<(), Refusal> {
    origin.seen().map_or(Ok(()), |seen| time("seen", seen))
}

pub(super) fn passage(passage: Passage, when: DateTime<FixedOffset>) -> Result<(), Refusal> {
    match passage {
        Passage::In | Passage::Out | Passage::Absent => clock("time", when.date_naive()),
    }
}

/// A debrief says something, and each part of it fits a card.
pub(super) fn debrief(said: &DebriefText) -> Result<(), Refusal> {
    let parts = said.parts();
    if parts.iter().all(|(_, text)| is_blank(text)) {
        return Err(Refusal::TextEmpty { field: "debrief" });
    }
    parts
        .into_iter()
        .try_for_each(|(field, given)| longest(field, given, 1_000))
}

/// A report says what happened and what was done; one that was begun by a press says it later.
/// A reason in words, or where it was met.
pub(super) fn exemption(said: &Exemption) -> Result<(), Refusal> {
    let Some(there) = &said.elsewhere else {
        return text("reason", &said.why, NOTE);
    };
    if !said.why.is_empty() {
        text("reason", &said.why, NOTE)?;
    }
    text("school", &there.school, NAME)?;
    text("fingerprint", &there.file, NAME)?;
    there.judged.as_ref().map_or(Ok(()), |judged| {
        text("name", &judged.by, NAME)?;
        date("day", judged.on)
    })
}

pub(super) fn incident(incident: &Incident) -> Result<(), Refusal> {
    let words = match &incident.begun {
        None => text,
        Some(_) => longest,
    };
    words("what happened", &incident.happened, NOTE)?;
    words("what was done", &incident.done, NOTE)
}

/// A moment that no word of the list says is said in words.
pub(super) fn moment(moment: &IncidentMoment) -> Result<(), Refusal> {
    match (moment.what, &moment.text) {
        (Happening::Other, None) => Err(Refusal::TextEmpty { field: "words" }),
        (_, given) => optional("words", given.as_ref(), NOTE),
    }
}

/// Somebody is named, by id or in words.
pub(super) fn person(person: &IncidentPerson) -> Result<(), Refusal> {
    match (person.who, &person.text) {
        (None, None) => Err(Refusal::TextEmpty { field: "who" }),
        (_, given) => optional("who", given.as_ref(), NAME),
    }
}

/// Nobody is in two pairs or two zones, and no pair is a crowd.
pub(super) fn teams(teams: &Teams) -> Result<(), Refusal> {
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

/// A text that may be empty.
fn longest(field: &'static str, given: &str, most: usize) -> Result<(), Refusal> {
    if is_blank(given) {
        Ok(())
    } else {
        text(field, given, most)
    }
}

pub(super) fn site(site: &Site) -> Result<(), Refusal> {
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
pub(super) fn emergency(plan: &EmergencyPlan) -> Result<(), Refusal> {
    text("numbers", &plan.numbers, NOTE)?;
    text("address", &plan.address, NOTE)?;
    let parts = plan.parts().into_iter();
    let mut parts = parts.map(|(field, given)| longest(field, given, NOTE));
    parts.try_for_each(|one| one)
}

/// The sizes that somebody wears: each short enough for a label.
fn sizes(sizes: &Sizes) -> Result<(), Refusal> {
    let mut parts = sizes.parts().into_iter();
    parts.try_for_each(|(field, size)| longest(field, size, within::KIT_SIZE))
}

/// A piece of kit has a number, and dates that can be meant.
pub(super) fn kit(piece: &KitPiece) -> Result<(), Refusal> {
    text("number", &piece.number, within::KIT_NUMBER)?;
    longest("size", &piece.size, within::KIT_SIZE)?;
    longest("serial", &piece.serial, within::KIT_SERIAL)?;
    longest("note", &piece.note, NOTE)?;
    let dates = [
        ("serviced", piece.serviced),
        ("service due", piece.service_due),
        ("test due", piece.test_due),
    ];
    let mut dates = dates.into_iter();
    dates.try_for_each(|(field, given)| given.map_or(Ok(()), |given| date(field, given)))
}

/// A photograph or a sound as large as one may be.
pub(super) fn attachment(attachment: &Attachment) -> Result<(), Refusal> {
    let (bytes, media) = (attachment.file.bytes, attachment.file.media);
    let field = if media.is_sound() { "sound" } else { "picture" };
    figure(field, i64::from(bytes), 1, i64::from(media.most_bytes()))?;
    optional("slate", attachment.slate.as_ref(), 16)
}

/// Whether a name may be kept: not empty, not longer than can be shown.
///
/// # Errors
/// [`Refusal::TextEmpty`] or [`Refusal::TextTooLong`].
pub fn check_name(field: &'static str, name: &str) -> Result<(), Refusal> {
    text(field, name, NAME)
}
