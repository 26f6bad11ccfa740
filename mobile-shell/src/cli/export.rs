//! `tallywater export`: the same facts as files for other programs.

use clap::Subcommand;
use tallywater_bindings::{Fault, TableName};

use super::catalogue::Language;
use super::find;
use super::of::{Device, Of};
use super::out::Out;
use super::turn::Turn;

/// What is written.
#[derive(Debug, Subcommand)]
pub(super) enum Export {
    /// All tables of a course as CSV into a folder, with a description (W3C CSV on the Web).
    ///
    /// A text that a spreadsheet would take for a formula begins with an apostrophe.
    Tables {
        #[command(flatten)]
        of: Of,
        #[command(flatten)]
        out: Out,
    },
    /// The students of a course as CSV.
    Roster {
        #[command(flatten)]
        of: Of,
        #[command(flatten)]
        out: Out,
    },
    /// Every mark of a course as CSV, withdrawn ones too.
    Marks {
        #[command(flatten)]
        of: Of,
        #[command(flatten)]
        out: Out,
    },
    /// Every dive of a course as CSV, of students and staff.
    Dives {
        #[command(flatten)]
        of: Of,
        #[command(flatten)]
        out: Out,
    },
    /// What staff did under water as CSV; in every course on this device if none is named.
    Activity {
        #[command(flatten)]
        of: Of,
        #[command(flatten)]
        out: Out,
    },
    /// The course board as a workbook (xlsx).
    Board {
        #[command(flatten)]
        of: Of,
        #[command(flatten)]
        out: Out,
    },
    /// The sessions of a course as iCalendar. Students are counted and never named.
    Calendar {
        #[command(flatten)]
        of: Of,
        #[command(flatten)]
        out: Out,
    },
    /// One diver's dives of a course as a dive log (UDDF).
    DiveLog {
        #[command(flatten)]
        of: Of,
        /// The diver: a student's or staff member's id, or a name or its beginning.
        #[arg(long, short)]
        diver: String,
        #[command(flatten)]
        out: Out,
    },
    /// The school's kit as CSV, as `import kit` reads it.
    Kit {
        #[command(flatten)]
        device: Device,
        #[command(flatten)]
        out: Out,
    },
    /// A whole course as one signed file: for a referral, an archive or a check.
    ///
    /// Whoever gets the file can check every entry in it. Names and contacts go along only of
    /// the students who are named here.
    Course {
        #[command(flatten)]
        of: Of,
        /// A student whose details go along, as often as there are such: an id, or a name or
        /// its beginning.
        #[arg(long, value_name = "STUDENT")]
        with_details: Vec<String>,
        /// The details of every student go along.
        #[arg(long, conflicts_with = "with_details")]
        with_all_details: bool,
        #[command(flatten)]
        out: Out,
    },
}

/// Writes what was asked for.
pub(super) fn run(export: &Export, turn: &Turn) -> Result<(), Fault> {
    match export {
        Export::Tables { of, out } => {
            let opened = of.read(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            for file in desk.export_tables(course, Vec::new())? {
                // The tables, and the description of them.
                let kind = file.name.rsplit('.').next().unwrap_or_default();
                out.to_folder(turn, kind, &file.name, file.bytes)?;
            }
            Ok(())
        }
        Export::Roster { of, out } => table(of, TableName::Roster, out, turn),
        Export::Marks { of, out } => table(of, TableName::Marks, out, turn),
        Export::Dives { of, out } => table(of, TableName::Dives, out, turn),
        Export::Activity { of, out } => {
            let desk = turn.read(&of.folder)?;
            let courses = match &of.course {
                Some(asked) => vec![find::course(&desk, Some(asked))?.course.to_string()],
                None => Vec::new(),
            };
            out.file(turn, "csv", desk.export_activity(courses)?.bytes)
        }
        Export::Board { of, out } => {
            let opened = of.read(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            out.file(
                turn,
                "xlsx",
                desk.export_board(course, Language::spoken().of_paper())?,
            )
        }
        Export::Calendar { of, out } => {
            let opened = of.read(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            out.file(
                turn,
                "ics",
                desk.export_calendar(course, Language::spoken().of_paper())?,
            )
        }
        Export::DiveLog { of, diver, out } => {
            let opened = of.read(turn)?;
            let who = find::diver(&opened.desk, &opened.course, diver)?;
            out.file(turn, "uddf", opened.desk.export_dives(opened.id(), who)?)
        }
        Export::Kit { device, out } => {
            let desk = turn.read(&device.folder)?;
            out.file(turn, "csv", desk.export_kit()?.bytes)
        }
        Export::Course {
            of,
            with_details,
            with_all_details,
            out,
        } => {
            let opened = of.read(turn)?;
            let (desk, course) = (&opened.desk, opened.id());
            let students = if *with_all_details {
                let rows = desk.records(course.clone())?.rows;
                rows.into_iter()
                    .filter(|row| row.name.known == tallywater_bindings::Known::Here)
                    .map(|row| row.name.student.to_string())
                    .collect()
            } else {
                let found = with_details
                    .iter()
                    .map(|asked| Ok(find::student(desk, &course, asked)?.student.to_string()));
                found.collect::<Result<Vec<String>, Fault>>()?
            };
            out.file(turn, "course", desk.export_bundle(course, students)?)
        }
    }
}

fn table(of: &Of, name: TableName, out: &Out, turn: &Turn) -> Result<(), Fault> {
    let opened = of.read(turn)?;
    let (desk, course) = (&opened.desk, opened.id());
    let files = desk.export_tables(course, vec![name])?;
    match files.into_iter().next() {
        Some(file) => out.file(turn, "csv", file.bytes),
        None => Ok(()),
    }
}
