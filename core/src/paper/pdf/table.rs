//! Table: rows that stay whole where they can, a head that comes again on each page, and
//! rows that belong together kept together.

use std::rc::Rc;

use super::flow::{Flow, height_of, lines_in};
use super::mark::Mark;
use super::text::{Align, Ink, Shaped, Style};
use super::tree::{Kind, Node};

const PAD_X: f32 = 3.0;
const PAD_Y: f32 = 2.4;

/// A column: its share of the width, and where its texts keep to.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Column {
    pub(crate) share: f32,
    pub(crate) align: Align,
}

impl Column {
    pub(crate) const fn left(share: f32) -> Self {
        Self {
            share,
            align: Align::Left,
        }
    }

    pub(crate) const fn right(share: f32) -> Self {
        Self {
            share,
            align: Align::Right,
        }
    }
}

/// What stands in a cell.
#[derive(Debug, Clone, Default)]
pub(crate) struct Cell {
    pieces: Vec<(String, Style)>,
    mark: Option<Mark>,
    span: usize,
    says: Option<(String, f32)>,
}

impl Cell {
    pub(crate) fn new(text: impl Into<String>, style: Style) -> Self {
        Self {
            pieces: vec![(text.into(), style)],
            mark: None,
            span: 1,
            says: None,
        }
    }

    /// A sign alone in the middle of a cell, with words for those who cannot see it.
    pub(crate) fn sign(mark: Mark, says: impl Into<String>, size: f32) -> Self {
        Self {
            pieces: Vec::new(),
            mark: Some(mark),
            span: 1,
            says: Some((says.into(), size)),
        }
    }

    /// Adds a piece in another style.
    pub(crate) fn and(mut self, text: impl Into<String>, style: Style) -> Self {
        self.pieces.push((text.into(), style));
        self
    }

    /// Puts a mark before the text.
    pub(crate) const fn marked(mut self, mark: Mark) -> Self {
        self.mark = Some(mark);
        self
    }

    /// Lets it reach over so many columns.
    pub(crate) const fn over(mut self, columns: usize) -> Self {
        self.span = columns;
        self
    }

    fn size(&self) -> f32 {
        match &self.says {
            Some((_, size)) => *size,
            None => self.pieces.first().map_or(9.0, |(_, style)| style.size),
        }
    }
}

/// A row.
#[derive(Debug, Clone, Default)]
pub(crate) struct Row {
    cells: Vec<Cell>,
    band: bool,
    with_next: bool,
    plain: bool,
}

impl Row {
    pub(crate) const fn of(cells: Vec<Cell>) -> Self {
        Self {
            cells,
            band: false,
            with_next: false,
            plain: false,
        }
    }

    /// On a pale band.
    pub(crate) const fn banded(mut self) -> Self {
        self.band = true;
        self
    }

    /// Never the last on a page.
    pub(crate) const fn with_next(mut self) -> Self {
        self.with_next = true;
        self
    }

    /// Without a rule below.
    pub(crate) const fn unruled(mut self) -> Self {
        self.plain = true;
        self
    }
}

/// A table.
#[derive(Debug, Clone, Default)]
pub(crate) struct Table {
    pub(crate) columns: Vec<Column>,
    /// The columns' names; empty for a table of names and values.
    pub(crate) head: Vec<String>,
    pub(crate) rows: Vec<Row>,
}

struct Laid {
    shaped: Rc<Shaped>,
    mark: Option<Mark>,
    mark_size: f32,
    x: f32,
    span: usize,
    says: Option<String>,
}

struct LaidRow {
    cells: Vec<Laid>,
    height: f32,
    band: bool,
    with_next: bool,
    plain: bool,
}

impl Flow<'_> {
    /// Puts a table down.
    pub(crate) fn table(&mut self, table: &Table) {
        if table.rows.is_empty() {
            return;
        }
        let node = self.node(Kind::Table, None);
        let head = (!table.head.is_empty()).then(|| {
            let cells = table
                .head
                .iter()
                .map(|name| Cell::new(name.clone(), Style::new(7.5).semi().grey()))
                .collect();
            self.lay(&table.columns, &Row::of(cells))
        });
        let rows: Vec<LaidRow> = table
            .rows
            .iter()
            .map(|row| self.lay(&table.columns, row))
            .collect();
        let head_height = head.as_ref().map_or(0.0, |head| head.height);
        let first = chain(&rows, 0);
        self.keep(head_height + first.min(self.height() - head_height));
        if let Some(head) = &head {
            self.put_head(head, Some(node));
        }
        for (at, row) in rows.iter().enumerate() {
            let needed = chain(&rows, at);
            let body = self.height() - head_height;
            let needed = if needed > body { row.height } else { needed };
            let starts_chain = at == 0 || rows.get(at - 1).is_none_or(|before| !before.with_next);
            if needed > self.left_over()
                && needed <= body
                && (starts_chain || row.height > self.left_over())
            {
                self.fresh();
                if let Some(head) = &head {
                    self.put_head(head, None);
                }
            }
            self.put(row, node, head.as_ref());
        }
    }

    fn lay(&mut self, columns: &[Column], row: &Row) -> LaidRow {
        let whole: f32 = columns.iter().map(|column| column.share).sum();
        let width = self.width();
        let mut x = self.left();
        let mut column = 0;
        let mut cells = Vec::new();
        let mut height: f32 = 0.0;
        for cell in &row.cells {
            let span = cell.span.max(1);
            let share: f32 = columns
                .iter()
                .skip(column)
                .take(span)
                .map(|column| column.share)
                .sum();
            let align = columns
                .get(column)
                .map_or(Align::Left, |column| column.align);
            let across = width * share / whole;
            let mark_size = cell.mark.map_or(0.0, |_| cell.size() * 1.05);
            let beside = if cell.mark.is_some() {
                mark_size + 4.0
            } else {
                0.0
            };
            let pieces: Vec<(&str, Style)> = cell
                .pieces
                .iter()
                .map(|(text, style)| (text.as_str(), *style))
                .collect();
            let room = (across - 2.0 * PAD_X - beside).max(8.0);
            let shaped = if pieces.is_empty() {
                Shaped::empty()
            } else {
                self.set.shape_pieces(&pieces, Some(room), align)
            };
            height = height.max(shaped.height()).max(mark_size);
            let says = cell.says.as_ref().map(|(says, _)| says.clone());
            let left = match (&says, align) {
                (Some(_), Align::Centre) => x + (across - mark_size) / 2.0,
                (Some(_), Align::Right) => x + across - mark_size - PAD_X,
                (Some(_), Align::Left) | (None, _) => x + PAD_X,
            };
            cells.push(Laid {
                shaped: Rc::new(shaped),
                mark: cell.mark,
                mark_size,
                x: left,
                span,
                says,
            });
            x += across;
            column += span;
        }
        LaidRow {
            cells,
            height: height + 2.0 * PAD_Y,
            band: row.band,
            with_next: row.with_next,
            plain: row.plain,
        }
    }

    fn put_head(&mut self, head: &LaidRow, table: Option<Node>) {
        let row = table.map(|table| self.node(Kind::Row, Some(table)));
        let y = self.y();
        for cell in &head.cells {
            let node = row.map(|row| self.node(Kind::ColumnHead, Some(row)));
            let lines = 0..cell.shaped.line_count();
            self.leaf()
                .lines(node, &cell.shaped, lines, cell.x, y + PAD_Y);
        }
        self.down(head.height);
        let (x, y, width) = (self.left(), self.y(), self.width());
        self.leaf().rule(x, y, width, 0.6, Ink::Black);
    }

    /// Puts a row down; one that is higher than a whole page goes on line by line.
    fn put(&mut self, row: &LaidRow, table: Node, head: Option<&LaidRow>) {
        let node = self.node(Kind::Row, Some(table));
        let names_its_row = row.cells.len() > 1;
        let nodes: Vec<Node> = row
            .cells
            .iter()
            .enumerate()
            .map(|(at, cell)| {
                let kind = if at == 0 && names_its_row && cell.span == 1 {
                    Kind::RowHead
                } else {
                    Kind::Cell(u16::try_from(cell.span).unwrap_or(1))
                };
                self.node(kind, Some(node))
            })
            .collect();
        let mut from: Vec<usize> = row.cells.iter().map(|_| 0).collect();
        let mut first = true;
        loop {
            let room = self.left_over() - 2.0 * PAD_Y;
            let to: Vec<usize> = row
                .cells
                .iter()
                .zip(&from)
                .map(|(cell, from)| from + lines_in(&cell.shaped, *from, room))
                .collect();
            let height = row
                .cells
                .iter()
                .zip(from.iter().zip(&to))
                .map(|(cell, (from, to))| {
                    let mark = if first { cell.mark_size } else { 0.0 };
                    height_of(&cell.shaped, *from, *to).max(mark)
                })
                .fold(0.0, f32::max)
                + 2.0 * PAD_Y;
            let (x, y, width) = (self.left(), self.y(), self.width());
            if row.band {
                self.leaf().fill(x, y, width, height, Ink::Pale);
            }
            for (place, cell) in row.cells.iter().enumerate() {
                let node = nodes.get(place).copied();
                let (from, to) = (
                    from.get(place).copied().unwrap_or(0),
                    to.get(place).copied().unwrap_or(0),
                );
                let mut left = cell.x;
                if let Some(mark) = cell.mark {
                    if first {
                        let size = cell.mark_size;
                        let figure = cell
                            .says
                            .as_ref()
                            .map(|says| self.node(Kind::Figure(says.clone()), node));
                        let top = y + PAD_Y + size * 0.08;
                        self.leaf().mark(figure, mark, left, top, size, Ink::Black);
                    }
                    left += cell.mark_size + 4.0;
                }
                if to > from {
                    self.leaf()
                        .lines(node, &cell.shaped, from..to, left, y + PAD_Y);
                }
            }
            self.down(height);
            let done = row
                .cells
                .iter()
                .zip(&to)
                .all(|(cell, to)| *to >= cell.shaped.line_count());
            let stuck = to == from && !first;
            from = to;
            first = false;
            if done || stuck {
                break;
            }
            self.fresh();
            if let Some(head) = head {
                self.put_head(head, None);
            }
        }
        if !row.plain {
            let (x, y, width) = (self.left(), self.y(), self.width());
            self.leaf().rule(x, y, width, 0.3, Ink::Grey);
        }
    }
}

/// The height of a row with all that must follow it on the same page.
fn chain(rows: &[LaidRow], at: usize) -> f32 {
    let mut height = 0.0;
    for row in rows.iter().skip(at) {
        height += row.height;
        if !row.with_next {
            break;
        }
    }
    height
}
