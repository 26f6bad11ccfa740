//! `tallywater paper picture`: figures drawn, as PDF or SVG. What is drawn comes from the border.

use clap::{Args, ValueEnum};
use tallywater_bindings::{ChartOf, DiveRow, Fault, PaperSetup, Tallywater};

use super::catalogue::Language;
use super::find;
use super::limits::Taken;
use super::of::Of;
use super::out::Out;
use super::paper::Setup;
use super::turn::Turn;

/// A picture of figures.
#[derive(Debug, Args)]
pub(super) struct Picture {
    #[command(flatten)]
    of: Of,
    /// What it shows.
    #[arg(value_enum)]
    what: What,
    /// Whose: an id, or a name or its beginning. Not for the tries, which are of the class.
    #[arg(long, short, required_if_eq_any = [
        ("what", "dive"), ("what", "gas"), ("what", "no-stop"), ("what", "way"),
    ])]
    person: Option<String>,
    /// The planned session: an id, or its title or the beginning of it.
    #[arg(long, required_if_eq_any = [("what", "gas"), ("what", "no-stop")])]
    session: Option<String>,
    /// The dive's entry; the person's last one with a profile if left out.
    #[arg(long, value_name = "ENTRY")]
    entry: Option<String>,
    #[command(flatten)]
    taken: Taken,
    /// As an SVG file instead of a sheet.
    #[arg(long)]
    svg: bool,
    #[command(flatten)]
    setup: Setup,
    #[command(flatten)]
    out: Out,
}

/// What a picture shows.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum What {
    /// A logged dive's depth over its time, with what came up too fast and the safety stop
    Dive,
    /// Cylinder pressure over the time at a planned session's depth, with turn and reserve
    Gas,
    /// No-stop time at a planned session's depth, over the twelve hours after it begins
    NoStop,
    /// By which try the class has met each skill, the hardest first
    Tries,
    /// A student's required skills, day by day
    Way,
}

/// Draws it.
pub(super) fn run(asked: &Picture, turn: &Turn) -> Result<(), Fault> {
    let opened = asked.of.read(turn)?;
    let (desk, course) = (&opened.desk, &opened.course);
    let person = || {
        let named = asked.person.as_deref().unwrap_or_default();
        find::diver(desk, course, named)
    };
    let session = || {
        let named = asked.session.as_deref().unwrap_or_default();
        Ok::<_, Fault>(
            find::session(desk, &course.course.to_string(), named)?
                .session
                .to_string(),
        )
    };
    let of = match asked.what {
        What::Dive => ChartOf::Profile {
            dive: match &asked.entry {
                Some(entry) => entry.clone(),
                None => last_dive(desk, &course.course.to_string(), asked.person.as_deref())?,
            },
        },
        What::Gas => ChartOf::Gas {
            session: session()?,
            who: person()?,
            rule: asked.taken.turn.into(),
        },
        What::NoStop => ChartOf::NoStop {
            session: session()?,
            who: person()?,
            live_there: asked.taken.live_there,
        },
        What::Tries => ChartOf::Tries,
        What::Way => {
            let named = asked.person.as_deref().unwrap_or_default();
            let student = find::student(desk, &course.course.to_string(), named)?
                .student
                .to_string();
            ChartOf::Way { student }
        }
    };
    let (course, setup): (String, PaperSetup) = (course.course.to_string(), asked.setup.setup());
    let drawn = if asked.svg {
        let file = desk.chart_file(course, of, Language::spoken().of_paper())?;
        file.map(String::into_bytes)
    } else {
        desk.print_chart(course, of, setup)?
    };
    let bytes = drawn.ok_or_else(|| find::refused("nothing_to_draw", "picture", None))?;
    let kind = if asked.svg { "svg" } else { "pdf" };
    asked.out.file(turn, kind, bytes)
}

/// A student's last dive that a profile is kept of.
fn last_dive(desk: &Tallywater, course: &str, who: Option<&str>) -> Result<String, Fault> {
    let student = find::student(desk, course, who.unwrap_or_default())?
        .student
        .to_string();
    let dives: Vec<DiveRow> = desk.student(course.to_owned(), student)?.dives;
    for dive in dives.into_iter().rev() {
        let of = ChartOf::Profile {
            dive: dive.entry.to_string(),
        };
        if desk.chart(course.to_owned(), of)?.is_some() {
            return Ok(dive.entry.to_string());
        }
    }
    Err(find::refused("nothing_to_draw", "picture", None))
}
