//! Calendar: sessions for the telephones of the staff (iCalendar, RFC 5545).
//!
//! Each session keeps its UID for good and its SEQUENCE rises with each change, so that a
//! calendar which has read an earlier file moves the meeting instead of doubling it. Students
//! are counted and never named: a calendar travels far.

use chrono::{Duration, Utc};
use icalendar::{Calendar, Component as _, Event, EventLike as _, EventStatus, Property};

use crate::paper::source::Source;
use crate::paper::words::Language;

/// Every session of a course, cancelled ones too: a calendar must be told.
pub fn calendar(source: &Source<'_>, language: Language) -> Vec<u8> {
    let words = language.words();
    let course = source.course.opened().map_or("", |opened| &opened.title);
    let mut calendar = Calendar::new();
    calendar.append_property(Property::new("METHOD", "PUBLISH"));
    calendar.name(course);
    let outline = source.course.outline();
    for (id, now) in source.course.sessions() {
        let plan = &now.plan;
        let skills: Vec<&str> = plan
            .run_list
            .iter()
            .map(|skill| {
                outline
                    .and_then(|outline| outline.skill(skill))
                    .map_or(skill.as_str(), |skill| &skill.name)
            })
            .collect();
        let description = format!(
            "{}: {} · {}: {}",
            words.students,
            plan.students.len(),
            words.run_list,
            skills.join(", ")
        );
        let starts = plan.starts.with_timezone(&Utc);
        let mut event = Event::new();
        event
            .uid(&id.to_string())
            .timestamp(source.now.with_timezone(&Utc))
            .sequence(now.changes)
            .summary(&format!("{course}: {}", plan.title))
            .description(&description)
            .location(&plan.site)
            .starts(starts)
            .ends(starts + Duration::minutes(i64::from(plan.minutes)))
            .status(if now.cancelled.is_some() {
                EventStatus::Cancelled
            } else {
                EventStatus::Confirmed
            });
        calendar.push(event.done());
    }
    calendar.to_string().into_bytes()
}
