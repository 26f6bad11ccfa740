//! The skills of a record: each with its requirement, its state and every word on it.

use super::Paper;
use crate::entry::{Mark as Judged, Origin};
use crate::paper::pdf::{Cell, Column, Flow, Mark, Row, Style, Table};
use crate::paper::print::{BODY, SMALL, heads, sign};
use crate::paper::record::{MarkLine, MarkWhat, SkillLine};
use crate::paper::say::{moment, signer_name};
use crate::paper::words::fill;
use crate::standing::CellState;

impl Paper<'_> {
    pub(super) fn skills(&self, flow: &mut Flow<'_>) {
        let words = self.words;
        flow.heading(2, words.skills);
        let mut rows = Vec::new();
        let mut family = None;
        for skill in by_family(&self.record.skills) {
            if family != Some(skill.family) {
                family = Some(skill.family);
                rows.push(
                    Row::of(vec![
                        Cell::new(words.family_of(skill.family), Style::new(10.0).bold()).over(5),
                    ])
                    .with_next()
                    .unruled(),
                );
            }
            self.skill(skill, &mut rows);
        }
        flow.table(&Table {
            columns: vec![
                Column::left(17.5),
                Column::left(12.5),
                Column::left(40.0),
                Column::left(17.0),
                Column::left(13.0),
            ],
            head: heads(&[
                words.date,
                words.mark,
                words.details,
                words.judged_by,
                words.device,
            ]),
            rows,
        });
    }

    fn skill(&self, skill: &SkillLine, rows: &mut Vec<Row>) {
        let words = self.words;
        let mut state = words.state_of(skill.state).to_owned();
        if skill.of > 1 && skill.state != CellState::Exempt {
            let count = fill(
                words.of_needed,
                &[("n", &skill.met.to_string()), ("of", &skill.of.to_string())],
            );
            state = format!("{state}, {count}");
        }
        if skill.slipped_since {
            state = format!("{state}, {}", words.slipped_since);
        }
        if !skill.required {
            state = format!("{state} ({})", words.optional);
        }
        let name = Cell::new(format!("{}\n", skill.name), Style::new(9.5).semi())
            .and(&skill.requirement, SMALL)
            .over(3);
        let state = Cell::new(state, BODY.bold())
            .marked(sign(skill.state, skill.slipped_since))
            .over(2);
        let head = Row::of(vec![name, state]).banded().unruled();
        if skill.lines.is_empty() {
            rows.push(head);
            return;
        }
        rows.push(head.with_next());
        // A short story stays on one page; a long one may go on.
        let short = skill.lines.len() <= 4;
        let last = skill.lines.len() - 1;
        rows.extend(skill.lines.iter().enumerate().map(|(at, line)| {
            let row = self.mark(line);
            if short && at < last {
                row.with_next()
            } else {
                row
            }
        }));
    }

    fn mark(&self, line: &MarkLine) -> Row {
        let words = self.words;
        let faint = line.withdrawn.is_some();
        let style = if faint { SMALL.grey() } else { SMALL };
        let (mark, sign, mut parts) =
            match &line.what {
                MarkWhat::Attempt {
                    mark,
                    method,
                    measured,
                    slips,
                    place,
                    origin,
                    note: _,
                    despite,
                } => {
                    let mut parts: Vec<String> = Vec::new();
                    parts.extend(place.as_ref().map(|place| words.place(place)));
                    parts.extend(
                        method
                            .as_ref()
                            .map(|name| fill(words.method, &[("name", name)])),
                    );
                    parts.extend(measured.iter().map(|(figure, unit)| {
                        words.measured(self.units, *figure, unit.as_deref())
                    }));
                    parts.extend(
                        despite
                            .as_ref()
                            .map(|why| fill(words.despite, &[("why", why)])),
                    );
                    parts.extend(
                        slips
                            .iter()
                            .map(|slip| fill(words.seen_slip, &[("what", slip)])),
                    );
                    let (said, seen) = match origin {
                        Origin::Live => ("", None),
                        Origin::Memory { seen } => (words.from_memory, Some(*seen)),
                        Origin::Slate { seen } => (words.from_slate, Some(*seen)),
                    };
                    parts.extend(seen.map(|seen| fill(said, &[("when", &moment(seen))])));
                    (words.mark_of(*mark).to_owned(), judged(*mark), parts)
                }
                MarkWhat::Resolution { mark, why } => (
                    fill(words.settled, &[("mark", words.mark_of(*mark))]),
                    judged(*mark),
                    vec![why.clone()],
                ),
                MarkWhat::Exemption { why, elsewhere } => (
                    words.exempted.to_owned(),
                    Mark::Bar,
                    words.exempted_why(why, elsewhere.as_ref()),
                ),
            };
        if line.one_of_two {
            parts.push(words.one_of_two.to_owned());
        }
        match (&line.confirmed, line.by.role) {
            (Some((by, at)), _) => parts.push(fill(
                words.confirmed_by,
                &[("who", &signer_name(by)), ("when", &moment(*at))],
            )),
            (None, crate::course::Role::Assistant)
                if matches!(
                    line.what,
                    MarkWhat::Attempt {
                        mark: Judged::Met,
                        ..
                    }
                ) && !faint =>
            {
                parts.push(words.not_confirmed.to_owned());
            }
            (None, _) => {}
        }
        if let Some((by, at, why)) = &line.withdrawn {
            let mut text = fill(
                words.withdrawn,
                &[("who", &signer_name(by)), ("when", &moment(*at))],
            );
            if let Some(why) = why {
                text = format!("{text}: {why}");
            }
            parts.push(text);
        }
        let details = if parts.is_empty() {
            "–".to_owned()
        } else {
            parts.join("; ")
        };
        let device = line
            .by
            .device
            .clone()
            .unwrap_or_else(|| words.root_device.to_owned());
        let mark_style = if faint { style } else { SMALL.semi() };
        Row::of(vec![
            Cell::new(moment(line.at), style),
            Cell::new(mark, mark_style).marked(if faint { Mark::Dash } else { sign }),
            Cell::new(details, style),
            Cell::new(words.signer(&line.by), style),
            Cell::new(device, style),
        ])
    }
}

/// Families together, each in teaching order.
fn by_family(skills: &[SkillLine]) -> Vec<&SkillLine> {
    let mut sorted: Vec<&SkillLine> = skills.iter().collect();
    sorted.sort_by_key(|skill| skill.family);
    sorted
}

const fn judged(mark: Judged) -> Mark {
    match mark {
        Judged::Met => Mark::Tick,
        Judged::Nearly => Mark::Ring,
        Judged::NotYet => Mark::Cross,
        Judged::SatOut => Mark::Dash,
    }
}
