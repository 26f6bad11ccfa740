//! `tallywater course`: courses from their opening to their closing.

use clap::Subcommand;
use serde_json::json;
use tallywater_bindings::{CourseState, Fault, OutlineFrom, Request, Role, StaffRole};

use super::catalogue::tr;
use super::of::{Device, Of};
use super::turn::Turn;
use super::words::{self, Stage};
use super::{find, when};

/// What is asked of courses.
#[derive(Debug, Subcommand)]
pub(super) enum Course {
    /// List the courses of the school.
    List {
        #[command(flatten)]
        device: Device,
    },
    /// Open a course, with an outline to begin with and the school's rules as they are now.
    Open {
        #[command(flatten)]
        device: Device,
        /// What it is called.
        #[arg(long)]
        title: String,
        /// Its first day: year-month-day, or today, tomorrow, +3.
        #[arg(long, allow_hyphen_values = true)]
        starts: String,
        /// Where it is usually held.
        #[arg(long)]
        place: Option<String>,
        /// Which outline it begins with: school, starter, or the title of an earlier course.
        #[arg(long, default_value = "school")]
        outline: String,
        /// Its instructors, by name; whoever opens it where none is given and an instructor
        /// opens it.
        #[arg(long, value_name = "NAME")]
        instructor: Vec<String>,
        /// Its assistants, by name.
        #[arg(long, value_name = "NAME")]
        assistant: Vec<String>,
    },
    /// Give a course another title or first day.
    Retitle {
        #[command(flatten)]
        of: Of,
        /// What it is called from now on.
        #[arg(long)]
        title: Option<String>,
        /// Its first day from now on.
        #[arg(long, allow_hyphen_values = true)]
        starts: Option<String>,
        /// Where it is usually held from now on.
        #[arg(long)]
        place: Option<String>,
    },
    /// Close a course: it has ended, and stays readable.
    Close {
        #[command(flatten)]
        of: Of,
    },
    /// Open a closed course again.
    Reopen {
        #[command(flatten)]
        of: Of,
    },
    /// Say that a course has been handed over to another school.
    HandOver {
        #[command(flatten)]
        of: Of,
    },
}

/// Does what was asked.
pub(super) fn run(course: &Course, turn: &Turn) -> Result<(), Fault> {
    match course {
        Course::List { device } => list(device, turn),
        Course::Open {
            device,
            title,
            starts,
            place,
            outline,
            instructor,
            assistant,
        } => {
            let desk = turn.write(&device.folder)?;
            let mut staff = Vec::new();
            for (names, role) in [(instructor, Role::Instructor), (assistant, Role::Assistant)] {
                for name in names {
                    let staff_id = find::staff(&desk, name)?.staff.to_string();
                    staff.push(StaffRole {
                        staff: staff_id,
                        role,
                    });
                }
            }
            if instructor.is_empty()
                && let Some(me) = desk.state()?.me
                && me.role == Role::Instructor
            {
                let staff_id = me.name.staff;
                staff.push(StaffRole {
                    staff: staff_id.to_string(),
                    role: Role::Instructor,
                });
            }
            let outline = match outline.as_str() {
                "school" => OutlineFrom::School,
                "starter" => OutlineFrom::Starter,
                earlier => OutlineFrom::Course {
                    course: find::course(&desk, Some(earlier))?.course.to_string(),
                },
            };
            let receipt = desk.record(Request::OpenCourse {
                title: title.clone(),
                starts: when::day(&desk, starts)?,
                place: place.clone(),
                outline,
                staff,
            })?;
            let id = receipt.made.clone().unwrap_or_default();
            turn.recorded(&receipt, tr!("The course is open: {id}", id = id));
            Ok(())
        }
        Course::Retitle {
            of,
            title,
            starts,
            place,
        } => {
            let opened = of.write(turn)?;
            let starts = match starts {
                Some(typed) => when::day(&opened.desk, typed)?,
                None => opened.course.starts.date.to_string(),
            };
            let title = title.clone().unwrap_or_else(|| opened.course.title.clone());
            let course = opened.id();
            let place = match place {
                Some(place) => Some(place.clone()),
                None => opened.desk.course(course.clone())?.place,
            };
            let receipt = opened.desk.record(Request::RetitleCourse {
                course,
                title,
                starts,
                place,
            })?;
            turn.recorded(&receipt, tr!("The course has its new title and day."));
            Ok(())
        }
        Course::Close { of } => state(of, CourseState::Closed, tr!("The course is closed."), turn),
        Course::Reopen { of } => {
            let sentence = tr!("The course is open again.");
            state(of, CourseState::Running, sentence, turn)
        }
        Course::HandOver { of } => {
            let sentence = tr!("The course is marked as handed over.");
            state(of, CourseState::HandedOver, sentence, turn)
        }
    }
}

fn state(of: &Of, state: CourseState, sentence: String, turn: &Turn) -> Result<(), Fault> {
    let opened = of.write(turn)?;
    let course = opened.id();
    let receipt = opened.desk.record(Request::ListCourse { course, state })?;
    turn.recorded(&receipt, sentence);
    Ok(())
}

fn list(device: &Device, turn: &Turn) -> Result<(), Fault> {
    let desk = turn.read(&device.folder)?;
    let here: Vec<String> = find::courses(&desk)?
        .into_iter()
        .map(|row| row.course.to_string())
        .collect();
    let rows = desk.course_list(None)?.rows;
    let value = rows.iter().map(|row| {
        let staff = row.staff.iter().map(words::staff);
        json!({
            "id": row.course, "title": row.title, "starts": row.starts.date,
            "stage": Stage::from(&row.stage).word(), "here": here.contains(&row.course.to_string()),
            "staff": staff.collect::<Vec<_>>(),
        })
    });
    let value = json!({ "courses": value.collect::<Vec<_>>() });
    turn.answer(
        "course.list",
        &value,
        || rows.iter().map(|row| row.course.to_string()).collect(),
        || {
            let line = |row: &tallywater_bindings::CourseRow| {
                let staff: Vec<&str> = row.staff.iter().map(|one| one.name.as_str()).collect();
                let stage = Stage::from(&row.stage).said();
                let (id, title, starts) = (&row.course, &row.title, &row.starts.date);
                format!(
                    "{id}  {starts}  {stage:<12}  {title}  ({})",
                    staff.join(", ")
                )
            };
            rows.iter().map(line).collect()
        },
    );
    Ok(())
}
