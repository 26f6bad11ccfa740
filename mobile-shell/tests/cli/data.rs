//! Tables, rosters and dive logs, out and in.

use std::path::Path;

use crate::support::{
    COURSE, SHOP, TABLET, done, folder, own_school, path, python, refused, school,
};

#[test]
fn every_export_is_read_by_another_program() {
    let to = folder();
    let tables = path(&to, "tables");
    let args = [
        "export",
        "tables",
        TABLET,
        "-c",
        COURSE,
        "-o",
        tables.to_str().unwrap(),
    ];
    done(school(), &args);
    let rows = "import csv,sys;print(len(list(csv.DictReader(open(sys.argv[1],encoding='utf-8-sig',newline='')))))";
    assert_eq!(python(rows, &tables.join("roster.csv")).trim(), "8");
    let marks: usize = python(rows, &tables.join("marks.csv"))
        .trim()
        .parse()
        .unwrap();
    assert!(marks > 100, "{marks}");
    let described =
        "import json,sys;print(len(json.load(open(sys.argv[1],encoding='utf-8'))['tables']))";
    assert_eq!(
        python(described, &tables.join("csv-metadata.json")).trim(),
        "4"
    );
    let board = path(&to, "board.xlsx");
    done(
        school(),
        &[
            "export",
            "board",
            TABLET,
            "-c",
            COURSE,
            "-o",
            board.to_str().unwrap(),
        ],
    );
    let zip = "import zipfile,sys;z=zipfile.ZipFile(sys.argv[1]);assert z.testzip() is None;print('xl/workbook.xml' in z.namelist())";
    assert_eq!(python(zip, &board).trim(), "True");
    let log = path(&to, "dives.uddf");
    done(
        school(),
        &[
            "export",
            "dive-log",
            TABLET,
            "-c",
            COURSE,
            "-d",
            "Émile",
            "-o",
            log.to_str().unwrap(),
        ],
    );
    let xml = "import xml.etree.ElementTree as t,sys;print(t.parse(sys.argv[1]).getroot().tag)";
    assert!(python(xml, &log).contains("uddf"));
    let activity = path(&to, "activity.csv");
    done(
        school(),
        &["export", "activity", SHOP, "-o", activity.to_str().unwrap()],
    );
    assert!(python(rows, &activity).trim().parse::<usize>().is_ok());
}

#[test]
fn a_roster_is_previewed_then_taken_whole_or_not_at_all() {
    let own = own_school();
    let within = own.path();
    let bad = path(&own, "bad.csv");
    std::fs::write(
        &bad,
        "name,born\nTove Lindqvist,1990-02-03\n,1991-01-01\nHannu Kivelä,soon\n",
    )
    .unwrap();
    let course = ["-c", "First dives, next group"];
    let args = |file: &'static str, more: &[&'static str]| -> Vec<&'static str> {
        let mut args = vec!["import", "roster", SHOP, file];
        args.extend(course);
        args.extend(more);
        args
    };
    let said = refused(within, &args("bad.csv", &[]), 1);
    assert!(said.contains("line 3: the name is missing"), "{said}");
    assert!(
        said.contains("line 4: the birth date cannot be read"),
        "{said}"
    );
    assert!(said.contains("Nobody was enrolled."), "{said}");
    std::fs::write(
        path(&own, "good.csv"),
        "Name;Born\r\nTove Lindqvist;1990-02-03\r\nHannu Kivelä;1988-11-30\r\n",
    )
    .unwrap();
    let preview = done(within, &args("good.csv", &["--preview"]));
    assert!(preview.contains("Tove Lindqvist") && preview.contains("Nobody was enrolled"));
    let taken = done(within, &args("good.csv", &[]));
    assert!(taken.contains("2 enrolled as new"), "{taken}");
    let again = done(within, &args("good.csv", &[]));
    assert!(
        again.contains("0 enrolled as new, 0 enrolled again, 2 left out"),
        "{again}"
    );
    let binary = path(&own, "sheet.xlsx");
    std::fs::write(&binary, b"PK\x03\x04\x00\x00").unwrap();
    let said = refused(within, &args("sheet.xlsx", &[]), 4);
    assert!(said.contains("save the sheet as CSV first"), "{said}");
    let said = refused(within, &args("no-such.csv", &[]), 3);
    assert!(said.contains("there is no file no-such.csv"), "{said}");
}

#[test]
fn a_dive_log_goes_out_and_comes_in_once() {
    let own = own_school();
    let within = own.path();
    done(
        within,
        &[
            "export",
            "dive-log",
            SHOP,
            "-c",
            "First dives, early",
            "-d",
            &diver(within),
            "-o",
            "log.uddf",
        ],
    );
    let dives = ["import", "dives", TABLET];
    let plain = [&dives[..], &["log.uddf", "-c", COURSE, "-d", "Émile"]].concat();
    println!("## Of no session of this course: whose they are is asked, and nothing is taken");
    for look in [&[][..], &["--preview"]] {
        let said = refused(within, &[&plain[..], look].concat(), 4);
        assert!(
            said.contains("--own") && said.contains("--of-course"),
            "{said}"
        );
    }
    let args = |file: &'static str| {
        [
            &dives[..],
            &[file, "-c", COURSE, "-d", "Émile", "--of-course"],
        ]
        .concat()
    };
    let taken = done(within, &args("log.uddf"));
    assert!(taken.contains("dives logged, 0 left out"), "{taken}");
    assert!(!taken.starts_with("0 dives"), "{taken}");
    let again = done(within, &args("log.uddf"));
    assert!(again.starts_with("0 dives logged"), "{again}");
    let text = std::fs::read_to_string(path(&own, "log.uddf")).unwrap();
    let begin = text.find("<greatestdepth>").unwrap();
    let end = text.find("</greatestdepth>").unwrap();
    let feet = format!("{}<greatestdepth>3900{}", &text[..begin], &text[end..]);
    std::fs::write(path(&own, "feet.uddf"), feet).unwrap();
    let said = refused(within, &args("feet.uddf"), 4);
    assert!(
        said.contains("greatestdepth") && said.contains("unit"),
        "{said}"
    );
    std::fs::write(path(&own, "empty.uddf"), "").unwrap();
    let said = refused(within, &args("empty.uddf"), 4);
    assert!(said.contains("not a UDDF dive log"), "{said}");
}

/// A student of the finished course.
fn diver(within: &Path) -> String {
    let to = folder();
    let file = path(&to, "roster.csv");
    done(
        within,
        &[
            "export",
            "roster",
            SHOP,
            "-c",
            "First dives, early",
            "-o",
            file.to_str().unwrap(),
        ],
    );
    let first = "import csv,sys;print(next(csv.DictReader(open(sys.argv[1],encoding='utf-8-sig',newline='')))['student_id'])";
    python(first, &file).trim().to_owned()
}
