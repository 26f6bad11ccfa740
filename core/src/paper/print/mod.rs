//! Print: facts onto paper. One file a kind of paper; each takes facts and gives bytes.

mod activity;
mod alarm;
mod briefing;
mod chase;
mod debrief;
mod emergency;
mod incident;
mod job;
mod kit;
mod picture;
mod record;
mod season;
mod session;
mod share;
mod slate;
mod student_page;
mod summary;
mod teams;

use std::sync::{Arc, Mutex, PoisonError};

pub use job::{Go, JobStep};
pub use slate::SlateSize;

use super::pdf::{About, Flow, Fonts, Furniture, Mark, PdfError, Sheet, Style, Typesetter};
use super::say::moment;
use super::source::Source;
use super::words::{Language, Words, fill};
use crate::course::StudentId;
use crate::standing::CellState;
use crate::view::Units;

/// What papers are printed with. Keep one: the next paper is printed with what the last one
/// taught it of fonts and words. A clone prints with the same.
#[derive(Clone)]
pub struct Press {
    fonts: Fonts,
    plain: Fonts,
    /// Typesetters that are not at work.
    idle: Arc<Mutex<Vec<Typesetter>>>,
    /// The office paper; slates have sizes of their own.
    pub sheet: Sheet,
    /// In which units.
    pub units: Units,
    /// In which language.
    pub language: Language,
}

const BODY: Style = Style::new(9.0);
const SMALL: Style = Style::new(8.0);

impl Press {
    /// A press with these fonts, set to A4, metric and English.
    ///
    /// # Errors
    /// [`PdfError::Fonts`].
    pub fn new(fonts: Fonts) -> Result<Self, PdfError> {
        Ok(Self {
            fonts,
            plain: Fonts::bundled()?,
            idle: Arc::default(),
            sheet: Sheet::default(),
            units: Units::default(),
            language: Language::default(),
        })
    }

    fn words(&self) -> &'static Words {
        self.language.words()
    }

    /// Prints; and once more with the bundled fonts alone if the engine will not have one of
    /// the device's, whose licence may forbid embedding. A box is better than no paper.
    fn print(
        &self,
        run: impl Fn(&mut Typesetter) -> Result<Vec<u8>, PdfError>,
    ) -> Result<Vec<u8>, PdfError> {
        let tag = self.words().tag;
        let idle = || self.idle.lock().unwrap_or_else(PoisonError::into_inner);
        let found = {
            let mut idle = idle();
            let at = idle.iter().position(|set| set.language() == tag);
            at.map(|at| idle.swap_remove(at))
        };
        let mut set = found.unwrap_or_else(|| Typesetter::new(&self.fonts, tag));
        set.begin();
        match run(&mut set) {
            Err(PdfError::Engine { .. }) => run(&mut Typesetter::new(&self.plain, tag)),
            done => {
                idle().push(set);
                done
            }
        }
    }
}

impl std::fmt::Debug for Press {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Press")
            .field("sheet", &self.sheet)
            .field("units", &self.units)
            .field("language", &self.language)
            .finish_non_exhaustive()
    }
}

fn page_in(words: &'static Words) -> fn(usize, usize) -> String {
    // One function a language, since what a page carries is made after the pages.
    if words.tag == "de" {
        |n, of| fill(Language::German.words().page, &numbers(n, of).each())
    } else {
        |n, of| fill(Language::English.words().page, &numbers(n, of).each())
    }
}

struct Numbers(String, String);

impl Numbers {
    fn each(&self) -> [(&str, &str); 2] {
        [("n", &self.0), ("of", &self.1)]
    }
}

fn numbers(n: usize, of: usize) -> Numbers {
    Numbers(n.to_string(), of.to_string())
}

/// The sign of a state.
const fn sign(state: CellState, slipped: bool) -> Mark {
    match state {
        CellState::Open => Mark::Box,
        CellState::Trying => Mark::Dot,
        CellState::Shown => Mark::TickInBox,
        CellState::Met if slipped => Mark::Slipped,
        CellState::Met => Mark::Done,
        CellState::TwoViews => Mark::TwoViews,
        CellState::Exempt => Mark::Bar,
    }
}

/// Shop and course, as they stand on every page.
fn heading_of(source: &Source<'_>) -> String {
    let shop = source.shop.name().unwrap_or_default();
    let course = source.course.opened().map_or("", |opened| &opened.title);
    format!("{shop} · {course}")
}

/// What every office paper carries.
fn furniture(source: &Source<'_>, words: &'static Words, state: &str) -> Furniture {
    Furniture {
        head: heading_of(source),
        state: state.to_owned(),
        foot: fill(words.printed, &[("when", &moment(source.now))]),
        page: page_in(words),
        band: None,
    }
}

fn about(source: &Source<'_>, words: &Words, title: &str, subject: &str) -> About {
    About {
        title: format!("{title} · {}", heading_of(source)),
        subject: subject.to_owned(),
        language: words.tag,
        made: source.now,
        identity: format!("{title} {} {}", source.ledger.id(), source.now.to_rfc3339()),
    }
}

/// The top of an office paper.
fn top(flow: &mut Flow<'_>, title: &str, line: &str) {
    flow.heading(1, title);
    if !line.is_empty() {
        flow.paragraph(&[(line, Style::new(10.5).grey())]);
    }
    flow.gap(6.0);
}

/// A sentence at the foot of a paper, and what a box means if there is one.
fn close(flow: &mut Flow<'_>, words: &Words, caution: &str) {
    flow.gap(10.0);
    if flow.set().replaced() {
        flow.paragraph(&[(words.boxes_stand, SMALL)]);
        flow.gap(3.0);
    }
    flow.paragraph(&[(caution, SMALL.semi())]);
}

/// Column heads.
fn heads(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

/// A name, and the end of the id beside it where a character has no shape on this device:
/// a row of boxes is nobody.
fn legible(set: &mut Typesetter, name: &str, student: &StudentId) -> String {
    if set.can_print(name) {
        return name.to_owned();
    }
    let id = student.to_string();
    let end: String = id.chars().skip(id.len().saturating_sub(5)).collect();
    format!("{name} ({end})")
}
