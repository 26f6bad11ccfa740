//! Chart: figures as a picture, worked out to the last point, so that a screen, a page and a
//! file draw the same one.
//!
//! A chart is a box of [`WIDTH`] by [`HEIGHT`] with the origin at the top left. Lines differ by
//! what they are and not by colour alone: each says which it is, so that it can be read in black
//! and white, and every figure that the picture shows stands beside it as a [`ChartFact`], for
//! whoever has it read out. It promises nothing: it shows what its figures say.

mod asked;
mod gas;
mod minutes;
mod no_stop;
mod profile;
mod scale;
mod tries;
mod way;

pub use asked::ChartOf;

use super::Figure;

/// The width of the box.
pub const WIDTH: u16 = 1_000;
/// Its height.
pub const HEIGHT: u16 = 400;

/// What a chart shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum), uniffi(name = "ChartShows"))]
pub enum Shows {
    /// The depth of a dive over its time.
    Profile,
    /// The pressure in a cylinder over the time at the planned depth.
    Gas,
    /// The no-stop time at one depth over the clock.
    NoStop,
    /// Skill by skill, how many have met it by which try.
    Tries,
    /// Required skills that one student has met, over the days of the course.
    Way,
    /// Skill by skill, how long its lines took of the minutes planned for them.
    Minutes,
}

/// A picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    /// What it shows.
    pub shows: Shows,
    /// From left to right.
    pub across: Vec<Tick>,
    /// From top to bottom.
    pub down: Vec<Tick>,
    /// The lines.
    pub lines: Vec<ChartLine>,
    /// The bars, from top to bottom; a chart has lines or bars.
    pub bars: Vec<ChartBar>,
    /// What it shows in figures, in the order in which it is told.
    pub facts: Vec<ChartFact>,
}

/// A place on an axis.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record), uniffi(name = "ChartTick"))]
pub struct Tick {
    /// Where in the box: from the left of 1,000, or from the top of 400.
    pub at: u16,
    /// A figure with its unit, a time or a date: the same in every language.
    pub says: String,
}

/// A point of the box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record), uniffi(name = "ChartSpot"))]
pub struct Spot {
    /// From the left.
    pub x: u16,
    /// From the top.
    pub y: u16,
}

/// A line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChartLine {
    /// What it is.
    pub what: LineIs,
    /// At least two points.
    pub spots: Vec<Spot>,
}

/// What a line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum LineIs {
    /// The depth.
    Depth,
    /// A stretch of it that came up faster than the rate it is held against.
    TooFast,
    /// The stay between 3 and 6 m on the way up.
    Stop,
    /// The pressure in the cylinder.
    Pressure,
    /// The pressure at which to turn.
    Turn,
    /// The reserve.
    Reserve,
    /// The no-stop time that is left.
    NoStop,
    /// As high as it is drawn: there it is longer, or has no limit.
    NoLimit,
    /// Skills that are met.
    Met,
    /// All that are required.
    Required,
}

/// A bar from the left.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct ChartBar {
    /// Whose.
    pub name: String,
    /// Where each part of it ends, of 1,000 from the left and never falling: after the first try,
    /// the second, the third, and however many it took; empty where too few were counted. Of
    /// minutes the least, the middle and the most that the middle may be.
    pub parts: Vec<u16>,
    /// How many were counted.
    pub of: u32,
    /// Of minutes, the figures behind it.
    pub minutes: Option<BarMinutes>,
}

/// The minutes behind a bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct BarMinutes {
    /// What the outline plans for all lines together.
    pub planned: u32,
    /// What they took.
    pub taken: u32,
    /// The middle line took so many hundredths of what is planned for it.
    pub percent: u32,
    /// With 95 % confidence the middle lies from here,
    pub low: u32,
    /// to here.
    pub high: u32,
}

/// A figure of the chart.
#[derive(Debug, Clone, PartialEq, Eq)]
#[cfg_attr(feature = "border", derive(uniffi::Record))]
pub struct ChartFact {
    /// Which.
    pub what: FactIs,
    /// The figure, with its unit.
    pub figure: Figure,
}

/// What a figure of a chart is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum FactIs {
    /// The deepest.
    Deepest,
    /// How long it lasted.
    Lasted,
    /// The fastest 30 seconds on the way up.
    Fastest,
    /// The rate that it is held against.
    FastestAllowed,
    /// How long it stayed between 3 and 6 m.
    StoppedFor,
    /// What the cylinder is taken to be filled to.
    Fill,
    /// Where to turn.
    TurnAt,
    /// The reserve.
    KeptBack,
    /// Minutes at the planned depth until the turn.
    UntilTurn,
    /// Minutes at the planned depth until the ascent begins.
    UntilAscent,
    /// The depth that is asked about.
    AskedDepth,
    /// The no-stop time at the first moment of the picture.
    LeftAtFirst,
    /// The no-stop time at its last.
    LeftAtLast,
    /// At the first moment of the picture this depth has no limit, so no minutes are given.
    NoLimitAtFirst,
    /// Nor at its last.
    NoLimitAtLast,
    /// More than this is not drawn: a longer time, or none that is limited, stands at this.
    DrawnUpTo,
    /// Skills met.
    SkillsMet,
    /// Skills required.
    SkillsRequired,
}

impl ChartLine {
    /// The line in the path words that SVG and toolkits share: `M 0 0 L 10 20`.
    ///
    /// ```
    /// use tallywater_core::view::{ChartLine, LineIs, Spot};
    /// let spots = vec![Spot { x: 0, y: 0 }, Spot { x: 10, y: 20 }];
    /// assert_eq!(ChartLine { what: LineIs::Depth, spots }.path(), "M 0 0 L 10 20");
    /// ```
    #[must_use]
    pub fn path(&self) -> String {
        use std::fmt::Write as _;
        let mut path = String::with_capacity(self.spots.len() * 10);
        for (place, spot) in self.spots.iter().enumerate() {
            let (gap, step) = if place == 0 { ("", 'M') } else { (" ", 'L') };
            let _ = write!(path, "{gap}{step} {} {}", spot.x, spot.y);
        }
        path
    }

    /// Where its name stands: at the middle of a part, at the right end of a level line; `None`
    /// for the line that the chart is of, which needs none.
    #[must_use]
    pub fn named_at(&self) -> Option<Spot> {
        let spot = match self.what {
            LineIs::Depth | LineIs::Pressure | LineIs::NoStop | LineIs::Met => None,
            LineIs::TooFast | LineIs::Stop => self.spots.get(self.spots.len() / 2),
            LineIs::Turn | LineIs::Reserve | LineIs::NoLimit | LineIs::Required => {
                self.spots.last()
            }
        };
        spot.copied()
    }

    /// Whether it is a part of another line, with its name beside it; a level line has its name
    /// above it.
    #[must_use]
    pub const fn is_part(&self) -> bool {
        matches!(self.what, LineIs::TooFast | LineIs::Stop)
    }
}

/// A line of two points.
fn level(what: LineIs, y: u16) -> ChartLine {
    ChartLine {
        what,
        spots: vec![Spot { x: 0, y }, Spot { x: WIDTH, y }],
    }
}
