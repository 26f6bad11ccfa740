//! The workbook of a school that has not confirmed its rules yet, as every new one has not.

use std::io::Cursor;

use calamine::Reader as _;
use tallywater_core::course::starter;
use tallywater_core::paper::Language;
use tallywater_core::paper::data::workbook;

use crate::paper_school::School;

#[test]
fn rules_that_nobody_confirmed_are_counted_in_the_workbook_and_never_named_by_their_ids() {
    let mut school = School::open(&["Tove Lindqvist"]);
    let policy = starter::policy().unwrap();
    let ids: Vec<String> = policy.rules.iter().map(|one| one.id.to_string()).collect();
    school.adopt(policy);
    let standings = school.standings();
    for (language, sheet) in [
        (Language::English, "Still open"),
        (Language::German, "Noch offen"),
    ] {
        let bytes = workbook(&school.source(&standings), language).unwrap();
        let mut book: calamine::Xlsx<_> = calamine::Xlsx::new(Cursor::new(bytes)).unwrap();
        let open = book.worksheet_range(sheet).unwrap();
        let said: Vec<String> = open.cells().map(|(_, _, cell)| cell.to_string()).collect();
        for one in &said {
            assert!(!ids.iter().any(|id| one.contains(id.as_str())), "{one}");
        }
        let counts = said
            .iter()
            .filter(|one| one.chars().any(|c| c.is_ascii_digit()));
        assert!(counts.count() > 0, "{said:?}");
    }
}
