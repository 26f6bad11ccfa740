//! The season on paper: what the marks of many courses say of the school's outline. It names
//! nobody: whose marks differ is looked at on a screen, and does not lie about on a desk.

use chrono::{DateTime, FixedOffset};

use super::{BODY, Press, SMALL, page_in};
use crate::paper::pdf::{About, Flow, Furniture, PdfError, Room, Turn};
use crate::paper::say::moment;
use crate::paper::words::{Words, fill};
use crate::view::{AgainAfter, AgainRow, Chart, HeldShare, ProposedChange, SeasonView};

/// Bars of one picture: with its words it is to fit on a page.
const MOST_BARS: usize = 16;

impl Press {
    /// Minutes planned and taken as a picture with its words, what is held on another day, and
    /// what is proposed for the outline.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn season_sheet(
        &self,
        shop: &str,
        season: &SeasonView,
        now: DateTime<FixedOffset>,
    ) -> Result<Vec<u8>, PdfError> {
        let words = self.words();
        self.print(|set| {
            let mut flow = Flow::new(set, self.sheet, Turn::Upright, Room::OFFICE);
            let line = match &season.outline {
                Some(outline) => format!("{outline} · {shop}"),
                None => shop.to_owned(),
            };
            super::top(&mut flow, words.season_title, &line);
            let rests = fill(
                words.season_rests,
                &[
                    ("n", &season.courses.to_string()),
                    ("least", &season.least.to_string()),
                ],
            );
            flow.paragraph(&[(&rests, SMALL)]);
            proposals(&mut flow, words, season);
            minutes(&mut flow, words, season);
            held(&mut flow, words, season);
            super::close(&mut flow, words, words.season_caution);
            let about = About {
                title: format!("{} · {shop}", words.season_title),
                subject: words.season_subject.to_owned(),
                language: words.tag,
                made: now,
                identity: format!("season {shop} {}", now.to_rfc3339()),
            };
            let furniture = Furniture {
                head: shop.to_owned(),
                state: words.season_title.to_owned(),
                foot: fill(words.printed, &[("when", &moment(now))]),
                page: page_in(words),
                band: None,
            };
            flow.finish(&about, Some(&furniture))
        })
    }
}

fn proposals(flow: &mut Flow<'_>, words: &'static Words, season: &SeasonView) {
    flow.heading(2, words.season_proposed);
    if season.proposals.is_empty() {
        let none = if season.outline.is_some() {
            words.season_none_proposed
        } else {
            words.season_no_outline
        };
        flow.paragraph(&[(none, BODY)]);
    }
    for one in &season.proposals {
        let (what, why) = proposed(words, &one.what);
        flow.paragraph(&[(&what, BODY.semi())]);
        flow.paragraph(&[(&why, SMALL)]);
        flow.gap(3.0);
    }
}

/// What is proposed, and by which figures.
fn proposed(words: &Words, what: &ProposedChange) -> (String, String) {
    let said = |n: &dyn std::fmt::Display| n.to_string();
    match what {
        ProposedChange::Minutes {
            name,
            setup_now,
            setup,
            turn_now,
            turn,
            lines,
            percent,
            low,
            high,
            ..
        } => (
            fill(
                words.season_other_minutes,
                &[
                    ("name", name),
                    ("setup", &said(setup)),
                    ("setup_now", &said(setup_now)),
                    ("turn", &said(turn)),
                    ("turn_now", &said(turn_now)),
                ],
            ),
            fill(
                words.season_by_minutes,
                &[
                    ("lines", &said(lines)),
                    ("percent", &said(percent)),
                    ("low", &said(low)),
                    ("high", &said(high)),
                ],
            ),
        ),
        ProposedChange::Order {
            title,
            name,
            before_name,
            turned,
            of,
            low,
            high,
            ..
        } => (
            fill(
                words.season_other_order,
                &[("title", title), ("name", name), ("before", before_name)],
            ),
            fill(
                words.season_by_order,
                &[
                    ("turned", &said(turned)),
                    ("of", &said(of)),
                    ("low", &said(low)),
                    ("high", &said(high)),
                ],
            ),
        ),
    }
}

fn minutes(flow: &mut Flow<'_>, words: &'static Words, season: &SeasonView) {
    flow.heading(2, words.season_minutes);
    let width = flow.width();
    for part in season.minutes.chunks(MOST_BARS) {
        if let Some(chart) = Chart::minutes(part) {
            super::picture::draw(flow, &chart, words, width);
        }
    }
    if !season.minutes.is_empty() {
        flow.paragraph(&[(words.season_timed, SMALL)]);
    }
    few(flow, words, season.minutes_few, season.minutes.is_empty());
}

fn held(flow: &mut Flow<'_>, words: &'static Words, season: &SeasonView) {
    flow.heading(2, words.season_held);
    for row in &season.again {
        flow.paragraph(&[(&row.name, BODY.semi())]);
        flow.paragraph(&[(&held_said(words, row), SMALL)]);
        flow.gap(3.0);
    }
    few(flow, words, season.again_few, season.again.is_empty());
}

/// A skill in all, then by where, then by how long after.
fn held_said(words: &Words, row: &AgainRow) -> String {
    let share = |one: &HeldShare| {
        fill(
            words.season_share,
            &[
                ("held", &one.held.to_string()),
                ("of", &one.of.to_string()),
                ("low", &one.low.to_string()),
                ("high", &one.high.to_string()),
            ],
        )
    };
    let places = row.places.iter().map(|one| {
        let place = words.setting_of(one.setting);
        format!("{place}: {}", share(&one.share))
    });
    let spans = row.spans.iter().map(|one| {
        let after = match one.after {
            AgainAfter::Week => words.season_week,
            AgainAfter::Month => words.season_month,
            AgainAfter::Longer => words.season_longer,
        };
        format!("{after}: {}", share(&one.share))
    });
    let said: Vec<String> = std::iter::once(share(&row.all))
        .chain(places)
        .chain(spans)
        .collect();
    said.join(" · ")
}

/// How many there are too few of to say, or that there is nothing yet.
fn few(flow: &mut Flow<'_>, words: &Words, few: u32, none: bool) {
    if few > 0 {
        let said = fill(words.season_few, &[("n", &few.to_string())]);
        flow.paragraph(&[(&said, SMALL)]);
    } else if none {
        flow.paragraph(&[(words.season_nothing, SMALL)]);
    }
}
