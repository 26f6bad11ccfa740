//! `tallywater paper`: what is printed, as PDF.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use clap::{Args, Subcommand, ValueEnum};
use tallywater_bindings::{
    Fault, OfficeSheet, PaperLanguage, PaperSetup, PaperTray, PrintedRecord, SlateSize, Tallywater,
};

use super::find;
use super::out::{Out, file_name};

/// What is printed.
#[derive(Debug, Subcommand)]
pub(super) enum Paper {
    /// A student's training record; every student's of a course, or of the shop.
    ///
    /// With --student it is one file. Without, --out is a folder: one file a student, each
    /// written as soon as it is printed. Remarks and incident reports are counted in a record
    /// and never printed.
    Record {
        #[command(flatten)]
        of: Of,
        /// The student: an id, or a name or its beginning.
        #[arg(long, short)]
        student: Option<String>,
        /// Every course on this device: a shop's year as one job.
        #[arg(long, conflicts_with_all = ["course", "student"])]
        every_course: bool,
        #[command(flatten)]
        setup: Setup,
        #[command(flatten)]
        out: Out,
    },
    /// A class at a glance: students by skills.
    Summary {
        #[command(flatten)]
        of: Of,
        #[command(flatten)]
        setup: Setup,
        #[command(flatten)]
        out: Out,
    },
    /// A session's sheet for the clipboard: people, gaps, run list.
    Session {
        #[command(flatten)]
        of: Of,
        /// The session: an id, or its title or the beginning of it.
        #[arg(long, short)]
        session: String,
        #[command(flatten)]
        setup: Setup,
        #[command(flatten)]
        out: Out,
    },
    /// A session's slate, for waterproof paper: boxes to mark when no device is at hand.
    ///
    /// Each pair of pages is one sheet, front and back. It is a planning aid: local law, your
    /// training organisation's standards and a licensed physician come first.
    Slate {
        #[command(flatten)]
        of: Of,
        /// The session: an id, or its title or the beginning of it.
        #[arg(long, short)]
        session: String,
        /// The size of the sheets.
        #[arg(long, value_enum, default_value_t = Size::A5)]
        size: Size,
        #[command(flatten)]
        setup: Setup,
        #[command(flatten)]
        out: Out,
    },
    /// Briefing cards: what to say and what to watch.
    Cards {
        #[command(flatten)]
        of: Of,
        /// A skill's id, as often as there are cards; every skill of the outline if left out.
        #[arg(long)]
        skill: Vec<String>,
        #[command(flatten)]
        setup: Setup,
        #[command(flatten)]
        out: Out,
    },
    /// What staff did under water, day by day: dives, ascents, exposure.
    Activity {
        #[command(flatten)]
        of: Of,
        #[command(flatten)]
        setup: Setup,
        #[command(flatten)]
        out: Out,
    },
}

/// Which device and course.
#[derive(Debug, Args)]
pub(super) struct Of {
    /// The device's folder.
    pub(super) folder: PathBuf,
    /// The course: an id, or its title or the beginning of it; not needed where there is one.
    #[arg(long, short)]
    pub(super) course: Option<String>,
}

/// How it is printed.
#[derive(Debug, Args)]
pub(super) struct Setup {
    /// The paper.
    #[arg(long, value_enum, default_value_t = Sheet::A4)]
    sheet: Sheet,
    /// The language of what the program says itself.
    #[arg(long, value_enum, default_value_t = Language::En)]
    pub(super) language: Language,
    /// Use the program's own fonts alone. Names in scripts that they lack become boxes with
    /// the end of the id beside them, the same on every computer.
    #[arg(long)]
    bundled_fonts: bool,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Sheet {
    A4,
    Letter,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Language {
    /// English.
    En,
    /// German.
    De,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Size {
    A5,
    A6,
}

impl Language {
    pub(super) const fn language(self) -> PaperLanguage {
        match self {
            Self::En => PaperLanguage::English,
            Self::De => PaperLanguage::German,
        }
    }
}

impl Setup {
    const fn setup(&self) -> PaperSetup {
        PaperSetup {
            sheet: match self.sheet {
                Sheet::A4 => OfficeSheet::A4,
                Sheet::Letter => OfficeSheet::Letter,
            },
            language: self.language.language(),
            device_fonts: !self.bundled_fonts,
        }
    }
}

/// Prints what was asked for.
pub(super) fn run(paper: &Paper) -> Result<(), Fault> {
    match paper {
        Paper::Record {
            of,
            student,
            every_course,
            setup,
            out,
        } => {
            let desk = super::open(&of.folder)?;
            if *every_course {
                return records(&desk, Vec::new(), setup, out);
            }
            let course = find::course(&desk, of.course.as_deref())?.course;
            match student {
                None => records(&desk, vec![course], setup, out),
                Some(asked) => {
                    let student = find::student(&desk, &course, asked)?.student;
                    out.file(desk.print_record(course, student, setup.setup())?)
                }
            }
        }
        Paper::Summary { of, setup, out } => {
            let (desk, course) = opened(of)?;
            out.file(desk.print_class_summary(course, setup.setup())?)
        }
        Paper::Session {
            of,
            session,
            setup,
            out,
        } => {
            let (desk, course) = opened(of)?;
            let session = find::session(&desk, &course, session)?.session;
            out.file(desk.print_session_sheet(course, session, setup.setup())?)
        }
        Paper::Slate {
            of,
            session,
            size,
            setup,
            out,
        } => {
            let (desk, course) = opened(of)?;
            let session = find::session(&desk, &course, session)?.session;
            let size = match size {
                Size::A5 => SlateSize::A5,
                Size::A6 => SlateSize::A6,
            };
            out.file(desk.print_slate(course, session, size, setup.setup())?)
        }
        Paper::Cards {
            of,
            skill,
            setup,
            out,
        } => {
            let (desk, course) = opened(of)?;
            out.file(desk.print_briefing_cards(course, skill.clone(), setup.setup())?)
        }
        Paper::Activity { of, setup, out } => {
            let desk = super::open(&of.folder)?;
            let courses = match &of.course {
                Some(asked) => vec![find::course(&desk, Some(asked))?.course],
                None => Vec::new(),
            };
            out.file(desk.print_activity(courses, setup.setup())?)
        }
    }
}

/// The device, and the id of the course.
pub(super) fn opened(of: &Of) -> Result<(Arc<Tallywater>, String), Fault> {
    let desk = super::open(&of.folder)?;
    let course = find::course(&desk, of.course.as_deref())?.course;
    Ok((desk, course))
}

/// Every record of these courses, one file each; of every course where none is named.
fn records(desk: &Tallywater, courses: Vec<String>, setup: &Setup, out: &Out) -> Result<(), Fault> {
    let titles = find::courses(desk)?
        .into_iter()
        .map(|row| (row.course, row.title))
        .collect();
    let tray = Arc::new(Folder {
        titles,
        out: out.clone(),
    });
    let done = desk.print_records(courses, setup.setup(), tray);
    // Progress stands on one line of its own.
    eprintln!();
    println!("{} records", done?);
    Ok(())
}

/// A folder as the tray of a job: each record is a file as soon as it is printed.
struct Folder {
    titles: BTreeMap<String, String>,
    out: Out,
}

impl PaperTray for Folder {
    fn take(&self, printed: PrintedRecord) -> Result<bool, Fault> {
        let title = self.titles.get(&printed.course);
        let title = file_name(title.map_or("course", String::as_str));
        let name = file_name(printed.name.as_deref().unwrap_or("student"));
        // Two people of one name: the end of the id tells their files apart.
        let end = printed.student.rsplit('-').next().unwrap_or_default();
        let file = format!("{title}-{name}-{end}.pdf");
        self.out.to_folder(&file, printed.pdf)?;
        eprint!("\rprinting records: {} of {}", printed.done, printed.of);
        Ok(true)
    }
}
