//! `tallywater season`: what the marks of every course on this device say of the outline, and
//! the outline changed by what a person accepts of it.

use clap::Subcommand;
use serde_json::{Value, json};
use tallywater_bindings::{
    AgainAfter, AgainRow, Fault, Glance, HeldShare, MinutesRow, ProposedChange, Request, Scope,
    SeasonJudges, SeasonProposal, SeasonView, Tallywater,
};

use super::catalogue::tr;
use super::of::Device;
use super::turn::Turn;
use super::words::{self, Setting};

/// What is asked of the season.
#[derive(Debug, Subcommand)]
pub(super) enum Season {
    /// Show what the marks of every course on this device say of the outline: minutes taken,
    /// what is held on another day, where assessments differ, and what is proposed.
    Show {
        #[command(flatten)]
        device: Device,
    },
    /// Accept what is proposed: the school's outline is recorded with it. Courses that have
    /// begun keep the outline that they have.
    Accept {
        #[command(flatten)]
        device: Device,
        /// What is proposed, by its id, as often as there are such.
        #[arg(required_unless_present = "all")]
        proposal: Vec<String>,
        /// All that is proposed. It is listed, to be read.
        #[arg(long, conflicts_with = "proposal")]
        all: bool,
        /// Why. It is kept with the outline.
        #[arg(long)]
        why: Option<String>,
        /// Ask every rule, and record nothing.
        #[arg(long)]
        preview: bool,
    },
}

/// Does what was asked.
pub(super) fn run(season: &Season, turn: &Turn) -> Result<(), Fault> {
    match season {
        Season::Show { device } => {
            let desk = turn.read(&device.folder)?;
            show(&seen(&desk)?, turn);
            Ok(())
        }
        Season::Accept {
            device,
            proposal,
            all,
            why,
            preview,
        } => {
            let desk = turn.write(&device.folder)?;
            let mut accepted = proposal.clone();
            if *all {
                let seen = seen(&desk)?;
                accepted = seen.proposals.iter().map(|one| one.id.clone()).collect();
                if accepted.is_empty() {
                    turn.done(tr!("Nothing is proposed."));
                    return Ok(());
                }
            }
            let set = Request::SetOutline {
                scope: Scope::Shop,
                outline: desk.season_outline(accepted)?,
                why: why.clone(),
            };
            if *preview {
                return turn.could(&desk, vec![set]);
            }
            let receipt = desk.record(set)?;
            turn.recorded(&receipt, tr!("The outline is adopted."));
            Ok(())
        }
    }
}

/// A command waits for it: the glance is never ended.
fn seen(desk: &Tallywater) -> Result<SeasonView, Fault> {
    let gone = || Fault::NotFound {
        what: "outline".into(),
        id: String::new(),
    };
    desk.season(Glance::new())?.ok_or_else(gone)
}

fn show(seen: &SeasonView, turn: &Turn) {
    let value = json!({
        "courses": seen.courses, "outline": seen.outline, "least": seen.least,
        "minutes": seen.minutes.iter().map(minutes_value).collect::<Vec<_>>(),
        "minutes_few": seen.minutes_few,
        "again": seen.again.iter().map(again_value).collect::<Vec<_>>(),
        "again_few": seen.again_few,
        "judges": seen.judges.iter().map(judges_value).collect::<Vec<_>>(),
        "judges_few": seen.judges_few,
        "proposals": seen.proposals.iter().map(proposal_value).collect::<Vec<_>>(),
    });
    let ids = || seen.proposals.iter().map(|one| one.id.clone()).collect();
    turn.answer("season", &value, ids, || lines(seen));
}

fn minutes_value(row: &MinutesRow) -> Value {
    json!({
        "skill": row.skill, "name": row.name, "lines": row.lines, "planned": row.planned,
        "taken": row.taken, "percent": row.percent, "low": row.low, "high": row.high,
    })
}

fn again_value(row: &AgainRow) -> Value {
    let places = row.places.iter().map(|one| {
        let setting = Setting::from(&one.setting).word();
        json!({ "setting": setting, "share": share_value(&one.share) })
    });
    let spans = row.spans.iter().map(|one| {
        let after = match one.after {
            AgainAfter::Week => "week",
            AgainAfter::Month => "month",
            AgainAfter::Longer => "longer",
        };
        json!({ "after": after, "share": share_value(&one.share) })
    });
    json!({
        "skill": row.skill, "name": row.name, "share": share_value(&row.all),
        "places": places.collect::<Vec<_>>(), "spans": spans.collect::<Vec<_>>(),
    })
}

fn share_value(share: &HeldShare) -> Value {
    json!({ "held": share.held, "tried": share.of, "low": share.low, "high": share.high })
}

fn judges_value(row: &SeasonJudges) -> Value {
    json!({
        "people": [words::staff(&row.first), words::staff(&row.second)],
        "same": row.same, "tried": row.of, "low": row.low, "high": row.high,
    })
}

/// Both kinds have the same fields; what a kind does not have is null.
fn proposal_value(one: &SeasonProposal) -> Value {
    match &one.what {
        ProposedChange::Minutes {
            skill,
            name,
            setup_now,
            setup,
            turn_now,
            turn,
            lines,
            percent,
            low,
            high,
        } => json!({
            "id": one.id, "what": "minutes", "skill": skill, "name": name,
            "setup": [setup_now, setup], "turn": [turn_now, turn], "percent": percent,
            "block": null, "before": null, "turned": null,
            "of": lines, "low": low, "high": high,
        }),
        ProposedChange::Order {
            block,
            title: _,
            skill,
            name,
            before,
            before_name: _,
            turned,
            of,
            low,
            high,
        } => json!({
            "id": one.id, "what": "order", "skill": skill, "name": name,
            "setup": null, "turn": null, "percent": null,
            "block": block, "before": before, "turned": turned,
            "of": of, "low": low, "high": high,
        }),
    }
}

fn lines(seen: &SeasonView) -> Vec<String> {
    let mut lines = vec![tr!(
        "Courses that it rests on: {count}",
        count = seen.courses
    )];
    if seen.outline.is_none() {
        lines.push(tr!(
            "The school has no outline: only where assessments differ can be said."
        ));
    }
    let few = |lines: &mut Vec<String>, count: u32| {
        if count > 0 {
            let too_few = tr!("Too few to say: {count}", count = count);
            lines.push(format!("  {too_few}"));
        }
    };
    lines.push(tr!("Minutes planned and taken"));
    lines.extend(seen.minutes.iter().map(minutes));
    few(&mut lines, seen.minutes_few);
    lines.push(tr!("Held when tried again on another day"));
    lines.extend(seen.again.iter().flat_map(again));
    few(&mut lines, seen.again_few);
    lines.push(tr!("Two who assessed the same tries"));
    lines.extend(seen.judges.iter().map(judges));
    few(&mut lines, seen.judges_few);
    lines.push(tr!("Proposed for the outline"));
    lines.extend(seen.proposals.iter().flat_map(proposal));
    if seen.proposals.is_empty() {
        lines.push(format!("  {}", tr!("Nothing is proposed.")));
    }
    lines.push(tr!(
        "A line is timed from the last mark before it to its own last mark: our own definition. Of fewer than {count} nothing is said; ranges are of 95 % confidence. Nothing is changed by itself.",
        count = seen.least
    ));
    lines
}

fn minutes(row: &MinutesRow) -> String {
    let says = tr!(
        "{planned} min planned, {taken} min taken in {lines} lines; the middle one takes {percent} % of its plan ({low} to {high})",
        planned = row.planned,
        taken = row.taken,
        lines = row.lines,
        percent = row.percent,
        low = row.low,
        high = row.high
    );
    format!("  {}: {says}", row.name)
}

fn share(share: &HeldShare) -> String {
    tr!(
        "{held} of {count} ({low} to {high} %)",
        held = share.held,
        count = share.of,
        low = share.low,
        high = share.high
    )
}

fn again(row: &AgainRow) -> Vec<String> {
    let mut lines = vec![format!("  {}: {}", row.name, share(&row.all))];
    lines.extend(row.places.iter().map(|one| {
        let place = Setting::from(&one.setting).said();
        format!("    {place}: {}", share(&one.share))
    }));
    lines.extend(row.spans.iter().map(|one| {
        let after = match one.after {
            AgainAfter::Week => tr!("within 7 days"),
            AgainAfter::Month => tr!("after 8 to 30 days"),
            AgainAfter::Longer => tr!("after more than 30 days"),
        };
        format!("    {after}: {}", share(&one.share))
    }));
    lines
}

fn judges(row: &SeasonJudges) -> String {
    let says = tr!(
        "{one} and {other}: the same mark in {same} of {count} ({low} to {high} %)",
        one = row.first.name,
        other = row.second.name,
        same = row.same,
        count = row.of,
        low = row.low,
        high = row.high
    );
    format!("  {says}")
}

/// What is proposed, then by which figures.
fn proposal(one: &SeasonProposal) -> [String; 2] {
    let (what, why) = match &one.what {
        ProposedChange::Minutes {
            skill: _,
            name,
            setup_now,
            setup,
            turn_now,
            turn,
            lines,
            percent,
            low,
            high,
        } => (
            tr!(
                "{name}: to show it {setup} min, not {setup_now}; a turn {turn} min, not {turn_now}",
                name = name,
                setup = setup,
                setup_now = setup_now,
                turn = turn,
                turn_now = turn_now
            ),
            tr!(
                "{lines} lines; the middle one takes {percent} % of its plan ({low} to {high})",
                lines = lines,
                percent = percent,
                low = low,
                high = high
            ),
        ),
        ProposedChange::Order {
            block: _,
            title,
            skill: _,
            name,
            before: _,
            before_name,
            turned,
            of,
            low,
            high,
        } => (
            tr!(
                "{title}: {name} before {before}",
                title = title,
                name = name,
                before = before_name
            ),
            tr!(
                "so it was run {turned} of {count} times ({low} to {high} %)",
                turned = turned,
                count = of,
                low = low,
                high = high
            ),
        ),
    };
    [format!("  {}  {what}", one.id), format!("    {why}")]
}
