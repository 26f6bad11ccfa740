//! `tallywater import`: what comes in as a file. Looked at whole before anything is taken.

use std::path::PathBuf;

use clap::{Subcommand, ValueEnum};
use serde_json::json;
use tallywater_bindings::{
    BundleTaken, Fault, Request, RosterField, RosterPreview, RowFault, RowReason, Twin, Twins,
    Whose,
};

use super::catalogue::{t, tr};
use super::find;
use super::of::{Device, Of};
use super::table_file::{self, TableFile};
use super::turn::Turn;

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
        #[command(flatten)]
        table: TableFile,
        /// What happens to a row that seems to be someone who is there already.
        #[arg(long, value_enum, default_value_t = Seen::LeaveOut)]
        seen_before: Seen,
    },
    /// A diver's dives from a dive log (UDDF); dives that are here already are left out.
    Dives {
        #[command(flatten)]
        of: Of,
        /// The file; `-` for the standard input.
        file: PathBuf,
        /// The diver: a student's or staff member's id, or a name or its beginning.
        #[arg(long, short)]
        diver: String,
        /// The session they belong to: an id, or its title or the beginning of it.
        #[arg(long, short)]
        session: Option<String>,
        /// As a student's own dives, which are none of the course: no rule of it counts them, and
        /// whoever takes them in stands for no more than that.
        #[arg(long, conflicts_with = "session")]
        own: bool,
        /// As dives of the course, whoever saw them: its rules count them. Without this and
        /// without a session or `--own` a student's dives are taken where each began while a
        /// session of the course was on for them.
        #[arg(long, conflicts_with = "own")]
        of_course: bool,
        /// Show what would be taken, and take nothing.
        #[arg(long)]
        preview: bool,
    },
    /// The school's kit from a spreadsheet saved as CSV: all of it, or nothing while one row is
    /// bad.
    ///
    /// The first line names the columns: kind and number, and of size, serial number, last
    /// service, service due, test due and note those that are known. Every bad row is named with
    /// its line and what is wrong.
    Kit(super::kit_list::KitList),
    /// A course file: merged if it is this shop's, continued if it is another school's.
    ///
    /// The whole file is checked first. A course of this shop is merged, and nothing is
    /// overwritten. Another school's becomes a new course of this shop, taken over by an
    /// instructor with the students whose details came along: what they met there is exempted
    /// here, with who judged it. Papers must be seen anew. Keep the file: it is the proof.
    Course {
        #[command(flatten)]
        device: Device,
        /// The file; `-` for the standard input.
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
pub(super) fn run(import: &Import, turn: &Turn) -> Result<bool, Fault> {
    match import {
        Import::Roster { .. } => roster(import, turn),
        Import::Dives { .. } => dives(import, turn),
        Import::Kit(asked) => super::kit_list::run(asked, turn),
        Import::Course {
            device,
            file,
            preview,
        } => course(device, file, *preview, turn),
    }
}

fn roster(import: &Import, turn: &Turn) -> Result<bool, Fault> {
    let Import::Roster {
        of,
        table,
        seen_before,
    } = import
    else {
        return Ok(false);
    };
    let bytes = turn.file(&table.file)?;
    let opened = of.write(turn)?;
    let (desk, course) = (&opened.desk, opened.id());
    let hints = table.hints();
    let seen = desk.look_at_roster(course.clone(), bytes.clone(), hints.clone())?;
    if table.preview {
        show(&seen, turn);
    }
    if !seen.faults.is_empty() {
        for fault in &seen.faults {
            turn.warn(row_fault(fault));
        }
        turn.warn(tr!("Nobody was enrolled."));
        return Ok(false);
    }
    let twins = match seen_before {
        Seen::LeaveOut => Twins::LeaveOut,
        Seen::Take => Twins::Take,
        Seen::Again => Twins::Again,
    };
    if table.preview {
        // The same rules as the act: the role, an end of the course, every bound.
        let new = seen.rows.iter().filter(|row| row.twin.is_none());
        let requests = new.map(|row| Request::Enrol {
            course: course.clone(),
            details: row.details.clone(),
            referred_from: None,
        });
        desk.would_record(requests.collect())?;
        turn.say(tr!("Nobody was enrolled: this was a preview."));
        return Ok(true);
    }
    let taken = desk.take_roster(course, bytes, hints, twins)?;
    let value = json!({
        "new": taken.enrolled, "again": taken.again, "left_out_lines": taken.left_out,
    });
    turn.answer("import.roster", &value, Vec::new, || {
        let mut lines = vec![tr!(
            "{new} enrolled as new, {again} enrolled again, {out} left out",
            new = taken.enrolled,
            again = taken.again,
            out = taken.left_out.len()
        )];
        for line in &taken.left_out {
            lines.push(tr!(
                "  line {line} seems to be someone who is there already",
                line = line
            ));
        }
        lines
    });
    Ok(true)
}

fn dives(import: &Import, turn: &Turn) -> Result<bool, Fault> {
    let Import::Dives {
        of,
        file,
        diver,
        session,
        own,
        of_course,
        preview,
    } = import
    else {
        return Ok(false);
    };
    let bytes = turn.file(file)?;
    let opened = of.write(turn)?;
    if *own {
        super::own_dives::take(&opened, diver, bytes, *preview, turn)?;
        return Ok(true);
    }
    let (desk, course) = (&opened.desk, opened.id());
    let who = find::diver(desk, &opened.course, diver)?;
    let session = find::session_id(desk, &course, session.as_ref())?;
    let log = desk.look_at_dives(course.clone(), who.clone(), bytes.clone())?;
    if *preview {
        super::own_dives::say_log(desk, &log, turn)?;
    }
    if log.doubtful > 0 && session.is_none() && !of_course {
        return Err(Fault::rule("dives_whose").value(log.doubtful));
    }
    if *preview {
        let mut requests = Vec::new();
        for seen in log.dives.into_iter().filter(|seen| !seen.here) {
            requests.push(Request::LogDive {
                course: course.clone(),
                who: who.clone(),
                session: session.clone(),
                log: seen.dive.log,
            });
        }
        desk.would_record(requests)?;
        turn.say(tr!("Nothing was logged: this was a preview."));
        return Ok(true);
    }
    let taken = desk.take_dives(course, who, session, bytes)?;
    let value = json!({ "logged": taken.logged, "left_out": taken.left_out });
    turn.answer("import.dives", &value, Vec::new, || {
        vec![tr!(
            "{logged} dives logged, {out} left out, since they are here",
            logged = taken.logged,
            out = taken.left_out
        )]
    });
    Ok(true)
}

fn course(
    device: &Device,
    file: &std::path::Path,
    preview: bool,
    turn: &Turn,
) -> Result<bool, Fault> {
    let bytes = turn.file(file)?;
    if preview {
        let seen = turn.read(&device.folder)?.look_at_bundle(bytes)?;
        turn.say(tr!(
            "{title}, {school}, made {when} by {name}",
            title = seen.title.clone().unwrap_or_else(|| tr!("a course")),
            school = seen.shop.clone().unwrap_or_else(|| tr!("a school")),
            when = seen.made,
            name = seen.by.clone().unwrap_or_else(|| tr!("an unknown person"))
        ));
        turn.say(match seen.whose {
            Whose::Ours => tr!("A course of this shop: it would be merged."),
            Whose::AnotherSchools => tr!(
                "Another school's course: those whose details came along would be continued here."
            ),
        });
        if seen.revoked {
            turn.say(tr!(
                "The device that made it has been shut out by its shop since."
            ));
        }
        for student in seen.students {
            let name = student.name.unwrap_or(student.student.to_string());
            let ended = if student.ended {
                tr!(", ended there")
            } else {
                String::new()
            };
            let met = tr!(
                "{met} of {of} met, dives: {dives}",
                met = student.met,
                of = student.of,
                dives = student.dives
            );
            turn.say(format!("  {name:<40} {met}{ended}"));
        }
        turn.say(tr!("Nothing was taken: this was a preview."));
        return Ok(true);
    }
    match turn.write(&device.folder)?.take_bundle(bytes)? {
        BundleTaken::Merged { course, new } => {
            let value = json!({ "course": course, "merged": new });
            let sentence = tr!(
                "Merged into the course {course}: {new} entries were new.",
                course = course,
                new = new
            );
            turn.answer(
                "import.course",
                &value,
                || vec![course.to_string()],
                || vec![sentence],
            );
        }
        BundleTaken::Continued {
            course,
            students,
            skills,
            dives,
        } => {
            let value = json!({
                "course": course, "students": students, "skills": skills, "dives": dives,
            });
            let lines = vec![
                tr!(
                    "Continued as the course {course}: {students} students, {skills} skills met elsewhere, {dives} dives.",
                    course = course,
                    students = students,
                    skills = skills,
                    dives = dives
                ),
                tr!("Keep the file: it is the proof of what was taken over."),
            ];
            turn.answer(
                "import.course",
                &value,
                || vec![course.to_string()],
                || lines,
            );
        }
    }
    Ok(true)
}

fn show(seen: &RosterPreview, turn: &Turn) {
    let columns = seen.columns.iter();
    let columns = columns.map(|one| (one.head.as_str(), one.field.as_ref().map(field_name)));
    table_file::show((&seen.encoding, &seen.delimiter), columns, turn);
    for row in &seen.rows {
        let twin = match &row.twin {
            None => String::new(),
            Some(Twin::Line(line)) => tr!("  (as in line {line})", line = line),
            Some(Twin::Student(..)) => tr!("  (the shop knows someone of this name)"),
        };
        let born = row.details.born.as_deref().unwrap_or("-");
        let line = tr!("line {line}", line = format!("{:>4}", row.line));
        turn.say(format!(
            "  {line}  {:<32} {born:<10}{twin}",
            row.details.name
        ));
    }
}

fn field_name(field: &RosterField) -> &'static str {
    match field {
        RosterField::Name => t("name"),
        RosterField::GivenName => t("given name"),
        RosterField::FamilyName => t("family name"),
        RosterField::Called => t("short name"),
        RosterField::Born => t("birth date"),
        RosterField::Contact => t("contact"),
        RosterField::EmergencyName => t("emergency contact's name"),
        RosterField::EmergencyReach => t("emergency contact's number"),
        RosterField::SuitSize => t("suit size"),
        RosterField::BootsSize => t("boots size"),
        RosterField::FinsSize => t("fins size"),
        RosterField::MaskSize => t("mask size"),
        RosterField::BcdSize => t("BCD size"),
        RosterField::OwnKit => t("kit of their own"),
    }
}

fn row_fault(fault: &RowFault) -> String {
    let reason = match &fault.reason {
        RowReason::NoName => tr!("the name is missing"),
        RowReason::TooLong { field, found, most } => {
            table_file::too_long(field_name(field), *found, *most)
        }
        RowReason::Fields { found, expected } => table_file::other_fields(*found, *expected),
        RowReason::NoDate => tr!("the birth date cannot be read: write it as year-month-day"),
        RowReason::TwoDates => {
            tr!("the birth date could be two days: write it as year-month-day")
        }
        RowReason::OtherCentury => tr!("the birth date is after today or before 1900"),
        RowReason::HalfContact => {
            tr!("of the emergency contact only the name or only the number is there")
        }
        RowReason::UnknownKit => {
            tr!("what is brought is no kit that is known: suit, boots, fins, mask, bcd")
        }
        RowReason::Undecodable => table_file::undecodable(),
        RowReason::Quotes => table_file::quotes(),
    };
    tr!("line {line}: {why}", line = fault.line, why = reason)
}
