//! Course files: verified, held against paper, continued by another school.

use std::path::Path;

use crate::support::{
    COURSE, SHOP, TABLET, demo, done, folder, out, own_school, path, refused, school, tallywater,
    tool,
};

/// The course in one file, with one student's details.
fn export(within: &Path, file: &str) {
    let details = ["--with-details", "Émile", "-o", file];
    let course = ["export", "course", TABLET, "-c", COURSE];
    done(within, &[&course[..], &details].concat());
}

#[test]
fn a_course_file_verifies_and_a_printed_record_is_held_against_it() {
    let to = folder();
    let file = path(&to, "course.tally");
    let file = file.to_str().unwrap();
    export(school(), file);
    let said = done(school(), &["verify", file]);
    let all = said.lines().nth(1).unwrap().trim().to_owned();
    let said = done(school(), &["verify", file, "-f", &all]);
    assert!(
        said.contains("Yes: the fingerprint is of exactly these entries"),
        "{said}"
    );
    let pdf = path(&to, "record.pdf");
    let pdf = pdf.to_str().unwrap();
    done(
        school(),
        &[
            "paper", "record", TABLET, "-c", COURSE, "-s", "Émile", "-o", pdf,
        ],
    );
    let printed = tool("pdftotext", &["-raw", pdf, "-"]);
    assert!(
        printed.contains(&all[..19]),
        "the record prints the fingerprint"
    );
    let state = said_after(&said, "state of the course:");
    assert!(printed.contains(&state), "and the state it is of: {state}");
    let said = done(school(), &["verify", file, "-f", &all, "--state", &state]);
    assert!(said.contains("Yes:"), "{said}");
    let bad = refused(school(), &["verify", file, "-f", &all, "--state", "x"], 4);
    assert!(bad.contains("a state is groups of eight digits"), "{bad}");
    // The same device, without a file.
    let said = done(school(), &["verify", TABLET, "-c", COURSE, "-f", &all]);
    assert!(said.contains("Yes:"), "{said}");
    let wrong = "0".repeat(64);
    let ran = tallywater(school(), &["verify", file, "-f", &wrong]);
    assert_eq!(ran.status.code(), Some(1));
    assert!(
        out(&ran).contains("No: these are not the entries"),
        "{}",
        out(&ran)
    );
    // Part by part: what was printed, and one part that was not.
    let text = out(&ran);
    let record = text.split("Record of student ").nth(1).unwrap();
    let student = record.split(':').next().unwrap();
    let line = record.lines().find(|line| line.contains("skills")).unwrap();
    let digits = line.split("entries").nth(1).unwrap().trim();
    let part = format!("skills={digits}");
    let same = done(school(), &["verify", file, "-s", student, "--part", &part]);
    assert!(same.contains("the same"), "{same}");
    let args = ["verify", file, "-s", student, "--part", "skills=00000000"];
    let ran = tallywater(school(), &args);
    assert_eq!(ran.status.code(), Some(1));
    assert!(out(&ran).contains("DIFFERS"), "{}", out(&ran));
    // One byte changed anywhere.
    let mut bytes = std::fs::read(file).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    let changed = path(&to, "changed.tally");
    std::fs::write(&changed, bytes).unwrap();
    let said = refused(school(), &["verify", changed.to_str().unwrap()], 5);
    assert!(said.contains("changed after it was signed"), "{said}");
}

#[test]
fn a_referral_is_continued_by_another_schools_instructor() {
    let (here, there) = (own_school(), demo());
    let file = path(&there, "referral.tally");
    let file = file.to_str().unwrap();
    export(there.path(), file);
    let seen = done(
        here.path(),
        &["import", "course", TABLET, file, "--preview"],
    );
    assert!(seen.contains("Another school's course"), "{seen}");
    let said = refused(here.path(), &["import", "course", SHOP, file], 4);
    assert!(said.contains("role"), "{said}");
    let taken = done(here.path(), &["import", "course", TABLET, file]);
    assert!(taken.contains("1 students"), "{taken}");
    assert!(taken.contains("Keep the file"), "{taken}");
    let again = refused(here.path(), &["import", "course", TABLET, file], 4);
    assert!(again.contains("already"), "{again}");
    // Into the school it came from, it is only merged.
    let merged = done(there.path(), &["import", "course", TABLET, file]);
    assert!(merged.contains("0 entries were new"), "{merged}");
}

/// The line after this one.
fn said_after(said: &str, line: &str) -> String {
    let mut rest = said.lines().skip_while(|one| *one != line);
    rest.nth(1).unwrap().trim().to_owned()
}
