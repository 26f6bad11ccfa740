//! Write: pages laid out, written as PDF/A-2a and PDF/UA-1. The engine checks both while it
//! writes and refuses what does not conform, so a file that comes out is one.

use std::panic::{AssertUnwindSafe, catch_unwind};

use chrono::{DateTime, Datelike as _, FixedOffset, Timelike as _};
use krilla::color::luma;
use krilla::configure::{Accessibility, Archival, ConfigurationBuilder, ValidationError};
use krilla::destination::XyzDestination;
use krilla::error::KrillaError;
use krilla::geom::{Path, PathBuilder, Point, Rect, Transform};
use krilla::metadata::{Metadata, TextDirection};
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, ContentTag, Identifier, SpanTag, TableHeaderScope, Tag, TagGroup,
    TagTree,
};
use krilla::{Document, SerializeSettings};

use super::PdfError;
use super::leaf::{Draw, Leaf, Op};
use super::mark::{Mark, Shape};
use super::opened::opened;
use super::sheet::Size;
use super::text::{Ink, Shaped};
use super::tree::{Kind, Part, Tree};

/// What a document says of itself.
#[derive(Debug, Clone)]
pub(crate) struct About {
    /// Its title: shown by a reader in place of the file's name.
    pub(crate) title: String,
    /// What it is, in a sentence.
    pub(crate) subject: String,
    /// RFC 5646 tag of its language.
    pub(crate) language: &'static str,
    /// When it was made.
    pub(crate) made: DateTime<FixedOffset>,
    /// What makes it this document and no other; the same facts give the same file.
    pub(crate) identity: String,
}

/// Writes the pages.
///
/// # Errors
/// [`PdfError::Engine`]; the engine's panics are caught, since fonts from the device may
/// hold what it does not foresee.
pub(crate) fn write(
    about: &About,
    size: Size,
    leaves: &[Leaf],
    tree: &Tree,
) -> Result<Vec<u8>, PdfError> {
    let refused = |detail: String| PdfError::Engine { detail };
    catch_unwind(AssertUnwindSafe(|| draw(about, size, leaves, tree)))
        .unwrap_or_else(|_| Err(refused("the engine gave up".into())))
}

fn draw(about: &About, size: Size, leaves: &[Leaf], tree: &Tree) -> Result<Vec<u8>, PdfError> {
    let refused = |detail: &str| PdfError::Engine {
        detail: detail.to_owned(),
    };
    let configuration = ConfigurationBuilder::new()
        .with_archival_validator(Archival::A2_A)
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|_| refused("the two standards do not go together"))?;
    let mut document = Document::new_with(SerializeSettings {
        configuration,
        ..SerializeSettings::default()
    });
    document.set_metadata(metadata(about));
    let mut marked: Vec<Vec<Identifier>> = tree.parts.iter().map(|_| Vec::new()).collect();
    let mut outline = Vec::new();
    for (number, leaf) in leaves.iter().enumerate() {
        let settings = PageSettings::from_wh(size.width, size.height)
            .ok_or_else(|| refused("the sheet has no size"))?;
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        for op in &leaf.ops {
            let part = op.node.and_then(|node| tree.parts.get(node.0));
            if let (Some(part), Draw::Lines { y, .. }) = (part, &op.draw)
                && let Kind::Heading(_, title) = &part.kind
                && op
                    .node
                    .and_then(|node| marked.get(node.0))
                    .is_some_and(Vec::is_empty)
            {
                outline.push((title.clone(), number, *y));
            }
            let identifier = surface.start_tagged(tag_of(op, part));
            paint(&mut surface, &op.draw);
            surface.end_tagged();
            if let Some(list) = op.node.and_then(|node| marked.get_mut(node.0)) {
                list.push(identifier);
            }
        }
        surface.finish();
        page.finish();
    }
    let mut contents = Outline::new();
    for (title, page, y) in outline {
        let place = XyzDestination::new(page, Point::from_xy(0.0, (y - 12.0).max(0.0)));
        contents.push_child(OutlineNode::new(title, place));
    }
    document.set_outline(contents);
    document.set_tag_tree(tag_tree(about, tree, &mut marked));
    let bytes = document.finish().map_err(|error| PdfError::Engine {
        detail: said(&error),
    })?;
    opened(bytes, leaves.len())
}

/// The engine's words, without the texts that some of its errors quote.
fn said(error: &KrillaError) -> String {
    if let KrillaError::Validation(errors) = error {
        let kinds: std::collections::BTreeSet<&str> =
            errors.iter().map(|(error, _)| refused_as(error)).collect();
        kinds.into_iter().collect::<Vec<_>>().join("; ")
    } else if matches!(error, KrillaError::Font(..)) {
        "a font cannot be embedded".to_owned()
    } else {
        "a limit of the format was reached".to_owned()
    }
}

fn refused_as(error: &ValidationError) -> &'static str {
    if matches!(error, ValidationError::ContainsNotDefGlyph(..)) {
        "a glyph is missing"
    } else if matches!(error, ValidationError::RestrictedLicense(_)) {
        "a font of this device may not be embedded"
    } else if matches!(
        error,
        ValidationError::NoCodepointMapping(..)
            | ValidationError::InvalidCodepointMapping(..)
            | ValidationError::UnicodePrivateArea(..)
    ) {
        "a glyph has no lawful character"
    } else {
        "it does not conform to PDF/A"
    }
}

fn metadata(about: &About) -> Metadata {
    let made = about.made;
    let byte = |value: u32| u8::try_from(value).unwrap_or(0);
    let offset = made.offset().local_minus_utc() / 60;
    let (hours, minutes) = (offset / 60, (offset % 60).unsigned_abs());
    let date = krilla::metadata::DateTime::new(u16::try_from(made.year()).unwrap_or(0))
        .month(byte(made.month()))
        .day(byte(made.day()))
        .hour(byte(made.hour()))
        .minute(byte(made.minute()))
        .second(byte(made.second()))
        .utc_offset_hour(i8::try_from(hours).unwrap_or(0))
        .utc_offset_minute(byte(minutes));
    Metadata::new()
        .title(about.title.clone())
        .description(about.subject.clone())
        .language(about.language.to_owned())
        .creator("Tallywater".to_owned())
        .producer("Tallywater".to_owned())
        .creation_date(date)
        .document_id(about.identity.clone())
        .text_direction(TextDirection::LeftToRight)
}

fn tag_of<'a>(op: &'a Op, part: Option<&Part>) -> ContentTag<'a> {
    if part.is_none() {
        return ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout));
    }
    match &op.draw {
        Draw::Lines { shaped, .. } => match &shaped.meant {
            // What a box stands for is kept, so that it can be read aloud and searched.
            Some(meant) => {
                ContentTag::Span(SpanTag::empty().with_actual_text(Some(meant.as_str())))
            }
            None => ContentTag::Span(SpanTag::empty()),
        },
        Draw::Fill { .. } | Draw::Frame { .. } | Draw::Rule { .. } | Draw::Mark { .. } => {
            ContentTag::Other
        }
    }
}

fn tag_tree(about: &About, tree: &Tree, marked: &mut [Vec<Identifier>]) -> TagTree {
    let mut groups: Vec<Option<TagGroup>> = tree
        .parts
        .iter()
        .zip(marked.iter_mut())
        .map(|(part, marked)| {
            let mut group = group_of(&part.kind);
            for identifier in marked.drain(..) {
                group.push(identifier);
            }
            Some(group)
        })
        .collect();
    // A part is always made before the parts within it, so going backwards each is whole
    // before it is put into the one around it; the order is turned round again there.
    let mut inner: Vec<Vec<TagGroup>> = tree.parts.iter().map(|_| Vec::new()).collect();
    let mut top = Vec::new();
    for (place, part) in tree.parts.iter().enumerate().rev() {
        let Some(mut group) = groups.get_mut(place).and_then(Option::take) else {
            continue;
        };
        if let Some(list) = inner.get_mut(place) {
            for child in list.drain(..).rev() {
                group.push(child);
            }
        }
        match part.within.and_then(|around| inner.get_mut(around)) {
            Some(list) => list.push(group),
            None => top.push(group),
        }
    }
    let mut tags = TagTree::new().with_lang(Some(about.language.to_owned()));
    for group in top.into_iter().rev() {
        tags.push(group);
    }
    tags
}

fn group_of(kind: &Kind) -> TagGroup {
    match kind {
        Kind::Heading(level, title) => {
            let level =
                std::num::NonZeroU16::new(u16::from(*level)).unwrap_or(std::num::NonZeroU16::MIN);
            TagGroup::new(Tag::Hn(level, Some(title.clone())))
        }
        Kind::Paragraph => TagGroup::new(Tag::P),
        Kind::Table => TagGroup::new(Tag::Table),
        Kind::Row => TagGroup::new(Tag::TR),
        Kind::ColumnHead => TagGroup::new(Tag::TH(TableHeaderScope::Column)),
        Kind::RowHead => TagGroup::new(Tag::TH(TableHeaderScope::Row)),
        Kind::Cell(span) => {
            let span = std::num::NonZeroU32::new(u32::from(*span)).filter(|n| n.get() > 1);
            TagGroup::new(Tag::TD.with_col_span(span))
        }
        Kind::Figure(words) => TagGroup::new(Tag::Figure(Some(words.clone()))),
    }
}

fn fill(ink: Ink) -> Fill {
    Fill {
        paint: luma::Color::new(ink.lightness()).into(),
        opacity: NormalizedF32::ONE,
        rule: krilla::paint::FillRule::default(),
    }
}

fn stroke(ink: Ink, width: f32, dashed: bool) -> Stroke {
    Stroke {
        paint: luma::Color::new(ink.lightness()).into(),
        width,
        line_cap: LineCap::Butt,
        line_join: LineJoin::Miter,
        dash: dashed.then(|| StrokeDash {
            array: vec![3.0 + width, 2.0 + width],
            offset: 0.0,
        }),
        ..Stroke::default()
    }
}

fn paint(surface: &mut Surface<'_>, draw: &Draw) {
    match draw {
        Draw::Lines {
            shaped,
            lines,
            x,
            y,
            turned,
        } => {
            if *turned {
                surface.push_transform(&Transform::from_rotate_at(-90.0, *x, *y));
            }
            glyphs(surface, shaped, lines.clone(), *x, *y);
            if *turned {
                surface.pop();
            }
        }
        Draw::Fill {
            x,
            y,
            width,
            height,
            ink,
        } => {
            surface.set_stroke(None);
            surface.set_fill(Some(fill(*ink)));
            with_rect(surface, *x, *y, *width, *height);
        }
        Draw::Frame {
            x,
            y,
            width,
            height,
            line,
            dashed,
            ink,
        } => {
            surface.set_fill(None);
            surface.set_stroke(Some(stroke(*ink, *line, *dashed)));
            with_rect(surface, *x, *y, *width, *height);
        }
        Draw::Rule {
            from,
            to,
            line,
            dashed,
            ink,
        } => {
            surface.set_fill(None);
            surface.set_stroke(Some(stroke(*ink, *line, *dashed)));
            if let Some(path) = path_of(&[*from, *to], false) {
                surface.draw_path(&path);
            }
        }
        Draw::Mark {
            mark,
            x,
            y,
            size,
            ink,
        } => marks(surface, *mark, *x, *y, *size, *ink),
    }
}

fn glyphs(
    surface: &mut Surface<'_>,
    shaped: &Shaped,
    lines: std::ops::Range<usize>,
    x: f32,
    y: f32,
) {
    let lines = shaped.lines.get(lines).unwrap_or_default();
    let top = lines.first().map_or(0.0, |line| line.top);
    surface.set_stroke(None);
    for line in lines {
        for run in &line.runs {
            surface.set_fill(Some(fill(run.ink)));
            surface.draw_glyphs(
                Point::from_xy(x + run.x, y - top + line.baseline),
                &run.glyphs,
                run.font.clone(),
                &shaped.text,
                run.size,
                false,
            );
        }
    }
}

fn with_rect(surface: &mut Surface<'_>, x: f32, y: f32, width: f32, height: f32) {
    let mut builder = PathBuilder::new();
    if let Some(rect) = Rect::from_xywh(x, y, width, height) {
        builder.push_rect(rect);
    }
    if let Some(path) = builder.finish() {
        surface.draw_path(&path);
    }
}

fn path_of(points: &[(f32, f32)], closed: bool) -> Option<Path> {
    let mut builder = PathBuilder::new();
    let (first, rest) = points.split_first()?;
    builder.move_to(first.0, first.1);
    for (x, y) in rest {
        builder.line_to(*x, *y);
    }
    if closed {
        builder.close();
    }
    builder.finish()
}

fn marks(surface: &mut Surface<'_>, mark: Mark, x: f32, y: f32, size: f32, ink: Ink) {
    let at = |points: &[(f32, f32)], closed: bool| {
        let placed: Vec<(f32, f32)> = points
            .iter()
            .map(|(px, py)| (x + px * size, y + py * size))
            .collect();
        path_of(&placed, closed)
    };
    let line = (size * 0.1).max(0.6);
    for shape in mark.shapes() {
        let path = match shape {
            Shape::Filled(points) => {
                surface.set_stroke(None);
                surface.set_fill(Some(fill(ink)));
                at(points, true)
            }
            Shape::Cut(points) => {
                surface.set_stroke(None);
                surface.set_fill(Some(fill(Ink::White)));
                at(points, true)
            }
            Shape::Stroke(points, closed) => {
                surface.set_fill(None);
                surface.set_stroke(Some(stroke(ink, line, false)));
                at(points, *closed)
            }
            Shape::White(points) => {
                surface.set_fill(None);
                surface.set_stroke(Some(stroke(Ink::White, line * 1.4, false)));
                at(points, false)
            }
        };
        if let Some(path) = path {
            surface.draw_path(&path);
        }
    }
}
