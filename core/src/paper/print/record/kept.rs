//! The photographs and sounds that are kept beside a record: each with the digest that it is
//! checked by, and with its words where a person wrote them down.

use super::Paper;
use crate::paper::pdf::{Cell, Column, Flow, Row, Table};
use crate::paper::print::{SMALL, heads};
use crate::paper::record::KeptLine;
use crate::paper::say::{moment, signer_name};
use crate::paper::words::fill;

impl Paper<'_> {
    pub(super) fn kept(&self, flow: &mut Flow<'_>) {
        let (words, record) = (self.words, self.record);
        if record.kept.is_empty() {
            return;
        }
        flow.heading(2, words.kept_title);
        let rows = record
            .kept
            .iter()
            .map(|line| {
                let mut what = Cell::new(self.what(line), SMALL);
                if let Some((text, by)) = &line.text {
                    let said = [("who", &*signer_name(by)), ("text", text)];
                    what = what.and(format!("\n{}", fill(words.kept_said, &said)), SMALL);
                }
                Row::of(vec![
                    Cell::new(moment(line.at), SMALL),
                    what,
                    Cell::new(digest(line), SMALL),
                    Cell::new(signer_name(&line.by), SMALL),
                ])
            })
            .collect();
        flow.table(&Table {
            columns: vec![
                Column::left(17.5),
                Column::left(33.0),
                Column::left(35.5),
                Column::left(14.0),
            ],
            head: heads(&[words.date, words.what, words.kept_digest, words.by]),
            rows,
        });
        flow.gap(3.0);
        flow.paragraph(&[(words.kept_note, SMALL.grey())]);
    }

    fn what(&self, line: &KeptLine) -> String {
        let words = self.words;
        let mut what = if line.file.media.is_sound() {
            words.kept_sound.to_owned()
        } else {
            words.kept_photograph.to_owned()
        };
        if let Some(number) = &line.slate {
            what = format!("{what}, {}", fill(words.kept_slate, &[("number", number)]));
        }
        let length = line.file.bytes.to_string();
        what = format!("{what}, {}", fill(words.kept_length, &[("n", &length)]));
        match &line.place {
            Some(place) => format!("{what}\n{}", words.place(place)),
            None => what,
        }
    }
}

/// The digest in groups of eight, four of them a line, as a person compares them.
fn digest(line: &KeptLine) -> String {
    let text = line.file.sha256.to_string();
    let mut said = String::with_capacity(text.len() + 8);
    for (at, sign) in text.chars().enumerate() {
        if at > 0 && at.is_multiple_of(32) {
            said.push('\n');
        } else if at > 0 && at.is_multiple_of(8) {
            said.push(' ');
        }
        said.push(sign);
    }
    said
}
