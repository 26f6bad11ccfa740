//! Papers from the command line, opened by another program.

use std::path::PathBuf;

use crate::support::{COURSE, TABLET, done, folder, path, refused, school, tool};

#[test]
fn every_paper_is_printed_and_opened_by_another_program() {
    let to = folder();
    let first = first_session();
    let papers: [(&str, Vec<&str>); 7] = [
        ("record", vec!["-s", "Émile"]),
        ("summary", vec![]),
        ("session", vec!["-s", &first]),
        ("slate", vec!["-s", &first, "--size", "a6"]),
        ("cards", vec!["--skill", "mask-full"]),
        ("activity", vec![]),
        ("actions", vec![]),
    ];
    for (paper, more) in papers {
        for sheet in ["a4", "letter"] {
            let file = path(&to, &format!("{paper}-{sheet}.pdf"));
            let file = file.to_str().unwrap();
            let mut args = vec!["paper", paper, TABLET, "-c", COURSE, "-o", file];
            args.extend(["--sheet", sheet]);
            args.extend(&more);
            assert!(done(school(), &args).contains(file));
            tool("qpdf", &["--check", file]);
            let text = tool("pdftotext", &["-layout", file, "-"]);
            assert!(!text.trim().is_empty(), "{paper}");
            if paper == "record" {
                assert!(text.contains("Émile"), "{text}");
            }
        }
    }
}

/// The id of a planned session of the course, off the calendar.
fn first_session() -> String {
    let to = folder();
    let file = path(&to, "sessions.ics");
    done(
        school(),
        &[
            "export",
            "calendar",
            TABLET,
            "-c",
            COURSE,
            "-o",
            file.to_str().unwrap(),
        ],
    );
    let text = std::fs::read_to_string(&file).unwrap();
    let uid = text.lines().find_map(|line| line.strip_prefix("UID:"));
    uid.unwrap().trim().to_owned()
}

#[test]
fn a_whole_course_is_printed_into_a_folder_and_nothing_there_is_written_over() {
    let to = folder();
    let records = path(&to, "records");
    let args = [
        "paper",
        "record",
        TABLET,
        "-c",
        COURSE,
        "-o",
        records.to_str().unwrap(),
    ];
    assert!(done(school(), &args).contains("records: 8"));
    let mut files: Vec<PathBuf> = std::fs::read_dir(&records)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    assert_eq!(files.len(), 8);
    for file in &files {
        tool("qpdf", &["--check", file.to_str().unwrap()]);
    }
    std::fs::write(&files[0], b"mine").unwrap();
    let said = refused(school(), &args, 4);
    assert!(
        said.contains("there is a file of that name already"),
        "{said}"
    );
    assert_eq!(std::fs::read(&files[0]).unwrap(), b"mine");
    let mut over = args.to_vec();
    over.push("--replace");
    done(school(), &over);
    assert!(std::fs::read(&files[0]).unwrap().starts_with(b"%PDF-"));
}
