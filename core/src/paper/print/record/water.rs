//! What of a record happened in the water.

use super::Paper;
use crate::entry::Passage;
use crate::paper::pdf::{Cell, Column, Flow, Row, Table};
use crate::paper::print::{BODY, SMALL, heads};
use crate::paper::record::Passed;
use crate::paper::say::{Figures as _, clock, moment, signer_name, tenths};
use crate::paper::words::fill;

impl Paper<'_> {
    pub(super) fn sessions(&self, flow: &mut Flow<'_>) {
        let (words, record) = (self.words, self.record);
        flow.heading(2, words.attendance);
        if record.sessions.is_empty() {
            flow.paragraph(&[(words.none_recorded, BODY)]);
            return;
        }
        let rows = record
            .sessions
            .iter()
            .map(|line| {
                let (passages, minutes) = match &line.cancelled {
                    Some(why) => (format!("{}: {why}", words.cancelled), "–".to_owned()),
                    None => (
                        self.passages(&line.passages),
                        self.minutes(line.water_minutes),
                    ),
                };
                let mut place = Cell::new(words.place(&line.place), SMALL);
                for aside in &line.set_aside {
                    let said = fill(
                        words.overridden,
                        &[
                            ("who", &signer_name(&aside.by)),
                            ("when", &moment(aside.at)),
                            ("what", &aside.skills.join(", ")),
                            ("why", &aside.why),
                        ],
                    );
                    place = place.and(format!("\n{said}"), SMALL.semi());
                }
                Row::of(vec![
                    Cell::new(moment(line.starts), SMALL),
                    place,
                    Cell::new(words.setting_of(line.place.setting), SMALL),
                    Cell::new(passages, SMALL),
                    Cell::new(minutes, SMALL),
                ])
            })
            .collect();
        flow.table(&Table {
            columns: vec![
                Column::left(17.5),
                Column::left(36.0),
                Column::left(15.5),
                Column::left(22.0),
                Column::right(9.0),
            ],
            head: heads(&[
                words.starts,
                words.where_,
                words.setting,
                words.in_water,
                words.time,
            ]),
            rows,
        });
    }

    fn minutes(&self, minutes: Option<i64>) -> String {
        minutes.map_or_else(
            || "–".to_owned(),
            |minutes| format!("{minutes} {}", self.words.minutes_short),
        )
    }

    fn passages(&self, passages: &[Passed]) -> String {
        let words = self.words;
        if passages.is_empty() {
            return words.not_recorded.to_owned();
        }
        let said: Vec<String> = passages
            .iter()
            .map(|one| {
                let said = match one.passage {
                    Passage::In => format!("{} {}", words.in_, clock(one.when)),
                    Passage::Out => format!("{} {}", words.out, clock(one.when)),
                    Passage::Absent => return words.absent.to_owned(),
                };
                let written = one.written.map(|at| ("when", moment(at)));
                written.map_or_else(
                    || said.clone(),
                    |(word, at)| format!("{said} ({})", fill(words.written, &[(word, &at)])),
                )
            })
            .collect();
        said.join(", ")
    }

    pub(super) fn dives(&self, flow: &mut Flow<'_>) {
        let (words, record, units) = (self.words, self.record, self.units);
        flow.heading(2, words.dives);
        if record.dives.is_empty() {
            flow.paragraph(&[(words.none_recorded, BODY)]);
            return;
        }
        let rows = record
            .dives
            .iter()
            .map(|line| {
                let log = &line.log;
                let number = line
                    .number
                    .map_or_else(|| "–".to_owned(), |n| n.to_string());
                let place = line.at().unwrap_or_else(|| "–".to_owned());
                let mut depth = units.depth(log.max_depth_cm);
                if let Some(mean) = log.mean_depth_cm {
                    depth = format!("{depth}\n{} {}", words.average, units.depth(mean));
                }
                let seconds = u32::try_from((log.up - log.down).num_seconds()).unwrap_or(0);
                let mut water = words.water_of(log.water).to_owned();
                if let Some(temperature) = log.temperature_dc {
                    water = format!("{water}, {}", units.temperature(temperature));
                }
                Row::of(vec![
                    Cell::new(number, SMALL),
                    Cell::new(moment(log.down), SMALL),
                    Cell::new(place, SMALL),
                    Cell::new(depth, SMALL),
                    Cell::new(words.span(seconds), SMALL),
                    Cell::new(self.gas(log), SMALL),
                    Cell::new(
                        log.ascents
                            .map_or_else(|| "–".to_owned(), |n| n.to_string()),
                        SMALL,
                    ),
                    Cell::new(water, SMALL),
                    Cell::new(signer_name(&line.by), SMALL),
                ])
            })
            .collect();
        flow.table(&Table {
            columns: vec![
                Column::right(5.0),
                Column::left(17.5),
                Column::left(15.0),
                Column::left(10.5),
                Column::left(11.0),
                Column::left(15.0),
                Column::right(8.0),
                Column::left(9.0),
                Column::left(12.0),
            ],
            head: heads(&[
                words.number,
                words.down,
                words.site,
                words.deepest,
                words.time,
                words.gas,
                words.ascents,
                words.water,
                words.by,
            ]),
            rows,
        });
    }

    fn gas(&self, log: &crate::course::DiveLog) -> String {
        let (words, units) = (self.words, self.units);
        log.gas.map_or_else(
            || "–".to_owned(),
            |gas| {
                let mix = if gas.oxygen_permille == 209 {
                    words.air.to_owned()
                } else {
                    let percent = tenths(i64::from(gas.oxygen_permille));
                    fill(words.oxygen, &[("n", &percent)])
                };
                format!(
                    "{mix}, {}\n{} – {}",
                    units.capacity(gas.capacity_dl),
                    units.pressure(gas.start_mbar),
                    units.pressure(gas.end_mbar)
                )
            },
        )
    }

    pub(super) fn weights(&self, flow: &mut Flow<'_>) {
        let (words, record, units) = (self.words, self.record, self.units);
        flow.heading(2, words.weights);
        if record.weights.is_empty() {
            flow.paragraph(&[(words.none_recorded, BODY)]);
        }
        let rows = record
            .weights
            .iter()
            .map(|line| {
                let check = &line.check;
                let cylinder = format!(
                    "{}, {}, {}",
                    check.cylinder,
                    units.capacity(check.capacity_dl),
                    units.pressure(check.pressure_mbar)
                );
                Row::of(vec![
                    Cell::new(moment(line.at), SMALL),
                    Cell::new(units.mass(check.lead_g), SMALL.semi()),
                    Cell::new(words.weight_of(check.verdict), SMALL.semi()),
                    Cell::new(words.water_of(check.water), SMALL),
                    Cell::new(&check.suit, SMALL),
                    Cell::new(cylinder, SMALL),
                    Cell::new(signer_name(&line.by), SMALL),
                ])
            })
            .collect();
        flow.table(&Table {
            columns: vec![
                Column::left(17.5),
                Column::left(9.0),
                Column::left(11.0),
                Column::left(10.0),
                Column::left(17.0),
                Column::left(19.5),
                Column::left(16.0),
            ],
            head: heads(&[
                words.date,
                words.lead,
                words.verdict,
                words.water,
                words.suit,
                words.cylinder,
                words.by,
            ]),
            rows,
        });
        if record.remarks > 0 || record.incidents > 0 {
            flow.gap(6.0);
            let kept = fill(
                words.kept_apart,
                &[
                    ("remarks", &record.remarks.to_string()),
                    ("incidents", &record.incidents.to_string()),
                ],
            );
            flow.paragraph(&[(&kept, SMALL.grey())]);
        }
    }
}
