//! `tallywater verify`: a course file, or a course on a device, worked out anew from its
//! signed entries; and a printed record held against it.

use std::path::PathBuf;

use clap::Args;
use tallywater_bindings::{
    Claim, Doubt, Fault, Printed, RecordCheck, RecordPart, Verification, verify_bundle,
};

use super::find;

/// What is checked.
#[derive(Debug, Args)]
pub(super) struct Verify {
    /// A course file, or a device's folder.
    path: PathBuf,
    /// In a device's folder, the course: an id, or its title or the beginning of it.
    #[arg(long, short)]
    course: Option<String>,
    /// A fingerprint off a printed record: 64 digits, with or without spaces. Either of the two
    /// that a record prints.
    #[arg(long, short)]
    fingerprint: Option<String>,
    /// The state of the course that is printed beside the fingerprint: with it the fingerprint is
    /// found whatever has come since, from whichever device.
    #[arg(long, value_name = "DIGITS", requires = "fingerprint")]
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
pub(super) fn run(verify: &Verify) -> Result<bool, Fault> {
    let state = verify.state.clone();
    let printed = verify
        .fingerprint
        .clone()
        .map(|fingerprint| Claim { fingerprint, state });
    let found = if verify.path.is_dir() {
        let desk = super::open(&verify.path)?;
        let course = find::course(&desk, verify.course.as_deref())?.course;
        desk.verify_course(course, printed)?
    } else {
        verify_bundle(find::file(&verify.path)?, printed)?
    };
    println!(
        "{} entries, every signature checked; fingerprint of all of them:",
        found.entries
    );
    println!("  {}", found.fingerprint);
    println!("state of the course:\n  {}", found.state);
    notices(&found);
    let mut holds = true;
    if let Some(printed) = &found.printed {
        holds &= say_printed(printed, verify.state.is_some());
    }
    match &verify.student {
        Some(student) => {
            let record = found.records.iter().find(|one| one.student == *student);
            let record = record.ok_or_else(|| find::missing("student", student))?;
            holds &= parts(record, &verify.part)?;
        }
        None if found.printed == Some(Printed::Other) => {
            println!("To find where a record differs, compare it part by part:");
            for record in &found.records {
                parts(record, &[])?;
            }
        }
        None => {}
    }
    Ok(holds)
}

fn notices(found: &Verification) {
    if found.newer > 0 {
        println!(
            "  {} entries are from a newer version: kept, not read",
            found.newer
        );
    }
    for doubt in &found.unverified {
        println!(
            "  {} entries count for nothing: {}",
            doubt.count,
            why(&doubt.doubt)
        );
    }
    if found.irregular > 0 {
        println!(
            "  {} things in the change log that no honest device writes; the first valid entry stands",
            found.irregular
        );
    }
}

fn say_printed(printed: &Printed, with_state: bool) -> bool {
    match printed {
        Printed::Same => println!("Yes: the fingerprint is of exactly these entries."),
        Printed::Before { entries, since } => println!(
            "Yes: the fingerprint is of {entries} of these entries; {since} have been added since."
        ),
        Printed::Record { student } => println!(
            "Yes: the fingerprint is of exactly the entries that the record of student {student} rests on."
        ),
        Printed::Other => {
            println!(
                "No: these are not the entries that were printed. One is missing, was added among them, or was changed."
            );
            if !with_state {
                println!(
                    "What another device wrote before and sent since lies among them: give --state, as it is printed beside the fingerprint."
                );
            }
            return false;
        }
    }
    true
}

/// A record part by part, each beside what was printed.
fn parts(record: &RecordCheck, printed: &[String]) -> Result<bool, Fault> {
    println!(
        "Record of student {}: {}, {} entries",
        record.student,
        if record.completed {
            "completed"
        } else {
            "not completed"
        },
        record.entries
    );
    println!("  {}", record.own);
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
            None => "",
            Some((_, given)) if *given == plain(digits) => "  the same",
            Some(_) => {
                holds = false;
                "  DIFFERS from what was printed"
            }
        };
        println!("  {name:<12} {count:>5} entries  {digits}{said}");
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

const fn why(doubt: &Doubt) -> &'static str {
    match doubt {
        Doubt::Malformed => "they cannot be read",
        Doubt::Signature => "the signature does not hold",
        Doubt::NoCertificate => "the device was never admitted",
        Doubt::NotTheWriter => "signed by another person's device",
        Doubt::Role => "the role of the device does not allow it",
        Doubt::Late => "they came after the device was shut out",
    }
}
