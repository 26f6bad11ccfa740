//! The student's page as one file that opens on any phone: HTML with its style and pictures
//! inside, no script and no request to anywhere. It is well-formed XML as well, so that any
//! reader of either can hold it to that.

use std::fmt::Write as _;

use super::StudentPage;
use super::said::{Piece, pieces};
use crate::course::Outline;
use crate::paper::source::nameless;
use crate::paper::words::Language;
use crate::view::Units;

/// What the file may load: nothing. Its own style is inside.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'";

const STYLE: &str = "\
:root{color-scheme:light dark}\
body{margin:0 auto;max-width:42rem;padding:1rem 1.1rem 3rem;font:1.05rem/1.45 system-ui,sans-serif;background:#fff;color:#111}\
h1{font-size:1.7rem;line-height:1.2;margin:.6rem 0 .2rem}\
h2{font-size:1.2rem;margin:1.8rem 0 .5rem;border-bottom:2px solid currentColor}\
p{margin:.4rem 0}\
.loud{font-weight:700;font-size:1.15rem;border-left:.35rem solid currentColor;padding:.3rem .6rem}\
.small{font-size:.9rem}\
ul{list-style:none;margin:0;padding:0}\
li{margin:.55rem 0;padding-left:1.7rem;position:relative}\
li:before{content:'\\25CB';position:absolute;left:0}\
li.done:before{content:'\\2713';font-weight:700}\
.says{display:block;font-size:.92rem}\
.says+.says{font-weight:600}\
.digits{font:.9rem/1.5 ui-monospace,monospace;overflow-wrap:anywhere}\
svg{display:block;width:100%;height:auto;margin:.4rem 0}\
@media (prefers-color-scheme:dark){body{background:#111;color:#f2f2f2}}\
@media print{body{background:#fff;color:#000}}";

impl StudentPage {
    /// The page as one self-contained file.
    pub fn html(&self, outline: Option<&Outline>, language: Language, units: Units) -> String {
        let words = language.words();
        let name = self.name.clone();
        let name = name.unwrap_or_else(|| nameless(&self.student, words));
        let heading: Vec<&str> = [self.shop.as_deref(), self.course.as_deref()]
            .into_iter()
            .flatten()
            .collect();
        let mut out = String::with_capacity(16 * 1024);
        out.push_str("<!DOCTYPE html>\n");
        let _ = write!(
            out,
            "<html xmlns=\"http://www.w3.org/1999/xhtml\" lang=\"{tag}\">\n<head>\n<meta charset=\"utf-8\"/>\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
             <meta http-equiv=\"Content-Security-Policy\" content=\"{POLICY}\"/>\n\
             <meta name=\"referrer\" content=\"no-referrer\"/>\n\
             <title>{title} · {name}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n\
             <p>{heading}</p>\n<h1>{title}</h1>\n<p class=\"loud\">{name}</p>\n",
            tag = words.tag,
            title = escaped(words.page_title),
            name = escaped(&name),
            heading = escaped(&heading.join(" · ")),
        );
        let mut in_list = false;
        for piece in pieces(self, outline, words, units) {
            let is_item = matches!(piece, Piece::Skill(..));
            if is_item != in_list {
                out.push_str(if is_item { "<ul>\n" } else { "</ul>\n" });
                in_list = is_item;
            }
            put(&mut out, &piece, language);
        }
        if in_list {
            out.push_str("</ul>\n");
        }
        out.push_str("</body>\n</html>\n");
        out
    }
}

fn put(out: &mut String, piece: &Piece, language: Language) {
    let _ = match piece {
        Piece::Heading(text) => writeln!(out, "<h2>{}</h2>", escaped(text)),
        Piece::Line(text) => writeln!(out, "<p>{}</p>", escaped(text)),
        Piece::Loud(text) => writeln!(out, "<p class=\"loud\">{}</p>", escaped(text)),
        Piece::Small(text) => writeln!(out, "<p class=\"small\">{}</p>", escaped(text)),
        Piece::Fact(title, text) => writeln!(
            out,
            "<p><b>{}</b><br/>{}</p>",
            escaped(title),
            escaped(text)
        ),
        Piece::Digits(title, text) => writeln!(
            out,
            "<p class=\"small\"><b>{}</b><br/><span class=\"digits\">{}</span></p>",
            escaped(title),
            escaped(text)
        ),
        Piece::Skill(done, name, says) => {
            let class = if *done { " class=\"done\"" } else { "" };
            // What must be shown, then how it stands, each on its own line.
            let says = says.iter();
            let says = says.map(|part| format!("<span class=\"says\">{}</span>", escaped(part)));
            let says: Vec<String> = says.collect();
            let name = escaped(name);
            writeln!(out, "<li{class}><b>{name}</b>{}</li>", says.concat())
        }
        Piece::Dive(head, says, chart) => {
            let _ = writeln!(out, "<p><b>{}</b><br/>{}</p>", escaped(head), escaped(says));
            match chart {
                None => Ok(()),
                Some(chart) => writeln!(
                    out,
                    "{}\n<p class=\"small\">{}</p>",
                    chart.svg(language),
                    escaped(&language.words().chart_said(chart)),
                ),
            }
        }
    };
}

/// A text as it may stand between tags and in an attribute. What XML cannot carry is left out.
pub(in crate::paper) fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            '\n' | '\t' => safe.push(letter),
            '\u{FFFE}' | '\u{FFFF}' => {}
            _ if letter.is_control() => {}
            _ => safe.push(letter),
        }
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_typed_becomes_a_tag_or_ends_an_attribute() {
        assert_eq!(
            escaped("<b a=\"1\" c='2'>&\u{0}é"),
            "&lt;b a=&quot;1&quot; c=&#39;2&#39;&gt;&amp;é"
        );
    }
}
