//! One student's way through the course: the required skills that are met, day by day.

use chrono::{DateTime, FixedOffset};

use super::scale::{Scale, step, ticks, whole};
use super::{Chart, ChartFact, ChartLine, FactIs, LineIs, Shows, Spot, Tick, level};
use crate::view::figure::bare;
use crate::view::{Reader, StudentView};

/// What a written date takes of the box.
const ROOM: u16 = 250;

impl Chart {
    /// Each required skill that stands met counts from its latest mark on; `None` before the
    /// first, or where the course requires none. A skill that slipped or is doubted counts for
    /// nothing, as everywhere.
    pub fn way(student: &StudentView, reader: &Reader<'_>) -> Option<Self> {
        let cells = student.families.iter().flat_map(|family| &family.cells);
        let met = cells.filter(|one| one.required && one.cell.done);
        let mut times: Vec<DateTime<FixedOffset>> =
            met.filter_map(|one| Some(one.last_at?.at)).collect();
        times.sort();
        let (first, last) = (*times.first()?, *times.last()?);
        let begin = student
            .enrolled
            .map_or(first, |moment| moment.at.min(first));
        let end = reader.now.max(last);
        let seconds = |at: DateTime<FixedOffset>| {
            i32::try_from((at - begin).num_seconds()).map_or(f64::from(i32::MAX), f64::from)
        };
        if student.of == 0 {
            return None;
        }
        let time = Scale::across(0.0, seconds(end).max(1.0));
        let required = f64::from(student.of);
        let by = step(required, 5.0, 1.0);
        let top = (required / by).ceil() * by;
        let count = Scale::down(0.0, top);
        let mut spots = vec![Spot {
            x: 0,
            y: count.place_up(0.0),
        }];
        let mut so_far = 0.0;
        for at in &times {
            let x = time.place(seconds(*at));
            spots.push(Spot {
                x,
                y: count.place_up(so_far),
            });
            so_far += 1.0;
            spots.push(Spot {
                x,
                y: count.place_up(so_far),
            });
        }
        spots.push(Spot {
            x: time.place(seconds(end)),
            y: count.place_up(so_far),
        });
        spots.dedup();
        Some(Self {
            shows: Shows::Way,
            across: days(&times, |at| time.place(seconds(at))),
            down: ticks(top, by, |figure| count.place_up(figure), whole),
            lines: vec![
                ChartLine {
                    what: LineIs::Met,
                    spots,
                },
                level(LineIs::Required, count.place_up(required)),
            ],
            bars: Vec::new(),
            facts: vec![
                ChartFact {
                    what: FactIs::SkillsMet,
                    figure: bare(student.done),
                },
                ChartFact {
                    what: FactIs::SkillsRequired,
                    figure: bare(student.of),
                },
            ],
        })
    }
}

/// The days on which something was met, as far as there is room to write them: from the first on.
fn days(
    times: &[DateTime<FixedOffset>],
    place: impl Fn(DateTime<FixedOffset>) -> u16,
) -> Vec<Tick> {
    let mut kept: Vec<Tick> = Vec::new();
    for at in times {
        let tick = Tick {
            at: place(*at),
            says: at.date_naive().to_string(),
        };
        if kept.last().is_none_or(|before| tick.at >= before.at + ROOM) {
            kept.push(tick);
        }
    }
    kept
}
