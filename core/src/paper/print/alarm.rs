//! The action cards on paper: what is done when something goes wrong, to be pinned up.

use chrono::{DateTime, FixedOffset};

use super::{Press, SMALL, page_in};
use crate::paper::alarm::alarm_cards;
use crate::paper::pdf::{
    About, Cell, Column, Flow, Furniture, PdfError, Room, Row, Style, Table, Turn,
};
use crate::paper::say::moment;
use crate::paper::words::fill;

impl Press {
    /// Every action card, one below the other.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn alarm_cards(&self, now: DateTime<FixedOffset>) -> Result<Vec<u8>, PdfError> {
        let words = self.words();
        let cards = alarm_cards(self.language);
        self.print(|set| {
            let mut flow = Flow::new(set, self.sheet, Turn::Upright, Room::OFFICE);
            super::top(&mut flow, words.alarm_cards, words.alarm_first);
            for card in &cards {
                flow.heading(2, &card.title);
                let steps = (1..).zip(&card.steps).map(|(number, step): (usize, _)| {
                    Row::of(vec![
                        Cell::new(number.to_string(), Style::new(12.0).bold()),
                        Cell::new(step, Style::new(11.0).semi()),
                    ])
                    .with_next()
                });
                flow.table(&Table {
                    columns: vec![Column::right(6.0), Column::left(94.0)],
                    head: Vec::new(),
                    rows: steps.collect(),
                });
                let source = fill(words.alarm_source, &[("what", &card.source)]);
                flow.gap(2.0);
                flow.paragraph(&[(&source, SMALL.grey())]);
            }
            super::close(&mut flow, words, words.alarm_first);
            let about = About {
                title: words.alarm_cards.to_owned(),
                subject: words.alarm_first.to_owned(),
                language: words.tag,
                made: now,
                identity: format!("alarm cards {}", words.tag),
            };
            let furniture = Furniture {
                head: words.alarm_cards.to_owned(),
                state: String::new(),
                foot: fill(words.printed, &[("when", &moment(now))]),
                page: page_in(words),
                band: None,
            };
            flow.finish(&about, Some(&furniture))
        })
    }
}
