//! `tallywater import`: what comes in as a file. Looked at whole before anything is taken.

use std::path::PathBuf;

use clap::{Subcommand, ValueEnum};
use tallywater_bindings::{
    BundleTaken, Fault, RosterField, RosterHints, RosterPreview, RowFault, RowReason, Twin, Twins,
    Whose,
};

use super::find;
use super::paper::{Of, opened};

/// What is read.
#[derive(Debug, Subcommand)]
pub(super) enum Import {
    /// Students from a spreadsheet saved as CSV: all of them, or nobody while one row is bad.
    ///
    /// The first line names the columns; delimiter, encoding and the order of day and month are
    /// found out. Every bad row is named with its line and what is wrong.
    Roster {
        #[command(flatten)]
        of: Of,
        /// The file.
        file: PathBuf,
        /// Show what would be taken, and take nothing.
        #[arg(long)]
        preview: bool,
        /// The encoding, if it is not found out right: utf-8, windows-1252, shift_jis.
        #[arg(long)]
        encoding: Option<String>,
        /// What stands between the fields, if it is not found out right.
        #[arg(long)]
        delimiter: Option<String>,
        /// What happens to a row that seems to be someone who is there already.
        #[arg(long, value_enum, default_value_t = Seen::LeaveOut)]
        seen_before: Seen,
    },
    /// A diver's dives from a dive log (UDDF); dives that are here already are left out.
    Dives {
        #[command(flatten)]
        of: Of,
        /// The file.
        file: PathBuf,
        /// The diver: a student's or staff member's id, or a name or its beginning.
        #[arg(long, short)]
        diver: String,
        /// The session they belong to: an id, or its title or the beginning of it.
        #[arg(long, short)]
        session: Option<String>,
        /// Show what would be taken, and take nothing.
        #[arg(long)]
        preview: bool,
    },
    /// A course file: merged if it is this shop's, continued if it is another school's.
    ///
    /// The whole file is checked first. A course of this shop is merged, and nothing is
    /// overwritten. Another school's becomes a new course of this shop, taken over by an
    /// instructor with the students whose details came along: what they met there is exempted
    /// here, with who judged it. Papers must be seen anew. Keep the file: it is the proof.
    Course {
        /// The device's folder.
        folder: PathBuf,
        /// The file.
        file: PathBuf,
        /// Show what is in it, and take nothing.
        #[arg(long)]
        preview: bool,
    },
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Seen {
    /// It is left out.
    LeaveOut,
    /// It is taken as another person of the same name.
    Take,
    /// It is taken as the person it seems to be, with the details the shop has.
    Again,
}

/// Reads what was asked for. `false` where the file was looked at and cannot be taken.
pub(super) fn run(import: &Import) -> Result<bool, Fault> {
    match import {
        Import::Roster {
            of,
            file,
            preview,
            encoding,
            delimiter,
            seen_before,
        } => {
            let bytes = find::file(file)?;
            let (desk, course) = opened(of)?;
            let hints = RosterHints {
                encoding: encoding.clone(),
                delimiter: delimiter.clone(),
            };
            let seen = desk.look_at_roster(course.clone(), bytes.clone(), hints.clone())?;
            if *preview {
                show(&seen);
            }
            if !seen.faults.is_empty() {
                for fault in &seen.faults {
                    eprintln!("{}", row_fault(fault));
                }
                eprintln!("Nobody was enrolled.");
                return Ok(false);
            }
            if *preview {
                println!("Nobody was enrolled: this was a preview.");
                return Ok(true);
            }
            let twins = match seen_before {
                Seen::LeaveOut => Twins::LeaveOut,
                Seen::Take => Twins::Take,
                Seen::Again => Twins::Again,
            };
            let taken = desk.take_roster(course, bytes, hints, twins)?;
            println!(
                "{} enrolled as new, {} enrolled again, {} left out",
                taken.enrolled,
                taken.again,
                taken.left_out.len()
            );
            for line in taken.left_out {
                println!("  line {line} seems to be someone who is there already");
            }
            Ok(true)
        }
        Import::Dives {
            of,
            file,
            diver,
            session,
            preview,
        } => {
            let bytes = find::file(file)?;
            let desk = super::open(&of.folder)?;
            let course = find::course(&desk, of.course.as_deref())?;
            let who = find::diver(&desk, &course, diver)?;
            let course = course.course;
            if *preview {
                for seen in desk.look_at_dives(course, who, bytes)? {
                    let log = seen.dive.log;
                    let here = if seen.here { ", here already" } else { "" };
                    let cm = log.max_depth_cm;
                    println!("{}  {}.{:02} m{here}", log.down, cm / 100, cm % 100);
                }
                println!("Nothing was logged: this was a preview.");
                return Ok(true);
            }
            let session = match session {
                Some(asked) => Some(find::session(&desk, &course, asked)?.session),
                None => None,
            };
            let taken = desk.take_dives(course, who, session, bytes)?;
            println!(
                "{} dives logged, {} left out, since they are here",
                taken.logged, taken.left_out
            );
            Ok(true)
        }
        Import::Course {
            folder,
            file,
            preview,
        } => {
            let bytes = find::file(file)?;
            let desk = super::open(folder)?;
            if *preview {
                let seen = desk.look_at_bundle(bytes)?;
                println!(
                    "{}, {}, made {} by {}",
                    seen.title.as_deref().unwrap_or("a course"),
                    seen.shop.as_deref().unwrap_or("a school"),
                    seen.made,
                    seen.by.as_deref().unwrap_or("an unknown person")
                );
                match seen.whose {
                    Whose::Ours => println!("A course of this shop: it would be merged."),
                    Whose::AnotherSchools => println!(
                        "Another school's course: those whose details came along would be continued here."
                    ),
                }
                if seen.revoked {
                    println!("The device that made it has been shut out by its shop since.");
                }
                for student in seen.students {
                    println!(
                        "  {:<40} {:>3} of {:>3} met, {} dives{}",
                        student.name.unwrap_or(student.student),
                        student.met,
                        student.of,
                        student.dives,
                        if student.ended { ", ended there" } else { "" }
                    );
                }
                println!("Nothing was taken: this was a preview.");
                return Ok(true);
            }
            match desk.take_bundle(bytes)? {
                BundleTaken::Merged { course, new } => {
                    println!("Merged into the course {course}: {new} entries were new.");
                }
                BundleTaken::Continued {
                    course,
                    students,
                    skills,
                    dives,
                } => {
                    println!(
                        "Continued as the course {course}: {students} students, {skills} skills met elsewhere, {dives} dives."
                    );
                    println!("Keep the file: it is the proof of what was taken over.");
                }
            }
            Ok(true)
        }
    }
}

fn show(seen: &RosterPreview) {
    let delimiter = match seen.delimiter.as_str() {
        "\t" => "a tab",
        other => other,
    };
    println!("Read as {}, fields parted by {delimiter}", seen.encoding);
    for column in &seen.columns {
        match &column.field {
            Some(field) => println!("  {:<24} is the {}", column.head, field_name(field)),
            None => println!("  {:<24} is left alone", column.head),
        }
    }
    for row in &seen.rows {
        let twin = match &row.twin {
            None => String::new(),
            Some(Twin::Line { line }) => format!("  (as in line {line})"),
            Some(Twin::Student { .. }) => "  (the shop knows someone of this name)".to_owned(),
        };
        let born = row.details.born.as_deref().unwrap_or("-");
        println!(
            "  line {:>4}  {:<32} {born:<10}{twin}",
            row.line, row.details.name
        );
    }
}

const fn field_name(field: &RosterField) -> &'static str {
    match field {
        RosterField::Name => "name",
        RosterField::GivenName => "given name",
        RosterField::FamilyName => "family name",
        RosterField::Called => "short name",
        RosterField::Born => "birth date",
        RosterField::Contact => "contact",
        RosterField::EmergencyName => "emergency contact's name",
        RosterField::EmergencyReach => "emergency contact's number",
    }
}

fn row_fault(fault: &RowFault) -> String {
    let reason = match &fault.reason {
        RowReason::NoName => "the name is missing".to_owned(),
        RowReason::TooLong { field, found, most } => format!(
            "the {} has {found} characters, and {most} are kept",
            field_name(field)
        ),
        RowReason::Fields { found, expected } => {
            format!("it has {found} fields, and the first line has {expected}")
        }
        RowReason::NoDate => "the birth date cannot be read: write it as year-month-day".to_owned(),
        RowReason::TwoDates => {
            "the birth date could be two days: write it as year-month-day".to_owned()
        }
        RowReason::OtherCentury => "the birth date is after today or before 1900".to_owned(),
        RowReason::HalfContact => {
            "of the emergency contact only the name or only the number is there".to_owned()
        }
        RowReason::Undecodable => {
            "it holds bytes that are no text in this encoding: try --encoding".to_owned()
        }
        RowReason::Quotes => {
            "a field goes on over the end of the line: a quote may not be closed".to_owned()
        }
    };
    format!("line {}: {reason}", fault.line)
}
