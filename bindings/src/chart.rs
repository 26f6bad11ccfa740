//! Chart: a picture of figures, for a screen to draw, for paper and as a file.

use tallywater_core::course::{CourseId, EntryId, SessionId, StudentId};
use tallywater_core::{entry, view};

use crate::cross::{Asked as _, Shown};
use crate::{
    ChartBar, ChartFact, ChartShows, ChartSpot, ChartTick, Fault, LineIs, PaperLanguage,
    PaperSetup, Tallywater, TurnRule, Who, WhoName,
};

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

impl Chart {
    fn of(chart: view::Chart, who: Option<WhoName>) -> Self {
        let line = |line: &view::ChartLine| ChartLine {
            what: line.what,
            path: line.path(),
            named_at: line.named_at(),
            part: line.is_part(),
        };
        Self {
            shows: chart.shows,
            who,
            across: chart.across,
            down: chart.down,
            lines: chart.lines.iter().map(line).collect(),
            bars: chart.bars,
            facts: chart.facts,
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
        let drawn = self.drawn(course, of)?;
        Ok(drawn.map(|(chart, _)| chart.svg(language)))
    }
}

impl Tallywater {
    fn drawn(
        &self,
        course: String,
        of: ChartOf,
    ) -> Result<Option<(view::Chart, Option<WhoName>)>, Fault> {
        let units = self.units();
        let id: CourseId = course.asked()?;
        let of = match of {
            ChartOf::Profile { dive } => {
                let dive: EntryId = dive.asked()?;
                view::ChartOf::Profile(dive)
            }
            ChartOf::Gas { session, who, rule } => {
                let (session, who): (SessionId, entry::Who) = (session.asked()?, who.asked()?);
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
