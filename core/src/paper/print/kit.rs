//! The school's kit on paper: the issue list of a session, to be ticked at the shelf; and the
//! list of all pieces.

use chrono::{DateTime, FixedOffset};

use super::{BODY, Press, SMALL, heads, legible, page_in};
use crate::course::{KitKind, KitName, KitWrong};
use crate::paper::pdf::{
    About, Cell, Column, Flow, Furniture, Mark, PdfError, Room, Row, Style, Table, Turn, Typesetter,
};
use crate::paper::say::{day, moment};
use crate::paper::words::{Words, fill};
use crate::plan::KitLineState;
use crate::view::{
    Day, KitIssueView, KitLine, KitOutRow, KitPersonRow, KitRow, KitState, KitView, WhoName,
};

impl Press {
    /// The issue list of a session: everybody with what they have, want and lack, and a box
    /// for what is handed out and comes back.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn issue_list(
        &self,
        shop: &str,
        list: &KitIssueView,
        now: DateTime<FixedOffset>,
    ) -> Result<Vec<u8>, PdfError> {
        let words = self.words();
        self.print(|set| {
            let mut flow = Flow::new(set, self.sheet, Turn::Upright, Room::OFFICE);
            let line = format!(
                "{} · {} · {} · {shop}",
                words.issue_title,
                moment(list.starts.at),
                list.site,
            );
            super::top(&mut flow, &list.title, &line);
            elsewhere(&mut flow, words, list.elsewhere);
            for row in &list.rows {
                person(&mut flow, words, row);
            }
            super::close(&mut flow, words, words.kit_caution);
            let title = format!("{} · {}", words.issue_title, list.title);
            let sheet = (title.as_str(), words.issue_subject, words.issue_title);
            finish(flow, words, shop, sheet, now)
        })
    }

    /// Every piece of the school's kit, with its dates, what is wrong with it and who has it.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn kit_list(
        &self,
        shop: &str,
        kit: &KitView,
        now: DateTime<FixedOffset>,
    ) -> Result<Vec<u8>, PdfError> {
        let words = self.words();
        self.print(|set| {
            let mut flow = Flow::new(set, self.sheet, Turn::Upright, Room::OFFICE);
            super::top(&mut flow, words.kit_title, shop);
            elsewhere(&mut flow, words, kit.elsewhere);
            if kit.rows.is_empty() {
                flow.paragraph(&[(words.kit_none, BODY)]);
            } else {
                pieces(&mut flow, words, &kit.rows);
            }
            super::close(&mut flow, words, words.kit_caution);
            let sheet = (words.kit_title, words.kit_subject, words.kit_title);
            finish(flow, words, shop, sheet, now)
        })
    }
}

fn finish(
    flow: Flow<'_>,
    words: &'static Words,
    shop: &str,
    (title, subject, state): (&str, &str, &str),
    now: DateTime<FixedOffset>,
) -> Result<Vec<u8>, PdfError> {
    let about = About {
        title: format!("{title} · {shop}"),
        subject: subject.to_owned(),
        language: words.tag,
        made: now,
        identity: format!("{title} {shop} {}", now.to_rfc3339()),
    };
    let furniture = Furniture {
        head: shop.to_owned(),
        state: state.to_owned(),
        foot: fill(words.printed, &[("when", &moment(now))]),
        page: page_in(words),
        band: None,
    };
    flow.finish(&about, Some(&furniture))
}

/// That not everything that is out is known here.
fn elsewhere(flow: &mut Flow<'_>, words: &Words, courses: u32) {
    if courses > 0 {
        let said = fill(words.kit_elsewhere, &[("n", &courses.to_string())]);
        flow.paragraph(&[(&said, SMALL.semi())]);
        flow.gap(3.0);
    }
}

/// Somebody's name as it can be printed.
fn called(set: &mut Typesetter, who: &WhoName) -> String {
    match who {
        WhoName::Student(name) => legible(set, &name.name, &name.student),
        WhoName::Staff(name) => name.name.clone(),
    }
}

fn person(flow: &mut Flow<'_>, words: &'static Words, row: &KitPersonRow) {
    let name = called(flow.set(), &row.who);
    flow.heading(3, &name);
    if let Some(weight) = &row.weight {
        let said = format!("{}, {}", weight.lead, words.water_of(weight.water));
        let said = fill(words.kit_weight, &[("what", &said)]);
        flow.paragraph(&[(&said, SMALL)]);
    }
    let asked = row
        .lines
        .iter()
        .filter(|line| line.state != KitLineState::NotAsked);
    let rows: Vec<Row> = asked.map(|line| kind_line(words, line)).collect();
    if rows.is_empty() {
        flow.paragraph(&[(words.nobody_asks, SMALL)]);
        return;
    }
    flow.table(&Table {
        columns: vec![
            Column::left(18.0),
            Column::left(12.0),
            Column::left(42.0),
            Column::left(18.0),
            Column::left(10.0),
        ],
        head: heads(&[
            words.kit_kind,
            words.kit_size,
            words.kit_issued,
            words.kit_fits,
            words.kit_back,
        ]),
        rows,
    });
}

fn kind_line(words: &'static Words, line: &KitLine) -> Row {
    let issued = match line.state {
        KitLineState::Issued => {
            let mut cell = Cell::default();
            for (place, one) in line.issued.iter().enumerate() {
                let lead = if place == 0 { "" } else { "\n" };
                cell = cell.and(
                    format!("{lead}{}", words.kit_name_of(&one.piece)),
                    BODY.semi(),
                );
                for said in loud(words, one) {
                    cell = cell.and(format!("\n{said}"), SMALL.bold());
                }
            }
            cell
        }
        KitLineState::Own => Cell::new(words.kit_own, SMALL),
        KitLineState::Missing => Cell::new(words.kit_missing, SMALL.bold()).marked(Mark::Cross),
        KitLineState::NotAsked => Cell::new("\u{a0}", SMALL),
    };
    let proposed = match &line.proposed {
        Some(piece) => Cell::new(words.kit_name_of(piece), SMALL).marked(Mark::Box),
        None => Cell::new("\u{a0}", SMALL),
    };
    let wanted = if line.wanted.is_empty() {
        "\u{a0}"
    } else {
        &line.wanted
    };
    let back = match line.state {
        KitLineState::Issued | KitLineState::Missing => Cell::sign(Mark::Box, words.kit_back, 10.0),
        KitLineState::Own | KitLineState::NotAsked => Cell::new("\u{a0}", SMALL),
    };
    Row::of(vec![
        Cell::new(words.kit_kind_of(line.kind), BODY),
        Cell::new(wanted, BODY),
        issued,
        proposed,
        back,
    ])
}

/// What must be seen of a piece that somebody has.
fn loud(words: &'static Words, one: &KitOutRow) -> Vec<String> {
    let mut said: Vec<String> = one
        .wrong
        .iter()
        .map(|wrong| words.kit_wrong_of(*wrong))
        .collect();
    said.extend(
        one.despite
            .iter()
            .map(|why| fill(words.kit_despite, &[("why", why)])),
    );
    if one.also > 0 {
        said.push(fill(words.kit_also, &[("n", &one.also.to_string())]));
    }
    said
}

fn pieces(flow: &mut Flow<'_>, words: &'static Words, rows: &[KitRow]) {
    let mut lines = Vec::new();
    for row in rows {
        let due = |given: Option<Day>| given.map_or("\u{a0}".to_owned(), |given| day(given.date));
        let state = match row.state {
            KitState::Free => Cell::new(words.kit_free, SMALL),
            KitState::Retired => {
                let why = row.retired.iter().map(|retired| retired.why.as_str());
                let why: Vec<&str> = why.collect();
                Cell::new(
                    format!("{}: {}", words.kit_wrong_retired, why.join("; ")),
                    SMALL,
                )
            }
            KitState::Out | KitState::Faulty | KitState::Overdue => state(flow.set(), words, row),
        };
        lines.push(Row::of(vec![
            Cell::new(words.kit_kind_of(row.details.kind), BODY),
            Cell::new(row.details.number.clone(), BODY.bold()),
            Cell::new(filled(&row.details.size), BODY),
            Cell::new(due(row.service_due), SMALL),
            Cell::new(due(row.test_due), SMALL),
            state,
        ]));
    }
    flow.table(&Table {
        columns: vec![
            Column::left(14.0),
            Column::left(10.0),
            Column::left(10.0),
            Column::left(14.0),
            Column::left(14.0),
            Column::left(38.0),
        ],
        head: heads(&[
            words.kit_kind,
            words.number,
            words.kit_size,
            words.kit_service_due,
            words.kit_test_due,
            words.kit_state,
        ]),
        rows: lines,
    });
}

/// Who has a piece, what is wrong with it, and in whose words.
fn state(set: &mut Typesetter, words: &'static Words, row: &KitRow) -> Cell {
    let mut said: Vec<(String, Style)> = Vec::new();
    for one in &row.out {
        let who = called(set, &one.who);
        let parts = [("who", who.as_str()), ("when", &moment(one.since.at))];
        said.push((fill(words.kit_with, &parts), SMALL));
    }
    let open = row.faults.iter().filter(|fault| fault.mended.is_none());
    said.extend(open.map(|fault| {
        let said = format!("{}: {}", words.kit_wrong_faulty, fault.what);
        (said, SMALL.bold())
    }));
    let dates = row.wrong.iter().filter(|wrong| wrong.until().is_some());
    said.extend(dates.map(|wrong| (words.kit_wrong_of(*wrong), SMALL.bold())));
    let mut cell = Cell::default();
    for (place, (text, style)) in said.into_iter().enumerate() {
        let lead = if place == 0 { "" } else { "\n" };
        cell = cell.and(format!("{lead}{text}"), style);
    }
    if row.wrong.is_empty() {
        cell
    } else {
        cell.marked(Mark::Cross)
    }
}

fn filled(text: &str) -> &str {
    if text.is_empty() { "\u{a0}" } else { text }
}

impl Words {
    /// What a kind of kit is called.
    pub(crate) const fn kit_kind_of(&self, kind: KitKind) -> &'static str {
        match kind {
            KitKind::Suit => self.suit,
            KitKind::Boots => self.kit_boots,
            KitKind::Fins => self.kit_fins,
            KitKind::Mask => self.mask,
            KitKind::Bcd => self.kit_bcd,
            KitKind::Regulator => self.regulator,
            KitKind::Cylinder => self.cylinder,
            KitKind::Weights => self.kit_weights,
            KitKind::Computer => self.kit_computer,
            KitKind::Other => self.kit_other,
        }
    }

    /// A piece by kind, number and size.
    pub(crate) fn kit_name_of(&self, name: &KitName) -> String {
        let called = format!("{} {}", self.kit_kind_of(name.kind), name.number);
        if name.size.is_empty() {
            called
        } else {
            format!("{called} ({})", name.size)
        }
    }

    /// Why a piece should not go into the water.
    pub(crate) fn kit_wrong_of(&self, wrong: KitWrong) -> String {
        let until = |pattern, until| fill(pattern, &[("when", &day(until))]);
        match wrong {
            KitWrong::Faulty => self.kit_wrong_faulty.to_owned(),
            KitWrong::ServiceOverdue(due) => until(self.kit_wrong_service, due),
            KitWrong::TestOverdue(due) => until(self.kit_wrong_test, due),
            KitWrong::Retired => self.kit_wrong_retired.to_owned(),
        }
    }

    /// A piece and what is wrong with it, as a gap before water.
    pub(crate) fn kit_gap(&self, piece: &KitName, wrong: KitWrong) -> String {
        let named = self.kit_name_of(piece);
        format!("{named}: {}", self.kit_wrong_of(wrong))
    }
}
