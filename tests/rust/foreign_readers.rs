//! Readers that we did not write open what we write: openpyxl for the workbook, icalendar for the
//! calendar, Python's own csv and XML for tables and dives. `.ci/setup` installs them (Debian:
//! python3-openpyxl, python3-icalendar). The PDFs are opened by qpdf and Poppler in `paper_record`.
//! Not held against anything foreign: the published UDDF schema and a CSVW validator, which cannot
//! be had from Debian.

use std::process::Command;

use tallywater_core::paper::Language;
use tallywater_core::paper::data::{
    calendar, csvw, dives_csv, marks_csv, roster_csv, uddf_dives, workbook, write_uddf,
};

use crate::paper_school::School;

const SCRIPT: &str = r#"
import csv, datetime, json, sys
import xml.etree.ElementTree as tree
from pathlib import Path
import icalendar, openpyxl

folder = Path(sys.argv[1])
book = openpyxl.load_workbook(folder / "board.xlsx")
marks = book.worksheets[2]
rows = list(marks.iter_rows(min_row=2, values_only=True))
assert rows, "no marks"
for row in rows:
    assert isinstance(row[3], datetime.datetime), row[3]
    assert row[3].year == 2026, row[3]
assert marks.cell(2, 4).is_date
print("marks", len(rows))

text = (folder / "sessions.ics").read_bytes()
for line in text.split(b"\r\n"):
    assert len(line) <= 75, line
events = icalendar.Calendar.from_ical(text).walk("VEVENT")
assert events, "no events"
for event in events:
    assert event["UID"] and event.decoded("DTSTART") < event.decoded("DTEND")
print("events", len(events))

meta = json.loads((folder / "csv-metadata.json").read_text(encoding="utf-8"))
for table in meta["tables"]:
    name = table["url"]
    with open(folder / name, newline="", encoding="utf-8-sig") as file:
        rows = list(csv.reader(file, strict=True))
    heads = [column["titles"] for column in table["tableSchema"]["columns"]]
    assert rows[0] == heads, name
    keys = [heads.index(key) for key in table["tableSchema"]["primaryKey"]]
    seen = {tuple(row[key] for key in keys) for row in rows[1:]}
    assert len(seen) == len(rows) - 1, f"{name}: a key is there twice"
    for column, head in zip(table["tableSchema"]["columns"], range(len(heads))):
        for row in rows[1:]:
            cell = row[head]
            assert cell or not column["required"], (name, column["name"])
            if not cell:
                continue
            kind = column["datatype"]
            if kind == "integer":
                int(cell)
            elif kind == "decimal":
                float(cell)
            elif kind == "date":
                datetime.date.fromisoformat(cell)
            elif kind == "dateTimeStamp":
                assert datetime.datetime.fromisoformat(cell).tzinfo is not None
            elif kind == "boolean":
                assert cell in ("true", "false"), cell
    print(name, len(rows) - 1)

root = tree.parse(folder / "dives.uddf").getroot()
space = {"u": "http://www.streit.cc/uddf/3.2/"}
dives = root.findall(".//u:dive", space)
assert dives and root.get("version").startswith("3.2")
purposes = {dive.find(".//u:purpose", space).text for dive in dives}
assert purposes == {"learning"}, purposes
print("dives", len(dives))
"#;

#[test]
fn spreadsheets_calendars_tables_and_dives_are_read_by_others() {
    let mut school = School::open(&["Odile Färber-Østergård", "Bo Li", "黒潮 美波"]);
    for student in school.students.clone() {
        school.clear(student);
    }
    school.teach();
    let standings = school.standings();
    let source = school.source(&standings);
    let folder = tempfile::TempDir::new().unwrap();
    let write = |name: &str, bytes: &[u8]| std::fs::write(folder.path().join(name), bytes).unwrap();
    write("board.xlsx", &workbook(&source, Language::English).unwrap());
    write("sessions.ics", &calendar(&source, Language::German));
    let tables = [
        roster_csv(&source).unwrap(),
        marks_csv(&source).unwrap(),
        dives_csv(&source).unwrap(),
    ];
    for table in &tables {
        write(table.name.file(), &table.csv);
    }
    write(
        "csv-metadata.json",
        &csvw(&tables.iter().collect::<Vec<_>>()).unwrap(),
    );
    let who = tallywater_core::entry::Who::Student(school.students[0]);
    let dives = uddf_dives(&source, &who);
    assert!(!dives.is_empty());
    write(
        "dives.uddf",
        &write_uddf("Odile Färber-Østergård", &dives, school.now).unwrap(),
    );
    // The system's own Python: the packages are Debian's.
    let output = Command::new("/usr/bin/python3")
        .args(["-c", SCRIPT])
        .arg(folder.path())
        .output()
        .unwrap_or_else(|error| panic!("python3 is needed for this test: {error}"));
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(
        output.status.success(),
        "{said}\n{}(Debian: python3-openpyxl, python3-icalendar)",
        String::from_utf8_lossy(&output.stderr)
    );
    for part in ["marks", "events", "roster.csv 3", "dives"] {
        assert!(said.contains(part), "{said}");
    }
}
