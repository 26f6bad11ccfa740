//! Tree: what the parts of a page are, for a reader that cannot see it.

/// What a part is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A heading, 1 the highest; its words are kept for the outline.
    Heading(u8, String),
    /// A paragraph.
    Paragraph,
    /// A table.
    Table,
    /// A row.
    Row,
    /// A cell that names its column.
    ColumnHead,
    /// A cell that names its row.
    RowHead,
    /// Any other cell, over so many columns.
    Cell(u16),
    /// A drawing that means something, with words for it.
    Figure(String),
}

/// A part's place in the tree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Node(pub(super) usize);

/// The parts of a document, in reading order.
#[derive(Debug, Default)]
pub(crate) struct Tree {
    pub(super) parts: Vec<Part>,
}

#[derive(Debug)]
pub(super) struct Part {
    pub(super) kind: Kind,
    pub(super) within: Option<usize>,
}

impl Tree {
    /// Adds a part, within another or at the top.
    pub(crate) fn add(&mut self, kind: Kind, within: Option<Node>) -> Node {
        self.parts.push(Part {
            kind,
            within: within.map(|node| node.0),
        });
        Node(self.parts.len() - 1)
    }
}
