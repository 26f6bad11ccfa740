//! Site: the school's sites with their emergency plans and the light of a day; and what is
//! needed when something goes wrong in a session.

use chrono::{DateTime, Datelike as _, FixedOffset, NaiveDate, TimeDelta};

use super::{
    AlarmEndedRow, BadFigure, Day, Figure, Leave, Moment, Reader, StaffName, StudentName, WhoName,
};
use crate::calc::light::{Place, light};
use crate::course::{
    Alarm, CourseId, EmergencyContact, EmergencyPlan, EntryId, Position, SessionId, Site, SiteId,
};
use crate::entry::{Body, Kind};
use crate::plan::{SiteMissing, before_site};
use crate::standing::CourseStanding;
use crate::view::Of;

/// The school's sites, by name.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SitesView {
    /// The sites.
    pub rows: Vec<SiteView>,
    /// Whether the reader may describe one.
    pub may_set: Leave,
}

/// One site.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct SiteView {
    /// Which.
    pub site: SiteId,
    /// What is known of it.
    pub details: Site,
    /// Where, as it is typed; empty where nobody said.
    pub position: String,
    /// Height of the surface above the sea.
    pub altitude: Option<Figure>,
    /// Usual depth.
    pub depth: Option<Figure>,
    /// Usual temperature at depth.
    pub temperature: Option<Figure>,
    /// What is done in an emergency.
    pub emergency: Option<EmergencyPlan>,
    /// The entry with that plan: what a confirmation names.
    pub plan: Option<EntryId>,
    /// Who confirmed the plan as it is, and when.
    pub confirmed: Option<EmergencyHeld>,
    /// Today's light.
    pub light: Option<LightView>,
}

/// Who confirmed an emergency plan as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct EmergencyHeld {
    /// Who.
    pub by: StaffName,
    /// On which day.
    pub on: Day,
}

/// The light of a day, by the clock of this place; each `None` where it does not come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct LightView {
    /// Civil twilight begins.
    pub dawn: Option<Moment>,
    /// The sun rises.
    pub sunrise: Option<Moment>,
    /// The sun sets.
    pub sunset: Option<Moment>,
    /// Civil twilight ends.
    pub dusk: Option<Moment>,
}

/// What is needed when something goes wrong in a session.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct EmergencyView {
    /// Of which course.
    pub course: CourseId,
    /// In which session.
    pub session: SessionId,
    /// Its title.
    pub title: String,
    /// The site as the session names it.
    pub place: String,
    /// The school's site of that name.
    pub site: Option<SiteView>,
    /// The light of the session's day.
    pub light: Option<LightView>,
    /// What the site lacks before water.
    pub missing: Vec<SiteMissing>,
    /// Whom to call for each student of the plan, by name as on the board.
    pub contacts: Vec<ContactRow>,
    /// What was raised in this session, oldest first.
    pub alarms: Vec<AlarmRow>,
    /// The latest of them, where it has not ended and no incident that stands grew out of it:
    /// what an incident that is begun now would grow out of.
    pub unreported: Option<EntryId>,
    /// Whether the reader may raise one.
    pub may_raise: Leave,
}

/// Whom to call for a student.
#[derive(Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct ContactRow {
    /// For whom.
    pub name: StudentName,
    /// Whom; `None` where nobody is known here.
    pub contact: Option<EmergencyContact>,
}

/// Written by hand so that no name can reach a log through `{:?}`.
impl std::fmt::Debug for ContactRow {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("ContactRow(..)")
    }
}

/// A moment at which something went wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct AlarmRow {
    /// Its entry.
    pub entry: EntryId,
    /// What.
    pub what: Alarm,
    /// When.
    pub when: Moment,
    /// Who pressed.
    pub by: StaffName,
    /// Who is missing, where that was said.
    pub missing: Vec<WhoName>,
    /// Who reported it.
    pub reported_by: Option<WhoName>,
    /// How it ended; `None` while it goes on, and of one that nobody ends.
    pub ended: Option<AlarmEndedRow>,
}

impl SitesView {
    /// The school's sites.
    pub fn of(reader: &Reader<'_>) -> Self {
        let mut rows: Vec<SiteView> = reader
            .shop
            .sites()
            .into_keys()
            .filter_map(|id| SiteView::of(reader, id))
            .collect();
        rows.sort_by_key(|row| (crate::course::folded(&row.details.name), row.site));
        Self {
            rows,
            may_set: reader.may_write(Kind::SiteSet),
        }
    }
}

impl SiteView {
    /// One site; `None` for one that nobody described.
    pub fn of(reader: &Reader<'_>, id: SiteId) -> Option<Self> {
        let details = reader.shop.site(&id)?.clone();
        let plan = reader.shop.emergency(&id);
        let confirmed = reader.shop.emergency_confirmed(&id);
        let units = reader.units;
        Some(Self {
            site: id,
            position: details.position.map(shown).unwrap_or_default(),
            altitude: details.altitude_m.map(|m| Of::Altitude.show(m, units)),
            depth: details.depth_cm.map(|cm| Of::Depth.show(cm, units)),
            temperature: details
                .temperature_dc
                .map(|dc| Of::Temperature.show(dc, units)),
            light: light_of(reader, &details, reader.today()),
            emergency: plan.map(|(_, plan)| plan.clone()),
            plan: plan.map(|(one, _)| one.entry.id),
            confirmed: confirmed.map(|one| EmergencyHeld {
                by: reader.staff(&one.entry.by),
                on: reader.day(one.entry.at.date_naive()),
            }),
            details,
        })
    }
}

impl EmergencyView {
    /// What is needed in a session; `None` when none of its plans stands.
    pub fn of(course: &CourseStanding, reader: &Reader<'_>, id: &SessionId) -> Option<Self> {
        let now = course.sessions().get(id)?;
        let plan = &now.plan;
        let site = reader.shop.site_named(&plan.site);
        let names = reader.people.roster(&course.students()).into_iter();
        let contacts = names.filter(|name| plan.students.contains(&name.student));
        let alarms: Vec<AlarmRow> = course
            .alarms(id)
            .map(|(one, raised)| AlarmRow {
                entry: one.entry.id,
                what: raised.what,
                when: reader.when(raised.when),
                by: reader.staff(&one.entry.by),
                missing: super::lost::people(reader, &raised.missing),
                reported_by: raised.reported_by.map(|who| reader.who(&who)),
                ended: AlarmEndedRow::of(course, reader, &one.entry.id),
            })
            .collect();
        let latest = alarms.last().filter(|row| row.ended.is_none());
        let unreported = latest.map(|row| row.entry);
        Some(Self {
            course: *course.id(),
            session: *id,
            title: plan.title.clone(),
            place: plan.site.clone(),
            light: site.and_then(|(_, site)| light_of(reader, site, plan.starts.date_naive())),
            site: site.and_then(|(id, _)| SiteView::of(reader, id)),
            missing: before_site(reader.shop, course, plan),
            contacts: contacts
                .map(|name| ContactRow {
                    contact: reader
                        .people
                        .students
                        .get(&name.student)
                        .and_then(|details| details.emergency.clone()),
                    name,
                })
                .collect(),
            unreported: unreported.filter(|alarm| !is_reported(course, alarm)),
            alarms,
            may_raise: reader.may_write(Kind::AlarmRaised),
        })
    }
}

/// Whether an incident that stands grew out of an alarm.
fn is_reported(course: &CourseStanding, alarm: &EntryId) -> bool {
    course.of_kind(Kind::Incident).any(|one| {
        if let Body::Incident(incident) = &one.entry.body {
            let begun = incident.begun.as_ref();
            begun.is_some_and(|begun| begun.from.as_ref() == Some(alarm))
        } else {
            false
        }
    })
}

fn light_of(reader: &Reader<'_>, site: &Site, date: NaiveDate) -> Option<LightView> {
    let found = daylight(site, date, *reader.now.offset())?;
    let [dawn, sunrise, sunset, dusk] = found.map(|at| at.map(|at| reader.when(at)));
    Some(LightView {
        dawn,
        sunrise,
        sunset,
        dusk,
    })
}

/// Dawn, sunrise, sunset and dusk of a day at a site, by the clock of an offset; `None` where
/// nobody said where the site is.
pub(crate) fn daylight(
    site: &Site,
    date: NaiveDate,
    offset: FixedOffset,
) -> Option<[Option<DateTime<FixedOffset>>; 4]> {
    let at = site.position?;
    let place = Place {
        north: f64::from(at.north_e4) / 10_000.0,
        east: f64::from(at.east_e4) / 10_000.0,
    };
    let east_minutes = offset.local_minus_utc() / 60;
    let found = light(place, date.num_days_from_ce(), east_minutes)?;
    let midnight = date.and_hms_opt(0, 0, 0)?;
    let midnight = midnight.and_local_timezone(offset).single()?;
    let when =
        |minute: Option<i32>| midnight.checked_add_signed(TimeDelta::minutes(minute?.into()));
    Some([found.dawn, found.sunrise, found.sunset, found.dusk].map(when))
}

/// A position as it is typed: degrees north and east, with four places.
fn shown(at: Position) -> String {
    let degrees = |value: i32| {
        let sign = if value < 0 { "-" } else { "" };
        let value = value.unsigned_abs();
        format!("{sign}{}.{:04}", value / 10_000, value % 10_000)
    };
    format!("{} {}", degrees(at.north_e4), degrees(at.east_e4))
}

/// Reads a position: degrees north, then degrees east, with a comma or a point before the
/// decimals; south and west with a minus. Nothing typed is no position.
///
/// # Errors
/// [`BadFigure`].
pub fn read_position(text: &str) -> Result<Option<Position>, BadFigure> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let apart: Vec<&str> = if text.contains(char::is_whitespace) || text.contains(';') {
        text.split(|one: char| one.is_whitespace() || one == ';')
            .map(|part| part.trim_matches(','))
            .filter(|part| !part.is_empty())
            .collect()
    } else {
        text.split(',').collect()
    };
    let [north, east] = apart.as_slice() else {
        return Err(BadFigure::NotANumber);
    };
    let read = |text: &str, most: i32| {
        let value: f64 = text
            .replace(',', ".")
            .parse()
            .map_err(|_| BadFigure::NotANumber)?;
        let scaled = (value * 10_000.0).round();
        if scaled.is_nan() || scaled.abs() > f64::from(most) {
            return Err(BadFigure::OutOfBounds);
        }
        #[expect(clippy::cast_possible_truncation, reason = "within the bound above")]
        let whole = scaled as i32;
        Ok(whole)
    };
    Ok(Some(Position {
        north_e4: read(north, 900_000)?,
        east_e4: read(east, 1_800_000)?,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_position_is_read_as_people_type_it_and_shown_so_again() {
        let at = |north_e4, east_e4| Ok(Some(Position { north_e4, east_e4 }));
        assert_eq!(read_position("47.5123, 9.6021"), at(475_123, 96_021));
        assert_eq!(read_position("47,5123 9,6021"), at(475_123, 96_021));
        assert_eq!(read_position("47.5,9.6"), at(475_000, 96_000));
        assert_eq!(read_position("-8.0005; 115.5"), at(-80_005, 1_155_000));
        assert_eq!(read_position(" "), Ok(None));
        assert_eq!(read_position("north"), Err(BadFigure::NotANumber));
        assert_eq!(read_position("47.5"), Err(BadFigure::NotANumber));
        assert_eq!(read_position("91 0"), Err(BadFigure::OutOfBounds));
        assert_eq!(read_position("NaN 0"), Err(BadFigure::OutOfBounds));
        assert_eq!(
            shown(Position {
                north_e4: -80_005,
                east_e4: 7
            }),
            "-8.0005 0.0007"
        );
    }
}
