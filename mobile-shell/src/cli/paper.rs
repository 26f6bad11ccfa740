//! `tallywater paper`: what is printed, as PDF.

use std::collections::BTreeMap;
use std::sync::mpsc::SyncSender;
use std::sync::{Arc, Mutex, PoisonError};

use clap::{Args, Subcommand, ValueEnum};
use tallywater_bindings::{
    Fault, OfficeSheet, PaperSetup, PaperTray, PrintedRecord, SlateSize, Tallywater,
};

use super::catalogue::{Language, tr};
use super::find;
use super::incident::Which;
use super::of::{Device, Of};
use super::out::{Out, file_name};
use super::turn::Turn;

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
    /// A student's page to take home, as PDF, as one file for a phone and the dives as a log
    /// (UDDF), into a folder.
    ///
    /// Met, open, the next session and what to bring, the own dives and from when one may fly.
    /// Nobody else's data is in it, and no forecast. The HTML file opens in any browser and
    /// asks no network for anything.
    Student {
        #[command(flatten)]
        of: Of,
        /// The student: an id, or a name or its beginning.
        #[arg(long, short)]
        student: String,
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
    /// A picture of figures, as PDF or SVG: a dive, gas, no-stop time, tries, a student's way.
    ///
    /// It shows what the figures say, readable in one ink, and says them in words as well. It is
    /// no permission to dive.
    Picture(super::picture::Picture),
    /// The action cards: what is done when something goes wrong in the water.
    Actions {
        #[command(flatten)]
        of: Of,
        #[command(flatten)]
        setup: Setup,
        #[command(flatten)]
        out: Out,
    },
    /// An incident: its moments, people, what was done, reports due. It goes nowhere by itself.
    Incident {
        #[command(flatten)]
        which: Which,
        #[command(flatten)]
        setup: Setup,
        #[command(flatten)]
        out: Out,
    },
    /// The school's kit by kind: sizes, dates, faults, who has it.
    Kit {
        #[command(flatten)]
        device: Device,
        #[command(flatten)]
        setup: Setup,
        #[command(flatten)]
        out: Out,
    },
    /// The season: what the marks of every course on this device say of the outline, with the
    /// minutes planned and taken as a picture. It names nobody.
    Season {
        #[command(flatten)]
        device: Device,
        #[command(flatten)]
        setup: Setup,
        #[command(flatten)]
        out: Out,
    },
    /// Who gets which piece of kit for a session: sizes, what is issued, boxes to tick.
    Issue {
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

/// How it is printed.
#[derive(Debug, Args)]
pub(super) struct Setup {
    /// The paper.
    #[arg(long, value_enum, default_value_t = Sheet::A4)]
    sheet: Sheet,
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
pub(super) enum Size {
    A5,
    A6,
}

impl Setup {
    pub(super) fn setup(&self) -> PaperSetup {
        PaperSetup {
            sheet: match self.sheet {
                Sheet::A4 => OfficeSheet::A4,
                Sheet::Letter => OfficeSheet::Letter,
            },
            language: Language::spoken().of_paper(),
            device_fonts: !self.bundled_fonts,
        }
    }
}

/// Prints what was asked for.
pub(super) fn run(paper: &Paper, turn: &Turn) -> Result<(), Fault> {
    match paper {
        Paper::Record {
            of,
            student,
            every_course,
            setup,
            out,
        } => {
            let desk = turn.read(&of.folder)?;
            if *every_course {
                return records(&desk, Vec::new(), setup, out, turn);
            }
            let course = find::course(&desk, of.course.as_deref())?
                .course
                .to_string();
            match student {
                None => records(&desk, vec![course], setup, out, turn),
                Some(asked) => {
                    let student = find::student(&desk, &course, asked)?.student.to_string();
                    out.file(
                        turn,
                        "pdf",
                        desk.print_record(course, student, setup.setup())?,
                    )
                }
            }
        }
        Paper::Student {
            of,
            student,
            setup,
            out,
        } => {
            let opened = of.read(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let found = find::student(desk, &course, student)?;
            let name = file_name(&found.name);
            let page = desk.student_page(course, found.student.to_string(), setup.setup())?;
            out.to_folder(turn, "pdf", &format!("{name}.pdf"), page.pdf)?;
            out.to_folder(turn, "html", &format!("{name}.html"), page.html)?;
            out.to_folder(turn, "uddf", &format!("{name}.uddf"), page.uddf)
        }
        Paper::Summary { of, setup, out } => {
            let opened = of.read(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            out.file(
                turn,
                "pdf",
                desk.print_class_summary(course, setup.setup())?,
            )
        }
        Paper::Session {
            of,
            session,
            setup,
            out,
        } => {
            let opened = of.read(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let session = find::session(desk, &course, session)?.session.to_string();
            out.file(
                turn,
                "pdf",
                desk.print_session_sheet(course, session, setup.setup())?,
            )
        }
        Paper::Slate {
            of,
            session,
            size,
            setup,
            out,
        } => {
            // What stands behind each box is kept on this device when it is printed.
            let opened = of.write(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let session = find::session(desk, &course, session)?.session.to_string();
            let size = match size {
                Size::A5 => SlateSize::A5,
                Size::A6 => SlateSize::A6,
            };
            out.file(
                turn,
                "pdf",
                desk.print_slate(course, session, size, setup.setup())?,
            )
        }
        Paper::Cards {
            of,
            skill,
            setup,
            out,
        } => {
            let opened = of.read(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            out.file(
                turn,
                "pdf",
                desk.print_briefing_cards(course, skill.clone(), setup.setup())?,
            )
        }
        Paper::Picture(picture) => super::picture::run(picture, turn),
        Paper::Actions { of, setup, out } => {
            let desk = turn.read(&of.folder)?;
            out.file(turn, "pdf", desk.print_alarm_cards(setup.setup())?)
        }
        Paper::Incident { which, setup, out } => {
            let opened = which.of.read(turn)?;
            let incident = which.found(&opened)?;
            let desk = &opened.desk;
            let sheet = desk.print_incident(opened.id(), incident, setup.setup())?;
            out.file(turn, "pdf", sheet)
        }
        Paper::Kit { device, setup, out } => {
            let desk = turn.read(&device.folder)?;
            out.file(turn, "pdf", desk.print_kit_list(setup.setup())?)
        }
        Paper::Season { device, setup, out } => {
            let desk = turn.read(&device.folder)?;
            out.file(turn, "pdf", desk.print_season(setup.setup())?)
        }
        Paper::Issue {
            of,
            session,
            setup,
            out,
        } => {
            let opened = of.read(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let session = find::session(desk, &course, session)?.session.to_string();
            out.file(
                turn,
                "pdf",
                desk.print_issue_list(course, session, setup.setup())?,
            )
        }
        Paper::Activity { of, setup, out } => {
            let desk = turn.read(&of.folder)?;
            let courses = match &of.course {
                Some(asked) => vec![find::course(&desk, Some(asked))?.course.to_string()],
                None => Vec::new(),
            };
            out.file(turn, "pdf", desk.print_activity(courses, setup.setup())?)
        }
    }
}

/// Every record of these courses, one file each; of every course where none is named.
fn records(
    desk: &Tallywater,
    courses: Vec<String>,
    setup: &Setup,
    out: &Out,
    turn: &Turn,
) -> Result<(), Fault> {
    let titles = find::courses(desk)?
        .into_iter()
        .map(|row| (row.course.to_string(), row.title))
        .collect();
    let (give, taken) = std::sync::mpsc::sync_channel(2);
    let tray = Arc::new(Folder {
        titles,
        give: Mutex::new(give),
    });
    let done = std::thread::scope(|scope| {
        let printing = scope.spawn(move || desk.print_records(courses, setup.setup(), tray));
        for (name, printed) in taken {
            out.to_folder(turn, "pdf", &name, printed.pdf)?;
            let line = tr!(
                "printing records: {done} of {of}",
                done = printed.done,
                of = printed.of
            );
            turn.progress(line, printed.done == printed.of);
        }
        printing.join().unwrap_or_else(|_| {
            Err(Fault::Internal {
                detail: "printing broke off".to_owned(),
            })
        })
    })?;
    turn.wrote_all(tr!("records: {count}", count = done));
    Ok(())
}

/// The tray of a job: each record is handed over as soon as it is printed, with its file's name.
struct Folder {
    titles: BTreeMap<String, String>,
    give: Mutex<SyncSender<(String, PrintedRecord)>>,
}

impl PaperTray for Folder {
    fn take(&self, printed: PrintedRecord) -> Result<bool, Fault> {
        let title = self.titles.get(&printed.course);
        let title = file_name(title.map_or("course", String::as_str));
        let name = file_name(printed.name.as_deref().unwrap_or("student"));
        // Two people of one name: the end of the id tells their files apart.
        let end = printed.student.rsplit('-').next().unwrap_or_default();
        let file = format!("{title}-{name}-{end}.pdf");
        let give = self.give.lock().unwrap_or_else(PoisonError::into_inner);
        // Nobody takes it where one could not be written: then the job ends.
        Ok(give.send((file, printed)).is_ok())
    }
}
