//! `tallywater today`: the first screen, as text.

use serde_json::{Value, json};
use tallywater_bindings::{Fault, SessionCard, Tallywater, TodayView};

use super::catalogue::tr;
use super::session::card;
use super::turn::Turn;
use super::words::{self, Alert};

/// Says today's sessions, the courses here and what waits.
pub(super) fn show(desk: &Tallywater, turn: &Turn) -> Result<(), Fault> {
    let today = desk.today()?;
    let courses = today.courses.iter().map(|one| {
        json!({
            "id": one.course, "title": one.title, "students": one.students,
            "completed": one.completed, "ready": one.ready, "done": one.done, "of": one.of,
            "differ": one.two_views, "to_confirm": one.waiting, "slipped": one.slipped,
        })
    });
    let alerts = today.alerts.iter().map(|one| {
        let students: Vec<Value> = one.students.iter().map(words::student).collect();
        json!({
            "what": Alert::from(&one.what).word(), "course": one.course, "session": one.session,
            "count": one.count, "students": students,
        })
    });
    let value = json!({
        "day": today.day.date, "sessions": today.sessions.iter().map(card).collect::<Vec<_>>(),
        "next": today.coming.first().map(card), "courses": courses.collect::<Vec<_>>(),
        "waiting": alerts.collect::<Vec<_>>(),
    });
    let ids = || {
        today
            .sessions
            .iter()
            .map(|one| one.session.to_string())
            .collect()
    };
    turn.answer("today", &value, ids, || lines(&today));
    Ok(())
}

fn lines(today: &TodayView) -> Vec<String> {
    let mut lines = vec![tr!("Today, {day}", day = today.day.date)];
    lines.extend(today.sessions.iter().map(line));
    if !today.coming.is_empty() {
        lines.push(tr!("Next"));
        lines.extend(today.coming.iter().map(line));
    }
    lines.push(tr!("Courses"));
    // Whoever begins is told what comes next.
    if today.courses.is_empty() {
        lines.push(tr!("  none is open: `tallywater course open` opens one"));
    }
    for course in &today.courses {
        let done = tr!(
            "{done} of {of} skills done; students: {students}, completed: {completed}",
            done = format!("{:>3}", course.done),
            of = format!("{:>3}", course.of),
            students = course.students,
            completed = course.completed
        );
        lines.push(format!("  {:<28} {done}", course.title));
        if course.students == 0 {
            lines.push(tr!(
                "  nobody is enrolled: `tallywater student enrol`, or `tallywater import roster` for a list"
            ));
        }
    }
    if !today.alerts.is_empty() {
        lines.push(tr!("Waiting for someone"));
    }
    for alert in &today.alerts {
        let names: Vec<&str> = alert
            .students
            .iter()
            .map(|name| name.short.as_str())
            .collect();
        let what = Alert::from(&alert.what).said();
        lines.push(format!(
            "  {what:<38} {:>3}  {}",
            alert.count,
            names
                .into_iter()
                .chain(alert.devices.iter().map(String::as_str))
                .collect::<Vec<_>>()
                .join(", ")
        ));
    }
    lines
}

fn line(session: &SessionCard) -> String {
    tr!(
        "  {starts}  {title}, {site} (students: {students}, in the water: {inside} of them, {staff} of the staff)",
        starts = words::moment(&session.starts),
        title = session.title,
        site = session.site,
        students = session.students,
        inside = session.in_water.saturating_sub(session.staff_in_water),
        staff = session.staff_in_water
    )
}
