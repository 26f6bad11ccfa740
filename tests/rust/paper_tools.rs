//! Tools that we did not write, to open what we write: qpdf and Poppler. `.ci/run` installs
//! them (Debian: qpdf, poppler-utils).

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A PDF in a folder of its own.
pub(crate) struct Opened {
    folder: tempfile::TempDir,
}

/// A word where another program finds it, in points from the top left.
#[derive(Debug, Clone)]
pub(crate) struct Word {
    pub(crate) page: usize,
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
    pub(crate) text: String,
}

fn run(tool: &str, arguments: &[&str]) -> Output {
    Command::new(tool)
        .args(arguments)
        .output()
        .unwrap_or_else(|error| {
            panic!("{tool} is needed for this test (Debian: qpdf, poppler-utils): {error}")
        })
}

impl Opened {
    /// Keeps the bytes. With `TALLYWATER_PAPERS` set to a folder a copy stays there, to be
    /// looked at.
    pub(crate) fn new(name: &str, bytes: &[u8]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("paper.pdf"), bytes).unwrap();
        if let Some(keep) = std::env::var_os("TALLYWATER_PAPERS") {
            std::fs::create_dir_all(&keep).unwrap();
            std::fs::write(Path::new(&keep).join(format!("{name}.pdf")), bytes).unwrap();
        }
        Self { folder }
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("paper.pdf")
    }

    fn text_of(&self, tool: &str, before: &[&str], after: &[&str]) -> String {
        let path = self.path();
        let mut arguments = before.to_vec();
        arguments.push(path.to_str().unwrap());
        arguments.extend(after);
        let output = run(tool, &arguments);
        String::from_utf8_lossy(&output.stdout).into_owned()
    }

    /// qpdf finds nothing wrong with its structure.
    pub(crate) fn check(&self) {
        let output = run("qpdf", &["--check", self.path().to_str().unwrap()]);
        let said = String::from_utf8_lossy(&output.stdout);
        assert!(output.status.success(), "{said}");
        assert!(
            said.contains("No syntax or stream encoding errors found"),
            "{said}"
        );
        // Poppler reports what it does not like on standard error and goes on.
        let info = run("pdfinfo", &[self.path().to_str().unwrap()]);
        let complaints = String::from_utf8_lossy(&info.stderr);
        assert_eq!(complaints, "", "pdfinfo");
    }

    /// All its text, as Poppler reads it.
    pub(crate) fn text(&self) -> String {
        self.text_of("pdftotext", &["-enc", "UTF-8"], &["-"])
    }

    /// All its text in one line: a sentence that was broken over lines is whole again.
    pub(crate) fn running_text(&self) -> String {
        self.text().split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// The same in the order in which it was written: what stands in one cell of a table stays
    /// together.
    pub(crate) fn cell_text(&self) -> String {
        let text = self.text_of("pdftotext", &["-raw", "-enc", "UTF-8"], &["-"]);
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// How many pages.
    pub(crate) fn pages(&self) -> usize {
        let info = self.text_of("pdfinfo", &[], &[]);
        let line = info
            .lines()
            .find(|line| line.starts_with("Pages:"))
            .unwrap();
        line.split_whitespace().nth(1).unwrap().parse().unwrap()
    }

    /// Width and height in points.
    pub(crate) fn size(&self) -> (f64, f64) {
        let info = self.text_of("pdfinfo", &[], &[]);
        let line = info
            .lines()
            .find(|line| line.starts_with("Page size:"))
            .unwrap();
        let figures: Vec<f64> = line
            .split_whitespace()
            .filter_map(|word| word.parse().ok())
            .collect();
        (figures[0], figures[1])
    }

    /// Each font: its name, and whether it is embedded and has its characters.
    pub(crate) fn fonts(&self) -> Vec<(String, bool, bool)> {
        self.text_of("pdffonts", &[], &[])
            .lines()
            .skip(2)
            .map(|line| {
                let words: Vec<&str> = line.split_whitespace().collect();
                // name, type of several words, encoding, emb, sub, uni, object, generation
                let n = words.len();
                (
                    words[0].to_owned(),
                    words[n - 5] == "yes",
                    words[n - 3] == "yes",
                )
            })
            .collect()
    }

    /// The file with its streams laid open, as qpdf writes it.
    pub(crate) fn laid_open(&self) -> String {
        let out = self.folder.path().join("open.pdf");
        let output = run(
            "qpdf",
            &[
                "--qdf",
                "--object-streams=disable",
                self.path().to_str().unwrap(),
                out.to_str().unwrap(),
            ],
        );
        assert!(output.status.success());
        String::from_utf8_lossy(&std::fs::read(out).unwrap()).into_owned()
    }

    /// Every word with its place.
    pub(crate) fn words(&self) -> Vec<Word> {
        let xml = self.text_of("pdftotext", &["-bbox", "-enc", "UTF-8"], &["-"]);
        let mut page = 0;
        let mut words = Vec::new();
        for line in xml.lines() {
            let line = line.trim();
            if line.starts_with("<page") {
                page += 1;
            }
            let Some(rest) = line.strip_prefix("<word ") else {
                continue;
            };
            let figure = |name: &str| -> f64 {
                let rest = rest.split_once(&format!("{name}=\"")).unwrap().1;
                rest.split_once('"').unwrap().0.parse().unwrap()
            };
            let text = rest
                .split_once('>')
                .unwrap()
                .1
                .split_once("</word>")
                .unwrap()
                .0;
            words.push(Word {
                page,
                left: figure("xMin"),
                top: figure("yMin"),
                right: figure("xMax"),
                bottom: figure("yMax"),
                text: text.to_owned(),
            });
        }
        assert!(!words.is_empty());
        words
    }

    /// A page in grey, as Poppler paints it: width, height and a byte a point.
    pub(crate) fn picture(&self, page: usize, dots_per_inch: u32) -> (usize, usize, Vec<u8>) {
        let out = self.folder.path().join("page");
        let (page, dots) = (page.to_string(), dots_per_inch.to_string());
        let path = self.path();
        let output = run(
            "pdftoppm",
            &[
                "-gray",
                "-singlefile",
                "-r",
                &dots,
                "-f",
                &page,
                "-l",
                &page,
                path.to_str().unwrap(),
                out.to_str().unwrap(),
            ],
        );
        assert!(output.status.success());
        let bytes = std::fs::read(self.folder.path().join("page.pgm")).unwrap();
        let mut parts = bytes.splitn(4, |byte| *byte == b'\n');
        assert_eq!(parts.next(), Some(&b"P5"[..]));
        let size = String::from_utf8(parts.next().unwrap().to_vec()).unwrap();
        let (width, height) = size.split_once(' ').unwrap();
        parts.next();
        (
            width.parse().unwrap(),
            height.parse().unwrap(),
            parts.next().unwrap().to_vec(),
        )
    }

    /// No word leaves the sheet, and no two lie on each other.
    pub(crate) fn nothing_overlaps(&self) {
        let (width, height) = self.size();
        // A text that stands for boxes has no place of its own in Poppler's list: it comes as
        // one word a point wide, wherever the last glyph was.
        let mut words = self.words();
        words.retain(|word| word.right - word.left > 1.1 || word.text.chars().count() == 1);
        for word in &words {
            assert!(
                word.left >= -0.5
                    && word.top >= -0.5
                    && word.right <= width + 0.5
                    && word.bottom <= height + 0.5,
                "leaves the sheet: {word:?}"
            );
        }
        for page in 1..=self.pages() {
            let here: Vec<&Word> = words.iter().filter(|word| word.page == page).collect();
            for (at, one) in here.iter().enumerate() {
                for other in &here[at + 1..] {
                    let across = one.right.min(other.right) - one.left.max(other.left);
                    let down = one.bottom.min(other.bottom) - one.top.max(other.top);
                    // A line's box reaches a little over its glyphs above and below.
                    let small = (one.bottom - one.top).min(other.bottom - other.top);
                    assert!(
                        across < 1.0 || down < small * 0.35,
                        "page {page}: {one:?} lies on {other:?}"
                    );
                }
            }
        }
    }

    /// PDF/A-2a and PDF/UA-1: what such a file must say of itself, and its fonts inside. A
    /// validator of the whole standard is not among the tools; the engine that writes the
    /// file checks it while writing.
    pub(crate) fn is_archival(&self) {
        let open = self.laid_open();
        for marker in [
            "<pdfaid:part>2</pdfaid:part>",
            "<pdfaid:conformance>A</pdfaid:conformance>",
            "<pdfuaid:part>1</pdfuaid:part>",
            "/OutputIntents",
            "/GTS_PDFA1",
            "/StructTreeRoot",
            "/MarkInfo",
            "/DisplayDocTitle true",
            "/Outlines",
            "/Lang",
        ] {
            assert!(open.contains(marker), "{marker} is missing");
        }
        for forbidden in ["/JavaScript", "/Encrypt", "/Launch", "/EmbeddedFiles"] {
            assert!(!open.contains(forbidden), "{forbidden} is there");
        }
        let fonts = self.fonts();
        assert!(!fonts.is_empty());
        for (name, embedded, has_characters) in fonts {
            assert!(embedded && has_characters, "{name}");
        }
    }
}
