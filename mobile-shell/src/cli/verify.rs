//! `tallywater verify`: a course file, or a course on a device, worked out anew from its
//! signed entries; and a printed record held against it.

use std::path::PathBuf;

use clap::Args;
use serde_json::json;
use tallywater_bindings::{
    Claim, Fault, Printed, RecordCheck, RecordPart, Verification, verify_bundle,
};

use super::catalogue::{t, tr};
use super::find;
use super::turn::Turn;
use super::words::Doubt as Why;

/// What is checked.
#[derive(Debug, Args)]
pub(super) struct Verify {
    /// A course file (`-` for the standard input), or a device's folder.
    path: PathBuf,
    /// In a device's folder, the course: an id, or its title or the beginning of it.
    #[arg(long, short)]
    course: Option<String>,
    /// A fingerprint off a printed record: 64 digits, with or without spaces. Either of the two
    /// that a record prints.
    #[arg(long, short)]
    fingerprint: Option<String>,
    /// The state of the course that is printed beside the fingerprint: with it the record is held
    /// against what stood then, whatever has come since, from whichever device.
    #[arg(long, value_name = "DIGITS")]
    state: Option<String>,
    /// A student's id off a printed record: show the record part by part.
    #[arg(long, short)]
    student: Option<String>,
    /// With --student, a part and its digits off the printed record, as often as there are
    /// parts: --part skills="3f2a 91c0".
    #[arg(long, value_name = "PART=DIGITS", requires = "student")]
    part: Vec<String>,
}

/// Checks, and says what was found. `false` where what was printed is not what stands here.
pub(super) fn run(verify: &Verify, turn: &Turn) -> Result<bool, Fault> {
    let (fingerprint, state) = (verify.fingerprint.clone(), verify.state.clone());
    let given = fingerprint.is_some() || state.is_some();
    let printed = given.then_some(Claim { fingerprint, state });
    let found = if turn.path(&verify.path).is_dir() {
        let desk = turn.read(&verify.path)?;
        let course = find::course(&desk, verify.course.as_deref())?
            .course
            .to_string();
        desk.verify_course(course, printed)?
    } else {
        verify_bundle(turn.file(&verify.path)?, printed)?
    };
    let mut lines = vec![
        tr!(
            "{count} entries, every signature checked; fingerprint of all of them:",
            count = found.entries
        ),
        format!("  {}", found.fingerprint),
        tr!("state of the course:"),
        format!("  {}", found.state),
    ];
    notices(&found, &mut lines);
    let mut holds = true;
    let mut printed_as = None;
    match (&verify.state, found.at_state) {
        (Some(_), Some(count)) => lines.push(tr!(
            "The course held {count} entries in the state that was printed.",
            count = count
        )),
        (Some(_), None) => {
            lines.push(tr!(
                "The state that was printed is not here: entries of that moment are missing."
            ));
            holds = verify.fingerprint.is_some();
        }
        (None, _) => {}
    }
    if let Some(printed) = &found.printed {
        let said = say_printed(printed, verify.state.is_some(), &mut lines);
        holds &= said != "other";
        printed_as = Some(said);
    }
    match &verify.student {
        Some(student) => {
            let record = found.records.iter().find(|one| one.student == *student);
            let record = record.ok_or_else(|| find::missing("student", student))?;
            holds &= parts(record, &verify.part, &mut lines)?;
        }
        None if found.printed == Some(Printed::Other) => {
            lines.push(tr!(
                "To find where a record differs, compare it part by part:"
            ));
            for record in &found.records {
                parts(record, &[], &mut lines)?;
            }
        }
        None => {}
    }
    let doubts = found.unverified.iter();
    let doubts =
        doubts.map(|one| json!({ "why": Why::from(&one.doubt).word(), "count": one.count }));
    let records = found.records.iter().map(|record| {
        let parts = record.parts.iter().map(|one| {
            let name = PARTS.iter().find(|(part, _)| *part == one.part);
            let name = name.map(|(_, name)| *name);
            json!({ "part": name, "entries": one.entries, "check": one.check })
        });
        json!({
            "student": record.student, "completed": record.completed, "entries": record.entries,
            "fingerprint": record.own, "parts": parts.collect::<Vec<_>>(),
        })
    });
    let value = json!({
        "holds": holds, "printed": printed_as, "entries": found.entries,
        "fingerprint": found.fingerprint, "state": found.state,
        "newer": found.newer,
        "unverified": doubts.collect::<Vec<_>>(), "irregular": found.irregular,
        "records": records.collect::<Vec<_>>(),
    });
    turn.answer(
        "verify",
        &value,
        || vec![found.fingerprint.clone()],
        || lines,
    );
    Ok(holds)
}

fn notices(found: &Verification, lines: &mut Vec<String>) {
    if found.newer > 0 {
        lines.push(tr!(
            "  {count} entries are from a newer version: kept, not read",
            count = found.newer
        ));
    }
    for doubt in &found.unverified {
        lines.push(tr!(
            "  {count} entries count for nothing: {why}",
            count = doubt.count,
            why = Why::from(&doubt.doubt).said()
        ));
    }
    if found.irregular > 0 {
        lines.push(tr!(
            "  {count} things in the change log that no honest device writes; the first valid entry stands",
            count = found.irregular
        ));
    }
}

fn say_printed(printed: &Printed, with_state: bool, lines: &mut Vec<String>) -> &'static str {
    match printed {
        Printed::Same => {
            lines.push(tr!("Yes: the fingerprint is of exactly these entries."));
            "same"
        }
        Printed::Before { entries, since } => {
            lines.push(tr!(
                "Yes: the fingerprint is of {entries} of these entries; {since} have been added since.",
                entries = entries,
                since = since
            ));
            "before"
        }
        Printed::Record {
            student,
            entries: _,
            since: 0,
        } => {
            lines.push(tr!(
                "Yes: the fingerprint is of exactly the entries that the record of student {student} rests on.",
                student = student
            ));
            "record"
        }
        Printed::Record {
            student,
            entries,
            since,
        } => {
            lines.push(tr!(
                "Yes: the fingerprint is of the {entries} entries that the record of student {student} rested on; {since} about the student have been added since.",
                entries = entries,
                student = student,
                since = since
            ));
            "record"
        }
        Printed::Other => {
            lines.push(tr!(
                "No: these are not the entries that were printed. One is missing, was added among them, or was changed."
            ));
            if !with_state {
                lines.push(tr!(
                    "If entries have been added since, give --state as well, as it is printed beside the fingerprint."
                ));
            }
            "other"
        }
    }
}

/// A record part by part, each beside what was printed.
fn parts(record: &RecordCheck, printed: &[String], lines: &mut Vec<String>) -> Result<bool, Fault> {
    let state = if record.completed {
        tr!("completed")
    } else {
        tr!("not completed")
    };
    lines.push(tr!(
        "Record of student {student}: {state}, {count} entries",
        student = record.student,
        state = state,
        count = record.entries
    ));
    lines.push(format!("  {}", record.own));
    let mut asked = Vec::new();
    for text in printed {
        let wrong = || find::refused("bad_part", "part", Some(text));
        let (name, digits) = text.split_once('=').ok_or_else(wrong)?;
        if !PARTS.iter().any(|(_, known)| *known == name) {
            return Err(wrong());
        }
        asked.push((name, plain(digits)));
    }
    let mut holds = true;
    for (part, name) in PARTS {
        let here = record.parts.iter().find(|one| one.part == *part);
        let digits = here.map_or("none", |one| one.check.as_str());
        let count = here.map_or(0, |one| one.entries);
        let said = match asked.iter().find(|(known, _)| known == name) {
            None => String::new(),
            Some((_, given)) if *given == plain(digits) => tr!("  the same"),
            Some(_) => {
                holds = false;
                tr!("  DIFFERS from what was printed")
            }
        };
        let entries = t("entries");
        lines.push(format!("  {name:<12} {count:>5} {entries}  {digits}{said}"));
    }
    Ok(holds)
}

fn plain(digits: &str) -> String {
    let kept = digits.chars().filter(|c| !c.is_whitespace());
    kept.flat_map(char::to_lowercase).collect()
}

const PARTS: &[(RecordPart, &str)] = &[
    (RecordPart::Enrolment, "enrolment"),
    (RecordPart::Papers, "papers"),
    (RecordPart::Skills, "skills"),
    (RecordPart::Sessions, "sessions"),
    (RecordPart::Dives, "dives"),
    (RecordPart::Weights, "weights"),
    (RecordPart::Completion, "completion"),
];
