//! `tallywater session lost-day`: the sessions of a day that cannot be held, planned anew in
//! free slots; before and after, and who is told what, before anything moves.

use clap::Args;
use serde_json::{Value, json};
use tallywater_bindings::{Fault, LostDayRow, LostDayView, Request};

use super::catalogue::tr;
use super::session::At;
use super::turn::Turn;
use super::{find, words};

/// What is asked.
#[derive(Debug, Args)]
pub(super) struct LostDay {
    #[command(flatten)]
    at: At,
    /// Why: it goes with every session that moves.
    #[arg(long)]
    why: String,
    /// The least days from one session of a student to the next; two may lie on one day if it
    /// is left out
    #[arg(
        long,
        value_name = "DAYS",
        default_value_t = 0,
        hide_default_value = true
    )]
    days_between: u16,
    /// Accept it: what has a slot is moved into it, what has none is cancelled.
    #[arg(long)]
    accept: bool,
}

/// Shows it, or does it.
pub(super) fn run(asked: &LostDay, turn: &Turn) -> Result<(), Fault> {
    let opened = if asked.accept {
        asked.at.of.write(turn)?
    } else {
        asked.at.of.read(turn)?
    };
    let course = opened.id();
    let session = find::session(&opened.desk, &course, &asked.at.session)?
        .session
        .to_string();
    let view = opened
        .desk
        .lost_day(course.clone(), session, asked.days_between)?;
    if asked.accept {
        let request = |row: &LostDayRow| match (&row.after, &row.together) {
            (Some(after), _) => Request::MoveSession {
                course: course.clone(),
                session: row.session.to_string(),
                starts: after.starts.at.to_rfc3339(),
                site: after.site.clone(),
                why: asked.why.clone(),
            },
            (None, Some(together)) => Request::PlanSession {
                course: course.clone(),
                session: Some(row.session.to_string()),
                plan: together.plan.clone(),
            },
            (None, None) => Request::CancelSession {
                course: course.clone(),
                session: row.session.to_string(),
                why: asked.why.clone(),
            },
        };
        let receipt = opened
            .desk
            .record_all(view.rows.iter().map(request).collect())?;
        turn.recorded(&receipt, tr!("The day is planned anew."));
        return Ok(());
    }
    let rows = view.rows.iter().map(value);
    let value = json!({
        "sessions": rows.collect::<Vec<Value>>(), "without_slot": view.unplaced,
        "free": view.free, "proven": view.proven,
        "days_between": view.days_between, "dives_a_day": view.dives_a_day,
    });
    let ids = || {
        view.rows
            .iter()
            .map(|row| row.session.to_string())
            .collect()
    };
    turn.answer("session.lost_day", &value, ids, || lines(&view));
    Ok(())
}

fn value(row: &LostDayRow) -> Value {
    let after = row.after.as_ref().map(|after| {
        json!({
            "starts": after.starts.at.to_rfc3339(), "ends": after.ends.at.to_rfc3339(), "site": after.site,
            "price": after.price,
        })
    });
    let together = row.together.as_ref().map(|held| {
        json!({
            "course_title": held.course_title, "title": held.title, "starts": held.starts.at.to_rfc3339(),
            "ends": held.ends.at.to_rfc3339(), "site": held.site, "students": held.students,
            "ceiling": held.ceiling,
            "staff": held.staff.iter().map(words::staff).collect::<Vec<_>>(),
        })
    });
    json!({
        "id": row.session, "title": row.title, "starts": row.before.at.to_rfc3339(), "site": row.before_site,
        "after": after, "together": together, "shared_with": row.shared_with,
        "students": row.students.iter().map(words::student).collect::<Vec<_>>(),
        "staff": row.staff.iter().map(words::staff).collect::<Vec<_>>(),
        "away": row.away.iter().map(words::who).collect::<Vec<_>>(),
    })
}

fn lines(view: &LostDayView) -> Vec<String> {
    if view.rows.is_empty() {
        return vec![tr!("No session of that day is still to come.")];
    }
    let mut lines = Vec::new();
    for row in &view.rows {
        lines.push(row.title.clone());
        let before = words::moment(&row.before);
        lines.push(tr!(
            "  before: {when}, {site}",
            when = before,
            site = row.before_site
        ));
        lines.push(match (&row.after, &row.together) {
            (Some(after), _) => tr!(
                "  after: {when}, {site}",
                when = words::moment(&after.starts),
                site = after.site
            ),
            (None, Some(held)) => tr!(
                "  after: {when}, {site}, together with {course}",
                when = words::moment(&held.starts),
                site = held.site,
                course = held.course_title
            ),
            (None, None) => tr!("  no free slot suits it: it would be cancelled"),
        });
        if !row.shared_with.is_empty() {
            lines.push(tr!(
                "  it was to share its water with {courses}: that day is lost as well",
                courses = row.shared_with.join(", ")
            ));
        }
        let students = row.students.iter().map(|one| one.short.as_str());
        let told = students.chain(row.staff.iter().map(|one| one.name.as_str()));
        let told: Vec<&str> = told.collect();
        lines.push(tr!("  to be told: {names}", names = told.join(", ")));
        if !row.away.is_empty() {
            let away: Vec<&str> = row.away.iter().map(words::who_said).collect();
            lines.push(tr!("  cannot come then: {names}", names = away.join(", ")));
        }
    }
    lines.push(if view.proven {
        tr!("No other way changes less of what people were told.")
    } else {
        tr!("There are too many ways to look at each: this is the best of those seen.")
    });
    lines.push(tr!("Nothing has moved: accept it with --accept."));
    lines
}
