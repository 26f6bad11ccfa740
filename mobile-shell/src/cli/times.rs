//! `tallywater session times`: times in and out of the water, entered or put right afterwards.

use clap::Args;
use serde_json::{Value, json};
use tallywater_bindings::{Fault, HeadcountRow, InWater, Request, TimeSaid};

use super::catalogue::tr;
use super::session::At;
use super::turn::Turn;
use super::{find, when, words};

/// Somebody's dives in a session.
#[derive(Debug, Args)]
pub(super) struct Times {
    #[command(flatten)]
    at: At,
    /// Who, as often as there are such: a student or a member of staff. All of them get the
    /// same times.
    #[arg(long, required = true)]
    who: Vec<String>,
    /// When they went in, once for each dive, in their order.
    #[arg(
        long = "in",
        value_name = "TIME",
        allow_hyphen_values = true,
        required_unless_present = "none"
    )]
    down: Vec<String>,
    /// When they came out, once for each dive, in their order; left out of the last while they
    /// are in.
    #[arg(long = "out", value_name = "TIME", allow_hyphen_values = true)]
    up: Vec<String>,
    /// They were not in the water at all.
    #[arg(long, conflicts_with_all = ["down", "up"])]
    none: bool,
    /// Ask every rule, and record nothing.
    #[arg(long)]
    preview: bool,
}

/// Does what was asked: everybody's times, or nobody's.
pub(super) fn run(asked: &Times, turn: &Turn) -> Result<(), Fault> {
    let opened = asked.at.of.write(turn)?;
    let (desk, course) = (&opened.desk, opened.id());
    let session = find::session(desk, &course, &asked.at.session)?
        .session
        .to_string();
    let read = |typed: &String| when::time(desk, typed);
    let down = (asked.down.iter().map(read)).collect::<Result<Vec<_>, _>>()?;
    let mut up = (asked.up.iter().map(read))
        .collect::<Result<Vec<_>, _>>()?
        .into_iter();
    let dives: Vec<InWater> = (down.into_iter())
        .map(|down| InWater {
            down,
            up: up.next(),
        })
        .collect();
    if up.next().is_some() {
        return Err(Fault::rule("field_missing").of("in"));
    }
    let requests = asked.who.iter().map(|who| {
        Ok(Request::SetTimes {
            course: course.clone(),
            session: session.clone(),
            who: find::diver(desk, &opened.course, who)?,
            dives: dives.clone(),
        })
    });
    let requests = requests.collect::<Result<Vec<_>, Fault>>()?;
    if asked.preview {
        return turn.could(desk, requests);
    }
    let count = requests.len();
    let receipt = desk.record_all(requests)?;
    if receipt.entries.is_empty() {
        turn.done(tr!("These times stand already; nothing was added."));
    } else {
        turn.recorded(&receipt, tr!("Recorded for {count}.", count = count));
    }
    Ok(())
}

/// The dives of a row as JSON.
pub(super) fn dives(row: &HeadcountRow) -> Vec<Value> {
    let at = |said: &Option<TimeSaid>| said.as_ref().map(|said| said.at.at.to_rfc3339());
    let written = |said: &Option<TimeSaid>| {
        let written = said.as_ref().and_then(|said| said.written.as_ref());
        written.map(|written| written.at.to_rfc3339())
    };
    let all = row.dives.iter().map(|dive| {
        json!({
            "in": at(&dive.down), "out": at(&dive.up),
            "in_written": written(&dive.down), "out_written": written(&dive.up),
        })
    });
    all.collect()
}

/// The same for a person: a line a dive.
pub(super) fn lines(row: &HeadcountRow) -> Vec<String> {
    let said = |time: &Option<TimeSaid>| {
        let Some(time) = time else {
            return "–".to_owned();
        };
        let at = words::moment(&time.at);
        match &time.written {
            None => at,
            Some(written) => {
                let when = words::moment(written);
                format!("{at} ({})", tr!("written {when}", when = when))
            }
        }
    };
    let all = row.dives.iter();
    all.map(|dive| format!("    {} – {}", said(&dive.down), said(&dive.up)))
        .collect()
}
