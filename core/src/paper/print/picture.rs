//! A chart on paper.

use super::{BODY, Press, SMALL, page_in};
use crate::paper::pdf::{About, Align, Flow, Furniture, Ink, Kind, PdfError, Room, Style, Turn};
use crate::paper::picture::pen;
use crate::paper::say::moment;
use crate::paper::words::{Words, fill};
use crate::view::{CHART_HEIGHT, CHART_WIDTH, Chart, ChartBar};

/// Small figures on an axis.
const TICK: Style = Style::new(6.5);
/// Left of the box, for the figures of its axis.
const GUTTER: f32 = 34.0;
/// Left of bars, for their names.
const NAMES: f32 = 150.0;
/// Ink of each part of a bar; the first is the darkest.
const PARTS: [Ink; 4] = [Ink::Black, Ink::Grey, Ink::Pale, Ink::White];

/// Draws a chart over so much of the width, with what it says below it.
pub(super) fn draw(flow: &mut Flow<'_>, chart: &Chart, words: &Words, width: f32) {
    let gutter = if chart.bars.is_empty() { GUTTER } else { NAMES };
    let box_width = width - gutter;
    let scale = box_width / f32::from(CHART_WIDTH);
    let height = if chart.bars.is_empty() {
        f32::from(CHART_HEIGHT) * scale
    } else {
        14.0 * bars(chart)
    };
    let said = words.chart_said(chart);
    let wide = flow.width();
    let shaped = flow
        .set()
        .shape(&said, SMALL.grey(), Some(wide), Align::Left);
    flow.keep(height + 26.0 + shaped.height());
    flow.gap(6.0);
    let (left, top) = (flow.left() + gutter, flow.y());
    axes(flow, chart, (left, top), (box_width, height));
    for line in &chart.lines {
        let pen = pen(line.what);
        let spots = line.spots.windows(2);
        let at = |spot: &crate::view::Spot| {
            (
                left + f32::from(spot.x) * scale,
                top + f32::from(spot.y) * scale,
            )
        };
        for pair in spots {
            if let [from, to] = pair {
                flow.leaf().line(at(from), at(to), pen.thick, pen.dashed);
            }
        }
        label(flow, line, words, (left, top), scale);
    }
    for (place, bar) in chart.bars.iter().enumerate() {
        let place = u16::try_from(place).unwrap_or(u16::MAX);
        let y = top + 14.0 * f32::from(place);
        one_bar(flow, bar, (left, y), scale);
    }
    flow.down(height + 14.0);
    let node = flow.node(Kind::Paragraph, None);
    let (x, y, tall) = (flow.left(), flow.y(), shaped.height());
    flow.leaf().text(Some(node), shaped, x, y);
    flow.down(tall + 3.0);
}

fn bars(chart: &Chart) -> f32 {
    f32::from(u16::try_from(chart.bars.len()).unwrap_or(u16::MAX))
}

/// The figures of both axes, and a thin line at each.
fn axes(flow: &mut Flow<'_>, chart: &Chart, at: (f32, f32), size: (f32, f32)) {
    let ((left, top), (width, height)) = (at, size);
    let across = width / f32::from(CHART_WIDTH);
    let down = height / f32::from(CHART_HEIGHT);
    for tick in &chart.down {
        let y = top + f32::from(tick.at) * down;
        flow.leaf().rule(left, y, width, 0.3, Ink::Pale);
        let shaped = flow.set().shape(&tick.says, TICK, None, Align::Left);
        let (wide, tall) = (shaped.width(), shaped.height());
        flow.leaf()
            .text(None, shaped, left - wide - 4.0, y - tall / 2.0);
    }
    for tick in &chart.across {
        let x = left + f32::from(tick.at) * across;
        flow.leaf()
            .line((x, top + height), (x, top + height + 3.0), 0.4, false);
        let shaped = flow.set().shape(&tick.says, TICK, None, Align::Left);
        let wide = shaped.width();
        let x = (x - wide / 2.0).min(left + width - wide);
        flow.leaf().text(None, shaped, x, top + height + 4.0);
    }
    flow.leaf().rule(left, top + height, width, 0.5, Ink::Grey);
}

/// The name of a line, on it: of a level one above its right end, of a part beside its middle;
/// the line that the chart is of needs none.
fn label(
    flow: &mut Flow<'_>,
    line: &crate::view::ChartLine,
    words: &Words,
    at: (f32, f32),
    scale: f32,
) {
    let Some(spot) = line.named_at() else { return };
    let shaped = flow
        .set()
        .shape(words.chart_line(line.what), TICK.semi(), None, Align::Left);
    let (wide, tall) = (shaped.width(), shaped.height());
    let right = at.0 + f32::from(CHART_WIDTH) * scale;
    let x = at.0 + f32::from(spot.x) * scale;
    let y = at.1 + f32::from(spot.y) * scale;
    let (x, y) = if line.is_part() {
        // Beside a part, on the side where the dive is not: it comes up from below.
        if x - wide - 6.0 > at.0 {
            (x - wide - 6.0, y - tall - 1.0)
        } else {
            (x + 6.0, y + 3.0)
        }
    } else {
        (right - wide, y - tall - 1.0)
    };
    flow.leaf().text(None, shaped, x, y);
}

fn one_bar(flow: &mut Flow<'_>, bar: &ChartBar, at: (f32, f32), scale: f32) {
    let (left, y) = at;
    let name = format!("{} ({})", bar.name, bar.of);
    let shaped = crate::paper::pdf::one_line(flow.set(), &name, SMALL, NAMES - 8.0);
    let x = left - NAMES;
    flow.leaf().text(None, shaped, x, y);
    let mut from = 0.0;
    for (part, ink) in bar.parts.iter().zip(PARTS) {
        let to = f32::from(*part) * scale;
        flow.leaf().fill(left + from, y + 2.0, to - from, 8.0, ink);
        from = to;
    }
    if from > 0.0 {
        flow.leaf().frame(left, y + 2.0, from, 8.0, 0.5);
    }
}

impl Press {
    /// One chart on a sheet of its own: whose or of what, and from when.
    ///
    /// # Errors
    /// [`PdfError`].
    pub fn chart(
        &self,
        chart: &Chart,
        of: &str,
        now: chrono::DateTime<chrono::FixedOffset>,
    ) -> Result<Vec<u8>, PdfError> {
        let words = self.words();
        let title = words.chart_title(chart.shows);
        self.print(|set| {
            let mut flow = Flow::new(set, self.sheet, Turn::Upright, Room::OFFICE);
            super::top(&mut flow, title, of);
            let width = flow.width();
            draw(&mut flow, chart, words, width);
            flow.gap(6.0);
            flow.paragraph(&[(words.chart_caution, BODY)]);
            let about = About {
                title: format!("{title} · {of}"),
                subject: title.to_owned(),
                language: words.tag,
                made: now,
                identity: format!("chart {title} {of}"),
            };
            let furniture = Furniture {
                head: of.to_owned(),
                state: String::new(),
                foot: fill(words.printed, &[("when", &moment(now))]),
                page: page_in(words),
                band: None,
            };
            flow.finish(&about, Some(&furniture))
        })
    }
}
