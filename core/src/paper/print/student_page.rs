//! The student's page on paper: one sheet to take home, drawn from the same pieces as the
//! file for a phone.

use super::picture::draw;
use super::{BODY, Press, SMALL, page_in};
use crate::course::Outline;
use crate::paper::pdf::{
    About, Cell, Column, Flow, Furniture, Ink, Mark, PdfError, Room, Row, Style, Table, Turn, mm,
};
use crate::paper::say::moment;
use crate::paper::source::nameless;
use crate::paper::student_page::StudentPage;
use crate::paper::student_page::said::{Piece, pieces};
use crate::paper::words::{Words, fill};

/// The width of a profile.
const PROFILE: f32 = mm(120.0);

impl Press {
    /// A student's page to take home. `outline` names the skills that are missing.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn student_page(
        &self,
        page: &StudentPage,
        outline: Option<&Outline>,
    ) -> Result<Vec<u8>, PdfError> {
        let words = self.words();
        let name = page.name.clone();
        let name = name.unwrap_or_else(|| nameless(&page.student, words));
        let heading: Vec<&str> = [page.shop.as_deref(), page.course.as_deref()]
            .into_iter()
            .flatten()
            .collect();
        let heading = heading.join(" · ");
        let pieces = pieces(page, outline, words, self.units);
        self.print(|set| {
            let mut flow = Flow::new(set, self.sheet, Turn::Upright, Room::OFFICE);
            super::top(&mut flow, words.page_title, &name);
            let mut rows = Vec::new();
            for piece in &pieces {
                if let Piece::Skill(done, name, says) = piece {
                    let mark = if *done { Mark::Done } else { Mark::Box };
                    let says = says.join(" · ");
                    let text = if says.is_empty() {
                        name.clone()
                    } else {
                        format!("{name}\n")
                    };
                    rows.push(Row::of(vec![
                        Cell::new(text, BODY.semi()).marked(mark).and(says, SMALL),
                    ]));
                    continue;
                }
                list(&mut flow, &mut rows);
                put(&mut flow, piece, words);
            }
            list(&mut flow, &mut rows);
            if flow.set().replaced() {
                flow.gap(3.0);
                flow.paragraph(&[(words.boxes_stand, SMALL)]);
            }
            let about = About {
                title: format!("{} · {name}", words.page_title),
                subject: words.page_subject.to_owned(),
                language: words.tag,
                made: page.now,
                identity: format!("student page {} {}", page.student, page.fingerprint),
            };
            let printed = fill(words.printed, &[("when", &moment(page.now))]);
            let furniture = Furniture {
                head: heading.clone(),
                state: String::new(),
                foot: format!("{} · {printed}", page.fingerprint.short()),
                page: page_in(words),
                band: None,
            };
            flow.finish(&about, Some(&furniture))
        })
    }
}

/// Puts the skills down that were gathered so far.
fn list(flow: &mut Flow<'_>, rows: &mut Vec<Row>) {
    if !rows.is_empty() {
        flow.table(&Table {
            columns: vec![Column::left(100.0)],
            head: Vec::new(),
            rows: std::mem::take(rows),
        });
    }
}

fn put(flow: &mut Flow<'_>, piece: &Piece, words: &Words) {
    match piece {
        Piece::Heading(text) => flow.heading(2, text),
        Piece::Line(text) => flow.paragraph(&[(text, BODY)]),
        Piece::Loud(text) => {
            flow.gap(2.0);
            flow.paragraph(&[(text, Style::new(12.0).bold())]);
            flow.gap(2.0);
        }
        Piece::Small(text) => {
            flow.paragraph(&[(text, SMALL)]);
            flow.gap(3.0);
        }
        Piece::Fact(title, text) | Piece::Digits(title, text) => {
            flow.gap(3.0);
            flow.paragraph(&[(title, SMALL.semi().grey())]);
            flow.paragraph(&[(text, BODY.semi())]);
            flow.gap(2.0);
        }
        // Gathered into a table.
        Piece::Skill(..) => {}
        Piece::Dive(head, says, chart) => {
            // A dive's picture stays with its head.
            let room = if chart.is_some() {
                PROFILE * 0.4 + 40.0
            } else {
                0.0
            };
            flow.keep(30.0 + room);
            flow.gap(5.0);
            flow.paragraph(&[(head, BODY.semi())]);
            flow.paragraph(&[(says, SMALL)]);
            if let Some(chart) = chart {
                draw(flow, chart, words, PROFILE);
            }
            let (x, y, width) = (flow.left(), flow.y(), flow.width());
            flow.leaf().rule(x, y, width, 0.3, Ink::Grey);
        }
    }
}
