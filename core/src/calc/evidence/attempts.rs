//! How many tries until a skill is met, with those counted who stopped before.
//!
//! Source: Kaplan, E. L. and Meier, P., Nonparametric estimation from incomplete observations,
//! J. Am. Stat. Assoc. 53, 1958, p. 457. Variance: Greenwood, M., Reports on Public Health and Medical
//! Subjects 33, 1926. Interval on the log-log scale: Kalbfleisch, J. D. and Prentice, R. L., The
//! Statistical Analysis of Failure Time Data, 1980, p. 15. Interval of the median: Brookmeyer, R. and
//! Crowley, J., Biometrics 38, 1982, p. 29. A student who left counts as far as the student got.

use super::level::{Interval, Level};
use crate::calc::caution::Caution;
use crate::calc::outside::{OutsideTable, Quantity, counted, listed};
use crate::calc::unit::Share;

/// How a student's tries of one skill ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "border", derive(uniffi::Enum))]
pub enum AttemptEnd {
    /// Met at this try.
    Met,
    /// Stopped after this try without having met it: referred, left, or still trying.
    NotYet,
}

/// A student's tries of one skill.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Tries {
    /// How many, 1 to 1000.
    pub attempts: u32,
    /// How they ended.
    pub end: AttemptEnd,
}

/// The curve at a try at which somebody met the skill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AttemptStep {
    /// Which try.
    pub attempt: u32,
    /// Students who had not met it before this try and were still trying.
    pub trying: u32,
    /// How many of them met it.
    pub met: u32,
    /// The share of students who have not met it by then.
    pub not_yet: Share,
    /// Greenwood's standard error of that share; `None` once everyone has met it.
    pub error: Option<Share>,
    /// Interval of that share; `None` once everyone has met it.
    pub interval: Option<Interval>,
}

/// How many tries until a skill is met.
#[derive(Debug, Clone, PartialEq)]
pub struct AttemptCurve {
    /// Students counted.
    pub students: u32,
    /// How many of them met it.
    pub met: u32,
    /// Try by try, where somebody met it.
    pub steps: Vec<AttemptStep>,
    /// The try by which half have met it; `None` where half did not.
    pub median: Option<u32>,
    /// The lower end of the median's interval.
    pub median_low: Option<u32>,
    /// Its upper end; `None` where the tries do not reach it.
    pub median_high: Option<u32>,
    /// What to say beside it.
    pub caution: Caution,
}

impl AttemptCurve {
    /// The share of students who have met the skill by a try.
    ///
    /// ```
    /// use tallywater_core::calc::evidence::{AttemptEnd, Level, Tries, attempt_curve};
    /// let tries = [1, 1, 2, 3].map(|attempts| Tries { attempts, end: AttemptEnd::Met });
    /// assert_eq!(attempt_curve(&tries, Level::NinetyFive)?.met_by(2).0, 0.75);
    /// # Ok::<(), tallywater_core::calc::OutsideTable>(())
    /// ```
    #[must_use]
    pub fn met_by(&self, attempt: u32) -> Share {
        let last = self.steps.iter().rev().find(|step| step.attempt <= attempt);
        Share(last.map_or(0.0, |step| 1.0 - step.not_yet.0))
    }
}

/// The curve of a class.
///
/// # Errors
/// Nobody or more than 10 000 students, or a number of tries outside 1 to 1000.
///
/// ```
/// use tallywater_core::calc::evidence::{AttemptEnd, Level, Tries, attempt_curve};
/// let class = [(1, AttemptEnd::Met), (2, AttemptEnd::Met), (2, AttemptEnd::NotYet), (3, AttemptEnd::Met)]
///     .map(|(attempts, end)| Tries { attempts, end });
/// let curve = attempt_curve(&class, Level::NinetyFive)?;
/// assert_eq!((curve.met, curve.median), (3, Some(2)));
/// # Ok::<(), tallywater_core::calc::OutsideTable>(())
/// ```
pub fn attempt_curve(tries: &[Tries], level: Level) -> Result<AttemptCurve, OutsideTable> {
    let students = listed(Quantity::Tries, tries, 1, 10_000)?;
    let mut sorted = tries.to_vec();
    for student in &sorted {
        counted(Quantity::Attempt, student.attempts, 1, 1000)?;
    }
    sorted.sort_by_key(|student| student.attempts);

    let mut steps: Vec<AttemptStep> = Vec::new();
    let (mut trying, mut left, mut greenwood) = (students, 1.0, 0.0);
    for same in sorted.chunk_by(|one, other| one.attempts == other.attempts) {
        let ended = u32::try_from(same.len()).unwrap_or(trying);
        let met = u32::try_from(
            same.iter()
                .filter(|student| student.end == AttemptEnd::Met)
                .count(),
        )
        .unwrap_or(ended);
        if let (Some(first), 1..) = (same.first(), met) {
            let (n, d) = (f64::from(trying), f64::from(met));
            left *= (n - d) / n;
            greenwood += d / (n * (n - d));
            let spread = (met < trying).then(|| spread(left, greenwood, level));
            steps.push(AttemptStep {
                attempt: first.attempts,
                trying,
                met,
                not_yet: Share(left),
                error: spread.map(|(error, _)| error),
                interval: spread.map(|(_, interval)| interval),
            });
        }
        trying -= ended;
    }
    Ok(AttemptCurve {
        students,
        met: steps.iter().map(|step| step.met).sum(),
        median: reaches_half(&steps, |step| Some(step.not_yet.0)),
        median_low: reaches_half(&steps, |step| {
            Some(step.interval.map_or(0.0, |interval| interval.low.0))
        }),
        median_high: reaches_half(&steps, |step| Some(step.interval?.high.0)),
        steps,
        caution: Caution::TooFewToProve,
    })
}

/// Greenwood's error and the log-log interval of a share between nothing and one.
fn spread(left: f64, greenwood: f64, level: Level) -> (Share, Interval) {
    let wide = level.z() * greenwood.sqrt() / left.ln().abs();
    let bound = |sign: f64| Share(left.powf((sign * wide).exp()));
    (
        Share(left * greenwood.sqrt()),
        Interval {
            low: bound(1.0),
            high: bound(-1.0),
        },
    )
}

/// The first try at which a curve has come down to a half; one part in 10^12 is rounding.
fn reaches_half(steps: &[AttemptStep], share: impl Fn(&AttemptStep) -> Option<f64>) -> Option<u32> {
    steps
        .iter()
        .find(|step| share(step).is_some_and(|share| share <= 0.5 + 1e-12))
        .map(|step| step.attempt)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve(met: &[u32], stopped: &[u32]) -> AttemptCurve {
        let of = |attempts: &u32, end| Tries {
            attempts: *attempts,
            end,
        };
        let tries: Vec<Tries> = met
            .iter()
            .map(|attempts| of(attempts, AttemptEnd::Met))
            .chain(
                stopped
                    .iter()
                    .map(|attempts| of(attempts, AttemptEnd::NotYet)),
            )
            .collect();
        attempt_curve(&tries, Level::NinetyFive).unwrap()
    }

    #[test]
    fn without_anyone_stopping_the_curve_is_plain_counting() {
        let all = curve(&[1, 1, 2, 3], &[]);
        let left: Vec<f64> = all.steps.iter().map(|step| step.not_yet.0).collect();
        assert_eq!(left, [0.5, 0.25, 0.0]);
        assert_eq!((all.steps[2].error, all.steps[2].interval), (None, None));
        assert_eq!(
            (all.median, all.median_low, all.median_high),
            (Some(1), Some(1), None)
        );
    }

    #[test]
    fn somebody_who_stops_at_a_try_was_still_trying_at_it() {
        let one = curve(&[2], &[2]);
        assert_eq!((one.steps[0].trying, one.steps[0].not_yet.0), (2, 0.5));
    }

    #[test]
    fn a_class_in_which_nobody_met_it_has_no_curve_and_no_median() {
        let nobody = curve(&[], &[2, 3, 3]);
        assert_eq!(
            (nobody.met, nobody.steps.len(), nobody.median),
            (0, 0, None)
        );
        assert_eq!(nobody.met_by(10), Share(0.0));
        assert!(attempt_curve(&[], Level::NinetyFive).is_err());
    }
}
