//! The training record of one student.

use chrono::{DateTime, FixedOffset};

use super::{BODY, Press, SMALL, heads, page_in, sign};
use crate::course::Outline;
use crate::entry::{Mark as Judged, Outcome, Passage};
use crate::paper::pdf::{
    About, Align, Band, Cell, Column, Flow, Furniture, Ink, Kind, Mark, PdfError, Room, Row, Sheet,
    Style, Table, Turn, Typesetter, mm,
};
use crate::paper::record::{MarkLine, MarkWhat, Record, RecordState, SkillLine};
use crate::paper::say::{Figures as _, clock, day, moment, signer_name, tenths};
use crate::paper::source::nameless;
use crate::paper::words::{Words, fill};
use crate::standing::CellState;
use crate::view::Units;

impl Press {
    /// A student's training record. `outline` names the skills in the list of what is open;
    /// `now` is the moment of printing.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn record(
        &self,
        record: &Record,
        outline: Option<&Outline>,
        now: DateTime<FixedOffset>,
    ) -> Result<Vec<u8>, PdfError> {
        let paper = Paper {
            words: self.words(),
            units: self.units,
            record,
            outline,
            now,
        };
        self.print(|set| paper.print(set, self.sheet))
    }
}

struct Paper<'a> {
    words: &'static Words,
    units: Units,
    record: &'a Record,
    outline: Option<&'a Outline>,
    now: DateTime<FixedOffset>,
}

impl Paper<'_> {
    fn name(&self) -> String {
        self.record
            .name
            .clone()
            .unwrap_or_else(|| nameless(&self.record.student, self.words))
    }

    fn print(&self, set: &mut Typesetter, sheet: Sheet) -> Result<Vec<u8>, PdfError> {
        let (words, record) = (self.words, self.record);
        let mut flow = Flow::new(set, sheet, Turn::Upright, Room::OFFICE);
        self.top(&mut flow);
        self.banner(&mut flow);
        self.facts(&mut flow);
        self.open_items(&mut flow);
        self.papers(&mut flow);
        self.skills(&mut flow);
        self.sessions(&mut flow);
        self.dives(&mut flow);
        self.weights(&mut flow);
        self.signatures(&mut flow);
        self.proof(&mut flow);
        let name = self.name();
        let about = About {
            title: format!("{} · {name}", words.record_title),
            subject: words.record_subject.to_owned(),
            language: words.tag,
            made: self.now,
            identity: format!("record {} {}", record.student, record.proof.fingerprint),
        };
        let course = record.course.as_deref().unwrap_or_default();
        let printed = fill(words.printed, &[("when", &moment(self.now))]);
        let furniture = Furniture {
            head: format!("{name} · {course}"),
            state: self.state().to_owned(),
            foot: format!("{} · {printed}", record.proof.fingerprint.short()),
            page: page_in(words),
            band: Some(if record.is_completed() {
                Band::Whole
            } else {
                Band::Hatched
            }),
        };
        flow.finish(&about, Some(&furniture))
    }

    const fn state(&self) -> &'static str {
        if self.record.gaps.is_empty()
            && matches!(
                self.record.state,
                RecordState::Ended {
                    outcome: Outcome::Completed,
                    ..
                }
            )
        {
            self.words.completed_state
        } else {
            self.words.not_completed_state
        }
    }

    fn top(&self, flow: &mut Flow<'_>) {
        let (words, record) = (self.words, self.record);
        if let Some(shop) = &record.shop {
            flow.paragraph(&[(shop, Style::new(10.0).semi())]);
            flow.gap(2.0);
        }
        flow.heading(1, words.record_title);
        flow.paragraph(&[(&self.name(), Style::new(16.0).semi())]);
        let missing = match (record.name.is_some(), record.forgotten) {
            (true, _) => None,
            (false, true) => Some(words.forgotten),
            (false, false) => Some(words.no_details),
        };
        if let Some(missing) = missing {
            flow.paragraph(&[(missing, BODY)]);
        }
        flow.gap(8.0);
    }

    /// What the record is, at first glance: black for completed, a dashed frame for not.
    fn banner(&self, flow: &mut Flow<'_>) {
        let (words, record) = (self.words, self.record);
        let whole = record.is_completed();
        let headline = match (&record.state, whole) {
            (_, true) => words.completed,
            (RecordState::Open, _) => words.not_completed,
            (RecordState::Ended { outcome, .. }, false) => match outcome {
                Outcome::Completed => words.reopened,
                Outcome::Referred => words.referred,
                Outcome::Left => words.left,
            },
        };
        let mut line = String::new();
        if let RecordState::Ended {
            by,
            at,
            considered,
            still_all,
            ..
        } = &record.state
        {
            line = fill(
                words.completed_line,
                &[
                    ("who", &words.signer(by)),
                    ("when", &moment(*at)),
                    ("n", &considered.to_string()),
                ],
            );
            if !still_all {
                line = format!("{line} {}", words.added_since);
            }
        } else if record.gaps.is_empty() {
            line.push_str(words.nothing_open);
        }
        let required = record.skills.iter().filter(|skill| skill.required);
        let of = required.clone().count();
        let met = required
            .filter(|skill| {
                matches!(skill.state, CellState::Met | CellState::Exempt) && !skill.slipped_since
            })
            .count();
        let mut count = fill(
            words.skills_met,
            &[("n", &met.to_string()), ("of", &of.to_string())],
        );
        if !record.gaps.is_empty() {
            let open = fill(words.gaps_open, &[("n", &record.gaps.len().to_string())]);
            count = format!("{count} · {open}");
        }
        let ink = if whole { Ink::White } else { Ink::Black };
        let style = |size: f32| Style {
            ink,
            ..Style::new(size)
        };
        let text = if line.is_empty() {
            count
        } else {
            format!("{count}\n{line}")
        };
        let width = flow.width();
        let inner = width - mm(18.0);
        let set = flow.set();
        let headline = set.shape(headline, style(15.0).bold(), Some(inner), Align::Left);
        let text = set.shape(&text, style(9.5), Some(inner), Align::Left);
        let height = headline.height() + text.height() + 18.0;
        flow.keep(height);
        let (x, y) = (flow.left(), flow.y());
        let first = flow.node(Kind::Paragraph, None);
        let second = flow.node(Kind::Paragraph, None);
        let leaf = flow.leaf();
        if whole {
            leaf.fill(x, y, width, height, Ink::Black);
            leaf.mark(None, Mark::Tick, x + 8.0, y + 9.0, 26.0, Ink::White);
        } else {
            leaf.dashed_frame(x + 0.75, y + 0.75, width - 1.5, height - 1.5, 1.5);
            leaf.mark(None, Mark::Ring, x + 10.0, y + 10.0, 22.0, Ink::Black);
        }
        let left = x + mm(15.0);
        let below = y + 8.0 + headline.height() + 1.0;
        leaf.text(Some(first), headline, left, y + 8.0);
        leaf.text(Some(second), text, left, below);
        flow.down(height + 8.0);
    }

    fn facts(&self, flow: &mut Flow<'_>) {
        let (words, record) = (self.words, self.record);
        let none = || words.none_set.to_owned();
        let edition = |title: &str, n: u32| {
            format!("{title}, {}", fill(words.edition, &[("n", &n.to_string())]))
        };
        let mut facts = vec![
            (words.id, record.student.to_string()),
            (words.course, record.course.clone().unwrap_or_else(none)),
            (words.starts, record.starts.map_or_else(none, day)),
            (
                words.outline,
                record.outline.as_ref().map_or_else(none, |outline| {
                    format!(
                        "{}. {}",
                        edition(&outline.title, outline.edition),
                        outline.source
                    )
                }),
            ),
            (
                words.policy,
                record.policy.as_ref().map_or_else(none, |policy| {
                    let confirmed = fill(
                        words.policy_confirmed,
                        &[
                            ("n", &policy.confirmed.to_string()),
                            ("of", &policy.rules.to_string()),
                        ],
                    );
                    format!("{}; {confirmed}", edition(&policy.title, policy.edition))
                }),
            ),
        ];
        if let Some(born) = record.born {
            facts.insert(0, (words.born, day(born)));
        }
        if let Some(from) = &record.referred_from {
            facts.push((words.referred_from, from.clone()));
        }
        let staff: Vec<String> = record
            .staff
            .iter()
            .map(|(name, role)| format!("{name} ({})", words.role_of(*role)))
            .collect();
        if !staff.is_empty() {
            facts.push((words.staff, staff.join(", ")));
        }
        let rows = facts
            .into_iter()
            .map(|(label, value)| {
                Row::of(vec![
                    Cell::new(label, BODY.semi().grey()),
                    Cell::new(value, BODY),
                ])
            })
            .collect();
        flow.table(&Table {
            columns: vec![Column::left(18.0), Column::left(82.0)],
            head: Vec::new(),
            rows,
        });
    }

    fn open_items(&self, flow: &mut Flow<'_>) {
        let (words, record) = (self.words, self.record);
        if record.gaps.is_empty() {
            return;
        }
        flow.heading(2, words.still_open);
        let said: Vec<String> = record
            .gaps
            .iter()
            .map(|gap| words.gap(gap, self.outline))
            .collect();
        // Down the first column, then down the second, as a list is read.
        let half = said.len().div_ceil(2);
        let (first, second) = said.split_at(half);
        let rows = first
            .iter()
            .enumerate()
            .map(|(at, left)| {
                let mut cells = vec![Cell::new(left, BODY).marked(Mark::Box)];
                cells.push(second.get(at).map_or_else(
                    || Cell::new("\u{a0}", BODY),
                    |right| Cell::new(right, BODY).marked(Mark::Box),
                ));
                Row::of(cells).unruled()
            })
            .collect();
        flow.table(&Table {
            columns: vec![Column::left(50.0), Column::left(50.0)],
            head: Vec::new(),
            rows,
        });
    }

    fn papers(&self, flow: &mut Flow<'_>) {
        let (words, record) = (self.words, self.record);
        flow.heading(2, words.papers);
        if record.papers.is_empty() {
            flow.paragraph(&[(words.none_recorded, BODY)]);
        }
        let rows = record
            .papers
            .iter()
            .map(|line| {
                let mut result = words.result_of(line.what, line.result).to_owned();
                if let Some(figure) = line.figure {
                    result = format!("{result}, {}", words.clearance_figure(line.what, figure));
                }
                Row::of(vec![
                    Cell::new(words.clearance_of(line.what), BODY),
                    Cell::new(result, BODY.semi()),
                    Cell::new(words.signer(&line.by), BODY),
                    Cell::new(day(line.at.date_naive()), BODY),
                    Cell::new(line.until.map_or_else(|| "–".to_owned(), day), BODY),
                ])
            })
            .collect();
        flow.table(&Table {
            columns: vec![
                Column::left(23.0),
                Column::left(22.0),
                Column::left(29.0),
                Column::left(13.0),
                Column::left(13.0),
            ],
            head: heads(&[
                words.what,
                words.result,
                words.seen_by,
                words.date,
                words.until,
            ]),
            rows,
        });
        flow.gap(3.0);
        flow.paragraph(&[(words.papers_note, SMALL.grey())]);
    }

    fn skills(&self, flow: &mut Flow<'_>) {
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
                    from_slate,
                    note: _,
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
                        slips
                            .iter()
                            .map(|slip| fill(words.seen_slip, &[("what", slip)])),
                    );
                    parts.extend(
                        from_slate.map(|seen| fill(words.from_slate, &[("when", &moment(seen))])),
                    );
                    (words.mark_of(*mark).to_owned(), judged(*mark), parts)
                }
                MarkWhat::Resolution { mark, why } => (
                    fill(words.settled, &[("mark", words.mark_of(*mark))]),
                    judged(*mark),
                    vec![why.clone()],
                ),
                MarkWhat::Exemption { why } => {
                    (words.exempted.to_owned(), Mark::Bar, vec![why.clone()])
                }
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

    fn sessions(&self, flow: &mut Flow<'_>) {
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
                Row::of(vec![
                    Cell::new(moment(line.starts), SMALL),
                    Cell::new(words.place(&line.place), SMALL),
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

    fn passages(&self, passages: &[(Passage, DateTime<FixedOffset>)]) -> String {
        let words = self.words;
        if passages.is_empty() {
            return words.not_recorded.to_owned();
        }
        let said: Vec<String> = passages
            .iter()
            .map(|(passage, when)| match passage {
                Passage::In => format!("{} {}", words.in_, clock(*when)),
                Passage::Out => format!("{} {}", words.out, clock(*when)),
                Passage::Absent => words.absent.to_owned(),
            })
            .collect();
        said.join(", ")
    }

    fn dives(&self, flow: &mut Flow<'_>) {
        let (words, record, units) = (self.words, self.record, self.units);
        flow.heading(2, words.dives);
        if record.dives.is_empty() {
            flow.paragraph(&[(words.none_recorded, BODY)]);
            return;
        }
        let rows = record
            .dives
            .iter()
            .enumerate()
            .map(|(at, line)| {
                let log = &line.log;
                let place = line.place.as_ref().map_or("–", |place| &place.site);
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
                    Cell::new((at + 1).to_string(), SMALL),
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

    fn weights(&self, flow: &mut Flow<'_>) {
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

    fn signatures(&self, flow: &mut Flow<'_>) {
        let words = self.words;
        flow.keep(96.0);
        flow.heading(2, words.signatures);
        let width = flow.width();
        let each = (width - 2.0 * 14.0) / 3.0;
        flow.down(30.0);
        let y = flow.y();
        let mut x = flow.left();
        let mut height: f32 = 0.0;
        for label in [
            words.sign_student,
            words.sign_instructor,
            words.sign_guardian,
        ] {
            let shaped = flow
                .set()
                .shape(label, SMALL.grey(), Some(each), Align::Left);
            height = height.max(shaped.height());
            let node = flow.node(Kind::Paragraph, None);
            let leaf = flow.leaf();
            leaf.rule(x, y, each, 0.7, Ink::Black);
            leaf.text(Some(node), shaped, x, y + 2.0);
            x += each + 14.0;
        }
        flow.down(height + 6.0);
    }

    fn proof(&self, flow: &mut Flow<'_>) {
        let (words, proof) = (self.words, &self.record.proof);
        flow.keep(190.0);
        flow.heading(2, words.proof);
        flow.paragraph(&[(words.proof_how, BODY)]);
        flow.gap(6.0);
        for (pattern, count, fingerprint) in [
            (words.fingerprint_all, proof.entries, &proof.fingerprint),
            (words.fingerprint_own, proof.own_entries, &proof.own),
        ] {
            let label = fill(pattern, &[("n", &count.to_string())]);
            flow.keep(40.0);
            flow.paragraph(&[(&label, SMALL.semi().grey())]);
            flow.paragraph(&[(&fingerprint.grouped(), Style::new(10.0).semi())]);
            flow.gap(4.0);
        }
        let rows = proof
            .parts
            .iter()
            .map(|(part, count, fingerprint)| {
                Row::of(vec![
                    Cell::new(words.part_of(*part), SMALL),
                    Cell::new(count.to_string(), SMALL),
                    Cell::new(fingerprint.check(), SMALL.semi()),
                ])
            })
            .collect();
        flow.table(&Table {
            columns: vec![Column::left(40.0), Column::right(15.0), Column::left(45.0)],
            head: heads(&[words.part, words.entries, words.check]),
            rows,
        });
        flow.gap(8.0);
        let rows = proof
            .devices
            .iter()
            .map(|(key, signer)| {
                let device = signer.device.as_deref().unwrap_or(words.root_device);
                let key = key.map_or_else(|| "–".to_owned(), |key| key.to_string());
                Row::of(vec![
                    Cell::new(device, SMALL),
                    Cell::new(words.signer(signer), SMALL),
                    Cell::new(key, Style::new(6.4)),
                ])
            })
            .collect();
        flow.table(&Table {
            columns: vec![Column::left(19.0), Column::left(24.0), Column::left(57.0)],
            head: heads(&[words.devices, words.by, words.key]),
            rows,
        });
        for (pattern, count) in [
            (words.newer_kept, proof.newer),
            (words.unverified_kept, proof.unverified),
            (words.irregular_kept, proof.irregular),
        ] {
            if count > 0 {
                flow.gap(4.0);
                let text = fill(pattern, &[("n", &count.to_string())]);
                flow.paragraph(&[(&text, SMALL.semi())]);
            }
        }
        super::close(flow, words, words.caution_record);
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
