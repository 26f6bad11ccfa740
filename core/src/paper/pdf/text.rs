//! Text: a text shaped into lines of glyphs, ready to be put on a page.

use std::collections::HashMap;

use krilla::text::{Font, GlyphId, KrillaGlyph};
use parley::{
    Alignment, AlignmentOptions, FontFamily, FontFamilyName, FontFeatures, FontWeight, Layout,
    LayoutContext, LineHeight, OverflowWrap, StyleProperty,
};

use super::Fonts;
use super::font::FAMILY;

/// What stands where no font has the character.
const NO_GLYPH: char = '\u{25a1}';

/// How heavy the strokes are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub(crate) enum Weight {
    /// For reading.
    #[default]
    Regular,
    /// For labels.
    SemiBold,
    /// For headings.
    Bold,
}

/// What it is printed with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub(crate) enum Ink {
    /// Black.
    #[default]
    Black,
    /// Dark grey, 7 to 1 on white.
    Grey,
    /// Light grey, for rules and bands; never for text.
    Pale,
    /// White, on black.
    White,
}

impl Ink {
    /// Lightness, from 0 for black to 255.
    pub(super) const fn lightness(self) -> u8 {
        match self {
            Self::Black => 0,
            Self::Grey => 82,
            Self::Pale => 226,
            Self::White => 255,
        }
    }
}

/// Size, weight and ink of a text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Style {
    /// In points.
    pub(crate) size: f32,
    /// How heavy.
    pub(crate) weight: Weight,
    /// Black, unless it says otherwise.
    pub(crate) ink: Ink,
}

impl Style {
    pub(crate) const fn new(size: f32) -> Self {
        Self {
            size,
            weight: Weight::Regular,
            ink: Ink::Black,
        }
    }

    pub(crate) const fn semi(self) -> Self {
        Self {
            weight: Weight::SemiBold,
            ..self
        }
    }

    pub(crate) const fn bold(self) -> Self {
        Self {
            weight: Weight::Bold,
            ..self
        }
    }

    pub(crate) const fn grey(self) -> Self {
        Self {
            ink: Ink::Grey,
            ..self
        }
    }

    pub(crate) const fn white(self) -> Self {
        Self {
            ink: Ink::White,
            ..self
        }
    }
}

/// The most bytes that are set as one text. What the paper is written with counts a line's
/// bytes in 16 bits and gives up beyond; nothing a person writes comes near.
const MOST_SET: usize = 32_000;

/// The text, or as much of it as there is room for, with a sign that it goes on.
fn cut(mut text: String, room: &mut usize) -> String {
    if text.len() > *room {
        let end = (0..=*room).rev().find(|at| text.is_char_boundary(*at));
        text.truncate(end.unwrap_or(0));
        text.push('…');
    }
    *room = room.saturating_sub(text.len());
    text
}

/// Which edge the lines keep to. Right-to-left text keeps to the same edge as the rest, so
/// that a column of names stays a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub(crate) enum Align {
    #[default]
    Left,
    Centre,
    Right,
}

/// A shaped text.
#[derive(Debug, Clone)]
pub(crate) struct Shaped {
    /// What was shaped: the glyphs' ranges point into it.
    pub(super) text: String,
    /// What was meant, where a character had to be replaced.
    pub(super) meant: Option<String>,
    pub(super) lines: Vec<Line>,
    pub(super) width: f32,
    pub(super) height: f32,
}

/// One line; `top` and `baseline` count from the top of the text.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub(super) top: f32,
    pub(super) bottom: f32,
    pub(super) baseline: f32,
    pub(super) runs: Vec<Run>,
}

/// Glyphs of one font, from left to right.
#[derive(Debug, Clone)]
pub(super) struct Run {
    pub(super) font: Font,
    pub(super) size: f32,
    pub(super) ink: Ink,
    pub(super) x: f32,
    pub(super) glyphs: Vec<KrillaGlyph>,
}

impl Shaped {
    /// Width of the widest line.
    pub(crate) const fn width(&self) -> f32 {
        self.width
    }

    /// Height of all lines.
    pub(crate) const fn height(&self) -> f32 {
        self.height
    }

    /// How many lines.
    pub(crate) const fn line_count(&self) -> usize {
        self.lines.len()
    }
}

/// Shapes texts, and keeps what shaping needs from one text to the next.
pub(crate) struct Typesetter {
    fonts: Fonts,
    layouts: LayoutContext<Ink>,
    krilla: HashMap<(u64, u32, Vec<i16>), Option<Font>>,
    known: HashMap<Asked, Shaped>,
    language: &'static str,
    replaced: bool,
}

/// What was asked to be shaped. Dates, marks, requirements and names come again and again, in
/// one record and in the next.
#[derive(PartialEq, Eq, Hash)]
struct Asked {
    pieces: Vec<(String, u32, Weight, Ink)>,
    width: Option<u32>,
    align: Align,
}

impl Asked {
    fn of(pieces: &[(&str, Style)], width: Option<f32>, align: Align) -> Self {
        let piece = |(text, style): &(&str, Style)| {
            let Style { size, weight, ink } = *style;
            ((*text).to_owned(), size.to_bits(), weight, ink)
        };
        Self {
            pieces: pieces.iter().map(piece).collect(),
            width: width.map(f32::to_bits),
            align,
        }
    }
}

/// The most shaped texts that are kept: a class's records have some thousand.
const MOST_KNOWN: usize = 6_000;

impl Typesetter {
    pub(crate) fn new(fonts: &Fonts, language: &'static str) -> Self {
        Self {
            fonts: fonts.clone(),
            layouts: LayoutContext::new(),
            krilla: HashMap::new(),
            known: HashMap::new(),
            language,
            replaced: false,
        }
    }

    /// Begins another document with what is known already.
    pub(crate) fn begin(&mut self) {
        self.replaced = false;
        if self.known.len() > MOST_KNOWN {
            self.known.clear();
        }
    }

    /// In which language it sets.
    pub(crate) const fn language(&self) -> &'static str {
        self.language
    }

    /// Whether a character had to be replaced, because no font has it.
    pub(crate) const fn replaced(&self) -> bool {
        self.replaced
    }

    /// Whether every character of the text has a shape here.
    pub(crate) fn can_print(&mut self, text: &str) -> bool {
        let piece = (clean(text), Style::new(9.0));
        !piece.0.contains(NO_GLYPH) && self.try_shape(&[piece], None, Align::Left).is_ok()
    }

    /// One text in one style, broken to the width if there is one.
    pub(crate) fn shape(
        &mut self,
        text: &str,
        style: Style,
        width: Option<f32>,
        align: Align,
    ) -> Shaped {
        self.shape_pieces(&[(text, style)], width, align)
    }

    /// Several pieces, each in its style, as one running text.
    pub(crate) fn shape_pieces(
        &mut self,
        pieces: &[(&str, Style)],
        width: Option<f32>,
        align: Align,
    ) -> Shaped {
        let asked = Asked::of(pieces, width, align);
        if let Some(shaped) = self.known.get(&asked) {
            self.replaced |= shaped.meant.is_some();
            return shaped.clone();
        }
        let shaped = self.shape_anew(pieces, width, align);
        self.known.insert(asked, shaped.clone());
        shaped
    }

    fn shape_anew(&mut self, pieces: &[(&str, Style)], width: Option<f32>, align: Align) -> Shaped {
        let mut room = MOST_SET;
        let cleaned: Vec<(String, Style)> = pieces
            .iter()
            .map(|(text, style)| (cut(clean(text), &mut room), *style))
            .collect();
        let shaped = self.try_shape(&cleaned, width, align);
        match shaped {
            Ok(shaped) => shaped,
            Err(missing) => {
                self.replaced = true;
                let meant = cleaned.iter().map(|(text, _)| text.as_str()).collect();
                let shown: Vec<(String, Style)> = cleaned
                    .iter()
                    .map(|(text, style)| {
                        let text = text
                            .chars()
                            .map(|c| if missing.contains(&c) { NO_GLYPH } else { c })
                            .collect();
                        (text, *style)
                    })
                    .collect();
                let mut shaped = match self.try_shape(&shown, width, align) {
                    Ok(shaped) => shaped,
                    // Only a run whose font cannot be embedded gets here: no glyph of it
                    // may stand, so the whole text becomes boxes.
                    Err(_) => {
                        let boxes: Vec<(String, Style)> = shown
                            .iter()
                            .map(|(text, style)| (boxed(text), *style))
                            .collect();
                        self.try_shape(&boxes, width, align)
                            .unwrap_or_else(|_| Shaped::empty())
                    }
                };
                shaped.meant = Some(meant);
                shaped
            }
        }
    }

    /// Shapes; or answers the characters that no font has.
    fn try_shape(
        &mut self,
        pieces: &[(String, Style)],
        width: Option<f32>,
        align: Align,
    ) -> Result<Shaped, Vec<char>> {
        let text: String = pieces.iter().map(|(text, _)| text.as_str()).collect();
        let layout = self.lay_out(&text, pieces, width, align);
        let mut missing = Vec::new();
        let mut lines = Vec::new();
        for line in layout.lines() {
            let metrics = line.metrics();
            let mut x = metrics.offset;
            let mut runs = Vec::new();
            for run in line.runs() {
                let data = run.font().clone();
                let coords = run.normalized_coords().to_vec();
                let settings: Vec<(krilla::text::Tag, f32)> = run
                    .synthesis()
                    .variation_settings()
                    .iter()
                    .map(|(tag, value)| (krilla::text::Tag::new(&tag.to_be_bytes()), *value))
                    .collect();
                let index = data.index;
                let (bytes, id) = data.data.into_raw_parts();
                let font = self
                    .krilla
                    .entry((id, index, coords))
                    .or_insert_with(|| Font::new_variable(bytes.into(), index, &settings))
                    .clone();
                let size = run.font_size();
                let mut ink = Ink::Black;
                let mut glyphs: Vec<KrillaGlyph> = Vec::new();
                let mut start = x;
                for cluster in run.visual_clusters() {
                    if cluster.is_ligature_continuation() {
                        if let Some(glyph) = glyphs.last_mut() {
                            widen(glyph, cluster.text_range());
                        }
                        continue;
                    }
                    // A line's end has no shape of its own.
                    if cluster.is_hard_line_break() {
                        continue;
                    }
                    let brush = cluster.first_style().brush;
                    if brush != ink && !glyphs.is_empty() {
                        runs.extend(run_of(font.clone(), size, ink, start, &mut glyphs));
                        start = x;
                    }
                    ink = brush;
                    for glyph in cluster.glyphs() {
                        if glyph.id == 0 || font.is_none() {
                            let range = cluster.text_range();
                            missing.extend(text.get(range).unwrap_or_default().chars());
                        }
                        glyphs.push(KrillaGlyph::new(
                            GlyphId::new(glyph.id),
                            glyph.advance / size,
                            glyph.x / size,
                            glyph.y / size,
                            0.0,
                            cluster.text_range(),
                            None,
                        ));
                        x += glyph.advance;
                    }
                }
                runs.extend(run_of(font, size, ink, start, &mut glyphs));
            }
            lines.push(Line {
                top: metrics.block_min_coord,
                bottom: metrics.block_max_coord,
                baseline: metrics.baseline,
                runs,
            });
        }
        if !missing.is_empty() {
            return Err(missing);
        }
        Ok(Shaped {
            width: layout.width(),
            height: layout.height(),
            text,
            meant: None,
            lines,
        })
    }

    fn lay_out(
        &mut self,
        text: &str,
        pieces: &[(String, Style)],
        width: Option<f32>,
        align: Align,
    ) -> Layout<Ink> {
        let mut builder = self
            .layouts
            .ranged_builder(&mut self.fonts.context, text, 1.0, false);
        builder.push_default(StyleProperty::FontFamily(FontFamily::Single(
            FontFamilyName::Named(FAMILY.into()),
        )));
        builder.push_default(StyleProperty::LineHeight(LineHeight::FontSizeRelative(
            1.32,
        )));
        builder.push_default(StyleProperty::OverflowWrap(OverflowWrap::Anywhere));
        builder.push_default(StyleProperty::Locale(self.language.parse().ok()));
        // Figures of one width, so that columns of times and depths line up.
        builder.push_default(StyleProperty::FontFeatures(FontFeatures::from(
            "\"tnum\" 1",
        )));
        let mut at = 0;
        // A style over nothing is one that the layout library panics on.
        for (piece, style) in pieces.iter().filter(|(piece, _)| !piece.is_empty()) {
            let range = at..at + piece.len();
            at = range.end;
            builder.push(StyleProperty::FontSize(style.size), range.clone());
            let weight = match style.weight {
                Weight::Regular => 400.0,
                Weight::SemiBold => 600.0,
                Weight::Bold => 700.0,
            };
            builder.push(
                StyleProperty::FontWeight(FontWeight::new(weight)),
                range.clone(),
            );
            builder.push(StyleProperty::Brush(style.ink), range);
        }
        let mut layout = builder.build(text);
        layout.break_all_lines(width);
        let alignment = match align {
            Align::Left => Alignment::Left,
            Align::Centre => Alignment::Center,
            Align::Right => Alignment::Right,
        };
        layout.align(alignment, AlignmentOptions::default());
        layout
    }
}

impl Shaped {
    /// Nothing at all, not even a line's height.
    pub(super) const fn empty() -> Self {
        Self {
            text: String::new(),
            meant: None,
            lines: Vec::new(),
            width: 0.0,
            height: 0.0,
        }
    }
}

fn run_of(
    font: Option<Font>,
    size: f32,
    ink: Ink,
    x: f32,
    glyphs: &mut Vec<KrillaGlyph>,
) -> Option<Run> {
    let glyphs = std::mem::take(glyphs);
    if glyphs.is_empty() {
        return None;
    }
    Some(Run {
        font: font?,
        size,
        ink,
        x,
        glyphs,
    })
}

/// A ligature stands for all the text it was made of.
fn widen(glyph: &mut KrillaGlyph, range: std::ops::Range<usize>) {
    glyph.text_range.start = glyph.text_range.start.min(range.start);
    glyph.text_range.end = glyph.text_range.end.max(range.end);
}

fn boxed(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_whitespace() { ' ' } else { NO_GLYPH })
        .collect()
}

/// Characters that have no shape, or that PDF/A forbids, are put right before shaping:
/// controls other than line ends become spaces, byte order marks go, private-use characters become
/// the box, since nobody can say what they mean.
fn clean(text: &str) -> String {
    text.chars()
        .filter(|c| !matches!(c, '\u{feff}' | '\u{fffe}' | '\u{ffff}' | '\u{fffd}'))
        .map(|c| match c {
            '\u{e000}'..='\u{f8ff}' | '\u{f0000}'..='\u{10ffff}' => NO_GLYPH,
            '\n' => '\n',
            c if c.is_control() => ' ',
            c => c,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn setter() -> Typesetter {
        Typesetter::new(&Fonts::bundled().unwrap(), "en")
    }

    #[test]
    fn a_text_is_broken_to_its_width_and_a_word_without_spaces_too() {
        let mut set = setter();
        let style = Style::new(10.0);
        let line = set.shape("one two three", style, None, Align::Left);
        assert_eq!(line.line_count(), 1);
        let broken = set.shape("one two three", style, Some(40.0), Align::Left);
        assert!(broken.line_count() > 1);
        let word = "W".repeat(200);
        let long = set.shape(&word, style, Some(100.0), Align::Left);
        assert!(long.width() <= 100.5, "{}", long.width());
        assert!(long.line_count() > 10);
    }

    #[test]
    fn a_text_without_end_is_cut_and_says_so() {
        let mut set = setter();
        let endless = "wet and cold, ".repeat(6_000);
        let shaped = set.shape(&endless, Style::new(10.0), None, Align::Left);
        assert_eq!(shaped.line_count(), 1);
        assert!(shaped.text.len() < 65_535, "{}", shaped.text.len());
        assert!(shaped.text.ends_with('…'));
    }

    #[test]
    fn what_no_font_has_becomes_a_box_and_keeps_its_meaning() {
        let mut set = setter();
        let shaped = set.shape("Kim 김수현", Style::new(10.0), None, Align::Left);
        assert!(set.replaced());
        assert_eq!(shaped.text, "Kim □□□");
        assert_eq!(shaped.meant.as_deref(), Some("Kim 김수현"));
        let glyphs = shaped.lines.iter().flat_map(|line| &line.runs);
        assert!(
            glyphs
                .flat_map(|run| &run.glyphs)
                .all(|glyph| glyph.glyph_id.to_u32() != 0)
        );
    }

    #[test]
    fn controls_and_private_characters_never_reach_the_page() {
        assert_eq!(clean("a\u{0}b\tc\r\nd\u{feff}e\u{e123}"), "a b c \nde□");
    }
}
