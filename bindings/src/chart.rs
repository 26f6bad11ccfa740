//! Chart: a picture of figures, for a screen to draw, for paper and as a file.

use tallywater_core::course::{CourseId, EntryId, SessionId, StudentId};
use tallywater_core::{calc, entry, view};

use crate::calc::reckon::Given as _;
use crate::cross::{Asked as _, Shown, mirror};
use crate::{Fault, Figure, PaperLanguage, PaperSetup, Tallywater, TurnRule, Who, WhoName};

mirror! {
    /// What a chart shows.
    shown enum ChartShows = view::Shows {
        Profile,
        Gas,
        NoStop,
        Tries,
        Way,
        Minutes,
    }

    /// What a line is.
    shown enum LineIs = view::LineIs {
        Depth,
        TooFast,
        Stop,
        Pressure,
        Turn,
        Reserve,
        NoStop,
        NoLimit,
        Met,
        Required,
    }

    /// What a figure of a chart is.
    shown enum FactIs = view::FactIs {
        Deepest,
        Lasted,
        Fastest,
        FastestAllowed,
        StoppedFor,
        Fill,
        TurnAt,
        KeptBack,
        UntilTurn,
        UntilAscent,
        AskedDepth,
        LeftAtFirst,
        LeftAtLast,
        NoLimitAtFirst,
        NoLimitAtLast,
        DrawnUpTo,
        SkillsMet,
        SkillsRequired,
    }

    /// A figure of the chart.
    shown record ChartFact = view::ChartFact {
        what: FactIs,
        figure: Figure,
    }
}

/// Which chart of a course.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum ChartOf {
    /// A logged dive with its profile.
    Profile {
        /// The dive's entry.
        dive: String,
    },
    /// One diver's cylinder in a planned session.
    Gas {
        /// Which session.
        session: String,
        /// Whose cylinder.
        who: Who,
        /// How the usable gas is shared out.
        rule: TurnRule,
    },
    /// What one diver has left at a planned session's depth, over the next twelve hours.
    NoStop {
        /// Which session.
        session: String,
        /// Whose time.
        who: Who,
        /// Whether people live at the height of the water.
        live_there: bool,
    },
    /// The class's skills, the hardest first.
    Tries,
    /// One student's skills, day by day.
    Way {
        /// Whose.
        student: String,
    },
}

/// A picture in a box of 1,000 by 400, the origin at the top left.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Chart {
    /// What it shows.
    pub shows: ChartShows,
    /// Whose; `None` for one of the class.
    pub who: Option<WhoName>,
    /// Figures from left to right.
    pub across: Vec<ChartTick>,
    /// Figures from top to bottom.
    pub down: Vec<ChartTick>,
    /// The lines.
    pub lines: Vec<ChartLine>,
    /// The bars, from top to bottom; a chart has lines or bars.
    pub bars: Vec<ChartBar>,
    /// What it shows in figures, in the order in which it is told.
    pub facts: Vec<ChartFact>,
}

/// A place on an axis.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct ChartTick {
    /// Where in the box.
    pub at: u32,
    /// A figure with its unit, a time or a date: the same in every language.
    pub says: String,
}

/// A line.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ChartLine {
    /// What it is.
    pub what: LineIs,
    /// In the path words that SVG and toolkits share.
    pub path: String,
    /// Where its name stands; `None` for the line that the chart is of.
    pub named_at: Option<ChartSpot>,
    /// Whether it is a part of another line, with its name beside it instead of above it.
    pub part: bool,
}

/// A point of the box.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct ChartSpot {
    /// From the left.
    pub x: u32,
    /// From the top.
    pub y: u32,
}

/// A bar from the left.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct ChartBar {
    /// Whose.
    pub name: String,
    /// How many were counted.
    pub of: u32,
    /// Where each part of it ends, of 1,000: after the first try, the second, the third, and
    /// however many it took; empty where too few were counted. Of minutes the least, the middle
    /// and the most that the middle may be.
    pub parts: Vec<u32>,
}

impl Chart {
    fn of(chart: view::Chart, who: Option<view::WhoName>) -> Self {
        let tick = |tick: view::Tick| ChartTick {
            at: tick.at.into(),
            says: tick.says,
        };
        let line = |line: &view::ChartLine| ChartLine {
            what: line.what.shown(),
            path: line.path(),
            named_at: line.named_at().map(|spot| ChartSpot {
                x: spot.x.into(),
                y: spot.y.into(),
            }),
            part: line.is_part(),
        };
        let bar = |bar: view::ChartBar| ChartBar {
            name: bar.name,
            of: bar.of,
            parts: bar.parts.into_iter().map(u32::from).collect(),
        };
        Self {
            shows: chart.shows.shown(),
            who: who.shown(),
            across: chart.across.into_iter().map(tick).collect(),
            down: chart.down.into_iter().map(tick).collect(),
            lines: chart.lines.iter().map(line).collect(),
            bars: chart.bars.into_iter().map(bar).collect(),
            facts: chart.facts.shown(),
        }
    }
}

impl Shown<Chart> for view::Chart {
    fn shown(self) -> Chart {
        Chart::of(self, None)
    }
}

#[uniffi::export]
impl Tallywater {
    /// A chart of a course; `None` where there is nothing to draw: no profile, no depth, no
    /// reserve, nothing met or tried.
    pub fn chart(&self, course: String, of: ChartOf) -> Result<Option<Chart>, Fault> {
        let drawn = self.drawn(course, of)?;
        Ok(drawn.map(|(chart, who)| Chart::of(chart, who)))
    }

    /// The same on a sheet, as PDF/A.
    pub fn print_chart(
        &self,
        course: String,
        of: ChartOf,
        setup: PaperSetup,
    ) -> Result<Option<Vec<u8>>, Fault> {
        let press = self.press(setup)?;
        let title = self.course(course.clone())?.title;
        let Some((chart, who)) = self.drawn(course, of)? else {
            return Ok(None);
        };
        let of = who.map_or(title.clone(), |who| format!("{title} · {}", who.name()));
        Ok(Some(press.chart(&chart, &of, self.desk.now())?))
    }

    /// The same as an SVG file.
    pub fn chart_file(
        &self,
        course: String,
        of: ChartOf,
        language: PaperLanguage,
    ) -> Result<Option<String>, Fault> {
        let language = language.asked()?;
        let drawn = self.drawn(course, of)?;
        Ok(drawn.map(|(chart, _)| chart.svg(language)))
    }
}

impl Tallywater {
    fn drawn(
        &self,
        course: String,
        of: ChartOf,
    ) -> Result<Option<(view::Chart, Option<view::WhoName>)>, Fault> {
        let units = self.core_units();
        let id: CourseId = course.asked()?;
        let of = match of {
            ChartOf::Profile { dive } => {
                let dive: EntryId = dive.asked()?;
                view::ChartOf::Profile(dive)
            }
            ChartOf::Gas { session, who, rule } => {
                let (session, who): (SessionId, entry::Who) = (session.asked()?, who.asked()?);
                let rule: calc::reserve::TurnRule = rule.given(units);
                view::ChartOf::Gas { session, who, rule }
            }
            ChartOf::NoStop {
                session,
                who,
                live_there,
            } => {
                let (session, who): (SessionId, entry::Who) = (session.asked()?, who.asked()?);
                view::ChartOf::NoStop {
                    session,
                    who,
                    live_there,
                }
            }
            ChartOf::Tries => view::ChartOf::Tries,
            ChartOf::Way { student } => {
                let student: StudentId = student.asked()?;
                view::ChartOf::Way(student)
            }
        };
        let (now, back) = (self.desk.now(), view::GasView::FAR_BACK);
        let seen = self
            .desk
            .look_beside(&id, units, now, back, |course, others, reader| {
                view::Chart::of(course, others, reader, of)
            })?;
        Ok(seen)
    }
}
