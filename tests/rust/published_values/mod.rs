//! The calculations against values that others published.
//!
//! Every row names its source; a value is typed from that source or written by the named library
//! (fixtures/published), never from our own output. "From memory" on a source means what it says: a
//! person should still open the book. A row on which we differ stays, with the reason.

mod ascent;
mod breathing;
mod cylinder;
mod evidence;
mod flying;
mod lead;
mod light;
mod model;
mod no_stop;
mod water;

/// One published value beside ours.
pub(crate) struct Check {
    source: &'static str,
    given: String,
    ours: f64,
    expect: f64,
    within: f64,
    /// Why we differ, where we do.
    differs: Option<&'static str>,
}

/// A row: its source, what was given, ours, the published value and how close they must be.
macro_rules! published {
    (source: $source:expr, given: $given:expr, ours: $ours:expr, expect: $expect:expr, within: $within:expr $(, differs: $why:expr)?) => {{
        #[allow(unused_mut, unused_assignments)]
        let mut differs: Option<&'static str> = None;
        $( differs = Some($why); )?
        $crate::published_values::Check {
            source: $source,
            given: $given.to_string(),
            ours: $ours,
            expect: $expect,
            within: $within,
            differs,
        }
    }};
}
use published;

/// Fails with every row that does not hold.
fn hold(checks: &[Check]) {
    assert!(!checks.is_empty(), "no rows: nothing was checked");
    let broken: Vec<String> = checks
        .iter()
        .filter_map(|check| {
            let close = (check.ours - check.expect).abs() <= check.within;
            let row = format!(
                "{}: {} is not {} within {} ({})",
                check.given, check.ours, check.expect, check.within, check.source
            );
            match check.differs {
                None => (!close).then_some(row),
                Some(why) => {
                    close.then(|| format!("DIFFERS no longer holds, take it away: {row}: {why}"))
                }
            }
        })
        .collect();
    assert!(
        broken.is_empty(),
        "{} of {} rows:\n{}",
        broken.len(),
        checks.len(),
        broken.join("\n")
    );
}

/// The lines of a reference file, without its head.
fn lines(text: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    text.lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').collect())
}

fn number(cell: &str) -> f64 {
    cell.parse()
        .unwrap_or_else(|_| panic!("{cell} is no number"))
}

fn all() -> Vec<Check> {
    [
        ascent::checks(),
        breathing::checks(),
        cylinder::checks(),
        evidence::checks(),
        flying::checks(),
        lead::checks(),
        light::checks(),
        model::checks(),
        no_stop::checks(),
        water::checks(),
    ]
    .into_iter()
    .flatten()
    .collect()
}

#[test]
fn no_published_row_is_without_a_source() {
    let checks = all();
    let bare: Vec<&str> = checks
        .iter()
        .filter(|check| check.source.len() < 12)
        .map(|check| check.given.as_str())
        .collect();
    assert_eq!(bare.len(), 0, "{bare:?}");
    // Rows that vanish would make every other test here pass.
    assert!(checks.len() > 1500, "only {} rows", checks.len());
}

#[test]
fn every_reference_file_says_who_wrote_it() {
    for text in [
        water::GSW_DENSITY,
        water::GSW_PRESSURE,
        cylinder::AIR,
        cylinder::NITROX,
        evidence::WILSON,
        evidence::BETA,
        evidence::KAPPA,
        evidence::CURVES,
    ] {
        let head = text.lines().next().unwrap_or_default();
        assert!(
            head.starts_with("# ") && head.chars().any(|letter| letter.is_ascii_digit()),
            "{head}"
        );
        assert!(text.contains("fixtures/published/generate.py"), "{head}");
    }
}
