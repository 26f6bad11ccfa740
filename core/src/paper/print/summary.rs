//! The class summary: students by skills on one paper.

use super::{BODY, Press, SMALL, furniture, heads, sign};
use crate::entry::Outcome;
use crate::paper::pdf::{Align, Cell, Column, Flow, Mark, PdfError, Room, Row, Style, Table, Turn};
use crate::paper::record::{Record, RecordState, SkillLine};
use crate::paper::source::Source;
use crate::paper::words::Words;
use crate::standing::CellState;

impl Press {
    /// How a class stands.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn class_summary(&self, source: &Source<'_>) -> Result<Vec<u8>, PdfError> {
        let words = self.words();
        let roster = source.roster(&source.course.students(), words).into_iter();
        let records: Vec<Record> = roster
            .map(|(student, _)| Record::of(source, student))
            .collect();
        self.print(|set| {
            let mut flow = Flow::new(set, self.sheet, Turn::Upright, Room::OFFICE);
            super::top(&mut flow, words.summary_title, &super::heading_of(source));
            students(&mut flow, source, words, &records);
            flow.heading(2, words.skills);
            board(&mut flow, words, &records);
            key(&mut flow, words);
            super::close(&mut flow, words, words.caution_record);
            let about = super::about(source, words, words.summary_title, words.summary_subject);
            flow.finish(&about, Some(&furniture(source, words, words.summary_title)))
        })
    }
}

fn students(flow: &mut Flow<'_>, source: &Source<'_>, words: &'static Words, records: &[Record]) {
    let rows = (1..)
        .zip(records)
        .map(|(number, record): (usize, &Record)| {
            let state = match &record.state {
                RecordState::Open => words.not_completed,
                RecordState::Ended { outcome, .. } => match outcome {
                    Outcome::Completed => words.completed,
                    Outcome::Referred => words.referred,
                    Outcome::Left => words.left,
                },
            };
            let mark = if record.is_completed() {
                Mark::Done
            } else {
                Mark::Box
            };
            let name = source.student_name(&record.student, words);
            let name = super::legible(flow.set(), &name, &record.student);
            Row::of(vec![
                Cell::new(number.to_string(), BODY.bold()),
                Cell::new(name, BODY),
                Cell::new(state, BODY).marked(mark),
                Cell::new(record.gaps.len().to_string(), BODY),
            ])
        })
        .collect();
    flow.table(&Table {
        columns: vec![
            Column::right(7.0),
            Column::left(53.0),
            Column::left(28.0),
            Column::right(12.0),
        ],
        head: heads(&[words.number, words.name, words.result, words.still_missing]),
        rows,
    });
}

fn board(flow: &mut Flow<'_>, words: &'static Words, records: &[Record]) {
    let Some(first) = records.first() else {
        flow.paragraph(&[(words.none_recorded, BODY)]);
        return;
    };
    let count = u16::try_from(records.len()).unwrap_or(1).max(1);
    let names = if count > 16 { 30.0 } else { 38.0 };
    let share = ((100.0 - names) / f32::from(count)).min(6.0);
    let mut columns = vec![Column::left(100.0 - share * f32::from(count))];
    columns.extend(records.iter().map(|_| Column {
        share,
        align: Align::Centre,
    }));
    let mut head = vec![words.skill.to_owned()];
    head.extend((1..=records.len()).map(|number| number.to_string()));
    let mut rows = Vec::new();
    let mut family = None;
    let mut sorted: Vec<(usize, &SkillLine)> = first.skills.iter().enumerate().collect();
    sorted.sort_by_key(|(_, skill)| skill.family);
    for (at, skill) in sorted {
        if family != Some(skill.family) {
            family = Some(skill.family);
            let title = Cell::new(words.family_of(skill.family), SMALL.bold());
            rows.push(
                Row::of(vec![title.over(columns.len())])
                    .banded()
                    .with_next()
                    .unruled(),
            );
        }
        let mut name = Cell::new(&skill.name, SMALL);
        if !skill.required {
            name = name.and(format!(" ({})", words.optional), Style::new(7.0));
        }
        let mut cells = vec![name];
        for record in records {
            let Some(line) = record.skills.get(at) else {
                continue;
            };
            let mut says = words.state_of(line.state).to_owned();
            if line.slipped_since {
                says = format!("{says}, {}", words.slipped_since);
            }
            cells.push(Cell::sign(sign(line.state, line.slipped_since), says, 9.0));
        }
        rows.push(Row::of(cells));
    }
    flow.table(&Table {
        columns,
        head,
        rows,
    });
}

fn key(flow: &mut Flow<'_>, words: &'static Words) {
    flow.keep(40.0);
    flow.gap(8.0);
    let cell = |state: CellState, slipped: bool| {
        let says = if slipped {
            words.slipped_since
        } else {
            words.state_of(state)
        };
        Cell::new(says, SMALL).marked(sign(state, slipped))
    };
    let rows = vec![
        Row::of(vec![
            cell(CellState::Met, false),
            cell(CellState::Shown, false),
            cell(CellState::Trying, false),
            cell(CellState::Open, false),
        ])
        .unruled(),
        Row::of(vec![
            cell(CellState::TwoViews, false),
            cell(CellState::Met, true),
            cell(CellState::Exempt, false),
            Cell::new("\u{a0}", SMALL),
        ])
        .unruled(),
    ];
    flow.table(&Table {
        columns: vec![Column::left(25.0); 4],
        head: Vec::new(),
        rows,
    });
}
