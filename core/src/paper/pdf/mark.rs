//! Mark: the small signs that stand beside a word, told apart by shape alone.

/// A sign in a square. Each stands beside its word or is explained on the same sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mark {
    /// An empty box: not tried, or to be ticked.
    Box,
    /// A box with a dot: tried.
    Dot,
    /// A box with a tick in it: shown, and waiting for an instructor.
    TickInBox,
    /// A black box with a white tick: met.
    Done,
    /// A black box with a white arrow down: met, and a later try was not.
    Slipped,
    /// A box half black along the diagonal: two views.
    TwoViews,
    /// A box with a bar: not asked.
    Bar,
    /// A tick.
    Tick,
    /// A ring.
    Ring,
    /// A cross.
    Cross,
    /// A dash.
    Dash,
}

/// A shape of a mark, in a square from 0 to 1.
pub(super) enum Shape {
    /// Filled with the mark's ink.
    Filled(&'static [(f32, f32)]),
    /// Filled with the paper's white.
    Cut(&'static [(f32, f32)]),
    /// Drawn as a line, closed if so said.
    Stroke(&'static [(f32, f32)], bool),
    /// Drawn as a white line on black.
    White(&'static [(f32, f32)]),
}

const BOX: &[(f32, f32)] = &[(0.08, 0.08), (0.92, 0.08), (0.92, 0.92), (0.08, 0.92)];
const FULL: &[(f32, f32)] = &[(0.03, 0.03), (0.97, 0.03), (0.97, 0.97), (0.03, 0.97)];
const TICK: &[(f32, f32)] = &[(0.24, 0.53), (0.43, 0.73), (0.78, 0.29)];
const DOT: &[(f32, f32)] = &[
    (0.50, 0.34),
    (0.61, 0.39),
    (0.66, 0.50),
    (0.61, 0.61),
    (0.50, 0.66),
    (0.39, 0.61),
    (0.34, 0.50),
    (0.39, 0.39),
];
const RING: &[(f32, f32)] = &[
    (0.50, 0.18),
    (0.66, 0.22),
    (0.78, 0.34),
    (0.82, 0.50),
    (0.78, 0.66),
    (0.66, 0.78),
    (0.50, 0.82),
    (0.34, 0.78),
    (0.22, 0.66),
    (0.18, 0.50),
    (0.22, 0.34),
    (0.34, 0.22),
];

impl Mark {
    pub(super) const fn shapes(self) -> &'static [Shape] {
        match self {
            Self::Box => &[Shape::Stroke(BOX, true)],
            Self::Dot => &[Shape::Stroke(BOX, true), Shape::Filled(DOT)],
            Self::TickInBox => &[Shape::Stroke(BOX, true), Shape::Stroke(TICK, false)],
            Self::Done => &[Shape::Filled(FULL), Shape::White(TICK)],
            Self::Slipped => &[
                Shape::Filled(FULL),
                Shape::Cut(&[(0.22, 0.40), (0.78, 0.40), (0.50, 0.80)]),
            ],
            Self::TwoViews => &[
                Shape::Stroke(BOX, true),
                Shape::Filled(&[(0.92, 0.08), (0.92, 0.92), (0.08, 0.92)]),
            ],
            Self::Bar => &[
                Shape::Stroke(BOX, true),
                Shape::Stroke(&[(0.25, 0.5), (0.75, 0.5)], false),
            ],
            Self::Tick => &[Shape::Stroke(TICK, false)],
            Self::Ring => &[Shape::Stroke(RING, true)],
            Self::Cross => &[
                Shape::Stroke(&[(0.25, 0.25), (0.75, 0.75)], false),
                Shape::Stroke(&[(0.75, 0.25), (0.25, 0.75)], false),
            ],
            Self::Dash => &[Shape::Stroke(&[(0.22, 0.5), (0.78, 0.5)], false)],
        }
    }
}
