//! Pdf: pages out of words and rules. A small layout of our own over `parley` (shaping,
//! bidirectional text, line breaking, fonts) and `krilla` (PDF/A and tagging, checked as it
//! is written).
//!
//! It knows type, boxes and pages, and nothing of students or skills: those come from
//! [`super::record`] and its neighbours. Lengths are points, 72 to the inch, from the top
//! left corner of the sheet.

mod flow;
mod font;
mod leaf;
mod mark;
mod opened;
mod sheet;
mod table;
mod text;
mod tree;
mod write;

pub(crate) use flow::{Band, Flow, Furniture, Room, one_line};
pub use font::Fonts;
pub(crate) use mark::Mark;
pub(crate) use sheet::mm;
pub use sheet::{Sheet, Turn};
pub(crate) use table::{Cell, Column, Row, Table};
pub(crate) use text::{Align, Ink, Shaped, Style, Typesetter};
pub(crate) use tree::Kind;
pub(crate) use write::About;

/// A document could not be made. Nothing of it was written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PdfError {
    /// A bundled font cannot be read: the program was built wrong.
    #[error("the fonts that this program carries cannot be read")]
    Fonts,
    /// The engine refused the document.
    #[error("could not write the document: {detail}")]
    Engine {
        /// What the engine said; it names fonts and glyph numbers, never a text.
        detail: String,
    },
}
