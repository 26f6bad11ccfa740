//! Workbook: the course board as a spreadsheet, students by skills, for those who live in one.

use chrono::{Datelike as _, Timelike as _};
use rust_xlsxwriter::{ExcelDateTime, Format, FormatAlign, FormatBorder, Workbook, XlsxError};

use super::DataError;
use super::opened::{Opened, opened};
use crate::paper::record::Record;
use crate::paper::say::{moment, signer_name};
use crate::paper::source::Source;
use crate::paper::words::Language;
use crate::standing::CellState;
use crate::view::Units;

/// The board and, on a second sheet, what each student still misses. Texts are written as
/// texts, so none of them can become a formula.
///
/// # Errors
/// [`DataError`].
pub fn workbook(source: &Source<'_>, language: Language) -> Result<Vec<u8>, DataError> {
    let bytes = write(source, language);
    let bytes = bytes.map_err(|error| DataError::of("workbook")(error.to_string()))?;
    opened(Opened::Workbook, bytes)
}

fn write(source: &Source<'_>, language: Language) -> Result<Vec<u8>, XlsxError> {
    let words = language.words();
    let students = source.roster(&source.course.students(), words);
    let records: Vec<Record> = students
        .into_iter()
        .map(|(student, _)| Record::of(source, student))
        .collect();
    let name = |record: &Record| source.student_name(&record.student, words);
    let mut book = Workbook::new();
    let head = Format::new()
        .set_bold()
        .set_text_wrap()
        .set_align(FormatAlign::Top)
        .set_border_bottom(FormatBorder::Medium);
    let met = Format::new()
        .set_background_color(0x00DD_DDDD)
        .set_border(FormatBorder::Thin);
    let two = Format::new().set_bold().set_border(FormatBorder::Double);
    let plain = Format::new().set_border(FormatBorder::Thin);
    let board = book.add_worksheet();
    board.set_name(words.skills)?;
    board.set_freeze_panes(1, 1)?;
    board.set_landscape();
    board.write_with_format(0, 0, words.student, &head)?;
    board.set_column_width(0, 30)?;
    let skills = source
        .course
        .outline()
        .map_or(&[][..], |outline| &outline.skills);
    for (column, skill) in (1_u16..).zip(skills) {
        board.write_string_with_format(0, column, &skill.name, &head)?;
        board.set_column_width(column, 12)?;
    }
    for (row, record) in (1_u32..).zip(&records) {
        board.write_string(row, 0, name(record))?;
        for (column, skill) in (1_u16..).zip(&record.skills) {
            let mut text = words.state_of(skill.state).to_owned();
            if skill.of > 1 {
                text = format!("{text} {}/{}", skill.met, skill.of);
            }
            if skill.slipped_since {
                text = format!("{text}, {}", words.slipped_since);
            }
            let format = match skill.state {
                CellState::Met | CellState::Exempt => &met,
                CellState::TwoViews => &two,
                CellState::Open | CellState::Trying | CellState::Shown => &plain,
            };
            board.write_string_with_format(row, column, &text, format)?;
        }
    }
    let missing = book.add_worksheet();
    missing.set_name(words.still_open)?;
    for (column, title) in (0_u16..).zip([words.student, words.still_open]) {
        missing.write_string_with_format(0, column, title, &head)?;
        missing.set_column_width(column, 42)?;
    }
    let mut row = 1_u32;
    for record in &records {
        for said in words.gaps(&record.gaps, source.course.outline(), Units::Metric) {
            missing.write_string(row, 0, name(record))?;
            missing.write_string(row, 1, said)?;
            row += 1;
        }
    }
    let dated = Format::new().set_num_format("yyyy-mm-dd hh:mm");
    let marks = book.add_worksheet();
    marks.set_name(words.mark)?;
    let titles = [
        words.student,
        words.skill,
        words.state_open,
        words.date,
        words.judged_by,
    ];
    for (column, title) in (0_u16..).zip(titles) {
        let title = if column == 2 { words.mark } else { title };
        marks.write_string_with_format(0, column, title, &head)?;
        marks.set_column_width(column, 24)?;
    }
    let mut row = 1_u32;
    for record in &records {
        for skill in &record.skills {
            for line in skill.lines.iter().filter(|line| line.withdrawn.is_none()) {
                use crate::paper::record::MarkWhat;
                let mark = match &line.what {
                    MarkWhat::Attempt { mark, .. } | MarkWhat::Resolution { mark, .. } => {
                        words.mark_of(*mark)
                    }
                    MarkWhat::Exemption { .. } => words.exempted,
                };
                marks.write_string(row, 0, name(record))?;
                marks.write_string(row, 1, &skill.name)?;
                marks.write_string(row, 2, mark)?;
                let at = line.at.naive_local();
                let (day, time) = (at.date(), at.time());
                let when = u16::try_from(day.year())
                    .ok()
                    .zip(
                        u8::try_from(day.month())
                            .ok()
                            .zip(u8::try_from(day.day()).ok()),
                    )
                    .and_then(|(year, (month, day))| {
                        let date = ExcelDateTime::from_ymd(year, month, day).ok()?;
                        let hour = u16::try_from(time.hour()).ok()?;
                        let minute = u8::try_from(time.minute()).ok()?;
                        date.and_hms(hour, minute, 0).ok()
                    });
                match when {
                    Some(when) => marks.write_datetime_with_format(row, 3, &when, &dated)?,
                    // Before 1900 or after 9999: no spreadsheet has such a day.
                    None => marks.write_string(row, 3, moment(line.at))?,
                };
                marks.write_string(row, 4, signer_name(&line.by))?;
                row += 1;
            }
        }
    }
    book.save_to_buffer()
}
