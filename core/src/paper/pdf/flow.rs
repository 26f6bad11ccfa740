//! Flow: headings, paragraphs and tables one below the other, with page breaks where a
//! person would put them, and what each page carries at its edges.

use std::rc::Rc;

use super::PdfError;
use super::leaf::Leaf;
use super::sheet::{Sheet, Size, Turn, mm};
use super::text::{Align, Ink, Shaped, Style, Typesetter};
use super::tree::{Kind, Node, Tree};
use super::write::{About, write};

/// The white edges of a page, with room for what [`Furniture`] puts there.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Room {
    pub(crate) left: f32,
    pub(crate) top: f32,
    pub(crate) right: f32,
    pub(crate) bottom: f32,
}

impl Room {
    /// For the office: punch holes on the left, head and foot lines.
    pub(crate) const OFFICE: Self = Self {
        left: mm(20.0),
        top: mm(18.0),
        right: mm(15.0),
        bottom: mm(18.0),
    };
    /// For a slate: every millimetre counts.
    pub(crate) const SLATE: Self = Self {
        left: mm(6.0),
        top: mm(6.0),
        right: mm(6.0),
        bottom: mm(6.0),
    };
}

/// What every page carries.
#[derive(Debug, Clone)]
pub(crate) struct Furniture {
    /// Left above.
    pub(crate) head: String,
    /// Right above: what must be seen on every page.
    pub(crate) state: String,
    /// Left below.
    pub(crate) foot: String,
    /// "Page {n} of {of}".
    pub(crate) page: fn(usize, usize) -> String,
    /// A band down the outer edge, black for what is complete, hatched for what is not.
    pub(crate) band: Option<Band>,
}

/// How the band down the edge looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Band {
    /// Solid black.
    Whole,
    /// Slanted strokes.
    Hatched,
}

/// Pages being filled.
pub(crate) struct Flow<'a> {
    pub(super) set: &'a mut Typesetter,
    size: Size,
    room: Room,
    leaves: Vec<Leaf>,
    pub(super) tree: Tree,
    y: f32,
}

impl<'a> Flow<'a> {
    pub(crate) fn new(set: &'a mut Typesetter, sheet: Sheet, turn: Turn, room: Room) -> Self {
        Self {
            set,
            size: sheet.size(turn),
            room,
            leaves: vec![Leaf::default()],
            tree: Tree::default(),
            y: room.top,
        }
    }

    /// The typesetter, for shaping by hand.
    pub(crate) const fn set(&mut self) -> &mut Typesetter {
        self.set
    }

    /// Where the text begins, from the left.
    pub(crate) const fn left(&self) -> f32 {
        self.room.left
    }

    /// How far down the page is filled.
    pub(crate) const fn y(&self) -> f32 {
        self.y
    }

    /// Width between the edges.
    pub(crate) const fn width(&self) -> f32 {
        self.size.width - self.room.left - self.room.right
    }

    /// Height between the edges of a whole page.
    pub(crate) const fn height(&self) -> f32 {
        self.size.height - self.room.top - self.room.bottom
    }

    /// Height that is left on this page.
    pub(crate) const fn left_over(&self) -> f32 {
        self.size.height - self.room.bottom - self.y
    }

    /// The page being filled.
    pub(crate) fn leaf(&mut self) -> &mut Leaf {
        if self.leaves.is_empty() {
            self.leaves.push(Leaf::default());
        }
        let last = self.leaves.len() - 1;
        #[expect(clippy::indexing_slicing, reason = "there is always one page")]
        &mut self.leaves[last]
    }

    /// A part of the document.
    pub(crate) fn node(&mut self, kind: Kind, within: Option<Node>) -> Node {
        self.tree.add(kind, within)
    }

    /// A new page.
    pub(crate) fn fresh(&mut self) {
        self.leaves.push(Leaf::default());
        self.y = self.room.top;
    }

    /// A new page, unless so much is left on this one or a whole page would not hold it.
    pub(crate) fn keep(&mut self, height: f32) {
        if height > self.left_over() && self.y > self.room.top && height <= self.height() {
            self.fresh();
        }
    }

    /// White, unless the page has just begun.
    pub(crate) fn gap(&mut self, height: f32) {
        if self.y > self.room.top {
            self.y += height;
        }
    }

    /// Goes down by so much.
    pub(crate) const fn down(&mut self, height: f32) {
        self.y += height;
    }

    /// A heading, with room for something below it.
    pub(crate) fn heading(&mut self, level: u8, words: &str) {
        let (size, before, after) = match level {
            1 => (21.0, 0.0, 3.0),
            2 => (12.5, 15.0, 4.0),
            _ => (10.0, 8.0, 2.0),
        };
        let width = self.width();
        let style = Style::new(size).bold();
        let shaped = self.set.shape(words, style, Some(width), Align::Left);
        self.keep(before + shaped.height() + after + 48.0);
        self.gap(before);
        let node = self.node(Kind::Heading(level, words.to_owned()), None);
        let (x, y, height) = (self.left(), self.y, shaped.height());
        self.leaf().text(Some(node), shaped, x, y);
        self.down(height);
        if level == 2 {
            let y = self.y + 1.0;
            self.leaf().rule(x, y, width, 0.8, Ink::Black);
            self.down(2.0);
        }
        self.down(after);
    }

    /// A paragraph; it goes on over the page's end line by line.
    pub(crate) fn paragraph(&mut self, pieces: &[(&str, Style)]) {
        let width = self.width();
        let shaped = self.set.shape_pieces(pieces, Some(width), Align::Left);
        let node = self.node(Kind::Paragraph, None);
        let x = self.left();
        self.run_on(node, shaped, x);
    }

    /// Puts a text's lines down, over as many pages as it takes; two lines at least stay
    /// together where there are two.
    fn run_on(&mut self, node: Node, shaped: Shaped, x: f32) {
        let shaped = Rc::new(shaped);
        let mut from = 0;
        while from < shaped.lines.len() {
            let rest = shaped.lines.len() - from;
            let fits = lines_in(&shaped, from, self.left_over());
            let lonely = fits == 0 || (fits == 1 && rest > 1);
            if lonely && self.y > self.room.top {
                self.fresh();
                continue;
            }
            let to = from + fits.max(1);
            let y = self.y;
            let height = height_of(&shaped, from, to);
            self.leaf().lines(Some(node), &shaped, from..to, x, y);
            self.down(height);
            from = to;
        }
    }

    /// Puts the edges on and writes the document.
    ///
    /// # Errors
    /// [`PdfError`].
    pub(crate) fn finish(
        mut self,
        about: &About,
        furniture: Option<&Furniture>,
    ) -> Result<Vec<u8>, PdfError> {
        if let Some(furniture) = furniture {
            self.furnish(furniture);
        }
        write(about, self.size, &self.leaves, &self.tree)
    }

    fn furnish(&mut self, furniture: &Furniture) {
        let of = self.leaves.len();
        let mut leaves = std::mem::take(&mut self.leaves);
        let (size, room, width) = (self.size, self.room, self.width());
        let small = Style::new(8.0).grey();
        for (at, leaf) in leaves.iter_mut().enumerate() {
            let state = self.set.shape(
                &furniture.state,
                Style::new(8.5).bold(),
                Some(width * 0.4),
                Align::Right,
            );
            let head_width = width - state.width() - 12.0;
            let head = one_line(self.set, &furniture.head, small, head_width);
            let y = room.top - 20.0;
            leaf.text(None, head, room.left, y);
            leaf.text(None, state, room.left + width * 0.6, y);
            let page = (furniture.page)(at + 1, of);
            let page = self.set.shape(&page, small, None, Align::Left);
            let x = room.left + width - page.width();
            let y = size.height - room.bottom + 10.0;
            let foot = one_line(
                self.set,
                &furniture.foot,
                small,
                width - page.width() - 12.0,
            );
            leaf.rule(room.left, y - 3.0, width, 0.4, Ink::Grey);
            leaf.text(None, foot, room.left, y);
            leaf.text(None, page, x, y);
            match furniture.band {
                Some(Band::Whole) => {
                    leaf.fill(0.0, 0.0, mm(5.0), size.height, Ink::Black);
                }
                Some(Band::Hatched) => {
                    let mut y = 0.0;
                    while y < size.height + mm(5.0) {
                        leaf.line((0.0, y), (mm(5.0), y - mm(5.0)), 1.2, false);
                        y += 9.0;
                    }
                }
                None => {}
            }
        }
        self.leaves = leaves;
    }
}

/// A text on one line: what does not fit is left off with an ellipsis. Only for what stands
/// in full elsewhere on the document.
pub(crate) fn one_line(set: &mut Typesetter, text: &str, style: Style, width: f32) -> Shaped {
    let whole = set.shape(text, style, None, Align::Left);
    if whole.width() <= width {
        return whole;
    }
    let mut cut: Vec<char> = text.chars().collect();
    while !cut.is_empty() {
        cut.truncate(cut.len().saturating_sub(1 + cut.len() / 16));
        let shorter: String = cut.iter().collect::<String>().trim_end().to_owned() + "…";
        let shaped = set.shape(&shorter, style, None, Align::Left);
        if shaped.width() <= width {
            return shaped;
        }
    }
    set.shape("…", style, None, Align::Left)
}

/// How many lines from this one on go into a height.
pub(super) fn lines_in(shaped: &Shaped, from: usize, height: f32) -> usize {
    let top = shaped.lines.get(from).map_or(0.0, |line| line.top);
    shaped
        .lines
        .iter()
        .skip(from)
        .take_while(|line| line.bottom - top <= height + 0.01)
        .count()
}

/// The height of these lines.
pub(super) fn height_of(shaped: &Shaped, from: usize, to: usize) -> f32 {
    let top = shaped.lines.get(from).map_or(0.0, |line| line.top);
    let last = to.checked_sub(1).and_then(|last| shaped.lines.get(last));
    last.map_or(0.0, |line| line.bottom - top)
}
