//! `tallywater session lost-day`: the sessions of a day that cannot be held, planned anew in
//! free slots; before and after, and who is told what, before anything moves. What shares its
//! water with another course's session moves with it.

use clap::Args;
use serde_json::{Value, json};
use tallywater_bindings::{
    ApartBecause, Fault, HeldAnew, LostDayRow, LostDayView, StaffName, StudentName, WhoName,
};

use super::catalogue::{t, tr};
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
    why: Option<String>,
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
    #[arg(long, requires = "why")]
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
        let why = asked.why.clone().unwrap_or_default();
        let both = view.rows.iter().any(|row| !row.along.is_empty());
        let receipt = opened.desk.accept_lost_day(course, view, why)?;
        turn.recorded(
            &receipt,
            if both {
                tr!("The day is planned anew, and what shares its water with it.")
            } else {
                tr!("The day is planned anew.")
            },
        );
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

fn anew(after: &HeldAnew) -> Value {
    json!({
        "starts": after.starts.at.to_rfc3339(), "ends": after.ends.at.to_rfc3339(),
        "site": after.site, "price": after.price,
    })
}

fn value(row: &LostDayRow) -> Value {
    let along = row.along.iter().map(|one| {
        json!({
            "course": one.course, "course_title": one.course_title, "id": one.session,
            "title": one.title, "starts": one.before.at.to_rfc3339(), "site": one.before_site,
            "after": anew(&one.after),
            "students": one.students.iter().map(words::student).collect::<Vec<_>>(),
            "staff": one.staff.iter().map(words::staff).collect::<Vec<_>>(),
            "away": one.away.iter().map(words::who).collect::<Vec<_>>(),
        })
    });
    let apart = row
        .apart
        .iter()
        .map(|one| json!({ "course_title": one.course_title, "because": word(one.because) }));
    let beside = row.along.iter().map(|one| &one.course_title);
    let beside = beside.chain(row.apart.iter().map(|one| &one.course_title));
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
        "after": row.after.as_ref().map(anew), "together": together,
        "shared_with": beside.collect::<Vec<_>>(),
        "along": along.collect::<Vec<_>>(), "apart": apart.collect::<Vec<_>>(),
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
        lines.extend(row.apart.iter().map(|one| {
            tr!(
                "  it was to share its water with {course}, whose session stays where it is: {why}",
                course = one.course_title,
                why = why(one.because)
            )
        }));
        people(&row.students, &row.staff, &row.away, &mut lines);
        for one in &row.along {
            lines.push(format!("{}: {}", one.course_title, one.title));
            lines.push(tr!(
                "  it shares the water of {session} and moves with it",
                session = row.title
            ));
            lines.push(tr!(
                "  before: {when}, {site}",
                when = words::moment(&one.before),
                site = one.before_site
            ));
            lines.push(tr!(
                "  after: {when}, {site}",
                when = words::moment(&one.after.starts),
                site = one.after.site
            ));
            people(&one.students, &one.staff, &one.away, &mut lines);
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

/// Who is to be told, and who of them cannot come.
fn people(
    students: &[StudentName],
    staff: &[StaffName],
    away: &[WhoName],
    lines: &mut Vec<String>,
) {
    let students = students.iter().map(|one| one.short.as_str());
    let told = students.chain(staff.iter().map(|one| one.name.as_str()));
    let told: Vec<&str> = told.collect();
    lines.push(tr!("  to be told: {names}", names = told.join(", ")));
    if !away.is_empty() {
        let away: Vec<&str> = away.iter().map(words::who_said).collect();
        lines.push(tr!("  cannot come then: {names}", names = away.join(", ")));
    }
}

const fn word(because: ApartBecause) -> &'static str {
    match because {
        ApartBecause::MayNot => "may-not",
        ApartBecause::Begun => "begun",
        ApartBecause::Slot => "slot",
        ApartBecause::Rules => "rules",
    }
}

fn why(because: ApartBecause) -> &'static str {
    match because {
        ApartBecause::MayNot => t("this device may not plan there"),
        ApartBecause::Begun => t("it has begun"),
        ApartBecause::Slot => t("no free slot suits both"),
        ApartBecause::Rules => t("by the rules they may not be in one water then"),
    }
}
