//! A chart as SVG 1.1: one element that stands in a page or in a file of its own, in the ink of
//! what it stands in, and asks for nothing from anywhere.

use std::fmt::Write as _;

use super::pen;
use crate::paper::words::{Language, Words};
use crate::view::{CHART_HEIGHT, CHART_WIDTH, Chart, ChartBar};

/// Left of the box, for the figures of its axis; below it, for those of the other.
const GUTTER: u16 = 150;
const FOOT: u16 = 50;
/// The letters beside lines, to be read on a phone: over 10 pixels at a width of 360.
const LETTERS: u16 = 36;
/// Those beside bars, whose names are long.
const BAR_LETTERS: u16 = 26;
/// Left of bars, for their names.
const NAMES: u16 = 420;
/// How dark each part of a bar is.
const PARTS: [&str; 4] = ["1", ".6", ".25", ".06"];

impl Chart {
    /// The chart as an SVG element, with its words as its title.
    #[must_use]
    pub fn svg(&self, language: Language) -> String {
        let words = language.words();
        let (left, letters) = if self.bars.is_empty() {
            (GUTTER, LETTERS)
        } else {
            (NAMES, BAR_LETTERS)
        };
        let said = super::super::student_page::escaped(&words.chart_said(self));
        let mut out = String::with_capacity(4 * 1024);
        let _ = write!(
            out,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {} {}\" role=\"img\" \
             aria-label=\"{said}\" font-family=\"sans-serif\" font-size=\"{letters}\" \
             fill=\"currentColor\"><title>{said}</title><g transform=\"translate({left} 30)\">",
            left + CHART_WIDTH + 70,
            CHART_HEIGHT + FOOT + 40,
        );
        for tick in &self.down {
            let _ = write!(
                out,
                "<path d=\"M 0 {y} L {CHART_WIDTH} {y}\" stroke=\"currentColor\" stroke-opacity=\".25\"/>\
                 <text x=\"-10\" y=\"{}\" text-anchor=\"end\">{}</text>",
                tick.at + letters / 3,
                tick.says,
                y = tick.at,
            );
        }
        for tick in &self.across {
            let _ = write!(
                out,
                "<path d=\"M {x} {CHART_HEIGHT} l 0 8\" stroke=\"currentColor\"/>\
                 <text x=\"{x}\" y=\"{}\" text-anchor=\"middle\">{}</text>",
                CHART_HEIGHT + letters + 10,
                tick.says,
                x = tick.at,
            );
        }
        for line in &self.lines {
            let pen = pen(line.what);
            let dashes = if pen.dashed {
                " stroke-dasharray=\"14 10\""
            } else {
                ""
            };
            let _ = write!(
                out,
                "<path d=\"{}\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"{:.1}\" \
                 stroke-linejoin=\"round\"{dashes}/>",
                line.path(),
                pen.thick * 3.0,
            );
            label(&mut out, line, words);
        }
        let of = u16::try_from(self.bars.len()).unwrap_or(u16::MAX);
        for (place, bar) in self.bars.iter().enumerate() {
            let place = u16::try_from(place).unwrap_or(u16::MAX);
            one_bar(&mut out, bar, ChartBar::room(place, of));
        }
        out.push_str("</g></svg>");
        out
    }
}

fn label(out: &mut String, line: &crate::view::ChartLine, words: &Words) {
    let Some(spot) = line.named_at() else { return };
    let (x, y) = if line.is_part() {
        // Above it and to the left: a dive comes up from below.
        (i32::from(spot.x) - 16, i32::from(spot.y) - 12)
    } else {
        (i32::from(spot.x), i32::from(spot.y) - 8)
    };
    let _ = write!(
        out,
        "<text x=\"{x}\" y=\"{y}\" text-anchor=\"end\" font-weight=\"600\">{}</text>",
        words.chart_line(line.what)
    );
}

fn one_bar(out: &mut String, bar: &ChartBar, room: (u16, u16)) {
    let (y, height) = room;
    let name = super::super::student_page::escaped(&format!("{} ({})", bar.name, bar.of));
    let _ = write!(
        out,
        "<text x=\"-10\" y=\"{}\" text-anchor=\"end\">{name}</text>",
        y + height / 2 + 9
    );
    let mut from = 0;
    for (part, dark) in bar.parts.iter().zip(PARTS) {
        let _ = write!(
            out,
            "<rect x=\"{from}\" y=\"{y}\" width=\"{}\" height=\"{height}\" fill-opacity=\"{dark}\" \
             stroke=\"currentColor\"/>",
            part - from
        );
        from = *part;
    }
}

#[cfg(test)]
mod tests {
    use quick_xml::events::Event;

    use super::*;
    use crate::course::{DiveLog, WaterKind};
    use crate::view::{MinutesRow, Shows, Units};

    #[test]
    fn minutes_planned_and_taken_are_a_bar_each_and_are_said_in_full() {
        let row = |name: &str, taken, percent| MinutesRow {
            skill: "any".parse().unwrap(),
            name: name.to_owned(),
            lines: 8,
            planned: 40,
            taken,
            percent,
            low: 80,
            high: 260,
        };
        assert_eq!(Chart::minutes(&[]), None);
        let chart = Chart::minutes(&[row("The float", 46, 115), row("The swim", 39, 98)]).unwrap();
        assert_eq!((chart.shows, chart.bars.len()), (Shows::Minutes, 2));
        // The plan is the middle of the axis; what is beyond twice the plan stands at its end.
        assert_eq!(chart.bars[0].parts, [400, 575, 1_000]);
        let plan = chart.across.iter().find(|tick| tick.says == "100 %");
        assert_eq!(plan.unwrap().at, 500);
        for (language, said) in [
            (
                Language::English,
                "The float (8): 40 min planned, 46 min taken",
            ),
            (
                Language::German,
                "The float (8): 40 min geplant, 46 min gebraucht",
            ),
        ] {
            let svg = chart.svg(language);
            assert!(svg.contains(said), "{svg}");
            assert_eq!(svg.matches("<rect ").count(), 6);
        }
    }

    #[test]
    fn a_file_of_a_picture_says_it_in_words_and_asks_for_nothing() {
        let time = |text| chrono::DateTime::parse_from_rfc3339(text).unwrap();
        let log = DiveLog {
            down: time("2026-06-06T10:00:00+02:00"),
            up: time("2026-06-06T10:20:00+02:00"),
            max_depth_cm: 1_800,
            mean_depth_cm: None,
            ascents: None,
            gas: None,
            water: WaterKind::Fresh,
            temperature_dc: None,
            profile: vec![
                (0, 0),
                (300, 1_800),
                (600, 1_800),
                (640, 500),
                (900, 500),
                (940, 0),
            ],
        };
        let chart = Chart::profile(&log, Units::Metric).unwrap();
        for (language, words) in [
            (Language::English, ["Up too fast", "Maximum depth 18.0 m"]),
            (Language::German, ["Zu schnell aufgestiegen", "18.0 m"]),
        ] {
            let svg = chart.svg(language);
            let mut reader = quick_xml::Reader::from_str(&svg);
            let mut elements = 0;
            loop {
                let event = reader.read_event().unwrap();
                if matches!(event, Event::Eof) {
                    break;
                }
                if matches!(event, Event::Start(_) | Event::Empty(_)) {
                    elements += 1;
                }
            }
            assert!(elements > 15, "{elements}");
            for said in words {
                assert!(svg.contains(said), "{said} in {svg}");
            }
            assert!(!svg.contains("href") && !svg.contains("url("));
        }
    }
}
