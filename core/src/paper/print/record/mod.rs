//! The training record of one student: its order, its top and what is still missing. What
//! was judged is in `skills`, what happened in the water in `water`, what makes it checkable
//! in `proof`.

mod kept;
mod proof;
mod skills;
mod water;

use chrono::{DateTime, FixedOffset};

use super::{BODY, Press, SMALL, heads, page_in};
use crate::course::Outline;
use crate::entry::Outcome;
use crate::paper::pdf::{
    About, Align, Band, Cell, Column, Flow, Furniture, Ink, Kind, Mark, PdfError, Room, Row, Sheet,
    Style, Table, Turn, Typesetter, mm,
};
use crate::paper::record::{Record, RecordState};
use crate::paper::say::{day, moment};
use crate::paper::source::nameless;
use crate::paper::words::{Words, fill};
use crate::standing::CellState;
use crate::view::Units;

impl Press {
    /// A student's training record. `outline` names the skills in the list of what is open;
    /// `now` is the moment of printing.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn record(
        &self,
        record: &Record,
        outline: Option<&Outline>,
        now: DateTime<FixedOffset>,
    ) -> Result<Vec<u8>, PdfError> {
        let paper = Paper {
            words: self.words(),
            units: self.units,
            record,
            outline,
            now,
        };
        self.print(|set| paper.print(set, self.sheet))
    }
}

struct Paper<'a> {
    words: &'static Words,
    units: Units,
    record: &'a Record,
    outline: Option<&'a Outline>,
    now: DateTime<FixedOffset>,
}

impl Paper<'_> {
    fn name(&self) -> String {
        self.record
            .name
            .clone()
            .unwrap_or_else(|| nameless(&self.record.student, self.words))
    }

    fn print(&self, set: &mut Typesetter, sheet: Sheet) -> Result<Vec<u8>, PdfError> {
        let (words, record) = (self.words, self.record);
        let mut flow = Flow::new(set, sheet, Turn::Upright, Room::OFFICE);
        self.top(&mut flow);
        self.banner(&mut flow);
        self.facts(&mut flow);
        self.open_items(&mut flow);
        self.papers(&mut flow);
        self.skills(&mut flow);
        self.sessions(&mut flow);
        self.dives(&mut flow);
        self.weights(&mut flow);
        self.kept(&mut flow);
        self.signatures(&mut flow);
        // Before the proof, whose tables may end anywhere: alone on a last page nobody reads it.
        super::close(&mut flow, words, words.caution_record);
        self.proof(&mut flow);
        let name = self.name();
        let about = About {
            title: format!("{} · {name}", words.record_title),
            subject: words.record_subject.to_owned(),
            language: words.tag,
            made: self.now,
            identity: format!("record {} {}", record.student, record.proof.fingerprint),
        };
        let course = record.course.as_deref().unwrap_or_default();
        let printed = fill(words.printed, &[("when", &moment(self.now))]);
        let furniture = Furniture {
            head: format!("{name} · {course}"),
            state: self.state().to_owned(),
            foot: format!("{} · {printed}", record.proof.fingerprint.short()),
            page: page_in(words),
            band: Some(if record.is_completed() {
                Band::Whole
            } else {
                Band::Hatched
            }),
        };
        flow.finish(&about, Some(&furniture))
    }

    const fn state(&self) -> &'static str {
        if self.record.gaps.is_empty()
            && matches!(
                self.record.state,
                RecordState::Ended {
                    outcome: Outcome::Completed,
                    ..
                }
            )
        {
            self.words.completed_state
        } else {
            self.words.not_completed_state
        }
    }

    fn top(&self, flow: &mut Flow<'_>) {
        let (words, record) = (self.words, self.record);
        if let Some(shop) = &record.shop {
            flow.paragraph(&[(shop, Style::new(10.0).semi())]);
            flow.gap(2.0);
        }
        flow.heading(1, words.record_title);
        flow.paragraph(&[(&self.name(), Style::new(16.0).semi())]);
        let missing = match (record.name.is_some(), record.forgotten) {
            (true, _) => None,
            (false, true) => Some(words.forgotten),
            (false, false) => Some(words.no_details),
        };
        if let Some(missing) = missing {
            flow.paragraph(&[(missing, BODY)]);
        }
        flow.gap(8.0);
    }

    /// What the record is, at first glance: black for completed, a dashed frame for not.
    fn banner(&self, flow: &mut Flow<'_>) {
        let (words, record) = (self.words, self.record);
        let whole = record.is_completed();
        let headline = match (&record.state, whole) {
            (_, true) => words.completed,
            (RecordState::Open, _) => words.not_completed,
            (RecordState::Ended { outcome, .. }, false) => match outcome {
                Outcome::Completed => words.reopened,
                Outcome::Referred => words.referred,
                Outcome::Left => words.left,
            },
        };
        let mut line = String::new();
        if let RecordState::Ended {
            by,
            at,
            considered,
            still_all,
            ..
        } = &record.state
        {
            line = fill(
                words.completed_line,
                &[
                    ("who", &words.signer(by)),
                    ("when", &moment(*at)),
                    ("n", &considered.to_string()),
                ],
            );
            if !still_all {
                line = format!("{line} {}", words.added_since);
            }
        } else if record.gaps.is_empty() {
            line.push_str(words.nothing_open);
        }
        let required = record.skills.iter().filter(|skill| skill.required);
        let of = required.clone().count();
        let met = required
            .filter(|skill| {
                matches!(skill.state, CellState::Met | CellState::Exempt) && !skill.slipped_since
            })
            .count();
        let mut count = fill(
            words.skills_met,
            &[("n", &met.to_string()), ("of", &of.to_string())],
        );
        if !record.gaps.is_empty() {
            let open = fill(words.gaps_open, &[("n", &record.gaps.len().to_string())]);
            count = format!("{count} · {open}");
        }
        let ink = if whole { Ink::White } else { Ink::Black };
        let style = |size: f32| Style {
            ink,
            ..Style::new(size)
        };
        let text = if line.is_empty() {
            count
        } else {
            format!("{count}\n{line}")
        };
        let width = flow.width();
        let inner = width - mm(18.0);
        let set = flow.set();
        let headline = set.shape(headline, style(15.0).bold(), Some(inner), Align::Left);
        let text = set.shape(&text, style(9.5), Some(inner), Align::Left);
        let height = headline.height() + text.height() + 18.0;
        flow.keep(height);
        let (x, y) = (flow.left(), flow.y());
        let first = flow.node(Kind::Paragraph, None);
        let second = flow.node(Kind::Paragraph, None);
        let leaf = flow.leaf();
        if whole {
            leaf.fill(x, y, width, height, Ink::Black);
            leaf.mark(None, Mark::Tick, x + 8.0, y + 9.0, 26.0, Ink::White);
        } else {
            leaf.dashed_frame(x + 0.75, y + 0.75, width - 1.5, height - 1.5, 1.5);
            leaf.mark(None, Mark::Ring, x + 10.0, y + 10.0, 22.0, Ink::Black);
        }
        let left = x + mm(15.0);
        let below = y + 8.0 + headline.height() + 1.0;
        leaf.text(Some(first), headline, left, y + 8.0);
        leaf.text(Some(second), text, left, below);
        flow.down(height + 8.0);
    }

    fn facts(&self, flow: &mut Flow<'_>) {
        let (words, record) = (self.words, self.record);
        let none = || words.none_set.to_owned();
        let edition = |title: &str, n: u32| {
            format!("{title}, {}", fill(words.edition, &[("n", &n.to_string())]))
        };
        let mut facts = vec![
            (words.id, record.student.to_string()),
            (words.course, record.course.clone().unwrap_or_else(none)),
            (words.starts, record.starts.map_or_else(none, day)),
            (
                words.outline,
                record.outline.as_ref().map_or_else(none, |outline| {
                    format!(
                        "{}. {}",
                        edition(&outline.title, outline.edition),
                        outline.source
                    )
                }),
            ),
            (
                words.policy,
                record.policy.as_ref().map_or_else(none, |policy| {
                    let confirmed = fill(
                        words.policy_confirmed,
                        &[
                            ("n", &policy.confirmed.to_string()),
                            ("of", &policy.rules.to_string()),
                        ],
                    );
                    let mut said =
                        format!("{}; {confirmed}", edition(&policy.title, policy.edition));
                    for text in &policy.texts {
                        said = format!("{said}\n{}", words.text_read(text));
                    }
                    said
                }),
            ),
        ];
        if let Some(seen) = &record.adult {
            let said = fill(
                words.adult_seen,
                &[("who", &seen.by), ("when", &day(seen.on))],
            );
            facts.insert(0, (words.born, said));
        }
        if let Some(born) = record.born {
            facts.insert(0, (words.born, day(born)));
        }
        if let Some(from) = &record.referred_from {
            let known = record.known_there_as;
            let known = known.map(|id| format!(" ({id})")).unwrap_or_default();
            facts.push((words.referred_from, format!("{from}{known}")));
        }
        let staff: Vec<String> = record
            .staff
            .iter()
            .map(|(name, role)| format!("{name} ({})", words.role_of(*role)))
            .collect();
        if !staff.is_empty() {
            facts.push((words.staff, staff.join(", ")));
        }
        let rows = facts
            .into_iter()
            .map(|(label, value)| {
                Row::of(vec![
                    Cell::new(label, BODY.semi().grey()),
                    Cell::new(value, BODY),
                ])
            })
            .collect();
        flow.table(&Table {
            columns: vec![Column::left(18.0), Column::left(82.0)],
            head: Vec::new(),
            rows,
        });
    }

    fn open_items(&self, flow: &mut Flow<'_>) {
        let (words, record) = (self.words, self.record);
        if record.gaps.is_empty() {
            return;
        }
        flow.heading(2, words.still_open);
        let said = words.gaps(&record.gaps, self.outline, self.units);
        // Down the first column, then down the second, as a list is read.
        let half = said.len().div_ceil(2);
        let (first, second) = said.split_at(half);
        let rows = first
            .iter()
            .enumerate()
            .map(|(at, left)| {
                let mut cells = vec![Cell::new(left, BODY).marked(Mark::Box)];
                cells.push(second.get(at).map_or_else(
                    || Cell::new("\u{a0}", BODY),
                    |right| Cell::new(right, BODY).marked(Mark::Box),
                ));
                Row::of(cells).unruled()
            })
            .collect();
        flow.table(&Table {
            columns: vec![Column::left(50.0), Column::left(50.0)],
            head: Vec::new(),
            rows,
        });
    }

    fn papers(&self, flow: &mut Flow<'_>) {
        let (words, record) = (self.words, self.record);
        flow.heading(2, words.papers);
        if record.papers.is_empty() {
            flow.paragraph(&[(words.none_recorded, BODY)]);
        }
        let rows = record
            .papers
            .iter()
            .map(|line| {
                let mut result = words.result_of(line.what, line.result).to_owned();
                if let Some(figure) = line.figure {
                    result = format!("{result}, {}", words.clearance_figure(line.what, figure));
                }
                Row::of(vec![
                    Cell::new(words.clearance_of(line.what), BODY),
                    Cell::new(result, BODY.semi()),
                    Cell::new(words.signer(&line.by), BODY),
                    Cell::new(day(line.at.date_naive()), BODY),
                    Cell::new(line.until.map_or_else(|| "–".to_owned(), day), BODY),
                ])
            })
            .collect();
        flow.table(&Table {
            columns: vec![
                Column::left(23.0),
                Column::left(22.0),
                Column::left(29.0),
                Column::left(13.0),
                Column::left(13.0),
            ],
            head: heads(&[
                words.what,
                words.result,
                words.seen_by,
                words.date,
                words.until,
            ]),
            rows,
        });
        flow.gap(3.0);
        flow.paragraph(&[(words.papers_note, SMALL.grey())]);
    }
}
