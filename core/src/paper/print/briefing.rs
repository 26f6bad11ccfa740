//! Briefing cards: what to say and what to watch, to be cut out and taken along.

use chrono::{DateTime, FixedOffset};

use super::{Press, page_in};
use crate::course::{Outline, Skill, SkillId};
use crate::paper::pdf::{
    About, Align, Flow, Furniture, Ink, Kind, PdfError, Room, Shaped, Style, Turn, mm,
};
use crate::paper::words::Words;

const INNER: f32 = 12.0;

impl Press {
    /// A card for each of these skills, in this order; all of the outline's when the list is
    /// empty. What the outline does not have is passed over.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn briefing_cards(
        &self,
        outline: &Outline,
        skills: &[SkillId],
        now: DateTime<FixedOffset>,
    ) -> Result<Vec<u8>, PdfError> {
        let words = self.words();
        let chosen: Vec<&Skill> = if skills.is_empty() {
            outline.skills.iter().collect()
        } else {
            skills.iter().filter_map(|id| outline.skill(id)).collect()
        };
        self.print(|set| {
            let mut flow = Flow::new(set, self.sheet, Turn::Upright, Room::OFFICE);
            flow.heading(1, words.briefing_title);
            flow.gap(4.0);
            for skill in &chosen {
                card(&mut flow, words, skill);
            }
            super::close(&mut flow, words, words.caution_plan);
            let about = About {
                title: format!("{} · {}", words.briefing_title, outline.title),
                subject: words.briefing_subject.to_owned(),
                language: words.tag,
                made: now,
                identity: format!("briefing {} {}", outline.title, outline.edition),
            };
            let furniture = Furniture {
                head: outline.title.clone(),
                state: words.briefing_title.to_owned(),
                foot: outline.source.clone(),
                page: page_in(words),
                band: None,
            };
            flow.finish(&about, Some(&furniture))
        })
    }
}

struct Piece {
    shaped: Shaped,
    kind: Kind,
    x: f32,
    y: f32,
}

fn card(flow: &mut Flow<'_>, words: &'static Words, skill: &Skill) {
    let width = flow.width();
    let room = width - 2.0 * INNER;
    let label = mm(21.0);
    let mut pieces: Vec<Piece> = Vec::new();
    let mut y = INNER;
    let set = flow.set();
    let family = words.family_of(skill.family);
    let name = set.shape(
        &skill.name,
        Style::new(17.0).bold(),
        Some(room),
        Align::Left,
    );
    let family = set.shape(
        family,
        Style::new(8.5).semi().grey(),
        Some(room),
        Align::Right,
    );
    let height = name.height();
    pieces.push(Piece {
        shaped: family,
        kind: Kind::Paragraph,
        x: INNER,
        y: y + 6.0,
    });
    pieces.push(Piece {
        shaped: name,
        kind: Kind::Heading(2, skill.name.clone()),
        x: INNER,
        y,
    });
    y += height + 3.0;
    let mut block = |head: &str, text: &str, style: Style, y: &mut f32| {
        let head = set.shape(
            head,
            Style::new(8.5).semi().grey(),
            Some(label - 4.0),
            Align::Left,
        );
        let text = set.shape(text, style, Some(room - label), Align::Left);
        let tall = text.height().max(head.height());
        pieces.push(Piece {
            shaped: head,
            kind: Kind::Paragraph,
            x: INNER,
            y: *y + 2.0,
        });
        pieces.push(Piece {
            shaped: text,
            kind: Kind::Paragraph,
            x: INNER + label,
            y: *y,
        });
        *y += tall + 5.0;
    };
    block(
        words.shows,
        &skill.requirement.says,
        Style::new(10.5),
        &mut y,
    );
    let cues: Vec<String> = (1..)
        .zip(&skill.cues)
        .map(|(n, cue): (usize, _)| format!("{n}  {cue}"))
        .collect();
    block(
        words.cues,
        &cues.join("\n"),
        Style::new(12.5).semi(),
        &mut y,
    );
    for method in &skill.methods {
        let text = if method.cues.is_empty() {
            method.name.clone()
        } else {
            format!("{}: {}", method.name, method.cues.join(" · "))
        };
        block(words.ways, &text, Style::new(10.0), &mut y);
    }
    let slips: Vec<String> = skill
        .slips
        .iter()
        .map(|slip| format!("{} → {}", slip.fault, slip.fix))
        .collect();
    if !slips.is_empty() {
        block(words.slips, &slips.join("\n"), Style::new(10.0), &mut y);
    }
    if let Some(caution) = &skill.caution {
        block(words.caution, caution, Style::new(10.5).bold(), &mut y);
    }
    let height = y + INNER - 5.0;
    flow.keep(height);
    let (left, top) = (flow.left(), flow.y());
    flow.leaf().dashed_frame(left, top, width, height, 0.7);
    if skill.hazard {
        // A black edge: here someone can be hurt.
        flow.leaf().fill(left, top, 4.0, height, Ink::Black);
    }
    // The heading is read first, wherever its family stands.
    pieces.sort_by_key(|piece| !matches!(piece.kind, Kind::Heading(..)));
    for piece in pieces {
        let node = flow.node(piece.kind, None);
        flow.leaf()
            .text(Some(node), piece.shaped, left + piece.x, top + piece.y);
    }
    flow.down(height + 8.0);
}
