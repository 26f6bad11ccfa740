//! Shares, posteriors, agreement and attempts.

use tallywater_core::calc::evidence::{
    AttemptEnd, Kappa, Level, Tries, agreement, attempt_curve, posterior, share_met,
};
use tallywater_core::calc::unit::Share;

use super::{Check, hold, lines, number, published};

pub(super) const WILSON: &str = include_str!("../../../fixtures/published/wilson_statsmodels.csv");
pub(super) const BETA: &str = include_str!("../../../fixtures/published/beta_scipy.csv");
pub(super) const KAPPA: &str = include_str!("../../../fixtures/published/kappa_statsmodels.csv");
pub(super) const CURVES: &str =
    include_str!("../../../fixtures/published/kaplan_meier_statsmodels.csv");

pub(super) fn checks() -> Vec<Check> {
    [
        newcombe(),
        wilson(),
        beta(),
        kappa_printed(),
        kappa(),
        curves(),
        curve_printed(),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn level(text: &str) -> Level {
    match text {
        "0.8" => Level::Eighty,
        "0.9" => Level::Ninety,
        "0.95" => Level::NinetyFive,
        "0.99" => Level::NinetyNine,
        other => panic!("no level {other}"),
    }
}

fn whole(cell: &str) -> u32 {
    cell.parse()
        .unwrap_or_else(|_| panic!("{cell} is no count"))
}

fn newcombe() -> Vec<Check> {
    let source = "Newcombe, Stat. Med. 17, 1998, p. 857, table I, method 3, to four places";
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)]
        .into_iter()
        .flat_map(|(met, tries, low, high)| {
            let ours = share_met(met, tries, Level::NinetyFive).unwrap().interval;
            [
                published! { source: source, given: format!("{met} of {tries}, low"), ours: ours.low.0, expect: low, within: 5e-5 },
                published! { source: source, given: format!("{met} of {tries}, high"), ours: ours.high.0, expect: high, within: 5e-5 },
            ]
        })
        .collect()
}

fn wilson() -> Vec<Check> {
    let source = "statsmodels 0.15.0, fixtures/published/wilson_statsmodels.csv";
    lines(WILSON)
        .flat_map(|cells| {
            let (met, tries) = (whole(cells[0]), whole(cells[1]));
            let ours = share_met(met, tries, level(cells[2])).unwrap().interval;
            [
                published! { source: source, given: format!("{met} of {tries} at {}, low", cells[2]), ours: ours.low.0, expect: number(cells[3]), within: 2e-9 },
                published! { source: source, given: format!("{met} of {tries} at {}, high", cells[2]), ours: ours.high.0, expect: number(cells[4]), within: 2e-9 },
            ]
        })
        .collect()
}

fn beta() -> Vec<Check> {
    let source = "scipy 1.17.1, fixtures/published/beta_scipy.csv";
    lines(BETA)
        .flat_map(|cells| {
            let (met, tries) = (whole(cells[0]), whole(cells[1]));
            let ours = posterior(met, tries, Share(0.8), level(cells[2])).unwrap();
            [("mean", ours.mean, 3), ("low", ours.interval.low, 4), ("high", ours.interval.high, 5), ("above 0.8", ours.above, 6)].map(|(what, ours, column)| {
                published! { source: source, given: format!("{met} of {tries} at {}, {what}", cells[2]), ours: ours.0, expect: number(cells[column]), within: 2e-9 }
            })
        })
        .collect()
}

fn of_kappa(table: &[Vec<u32>]) -> (f64, f64, f64) {
    match agreement(table, Level::NinetyFive).unwrap().kappa {
        Kappa::Of {
            kappa,
            error,
            error_by_chance,
            ..
        } => (kappa.0, error.0, error_by_chance.0),
        Kappa::NoDisagreement { items } => panic!("{items} items without disagreement"),
    }
}

fn kappa_printed() -> Vec<Check> {
    let source = "Fleiss, Statistical Methods for Rates and Proportions, 2nd edition, 1981, p. 213, table 13.1 (from memory)";
    let (kappa, error, by_chance) = of_kappa(&[vec![75, 1, 4], vec![5, 4, 1], vec![0, 0, 10]]);
    vec![
        published! { source: source, given: "kappa of three diagnoses", ours: kappa, expect: 0.676, within: 5e-4 },
        published! { source: source, given: "its standard error", ours: error, expect: 0.087, within: 1.5e-3 },
        published! { source: source, given: "its standard error by chance", ours: by_chance, expect: 0.076, within: 1.5e-3 },
    ]
}

fn kappa() -> Vec<Check> {
    let source = "statsmodels 0.15.0, fixtures/published/kappa_statsmodels.csv";
    lines(KAPPA)
        .flat_map(|cells| {
            let table: Vec<Vec<u32>> = cells[0].split(';').map(|line| line.split(' ').map(whole).collect()).collect();
            let (kappa, error, by_chance) = of_kappa(&table);
            [
                published! { source: source, given: format!("{}, kappa", cells[0]), ours: kappa, expect: number(cells[1]), within: 2e-9 },
                published! { source: source, given: format!("{}, error", cells[0]), ours: error, expect: number(cells[2]), within: 2e-8 },
                published! { source: source, given: format!("{}, error by chance", cells[0]), ours: by_chance, expect: number(cells[3]), within: 2e-9 },
            ]
        })
        .collect()
}

/// The cases of the reference file: tries that ended met, and tries that stopped before.
fn case(name: &str) -> Vec<Tries> {
    let (met, stopped): (&[u32], &[u32]) = match name {
        "leukaemia" => (
            &[6, 6, 6, 7, 10, 13, 16, 22, 23],
            &[6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35],
        ),
        "class" => (&[1, 1, 2, 2, 2, 3, 3, 4, 5], &[2, 3, 6]),
        other => panic!("no case {other}"),
    };
    let of = |attempts: &u32, end| Tries {
        attempts: *attempts,
        end,
    };
    met.iter()
        .map(|attempts| of(attempts, AttemptEnd::Met))
        .chain(
            stopped
                .iter()
                .map(|attempts| of(attempts, AttemptEnd::NotYet)),
        )
        .collect()
}

fn curves() -> Vec<Check> {
    let source =
        "statsmodels 0.15.0 and lifelines 0.30.3, fixtures/published/kaplan_meier_statsmodels.csv";
    lines(CURVES)
        .flat_map(|cells| {
            let curve = attempt_curve(&case(cells[0]), Level::NinetyFive).unwrap();
            let step = *curve.steps.iter().find(|step| step.attempt == whole(cells[1])).unwrap();
            let interval = step.interval.unwrap();
            [("not yet", step.not_yet, 2), ("error", step.error.unwrap(), 3), ("low", interval.low, 4), ("high", interval.high, 5)].map(|(what, ours, column)| {
                published! { source: source, given: format!("{}, try {}, {what}", cells[0], cells[1]), ours: ours.0, expect: number(cells[column]), within: 2e-9 }
            })
        })
        .collect()
}

fn curve_printed() -> Vec<Check> {
    let source = "Cox and Oakes, Analysis of Survival Data, 1984, on the data of Freireich et al. 1963: median of the treated, weeks (from memory)";
    let curve = attempt_curve(&case("leukaemia"), Level::NinetyFive).unwrap();
    vec![
        published! { source: source, given: "median", ours: f64::from(curve.median.unwrap_or(0)), expect: 23.0, within: 0.0 },
    ]
}

#[test]
fn what_a_class_shows_is_counted_as_published() {
    hold(&checks());
}

#[test]
fn the_medians_interval_is_open_where_the_data_end() {
    // lifelines 0.30.3: 13 to infinity.
    let curve = attempt_curve(&case("leukaemia"), Level::NinetyFive).unwrap();
    assert_eq!((curve.median_low, curve.median_high), (Some(13), None));
}
