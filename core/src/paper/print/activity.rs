//! The staff activity list.

use super::{BODY, Press, SMALL, furniture, heads};
use crate::paper::activity::{Activity, Exposure};
use crate::paper::pdf::{
    About, Cell, Column, Flow, Furniture, Mark, PdfError, Room, Row, Table, Turn,
};
use crate::paper::say::{Figures as _, clock, day};
use crate::paper::source::Source;
use crate::paper::words::fill;

impl Press {
    /// What staff did under water, day by day. `source` gives the shop's name and the moment
    /// of printing; the activity may be of several courses.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn activity(&self, source: &Source<'_>, activity: &Activity) -> Result<Vec<u8>, PdfError> {
        let (words, units) = (self.words(), self.units);
        self.print(|set| {
            let mut flow = Flow::new(set, self.sheet, Turn::Upright, Room::OFFICE);
            let span = match (activity.days.first(), activity.days.last()) {
                (Some(first), Some(last)) => fill(
                    words.from_to,
                    &[("from", &day(first.day)), ("to", &day(last.day))],
                ),
                _ => words.none_recorded.to_owned(),
            };
            super::top(&mut flow, words.activity_title, &span);
            let rows = activity
                .days
                .iter()
                .map(|line| {
                    let name = line.name.clone().unwrap_or_else(|| line.staff.to_string());
                    let dives: Vec<String> = line
                        .profile
                        .iter()
                        .map(|dive| {
                            format!(
                                "{} {} {}, {}",
                                clock(dive.down),
                                dive.minutes(),
                                words.minutes_short,
                                units.depth(dive.deepest_cm)
                            )
                        })
                        .collect();
                    let mut ascents = line.ascents.to_string();
                    if line.uncounted > 0 {
                        let more =
                            fill(words.ascents_unknown, &[("n", &line.uncounted.to_string())]);
                        ascents = format!("{ascents}\n{more}");
                    }
                    let limit = match line.limit {
                        None => Cell::new(words.limit_unconfirmed, SMALL),
                        Some(limit) => {
                            let limit = fill(words.ascents_limit, &[("n", &limit.to_string())]);
                            if line.is_over() {
                                Cell::new(format!("{}\n{limit}", words.over_limit), SMALL.bold())
                                    .marked(Mark::Cross)
                            } else {
                                Cell::new(limit, SMALL)
                            }
                        }
                    };
                    let exposure = match line.exposure {
                        Exposure::Group(letter) => Cell::new(letter.to_string(), BODY.semi()),
                        Exposure::BeyondLimit => {
                            Cell::new(words.beyond_limit, SMALL.bold()).marked(Mark::Cross)
                        }
                        Exposure::NotOnTable => Cell::new(words.not_on_table, SMALL),
                    };
                    Row::of(vec![
                        Cell::new(day(line.day), BODY.semi()),
                        Cell::new(name, BODY),
                        Cell::new(dives.join("\n"), SMALL),
                        Cell::new(
                            fill(words.minutes, &[("n", &line.minutes.to_string())]),
                            BODY,
                        ),
                        Cell::new(units.depth(line.deepest_cm), BODY),
                        Cell::new(ascents, BODY.semi()),
                        limit,
                        exposure,
                    ])
                })
                .collect();
            flow.table(&Table {
                columns: vec![
                    Column::left(13.0),
                    Column::left(17.0),
                    Column::left(20.0),
                    Column::right(9.0),
                    Column::right(9.0),
                    Column::left(9.0),
                    Column::left(12.5),
                    Column::left(10.5),
                ],
                head: heads(&[
                    words.day,
                    words.staff,
                    words.dives,
                    words.under_water,
                    words.deepest,
                    words.ascents,
                    words.house_limit,
                    words.exposure,
                ]),
                rows,
            });
            flow.gap(8.0);
            flow.paragraph(&[(words.exposure_note, SMALL)]);
            super::close(&mut flow, words, words.activity_caution);
            let about = super::about(source, words, words.activity_title, words.activity_subject);
            // Of the shop: the days may be of several courses.
            let furniture = Furniture {
                head: source.shop.name().unwrap_or_default().to_owned(),
                ..furniture(source, words, words.activity_title)
            };
            flow.finish(
                &About {
                    title: format!("{} · {}", words.activity_title, furniture.head),
                    ..about
                },
                Some(&furniture),
            )
        })
    }
}
