//! `tallywater export`: the same facts as files for other programs.

use clap::Subcommand;
use tallywater_bindings::{Fault, TableName};

use super::find;
use super::out::Out;
use super::paper::{Language, Of, opened};

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
        /// The language of the heads.
        #[arg(long, value_enum, default_value_t = Language::En)]
        language: Language,
        #[command(flatten)]
        out: Out,
    },
    /// The sessions of a course as iCalendar. Students are counted and never named.
    Calendar {
        #[command(flatten)]
        of: Of,
        /// The language of the heads.
        #[arg(long, value_enum, default_value_t = Language::En)]
        language: Language,
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
pub(super) fn run(export: &Export) -> Result<(), Fault> {
    match export {
        Export::Tables { of, out } => {
            let (desk, course) = opened(of)?;
            for file in desk.export_tables(course, Vec::new())? {
                out.to_folder(&file.name, file.bytes)?;
            }
            Ok(())
        }
        Export::Roster { of, out } => table(of, TableName::Roster, out),
        Export::Marks { of, out } => table(of, TableName::Marks, out),
        Export::Dives { of, out } => table(of, TableName::Dives, out),
        Export::Activity { of, out } => {
            let desk = super::open(&of.folder)?;
            let courses = match &of.course {
                Some(asked) => vec![find::course(&desk, Some(asked))?.course],
                None => Vec::new(),
            };
            out.file(desk.export_activity(courses)?.bytes)
        }
        Export::Board { of, language, out } => {
            let (desk, course) = opened(of)?;
            out.file(desk.export_board(course, language.language())?)
        }
        Export::Calendar { of, language, out } => {
            let (desk, course) = opened(of)?;
            out.file(desk.export_calendar(course, language.language())?)
        }
        Export::DiveLog { of, diver, out } => {
            let desk = super::open(&of.folder)?;
            let course = find::course(&desk, of.course.as_deref())?;
            let who = find::diver(&desk, &course, diver)?;
            out.file(desk.export_dives(course.course, who)?)
        }
        Export::Course {
            of,
            with_details,
            with_all_details,
            out,
        } => {
            let (desk, course) = opened(of)?;
            let students = if *with_all_details {
                let rows = desk.records(course.clone())?.rows;
                rows.into_iter()
                    .filter(|row| row.name.known == tallywater_bindings::Known::Here)
                    .map(|row| row.name.student)
                    .collect()
            } else {
                let found = with_details
                    .iter()
                    .map(|asked| Ok(find::student(&desk, &course, asked)?.student));
                found.collect::<Result<Vec<String>, Fault>>()?
            };
            out.file(desk.export_bundle(course, students)?)
        }
    }
}

fn table(of: &Of, name: TableName, out: &Out) -> Result<(), Fault> {
    let (desk, course) = opened(of)?;
    let files = desk.export_tables(course, vec![name])?;
    match files.into_iter().next() {
        Some(file) => out.file(file.bytes),
        None => Ok(()),
    }
}
