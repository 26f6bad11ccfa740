//! `tallywater session in`, `out`, `away` and `count`: who is in the water.

use clap::Args;
use serde_json::json;
use tallywater_bindings::{Fault, HeadcountRow, Passage, Request, Who};

use super::catalogue::{t, tr};
use super::session::At;
use super::turn::Turn;
use super::words::{self, Place};
use super::{find, when};

/// Who went in or came out.
#[derive(Debug, Args)]
pub(super) struct Pass {
    #[command(flatten)]
    at: At,
    /// Somebody, as often as there are such: a student or a member of staff.
    #[arg(long, required_unless_present = "everyone")]
    who: Vec<String>,
    /// Every student of the session for whom nothing is missing before water, and whoever is
    /// in the water when they come out.
    #[arg(long, conflicts_with = "who")]
    everyone: bool,
    /// When; now if left out.
    #[arg(long, allow_hyphen_values = true)]
    when: Option<String>,
}

/// Records it for those who were named, or for everyone whom it can be of.
pub(super) fn pass(pass: &Pass, passage: Passage, turn: &Turn) -> Result<(), Fault> {
    let opened = pass.at.of.write(turn)?;
    let course = opened.id();
    let session = find::session(&opened.desk, &course, &pass.at.session)?
        .session
        .to_string();
    let seen = opened.desk.headcount(course.clone(), session.clone())?;
    let unseen = in_place(&seen.rows, Place::NotSeen);
    let people: Vec<Who> = if pass.everyone {
        match passage {
            Passage::In => seen.ready.clone(),
            Passage::Out => in_place(&seen.rows, Place::InWater),
            Passage::Absent => unseen.clone(),
        }
    } else {
        let found = pass
            .who
            .iter()
            .map(|asked| find::diver(&opened.desk, &opened.course, asked));
        found.collect::<Result<_, _>>()?
    };
    if people.is_empty() {
        return Err(match passage {
            Passage::In if !unseen.is_empty() => Fault::rule("nobody_ready").value(unseen.len()),
            Passage::In | Passage::Absent => Fault::rule("nobody_on_deck"),
            Passage::Out => Fault::rule("nobody_in_water"),
        });
    }
    // What stands before water is said of whoever goes in, and of whoever was left on deck.
    let waiting = unseen.iter().filter(|one| !people.contains(one)).count();
    let lacking = seen
        .rows
        .iter()
        .filter(|row| row.gaps > 0 && people.contains(&Who::from(&row.name)))
        .count();
    // Said outright: a command is no press that may have bounced.
    let when = match &pass.when {
        Some(typed) => when::time(&opened.desk, typed)?,
        None => opened.desk.moment(None, 0)?.at.to_rfc3339(),
    };
    let count = people.len();
    let requests = people.into_iter().map(|who| Request::Pass {
        course: course.clone(),
        session: session.clone(),
        who,
        passage,
        when: Some(when.clone()),
    });
    let receipt = opened.desk.record_all(requests.collect())?;
    let mut sentence = tr!("Recorded for {count}.", count = count);
    if passage == Passage::In && lacking > 0 {
        sentence += " ";
        sentence += &tr!(
            "Something is missing before water for {count} of them.",
            count = lacking
        );
    }
    if passage == Passage::In && pass.everyone && waiting > 0 {
        sentence += " ";
        sentence += &tr!("Not cleared, and left on deck: {count}.", count = waiting);
    }
    turn.recorded(&receipt, sentence);
    Ok(())
}

fn in_place(rows: &[HeadcountRow], place: Place) -> Vec<Who> {
    let there = rows.iter().filter(|row| Place::from(&row.place) == place);
    there.map(|row| Who::from(&row.name)).collect()
}

/// Shows who is where.
pub(super) fn count(at: &At, turn: &Turn) -> Result<(), Fault> {
    let opened = at.of.read(turn)?;
    let id = find::session(&opened.desk, &opened.id(), &at.session)?
        .session
        .to_string();
    let seen = opened.desk.headcount(opened.id(), id)?;
    let people = seen.rows.iter().map(|row| {
        json!({
            "who": words::who(&row.name), "place": Place::from(&row.place).word(),
            "since": row.since.as_ref().map(|at| at.at.to_rfc3339()),
            "minutes": row.elapsed.as_ref().map(|span| span.all_minutes),
            "overdue": row.overdue, "missing": row.gaps, "dives": super::times::dives(row),
            "pair": row.team.pair, "watched_by": row.team.watched_by.as_ref().map(words::staff),
        })
    });
    let value = json!({
        "session": seen.session, "title": seen.title, "expected": seen.expected,
        "in_water": seen.in_water, "staff_in_water": seen.staff_in_water, "out": seen.out, "absent": seen.absent,
        "not_seen": seen.not_seen, "overdue": seen.overdue, "people": people.collect::<Vec<_>>(),
    });
    turn.answer(
        "session.count",
        &value,
        || {
            let inside = in_place(&seen.rows, Place::InWater).into_iter();
            let id = |who| match who {
                Who::Student { student } => student,
                Who::Staff { staff } => staff,
            };
            inside.map(id).collect()
        },
        || {
            let mut lines = vec![tr!(
                "{title}: in the water {inside}, {staff} of them staff; out {out}, not seen {unseen}",
                title = seen.title,
                inside = seen.in_water,
                staff = seen.staff_in_water,
                out = seen.out,
                unseen = seen.not_seen
            )];
            for row in &seen.rows {
                let since = row.since.as_ref().map(words::moment).unwrap_or_default();
                let (name, place) = (words::who_said(&row.name), Place::from(&row.place).said());
                lines.push(format!("  {name:<24}  {place:<16}  {since}{}", team(row)));
                lines.extend(super::times::lines(row));
            }
            lines
        },
    );
    Ok(())
}

/// The pair that was kept and who watches, behind the row of a headcount.
fn team(row: &HeadcountRow) -> String {
    let pair = row
        .team
        .pair
        .map(|n| t("Pair {0}").replace("{0}", &n.to_string()));
    let watched = row.team.watched_by.as_ref();
    let watched = watched.map(|staff| t("watched by {0}").replace("{0}", &staff.name));
    let said = pair.into_iter().chain(watched);
    said.map(|part| format!("  {part}"))
        .collect::<Vec<_>>()
        .concat()
}
