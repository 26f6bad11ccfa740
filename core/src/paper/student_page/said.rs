//! Said: the student's page in words, piece by piece, so that paper and file say the same.

use super::{NextSession, PageDive, PageSkill, StudentPage};
use crate::course::Outline;
use crate::paper::say::{Figures as _, clock, moment, tenths};
use crate::paper::words::{Words, fill};
use crate::standing::CellState;
use crate::view::{Chart, Units};

/// A piece of the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Piece {
    /// A part begins.
    Heading(String),
    /// A sentence.
    Line(String),
    /// A sentence that must be seen.
    Loud(String),
    /// Something with its name, and what is said of it.
    Fact(String, String),
    /// Digits to be compared one by one, with their name.
    Digits(String, String),
    /// A skill: whether it is met, its name, what is said of it, part by part.
    Skill(bool, String, Vec<String>),
    /// A dive: its head, what is said of it, and its picture where a profile is kept.
    Dive(String, String, Option<Chart>),
    /// Small print.
    Small(String),
}

/// The page, from the top on, without its title.
pub(crate) fn pieces(
    page: &StudentPage,
    outline: Option<&Outline>,
    words: &Words,
    units: Units,
) -> Vec<Piece> {
    let mut all = Vec::new();
    if page.completed {
        all.push(Piece::Loud(words.completed.to_owned()));
    }
    if let Some(fly) = &page.fly_from {
        let pattern = if fly.longer {
            words.page_fly_longer
        } else {
            words.page_fly
        };
        all.push(Piece::Loud(fill(pattern, &[("when", &moment(fly.at.at))])));
        all.push(Piece::Small(words.page_fly_note.to_owned()));
    }
    if !page.completed {
        all.push(Piece::Heading(words.page_next.to_owned()));
        match &page.next {
            None => all.push(Piece::Line(words.page_no_next.to_owned())),
            Some(next) => self::next(&mut all, next, outline, words, units),
        }
    }
    all.push(Piece::Heading(words.page_met.to_owned()));
    if page.met.is_empty() {
        all.push(Piece::Line(words.page_none_met.to_owned()));
    }
    all.extend(page.met.iter().map(|one| skill(one, true, words)));
    if !page.open.is_empty() || !page.missing.is_empty() {
        all.push(Piece::Heading(words.still_open.to_owned()));
        let missing = words.gaps(&page.missing, outline, units).into_iter();
        all.extend(missing.map(|said| Piece::Skill(false, said, Vec::new())));
        all.extend(page.open.iter().map(|one| skill(one, false, words)));
    }
    all.push(Piece::Heading(words.page_dives.to_owned()));
    if page.dives.is_empty() {
        all.push(Piece::Line(words.page_no_dives.to_owned()));
    }
    let signed = |one: &PageDive| fill(words.page_logged, &[("who", &words.signer(&one.by))]);
    let dives = page.dives.iter();
    all.extend(dives.map(|one| dive(one, &signed(one), words, units)));
    if !page.own_dives.is_empty() {
        all.push(Piece::Heading(words.page_own_dives.to_owned()));
        all.push(Piece::Line(words.page_own_note.to_owned()));
    }
    all.extend(page.own_dives.iter().map(|one| {
        let (signer, when) = (words.signer(&one.by), moment(one.at));
        let taken = fill(words.page_own_taken, &[("who", &signer), ("when", &when)]);
        dive(one, &taken, words, units)
    }));
    all.push(Piece::Heading(words.page_check.to_owned()));
    all.push(Piece::Small(fill(
        words.page_check_how,
        &[("when", &moment(page.now))],
    )));
    let own = fill(
        words.fingerprint_own,
        &[("n", &page.own_entries.to_string())],
    );
    all.push(Piece::Digits(own, page.own.grouped()));
    let state = page.state.to_string();
    all.push(Piece::Digits(words.state.to_owned(), state));
    all.push(Piece::Small(words.caution_record.to_owned()));
    all
}

fn next(
    all: &mut Vec<Piece>,
    next: &NextSession,
    outline: Option<&Outline>,
    words: &Words,
    units: Units,
) {
    let ends = next.starts + chrono::TimeDelta::minutes(next.minutes.into());
    let when = format!("{} – {}", moment(next.starts), clock(ends));
    all.push(Piece::Loud(when));
    let where_ = format!(
        "{} · {} ({})",
        next.title,
        next.site,
        words.setting_of(next.setting)
    );
    all.push(Piece::Line(where_));
    if let Some(bring) = &next.bring {
        all.push(Piece::Fact(words.page_bring.to_owned(), bring.clone()));
    }
    if !next.missing.is_empty() {
        let said = words.gaps(&next.missing, outline, units).join("; ");
        all.push(Piece::Fact(words.page_settle.to_owned(), said));
    }
}

fn skill(one: &PageSkill, done: bool, words: &Words) -> Piece {
    let mut said = vec![one.says.clone()];
    if one.state == CellState::Exempt {
        said.push(words.state_exempt.to_owned());
    }
    if !done {
        let mut state = words.state_of(one.state).to_owned();
        if one.slipped {
            words.slipped_since.clone_into(&mut state);
        } else if one.of > 1 {
            let count = [("n", one.met.to_string()), ("of", one.of.to_string())];
            let count = count.each_ref().map(|(name, text)| (*name, text.as_str()));
            state = format!("{state}, {}", fill(words.of_needed, &count));
        }
        said.push(state);
    }
    said.retain(|text| !text.is_empty());
    Piece::Skill(done, one.name.clone(), said)
}

fn dive(one: &PageDive, signed: &str, words: &Words, units: Units) -> Piece {
    let log = &one.log;
    let number = one.number.map(|n| format!("{n}. "));
    let site = one.site.clone().unwrap_or_default();
    let head = format!("{}{} {site}", number.unwrap_or_default(), moment(log.down));
    let seconds = u32::try_from((log.up - log.down).num_seconds()).unwrap_or(0);
    let depth = units.depth(log.max_depth_cm);
    let mut said = vec![
        format!("{} {depth}", words.deepest),
        format!("{} {}", words.time, words.span(seconds)),
    ];
    if let Some(gas) = log.gas {
        let mix = if gas.oxygen_permille == 209 {
            words.air.to_owned()
        } else {
            let percent = tenths(i64::from(gas.oxygen_permille));
            fill(words.oxygen, &[("n", &percent)])
        };
        said.push(format!(
            "{} {mix}, {}, {} – {}",
            words.gas,
            units.capacity(gas.capacity_dl),
            units.pressure(gas.start_mbar),
            units.pressure(gas.end_mbar)
        ));
    }
    let mut water = words.water_of(log.water).to_owned();
    if let Some(temperature) = log.temperature_dc {
        water = format!("{water}, {}", units.temperature(temperature));
    }
    said.push(water);
    said.push(signed.to_owned());
    Piece::Dive(
        head.trim_end().to_owned(),
        said.join(" · "),
        Chart::profile(log, units),
    )
}
