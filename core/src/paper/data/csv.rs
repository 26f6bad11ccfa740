//! Csv: roster, marks, dives and staff activity as tables (RFC 4180).

use super::DataError;
use super::sheet::{Datatype, Field, Head, TableName, Tabular, head, needed, table};
use crate::course::{KitKind, Role, Setting, WaterKind};
use crate::entry::{Body, Kind, Mark, Measured, Outcome, Who};
use crate::paper::activity::Activity;
use crate::paper::record::{MarkWhat, Record, RecordState};
use crate::paper::say::{signer_name, tenths};
use crate::paper::source::{Signer, Source};
use crate::words::Language;

const ROSTER: &[Head] = &[
    needed("student_id", "Id of the student", Datatype::Text),
    head("name", "Name, as the person writes it", Datatype::Text),
    head("called", "Short form", Datatype::Text),
    head(
        "born",
        "Birth date, where the course holds one",
        Datatype::Date,
    ),
    head(
        "of_age_seen_by",
        "Who saw that the person is of age, where no birth date is held",
        Datatype::Text,
    ),
    head("of_age_seen_on", "On which day", Datatype::Date),
    head("contact", "Telephone or e-mail", Datatype::Text),
    head("emergency_name", "Whom to call", Datatype::Text),
    head("emergency_reach", "How to reach them", Datatype::Text),
    head("suit_size", "Size of a suit", Datatype::Text),
    head("boots_size", "Size of boots", Datatype::Text),
    head("fins_size", "Size of fins", Datatype::Text),
    head("mask_size", "Size of a mask", Datatype::Text),
    head("bcd_size", "Size of a BCD", Datatype::Text),
    head(
        "own_kit",
        "What of it the person brings, by kind",
        Datatype::Text,
    ),
    needed("state", "open, completed, referred or left", Datatype::Text),
    needed("gaps", "What is still missing, counted", Datatype::Integer),
];

const MARKS: &[Head] = &[
    needed("entry_id", "Id of the entry", Datatype::Text),
    needed("student_id", "Id of the student", Datatype::Text),
    head("student", "Name of the student", Datatype::Text),
    needed(
        "skill_id",
        "Id of the skill within the outline",
        Datatype::Text,
    ),
    needed("skill", "Name of the skill", Datatype::Text),
    needed("kind", "attempt, resolution or exemption", Datatype::Text),
    head("mark", "met, nearly, not_yet or sat_out", Datatype::Text),
    head("method", "Way of doing it", Datatype::Text),
    head("figures", "Figures taken, with base unit", Datatype::Text),
    head("slips", "Faults seen", Datatype::Text),
    head("reason", "Why it was settled or not asked", Datatype::Text),
    head("session", "Title of the session", Datatype::Text),
    head("site", "Where it was held", Datatype::Text),
    head(
        "setting",
        "classroom, surface, confined or open",
        Datatype::Text,
    ),
    needed(
        "written_at",
        "When it was written, by the device's clock",
        Datatype::DateTime,
    ),
    head(
        "seen_at",
        "When it was seen, if it came from a slate or from memory",
        Datatype::DateTime,
    ),
    needed("by", "Who judged", Datatype::Text),
    needed("role", "shop, instructor or assistant", Datatype::Text),
    head("device", "The device that signed", Datatype::Text),
    head(
        "confirmed_by",
        "The instructor who confirmed it",
        Datatype::Text,
    ),
    head("confirmed_at", "When", Datatype::DateTime),
    head("withdrawn_at", "When it was withdrawn", Datatype::DateTime),
    needed(
        "one_of_two_views",
        "Whether it is one of two views that nobody has settled",
        Datatype::Boolean,
    ),
];

const DIVES: &[Head] = &[
    needed("entry_id", "Id of the entry", Datatype::Text),
    needed(
        "diver_id",
        "Id of the student or member of staff",
        Datatype::Text,
    ),
    head("diver", "Name", Datatype::Text),
    needed("kind", "student or staff", Datatype::Text),
    head("site", "Where", Datatype::Text),
    needed("down", "Left the surface", Datatype::DateTime),
    needed("up", "Back at the surface", Datatype::DateTime),
    needed("max_depth_m", "Deepest, in metres", Datatype::Decimal),
    head("mean_depth_m", "Average, in metres", Datatype::Decimal),
    head(
        "ascents",
        "Vertical ascents, the last one included",
        Datatype::Integer,
    ),
    head("cylinder_l", "Water capacity, in litres", Datatype::Decimal),
    head(
        "start_bar",
        "Pressure at the start, in bar",
        Datatype::Decimal,
    ),
    head("end_bar", "Pressure at the end, in bar", Datatype::Decimal),
    head("oxygen_percent", "Oxygen in the gas", Datatype::Decimal),
    needed("water", "fresh, brackish or salt", Datatype::Text),
    head(
        "temperature_c",
        "At depth, in degrees Celsius",
        Datatype::Decimal,
    ),
    needed("logged_by", "Who logged it", Datatype::Text),
];

const ACTIVITY: &[Head] = &[
    needed("day", "The day, where the dive began", Datatype::Date),
    needed("staff_id", "Id of the member of staff", Datatype::Text),
    head("staff", "Name", Datatype::Text),
    needed("dives", "Dives logged that day", Datatype::Integer),
    needed(
        "ascents",
        "Vertical ascents counted that day",
        Datatype::Integer,
    ),
    needed(
        "dives_without_ascent_count",
        "Dives for which nobody counted them",
        Datatype::Integer,
    ),
    needed("under_water_min", "Minutes under water", Datatype::Integer),
    needed("max_depth_m", "Deepest, in metres", Datatype::Decimal),
    head(
        "ascent_limit",
        "The house limit, if a person confirmed one",
        Datatype::Integer,
    ),
    needed(
        "over_limit",
        "Whether the count is above it",
        Datatype::Boolean,
    ),
];

/// The students of a course.
///
/// # Errors
/// [`DataError`].
pub fn roster_csv(source: &Source<'_>) -> Result<Tabular, DataError> {
    let rows = source
        .course
        .students()
        .into_iter()
        .map(|student| {
            let record = Record::of(source, student);
            let details = source.names.details(&student);
            let emergency = details
                .as_ref()
                .and_then(|details| details.emergency.clone());
            let sizes = details.as_ref().and_then(|details| details.sizes.clone());
            let sizes = sizes.unwrap_or_default();
            let size = |kind| {
                let size = sizes.of(kind);
                Field::maybe_text((!size.is_empty()).then(|| size.to_owned()))
            };
            let own: Vec<&str> = sizes.own.iter().map(|kind| kind.word()).collect();
            vec![
                Field::plain(student),
                Field::maybe_text(record.name.clone()),
                Field::maybe_text(details.as_ref().and_then(|details| details.called.clone())),
                Field::maybe(record.born),
                Field::maybe_text(record.adult.as_ref().map(|seen| seen.by.clone())),
                Field::maybe(record.adult.as_ref().map(|seen| seen.on)),
                Field::maybe_text(details.as_ref().and_then(|details| details.contact.clone())),
                Field::maybe_text(emergency.as_ref().map(|one| one.name.clone())),
                Field::maybe_text(emergency.map(|one| one.reach)),
                size(KitKind::Suit),
                size(KitKind::Boots),
                size(KitKind::Fins),
                size(KitKind::Mask),
                size(KitKind::Bcd),
                Field::maybe_text((!own.is_empty()).then(|| own.join(" "))),
                Field::plain(state(&record)),
                Field::plain(record.gaps.len()),
            ]
        })
        .collect();
    table(TableName::Roster, ROSTER, &["student_id"], rows)
}

const fn state(record: &Record) -> &'static str {
    match &record.state {
        RecordState::Open => "open",
        RecordState::Ended { outcome, .. } => match outcome {
            Outcome::Completed => "completed",
            Outcome::Referred => "referred",
            Outcome::Left => "left",
        },
    }
}

/// Every mark of a course, withdrawn ones too.
///
/// # Errors
/// [`DataError`].
pub fn marks_csv(source: &Source<'_>) -> Result<Tabular, DataError> {
    let mut rows = Vec::new();
    for student in source.course.students() {
        let record = Record::of(source, student);
        for skill in &record.skills {
            for line in &skill.lines {
                let (mut mark, mut method, mut figures) = (None, None, None);
                let (mut slips, mut reason, mut seen) = (None, None, None);
                let mut place = None;
                let kind = match &line.what {
                    MarkWhat::Attempt {
                        mark: seen_mark,
                        method: way,
                        measured,
                        slips: faults,
                        place: at,
                        origin,
                        note: _,
                        despite,
                    } => {
                        reason.clone_from(despite);
                        mark = Some(mark_word(*seen_mark));
                        method.clone_from(way);
                        figures = joined(measured.iter().map(|(figure, _)| figure_text(*figure)));
                        slips = joined(faults.iter().cloned());
                        seen = origin.seen();
                        place.clone_from(at);
                        "attempt"
                    }
                    MarkWhat::Resolution { mark: word, why } => {
                        mark = Some(mark_word(*word));
                        reason = Some(why.clone());
                        "resolution"
                    }
                    MarkWhat::Exemption { why, elsewhere } => {
                        let whys = Language::English
                            .words()
                            .exempted_why(why, elsewhere.as_ref());
                        reason = Some(whys.join("; "));
                        "exemption"
                    }
                };
                let confirmed = line.confirmed.as_ref();
                rows.push(vec![
                    Field::plain(line.entry),
                    Field::plain(student),
                    Field::maybe_text(record.name.clone()),
                    Field::plain(&skill.skill),
                    Field::text(&skill.name),
                    Field::plain(kind),
                    Field::maybe(mark),
                    Field::maybe_text(method),
                    Field::maybe_text(figures),
                    Field::maybe_text(slips),
                    Field::maybe_text(reason),
                    Field::maybe_text(place.as_ref().map(|place| place.title.clone())),
                    Field::maybe_text(place.as_ref().map(|place| place.site.clone())),
                    Field::maybe(place.map(|place| setting_word(place.setting))),
                    Field::plain(line.at.to_rfc3339()),
                    Field::maybe(seen.map(|seen| seen.to_rfc3339())),
                    Field::text(signer_name(&line.by)),
                    Field::plain(role_word(&line.by)),
                    Field::maybe_text(line.by.device.clone()),
                    Field::maybe_text(confirmed.map(|(by, _)| signer_name(by))),
                    Field::maybe(confirmed.map(|(_, at)| at.to_rfc3339())),
                    Field::maybe(line.withdrawn.as_ref().map(|(_, at, _)| at.to_rfc3339())),
                    Field::plain(line.one_of_two),
                ]);
            }
        }
    }
    table(TableName::Marks, MARKS, &["entry_id"], rows)
}

/// Every dive of a course, of students and staff.
///
/// # Errors
/// [`DataError`].
pub fn dives_csv(source: &Source<'_>) -> Result<Tabular, DataError> {
    let mut rows = Vec::new();
    for one in source.course.of_kind(Kind::DiveLogged) {
        let Body::DiveLogged(dive) = &one.entry.body else {
            continue;
        };
        let (id, name, kind) = match dive.who {
            Who::Student(id) => (
                id.to_string(),
                source.names.details(&id).map(|details| details.name),
                "student",
            ),
            Who::Staff(id) => (id.to_string(), source.staff_name(&id), "staff"),
        };
        let site = dive
            .session
            .and_then(|id| source.course.sessions().get(&id))
            .map(|session| session.plan.site.clone())
            .or_else(|| dive.site.clone());
        let log = &dive.log;
        rows.push(vec![
            Field::plain(one.entry.id),
            Field::plain(id),
            Field::maybe_text(name),
            Field::plain(kind),
            Field::maybe_text(site),
            Field::plain(log.down.to_rfc3339()),
            Field::plain(log.up.to_rfc3339()),
            Field::plain(hundredths(log.max_depth_cm)),
            Field::maybe(log.mean_depth_cm.map(hundredths)),
            Field::maybe(log.ascents),
            Field::maybe(log.gas.map(|gas| tenths(i64::from(gas.capacity_dl)))),
            Field::maybe(log.gas.map(|gas| thousandths(gas.start_mbar))),
            Field::maybe(log.gas.map(|gas| thousandths(gas.end_mbar))),
            Field::maybe(log.gas.map(|gas| tenths(i64::from(gas.oxygen_permille)))),
            Field::plain(water_word(log.water)),
            Field::maybe(log.temperature_dc.map(|dc| tenths(i64::from(dc)))),
            Field::text(signer_name(&source.signer(one))),
        ]);
    }
    table(TableName::Dives, DIVES, &["entry_id"], rows)
}

/// What staff did, day by day.
///
/// # Errors
/// [`DataError`].
pub fn activity_csv(activity: &Activity) -> Result<Tabular, DataError> {
    let rows = activity
        .days
        .iter()
        .map(|day| {
            vec![
                Field::plain(day.day),
                Field::plain(day.staff),
                Field::maybe_text(day.name.clone()),
                Field::plain(day.dives),
                Field::plain(day.ascents),
                Field::plain(day.uncounted),
                Field::plain(day.minutes),
                Field::plain(hundredths(day.deepest_cm)),
                Field::maybe(day.limit),
                Field::plain(day.is_over()),
            ]
        })
        .collect();
    table(TableName::Activity, ACTIVITY, &["day", "staff_id"], rows)
}

fn joined(texts: impl Iterator<Item = String>) -> Option<String> {
    let texts: Vec<String> = texts.collect();
    (!texts.is_empty()).then(|| texts.join("; "))
}

/// Centimetres as metres.
fn hundredths(cm: u32) -> String {
    format!("{}.{:02}", cm / 100, cm % 100)
}

/// Millibar as bar.
fn thousandths(mbar: u32) -> String {
    format!("{}.{:03}", mbar / 1_000, mbar % 1_000)
}

fn figure_text(measured: Measured) -> String {
    match measured {
        Measured::Count(value) => format!("{value} times"),
        Measured::Seconds(value) => format!("{value} s"),
        Measured::Decimetres(value) => format!("{} m", tenths(i64::from(value))),
        Measured::Centimetres(value) => format!("{} m", hundredths(value)),
        Measured::CmPerMinute(value) => format!("{} m/min", hundredths(value)),
        Measured::Reading(value) => value.to_string(),
    }
}

const fn mark_word(mark: Mark) -> &'static str {
    match mark {
        Mark::Met => "met",
        Mark::Nearly => "nearly",
        Mark::NotYet => "not_yet",
        Mark::SatOut => "sat_out",
    }
}

const fn setting_word(setting: Setting) -> &'static str {
    match setting {
        Setting::Classroom => "classroom",
        Setting::Surface => "surface",
        Setting::Confined => "confined",
        Setting::Open => "open",
    }
}

const fn water_word(water: WaterKind) -> &'static str {
    match water {
        WaterKind::Fresh => "fresh",
        WaterKind::Brackish => "brackish",
        WaterKind::Salt => "salt",
    }
}

const fn role_word(signer: &Signer) -> &'static str {
    match signer.role {
        Role::Shop => "shop",
        Role::Instructor => "instructor",
        Role::Assistant => "assistant",
    }
}
