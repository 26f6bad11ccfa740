//! Leaf: one page as a list of things to draw. Nothing is drawn until all pages are laid
//! out, so that each can say how many there are.

use std::rc::Rc;

use super::mark::Mark;
use super::text::{Ink, Shaped};
use super::tree::Node;

/// One page.
#[derive(Debug, Default)]
pub(crate) struct Leaf {
    pub(super) ops: Vec<Op>,
}

/// One thing to draw, and the part of the document it belongs to; decoration belongs to none.
#[derive(Debug)]
pub(super) struct Op {
    pub(super) node: Option<Node>,
    pub(super) draw: Draw,
}

#[derive(Debug)]
pub(super) enum Draw {
    /// Some lines of a text; `y` is where the top of the first of them goes.
    Lines {
        shaped: Rc<Shaped>,
        lines: std::ops::Range<usize>,
        x: f32,
        y: f32,
        /// Turned a quarter to the left about `x`, `y`: read from below upwards.
        turned: bool,
    },
    /// A filled box.
    Fill {
        x: f32,
        y: f32,
        width: f32,
        height: f32,
        ink: Ink,
    },
    /// The outline of a box.
    Frame {
        x: f32,
        y: f32,
        width: f32,
        height: f32,
        line: f32,
        dashed: bool,
        ink: Ink,
    },
    /// A straight line.
    Rule {
        from: (f32, f32),
        to: (f32, f32),
        line: f32,
        dashed: bool,
        ink: Ink,
    },
    /// A mark in a square.
    Mark {
        mark: Mark,
        x: f32,
        y: f32,
        size: f32,
        ink: Ink,
    },
}

impl Leaf {
    fn push(&mut self, node: Option<Node>, draw: Draw) {
        self.ops.push(Op { node, draw });
    }

    /// A whole text, its top left corner here.
    pub(crate) fn text(&mut self, node: Option<Node>, shaped: Shaped, x: f32, y: f32) {
        let lines = 0..shaped.lines.len();
        self.lines(node, &Rc::new(shaped), lines, x, y);
    }

    /// Some lines of a text.
    pub(crate) fn lines(
        &mut self,
        node: Option<Node>,
        shaped: &Rc<Shaped>,
        lines: std::ops::Range<usize>,
        x: f32,
        y: f32,
    ) {
        let shaped = Rc::clone(shaped);
        self.push(
            node,
            Draw::Lines {
                shaped,
                lines,
                x,
                y,
                turned: false,
            },
        );
    }

    /// A text read from below upwards, its first line's start here.
    pub(crate) fn turned(&mut self, node: Option<Node>, shaped: Shaped, x: f32, y: f32) {
        let lines = 0..shaped.lines.len();
        let shaped = Rc::new(shaped);
        self.push(
            node,
            Draw::Lines {
                shaped,
                lines,
                x,
                y,
                turned: true,
            },
        );
    }

    /// A filled box.
    pub(crate) fn fill(&mut self, x: f32, y: f32, width: f32, height: f32, ink: Ink) {
        self.push(
            None,
            Draw::Fill {
                x,
                y,
                width,
                height,
                ink,
            },
        );
    }

    /// The outline of a box.
    pub(crate) fn frame(&mut self, x: f32, y: f32, width: f32, height: f32, line: f32) {
        self.push(
            None,
            Draw::Frame {
                x,
                y,
                width,
                height,
                line,
                dashed: false,
                ink: Ink::Black,
            },
        );
    }

    /// The outline of a box, in dashes.
    pub(crate) fn dashed_frame(&mut self, x: f32, y: f32, width: f32, height: f32, line: f32) {
        self.push(
            None,
            Draw::Frame {
                x,
                y,
                width,
                height,
                line,
                dashed: true,
                ink: Ink::Black,
            },
        );
    }

    /// A line across.
    pub(crate) fn rule(&mut self, x: f32, y: f32, width: f32, line: f32, ink: Ink) {
        self.push(
            None,
            Draw::Rule {
                from: (x, y),
                to: (x + width, y),
                line,
                dashed: false,
                ink,
            },
        );
    }

    /// A line from point to point, in dashes if so wanted.
    pub(crate) fn line(&mut self, from: (f32, f32), to: (f32, f32), line: f32, dashed: bool) {
        self.push(
            None,
            Draw::Rule {
                from,
                to,
                line,
                dashed,
                ink: Ink::Black,
            },
        );
    }

    /// A mark; decoration beside its word, unless it belongs to a part.
    pub(crate) fn mark(
        &mut self,
        node: Option<Node>,
        mark: Mark,
        x: f32,
        y: f32,
        size: f32,
        ink: Ink,
    ) {
        self.push(
            node,
            Draw::Mark {
                mark,
                x,
                y,
                size,
                ink,
            },
        );
    }
}
