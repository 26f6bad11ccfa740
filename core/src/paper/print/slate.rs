//! The slate sheet: black on white, large, both sides. In front students by skills, behind
//! the cues and what must be known in an emergency.

use super::Press;
use super::share::{chunks, even, steps, whole};
use crate::course::EmergencyPlan;
use crate::paper::pdf::{
    About, Align, Flow, Ink, Kind, Mark, PdfError, Room, Shaped, Sheet, Style, Turn, Typesetter,
    mm, one_line,
};
use crate::paper::say::{clock, day};
use crate::paper::slate::{Slate, SlateBox, SlateSkill, Supervision};
use crate::paper::words::{Words, fill};

/// The two sizes of waterproof slates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum SlateSize {
    /// A5, for a board on a line.
    #[default]
    A5,
    /// A6, for a pocket or a forearm.
    A6,
}

/// The measures of a size, in points.
struct Measures {
    sheet: Sheet,
    name: f32,
    passage: f32,
    smallest_box: f32,
    largest_box: f32,
    smallest_row: f32,
    largest_row: f32,
    head: f32,
    title: f32,
    body: f32,
    /// Height kept for the emergency block on the back.
    emergency: f32,
}

impl SlateSize {
    const fn measures(self) -> Measures {
        match self {
            Self::A5 => Measures {
                sheet: Sheet::A5,
                name: mm(36.0),
                passage: mm(12.0),
                smallest_box: mm(10.0),
                largest_box: mm(15.0),
                smallest_row: mm(8.5),
                largest_row: mm(14.0),
                head: mm(31.0),
                title: 15.0,
                body: 11.0,
                emergency: mm(72.0),
            },
            Self::A6 => Measures {
                sheet: Sheet::A6,
                name: mm(25.0),
                passage: mm(10.5),
                smallest_box: mm(9.0),
                largest_box: mm(13.0),
                smallest_row: mm(7.5),
                largest_row: mm(12.0),
                head: mm(25.0),
                title: 11.5,
                body: 9.0,
                emergency: mm(57.0),
            },
        }
    }
}

impl Press {
    /// A session's slate. Each pair of pages is one sheet, front and back.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn slate(&self, slate: &Slate, size: SlateSize) -> Result<Vec<u8>, PdfError> {
        let words = self.words();
        self.print(|set| {
            Paper {
                words,
                slate,
                is: size.measures(),
            }
            .print(set)
        })
    }
}

struct Paper<'a> {
    words: &'static Words,
    slate: &'a Slate,
    is: Measures,
}

impl Paper<'_> {
    fn print(&self, set: &mut Typesetter) -> Result<Vec<u8>, PdfError> {
        let slate = self.slate;
        let mut flow = Flow::new(set, self.is.sheet, Turn::Upright, Room::SLATE);
        let columns = self.columns(&flow);
        let rows = self.rows(&flow);
        let students: Vec<usize> = (0..slate.students.len()).collect();
        let skills: Vec<usize> = (0..slate.skills.len()).collect();
        let mut sheets = Vec::new();
        // An empty plan still gives a sheet: its emergency block is wanted most of all.
        for part in chunks(&skills, columns) {
            for group in chunks(&students, rows) {
                sheets.push((group.to_vec(), part.to_vec()));
            }
        }
        let of = sheets.len();
        for (at, (group, part)) in sheets.iter().enumerate() {
            if at > 0 {
                flow.fresh();
            }
            self.front(&mut flow, group, part, at + 1, of);
            flow.fresh();
            self.back(&mut flow, group, part, (at + 1, of));
        }
        let about = About {
            title: format!("{} · {}", self.words.slate_title, slate.title),
            subject: self.words.slate_subject.to_owned(),
            language: self.words.tag,
            made: slate.starts,
            identity: format!("slate {}", slate.session),
        };
        flow.finish(&about, None)
    }

    /// How many skills go on one sheet: evenly, so that no sheet has a single column.
    fn columns(&self, flow: &Flow<'_>) -> usize {
        let room = flow.width() - self.is.name - 2.0 * self.is.passage;
        even(self.slate.skills.len(), whole(room / self.is.smallest_box))
    }

    fn rows(&self, flow: &Flow<'_>) -> usize {
        let room = flow.height() - self.top_height() - self.is.head - mm(9.0);
        even(
            self.slate.students.len(),
            whole(room / self.is.smallest_row),
        )
    }

    fn top_height(&self) -> f32 {
        self.is.title * 1.35 + self.is.body * 2.8
    }

    fn top(&self, flow: &mut Flow<'_>, side: &str, at: usize, of: usize) {
        let (words, slate) = (self.words, self.slate);
        let width = flow.width();
        let (x, y) = (flow.left(), flow.y());
        let mut count = side.to_owned();
        if of > 1 {
            let n = fill(
                words.slate_of,
                &[("n", &at.to_string()), ("of", &of.to_string())],
            );
            count = format!("{side} {n}").trim().to_owned();
        }
        if let Some(number) = slate.number {
            count = format!("№ {number}  {count}");
        }
        let count = flow
            .set()
            .shape(&count, Style::new(self.is.body).bold(), None, Align::Left);
        let room = width - count.width() - 6.0;
        let title = fitted(
            flow.set(),
            &slate.title,
            Style::new(self.is.title).bold(),
            room,
            self.is.title * 1.4,
        );
        let line = format!(
            "{} {} · {} · {}",
            day(slate.starts.date_naive()),
            clock(slate.starts),
            slate.site,
            words.setting_of(slate.setting)
        );
        let style = Style::new(self.is.body * 0.88).semi();
        let line = fitted(flow.set(), &line, style, width, self.is.body * 1.4);
        let ratio = supervision(
            words,
            &slate.supervision,
            words.slate_ceiling,
            words.slate_unconfirmed,
        );
        let ratio = fitted(flow.set(), &ratio, style, width, self.is.body * 1.4);
        let nodes = [
            flow.node(
                Kind::Heading(if at == 1 { 1 } else { 2 }, slate.title.clone()),
                None,
            ),
            flow.node(Kind::Paragraph, None),
            flow.node(Kind::Paragraph, None),
            flow.node(Kind::Paragraph, None),
        ];
        let under = y + self.is.title * 1.35;
        let count_x = x + width - count.width();
        let leaf = flow.leaf();
        let [first, second, third, fourth] = nodes;
        leaf.text(Some(first), title, x, y);
        leaf.text(Some(second), count, count_x, y);
        leaf.text(Some(third), line, x, under);
        leaf.text(Some(fourth), ratio, x, under + self.is.body * 1.25);
        flow.down(self.top_height());
    }

    fn front(
        &self,
        flow: &mut Flow<'_>,
        students: &[usize],
        skills: &[usize],
        at: usize,
        of: usize,
    ) {
        let (words, slate, is) = (self.words, self.slate, &self.is);
        self.top(flow, "", at, of);
        let (left, top, width) = (flow.left(), flow.y(), flow.width());
        let count = u16::try_from(skills.len().max(1)).unwrap_or(1);
        let box_width =
            ((width - is.name - 2.0 * is.passage) / f32::from(count)).min(is.largest_box);
        let rows = u16::try_from(students.len().max(1)).unwrap_or(1);
        let room = flow.left_over() - is.head - mm(9.0);
        let row_height = (room / f32::from(rows)).min(is.largest_row);
        let passages = left + is.name;
        let boxes = passages + 2.0 * is.passage;
        // Column heads, read from below; the number is what the back goes by.
        let foot = top + is.head;
        for (column, label) in [words.time_in, words.time_out].iter().enumerate() {
            let shaped = flow
                .set()
                .shape(label, Style::new(is.body).bold(), None, Align::Left);
            let node = flow.node(Kind::Paragraph, None);
            let x = passages
                + is.passage * f32::from(u8::try_from(column).unwrap_or(0))
                + (is.passage - shaped.width()) / 2.0;
            let y = foot - shaped.height() - 2.0;
            flow.leaf().text(Some(node), shaped, x, y);
        }
        let number_height = is.body * 1.5;
        for (column, skill) in skills.iter().enumerate() {
            let Some(known) = slate.skills.get(*skill) else {
                continue;
            };
            let x = boxes + box_width * steps(column);
            let number = flow.set().shape(
                &(skill + 1).to_string(),
                Style::new(is.body * 1.1).bold(),
                None,
                Align::Left,
            );
            let name = fitted(
                flow.set(),
                &known.name,
                Style::new(is.body * 0.92).semi(),
                is.head - number_height - 4.0,
                box_width - 2.0,
            );
            let node = flow.node(Kind::Paragraph, None);
            let number_x = x + (box_width - number.width()) / 2.0;
            let name_x = x + (box_width - name.height()) / 2.0;
            let leaf = flow.leaf();
            leaf.text(Some(node), number, number_x, foot - number_height);
            leaf.turned(Some(node), name, name_x, foot - number_height - 1.0);
        }
        for (row, student) in students.iter().enumerate() {
            let y = foot + row_height * steps(row);
            let name = match slate.students.get(*student) {
                Some(one) => super::legible(flow.set(), &one.called, &one.student),
                None => String::new(),
            };
            let name = fitted(
                flow.set(),
                &name,
                Style::new(is.body * 1.25).bold(),
                is.name - 4.0,
                row_height - 2.0,
            );
            let node = flow.node(Kind::Paragraph, None);
            let text_y = y + (row_height - name.height()) / 2.0;
            let leaf = flow.leaf();
            leaf.text(Some(node), name, left + 1.5, text_y);
            for column in [0.0, 1.0] {
                leaf.frame(
                    passages + is.passage * column,
                    y,
                    is.passage,
                    row_height,
                    0.6,
                );
            }
            for (column, skill) in skills.iter().enumerate() {
                let x = boxes + box_width * steps(column);
                leaf.frame(x, y, box_width, row_height, 1.2);
                let side = row_height.min(box_width) * 0.42;
                let mark = match slate.at(*student, *skill) {
                    Some(SlateBox::Done) => Some(Mark::Done),
                    Some(SlateBox::NotAsked) => Some(Mark::Bar),
                    Some(SlateBox::Wanted) | None => None,
                };
                if let Some(mark) = mark {
                    // In a corner: there must be room for a new mark beside it.
                    leaf.mark(None, mark, x + 2.0, y + 2.0, side, Ink::Black);
                }
            }
        }
        let end = boxes + box_width * f32::from(count);
        let bottom = foot + row_height * f32::from(rows);
        let leaf = flow.leaf();
        for row in 0..=students.len() {
            leaf.rule(
                left,
                foot + row_height * steps(row),
                end - left,
                0.8,
                Ink::Black,
            );
        }
        let key = format!("{}\n{}", words.slate_key, words.slate_done);
        let key = fitted(flow.set(), &key, Style::new(is.body * 0.8), width, mm(9.0));
        let node = flow.node(Kind::Paragraph, None);
        let key_height = key.height();
        flow.leaf().text(Some(node), key, left, bottom + 3.0);
        self.remarks(flow, bottom + 3.0 + key_height + mm(3.0));
        let fallen = bottom - flow.y() + mm(9.0);
        flow.down(fallen);
    }

    /// What is left of the page, as lines to write on.
    fn remarks(&self, flow: &mut Flow<'_>, from: f32) {
        let (left, width) = (flow.left(), flow.width());
        let end = flow.y() + flow.left_over();
        let label = self.words.remarks;
        let shaped = flow.set().shape(
            label,
            Style::new(self.is.body * 0.8).bold(),
            None,
            Align::Left,
        );
        let mut line = from + shaped.height() + mm(7.0);
        if line > end {
            return;
        }
        let node = flow.node(Kind::Paragraph, None);
        flow.leaf().text(Some(node), shaped, left, from);
        while line <= end {
            flow.leaf().rule(left, line, width, 0.5, Ink::Black);
            line += mm(9.0);
        }
    }

    fn back(
        &self,
        flow: &mut Flow<'_>,
        group: &[usize],
        skills: &[usize],
        (at, of): (usize, usize),
    ) {
        self.top(flow, self.words.slate_back, at, of);
        let small = [self.teams(flow), self.contacts(flow, group)];
        let small: Vec<Shaped> = small.into_iter().flatten().collect();
        let known: f32 = small.iter().map(|text| text.height() + 3.0).sum();
        // A little air between the last cue and the block.
        let room = flow.left_over() - self.is.emergency - known - 5.0;
        let cues = self.cues(flow, skills, room);
        let x = flow.left();
        let y = flow.y();
        let mut below = y;
        for shaped in cues {
            let node = flow.node(Kind::Paragraph, None);
            let height = shaped.height();
            flow.leaf().text(Some(node), shaped, x, below);
            below += height + 2.0;
        }
        let bottom = flow.left_over() - self.is.emergency - known;
        flow.down(bottom);
        for text in small {
            let node = flow.node(Kind::Paragraph, None);
            let y = flow.y();
            let height = text.height() + 3.0;
            flow.leaf().text(Some(node), text, x, y);
            flow.down(height);
        }
        self.emergency(flow);
    }

    /// Who watches whom, and who dives beside whom.
    fn teams(&self, flow: &mut Flow<'_>) -> Option<Shaped> {
        if self.slate.teams.is_empty() {
            return None;
        }
        let style = Style::new((self.is.body * 0.75).max(6.5));
        let head = format!("{}  ", self.words.teams);
        let width = flow.width();
        Some(flow.set().shape_pieces(
            &[
                (&head, style.bold()),
                (&self.slate.teams.join(" · "), style),
            ],
            Some(width),
            Align::Left,
        ))
    }

    /// Whom to call for those who are on the front of this sheet.
    fn contacts(&self, flow: &mut Flow<'_>, group: &[usize]) -> Option<Shaped> {
        let whom: Vec<String> = group
            .iter()
            .filter_map(|at| {
                let contact = self.slate.contacts.get(*at).filter(|one| !one.is_empty())?;
                let called = &self.slate.students.get(*at)?.called;
                Some(format!("{called}: {contact}"))
            })
            .collect();
        if whom.is_empty() {
            return None;
        }
        let size = (self.is.body * 0.7).max(6.5);
        let style = Style::new(size);
        let head = format!("{}  ", self.words.emergency_contact);
        let width = flow.width();
        Some(flow.set().shape_pieces(
            &[(&head, style.bold()), (&whom.join(" · "), style)],
            Some(width),
            Align::Left,
        ))
    }

    /// The cues in brief: as large and as many as the room takes, the names at the least.
    fn cues(&self, flow: &mut Flow<'_>, skills: &[usize], room: f32) -> Vec<Shaped> {
        let width = flow.width();
        let known: Vec<(usize, &SlateSkill)> = skills
            .iter()
            .filter_map(|skill| Some((*skill + 1, self.slate.skills.get(*skill)?)))
            .collect();
        let mut last = Vec::new();
        for (most, caution) in [(9, true), (3, false), (2, false), (1, false), (0, false)] {
            for step in 0_u8..=6 {
                let size = self.is.body * 1.05 - f32::from(step) * 0.5;
                if size < 6.8 {
                    break;
                }
                let style = Style::new(size);
                last = known
                    .iter()
                    .map(|(number, skill)| {
                        let name = format!("{number} {}", skill.name);
                        let mut cues: Vec<&str> =
                            skill.cues.iter().take(most).map(String::as_str).collect();
                        cues.extend(skill.caution.as_deref().filter(|_| caution));
                        let cues = format!("  {}", cues.join(" · "));
                        flow.set().shape_pieces(
                            &[(&name, style.bold()), (&cues, style)],
                            Some(width),
                            Align::Left,
                        )
                    })
                    .collect();
                let height: f32 = last.iter().map(|shaped| shaped.height() + 2.0).sum();
                if height <= room {
                    return last;
                }
            }
        }
        last
    }

    fn emergency(&self, flow: &mut Flow<'_>) {
        let (words, is) = (self.words, &self.is);
        let (x, y, width) = (flow.left(), flow.y(), flow.width());
        let height = is.emergency - 2.0;
        let style = Style::new(is.body);
        let band = is.body * 1.9;
        let head = match &self.slate.emergency {
            None => words.emergency.to_owned(),
            Some(_) if self.slate.emergency_lacks.is_empty() => {
                format!("{} · {}", words.emergency_head, self.slate.site)
            }
            Some(_) => format!(
                "{} · {}",
                words.emergency_head,
                self.slate.emergency_lacks.join(" · ")
            ),
        };
        let title = fitted(flow.set(), &head, style.bold().white(), width - 10.0, band);
        let node = flow.node(Kind::Heading(2, head.clone()), None);
        let leaf = flow.leaf();
        leaf.fill(x, y, width, band, Ink::Black);
        leaf.frame(x, y, width, height, 1.5);
        let title_y = y + (band - title.height()) / 2.0;
        leaf.text(Some(node), title, x + 5.0, title_y);
        let caution = fitted(
            flow.set(),
            words.emergency_caution,
            Style::new(is.body * 0.78).semi(),
            width - 10.0,
            is.body * 3.6,
        );
        let plan = self.slate.emergency.as_ref();
        let part = |of: fn(&EmergencyPlan) -> &String| plan.map_or("", |plan| of(plan).as_str());
        let mut lines = vec![
            (words.emergency_number, part(|plan| &plan.numbers)),
            (words.nearest_chamber, part(|plan| &plan.chamber)),
            (words.oxygen_where, part(|plan| &plan.oxygen)),
            (words.assembly, part(|plan| &plan.assembly)),
            (words.address, part(|plan| &plan.address)),
        ];
        if let Some(plan) = plan {
            lines.push((words.nearest_hospital, &plan.hospital));
            lines.push((words.first_aid_is, &plan.first_aid));
        }
        let room = height - band - caution.height() - 8.0;
        let each = room / steps(lines.len());
        for (at, (label, said)) in lines.iter().enumerate() {
            let shaped = flow.set().shape(label, style.semi(), None, Align::Left);
            let node = flow.node(Kind::Paragraph, None);
            let line_y = y + band + each * (steps(at) + 1.0);
            let text_y = line_y - shaped.height() - 0.5;
            let from = x + 5.0 + shaped.width() + 4.0;
            let left = x + width - 5.0 - from;
            let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
            let leaf = flow.leaf();
            leaf.text(Some(node), shaped, x + 5.0, text_y);
            leaf.rule(from, line_y - 2.0, left, 0.8, Ink::Black);
            if !said.is_empty() {
                let said = fitted(flow.set(), &said, style, left, each - 4.0);
                let node = flow.node(Kind::Paragraph, None);
                let text_y = line_y - said.height() - 3.0;
                flow.leaf().text(Some(node), said, from, text_y);
            }
        }
        let node = flow.node(Kind::Paragraph, None);
        let caution_y = y + height - caution.height() - 3.0;
        flow.leaf().text(Some(node), caution, x + 5.0, caution_y);
    }
}

/// The planned supervision in a line.
pub(super) fn supervision(
    words: &Words,
    is: &Supervision,
    within: &str,
    unconfirmed: &str,
) -> String {
    let line = fill(
        words.ratio_line,
        &[
            ("students", &is.students.to_string()),
            ("instructors", &is.instructors.to_string()),
            ("assistants", &is.assistants.to_string()),
        ],
    );
    let ceiling = match is.ceiling {
        None if is.age_unknown => words.ratio_age_unknown.to_owned(),
        None => unconfirmed.to_owned(),
        Some(ceiling) => {
            let pattern = if is.is_over() {
                words.ratio_over
            } else {
                within
            };
            fill(pattern, &[("n", &ceiling.to_string())])
        }
    };
    format!("{line} · {ceiling}")
}

/// A text as large as it may be within a width and a height; shortened only when even small
/// type does not hold it, and then it stands in full elsewhere.
fn fitted(set: &mut Typesetter, text: &str, style: Style, width: f32, height: f32) -> Shaped {
    let mut size = style.size;
    while size >= 6.0 {
        let smaller = Style { size, ..style };
        let shaped = set.shape(text, smaller, Some(width), Align::Left);
        if shaped.height() <= height + 0.1 && whole_words(set, text, smaller, width) {
            return shaped;
        }
        size -= 0.5;
    }
    let smallest = Style { size: 6.0, ..style };
    let shaped = set.shape(text, smallest, Some(width), Align::Left);
    if shaped.height() <= height + 0.1 {
        return shaped;
    }
    one_line(set, text, smallest, width)
}

/// Whether no word has to be cut in two.
fn whole_words(set: &mut Typesetter, text: &str, style: Style, width: f32) -> bool {
    text.split_whitespace()
        .all(|word| set.shape(word, style, None, Align::Left).width() <= width)
}
